package window

import (
	"context"
	"fmt"
	"math"
	"sort"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/trip"
	"lastroad/app/units"
	"lastroad/risk"
	"lastroad/risk/catalogue"
)

// loadScreen is what is carried and what is left behind, the mass it makes, and what each thing is worth on
// this route.
type loadScreen struct {
	p    *Presenter
	root fyne.CanvasObject

	search         *widget.Entry
	left, right    *widget.List
	behind         []loadRow // what is not carried, in groups
	carried        []loadRow
	mass           *fyne.Container
	advice         *fyne.Container
	partyPick      *widget.RadioGroup
	whose          whose
	told           *risk.Advice
	toldOf         *trip.Document
	asking         context.CancelFunc
	cost           map[string]risk.StayHome
	gain           map[string]float64
	adviceTrouble  string
	carriedHeading *widget.Label
}

// loadRow is a line of one of the lists: a group's name, or a thing.
type loadRow struct {
	group string
	item  *catalogue.Item
	at    int // index into the load, -1 for what is left behind
}

func newLoadScreen(p *Presenter) *loadScreen {
	s := &loadScreen{p: p, mass: container.New(column{gap: 4}), advice: container.New(column{gap: 4}), carriedHeading: heading(tr("Carried"))}
	s.search = widget.NewEntry()
	s.search.SetPlaceHolder(tr("Search by name"))
	s.search.OnChanged = func(string) { s.lists() }
	s.left = widget.NewList(func() int { return len(s.behind) }, func() fyne.CanvasObject { return newLoadLine(s) }, func(i widget.ListItemID, o fyne.CanvasObject) { o.(*loadLine).set(s.behind[i]) })
	s.right = widget.NewList(func() int { return len(s.carried) }, func() fyne.CanvasObject { return newLoadLine(s) }, func(i widget.ListItemID, o fyne.CanvasObject) { o.(*loadLine).set(s.carried[i]) })
	s.left.HideSeparators, s.right.HideSeparators = true, true
	s.right.OnSelected = func(i widget.ListItemID) {
		if i < len(s.carried) {
			s.itemSheet(s.carried[i])
		}
	}
	s.left.OnSelected = func(widget.ListItemID) { s.left.UnselectAll() }
	s.partyPick = widget.NewRadioGroup([]string{tr("Own vehicle"), tr("Second vehicle")}, func(t string) {
		s.whose = own
		if t == tr("Second vehicle") {
			s.whose = second
		}
		s.update()
	})
	s.partyPick.Horizontal, s.partyPick.Required = true, true
	s.partyPick.Selected = tr("Own vehicle")
	a := container.NewBorder(container.New(column{gap: 2}, heading(tr("Left behind")), s.search), nil, nil, nil, s.left)
	b := container.NewBorder(container.New(column{gap: 2}, s.carriedHeading, s.partyPick), nil, nil, nil, s.right)
	side := container.NewVScroll(container.New(column{gap: 8}, card(tr("Mass"), s.mass), card(tr("What next"), s.advice)))
	lists := container.NewHSplit(a, b)
	lists.Offset = 0.42
	all := container.NewHSplit(lists, container.New(fixed{240, 120}, side))
	all.Offset = 0.72
	s.root = all
	p.Watch(func(c Change) {
		if c&(PlanChanged|DocChanged|SettingsChanged) != 0 {
			s.update()
		}
		if c&(DocChanged|ScreenChanged) != 0 {
			s.ask()
		}
	})
	s.update()
	return s
}

func (s *loadScreen) object() fyne.CanvasObject { return s.root }

func (s *loadScreen) update() {
	if s.p.plan.Trip.Partner == nil {
		s.partyPick.Hide()
		s.whose = own
	} else {
		s.partyPick.Show()
	}
	s.lists()
	s.showMass()
	s.showAdvice()
}

// groupNames are the groups of the catalogue as people read them.
func groupName(key string) string {
	switch key {
	case "tyres":
		return tr("Tyres and wheels")
	case "recovery":
		return tr("Recovery")
	case "engine":
		return tr("Engine and cooling")
	case "electrical":
		return tr("Electrics")
	case "driveline":
		return tr("Driveline")
	case "suspension":
		return tr("Suspension and steering")
	case "fluids":
		return tr("Fluids")
	case "tools":
		return tr("Tools")
	case "comms":
		return tr("Communications")
	case "navigation":
		return tr("Navigation")
	case "people":
		return tr("People")
	case "safety":
		return tr("Safety")
	case "supplies":
		return tr("Supplies")
	}
	return capital(key)
}

// lists fills both lists from the plan.
func (s *loadScreen) lists() {
	cat := s.p.desk.Catalogue()
	load := s.whose.of(&s.p.plan).Load
	have := map[string]bool{}
	for _, l := range load {
		have[l.Item] = true
	}
	want := strings.ToLower(strings.TrimSpace(s.search.Text))
	s.behind, s.carried = s.behind[:0], s.carried[:0]
	var groups []string
	seen := map[string]bool{}
	for i := range cat.Items {
		if g := cat.Items[i].Group; !seen[g] {
			seen[g] = true
			groups = append(groups, g)
		}
	}
	for _, g := range groups {
		first := true
		for i := range cat.Items {
			it := &cat.Items[i]
			if it.Group != g || have[it.Key] || want != "" && !strings.Contains(strings.ToLower(tr(it.Title)+" "+groupName(g)), want) {
				continue
			}
			if first {
				s.behind = append(s.behind, loadRow{group: g, at: -1})
				first = false
			}
			s.behind = append(s.behind, loadRow{item: it, at: -1})
		}
		first = true
		for k, l := range load {
			it, ok := cat.Item(l.Item)
			if !ok || it.Group != g {
				continue
			}
			if first {
				s.carried = append(s.carried, loadRow{group: g, at: -1})
				first = false
			}
			s.carried = append(s.carried, loadRow{item: it, at: k})
		}
	}
	s.carriedHeading.SetText(tr("Carried: {{.N}} kinds of things", with("N", len(load))))
	s.left.Refresh()
	s.right.Refresh()
}

// loadLine is one line of a list. It serves for groups, things carried and things left behind.
type loadLine struct {
	widget.BaseWidget
	s           *loadScreen
	row         loadRow
	title, note *widget.Label
	worth       *widget.Label
	count       *widget.Label
	less, more  *widget.Button
	add         *widget.Button
	box         *fyne.Container
	countBox    *fyne.Container
}

func newLoadLine(s *loadScreen) *loadLine {
	l := &loadLine{s: s, title: widget.NewLabel(""), note: caption(""), worth: caption(""), count: widget.NewLabel("")}
	l.title.Truncation, l.note.Truncation = fyne.TextTruncateEllipsis, fyne.TextTruncateEllipsis
	l.count.Alignment = fyne.TextAlignCenter
	l.less = widget.NewButtonWithIcon("", theme.ContentRemoveIcon(), func() { s.change(l.row, -1) })
	l.more = widget.NewButtonWithIcon("", theme.ContentAddIcon(), func() { s.change(l.row, 1) })
	l.add = widget.NewButtonWithIcon("", theme.ContentAddIcon(), func() { s.change(l.row, 1) })
	l.ExtendBaseWidget(l)
	return l
}

// CreateRenderer implements fyne.Widget.
func (l *loadLine) CreateRenderer() fyne.WidgetRenderer {
	text := container.New(tight{}, l.title, l.note)
	l.countBox = container.NewGridWrap(fyne.NewSize(44, 28), l.count)
	steps := container.NewHBox(container.NewCenter(l.worth), container.NewCenter(l.less), container.NewCenter(l.countBox), container.NewCenter(l.more), container.NewCenter(l.add))
	l.box = container.NewBorder(nil, nil, nil, steps, text)
	return widget.NewSimpleRenderer(l.box)
}

func (l *loadLine) set(r loadRow) {
	l.row = r
	show := func(o fyne.CanvasObject, on bool) {
		if on != o.Visible() {
			if on {
				o.Show()
			} else {
				o.Hide()
			}
		}
	}
	item := r.item != nil
	show(l.less, item && r.at >= 0)
	show(l.more, item && r.at >= 0)
	if l.countBox != nil {
		show(l.countBox, item && r.at >= 0)
	}
	show(l.add, item && r.at < 0)
	show(l.worth, item)
	l.title.TextStyle.Bold = !item
	if !item {
		l.title.SetText(groupName(r.group))
		l.note.SetText("")
		l.worth.SetText("")
		return
	}
	f := l.s.p.format()
	l.title.SetText(capital(tr(r.item.Title)))
	note := massText(f, r.item.MassKg)
	if r.item.Unit != "" && r.item.Unit != "piece" {
		note += " / " + tr(r.item.Unit)
	}
	worth := ""
	if r.at >= 0 {
		load := l.s.whose.of(&l.s.p.plan).Load
		if r.at >= len(load) {
			return
		}
		li := load[r.at]
		mass := r.item.MassKg
		if li.MassKg > 0 {
			mass = li.MassKg
		}
		note = massText(f, mass*li.Count)
		if p := firstOf(li.Place, r.item.Place); p != "" {
			note += " · " + tr(p)
		}
		if r.item.Force {
			switch {
			case li.RatingKN < 0:
				note += " · " + tr("no readable rating: not used")
			case li.RatingKN > 0:
				note += " · " + tr("rated {{.F}}", with("F", f.Format(units.Force, li.RatingKN)))
			case r.item.RatingKN > 0:
				note += " · " + tr("rated {{.F}}, taken from its kind", with("F", f.Format(units.Force, r.item.RatingKN)))
			default:
				note += " · " + tr("rating not given: choose it to say what is stamped on it")
			}
		}
		l.count.SetText(trim(li.Count))
		if c, ok := l.s.cost[r.item.Key]; ok && l.s.whose == own {
			switch {
			case c.Cost >= 0.05:
				worth = tr("worth {{.N}}", with("N", f1(c.Cost)))
			case c.MayStay:
				worth = tr("could stay")
			}
		}
	} else if g := l.s.gain[r.item.Key]; g >= 0.05 {
		worth = "+" + f1(g)
	}
	l.note.Importance = widget.MediumImportance
	if r.at >= 0 && needsRating(r.item, l.s.whose.of(&l.s.p.plan).Load[r.at]) {
		l.note.Importance = widget.DangerImportance
	}
	l.note.SetText(note)
	l.worth.SetText(worth)
}

// massText writes a mass; what rounds to nothing says so.
func massText(f units.Formatter, kg float64) string {
	if kg > 0 && kg < 0.05 {
		return tr("next to no mass")
	}
	return f.Format(units.Mass, kg)
}

// change adds to or takes from the number carried; the last one taken leaves the thing behind.
func (s *loadScreen) change(r loadRow, by float64) {
	if r.item == nil || s.p.doc == nil {
		return
	}
	step := 1.0
	if r.item.Unit == "L" {
		step = 5
	}
	what := tr("Carry {{.What}}", with("What", tr(r.item.Title)))
	if by < 0 {
		what = tr("Leave {{.What}} behind", with("What", tr(r.item.Title)))
	}
	s.p.Edit(what, fmt.Sprintf("load:%d:%s:%v", s.whose, r.item.Key, by > 0), func(pl *trip.Plan) {
		pt := s.whose.of(pl)
		if r.at < 0 {
			addItem(pt, risk.LoadItem{Item: r.item.Key, Count: step})
			return
		}
		if r.at >= len(pt.Load) || pt.Load[r.at].Item != r.item.Key {
			return
		}
		n := pt.Load[r.at].Count + by*step
		if n <= 1e-9 {
			pt.Load = append(pt.Load[:r.at:r.at], pt.Load[r.at+1:]...)
			return
		}
		pt.Load[r.at].Count = n
	})
}

// --- mass ---

func (s *loadScreen) showMass() {
	s.mass.Objects = nil
	j := s.p.Judgement()
	if j == nil {
		s.mass.Add(prose(tr("Open a route to see the mass budget.")))
		s.mass.Refresh()
		return
	}
	f, l := s.p.format(), j.Load
	bar := func(name string, v, limit float64) {
		if !(limit > 0) {
			return
		}
		over := v > limit
		text := tr("{{.A}} of {{.B}}", map[string]any{"A": f.Format(units.Mass, v), "B": f.Format(units.Mass, limit)})
		val := plainText(text)
		if over {
			val = plainText("✗ " + text + "  " + tr("over by {{.N}}", with("N", f.Format(units.Mass, v-limit))))
			val.Importance = widget.DangerImportance
		}
		col := palette().Accent
		if over {
			col = palette().Warn
		}
		s.mass.Add(container.NewBorder(nil, nil, plainText(name), val))
		s.mass.Add(newShareBar(float32(v/limit), col))
	}
	bar(tr("Whole vehicle"), l.TotalKg, l.GVMKg)
	bar(tr("Front axle"), l.FrontKg, l.FrontLimitKg)
	bar(tr("Rear axle"), l.RearKg, l.RearLimitKg)
	bar(tr("Roof"), l.RoofKg, l.RoofLimitKg)
	line := func(a, b string) { s.mass.Add(container.NewBorder(nil, nil, plainText(a), plainText(b))) }
	if l.PayloadLeftKg >= 0 {
		line(tr("Payload left"), f.Format(units.Mass, l.PayloadLeftKg))
	}
	line(tr("Things, people, fluids"), f.Format(units.Mass, l.ItemsKg)+", "+f.Format(units.Mass, l.PeopleKg)+", "+f.Format(units.Mass, l.FluidsKg))
	line(tr("Water, fuel"), f.Format(units.Volume, l.WaterL)+", "+f.Format(units.Volume, l.FuelL))
	if l.TipAngleDeg > 0 {
		line(tr("Side tilt at which it tips, standing"), f.Format(units.Angle, l.TipAngleDeg))
		s.mass.Add(soft("⚠ " + tr("A figure of a rigid vehicle on a smooth plane. Moving, on springs and over a stone it tips far earlier.")))
	}
	for _, fd := range j.Findings {
		if strings.HasPrefix(fd.Key, "over") || strings.HasPrefix(fd.Key, "mass") || strings.HasPrefix(fd.Key, "roof") {
			s.mass.Add(findingCard(fd))
		}
	}
	s.mass.Refresh()
}

// --- advice ---

// ask has the advice worked out while the screen is shown; an answer to an older load is dropped.
func (s *loadScreen) ask() {
	d := s.p.doc
	if s.p.screen != 2 || d == nil || d.Survey == nil || s.toldOf == d || s.p.Stale() {
		return
	}
	if s.asking != nil {
		s.asking()
	}
	ctx, cancel := context.WithCancel(context.Background())
	s.asking = cancel
	s.toldOf = d
	s.p.workers.Add(1)
	go func() {
		defer s.p.workers.Done()
		a, err := guarded(func() (*risk.Advice, error) {
			return s.p.desk.Advise(ctx, d, d.Plan.Trip, func(string, float64) {})
		})
		s.p.post(func() {
			cancel()
			if s.toldOf != d {
				return
			}
			s.asking = nil
			s.adviceTrouble = ""
			if err != nil {
				s.adviceTrouble = err.Error()
			} else {
				s.takeAdvice(a)
			}
			s.lists()
			s.showAdvice()
		})
	}()
	s.showAdvice()
}

func (s *loadScreen) takeAdvice(a *risk.Advice) {
	s.told = a
	s.cost, s.gain = map[string]risk.StayHome{}, map[string]float64{}
	for _, st := range a.Stay {
		s.cost[st.Item] = st
	}
	for _, t := range a.Things {
		if len(t.Items) == 1 {
			s.gain[t.Items[0].Item] = math.Max(s.gain[t.Items[0].Item], t.Gain)
		}
	}
}

func (s *loadScreen) showAdvice() {
	s.advice.Objects = nil
	defer s.advice.Refresh()
	if s.adviceTrouble != "" {
		s.advice.Add(prose(s.adviceTrouble))
		return
	}
	if s.told == nil {
		s.advice.Add(prose(tr("What each thing is worth on this route is being worked out…")))
		return
	}
	if s.toldOf != s.p.doc || s.asking != nil {
		s.advice.Add(soft(tr("For the load before the last change; being worked out anew…")))
	}
	f := s.p.format()
	sub := func(t string) {
		l := plainText(t)
		l.TextStyle.Bold = true
		s.advice.Add(l)
	}
	add := func(list []risk.Suggestion, most int) {
		for i, t := range list {
			if i >= most || t.Gain < 0.05 {
				break
			}
			what := t
			s.advice.Add(offer(tr("+{{.P}} with {{.What}}, {{.Mass}}", map[string]any{"P": f1(t.Gain), "What": t.Title, "Mass": f.Format(units.Mass, t.Kg)}),
				func() { s.p.AddItems(what.Title, what.Items) }))
		}
	}
	if len(s.told.Things) > 0 && s.told.Things[0].Gain >= 0.05 {
		sub(tr("Single things, best for their mass first"))
		add(s.told.Things, 5)
	}
	if len(s.told.Sets) > 0 && s.told.Sets[0].Gain >= 0.05 {
		sub(tr("Sets that only help together"))
		add(s.told.Sets, 5)
	}
	if b := s.told.Best; len(b.Items) > 0 {
		sub(tr("The best set under the payload left"))
		text := tr("To {{.R}} with {{.What}}, {{.Mass}}", map[string]any{"R": f1(b.Readiness), "What": b.Title, "Mass": f.Format(units.Mass, b.Kg)})
		l := prose(text)
		s.advice.Add(l)
		if !b.Exact {
			s.advice.Add(soft(tr("No set under the limits can give more than {{.N}}.", with("N", f1(b.UpTo)))))
		}
		s.advice.Add(newAction(tr("Carry the whole set"), theme.ContentAddIcon(), func() { s.p.AddItems(b.Title, b.Items) }))
	}
	stay := make([]risk.StayHome, 0)
	for _, st := range s.told.Stay {
		if st.MayStay && st.Kg > 0 {
			stay = append(stay, st)
		}
	}
	sort.SliceStable(stay, func(i, j int) bool { return stay[i].Kg > stay[j].Kg })
	if len(stay) > 0 {
		sub(tr("Could stay at home on this route"))
		for i, st := range stay {
			if i >= 6 {
				break
			}
			s.advice.Add(soft(fmt.Sprintf("%s, %s", capital(st.Title), f.Format(units.Mass, st.Kg))))
		}
	}
	if len(s.told.Single) > 0 {
		sub(tr("Hangs on one thing"))
		for i, sp := range s.told.Single {
			if i >= 5 {
				break
			}
			s.advice.Add(soft(tr("{{.Trouble}}: only {{.Thing}}", map[string]any{"Trouble": capital(sp.Title), "Thing": sp.Thing})))
		}
	}
	for i, k := range s.told.Skills {
		if i == 0 {
			sub(tr("To learn before going"))
		}
		if i >= 4 || k.Gain < 0.05 {
			break
		}
		s.advice.Add(soft("+" + f1(k.Gain) + "  " + capital(tr(k.Title))))
	}
}
