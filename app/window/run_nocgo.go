//go:build !cgo

package window

import (
	"fmt"
	"os"
)

// Run says that this build has no window.
func Run([]string) int {
	fmt.Fprintln(os.Stderr, "lastroad: this build has no window (it was made without cgo); use a verb, see lastroad help")
	return 2
}
