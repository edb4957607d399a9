package window

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"
)

// press sends a key the way the window does: to what has the focus.
func (u *user) press(k fyne.KeyName) *user {
	u.t.Helper()
	if f := u.win.Canvas().Focused(); f != nil {
		f.TypedKey(&fyne.KeyEvent{Name: k})
	} else if f := u.win.Canvas().OnTypedKey(); f != nil {
		f(&fyne.KeyEvent{Name: k})
	}
	u.settle()
	return u
}

// TestTourEscape: Escape leaves the tour wherever the focus is, and meanwhile everything else can be used.
func TestTourEscape(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	tour := u.shell.tour
	typed := widget.NewEntry()
	check := widget.NewCheck("one of the toolkit's own", nil)
	u.shell.win.Content().(*fyne.Container).Add(typed)
	u.shell.win.Content().(*fyne.Container).Add(check)
	for name, focus := range map[string]fyne.Focusable{"nothing": nil, "the map": u.shell.mapv, "the strip": u.shell.strip, "an entry": typed, "a check": check, "a tool": u.shell.tools["open"], "the search field": u.shell.load.search} {
		u.does("tour").sees("1 of 5")
		if focus == fyne.Focusable(u.shell.load.search) {
			u.p.Show(screenLoad)
			u.settle()
		}
		if focus == nil {
			u.win.Canvas().Unfocus()
		} else {
			u.win.Canvas().Focus(focus)
		}
		u.settle() // the guard follows the focus
		if focus == fyne.Focusable(typed) {
			test.Type(tour.guard, "hello")
			if typed.Text != "hello" {
				t.Errorf("typing during the tour gave %q, want hello", typed.Text)
			}
			if focusedEntry(u.win.Canvas()) != typed {
				t.Error("the entry behind the guard is not known as the one that is typed in")
			}
		}
		u.press(fyne.KeyEscape)
		if tour.shown() {
			t.Errorf("with the focus on %s Escape does not leave the tour", name)
		}
		if f := u.win.Canvas().Focused(); f != focus {
			t.Errorf("after the tour the focus is on %T, want it back on %s", f, name)
		}
	}
}

// TestTourSteps: five steps, by the button or Enter, and the last one ends it.
func TestTourSteps(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.does("tour").sees("1 of 5")
	u.tap("Next").sees("2 of 5").press(fyne.KeyReturn).sees("3 of 5").tap("Next").sees("4 of 5").tap("Next").sees("5 of 5")
	u.tap("Begin").doesNotSee("of 5")
	u.does("tour").tap("Leave the tour").doesNotSee("1 of 5")
}

// TestEmptyWindow: with nothing open the window offers to open a route or the demo, and the button opens it.
func TestEmptyWindow(t *testing.T) {
	u := sit(t, realDesk())
	u.sees("No route open").sees("Open…")
	u.tap("Open the demo trip").sees("(invented demo)")
	if u.p.Doc() == nil {
		t.Fatal("the button opened nothing")
	}
	u.choose(-1).doesNotSee("Open the demo trip")
}

// TestTourCardClearOfTheStrip: the card of the step that speaks of the strip stands above it.
func TestTourCardClearOfTheStrip(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.shell.tour.show(1)
	u.win.Canvas().Capture() // lay out
	layer := u.shell.tour.layer
	card := layer.Objects[len(layer.Objects)-1]
	foot := card.Position().Y + card.Size().Height
	strip := fyne.CurrentApp().Driver().AbsolutePositionForObject(u.shell.strip)
	if !(foot > 100 && foot <= strip.Y) {
		t.Errorf("the card ends at %v, the strip begins at %v", foot, strip.Y)
	}
}

func TestWholeSigned(t *testing.T) {
	for _, c := range []struct {
		v    float64
		want string
	}{{-0.4, "0"}, {0.49, "0"}, {0, "0"}, {-3.6, "-4"}, {12.2, "+12"}} {
		if got := wholeSigned(c.v); got != c.want {
			t.Errorf("wholeSigned(%v) = %q, want %q", c.v, got, c.want)
		}
	}
}
