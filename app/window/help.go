package window

import (
	"image"
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/plot"
	"lastroad/geo"
	"lastroad/risk"
)

// showKeys is the page of all actions with their keys, made from the table of actions.
func (s *shell) showKeys() {
	grid := container.New(&needGrid{two: true})
	for _, a := range s.actions {
		k := keyText(a.shortcut)
		for _, e := range a.extra {
			k += ", " + keyText(e)
		}
		if k != "" {
			grid.Add(prose(a.label))
			grid.Add(prose(k))
		}
	}
	for _, r := range [][2]string{
		{tr("On the map: move, zoom"), tr("arrows, + and −, drag, wheel")},
		{tr("On the map: whole route, chosen leg"), tr("Home; End or Enter")},
		{tr("On the map and the strip: previous and next leg"), tr("Page up, Page down")},
		{tr("On the map and the strip: what can be done at a place"), tr("secondary button")},
		{tr("While drawing on the map: finish, give up, take the last place back"), tr("Enter, Escape, Backspace")},
		{tr("On the strip: move the mark, previous and next leg"), tr("up and down, left and right")},
		{tr("On the strip: what can be done at the mark"), tr("Enter")},
		{tr("On the strip: mark a stretch"), tr("drag, or Space at both ends; Escape unmarks")},
		{tr("On the strip: zoom, move along, the whole route"), tr("wheel or + and −, Shift and wheel, Home")},
		{tr("Walk through fields and buttons, press"), tr("Tab, Shift+Tab, Space")},
		{tr("Leave a sheet or the tour"), tr("Escape")},
	} {
		grid.Add(prose(r[0]))
		grid.Add(prose(r[1]))
	}
	s.page(tr("Keys and what they do"), grid)
}

func (s *shell) page(title string, o fyne.CanvasObject) {
	d := dialog.NewCustom(title, tr("Close"), container.NewVScroll(o), s.win)
	z := s.win.Canvas().Size()
	d.Resize(fyne.NewSize(min(640, z.Width*0.9), min(620, z.Height*0.85)))
	s.p.present(s.win, d)
}

// picture is a small fixed picture drawn by f.
func picture(w, h float32, f func(c plot.Canvas, p *plot.Palette)) fyne.CanvasObject {
	pen := plot.NewRaster(pictureFonts())
	r := newPicture(func(pw, ph int) image.Image {
		img := image.NewRGBA(image.Rect(0, 0, pw, ph))
		pen.Begin(img)
		pen.Clear(color.NRGBA{})
		f(pen, palette())
		return img
	})
	r.SetMinSize(fyne.NewSize(w, h))
	return r
}

// showLegend explains the signs of map and strip.
func (s *shell) showLegend() {
	box := container.New(column{gap: 2})
	row := func(pic fyne.CanvasObject, text string) {
		box.Add(container.NewBorder(nil, nil, container.NewGridWrap(fyne.NewSize(70, 30), container.NewCenter(pic)), nil, prose(text)))
	}
	box.Add(heading(tr("The route")))
	for _, w := range []struct {
		word string
		r    float64
		text string
	}{
		{"ready", 95, tr("Ready: nearly all of the trouble to be expected can be ended. Plain, thin, violet.")},
		{"thin", 60, tr("Thin: a good part is not covered. Broader, with a light broken line.")},
		{"not ready", 25, tr("Not ready: much is not covered, or a stop stands in the way. Broadest, with notches.")},
	} {
		row(picture(60, 22, func(c plot.Canvas, p *plot.Palette) { plot.RouteSample(c, risk.Score{Readiness: w.r, Word: w.word}, p) }), w.text)
	}
	row(picture(60, 14, plot.WayOutSample), tr("From the chosen leg's remotest place straight to the nearest maintained road."))
	row(picture(60, 14, plot.HelpLineSample), tr("From there straight to the nearest place where somebody can act or be called from: settlement, medical help, police, workshop, telephone."))
	row(picture(22, 30, func(c plot.Canvas, p *plot.Palette) {
		w, h := c.Size()
		plot.ReturnMark(c, plot.Pt{X: w * 0.25, Y: h * 0.86}, h/34, p)
	}), tr("From here going on is no longer than turning back."))
	for _, k := range []struct {
		kind geo.HelpKind
		text string
	}{{geo.HelpFuel, tr("From here going on to the next fuel takes less than going back to the last.")}, {geo.HelpWater, tr("From here going on to the next water you take on takes less than going back to the last.")}} {
		row(picture(24, 34, func(c plot.Canvas, p *plot.Palette) {
			w, h := c.Size()
			plot.SupplyMark(c, plot.Pt{X: w * 0.82, Y: h * 0.88}, h/38, p, k.kind)
		}), k.text)
	}
	row(picture(40, 34, func(c plot.Canvas, p *plot.Palette) {
		w, h := c.Size()
		plot.NoReturnMark(c, plot.Pt{X: w * 0.9, Y: h * 0.88}, h/38, p)
	}), tr("Point of no return: from here going on is nearer in fuel and in water."))
	box.Add(heading(tr("On the line")))
	for _, m := range []struct {
		k geo.MarkKind
		t string
	}{{geo.MarkFord, tr("Ford")}, {geo.MarkGate, tr("Gate: may be shut or locked")}, {geo.MarkStop, tr("Stop or camp")}, {geo.MarkPrivate, tr("Private or closed ground")},
		{geo.MarkWater, tr("Watercourse without bridge or ford on the map: perhaps a ford")}} {
		// The map's plate and, of crossings, the strip's small sign beside it.
		row(picture(40, 22, func(c plot.Canvas, p *plot.Palette) {
			w, h := c.Size()
			plot.MarkSymbol(c, plot.Pt{X: h / 2, Y: h / 2}, h/2-1, m.k, p)
			plot.CrossingSign(c, plot.Pt{X: w - 0.35*h, Y: h / 2}, 0.24*h, m.k, p)
		}), m.t)
	}
	box.Add(heading(tr("Help")))
	for _, k := range []geo.HelpKind{geo.HelpMedical, geo.HelpFuel, geo.HelpWorkshop, geo.HelpPolice, geo.HelpWater, geo.HelpSpring, geo.HelpHut, geo.HelpPhone} {
		row(picture(22, 22, func(c plot.Canvas, p *plot.Palette) {
			w, h := c.Size()
			plot.HelpSymbol(c, plot.Pt{X: w / 2, Y: h / 2}, h/2-1, k, p)
		}), helpText(k))
	}
	box.Add(heading(tr("Ways")))
	row(picture(60, 14, func(c plot.Canvas, p *plot.Palette) {
		w, h := c.Size()
		a, b := plot.Pt{X: 4, Y: h / 2}, plot.Pt{X: w - 4, Y: h / 2}
		plot.Line(c, plot.Stroke{Width: h * 0.5, Color: p.RoadCase}, a, b)
		plot.Line(c, plot.Stroke{Width: h * 0.34, Color: p.Road}, a, b)
	}), tr("Maintained road: an ordinary recovery truck or ambulance would drive it."))
	row(picture(60, 14, func(c plot.Canvas, p *plot.Palette) {
		w, h := c.Size()
		plot.Line(c, plot.Stroke{Width: h * 0.12, Color: p.Track}, plot.Pt{X: 4, Y: h / 2}, plot.Pt{X: w - 4, Y: h / 2})
	}), tr("Track: not counted as maintained."))
	row(picture(60, 14, func(c plot.Canvas, p *plot.Palette) {
		w, h := c.Size()
		plot.Line(c, plot.Stroke{Width: h * 0.1, Color: p.Path, Dash: []float32{h * 0.25, h * 0.25}}, plot.Pt{X: 4, Y: h / 2}, plot.Pt{X: w - 4, Y: h / 2})
	}), tr("Path: on foot only."))
	box.Add(heading(tr("Ground cover")))
	for k, name := range coverTexts() {
		row(picture(60, 26, func(c plot.Canvas, p *plot.Palette) { plot.CoverSample(c, plot.Cover(k), p) }), name)
	}
	box.Add(heading(tr("Ground of the route, on the strip")))
	for g := geo.Unknown; g < geo.NumGrounds; g++ {
		row(picture(60, 18, func(c plot.Canvas, p *plot.Palette) { plot.GroundSample(c, g, p) }), groundText(g))
	}
	s.page(tr("Signs and colours"), box)
}

func (s *shell) showSettings() {
	now := s.p.settings
	themes := []string{"system", "light", "dark"}
	themeNames := []string{tr("As the system"), tr("Light"), tr("Dark")}
	unitKeys := []string{"metric", "us", "imperial"}
	unitNames := []string{tr("Metric"), tr("US"), tr("Imperial")}
	sizes := []float32{0.9, 1, 1.15, 1.3, 1.5}
	sizeNames := []string{tr("Small"), tr("As designed"), tr("Large"), tr("Larger"), tr("Largest")}
	pick := func(names []string, at int, set func(int)) *widget.Select {
		sel := widget.NewSelect(names, nil)
		sel.SetSelectedIndex(max(0, at))
		sel.OnChanged = func(string) { set(sel.SelectedIndex()) }
		return sel
	}
	change := func(f func(*Settings)) {
		n := s.p.settings
		f(&n)
		s.p.SetSettings(n)
	}
	form := container.New(layout.NewFormLayout(),
		plainText(tr("Colours")), pick(themeNames, indexOf(themes, now.Theme), func(i int) { change(func(n *Settings) { n.Theme = themes[i] }) }),
		plainText(tr("Units")), pick(unitNames, indexOf(unitKeys, now.Units), func(i int) { change(func(n *Settings) { n.Units = unitKeys[i] }) }),
		plainText(tr("Text size")), pick(sizeNames, indexOf(sizes, now.TextSize), func(i int) { change(func(n *Settings) { n.TextSize = sizes[i] }) }),
	)
	d := dialog.NewCustom(tr("Settings"), tr("Close"), form, s.win)
	d.Resize(fyne.NewSize(420, 220))
	s.p.present(s.win, d)
}

func indexOf[T comparable](list []T, v T) int {
	for i, x := range list {
		if x == v {
			return i
		}
	}
	return -1
}

func (s *shell) toggleDark() {
	n := s.p.settings
	n.Theme = "dark"
	if palette().Dark {
		n.Theme = "light"
	}
	s.p.SetSettings(n)
}

// coverTexts are the kinds of ground cover in words, in the order of plot's covers.
func coverTexts() []string {
	return []string{tr("Built-up ground"), tr("Farmland"), tr("Grassland"), tr("Low bushes"), tr("Wood"), tr("Loose stones"), tr("Bare rock"), tr("Sand and dunes"),
		tr("Salt flat"), tr("Quarry or diggings"), tr("Marsh"), tr("Ice"), tr("Lake or river")}
}
