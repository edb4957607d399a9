package window

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/trip"
	"lastroad/geo"
	"lastroad/risk"
)

// sheetDesk answers the slow questions at once.
type sheetDesk struct {
	Desk
	trips int
}

func (d *sheetDesk) Simulate(ctx context.Context, base *trip.Document, trips int, r Report) (*risk.SimReport, error) {
	d.trips = trips
	return d.Desk.Simulate(ctx, base, 4096, r)
}

func (d *sheetDesk) Effects(_ context.Context, base *trip.Document, _ Report) ([]risk.Effect, error) {
	legs := make([]float64, len(base.Survey.Legs))
	legs[0], legs[1] = -0.5, 2.25
	return []risk.Effect{{Table: "hazards.toml", Path: "rate/tyre/gravel", Trip: 1.5, Legs: legs}}, nil
}

// TestSimulationSheet: whole trips are played and set beside the reckoning, with standard errors and the rule.
func TestSimulationSheet(t *testing.T) {
	d := &sheetDesk{Desk: realDesk()}
	u := sit(t, d).openDemo()
	m := newSimulation(u.shell)
	test.NewTempWindow(t, m.box)
	test.Tap(m.play)
	u.settle()
	if d.trips != risk.UsualTrips {
		t.Errorf("%d trips are played, want %d", d.trips, risk.UsualTrips)
	}
	var text strings.Builder
	for _, o := range m.result.Objects {
		for _, l := range labelsIn(o) {
			text.WriteString(l.Text + "\n")
		}
	}
	got := text.String()
	for _, want := range []string{"Readiness of the trip", "±", "SE", "not out by own means"} {
		if !strings.Contains(got, want) {
			t.Errorf("the outcome does not show %q:\n%s", want, got)
		}
	}
	if !strings.Contains(got, "agree") && !strings.Contains(got, "better") {
		t.Errorf("the outcome has no verdict:\n%s", got)
	}
	if m.wait.box.Visible() || m.play.Disabled() {
		t.Error("the bar still shows, or the check cannot be run again")
	}
}

// TestSimulationCanBeGivenUp: cancel ends it and it can be run again.
func TestSimulationCanBeGivenUp(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	m := newSimulation(u.shell)
	test.NewTempWindow(t, m.box)
	began := make(chan struct{})
	m.wait.start("x", func(ctx context.Context, _ Report) error {
		close(began)
		<-ctx.Done()
		return ctx.Err()
	}, func(error) { t.Error("a step that was given up tells an outcome") })
	<-began
	m.wait.stop()
	u.settle()
	if m.wait.box.Visible() {
		t.Error("the bar still shows")
	}
}

// TestRegisterSheet: every number is listed, found by a word, shown with its source and what it moves, and can
// be changed within its range, undone, and put back.
func TestRegisterSheet(t *testing.T) {
	u := sit(t, &sheetDesk{Desk: realDesk()}).openDemo()
	r, err := newRegister(u.shell)
	if err != nil {
		t.Fatal(err)
	}
	test.NewTempWindow(t, r.box)
	if len(r.all) < 1000 || len(r.shown) != len(r.all) {
		t.Fatalf("%d of %d numbers are shown", len(r.shown), len(r.all))
	}
	for i := range r.all {
		if r.all[i].Source == "" || r.all[i].From == "" {
			t.Errorf("%s of %s has no source", r.all[i].Path, r.all[i].Table)
		}
	}
	r.search.SetText("rate/tyre gravel")
	if len(r.shown) != 1 || r.all[r.shown[0]].Path != "rate/tyre/gravel" {
		t.Fatalf("the search finds %d numbers", len(r.shown))
	}
	r.work()
	u.settle()
	r.choose(r.shown[0])
	text := func() string {
		s := ""
		for _, o := range r.detail.Objects {
			for _, l := range labelsIn(o) {
				s += l.Text + "\n"
			}
		}
		return s
	}
	for _, want := range []string{r.all[r.shown[0]].Source, "+2.25", "Permitted"} {
		if !strings.Contains(text(), want) {
			t.Errorf("the sheet does not show %q:\n%s", want, text())
		}
	}
	before := u.p.Judgement().Trip.Stopped.P
	if err := u.p.setFigure("tyres", trip.OwnFigure{Key: "rate/tyre/gravel", Low: 5, Central: 2000, High: 3}); err == nil {
		t.Error("low above high was taken")
	}
	if err := u.p.setFigure("tyres", trip.OwnFigure{Key: "rate/tyre/gravel", Low: 500, Central: 2000, High: 5000}); err == nil || !strings.Contains(err.Error(), "1000") {
		t.Errorf("outside its range: %v, want the range", err)
	}
	for g := geo.Sealed; g < geo.NumGrounds; g++ {
		if err := u.p.setFigure("tyres", trip.OwnFigure{Key: "rate/tyre/" + g.Key(), Low: 50, Central: 100, High: 200}); err != nil {
			t.Fatal(err)
		}
	}
	u.settle()
	if got := u.p.Judgement().Trip.Stopped.P; !(got > before) {
		t.Errorf("a hundred cut tyres in 1000 km leave the chance of being stopped at %v (%v)", got, before)
	}
	n := len(u.p.plan.Figures)
	u.p.clearFigure("tyres", "rate/tyre/gravel")
	u.settle()
	if len(u.p.plan.Figures) != n-1 {
		t.Error("the figure is not put back")
	}
	u.does("undo")
	if len(u.p.plan.Figures) != n {
		t.Error("putting it back cannot be undone")
	}
}

// TestDrivesSheet: a drive is refused while wrong, kept, changes the rates shown, is taken over by the trip, and
// the log is emptied without losing what it was.
func TestDrivesSheet(t *testing.T) {
	t.Setenv("LASTROAD_DATA", t.TempDir())
	u := sit(t, realDesk()).openDemo()
	d, err := newDrives(u.shell)
	if err != nil {
		t.Fatal(err)
	}
	test.NewTempWindow(t, d.box)
	f := newDriveForm(d, trip.Drive{Date: "2026-05-01"}, -1)
	f.addTrouble(trip.Trouble{Hazard: "tyre", Ground: "sand", Count: 60})
	if f.keep() || f.wrong.Text == "" {
		t.Error("troubles without kilometres are taken, or nothing says why not")
	}
	f.km[geo.Sand].SetText("400 km")
	f.date.SetText("May")
	if f.keep() {
		t.Error("a date that is none is taken")
	}
	f.date.SetText("2026-05-01")
	if !f.keep() {
		t.Fatalf("refused: %s", f.wrong.Text)
	}
	text := ""
	for _, o := range d.rates.Objects {
		for _, l := range labelsIn(o) {
			text += l.Text + "\n"
		}
	}
	if !strings.Contains(text, "before") || !strings.Contains(text, "sand") {
		t.Errorf("the rates before and after are not shown:\n%s", text)
	}
	before := u.p.Judgement().Trip.Stopped.P
	// All of the log counts what was met on the way, and also what was not; the tyres alone can only be worse.
	lines := d.log.Lines(u.p.desk.Catalogue())
	tyres := slices.DeleteFunc(slices.Clone(lines), func(l trip.LogLine) bool { return l.Hazard != "tyre" })
	if len(lines) < 4 || len(tyres) != 1 {
		t.Fatalf("the log gives %v", lines)
	}
	d.take(tyres)
	u.settle()
	if len(u.p.plan.Log) == 0 || !(u.p.Judgement().Trip.Stopped.P > before) {
		t.Errorf("sixty cut tyres in 400 km of sand leave the chance of being stopped at %v (%v)", u.p.Judgement().Trip.Stopped.P, before)
	}
	u.does("undo")
	if len(u.p.plan.Log) != 0 || math.Abs(u.p.Judgement().Trip.Stopped.P-before) > 1e-12 {
		t.Error("undo does not go back to the rates of the tables")
	}
	if l, err := trip.ReadLog(); err != nil || len(l.Drives) != 1 {
		t.Errorf("the log on disk: %v %v", l, err)
	}
	if err := d.change(func(l *trip.UserLog) error { l.Drives = nil; return nil }); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(os.Getenv("LASTROAD_DATA"), "log.toml.previous")); err != nil {
		t.Errorf("emptied, what it was is lost: %v", err)
	}
}

// TestVariants: the trip is kept as a variant, the load changed, both compared leg by leg, a variant comes from a
// saved trip, is taken up, and nothing is lost.
func TestVariants(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.does("screen4")
	u.p.Edit("keep", "", func(pl *trip.Plan) { pl.KeepVariant("full load") })
	u.p.Edit("strip", "", func(pl *trip.Plan) { pl.Trip.Party.Load = pl.Trip.Party.Load[:3] })
	u.settle()
	u.sees("full load").sees("The answer").sees("Full load against alone").sees("What the answer hangs on")
	saved := filepath.Join(t.TempDir(), "winter.trip")
	if _, err := u.p.Doc().Save(saved); err != nil {
		t.Fatal(err)
	}
	screen := u.shell.together
	screen.takeFile(saved)
	u.settle()
	u.sees("winter").sees("The same as the trip is now.")
	if n := len(u.p.plan.Compare.Variants); n != 2 {
		t.Fatalf("%d variants are kept", n)
	}
	load := len(u.p.plan.Trip.Party.Load)
	screen.take(0)
	u.settle()
	if len(u.p.plan.Trip.Party.Load) <= load {
		t.Error("the full load is not taken up")
	}
	if v := u.p.plan.Compare.Variants[0]; len(v.Trip.Party.Load) != load {
		t.Error("the trip as it was is lost")
	}
	screen.forget(1)
	u.settle()
	if len(u.p.plan.Compare.Variants) != 1 {
		t.Error("a forgotten variant is still kept")
	}
	u.does("undo").does("undo")
	if len(u.p.plan.Trip.Party.Load) != load || len(u.p.plan.Compare.Variants) != 2 {
		t.Error("undo does not bring the variants back")
	}
	screen.takeFile(filepath.Join(t.TempDir(), "none.trip"))
	u.settle()
	if len(u.told) == 0 {
		t.Error("a file that is not there is no error")
	}
}

// TestFourAtMost: a fifth column cannot be switched on, and the screen says why.
func TestFourAtMost(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.does("screen4")
	u.p.Edit("keep", "", func(pl *trip.Plan) {
		for range 3 {
			pl.KeepVariant("v")
		}
		pl.Compare.Variants[2].Off = true
	})
	u.settle()
	u.sees("Four are compared already").sees("Set against")
	if n := len(u.shell.together.names); n != 4 {
		t.Errorf("%d columns, want 4", n)
	}
}

// TestLicencesSheet: every module has a text.
func TestLicencesSheet(t *testing.T) {
	all := licences()
	if len(all) < 20 {
		t.Fatalf("only %d licences", len(all))
	}
	for _, l := range all {
		if len(l.modules) == 0 || len(l.text) < 200 {
			t.Errorf("%v has a text of %d letters", l.modules, len(l.text))
		}
	}
	u := sit(t, realDesk()).openDemo()
	u.does("about").sees("OpenStreetMap contributors").tap("Licences of what is built in…")
	u.sees("Redistribution and use")
}

// labelsIn are the labels inside an object.
func labelsIn(o fyne.CanvasObject) (out []*widget.Label) {
	switch x := o.(type) {
	case *widget.Label:
		out = append(out, x)
	case *fyne.Container:
		for _, c := range partsOf(x) {
			out = append(out, labelsIn(c)...)
		}
	}
	return out
}
