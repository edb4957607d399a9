package window

import (
	"testing"

	"fyne.io/fyne/v2"
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
