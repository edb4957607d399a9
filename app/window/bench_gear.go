package window

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/bench"
	"lastroad/app/units"
	"lastroad/risk/recovery"
)

// gearCard lists the pieces of the chain, each with its rating. A piece without one is asked for it: it
// bears nothing until then.
func (s *benchScreen) gearCard() fyne.CanvasObject {
	var rows []fyne.CanvasObject
	for i := range s.ask.Kit.Gear {
		rows = append(rows, s.piece(i))
	}
	if len(rows) == 0 {
		rows = append(rows, soft(tr("No gear is on the bench: without shackles, straps and rated points no rig can hold.")))
	}
	kinds := make([]string, len(recovery.Kinds))
	for i, k := range recovery.Kinds {
		kinds[i] = tr(k.String())
	}
	add := widget.NewSelect(kinds, nil)
	add.PlaceHolder = tr("Add a piece…")
	add.OnChanged = func(string) {
		if i := add.SelectedIndex(); i >= 0 {
			s.ask.Kit.Gear = append(s.ask.Kit.Gear, recovery.Gear{Kind: recovery.Kinds[i], Count: 1})
			s.rebuild()
		}
	}
	return card(tr("Gear of the chain"), append(rows, add)...)
}

// long reports whether a kind of gear has a length that matters.
func long(k recovery.Kind) bool {
	return slices.Contains([]recovery.Kind{recovery.Strap, recovery.TreeStrap, recovery.Sling, recovery.ExtRope, recovery.Chain, recovery.KineticRope, recovery.KineticStrap}, k)
}

// point reports whether a kind of gear sits on a vehicle.
func isPoint(k recovery.Kind) bool {
	return slices.Contains([]recovery.Kind{recovery.FramePoint, recovery.BoltedPoint, recovery.Receiver, recovery.TieDown, recovery.BumperHook, recovery.TowBall}, k)
}

func (s *benchScreen) piece(i int) fyne.CanvasObject {
	g := &s.ask.Kit.Gear[i]
	title := tr(g.Kind.String())
	if g.Name != "" {
		title = spoken(g.Name)
	}
	name := bold(capital(title))
	name.Truncation = fyne.TextTruncateEllipsis
	remove := newToolButton(theme.DeleteIcon(), s.tips, takeAway, func() {
		s.ask.Kit.Gear = slices.Delete(s.ask.Kit.Gear, i, i+1)
		s.rebuild()
	})
	remove.Importance = widget.LowImportance
	rows := []fyne.CanvasObject{container.NewBorder(nil, nil, nil, remove, name)}
	if g.Name != "" {
		if kind := tr(g.Kind.String()); kind != title {
			rows = append(rows, soft(kind))
		}
	}
	rows = append(rows, s.number(tr("Pieces"), 1, 50, &g.Count, 1))
	if g.Kind != recovery.Damper {
		missing := soft("")
		missing.Importance = widget.WarningImportance
		mark := func() {
			one := recovery.Kit{Gear: []recovery.Gear{*g}}
			bears := s.tab.Bears(*g)
			switch {
			case len(bench.Unrated(s.tab, one)) > 0:
				missing.SetText("⚠ " + tr("What is stamped on it? Until a rating is given it bears nothing."))
				missing.Show()
			case bears.Refused != "":
				missing.SetText("✗ " + s.p.both(bench.Sentence(spoken(bears.Refused))))
				missing.Show()
			default:
				missing.Hide()
			}
		}
		wll := s.figure(tr("Working load limit"), units.Force, recovery.Allowed.ForceKN, 1, &g.WLLKN, tr("not stamped"))
		mbs := s.figure(tr("Breaking strength"), units.Force, recovery.Allowed.ForceKN, 1, &g.MBSKN, tr("not stamped"))
		for _, f := range []*quantityField{wll, mbs} {
			write := f.spec.write
			f.spec.write = func(v float64) { write(v); mark() }
		}
		mark()
		rows = append(rows, wll, mbs, missing)
		if g.Kind == recovery.Shackle {
			rows = append(rows, s.tick(tr("Alloy steel"), &g.Alloy))
		}
	}
	if long(g.Kind) {
		rows = append(rows, s.figure(tr("Length"), units.Length, recovery.Allowed.GearM, 1, &g.LengthM, tr("not given")))
	}
	if g.Kind == recovery.Block {
		rows = append(rows, s.figure(tr("Sheave diameter"), units.Small, recovery.Allowed.SheaveMM, 0.001, &g.SheaveMM, tr("not given")))
	}
	if isPoint(g.Kind) {
		places := []string{"", "front", "rear", "partner"}
		rows = append(rows, s.pick(tr("Sits at the"), []string{tr("either end"), tr("front"), tr("rear"), tr("second vehicle")}, max(0, indexOf(places, g.Place)), func(k int) { g.Place = places[k] }))
	}
	return container.NewStack(newPanel(theme.ColorNameBackground, 4), container.NewPadded(container.New(column{}, rows...)))
}

// anchorCard lists the anchors that could be used.
func (s *benchScreen) anchorCard() fyne.CanvasObject {
	var rows []fyne.CanvasObject
	for i := range s.ask.Site.Anchors {
		rows = append(rows, s.anchor(&s.ask.Site.Anchors[i], func() {
			s.ask.Site.Anchors = slices.Delete(s.ask.Site.Anchors, i, i+1)
			s.rebuild()
		}))
	}
	if len(rows) == 0 {
		rows = append(rows, soft(tr("No anchor is on the bench. Is there a live tree, a sound rock, a vehicle, or something to bury?")))
	}
	names := make([]string, len(recovery.AnchorKinds))
	for i, k := range recovery.AnchorKinds {
		names[i] = tr(k.String())
	}
	add := widget.NewSelect(names, nil)
	add.PlaceHolder = tr("Add an anchor…")
	add.OnChanged = func(string) {
		if i := add.SelectedIndex(); i >= 0 {
			a := recovery.Anchor{Kind: recovery.AnchorKinds[i]}
			if a.Kind == recovery.Vehicle {
				a.Ground = s.ask.Stuck.Ground
			}
			s.ask.Site.Anchors = append(s.ask.Site.Anchors, a)
			s.rebuild()
		}
	}
	return card(tr("Anchors at hand"), append(rows, add)...)
}

// anchor is the fields of one anchor; remove is nil where it must stay (of a turning block), and its kind
// can be chosen there instead.
func (s *benchScreen) anchor(a *recovery.Anchor, remove func()) fyne.CanvasObject {
	var rows []fyne.CanvasObject
	if remove == nil {
		names := make([]string, len(recovery.AnchorKinds))
		for i, k := range recovery.AnchorKinds {
			names[i] = tr(k.String())
		}
		rows = append(rows, s.pick(tr("Anchor"), names, indexOf(recovery.AnchorKinds, a.Kind), func(i int) {
			*a = recovery.Anchor{Kind: recovery.AnchorKinds[i], Ground: s.ask.Stuck.Ground}
			s.build()
		}))
	} else {
		b := newToolButton(theme.DeleteIcon(), s.tips, takeAway, remove)
		b.Importance = widget.LowImportance
		rows = append(rows, container.NewBorder(nil, nil, nil, b, bold(capital(tr(a.Kind.String())))))
	}
	soil := func() {
		soils := s.tab.Soils()
		names := make([]string, len(soils))
		for i, k := range soils {
			names[i] = soilText(k)
		}
		rows = append(rows, s.pick(tr("Soil"), names, indexOf(soils, a.Soil), func(i int) {
			a.Soil = soils[i]
			if a.Kind == recovery.Pickets {
				a.Picket = ""
				s.build()
			}
		}))
	}
	switch a.Kind {
	case recovery.Tree:
		rows = append(rows, s.figure(tr("Trunk diameter"), units.Small, recovery.Allowed.TrunkMM, 0.001, &a.TrunkMM, tr("not measured")), s.tick(tr("Dead, rotten or loose"), &a.Dead))
	case recovery.Vehicle:
		rows = append(rows, s.figure(tr("Loaded mass"), units.Mass, recovery.Allowed.MassKg, 1, &a.MassKg, tr("needed")), s.groundPick(tr("Ground under it"), &a.Ground),
			s.zeroFigure(tr("Grade towards the load"), units.Share, recovery.Allowed.Grade, 1, &a.Grade), s.tick(tr("Its wheels are chocked"), &a.Chocked))
	case recovery.EarthHook:
		rows = append(rows, s.figure(tr("Working load limit"), units.Force, recovery.Allowed.ForceKN, 1, &a.WLLKN, tr("not stamped")))
		soil()
	case recovery.Pickets:
		soil()
		if groups := s.tab.Groups(a.Soil); len(groups) > 0 {
			names := make([]string, len(groups))
			for i, g := range groups {
				names[i] = picketText(g)
			}
			rows = append(rows, s.pick(tr("Set"), names, max(0, indexOf(groups, a.Picket)), func(i int) { a.Picket = groups[i] }))
			if a.Picket == "" {
				a.Picket = groups[0]
			}
			rows = append(rows, s.number(tr("How many"), 1, 20, &a.Count, 1))
		}
	case recovery.SpareWheel, recovery.Deadman:
		soil()
		least, _ := s.tab.DeadmanDepth()
		face := tr("Wheel diameter")
		if a.Kind == recovery.Deadman {
			face = tr("Thickness of the log")
		}
		rows = append(rows, s.figure(tr("Depth of its middle"), units.Length, recovery.Range{Low: least, High: 5}, 1, &a.DepthM, tr("needed")),
			s.figure(face, units.Length, recovery.Allowed.FaceM, 1, &a.FaceM, tr("needed")))
		if a.Kind == recovery.Deadman {
			rows = append(rows, s.figure(tr("Length of the log"), units.Length, recovery.Allowed.LogM, 1, &a.LengthM, tr("needed")), s.tick(tr("Round log, not timber"), &a.Log))
		}
		slopes := []float64{0, 0.5, 1.0 / 3, 0.25}
		rows = append(rows, s.pick(tr("Slope of the rope"), []string{tr("1 in 1, the safe one"), tr("1 in 2"), tr("1 in 3"), tr("1 in 4")}, max(0, indexOf(slopes, a.Slope)), func(i int) { a.Slope = slopes[i] }))
	}
	return container.NewStack(newPanel(theme.ColorNameBackground, 4), container.NewPadded(container.New(column{}, rows...)))
}

func takeAway() string { return tr("Take it away") }
