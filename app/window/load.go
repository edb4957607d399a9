package window

import (
	"context"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
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

	drag                *loadDrag
	rides               []*rideCell
	leftPane, rightPane fyne.CanvasObject
	ratings             *fyne.Container // what is asked for: ratings that nobody has given
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
	s.left.OnSelected = func(i widget.ListItemID) {
		s.left.UnselectAll()
		if i < len(s.behind) && s.behind[i].item != nil {
			if o, ok := s.p.plan.OwnItem(s.behind[i].item.Key); ok {
				s.ownSheet(*o)
			}
		}
	}
	s.partyPick = widget.NewRadioGroup([]string{tr("Own vehicle"), tr("Second vehicle")}, func(t string) {
		s.whose = own
		if t == tr("Second vehicle") {
			s.whose = second
		}
		s.update()
	})
	s.partyPick.Horizontal, s.partyPick.Required = true, true
	s.partyPick.Selected = tr("Own vehicle")
	addOwn := newAction(tr("A thing of your own…"), theme.ContentAddIcon(), func() { s.ownSheet(trip.OwnItem{}) })
	rides := fyne.CanvasObject(nil)
	s.rides, rides = newRides()
	a := container.NewBorder(container.New(column{gap: 2}, heading(tr("Left behind")), s.search), addOwn, nil, nil, s.left)
	b := container.NewBorder(container.New(column{gap: 2}, s.carriedHeading, s.partyPick), container.New(column{gap: 0}, soft(tr("Where it rides: drag a row to the other list or onto a place.")), rides), nil, nil, s.right)
	s.leftPane, s.rightPane = a, b
	s.drag = newLoadDrag(s)
	s.ratings = container.New(column{gap: 4})
	side := container.NewVScroll(container.New(column{gap: 8}, s.ratings, card(tr("Mass"), s.mass), card(tr("What next"), s.advice)))
	lists := container.NewHSplit(a, b)
	lists.Offset = 0.42
	all := container.NewHSplit(lists, container.New(fixed{240, 120}, side))
	all.Offset = 0.72
	s.root = container.NewStack(all, s.drag.layer)
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
	s.showRides()
	s.showRatings()
	s.showMass()
	s.showAdvice()
}

// showRatings asks for the ratings that nobody has given: such pieces are carried for nothing.
func (s *loadScreen) showRatings() {
	s.ratings.Objects = nil
	cat := s.p.catalogue()
	var rows []fyne.CanvasObject
	for k, l := range s.whose.of(&s.p.plan).Load {
		it, ok := cat.Item(l.Item)
		if !ok || !needsRating(it, l) {
			continue
		}
		r := loadRow{item: it, at: k}
		rows = append(rows, newAction(capital(spoken(it.Title)), theme.DocumentCreateIcon(), func() {
			if o, own := s.p.plan.OwnItem(it.Key); own {
				s.ownSheet(*o)
				return
			}
			s.itemSheet(r)
		}))
	}
	if len(rows) > 0 {
		rows = append([]fyne.CanvasObject{cautionLine(tr("These bear force and nobody has said what is stamped on them. They are not used in any recovery."))}, rows...)
		s.ratings.Add(card(tr("Ratings asked for"), rows...))
	}
	s.ratings.Refresh()
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
	case "own":
		return tr("Your own things")
	}
	return capital(key)
}

// lists fills both lists from the plan.
func (s *loadScreen) lists() {
	cat := s.p.catalogue()
	load := s.whose.of(&s.p.plan).Load
	have := map[string]bool{}
	for _, l := range load {
		have[l.Item] = true
	}
	want := strings.ToLower(strings.TrimSpace(s.search.Text))
	s.behind, s.carried = s.behind[:0], s.carried[:0]
	var groups []string
	seen := map[string]bool{}
	for i := len(cat.Items) - 1; i >= 0 && cat.Items[i].Group == "own"; i-- {
		if !seen["own"] {
			seen["own"] = true
			groups = append(groups, "own") // first of all
		}
	}
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
			if it.Group != g || have[it.Key] || want != "" && !strings.Contains(strings.ToLower(spoken(it.Title)+" "+groupName(g)), want) {
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
