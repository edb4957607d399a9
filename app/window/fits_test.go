package window

import (
	"fmt"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// cutTexts are the texts on the screen that do not fit their place: wider than what they stand in, or reaching
// over the edge of the pane or window that shows them. Texts that end in an ellipsis by intention are left out.
func (u *user) cutTexts() (out []string) {
	d := fyne.CurrentApp().Driver()
	var walk func(o fyne.CanvasObject, right float32)
	look := func(o fyne.CanvasObject, text string, room, right float32) {
		if text == "" {
			return
		}
		at := d.AbsolutePositionForObject(o).X
		switch {
		case o.MinSize().Width > room+1:
			out = append(out, fmt.Sprintf("%q is %.0f wide in a place of %.0f", text, o.MinSize().Width, room))
		case at+min(o.MinSize().Width, room) > right+1:
			out = append(out, fmt.Sprintf("%q reaches to %.0f, its pane ends at %.0f", text, at+o.MinSize().Width, right))
		}
	}
	walk = func(o fyne.CanvasObject, right float32) {
		if o == nil || !o.Visible() || o.Size().Width == 0 {
			return
		}
		at := d.AbsolutePositionForObject(o)
		switch x := o.(type) {
		case *widget.Label:
			if x.Wrapping == fyne.TextWrapOff && x.Truncation == fyne.TextTruncateOff {
				look(x, x.Text, x.Size().Width, right)
			} else if at.X+x.Size().Width > right+1 && x.Text != "" {
				out = append(out, fmt.Sprintf("%q reaches to %.0f, its pane ends at %.0f", x.Text, at.X+x.Size().Width, right))
			}
		case *canvas.Text:
			look(x, x.Text, max(x.Size().Width, x.MinSize().Width), right)
		case *widget.Button:
			look(x, x.Text, x.Size().Width, right)
		case *toolButton:
			look(x, x.Text, x.Size().Width, right)
		case *widget.Check:
			look(x, x.Text, x.Size().Width, right)
		case *container.AppTabs:
			walk(x.Selected().Content, min(right, at.X+x.Size().Width))
		case *container.Split:
			walk(x.Leading, min(right, d.AbsolutePositionForObject(x.Leading).X+x.Leading.Size().Width))
			walk(x.Trailing, min(right, d.AbsolutePositionForObject(x.Trailing).X+x.Trailing.Size().Width))
		case *container.Scroll:
			if x.Direction == container.ScrollVerticalOnly {
				walk(x.Content, min(right, at.X+x.Size().Width))
			}
		case *fyne.Container:
			for _, c := range partsOf(x) {
				walk(c, right)
			}
		case *tapLabel:
			walk(&x.Label, right)
		case *widget.Select, *widget.Entry, *focusEntry:
		case fyne.Widget:
			for _, c := range test.WidgetRenderer(x).Objects() {
				walk(c, right)
			}
		}
	}
	walk(u.win.Content(), u.win.Canvas().Size().Width)
	return out
}

// TestNothingIsCut: in a narrow window no text is cut on any screen, in the language of the run, in letters
// larger than designed.
func TestNothingIsCut(t *testing.T) {
	u := withWinch(sit(t, realDesk()).openDemo())
	u.win.Resize(fyne.NewSize(1024, 700))
	u.choose(8).does("bench_leg")
	for _, size := range []float32{1.3} {
		n := u.p.Settings()
		n.TextSize = size
		u.p.SetSettings(n)
		u.settle()
		for screen := range u.shell.tabs.Items {
			u.p.Show(screen)
			u.settle()
			u.win.Resize(fyne.NewSize(1025, 700)) // lays out anew
			u.win.Resize(fyne.NewSize(1024, 700))
			if w := u.win.Content().MinSize().Width; w > 1024 {
				t.Errorf("at text size %.1f the content asks for a width of %.0f, the window has 1024", size, w)
			}
			for _, c := range u.cutTexts() {
				t.Errorf("text size %.1f, screen %d: %s", size, screen+1, c)
			}
		}
	}
}

// The keys in the menus are written in the colour of letters with 95 % of its alpha, lower byte alone: they must be
// readable all the same, and letters elsewhere opaque.
func TestInkOfMenus(t *testing.T) {
	for _, dark := range []fyne.ThemeVariant{theme.VariantLight, theme.VariantDark} {
		r, g, b, a := newLook(DefaultSettings()).Color(theme.ColorNameForeground, dark).RGBA()
		if a>>8 != 0xff || max(r, g, b) > a {
			t.Errorf("letters of %x %x %x %x: want opaque ones", r, g, b, a)
		}
		if share := uint8(uint32(float32(a) * 0.95)); share < 170 {
			t.Errorf("keys in menus with an alpha of %d of 255, want two thirds at least", share)
		}
	}
}
