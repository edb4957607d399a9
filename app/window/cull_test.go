package window

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"
)

// TestLegSheetHoldsWhatIsInSight: the sheet lays out all its parts, holds those that can be seen, at any place and
// size, and keeps all that can have the focus.
func TestLegSheetHoldsWhatIsInSight(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	sheet := u.shell.sheet
	// Where each label of the whole sheet stands on the screen, and those that the toolkit paints.
	type spot struct{ top, bottom float32 }
	look := func() (all map[*widget.Label]spot, held map[*widget.Label]bool, focusable, reached int) {
		all, held = map[*widget.Label]spot{}, map[*widget.Label]bool{}
		var walk func(o fyne.CanvasObject, y float32, in bool)
		walk = func(o fyne.CanvasObject, y float32, in bool) {
			y += o.Position().Y
			if l, ok := o.(*widget.Label); ok {
				all[l] = spot{y, y + l.Size().Height}
				held[l] = in
			}
			if _, ok := o.(fyne.Focusable); ok {
				if focusable++; in {
					reached++
				}
			}
			if c, ok := o.(*fyne.Container); ok {
				has := map[fyne.CanvasObject]bool{}
				for _, x := range c.Objects {
					has[x] = true
				}
				for _, x := range partsOf(c) {
					walk(x, y, in && has[x])
				}
			}
		}
		walk(sheet.scroll.Content, -sheet.scroll.Content.Position().Y, true)
		return all, held, focusable, reached
	}
	check := func(what string) {
		t.Helper()
		u.win.Canvas().Capture()
		all, held, focusable, reached := look()
		from, to := sheet.scroll.Offset.Y, sheet.scroll.Offset.Y+sheet.scroll.Size().Height
		n := 0
		for l, at := range all {
			if held[l] {
				n++
			} else if at.bottom > from && at.top < to {
				t.Errorf("%s: %q at %.0f to %.0f is in sight (%.0f to %.0f) and not held", what, l.Text, at.top, at.bottom, from, to)
			}
		}
		if len(all) < 100 || n > len(all)/2 {
			t.Errorf("%s: of %d labels %d are held", what, len(all), n)
		}
		if focusable == 0 || reached != focusable {
			t.Errorf("%s: of %d things that take the focus %d can be reached", what, focusable, reached)
		}
	}
	for _, leg := range []int{0, 8} {
		u.choose(leg)
		check("at the top")
		whole := sheet.scroll.Content.MinSize().Height
		for y := float32(0); y < whole; y += 300 {
			sheet.scrollTo(fyne.NewPos(0, y))
			check("scrolled")
		}
	}
	u.win.Resize(fyne.NewSize(1440, 1000))
	check("in a larger window")
	test.Scroll(u.win.Canvas(), fyne.NewPos(1300, 700), 0, -500)
	check("by the wheel")
	u.p.SetTogether(true)
	u.settle()
	check("judged anew")
}
