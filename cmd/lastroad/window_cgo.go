//go:build cgo

package main

import (
	"lastroad/app/verbs"
	"lastroad/app/window"
)

var openWindow verbs.Window = window.Run
