package window

import (
	"math"
	"testing"

	"fyne.io/fyne/v2"
)

// TestStripByKeys: what the pointer does on the strip goes by keys too: a stretch is marked, and the menu of a
// place opened, without a mouse.
func TestStripByKeys(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	s := u.shell.strip
	s.draw(900, 300)
	u.win.Canvas().Focus(s)
	u.press(fyne.KeyUp)
	mid := (u.p.rng.FromM + u.p.rng.ToM) / 2
	if u.p.hoverM != mid {
		t.Fatalf("the first step puts the mark at %.0f m, want the middle, %.0f", u.p.hoverM, mid)
	}
	u.press(fyne.KeySpace)
	for range 5 {
		u.press(fyne.KeyDown)
	}
	if !(u.p.hoverM < mid) {
		t.Fatalf("down moves the mark to %.0f m, want before %.0f", u.p.hoverM, mid)
	}
	u.press(fyne.KeySpace)
	if a, b := u.p.stretch[0], u.p.stretch[1]; a != u.p.hoverM || b != mid {
		t.Errorf("the stretch is %.0f to %.0f m, want %.0f to %.0f", a, b, u.p.hoverM, mid)
	}
	u.press(fyne.KeyReturn)
	if top := u.win.Canvas().Overlays().Top(); top == nil {
		t.Error("Enter opens no menu at the mark")
	} else {
		u.win.Canvas().Overlays().Remove(top)
	}
	u.win.Canvas().Focus(s)
	u.press(fyne.KeyEscape)
	if !math.IsNaN(u.p.stretch[0]) {
		t.Error("Escape leaves the stretch marked")
	}
}
