package window

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
)

func TestSizeOnAScreen(t *testing.T) {
	first := fyne.NewSize(firstWidth, firstHeight)
	for _, c := range []struct{ want, room, is fyne.Size }{
		{first, fyne.Size{}, first},
		{first, fyne.NewSize(1920, 1048), first},
		{first, fyne.NewSize(1366, 736), fyne.NewSize(1280, 736)},
		{first, fyne.NewSize(1024, 668), fyne.NewSize(1024, 668)},
		{fyne.NewSize(2500, 1400), fyne.NewSize(1366, 736), fyne.NewSize(1366, 736)}, // left on a larger screen
		{first, fyne.NewSize(640, 400), fyne.NewSize(leastWidth, leastHeight)},
		{fyne.NewSize(9999, 10), fyne.Size{}, fyne.NewSize(4000, leastHeight)},
	} {
		if got := sizeOn(c.want, c.room); got != c.is {
			t.Errorf("%v with room for %v: %v, want %v", c.want, c.room, got, c.is)
		}
	}
}

// A window that opened larger than the screen at the scale it got is made to fit; one that fits stays.
func TestFitScreen(t *testing.T) {
	test.NewTempApp(t)
	defer func(area fyne.Size) { screenArea = area }(screenArea)
	for _, c := range []struct {
		area  fyne.Size
		scale float32
		is    fyne.Size
	}{
		{fyne.Size{}, 2, fyne.NewSize(1280, 800)},
		{fyne.NewSize(2560, 1664), 2, fyne.NewSize(1280, 800)},
		{fyne.NewSize(2048, 1400), 2, fyne.NewSize(1024, 668)}, // 700 less a title bar
		{fyne.NewSize(2048, 1400), 1, fyne.NewSize(1280, 800)},
	} {
		win := test.NewTempWindow(t, container.NewWithoutLayout())
		win.SetPadded(false)
		win.Canvas().(test.WindowlessCanvas).SetScale(c.scale)
		win.Resize(fyne.NewSize(1280, 800))
		screenArea = c.area
		if fitScreen(win); win.Canvas().Size() != c.is {
			t.Errorf("on a screen of %v at %v the window is %v, want %v", c.area, c.scale, win.Canvas().Size(), c.is)
		}
	}
}
