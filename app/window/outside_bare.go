//go:build watched && cgo

package window

import (
	"image"
	"image/color"
	"os"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/app"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
)

// With LASTROAD_BARE=1 a build with the tag watched opens a window of the usual size with a plain ground, which
// is painted again and again, and says how evenly its frames come: what the toolkit and the
// screen reach at best on this machine at this moment, to set our own frames against.
func init() {
	if os.Getenv("LASTROAD_BARE") != "1" {
		return
	}
	bareWindow = func() int {
		a := app.NewWithID("org.lastroad.bare")
		win := a.NewWindow("Lastroad")
		clock := &frameClock{}
		dot := image.NewRGBA(image.Rect(0, 0, 1, 1))
		mark := canvas.NewRaster(func(int, int) image.Image {
			clock.frame()
			return dot
		})
		win.SetContent(container.New(oneDot{}, canvas.NewRectangle(color.White), mark))
		win.Resize(fyne.NewSize(1280, 780))
		a.Lifecycle().SetOnStarted(func() {
			fyne.NewAnimation(4*time.Second, func(float32) { mark.Refresh() }).Start()
			say("ready")
		})
		win.ShowAndRun()
		return 0
	}
}

// oneDot lays out the ground and one dot on it.
type oneDot struct{}

// Layout implements fyne.Layout.
func (oneDot) Layout(o []fyne.CanvasObject, s fyne.Size) {
	o[0].Resize(s)
	o[1].Resize(fyne.NewSize(1, 1))
}

// MinSize implements fyne.Layout.
func (oneDot) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(320, 200) }
