package window

import (
	"math"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"lastroad/app/trip"
	"lastroad/risk"
)

// middle is the middle of an object in the window.
func middle(o fyne.CanvasObject) fyne.Position {
	p := fyne.CurrentApp().Driver().AbsolutePositionForObject(o)
	return p.AddXY(o.Size().Width/2, o.Size().Height/2)
}

// drags takes a row from where it is to the middle of an object, as a pointer does.
func (u *user) drags(r loadRow, to fyne.CanvasObject) {
	u.t.Helper()
	u.win.Canvas().Capture() // lay out
	l := newLoadLine(u.shell.load)
	l.set(r)
	at := middle(to)
	l.Dragged(&fyne.DragEvent{PointEvent: fyne.PointEvent{AbsolutePosition: at.SubtractXY(6, 6)}})
	l.Dragged(&fyne.DragEvent{PointEvent: fyne.PointEvent{AbsolutePosition: at}})
	if !u.shell.load.drag.layer.Visible() {
		u.t.Error("nothing shows what is dragged")
	}
	l.DragEnd()
	u.settle()
	if u.shell.load.drag.layer.Visible() {
		u.t.Error("what was dragged still shows")
	}
}

func (u *user) carriedRow(key string) (loadRow, bool) {
	for _, r := range u.shell.load.carried {
		if r.item != nil && r.item.Key == key {
			return r, true
		}
	}
	return loadRow{}, false
}

func (u *user) behindRow(key string) (loadRow, bool) {
	for _, r := range u.shell.load.behind {
		if r.item != nil && r.item.Key == key {
			return r, true
		}
	}
	return loadRow{}, false
}

// TestDragBetweenTheLists: a row dropped on the other list is left behind or carried; on a place it rides there;
// elsewhere nothing happens. Undo takes each back.
func TestDragBetweenTheLists(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.does("screen3")
	s := u.shell.load
	key := u.anyBehind()
	r, ok := u.behindRow(key)
	if !ok {
		t.Fatalf("%s is not among what is left behind", key)
	}
	before := u.p.Judgement().Load.TotalKg
	u.drags(r, s.leftPane)
	if _, carried := u.carriedRow(key); carried {
		t.Fatal("a row dropped where it came from is carried")
	}
	u.drags(r, s.rightPane)
	if r, ok = u.carriedRow(key); !ok || !(u.p.Judgement().Load.TotalKg > before) {
		t.Fatal("a row dropped on what is carried is not carried")
	}
	for _, c := range s.rides {
		if c.key == "roof" {
			u.drags(r, c.box)
		}
	}
	if got := u.p.plan.Trip.Party.Load[r.at].Place; got != "roof" {
		t.Errorf("a row dropped on the roof rides at %q", got)
	}
	r, _ = u.carriedRow(key)
	u.drags(r, s.leftPane)
	if _, carried := u.carriedRow(key); carried {
		t.Error("a row dropped on what is left behind is still carried")
	}
	u.does("undo").does("undo").does("undo")
	if got := u.p.Judgement().Load.TotalKg; math.Abs(got-before) > 1e-9 {
		t.Errorf("three times undone, the mass is %v, it was %v", got, before)
	}
}

// TestOwnThing: a thing of the user's own is typed in, refused while something is wrong, carried, judged, saved
// and there again after opening.
func TestOwnThing(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.does("screen3")
	s := u.shell.load
	f := newOwnForm(s, trip.OwnItem{})
	test.NewTempWindow(t, f.box)
	if !f.save.Disabled() || f.wrong.Text == "" {
		t.Error("an empty form can be kept, or does not say what is missing")
	}
	f.name.SetText("Grandfather's strop")
	f.find.SetText("anchor strap")
	for i, k := range f.keys {
		if k == "tree_strap" {
			f.stands.SetSelectedIndex(i)
		}
	}
	if f.chosen != "tree_strap" || !f.wll.row.Visible() {
		t.Fatalf("it stands for %q, and the rating is asked for: %v", f.chosen, f.wll.row.Visible())
	}
	f.lines[0].entry.SetText("4000 kg")
	if !f.save.Disabled() {
		t.Error("four tonnes are taken for one piece")
	}
	f.lines[0].entry.SetText("2.5 kg")
	if f.save.Disabled() {
		t.Errorf("it cannot be kept: %s", f.wrong.Text)
	}
	if !strings.Contains(f.trust.Text, "never used") {
		t.Errorf("without a rating the form says %q", f.trust.Text)
	}
	f.mbs.entry.SetText("140 kN")
	if !strings.Contains(f.trust.Text, "70") { // 140 kN over the design factor 2 of webbing in the recovery tables
		t.Errorf("140 kN breaking strength are counted as: %s", f.trust.Text)
	}
	before := u.p.Judgement().Load.TotalKg
	test.Tap(f.save)
	u.settle()
	r, ok := u.carriedRow("own_grandfather_s_strop")
	if !ok {
		t.Fatalf("it is not carried: %v", u.p.plan.Own)
	}
	if got := u.p.Judgement().Load.TotalKg - before; math.Abs(got-2.5) > 1e-6 {
		t.Errorf("it adds %v kg", got)
	}
	u.sees("Your own things").sees("Grandfather's strop")
	saved := t.TempDir() + "/own.trip"
	if _, err := u.p.Doc().Save(saved); err != nil {
		t.Fatal(err)
	}
	back, err := trip.ReadSaved(saved)
	if err != nil || len(back.Plan.Own) != 1 || back.Plan.Own[0].MBSKN != 140 {
		t.Fatalf("saved and opened: %v %v", back.Plan.Own, err)
	}
	// Changed: the same form with the same key.
	g := newOwnForm(s, *must(u.p.plan.OwnItem(r.item.Key)))
	g.lines[0].entry.SetText("3 kg")
	g.keep()
	u.settle()
	if got := u.p.Judgement().Load.TotalKg - before; math.Abs(got-3) > 1e-6 {
		t.Errorf("changed to 3 kg it adds %v kg", got)
	}
	s.forgetOwn(u.p.plan.Own[0])
	u.settle()
	if _, still := u.carriedRow(r.item.Key); still || len(u.p.plan.Own) != 0 {
		t.Error("a forgotten thing is still there")
	}
	u.does("undo").does("undo").does("undo")
	if len(u.p.plan.Own) != 0 || math.Abs(u.p.Judgement().Load.TotalKg-before) > 1e-9 {
		t.Error("undo does not take the thing back")
	}
}

func must[T any](v T, ok bool) T {
	if !ok {
		panic("not there")
	}
	return v
}

// TestRatingsAreAskedFor: a force-bearing piece that says nothing of its rating is asked for, and no longer when
// it is typed.
func TestRatingsAreAskedFor(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.does("screen3")
	u.p.Edit("own", "", func(pl *trip.Plan) {
		pl.Own = append(pl.Own, trip.OwnItem{Key: "own_s", Title: "rusty shackle", StandsFor: "shackle", MassKg: 1})
		pl.Trip.Party.Load = append(pl.Trip.Party.Load, risk.LoadItem{Item: "own_s", Count: 1})
	})
	u.settle()
	u.sees("Ratings asked for").sees("Rusty shackle")
	u.p.Edit("own", "", func(pl *trip.Plan) { pl.Own[0].WLLKN = 46 })
	u.settle()
	u.doesNotSee("Ratings asked for")
}

// TestAdviceForTheSecondVehicle: what is worth adding there goes into its load by the button beside it, the own load
// stays as it is, and undo takes it out again.
func TestAdviceForTheSecondVehicle(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.does("screen3").doesNotSee("Worth adding in the second vehicle")
	u.does("screen1").tap("Together").does("screen3").sees("Worth adding in the second vehicle")
	count := func(party *risk.Party) (n float64) {
		for _, l := range party.Load {
			if l.Item == "winch" {
				n += l.Count
			}
		}
		return n
	}
	theirs, ours := count(u.p.plan.Trip.Partner), count(&u.p.plan.Trip.Party)
	for _, o := range u.shell.load.advice.Objects {
		if strings.Contains(textsOf(o), "+0.7 with a winch") {
			u.tapIn("Carry", o)
			break
		}
	}
	if got := count(u.p.plan.Trip.Partner); got != theirs+1 {
		t.Errorf("the second vehicle carries %v winches, want %v", got, theirs+1)
	}
	if got := count(&u.p.plan.Trip.Party); got != ours {
		t.Errorf("the own vehicle carries %v winches, want %v as before", got, ours)
	}
	u.does("undo")
	if got := count(u.p.plan.Trip.Partner); got != theirs {
		t.Errorf("after undo the second vehicle carries %v winches, want %v", got, theirs)
	}
	u.p.Edit("x", "", func(pl *trip.Plan) { pl.Trip.Partner = nil })
	u.p.AddItemsToSecond("a winch", []risk.LoadItem{{Item: "winch", Count: 1}})
	u.settle()
	if got := count(&u.p.plan.Trip.Party); got != ours || u.p.plan.Trip.Partner != nil {
		t.Errorf("without a second vehicle its thing went into the own load (%v, want %v) or made one", got, ours)
	}
}

// TestFrontier: the picture's marks are chosen by keys, and the set is carried by its button.
func TestFrontier(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.does("screen3")
	s := u.shell.load
	s.told.Frontier = []risk.Pack{{Readiness: 80, Exact: true}, {Readiness: 82, Kg: 3, Title: "a tall jack", Items: []risk.LoadItem{{Item: "high_lift_jack", Count: 1}}, UpTo: 83}}
	s.showAdvice()
	var view *frontierView
	for _, o := range s.advice.Objects {
		if v, ok := o.(*frontierView); ok {
			view = v
		}
	}
	if view == nil {
		t.Fatal("there is no picture of readiness against kilograms")
	}
	u.sees("Choose a mark first.")
	view.FocusGained()
	view.TypedKey(&fyne.KeyEvent{Name: fyne.KeyRight})
	u.sees("There is nothing to add in this one.")
	view.TypedKey(&fyne.KeyEvent{Name: fyne.KeyRight})
	u.sees("82.0 with a tall jack").sees("none above 83.0")
	u.tap("Carry this set")
	n := 0.0
	for _, l := range u.p.plan.Trip.Party.Load {
		if l.Item == "high_lift_jack" {
			n += l.Count
		}
	}
	if n < 1 {
		t.Error("the set is not carried")
	}
}
