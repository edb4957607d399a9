package window

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/storage"

	"lastroad/app/trip"
)

// A second window on a file says so and gets the file when the first one has closed it.
func TestTwoWindowsOnOneFile(t *testing.T) {
	t.Setenv("LASTROAD_STATE", t.TempDir())
	first := sit(t, realDesk()).openDemo()
	hold := first.shell.holdFile()
	path := filepath.Join(t.TempDir(), "mine.trip")
	first.shell.saveTo(path)
	first.settle()
	if hold.lock == nil {
		t.Fatal("a saved file is not locked")
	}
	second := sit(t, realDesk())
	other := second.shell.holdFile()
	second.openFiles(path)
	second.sees("is open in another window")
	if other.lock != nil {
		t.Error("two windows hold one file")
	}
	second.tap("I see")
	second.p.SetTogether(!second.p.plan.Trip.Together)
	second.settle()
	second.doesNotSee("is open in another window") // once is enough
	first.openDemo()
	if hold.lock != nil {
		t.Error("the file is still locked after another trip was opened")
	}
	second.p.SetTogether(!second.p.plan.Trip.Together)
	second.settle()
	if other.lock == nil {
		t.Error("the file is free and the window that shows it does not hold it")
	}
	other.release()
	other.release()
}

// What is dropped goes the way of what is opened: it is asked about when edits would be lost, and remembered.
func TestDroppedFilesAreRemembered(t *testing.T) {
	t.Setenv("LASTROAD_STATE", t.TempDir())
	u := sit(t, realDesk()).openDemo()
	path := filepath.Join(t.TempDir(), "mine.trip")
	u.shell.saveTo(path)
	u.settle()
	u.p.SetTogether(!u.p.plan.Trip.Together)
	u.settle()
	u.shell.drop(filePaths([]fyne.URI{storage.NewFileURI(path)}))
	u.settle()
	u.sees("are not saved").tap("Go on")
	if u.p.Unsaved() || u.p.Doc().Path != path {
		t.Errorf("after dropping %s the window shows %q, unsaved %v", path, u.p.Doc().Path, u.p.Unsaved())
	}
	if r := u.shell.recents(); len(r) == 0 || r[0] != path {
		t.Errorf("the recent files are %q, want %s first", r, path)
	}
}

// Between bringing back what a crash left and keeping it anew there is no moment at which neither is there.
func TestRecoveryLeavesNoGap(t *testing.T) {
	t.Setenv("LASTROAD_STATE", t.TempDir())
	j, err := trip.NewJournal()
	if err != nil {
		t.Fatal(err)
	}
	d, err := realDesk().Demo(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	lost := d.Plan.Clone()
	lost.Trip.Name = "edited before the crash"
	if err := j.Write(trip.Saved{Plan: lost, Route: d.RouteBytes}, trip.DemoPath); err != nil {
		t.Fatal(err)
	}
	// A lock file without a living owner is what a crash leaves; this process still holds the lock.
	crashed := filepath.Join(os.Getenv("LASTROAD_STATE"), "journal", "000.trip")
	if err := os.Remove(crashed + ".lock"); err != nil {
		t.Fatal(err)
	}
	u := sit(t, realDesk())
	keep, err := newJournalKeeper(func(err error) { t.Error(err) })
	if err != nil {
		t.Fatal(err)
	}
	u.shell.journal = keep
	if !u.shell.offerRecovery(func() { t.Error("the demo was opened instead") }) {
		t.Fatal("nothing is offered after a crash")
	}
	u.sees("edited before the crash").tap("Bring it back")
	keep.running.Wait()
	if got := u.p.Doc().Name(); got != "edited before the crash" {
		t.Errorf("brought back %q", got)
	}
	if _, err := os.Stat(crashed); err == nil {
		t.Error("what was brought back is kept twice")
	}
	s, err := trip.ReadSaved(filepath.Join(os.Getenv("LASTROAD_STATE"), "journal", "001.trip"))
	if err != nil || s.Plan.Trip.Name != "edited before the crash" {
		t.Errorf("this window's own journal holds %q, %v", s.Plan.Trip.Name, err)
	}
	keep.Close()
}

// A journal that cannot be written leaves the one before where it is, tells once, and tells again after it
// had worked in between.
func TestAutosaveOnAFullDisk(t *testing.T) {
	state := t.TempDir()
	t.Setenv("LASTROAD_STATE", state)
	u := sit(t, realDesk())
	told := 0
	keep, err := newJournalKeeper(func(error) { told++ })
	if err != nil {
		t.Fatal(err)
	}
	u.shell.journal = keep
	u.openDemo()
	dir := filepath.Join(state, "journal")
	edit := func() {
		u.p.SetTogether(!u.p.plan.Trip.Together)
		u.settle()
		keep.running.Wait()
	}
	edit()
	if _, err := os.Stat(filepath.Join(dir, "000.trip")); err != nil {
		t.Fatal("an edit was not kept:", err)
	}
	// A folder where the journal's file should go refuses every writer, whoever runs the test.
	os.Remove(filepath.Join(dir, "000.trip"))
	if err := os.MkdirAll(filepath.Join(dir, "000.trip", "full"), 0o700); err != nil {
		t.Fatal(err)
	}
	edit()
	edit()
	if told != 1 {
		t.Errorf("a journal that fails twice was told %d times, want once", told)
	}
	os.RemoveAll(filepath.Join(dir, "000.trip"))
	edit()
	if _, err := os.Stat(filepath.Join(dir, "000.trip")); err != nil {
		t.Error("with room again the edit was not kept:", err)
	}
	if entries, _ := os.ReadDir(dir); len(entries) > 3 {
		var names []string
		for _, e := range entries {
			names = append(names, e.Name())
		}
		t.Errorf("left about: %s", strings.Join(names, ", "))
	}
	keep.Close()
}

// A trip that is saved while it is still being judged stands in its file when the judgement arrives.
func TestSavedWhileJudged(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	path := filepath.Join(t.TempDir(), "mine.trip")
	u.p.Edit("less", "", func(pl *trip.Plan) { pl.Trip.Party.Load = pl.Trip.Party.Load[:3] })
	if u.p.judging == nil {
		t.Fatal("nothing is being judged")
	}
	u.p.save(path, func(err error) {
		if err != nil {
			t.Error(err)
		}
	})
	u.settle()
	if u.p.doc.Path != path || u.p.doc.Demo || u.p.edited() {
		t.Errorf("saved while it is judged it stands in %q, demo %v, edited %v", u.p.doc.Path, u.p.doc.Demo, u.p.edited())
	}
}
