package window

import (
	"math"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/trip"
	"lastroad/app/units"
	"lastroad/geo"
)

// showPlaceMenu is the menu of a place of the route: stops, camps, splitting, and the ground of the marked
// stretch.
func (s *shell) showPlaceMenu(atM float64, ok bool, at fyne.Position) {
	if s.p.doc == nil {
		return
	}
	var items []*fyne.MenuItem
	if ok {
		where := s.p.format().Format(units.Distance, atM)
		items = append(items,
			fyne.NewMenuItem(tr("Camp here, {{.D}}", with("D", where)), func() { s.p.addStop(atM, true) }),
			fyne.NewMenuItem(tr("Stop here, {{.D}}", with("D", where)), func() { s.p.addStop(atM, false) }),
			fyne.NewMenuItem(tr("Begin a new leg here"), func() { s.p.legEdit(tr("Split a leg"), trip.LegEdit{Do: "split", FromM: atM}) }))
		if i := s.p.nearStop(atM); i >= 0 {
			name := s.p.plan.Stops[i].Name
			items = append(items, fyne.NewMenuItem(tr("Take away the stop {{.Name}}", with("Name", name)), func() { s.p.removeStop(i) }))
			items = append(items, s.takeOn(i)...)
		}
		leg := s.p.LegAt(atM)
		if leg > 0 {
			items = append(items, fyne.NewMenuItem(tr("Join this leg to the one before"), func() { s.p.joinLeg(leg) }))
		}
		if leg >= 0 {
			lock := tr("Lock this leg")
			if s.p.lockedLeg(leg) {
				lock = tr("Unlock this leg")
			}
			items = append(items, fyne.NewMenuItem(lock, func() { s.p.lockLeg(leg) }))
		}
	}
	if a, b := s.p.stretch[0], s.p.stretch[1]; a == a && b > a {
		sub := fyne.NewMenu("")
		for g := geo.Sealed; g < geo.NumGrounds; g++ {
			sub.Items = append(sub.Items, fyne.NewMenuItem(groundText(g), func() { s.p.paint(a, b, g) }))
		}
		it := fyne.NewMenuItem(tr("The ground of the marked stretch is"), nil)
		it.ChildMenu = sub
		items = append(items, fyne.NewMenuItemSeparator(), it,
			fyne.NewMenuItem(tr("Forget what was said of this ground"), func() { s.p.unpaint(a, b) }))
	}
	if len(items) == 0 {
		items = append(items, fyne.NewMenuItem(tr("Show the whole route"), s.mapv.FitAll))
	}
	widget.ShowPopUpMenuAtPosition(fyne.NewMenu("", items...), s.win.Canvas(), at)
}

// stopReachM is how near a place must be to a stop to mean it.
const stopReachM = 400

func (p *Presenter) nearStop(atM float64) int {
	best, at := math.Inf(1), -1
	for i, st := range p.plan.Stops {
		if d := math.Abs(st.AtM - atM); d < stopReachM && d < best {
			best, at = d, i
		}
	}
	return at
}

func (p *Presenter) addStop(atM float64, night bool) {
	what := tr("Add a stop")
	name := tr("Stop {{.N}}", with("N", len(p.plan.Stops)+1))
	if night {
		what = tr("Add a camp")
		name = tr("Camp {{.N}}", with("N", len(p.plan.Stops)+1))
	}
	p.Edit(what, "", func(pl *trip.Plan) {
		st := trip.Stop{Name: name, AtM: atM, Night: night}
		i := 0
		for i < len(pl.Stops) && pl.Stops[i].AtM < atM {
			i++
		}
		pl.Stops = append(pl.Stops[:i:i], append([]trip.Stop{st}, pl.Stops[i:]...)...)
	})
}

// takeOn are the entries for what is taken on at a stop: litres of drinking water, and a full tank.
func (s *shell) takeOn(i int) []*fyne.MenuItem {
	st := s.p.plan.Stops[i]
	change := func(what string, edit func(*trip.Stop)) func() {
		return func() { s.p.Edit(what, "", func(pl *trip.Plan) { edit(&pl.Stops[i]) }) }
	}
	sub := fyne.NewMenu("")
	for _, l := range []float64{0, 10, 20, 40, 60, 80, 120} {
		name := tr("none")
		if l > 0 {
			name = s.p.format().Format(units.Volume, l)
		}
		it := fyne.NewMenuItem(name, change(tr("Take on water"), func(st *trip.Stop) { st.Water = l }))
		it.Checked = st.Water == l
		sub.Items = append(sub.Items, it)
	}
	water := fyne.NewMenuItem(tr("Drinking water taken on at {{.Name}}", with("Name", st.Name)), nil)
	water.ChildMenu = sub
	fuel := fyne.NewMenuItem(tr("Fuel is filled up at {{.Name}}", with("Name", st.Name)), change(tr("Fill up with fuel"), func(st *trip.Stop) { st.Fuel = !st.Fuel }))
	fuel.Checked = st.Fuel
	return []*fyne.MenuItem{water, fuel}
}

func (p *Presenter) removeStop(i int) {
	p.Edit(tr("Take away a stop"), "", func(pl *trip.Plan) { pl.Stops = append(pl.Stops[:i:i], pl.Stops[i+1:]...) })
}

func (p *Presenter) legEdit(what string, e trip.LegEdit) {
	p.Edit(what, "", func(pl *trip.Plan) { pl.Legs = append(pl.Legs, e) })
}

func (p *Presenter) joinLeg(leg int) {
	s := p.Survey()
	if s == nil || leg < 1 || leg >= len(s.Legs) {
		return
	}
	p.legEdit(tr("Join two legs"), trip.LegEdit{Do: "merge", FromM: s.FromM(leg - 1), ToM: s.ToM(leg)})
}

// lockedLeg reports whether a leg keeps its ends when the route is cut anew.
func (p *Presenter) lockedLeg(leg int) bool {
	s := p.Survey()
	return s != nil && leg >= 0 && leg < len(s.Legs) && s.Legs[leg].Locked
}

// lockLeg locks a leg, or unlocks a locked one.
func (p *Presenter) lockLeg(leg int) {
	s := p.Survey()
	switch {
	case s == nil || leg < 0 || leg >= len(s.Legs):
	case s.Legs[leg].Locked:
		p.legEdit(tr("Unlock a leg"), trip.LegEdit{Do: "unlock", FromM: (s.FromM(leg) + s.ToM(leg)) / 2})
	default:
		p.legEdit(tr("Lock a leg"), trip.LegEdit{Do: "lock", FromM: s.FromM(leg), ToM: s.ToM(leg)})
	}
}

// paint says what the ground of a stretch is; what was said before of any part of it gives way.
func (p *Presenter) paint(a, b float64, g geo.Ground) {
	p.Edit(tr("Say what the ground is"), "", func(pl *trip.Plan) {
		pl.Grounds = append(cutGrounds(pl.Grounds, a, b), trip.GroundChoice{FromM: a, ToM: b, Ground: g})
	})
}

func (p *Presenter) unpaint(a, b float64) {
	p.Edit(tr("Forget what was said of the ground"), "", func(pl *trip.Plan) { pl.Grounds = cutGrounds(pl.Grounds, a, b) })
}

// cutGrounds takes a..b out of the choices, shortening or splitting those that reach into it.
func cutGrounds(list []trip.GroundChoice, a, b float64) (out []trip.GroundChoice) {
	for _, g := range list {
		if g.ToM <= a || g.FromM >= b {
			out = append(out, g)
			continue
		}
		if g.FromM < a {
			out = append(out, trip.GroundChoice{FromM: g.FromM, ToM: a, Ground: g.Ground})
		}
		if g.ToM > b {
			out = append(out, trip.GroundChoice{FromM: b, ToM: g.ToM, Ground: g.Ground})
		}
	}
	return out
}

func (s *shell) reverse() {
	s.p.Edit(tr("Drive the other way"), "", func(pl *trip.Plan) { pl.Turn(s.p.Survey()) })
}

func (s *shell) renameLeg() {
	sv, leg := s.p.Survey(), s.p.chosen
	if sv == nil || leg < 0 {
		return
	}
	e := widget.NewEntry()
	e.SetText(legName(sv, leg))
	d := dialog.NewForm(tr("Rename the leg"), tr("Rename"), tr("Cancel"), []*widget.FormItem{widget.NewFormItem(tr("Name"), e)}, func(ok bool) {
		if name := strings.TrimSpace(e.Text); ok && name != "" {
			// Named by its middle, which a new cut leaves in the leg.
			s.p.legEdit(tr("Rename a leg"), trip.LegEdit{Do: "rename", FromM: (sv.FromM(leg) + sv.ToM(leg)) / 2, Name: name})
		}
	}, s.win)
	d.Resize(fyne.NewSize(420, 150))
	s.p.present(s.win, d)
}
