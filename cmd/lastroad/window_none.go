//go:build !cgo

package main

import "lastroad/app/verbs"

// Without cgo there is no window.
var openWindow verbs.Window
