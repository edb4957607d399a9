package window

import (
	"image"
	"image/color"
	"image/draw"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
)

// While the map moves, the panels beside it stand as their pictures; they come back when it rests, when anything changes
// and when the window gets another size, and a movement that has only begun leaves them alone.
func TestPanelsStandStillWhileTheMapMoves(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	blue := color.RGBA{10, 20, 230, 255}
	grabs := 0
	grabPixels = func(_, _, w, h, _ int) *image.RGBA {
		grabs++
		img := image.NewRGBA(image.Rect(0, 0, w, h))
		draw.Draw(img, img.Rect, image.NewUniform(blue), image.Point{}, draw.Src)
		return img
	}
	t.Cleanup(func() { grabPixels = nil })
	s, c := u.shell.stills, u.win.Canvas()
	side := s.panels[1]
	middle := func() color.RGBA {
		at := fyne.CurrentApp().Driver().AbsolutePositionForObject(side).AddXY(side.Size().Width/2, side.Size().Height/2)
		x, y := c.PixelCoordinateForPosition(at)
		return color.RGBAModel.Convert(c.Capture().At(x, y)).(color.RGBA)
	}
	move := func() {
		t.Helper()
		u.shell.mapv.Dragged(&fyne.DragEvent{Dragged: fyne.NewDelta(-3, -2)})
		c.Capture()
		u.settle()
	}
	before := u.texts()
	if !strings.Contains(before, "What the leg needs") || middle() == blue {
		t.Fatal("the sheet of a leg is not there")
	}
	still := func() {
		t.Helper()
		move()
		if middle() != blue || strings.Contains(u.texts(), "What the leg needs") {
			t.Fatal("the panels do not stand still while the map moves on")
		}
	}
	back := func(when string) {
		t.Helper()
		u.settle()
		if middle() == blue || !strings.Contains(u.texts(), "What the leg needs") {
			t.Errorf("the panels do not come back %s", when)
		}
	}
	s.after, s.rest = time.Hour, 24*time.Hour
	move()
	if grabs != 0 || middle() == blue {
		t.Error("a movement that has only begun makes pictures of the panels")
	}
	s.after = 0
	still()
	s.last = time.Now().Add(-25 * time.Hour)
	s.rested()
	back("when the map rests")
	still()
	u.p.changed(PlanChanged)
	back("when something changes")
	still()
	u.shell.mapv.MouseOut()
	back("when the pointer leaves the map")
	still()
	u.win.Resize(fyne.NewSize(1100, 800))
	back("when the window gets another size")
}
