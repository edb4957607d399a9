package window

import (
	"context"
	"errors"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/storage"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/papers"
	"lastroad/app/plot"
	"lastroad/app/trip"
	"lastroad/geo"
	"lastroad/risk"
)

// TestDemoIsShownJudged: the first start shows the demo with its verdict and the sheet of its weakest leg.
func TestDemoIsShownJudged(t *testing.T) {
	u := sit(t, realDesk())
	u.sees("No route open")
	u.openDemo()
	d := u.p.Doc()
	u.sees(d.Plan.Trip.Name).sees("(invented demo)").sees(verdictText(d.Judgement.Trip))
	worst, _ := worstLeg(d.Judgement)
	if u.p.Chosen() != worst {
		t.Errorf("leg %d is chosen, want the weakest, %d", u.p.Chosen(), worst)
	}
	u.sees(legName(d.Survey, worst)).sees("What the leg needs")
}

// TestPointingMarksAll: pointing at the map marks strip and status, and the other way round.
func TestPointingMarksAll(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	m, s := u.shell.mapv, u.shell.strip
	u.win.Canvas().Capture() // paints, so that the views know their sizes
	sv := u.p.Survey()
	i := len(sv.Samples) / 3
	x, y := u.p.scene.At(i)
	q := m.view.Screen(x, y)
	k := m.scale()
	m.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(q.X/k, q.Y/k)}})
	if d := math.Abs(u.p.HoverM() - sv.Samples[i].DistanceM); !(d < 3*m.view.MetresPerPx+100) {
		t.Fatalf("pointing at km %.1f marks km %.1f", sv.Samples[i].DistanceM/1000, u.p.HoverM()/1000)
	}
	if !s.line.Visible() || !m.mark.ring.Visible() {
		t.Error("strip and map do not both show the mark")
	}
	if !strings.Contains(u.shell.status.Text, "km") {
		t.Errorf("the line of state says %q of the place", u.shell.status.Text)
	}
	m.MouseOut()
	if s.line.Visible() || m.mark.ring.Visible() {
		t.Error("the marks stay when the pointer is gone")
	}
	at := fyne.NewPos(plot.StripX(u.p.rng, float32(s.width), s.unit(), 50_000)/s.scale(), 20)
	s.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}})
	if math.Abs(u.p.HoverM()-50_000) > 500 || !m.mark.ring.Visible() {
		t.Errorf("pointing at km 50 of the strip marks %.1f km on the map", u.p.HoverM()/1000)
	}
}

// TestChoosing: a click on map, strip or list chooses the same leg everywhere.
func TestChoosing(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.win.Canvas().Capture()
	sv := u.p.Survey()
	u.shell.list.list.Select(2)
	if u.p.Chosen() != 2 {
		t.Fatalf("the list chose leg %d, want 2", u.p.Chosen())
	}
	u.sees(legName(sv, 2))
	s := u.shell.strip
	mid := (sv.FromM(4) + sv.ToM(4)) / 2
	at := fyne.NewPos(plot.StripX(u.p.rng, float32(s.width), s.unit(), mid)/s.scale(), 20)
	press := &desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}, Button: desktop.MouseButtonPrimary}
	s.MouseDown(press)
	s.MouseUp(press)
	if u.p.Chosen() != 4 {
		t.Errorf("the strip chose leg %d, want 4", u.p.Chosen())
	}
	m := u.shell.mapv
	i := (sv.Legs[6].From + sv.Legs[6].To) / 2
	x, y := u.p.scene.At(i)
	q := m.view.Screen(x, y)
	press.Position = fyne.NewPos(q.X/m.scale(), q.Y/m.scale())
	m.MouseDown(press)
	m.MouseUp(press)
	if u.p.Chosen() != 6 {
		t.Errorf("the map chose leg %d, want 6", u.p.Chosen())
	}
	u.does("next")
	if u.p.Chosen() != 7 {
		t.Errorf("the next leg is %d, want 7", u.p.Chosen())
	}
	u.does("no_leg").sees("The whole trip")
}

// TestZoomInStep: zooming the map narrows the strip to the kilometres in sight, zooming the strip moves the map.
func TestZoomInStep(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.win.Canvas().Capture()
	m, s := u.shell.mapv, u.shell.strip
	whole := u.p.rng
	x, y := u.p.scene.At(len(u.p.Survey().Samples) / 2)
	q := m.view.Screen(x, y)
	for range 6 {
		m.Scrolled(&fyne.ScrollEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(q.X/m.scale(), q.Y/m.scale())}, Scrolled: fyne.NewDelta(0, 50)})
	}
	m.flushRange()
	if u.p.rng.ToM-u.p.rng.FromM >= 0.9*(whole.ToM-whole.FromM) {
		t.Errorf("the strip still shows %.0f of %.0f km", (u.p.rng.ToM-u.p.rng.FromM)/1000, (whole.ToM-whole.FromM)/1000)
	}
	near := m.view.MetresPerPx
	u.does("fit_all")
	u.win.Canvas().Capture()
	if u.p.rng != whole || m.view.MetresPerPx <= near {
		t.Error("showing the whole route does not bring map and strip back")
	}
	all := m.view.MetresPerPx
	for range 8 {
		s.Scrolled(&fyne.ScrollEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(s.Size().Width/2, 20)}, Scrolled: fyne.NewDelta(0, 25)})
	}
	u.win.Canvas().Capture()
	if m.view.MetresPerPx >= all {
		t.Error("zooming the strip does not bring the map nearer")
	}
}

// TestTogetherRejudges: the switch judges anew, and undo goes back.
func TestTogetherRejudges(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	alone := u.score()
	u.tap("Together")
	if !u.p.Doc().Plan.Trip.Together || u.p.Judgement().Partner == nil {
		t.Fatal("the trip is not judged together")
	}
	if u.score() < alone-1e-9 {
		t.Errorf("a second vehicle lowers readiness from %.3f to %.3f", alone, u.score())
	}
	u.does("undo")
	if u.p.Doc().Plan.Trip.Together || math.Abs(u.score()-alone) > 1e-9 {
		t.Errorf("undo gives readiness %.3f, want %.3f", u.score(), alone)
	}
	u.does("redo")
	if !u.p.Doc().Plan.Trip.Together {
		t.Error("redo does not go together again")
	}
}

// TestFullJudgement: after the first quick answer comes the full one, with the cures of the lost points.
func TestFullJudgement(t *testing.T) {
	if testing.Short() {
		t.Skip("the full judgement takes seconds")
	}
	desk := &slowDesk{Desk: realDesk()}
	u := sit(t, desk).openDemo()
	desk.with = func(ctx context.Context, base *trip.Document, plan trip.Plan) (*trip.Document, error) {
		return realDesk().(*demoOnce).Desk.With(ctx, base, plan, nil)
	}
	u.p.Edit("x", "", func(pl *trip.Plan) { pl.Trip.Party.Load = pl.Trip.Party.Load[:len(pl.Trip.Party.Load)/3] })
	u.settle()
	cures := 0
	for _, l := range u.p.Judgement().Trip.Lost {
		if l.Cure != nil {
			cures++
		}
	}
	if cures == 0 {
		t.Error("a third of the load is left and no lost point has a cure")
	}
	u.choose(-1).sees("points in smaller amounts")
}

// TestStaleAnswersAreDropped: of two edits in quick succession only the later one's judgement counts,
// whatever order the answers come in.
func TestStaleAnswersAreDropped(t *testing.T) {
	desk := &slowDesk{Desk: realDesk()}
	u := sit(t, desk).openDemo()
	hold := make(chan struct{})
	desk.with = func(ctx context.Context, base *trip.Document, plan trip.Plan) (*trip.Document, error) {
		if plan.Trip.Name == "first" {
			<-hold // comes after the second answer, and does not heed its cancelling
		}
		d := *base
		d.Plan = plan
		return &d, nil
	}
	u.p.Edit("a", "", func(pl *trip.Plan) { pl.Trip.Name = "first" })
	u.p.Edit("b", "", func(pl *trip.Plan) { pl.Trip.Name = "second" })
	time.Sleep(50 * time.Millisecond)
	close(hold)
	u.settle()
	if got := u.p.Doc().Plan.Trip.Name; got != "second" {
		t.Errorf("the document is that of the %s edit", got)
	}
	if u.p.Stale() {
		t.Error("the window still says that it is judging")
	}
}

// TestTypingIsOneStep: the keys typed into one field are undone together, another field is a step of its own.
func TestTypingIsOneStep(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	for _, n := range []float64{2, 24, 240} {
		u.p.Edit("mass", "field:x", func(pl *trip.Plan) { pl.Trip.Party.Vehicle.KerbKg = 2000 + n })
	}
	u.p.Edit("age", "field:y", func(pl *trip.Plan) { pl.Trip.Party.Vehicle.AgeY = 3 })
	u.settle()
	u.does("undo")
	if got := u.p.Plan().Trip.Party.Vehicle.KerbKg; got != 2240 {
		t.Errorf("after one undo the kerb mass is %v, want 2240", got)
	}
	u.does("undo")
	if got := u.p.Plan().Trip.Party.Vehicle.KerbKg; got != 0 {
		t.Errorf("after two undos the kerb mass is %v, want the default (0)", got)
	}
}

// TestBadFileLosesNothing: an error names file and place in a dialog, and the open trip stays.
func TestBadFileLosesNothing(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	before := u.p.Doc()
	dir := t.TempDir()
	bad := filepath.Join(dir, "broken.gpx")
	if err := os.WriteFile(bad, []byte(`<gpx version="1.1"><trk><trkseg><trkpt lat="95" lon="1"/><trkpt lat="1" lon="2"/></trkseg></trk></gpx>`), 0o644); err != nil {
		t.Fatal(err)
	}
	u.openFiles(bad)
	if u.p.Doc() != before {
		t.Error("a broken file replaced the open trip")
	}
	if len(u.told) != 1 || !strings.Contains(u.told[0], "broken.gpx") {
		t.Errorf("the user was told %q, want one message naming broken.gpx", u.told)
	}
	u.sees("broken.gpx").sees("What was open is unchanged.")
	u.openFiles(filepath.Join(dir, "nothing.gpx"))
	if u.p.Doc() != before || len(u.told) != 2 {
		t.Errorf("a missing file: told %q", u.told)
	}
}

// TestFaultIsAMessage: a panic in the pipeline becomes a message and the window goes on.
func TestFaultIsAMessage(t *testing.T) {
	desk := &slowDesk{Desk: realDesk()}
	u := sit(t, desk).openDemo()
	before := u.p.Doc()
	desk.open = func(context.Context, *trip.Document, []string, Report) (*trip.Document, error) { panic("boom") }
	u.openFiles("x.gpx")
	if u.p.Doc() != before || len(u.told) != 1 {
		t.Errorf("told %q", u.told)
	}
	u.p.SetTogether(true)
	u.settle()
	if !u.p.Doc().Plan.Trip.Together {
		t.Error("the window does not go on after a fault")
	}
}

// TestCancel: long work can be given up, and nothing is said.
func TestCancel(t *testing.T) {
	desk := &slowDesk{Desk: realDesk()}
	u := sit(t, desk).openDemo()
	before := u.p.Doc()
	started := make(chan struct{})
	desk.open = func(ctx context.Context, _ *trip.Document, _ []string, r Report) (*trip.Document, error) {
		r("reading", 0.4)
		close(started)
		<-ctx.Done()
		return nil, ctx.Err()
	}
	u.p.OpenFiles([]string{"big.pbf"})
	<-started
	if u.p.work == nil {
		t.Fatal("no work is shown")
	}
	u.p.OpenFiles([]string{"another.gpx"})
	if len(u.told) != 1 {
		t.Errorf("a second file while one is opened: told %q", u.told)
	}
	u.p.Cancel()
	u.settle()
	if u.p.work != nil || u.p.Doc() != before || len(u.told) != 1 {
		t.Errorf("after cancelling: work %v, told %q", u.p.work, u.told)
	}
}

// TestDropAndCommandLine: files dropped on the window are opened when they lie on this computer.
func TestDropAndCommandLine(t *testing.T) {
	desk := &slowDesk{Desk: realDesk()}
	u := sit(t, desk)
	var got []string
	desk.open = func(_ context.Context, _ *trip.Document, paths []string, _ Report) (*trip.Document, error) {
		got = paths
		return nil, errors.New("enough")
	}
	far, _ := storage.ParseURI("https://example.org/x.gpx")
	u.p.OpenFiles(filePaths([]fyne.URI{storage.NewFileURI("/a/b c.gpx"), far}))
	u.settle()
	if len(got) != 1 || got[0] != filepath.FromSlash("/a/b c.gpx") {
		t.Errorf("dropping opened %q, want the one local file", got)
	}
}

// TestEdits: stops, painting and splitting change the plan and are judged.
func TestEdits(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	n := len(u.p.Survey().Legs)
	stops := len(u.p.Plan().Stops)
	u.p.addStop(30_000, true)
	u.settle()
	if len(u.p.Plan().Stops) != stops+1 || len(u.p.Survey().Legs) <= n-1 {
		t.Errorf("a camp at km 30: %d stops, %d legs", len(u.p.Plan().Stops), len(u.p.Survey().Legs))
	}
	u.p.paint(40_000, 42_000, geo.Sand)
	u.settle()
	i, _ := u.p.SampleAt(41_000)
	sv := u.p.Survey()
	if g := sv.Grounds[sv.Samples[i].Ground].Main(); g != geo.Sand {
		t.Errorf("painted sand is %v", g)
	}
	u.does("undo").does("undo")
	if len(u.p.Plan().Stops) != stops || len(u.p.Survey().Legs) != n {
		t.Errorf("after undo: %d stops, %d legs, want %d and %d", len(u.p.Plan().Stops), len(u.p.Survey().Legs), stops, n)
	}
}

// A leg is locked and unlocked from the menu; its sheet says so, and undo takes it back.
func TestLockLeg(t *testing.T) {
	u := sit(t, realDesk()).openDemo().choose(3)
	const said = "locked: it keeps its ends"
	u.doesNotSee(said)
	u.does("lock")
	u.sees(said)
	if s := u.p.Survey(); !s.Legs[3].Locked || s.Legs[2].Locked {
		t.Error("not the chosen leg is locked")
	}
	u.does("lock")
	u.doesNotSee(said)
	u.does("undo")
	u.sees(said)
}

func TestCutGrounds(t *testing.T) {
	list := []trip.GroundChoice{{FromM: 0, ToM: 100, Ground: geo.Mud}, {FromM: 200, ToM: 300, Ground: geo.Sand}}
	got := cutGrounds(list, 50, 250)
	want := []trip.GroundChoice{{FromM: 0, ToM: 50, Ground: geo.Mud}, {FromM: 250, ToM: 300, Ground: geo.Sand}}
	if len(got) != 2 || got[0] != want[0] || got[1] != want[1] {
		t.Errorf("cutting 50..250 leaves %v, want %v", got, want)
	}
	if got := cutGrounds(list[:1], 20, 40); len(got) != 2 || got[0].ToM != 20 || got[1].FromM != 40 {
		t.Errorf("cutting a hole leaves %v", got)
	}
}

// TestLoadScreen: carrying and leaving behind changes plan and judgement.
func TestLoadScreen(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.does("screen3").sees("Left behind").sees("Spare wheel")
	u.sees("+1.3 with a tall jack").sees("Could stay at home on this route").sees("could stay")
	before := u.p.Judgement().Load.TotalKg
	u.p.AddItems("planks", []risk.LoadItem{{Item: u.anyBehind(), Count: 2}})
	u.settle()
	if got := u.p.Judgement().Load.TotalKg; !(got > before) {
		t.Errorf("two more things leave the mass at %v, it was %v", got, before)
	}
	u.does("undo")
	if got := u.p.Judgement().Load.TotalKg; math.Abs(got-before) > 1e-9 {
		t.Errorf("undo leaves the mass at %v, want %v", got, before)
	}
}

// anyBehind is a thing with mass that is not carried.
func (u *user) anyBehind() string {
	for _, it := range u.p.desk.Catalogue().Items {
		carried := false
		for _, l := range u.p.plan.Trip.Party.Load {
			carried = carried || l.Item == it.Key
		}
		if !carried && it.MassKg > 1 {
			return it.Key
		}
	}
	u.t.Fatal("everything is carried")
	return ""
}

// TestPartyFields: what is typed is taken, nonsense is refused with a reason, an empty field is the default.
func TestPartyFields(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.does("screen2").sees("People").sees("The vehicle")
	kerb := func() float64 { return u.p.Plan().Trip.Party.Vehicle.KerbKg }
	f := newQuantityField(u.p, fieldSpec{id: "t", label: "Kerb", quantity: 5, low: 500, high: 12000,
		get: func(pl *trip.Plan) float64 { return pl.Trip.Party.Vehicle.KerbKg }, set: func(pl *trip.Plan, v float64) { pl.Trip.Party.Vehicle.KerbKg = v },
		standard: func(*trip.Plan) float64 { return 2200 }})
	test.NewTempWindow(t, f)
	if f.note.Text != "default" || !strings.Contains(f.entry.PlaceHolder, "2200") {
		t.Errorf("an empty field says %q, %q", f.note.Text, f.entry.PlaceHolder)
	}
	test.Type(f.entry, "2350 kg")
	u.settle()
	if kerb() != 2350 {
		t.Errorf("typed 2350 kg, the plan has %v", kerb())
	}
	f.entry.SetText("23 lots")
	u.settle()
	if kerb() != 2350 || !f.alarm.Visible() || !strings.Contains(f.alarm.Text, "Not read as a figure") {
		t.Errorf("nonsense gave %v, %q", kerb(), f.alarm.Text)
	}
	f.entry.SetText("40 kg")
	if kerb() != 2350 || !strings.Contains(f.alarm.Text, "From 500\u00a0kg to 12000\u00a0kg is allowed") {
		t.Errorf("a mass out of range gave %v, %q, want it refused with the range", kerb(), f.alarm.Text)
	}
	f.entry.SetText("")
	u.settle()
	if kerb() != 0 || f.note.Text != "default" || f.alarm.Visible() {
		t.Errorf("an emptied field gave %v, %q", kerb(), f.note.Text)
	}
}

// TestComparison shows alone against together for every leg.
func TestComparison(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.does("screen4").sees("The answer").sees("Stopped by a trouble").sees("together is better in")
}

// TestPapers writes papers into a folder.
func TestPapers(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.does("screen5").sees("Write the papers")
	dir := filepath.Join(t.TempDir(), "new")
	list := u.shell.papers.chosen()
	out, err := writePapers(u.p.Doc(), list[2:4], dir, [2]float64{}, 144)
	if err != nil || out.n != 2 {
		t.Fatalf("writing two papers gave %v, %v", out, err)
	}
	for _, pa := range list[2:4] {
		if st, err := os.Stat(filepath.Join(dir, pa.File)); err != nil || st.Size() == 0 {
			t.Errorf("%s: %v", pa.File, err)
		}
	}
}

// TestPapersSayWhichLettersWereReplaced: pictures have the size that was chosen, and when the typeface lacks a letter
// the screen names the papers in which a question mark stands for it.
func TestPapersSayWhichLettersWereReplaced(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.does("screen5")
	screen := u.shell.papers
	dir := t.TempDir()
	screen.folder.SetText(dir)
	screen.setAll(false)
	for i, pa := range papers.List {
		screen.checks[i].SetChecked(pa.Key == "home" || pa.Key == "leg-csv" || pa.Key == "map-png")
	}
	screen.picture.SetSelectedIndex(2)
	u.tap("Write the papers").sees("3 papers are in").doesNotSee("lacks some letters")
	f, err := os.Open(filepath.Join(dir, "map.png"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	// 297 by 210 mm at 144 dots to the inch of 25.4 mm: 1684 by 1191, made of whole units of 1/96 inch.
	if c, err := png.DecodeConfig(f); err != nil || math.Abs(float64(c.Width-1684)) > 2 || math.Abs(float64(c.Height-1191)) > 2 {
		t.Errorf("the map is %d by %d dots (%v), want 1684 by 1191", c.Width, c.Height, err)
	}
	u.p.Edit("name", "", func(pl *trip.Plan) { pl.Trip.Name = "До \U0001F3D5 वन" })
	u.settle()
	u.tap("Write the papers").sees("lacks some letters; ? stands for them in note-for-home.pdf")
}

// TestSave writes the trip and opens it again.
func TestSave(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	path := filepath.Join(t.TempDir(), "mine.trip")
	u.shell.saveTo(path)
	u.settle()
	if u.p.Doc().Path != path || u.p.Unsaved() {
		t.Fatalf("saved as %q, unsaved %v", u.p.Doc().Path, u.p.Unsaved())
	}
	u.p.SetTogether(true)
	u.settle()
	if !u.p.Unsaved() {
		t.Error("an edit after saving does not count as unsaved")
	}
	v := sit(t, realDesk()).openFiles(path)
	if v.p.Doc() == nil || v.p.Doc().Demo || len(v.p.Survey().Legs) != len(u.p.Survey().Legs) {
		t.Errorf("the saved trip opens as %+v, told %q", v.p.Doc(), v.told)
	}
}

// TestActions: every action has a label, ids and shortcuts are unique, and a disabled one says why and does
// nothing.
func TestActions(t *testing.T) {
	u := sit(t, realDesk())
	ids, keys := map[string]bool{}, map[string]string{}
	for _, a := range u.shell.actions {
		if a.label == "" || ids[a.id] {
			t.Errorf("action %q: label %q, or its id is there twice", a.id, a.label)
		}
		ids[a.id] = true
		if k := keyText(a.shortcut); k != "" {
			if other := keys[k]; other != "" {
				t.Errorf("%s does both %s and %s", k, other, a.id)
			}
			keys[k] = a.id
		}
		if a.tool && a.icon == nil {
			t.Errorf("action %s stands in the toolbar without an icon", a.id)
		}
	}
	u.does("save")
	if u.shell.status.Text != "Open a route first." {
		t.Errorf("saving without a route says %q", u.shell.status.Text)
	}
}

// TestHelpPages open without a route and with one.
func TestHelpPages(t *testing.T) {
	u := sit(t, realDesk())
	for id, want := range map[string]string{"keys": "Zoom in", "legend": "Maintained road", "about": "never says safe", "settings": "Text size"} {
		u.does(id)
		u.sees(want)
		u.win.Canvas().Capture()
		for _, o := range u.win.Canvas().Overlays().List() {
			u.win.Canvas().Overlays().Remove(o)
		}
	}
}

// TestLightAndDark: both themes and large text draw without panic and differ.
func TestLightAndDark(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.p.SetSettings(Settings{Theme: "light", Units: "metric", TextSize: 1})
	u.settle()
	if palette().Dark {
		t.Error("the light theme has the dark palette")
	}
	u.p.SetSettings(Settings{Theme: "dark", Units: "us", TextSize: 1.5})
	u.settle()
	if !palette().Dark {
		t.Error("the dark theme has the light palette")
	}
	u.win.Canvas().Capture()
	u.sees(" mi")
}

// TestTour goes through its five steps and can be left at once.
func TestTour(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.does("tour").sees("1 of 5").tap("Leave the tour").doesNotSee("1 of 5")
	u.does("tour")
	for range 4 {
		u.tap("Next")
	}
	u.sees("5 of 5").tap("Begin").doesNotSee("5 of 5")
}

// TestRatings: a rating can be typed, and a piece can be said to have none.
func TestRatings(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.does("screen3")
	s := u.shell.load
	for _, r := range s.carried {
		if r.item == nil || !r.item.Force {
			continue
		}
		fields := s.itemFields(r)
		box := container.NewVBox(fields...)
		test.NewTempWindow(t, box)
		var check *widget.Check
		for _, f := range fields {
			if c, ok := f.(*widget.Check); ok {
				check = c
			}
		}
		check.SetChecked(true)
		u.settle()
		if got := u.p.Plan().Trip.Party.Load[r.at].RatingKN; got >= 0 {
			t.Fatalf("a piece without a readable rating has %v kN", got)
		}
		return
	}
	t.Fatal("the demo carries nothing that bears force")
}

// TestDrawRoute clicks two places on the demo's ways, finishes, and takes the old route back.
func TestDrawRoute(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.win.Canvas().Capture()
	old := u.p.Doc()
	u.does("draw").sees("Follow the ways")
	m := u.shell.mapv
	click := func(sample int) {
		x, y := u.p.scene.At(sample)
		q := m.view.Screen(x, y)
		e := &desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(q.X/m.scale(), q.Y/m.scale())}, Button: desktop.MouseButtonPrimary}
		m.MouseDown(e)
		m.MouseUp(e)
		u.settle()
	}
	click(100)
	click(1500)
	click(900)
	m.TypedKey(&fyne.KeyEvent{Name: fyne.KeyBackspace})
	u.settle()
	if n := len(u.shell.drawing.places); n != 2 {
		t.Fatalf("%d places after taking one back, want 2", n)
	}
	u.win.Canvas().Capture()
	m.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	u.settle()
	if u.p.Doc() == old || u.p.Doc().Demo || u.shell.drawing != nil {
		t.Fatalf("the drawn route was not opened; told %q", u.told)
	}
	if l := u.p.Survey().LengthM(); l < 10_000 || l > 80_000 {
		t.Errorf("the drawn route is %.1f km", l/1000)
	}
	u.sees("The drawn route beside the one before").tap("Take the old one back")
	if !u.p.Doc().Demo || u.p.Survey().LengthM() != old.Survey.LengthM() {
		t.Error("the old route did not come back")
	}
	u.does("detour")
	m.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	if u.shell.drawing != nil {
		t.Error("Escape does not leave the drawing")
	}
}
