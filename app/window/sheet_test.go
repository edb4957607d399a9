package window

import (
	"errors"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/trip"
)

// layers is how many sheets lie over the window.
func (u *user) layers() int { return len(u.win.Canvas().Overlays().List()) }

// TestEscapeLeavesSheets: Escape leaves every sheet, also from within its fields, and the focus is where it was.
func TestEscapeLeavesSheets(t *testing.T) {
	t.Setenv("LASTROAD_DATA", t.TempDir())
	u := sit(t, realDesk()).openDemo()
	u.choose(0)
	s := u.shell
	sheets := map[string]func(){"an error": func() { s.showError("Open", errors.New("no")) }}
	for _, id := range []string{"open", "save_as", "settings", "drives", "simulate", "register", "keys", "legend", "about", "licences", "rename"} {
		sheets[id] = func() { u.does(id) }
	}
	for name, open := range sheets {
		for _, steps := range []int{0, 1, 3} {
			u.win.Canvas().Focus(s.strip)
			if open(); u.layers() != 1 {
				t.Fatalf("%s: %d sheets lie over the window", name, u.layers())
			}
			for range steps {
				u.press(fyne.KeyTab)
			}
			u.press(fyne.KeyEscape)
			if u.layers() != 0 {
				t.Errorf("%s: Escape after %d times Tab leaves it open", name, steps)
				u.win.Canvas().Overlays().Remove(u.win.Canvas().Overlays().Top())
			}
			if u.win.Canvas().Focused() != fyne.Focusable(s.strip) {
				t.Errorf("%s: afterwards the focus is on %T, want the strip", name, u.win.Canvas().Focused())
			}
		}
	}
}

// TestEscapeLeavesOneSheetAtATime: of sheets over sheets only the upper one goes, and what is typed goes where it
// should.
func TestEscapeLeavesOneSheetAtATime(t *testing.T) {
	t.Setenv("LASTROAD_DATA", t.TempDir())
	u := sit(t, realDesk()).openDemo()
	u.does("drives").tap("Add a drive…")
	if u.layers() != 2 {
		t.Fatalf("%d sheets, want the log and a drive over it", u.layers())
	}
	top := u.win.Canvas().Overlays().Top()
	var field *widget.Entry
	for _, o := range test.LaidOutObjects(top) {
		if e, ok := o.(*widget.Entry); ok && e.PlaceHolder == "Where, with whom" {
			field = e
		}
	}
	if field == nil {
		t.Fatal("the form of a drive has no field for a note")
	}
	field.MouseDown(&desktop.MouseEvent{Button: desktop.MouseButtonPrimary})
	u.settle()
	test.Type(u.win.Canvas().Focused(), "to the ford")
	if field.Text != "to the ford" || focusedEntry(u.win.Canvas()) != field {
		t.Errorf("typed into the note: %q", field.Text)
	}
	if u.press(fyne.KeyEscape); u.layers() != 1 {
		t.Fatalf("after Escape %d sheets are left, want the log", u.layers())
	}
	if u.press(fyne.KeyEscape); u.layers() != 0 {
		t.Error("the log is still there")
	}
}

// TestEscapeKeepsWhatWasDrawn: leaving the comparison of a drawn route decides nothing.
func TestEscapeKeepsWhatWasDrawn(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	old := u.p.Doc()
	u.p.Edit("drawn", "", func(pl *trip.Plan) { pl.Trip.Name = "drawn" })
	u.settle()
	u.shell.compareDrawn(old, u.p.Doc())
	if u.press(fyne.KeyEscape); u.layers() != 0 || u.p.Doc().Plan.Trip.Name != "drawn" {
		t.Errorf("after Escape there are %d sheets and the trip is %q", u.layers(), u.p.Doc().Plan.Trip.Name)
	}
	u.shell.compareDrawn(old, u.p.Doc())
	if u.tap("Take the old one back"); u.p.Doc().Plan.Trip.Name == "drawn" {
		t.Error("the old route is not taken back")
	}
}

// TestLogCanBeUndone: what is added, deleted and emptied in the log comes back by undo, on disk too, and goes again by
// redo; a log that was changed elsewhere is left alone.
func TestLogCanBeUndone(t *testing.T) {
	t.Setenv("LASTROAD_DATA", t.TempDir())
	u := sit(t, realDesk()).openDemo()
	u.does("drives")
	add := func(date string) {
		f := newDriveForm(u.shell.drives, trip.Drive{Date: date, Km: map[string]float64{"sand": 40}}, -1)
		if !f.keep() {
			t.Fatal(f.wrong.Text)
		}
	}
	drives := func() int {
		l, err := trip.ReadLog()
		if err != nil {
			t.Fatal(err)
		}
		if n := len(u.shell.drives.log.Drives); n != len(l.Drives) {
			t.Errorf("%d drives are shown, %d are in the file", n, len(l.Drives))
		}
		return len(l.Drives)
	}
	add("2026-05-01")
	add("2026-06-01")
	u.tap("Empty the log…").tap("Empty it")
	if drives() != 0 {
		t.Fatal("the log is not empty")
	}
	for i, want := range []int{2, 1, 0, 0} {
		if u.does("undo"); drives() != want {
			t.Fatalf("after undo %d the log has %d drives, want %d", i+1, drives(), want)
		}
	}
	u.does("redo")
	u.tap("Redo")
	if drives() != 2 {
		t.Fatalf("after redo the log has %d drives, want 2", drives())
	}
	// Closing the sheet forgets nothing, and outside of it undo is the trip's.
	u.press(fyne.KeyEscape)
	before := u.p.rev
	if u.does("undo"); u.p.rev != before {
		t.Error("undo outside the log changed the trip, which nobody had changed")
	}
	u.does("drives").tap("Undo")
	if drives() != 1 {
		t.Errorf("undo in the sheet opened anew leaves %d drives, want 1", drives())
	}
	// To judge with the log is an edit of the trip; undo right after it takes that back.
	u.tap("Judge this trip with my log")
	if len(u.p.plan.Log) == 0 {
		t.Fatal("the log is not taken over")
	}
	if u.does("undo"); len(u.p.plan.Log) != 0 || drives() != 1 {
		t.Errorf("undo leaves %d sums in the trip and %d drives in the log", len(u.p.plan.Log), drives())
	}
	if _, err := trip.ChangeLog(func(l *trip.UserLog) error { l.Drives = nil; return nil }); err != nil {
		t.Fatal(err)
	}
	u.does("undo").sees("changed elsewhere")
	if l, err := trip.ReadLog(); err != nil || len(l.Drives) != 0 {
		t.Errorf("a log changed elsewhere now has %d drives (%v)", len(l.Drives), err)
	}
}
