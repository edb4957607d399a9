//go:build cgo

package window

import (
	"fmt"
	"os"

	"fyne.io/fyne/v2/app"
	"github.com/go-gl/glfw/v3.3/glfw"

	"lastroad/app/trip"
)

// bareWindow, when set, stands in for the window; only a build made for it does (see outside_bare.go).
var bareWindow func() int

// Run opens the window on the given files, or on the demo trip, and returns an exit status when it is
// closed. It must be called from the program's first goroutine.
func Run(files []string) int {
	if !hasDisplay() {
		fmt.Fprintln(os.Stderr, "lastroad: there is no display to open a window on; use a verb, see lastroad help")
		return 2
	}
	flatWindow()
	if bareWindow != nil {
		return bareWindow()
	}
	desk, err := trip.NewDesk()
	if err != nil {
		fmt.Fprintln(os.Stderr, "lastroad:", err)
		return 2
	}
	var d Desk = desk
	memoryAtWork()
	if len(files) == 0 {
		memoryAtStart()
		d = openEarly(desk)
	}
	a := app.NewWithID("org.lastroad.desk")
	open(a, d, files).ShowAndRun()
	return 0
}

// flatWindow asks for a window without depth and stencil, which nothing here needs: where the processor paints the
// screen, emptying them took a sixth of a frame. The toolkit, which begins with the same library after this, leaves
// such wishes as they are; where it cannot begin, the toolkit says why.
func flatWindow() {
	if glfw.Init() == nil {
		glfw.WindowHint(glfw.DepthBits, 0)
		glfw.WindowHint(glfw.StencilBits, 0)
	}
}
