package window

import (
	"errors"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/plot"
	"lastroad/app/trip"
	"lastroad/app/units"
	"lastroad/geo"
)

// shell is the window's frame: what is done above, the screens in the middle, a line of state below.
type shell struct {
	p    *Presenter
	win  fyne.Window
	pref fyne.Preferences

	actions []*action
	menu    *fyne.MainMenu

	recentMenu *fyne.MenuItem
	applied    *Settings // what the theme was last set to
	wasDark    bool
	tools      map[string]*toolButton

	title, about  *tipLabel
	badge         *badge
	word          *widget.Label
	odds          *fyne.Container
	alone, joint  *toolButton
	tabs          *container.AppTabs
	place, status *widget.Label
	progress      *progressLine
	tips          *tipLayer

	stills *stills
	mapv   *mapView
	strip  *stripView
	list   *legList
	sheet  *legSheet

	papers   *papersScreen
	load     *loadScreen
	together *togetherScreen
	bench    *benchScreen
	tour     *tour
	drives   *drives // while its sheet is open
	logged   logHistory

	drawing  *drawing
	drawnOn  *trip.Document // the document that was open when the drawing began
	drawCard *fyne.Container

	journal keeper
	later   map[int]func() // what builds the screens that are not built yet
	leave   func()         // asks, then closes the window; the start sets it
}

// The screens by their number, in the order of the tabs.
const (
	screenRoute = iota
	screenParty
	screenLoad
	screenTogether
	screenPapers
	screenBench
)

// keeper keeps unsaved edits against a crash; nil keeps nothing.
type keeper interface {
	Keep(p *Presenter)
	// Written runs f once after the next edit is safely kept.
	Written(f func())
	Clear()
}

// newShell builds the window's content. pref may be nil in tests.
func newShell(p *Presenter, win fyne.Window, pref fyne.Preferences) *shell {
	s := &shell{p: p, win: win, pref: pref, tools: map[string]*toolButton{}, tips: newTipLayer(p.post)}
	// First of all watchers: those that follow look up colours, which must be the new ones.
	p.Watch(func(c Change) {
		if c&SettingsChanged != 0 {
			s.applySettings()
		}
	})
	p.tell = s.showError
	s.actions = s.actionTable()
	s.stills = newStills(p.post)
	p.Watch(func(c Change) {
		if c&^(RangeChanged|RangeFollows|HoverChanged) != 0 {
			s.stills.release()
		}
	})
	s.mapv, s.strip = newMapView(p), newStripView(p)
	s.mapv.onMoved, s.mapv.onLeft = s.stills.moved, s.stills.release
	s.list, s.sheet = newLegList(p), newLegSheet(p)
	s.sheet.begin = []*action{s.action("open"), s.action("demo")}
	s.strip.onRange = s.follow
	p.placeMenu = s.showPlaceMenu
	content := container.NewBorder(s.stills.add(s.header()), s.statusLine(), nil, nil, s.screens())
	s.tour = newTour(s, func() {
		if pref != nil {
			pref.SetBool(prefSeen, true)
		}
	})
	win.SetContent(container.NewStack(content, s.tour.layer, s.tips.layer))
	s.buildMenu()
	win.SetOnDropped(func(_ fyne.Position, uris []fyne.URI) { s.drop(filePaths(uris)) })
	p.Watch(s.onChange)
	s.sheet.build()
	s.onChange(^Change(0))
	return s
}

// follow has the map show the kilometres chosen on the strip.
func (s *shell) follow(r plot.Range) {
	a, ok := s.p.SampleAt(r.FromM)
	b, ok2 := s.p.SampleAt(r.ToM)
	if ok && ok2 && s.p.scene != nil {
		s.mapv.fit(s.p.scene.StretchExtent(a, b))
	}
}

func (s *shell) screens() fyne.CanvasObject {
	zoom := container.NewVBox(
		s.toolButton("zoom_in"), s.toolButton("zoom_out"), s.toolButton("fit_all"), s.toolButton("fit_leg"))
	s.drawCard = newDrawingCard(s)
	mapBox := container.NewStack(s.mapv, container.New(&corner{}, zoom), container.New(&topLeft{}, s.missingCard()), s.drawCard)
	left := container.NewVSplit(mapBox, s.strip)
	left.Offset = 0.6
	side := container.NewVSplit(container.New(fixed{260, 120}, container.NewBorder(s.list.whole, nil, nil, nil, s.list.list)), container.New(fixed{260, 120}, s.sheet.root))
	side.Offset = 0.34
	route := container.NewHSplit(left, s.stills.add(side))
	route.Offset = 0.7
	s.p.beforeShow = s.needScreen
	s.p.toBench = func(leg int) {
		s.needScreen(screenBench)
		s.bench.takeLeg(leg)
		s.p.Show(screenBench)
	}
	tab := func(name string, o fyne.CanvasObject) *container.TabItem {
		return container.NewTabItem(name, container.New(fixed{640, 360}, o))
	}
	s.tabs = container.NewAppTabs(tab(tr("Route"), route),
		tab(tr("Party"), s.laterScreen(screenParty, func() fyne.CanvasObject { return newPartyScreen(s.p).object() })),
		tab(tr("Load"), s.laterScreen(screenLoad, func() fyne.CanvasObject { s.load = newLoadScreen(s.p); return s.load.object() })),
		tab(tr("Alone or together"), s.laterScreen(screenTogether, func() fyne.CanvasObject { s.together = newTogetherScreen(s.p); return s.together.object() })),
		tab(tr("Papers"), s.laterScreen(screenPapers, func() fyne.CanvasObject { s.papers = newPapersScreen(s); return s.papers.object() })),
		tab(tr("Recovery bench"), s.laterScreen(screenBench, func() fyne.CanvasObject { s.bench = newBenchScreen(s.p, s.tips); return s.bench.object() })))
	s.tabs.OnSelected = func(*container.TabItem) { s.p.Show(s.tabs.SelectedIndex()) }
	return s.tabs
}

// header is the trip's name and verdict, and the switch between alone and together.
func (s *shell) header() fyne.CanvasObject {
	s.title, s.about = newTipLabel(s.tips, theme.SizeNameSubHeadingText), newTipLabel(s.tips, theme.SizeNameCaptionText)
	s.title.TextStyle.Bold = true
	s.badge = newBadge(62, 32)
	s.word = widget.NewLabel("")
	s.word.TextStyle.Bold = true
	s.odds = container.NewHBox()
	s.alone = newToolButton(nil, s.tips, func() string { return tr("Judge the own vehicle by itself") }, func() { s.p.SetTogether(false) })
	s.alone.SetText(tr("Alone"))
	s.joint = newToolButton(nil, s.tips, func() string {
		if s.p.doc == nil || s.p.plan.Trip.Partner == nil {
			return s.action("together").why()
		}
		return tr("Judge it with the second vehicle along")
	}, func() { s.p.SetTogether(true) })
	s.joint.SetText(tr("Together"))
	right := container.NewHBox(s.odds, container.NewCenter(s.badge), container.NewCenter(s.word), widget.NewSeparator(),
		container.NewCenter(container.New(layout.NewCustomPaddedHBoxLayout(0), s.alone, s.joint)))
	return container.NewStack(newPanel(theme.ColorNameHeaderBackground, 0), container.New(layout.NewCustomPaddedLayout(3, 5, 6, 8),
		container.NewBorder(nil, nil, container.NewCenter(s.toolbar()), right, container.New(tight{}, s.title, s.about))))
}

func (s *shell) statusLine() fyne.CanvasObject {
	s.place, s.status = caption(""), caption("")
	s.status.Truncation = fyne.TextTruncateEllipsis
	s.place.TextStyle.Monospace = true
	s.mapv.onPlace = func(t string) { s.place.SetText(t) }
	s.progress = newProgressLine(s.p)
	return container.NewBorder(widget.NewSeparator(), nil, nil, s.place, container.NewBorder(nil, nil, s.progress.box, nil, s.status))
}

func (s *shell) onChange(c Change) {
	if c&(DocChanged|PlanChanged|SettingsChanged) != 0 {
		s.updateHeader()
	}
	if c&HoverChanged != 0 {
		s.status.SetText(s.hoverText())
	}
	if c&(DocChanged|SceneChanged) != 0 && s.drawing != nil && s.p.doc != nil && !sameLine(s.p.doc, s.drawnOn) {
		s.drawing.leave() // another route was opened under the pen
	}
	if c&ScreenChanged != 0 && s.tabs.SelectedIndex() != s.p.screen {
		s.tabs.SelectIndex(s.p.screen)
	}
	if c&WorkChanged != 0 {
		s.progress.update()
	}
	if c&(DocChanged|PlanChanged|ChosenChanged|WorkChanged|StretchChanged) != 0 {
		s.refreshActions()
	}
	if c&(PlanChanged|DocChanged) != 0 && s.journal != nil {
		s.journal.Keep(s.p)
	}
}

func (s *shell) updateHeader() {
	d := s.p.doc
	if d == nil {
		s.title.SetText(tr("No route open"))
		s.about.SetText(tr("Open a GPX file, drop one on this window, or look at the demo trip"))
		s.odds.Objects = nil
		s.odds.Refresh()
		s.badge.Hide()
		s.word.SetText("")
		s.win.SetTitle("Lastroad")
		return
	}
	f := s.p.format()
	name := d.Name()
	if d.Demo {
		name += " " + tr("(invented demo)")
	}
	s.title.SetText(name)
	about := ""
	if sv := d.Survey; sv != nil {
		about = tr("{{.D}} in {{.N}} legs", map[string]any{"D": f.Format(units.Distance, sv.LengthM()), "N": len(sv.Legs)})
		if m := farthestOfAll(sv); m == m {
			about += " · " + tr("at most {{.D}} from a maintained road", with("D", f.Format(units.Distance, m)))
		}
	}
	s.about.SetText(about)
	title := name + " – Lastroad"
	if s.p.Unsaved() {
		title = "• " + title
	}
	s.win.SetTitle(title)
	s.odds.Objects = nil
	if j := d.Judgement; j != nil {
		s.badge.Show()
		s.badge.set(j.Trip)
		s.word.SetText(verdictText(j.Trip))
		s.odds.Objects = headOdds([][2]string{{oddsText(j.Trip.Stopped), tr("stopped")}, {oddsText(j.Trip.NotUnaided), tr("not out unaided")},
			{oddsText(j.Trip.NoHelp), tr("no help in time")}})
	}
	s.odds.Refresh()
	s.alone.Importance, s.joint.Importance = widget.MediumImportance, widget.MediumImportance
	if s.p.plan.Trip.Together {
		s.joint.Importance = widget.HighImportance
	} else {
		s.alone.Importance = widget.HighImportance
	}
	if s.p.plan.Trip.Partner == nil {
		s.joint.Disable()
	} else {
		s.joint.Enable()
	}
	s.alone.Refresh()
	s.joint.Refresh()
}

// widestOdds is how much of the header the odds may take: the least window has room for so much beside the buttons and
// the name of the trip.
const widestOdds = 390

// headOdds are chances in the header with what each is of, larger than the readiness beside them.
func headOdds(odds [][2]string) []fyne.CanvasObject {
	// Beside a long title there is room for so much: in the largest letters the header keeps to the middle ones,
	// and to smaller ones in a language of long words.
	grown := max(1, theme.TextSize()/(13*1.15))
	row := func(scale float32) (out []fyne.CanvasObject, width float32) {
		for _, o := range odds {
			n := canvas.NewText(o[0], theme.Color(theme.ColorNameForeground))
			n.TextSize, n.TextStyle.Bold = theme.Size(theme.SizeNameHeadingText)/scale, true
			w := canvas.NewText(o[1], theme.Color(theme.ColorNamePlaceHolder))
			w.TextSize = theme.Size(theme.SizeNameCaptionText) / grown
			c := container.New(layout.NewCustomPaddedLayout(0, 0, 6, 8), container.New(column{gap: -2}, n, w))
			out, width = append(out, c), width+c.MinSize().Width
		}
		return out, width
	}
	out, width := row(grown)
	if width > widestOdds {
		out, _ = row(grown * min(1.4, width/widestOdds))
	}
	return out
}

func farthestOfAll(s *geo.Survey) float64 {
	far := math.NaN()
	for i := range s.Samples {
		if m := s.Samples[i].RoadM; m == m && !(m <= far) {
			far = m
		}
	}
	return far
}

// hoverText is what there is to say of the place pointed at.
func (s *shell) hoverText() string {
	i, ok := s.p.SampleAt(s.p.hoverM)
	if !ok {
		return ""
	}
	sv, f := s.p.Survey(), s.p.format()
	q := &sv.Samples[i]
	g := geo.Unknown
	if k := int(q.Ground); k < len(sv.Grounds) {
		g = sv.Grounds[k].Main()
	}
	t := f.Format(units.Distance, q.DistanceM) + " · " + legName(sv, s.p.LegAt(q.DistanceM)) + " · " + groundText(g)
	if q.Way >= 0 && int(q.Way) < len(sv.Ways) && sv.Ways[q.Way].Name != "" {
		t += " · " + sv.Ways[q.Way].Name
	}
	if q.HeightM == q.HeightM {
		t += " · " + tr("height {{.N}}", with("N", f.Format(units.Length, q.HeightM)))
	}
	if q.Grade == q.Grade {
		t += " · " + tr("grade {{.N}} %", with("N", wholeSigned(100*q.Grade)))
	}
	if q.RoadM == q.RoadM {
		t += " · " + tr("{{.D}} from a road", with("D", f.Format(units.Distance, q.RoadM)))
	}
	if q.WalkMin == q.WalkMin {
		t += " · " + tr("{{.T}} on foot to one", with("T", minutes(q.WalkMin)))
	}
	return t
}

// showError shows what went wrong, where, and what to do; the rest of the window stays as it was.
func (s *shell) showError(title string, err error) {
	text := err.Error()
	var in *geo.InputError
	if errors.As(err, &in) {
		text = capital(in.Reason)
		if in.Where != "" {
			text = in.Where + ": " + in.Reason
		}
		if in.File != "" {
			text = in.File + "\n" + text
		}
		if in.Remedy != "" {
			text += "\n\n" + capital(in.Remedy) + "."
		}
	}
	l := prose(text)
	box := container.New(column{gap: 4}, l)
	if s.p.doc != nil {
		box.Add(soft(tr("What was open is unchanged.")))
	}
	d := dialog.NewCustom(title, tr("Close"), box, s.win)
	d.Resize(fyne.NewSize(min(520, s.win.Canvas().Size().Width*0.8), 220))
	s.p.present(s.win, d)
}

func (s *shell) applySettings() {
	if s.applied != nil && *s.applied == s.p.settings {
		return
	}
	now := s.p.settings
	s.applied = &now
	fyne.CurrentApp().Settings().SetTheme(newLook(now))
	if s.pref != nil {
		s.p.settings.write(s.pref)
	}
}

// missingCard says on the map what is not known for want of a file, and offers to open one.
func (s *shell) missingCard() fyne.CanvasObject {
	text := soft("")
	text.Wrapping = fyne.TextWrapOff
	open := widget.NewButtonWithIcon(tr("Open…"), theme.FolderOpenIcon(), s.openDialog)
	open.Importance = widget.LowImportance
	var shut *trip.Document // the document for which the card was shut
	hide := widget.NewButtonWithIcon("", theme.CancelIcon(), nil)
	hide.Importance = widget.LowImportance
	card := container.NewStack(newPanel(theme.ColorNameOverlayBackground, 6), container.NewHBox(text, open, hide))
	card.Hide()
	update := func() {
		d := s.p.doc
		if d == nil || d.Demo || d.Region != nil && d.Heights != nil || shut != nil && sameLine(shut, d) {
			card.Hide()
			return
		}
		switch {
		case d.Region == nil && d.Heights == nil:
			text.SetText(tr("No region and no height file: roads, ground and help are unknown."))
		case d.Region == nil:
			text.SetText(tr("No region file: roads, ground and help are unknown."))
		default:
			text.SetText(tr("No height file: grades come from the route alone or are unknown."))
		}
		card.Show()
	}
	hide.OnTapped = func() {
		shut = s.p.doc
		update()
	}
	s.p.Watch(func(c Change) {
		if c&DocChanged != 0 {
			update()
		}
	})
	return card
}

// topLeft keeps its only object in the upper left corner.
type topLeft struct{}

func (topLeft) Layout(o []fyne.CanvasObject, s fyne.Size) {
	for _, x := range o {
		m := x.MinSize()
		x.Resize(fyne.NewSize(min(m.Width, s.Width-80), m.Height))
		x.Move(fyne.NewPos(8, 8))
	}
}
func (topLeft) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.Size{} }

// corner keeps its only object in the lower right corner of the map, above the credits.
type corner struct{}

func (corner) Layout(o []fyne.CanvasObject, s fyne.Size) {
	for _, x := range o {
		m := x.MinSize()
		x.Resize(m)
		x.Move(fyne.NewPos(s.Width-m.Width-10, s.Height-m.Height-26))
	}
}
func (corner) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.Size{} }
