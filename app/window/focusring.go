package window

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"
)

// focusRing is the frame round a large picture that has the focus, as four thin bars: the toolkit paints a frame as a
// picture of its whole size, see-through in the middle, and that once more for each frame of a moving map.
type focusRing [4]*canvas.Rectangle

func newFocusRing() (r focusRing) {
	for i := range r {
		r[i] = canvas.NewRectangle(color.Transparent)
		r[i].Hide()
	}
	return r
}

func (r focusRing) bars() []fyne.CanvasObject {
	return []fyne.CanvasObject{r[0], r[1], r[2], r[3]}
}

func (r focusRing) resize(s fyne.Size) {
	const w = 2
	for i, b := range [4][4]float32{{0, 0, s.Width, w}, {0, s.Height - w, s.Width, w}, {0, w, w, s.Height - 2*w}, {s.Width - w, w, w, s.Height - 2*w}} {
		r[i].Move(fyne.NewPos(b[0], b[1]))
		r[i].Resize(fyne.NewSize(b[2], b[3]))
	}
}

func (r focusRing) show(on bool) {
	for _, b := range r {
		if b.FillColor = theme.Color(theme.ColorNameFocus); on {
			b.Show()
		} else {
			b.Hide()
		}
		b.Refresh()
	}
}
