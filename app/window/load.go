package window

import (
	"context"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/trip"
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
