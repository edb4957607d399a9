package window

import (
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/trip"
	"lastroad/app/units"
	"lastroad/geo"
	"lastroad/risk/recovery"
)

// figure is a field for one figure of the bench. scale is base units of the quantity to one of the value
// (0.001 for a value in millimetres shown as a size).
func (s *benchScreen) figure(label string, q units.Quantity, r recovery.Range, scale float64, v *float64, needed string) *quantityField {
	f := newQuantityField(s.p, fieldSpec{label: label, quantity: q, low: r.Low * scale, high: r.High * scale, needed: needed,
		read:  func() float64 { return *v * scale },
		write: func(x float64) { *v = x / scale; s.changed() },
		get:   func(*trip.Plan) float64 { return math.NaN() }})
	s.fields = append(s.fields, f)
	return f
}

// zeroFigure is a figure whose 0 means 0.
func (s *benchScreen) zeroFigure(label string, q units.Quantity, r recovery.Range, scale float64, v *float64) *quantityField {
	f := newQuantityField(s.p, fieldSpec{label: label, quantity: q, low: r.Low * scale, high: r.High * scale, zero: true,
		read: func() float64 { return *v * scale },
		write: func(x float64) {
			if x != x {
				x = 0
			}
			*v = x / scale
			s.changed()
		}})
	s.fields = append(s.fields, f)
	return f
}

// standing adds what is taken where a figure is left empty.
func standing(f *quantityField, base float64) *quantityField {
	f.spec.standard = func(*trip.Plan) float64 { return base }
	f.show()
	return f
}

func (s *benchScreen) tick(label string, v *bool) fyne.CanvasObject {
	c := widget.NewCheck("", nil)
	c.Checked = *v
	c.OnChanged = func(on bool) { *v = on; s.changed() }
	return checkRow(c, label)
}

// pick is one of some choices.
func (s *benchScreen) pick(label string, names []string, at int, set func(int)) fyne.CanvasObject {
	sel := widget.NewSelect(names, nil)
	if at >= 0 {
		sel.SetSelectedIndex(at)
	}
	sel.OnChanged = func(string) { set(sel.SelectedIndex()); s.changed() }
	return container.New(pairRow{}, prose(label), sel)
}

// number is a small whole number.
func (s *benchScreen) number(label string, low, high int, v *int, empty int) *quantityField {
	f := newQuantityField(s.p, fieldSpec{label: label, quantity: units.Number, low: float64(low), high: float64(high), zero: low == 0,
		read: func() float64 { return float64(*v) },
		write: func(x float64) {
			if x != x || x == 0 && low > 0 {
				x = float64(empty)
			}
			*v = int(math.Round(x))
			s.changed()
		}})
	s.fields = append(s.fields, f)
	return f
}

var oneKilo = recovery.Range{Low: 0, High: 1}

// build makes the form anew: after something was added or taken away, or other units were chosen. Figures
// that are only changed need none of it.
func (s *benchScreen) build() {
	s.fields = nil
	s.from.SetText(s.origin)
	s.form.Objects = []fyne.CanvasObject{s.stuckCard(), s.winchCard(), s.handWinchCard(), s.secondCard(), s.siteCard(), s.anchorCard(), s.gearCard(), s.digCard()}
	s.form.Refresh()
}

// rebuild is for buttons that add or take away.
func (s *benchScreen) rebuild() {
	s.build()
	s.changed()
}

func (s *benchScreen) groundPick(label string, g *geo.Ground) fyne.CanvasObject {
	var names []string
	for k := geo.Unknown; k < geo.NumGrounds; k++ {
		names = append(names, groundText(k))
	}
	return s.pick(label, names, int(*g), func(i int) {
		before := *g
		if *g = geo.Ground(i); g == &s.ask.Stuck.Ground && (before == geo.LedgeRock) != (*g == geo.LedgeRock) {
			s.build() // the depths are worded otherwise
		}
	})
}

func (s *benchScreen) stuckCard() fyne.CanvasObject {
	st := &s.ask.Stuck
	var depths []string
	for d := recovery.Tread; d < recovery.NumDepths; d++ {
		depths = append(depths, stuckText(d, st.Ground))
	}
	return card(tr("What is stuck"),
		s.figure(tr("Loaded mass"), units.Mass, recovery.Allowed.MassKg, 1, &st.MassKg, tr("needed")),
		s.groundPick(tr("Ground"), &st.Ground),
		s.pick(tr("How deep"), depths, int(st.Depth), func(i int) { st.Depth = recovery.Depth(i) }),
		s.zeroFigure(tr("Grade, + is up"), units.Share, recovery.Allowed.Grade, 1, &st.Grade),
		s.tick(tr("Its wheels are locked"), &st.Locked), s.tick(tr("Its own wheels can drive along"), &st.WheelsDriving),
		s.tick(tr("It hangs on rock"), &st.Hung), s.tick(tr("It lies on its side"), &st.OnSide), s.tick(tr("It stands in water"), &st.InWater))
}

func (s *benchScreen) winchCard() fyne.CanvasObject {
	w := s.ask.Kit.Winch
	if w == nil {
		return card(tr("Winch"), soft(tr("No winch is on the bench.")), newAction(tr("Add a winch"), theme.ContentAddIcon(), func() {
			s.ask.Kit.Winch = &recovery.Winch{Rope: recovery.Rope{Material: recovery.HMPE}}
			s.rebuild()
		}))
	}
	ropes := []recovery.Material{recovery.HMPE, recovery.Steel}
	ends := []recovery.End{"", recovery.EndSplice, recovery.EndPressed, recovery.EndClips, recovery.EndKnot}
	rope := &w.Rope
	drum, width := s.drum()
	return card(tr("Winch"),
		s.figure(tr("Rated pull"), units.Force, recovery.Allowed.ForceKN, 1, &w.RatedKN, tr("needed")),
		soft(tr("As stamped: on the first layer of rope.")),
		s.pick(tr("Rope"), []string{tr("fibre (HMPE)"), tr("steel wire")}, indexOf(ropes, rope.Material), func(i int) { rope.Material = ropes[i] }),
		s.figure(tr("Rope diameter"), units.Small, recovery.Allowed.RopeMM, 0.001, &rope.DiameterMM, tr("needed")),
		s.figure(tr("Rope length"), units.Length, recovery.Allowed.LineM, 1, &rope.LengthM, tr("needed")),
		s.figure(tr("Marked breaking strength"), units.Force, recovery.Allowed.ForceKN, 1, &rope.MBSKN, tr("by diameter")),
		s.pick(tr("End of the rope"), []string{tr("not said"), tr("splice"), tr("pressed sleeve"), tr("clips"), tr("knot")}, indexOf(ends, rope.End), func(i int) { rope.End = ends[i] }),
		standing(s.figure(tr("Drum diameter"), units.Small, recovery.Allowed.DrumMM, 0.001, &w.DrumMM, ""), drum),
		standing(s.figure(tr("Drum width"), units.Small, recovery.Allowed.DrumMM, 0.001, &w.DrumWidthMM, ""), width),
		s.pick(tr("Pulls from the"), []string{tr("front"), tr("rear")}, max(0, indexOf([]string{"front", "rear"}, w.Place)), func(i int) { w.Place = []string{"front", "rear"}[i] }),
		newAction(tr("Take the winch away"), theme.DeleteIcon(), func() { s.ask.Kit.Winch = nil; s.rebuild() }))
}

// drum is the typical drum that is taken when none is given, in metres.
func (s *benchScreen) drum() (diameter, width float64) {
	return s.tab.Rope["drum_mm"].Central / 1000, s.tab.Rope["drum_width_mm"].Central / 1000
}

func (s *benchScreen) handWinchCard() fyne.CanvasObject {
	w := s.ask.Kit.HandWinch
	if w == nil {
		return card(tr("Hand winch"), newAction(tr("Add a hand winch"), theme.ContentAddIcon(), func() {
			s.ask.Kit.HandWinch = &recovery.Winch{Manual: true, Rope: recovery.Rope{Material: recovery.Steel, DiameterMM: 11}}
			s.rebuild()
		}))
	}
	rated := s.figure(tr("Rated pull"), units.Force, recovery.Allowed.ForceKN, 1, &w.RatedKN, tr("needed"))
	// Its rope is the maker's part of it: as strong as its mark asks for with the design factor of slings.
	rated.spec.write = func(kN float64) { w.RatedKN, w.Rope.MBSKN = kN, 5*kN; s.changed() }
	return card(tr("Hand winch"), rated,
		s.figure(tr("Rope length"), units.Length, recovery.Allowed.LineM, 1, &w.Rope.LengthM, tr("needed")),
		newAction(tr("Take the hand winch away"), theme.DeleteIcon(), func() { s.ask.Kit.HandWinch = nil; s.rebuild() }))
}

func (s *benchScreen) secondCard() fyne.CanvasObject {
	v := s.ask.Tug
	if s.ask.Site.Helper != nil {
		v = s.ask.Site.Helper
	}
	if v == nil {
		return card(tr("Second vehicle"), newAction(tr("Add a second vehicle"), theme.ContentAddIcon(), func() {
			s.ask.Tug = &recovery.Anchor{Kind: recovery.Vehicle, Ground: s.ask.Stuck.Ground, Chocked: true}
			s.rebuild()
		}))
	}
	bears := widget.NewCheck("", nil)
	bears.Checked = s.ask.Site.Helper != nil
	bears.OnChanged = func(on bool) {
		if on {
			s.ask.Tug, s.ask.Site.Helper = nil, v
			v.Name = "winch vehicle"
		} else {
			s.ask.Tug, s.ask.Site.Helper = v, nil
			v.Name = ""
		}
		s.changed()
	}
	return card(tr("Second vehicle"),
		s.figure(tr("Loaded mass"), units.Mass, recovery.Allowed.MassKg, 1, &v.MassKg, tr("needed")),
		s.groundPick(tr("Ground under it"), &v.Ground), s.tick(tr("Its wheels are chocked"), &v.Chocked), checkRow(bears, tr("The winch stands on it")),
		soft(tr("It is reckoned as a pull on a static strap by its own grip. As an anchor, add it below.")),
		newAction(tr("Leave the second vehicle out"), theme.DeleteIcon(), func() { s.ask.Tug, s.ask.Site.Helper = nil, nil; s.rebuild() }))
}

func (s *benchScreen) siteCard() fyne.CanvasObject {
	site := &s.ask.Site
	rows := []fyne.CanvasObject{
		s.figure(tr("Distance to the anchor"), units.Length, recovery.Allowed.DistanceM, 1, &site.DistanceM, tr("typical")),
		s.figure(tr("Way it must be drawn"), units.Length, recovery.Allowed.TravelM, 1, &site.TravelM, tr("typical")),
		s.number(tr("Most parts of line"), 1, 4, &site.MaxAdvantage, 0),
	}
	rows = append(rows, standing(s.figure(tr("Loss in each sheave"), units.Share, recovery.Range{Low: 0.001, High: 0.5}, 1, &site.Tackle.PerSheave, ""), s.tab.Sheave["per_sheave"].Central))
	if t := site.Turn; t != nil {
		rows = append(rows, bold(tr("Turning block")),
			s.figure(tr("Angle between the legs"), units.Angle, recovery.Allowed.AngleDeg, 1, &t.AngleDeg, tr("needed")),
			s.figure(tr("From it to the anchor"), units.Length, recovery.Allowed.DistanceM, 1, &t.DistanceM, tr("needed")),
			soft(tr("What holds the turning block:")), s.anchor(&t.Anchor, nil),
			newAction(tr("Pull straight"), theme.DeleteIcon(), func() { site.Turn = nil; s.rebuild() }))
	} else {
		rows = append(rows, newAction(tr("Pull round a turning block"), theme.ContentAddIcon(), func() {
			site.Turn = &recovery.Turn{AngleDeg: 90, DistanceM: 8, Anchor: recovery.Anchor{Kind: recovery.Tree}}
			s.rebuild()
		}))
	}
	return card(tr("Site"), rows...)
}

func (s *benchScreen) digCard() fyne.CanvasObject {
	return card(tr("Digging"), s.number(tr("People who dig"), 0, 20, &s.ask.People, 0), s.number(tr("Spades"), 0, 20, &s.ask.Spades, 0))
}
