//go:build watched && cgo

package window

import (
	"image"
	"image/color"
	"image/draw"
	"os"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/app"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
)

// With LASTROAD_BARE=1 a build with the tag watched opens a window of the usual size with a plain ground, which
// is painted again and again, and says how evenly its frames come: what the toolkit and the
// screen reach at best on this machine at this moment, to set our own frames against. With LASTROAD_BARE=picture the
// ground is a picture as large as map and strip together, moved a little for each frame: what a map that moves costs
// at least, with nothing round it and nothing drawn anew.
func init() {
	how := os.Getenv("LASTROAD_BARE")
	if how == "" {
		return
	}
	bareWindow = func() int {
		a := app.NewWithID("org.lastroad.bare")
		win := a.NewWindow("Lastroad")
		clock := &frameClock{}
		dot := image.NewRGBA(image.Rect(0, 0, 1, 1))
		mark := newPicture(func(int, int) image.Image {
			clock.frame(true)
			return dot
		})
		var ground fyne.CanvasObject = canvas.NewRectangle(color.White)
		layout := oneDot{}
		if how == "picture" {
			ground = newPicture(func(w, h int) image.Image {
				img := image.NewRGBA(image.Rect(0, 0, w, h))
				draw.Draw(img, img.Rect, image.White, image.Point{}, draw.Src)
				return img
			})
			layout.ground = fyne.NewSize(888, 628)
		}
		win.SetContent(container.New(layout, ground, mark))
		win.Resize(fyne.NewSize(firstWidth, firstHeight))
		a.Lifecycle().SetOnStarted(func() {
			say("ready")
			n := 0
			fyne.NewAnimation(4*time.Second, func(float32) {
				n++
				if how == "picture" {
					ground.Move(fyne.NewPos(float32(n%100), 0))
				}
				mark.Refresh()
			}).Start()
		})
		win.ShowAndRun()
		return 0
	}
}

// oneDot lays out the ground, as large as the window unless told, and one dot on it.
type oneDot struct{ ground fyne.Size }

// Layout implements fyne.Layout.
func (l oneDot) Layout(o []fyne.CanvasObject, s fyne.Size) {
	if l.ground != (fyne.Size{}) {
		s = l.ground
	}
	o[0].Resize(s)
	o[1].Resize(fyne.NewSize(1, 1))
}

// MinSize implements fyne.Layout.
func (oneDot) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(320, 200) }
