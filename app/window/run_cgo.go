//go:build cgo

package window

import (
	"fmt"
	"image"
	"os"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/app"
	"github.com/go-gl/glfw/v3.3/glfw"

	"lastroad/app/trip"
)

// bareWindow, when set, stands in for the window; only a build made for it does (see outside_bare.go).
var bareWindow func() int

// readFrame is what grabPixels is in a real window; nil where frames cannot be read.
var readFrame func(x, y, w, h, high int) *image.RGBA

// Run opens the window on the given files, or on the demo trip, and returns an exit status when it is
// closed. It must be called from the program's first goroutine.
func Run(files []string) int {
	if !hasDisplay() {
		fmt.Fprintln(os.Stderr, "lastroad: there is no display to open a window on; use a verb, see lastroad help")
		return 2
	}
	if bareWindow != nil {
		askSystem()
		return bareWindow()
	}
	memoryAtWork()
	if len(files) == 0 {
		memoryAtStart()
	}
	go trip.Builtin() // the tables are read on the other core while the system is asked
	askSystem()
	a := app.NewWithID("org.lastroad.desk")
	desk, err := trip.NewDesk()
	if err != nil {
		fmt.Fprintln(os.Stderr, "lastroad:", err)
		return 2
	}
	var d Desk = desk
	if len(files) == 0 {
		d = openEarly(desk)
	}
	grabPixels = readFrame
	open(a, d, files).ShowAndRun()
	return 0
}

// askSystem begins the library by which the toolkit reaches the screen, before the toolkit does, for two things; where
// it cannot begin, the toolkit says why.
func askSystem() {
	if glfw.Init() != nil {
		return
	}
	flatWindow()
	if m := glfw.GetPrimaryMonitor(); m != nil {
		_, _, w, h := m.GetWorkarea()
		screenArea = fyne.NewSize(float32(w), float32(h))
		if sx, _ := m.GetContentScale(); sx > 0 {
			screenScale = sx
		}
	}
}

// flatWindow asks for a window without depth and stencil, which nothing here needs: where the processor paints the
// screen, emptying them took a sixth of a frame. The toolkit leaves such wishes as they are.
func flatWindow() {
	glfw.WindowHint(glfw.DepthBits, 0)
	glfw.WindowHint(glfw.StencilBits, 0)
}
