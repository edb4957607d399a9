package window

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/trip"
	"lastroad/app/units"
	"lastroad/risk"
)

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
	l.title.SetText(capital(spoken(r.item.Title)))
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
		if c, ok := l.s.cost[l.s.worthKey(r.item.Key)]; ok && l.s.whose == own {
			switch {
			case c.Cost >= 0.05:
				worth = tr("worth {{.N}}", with("N", f1(c.Cost)))
			case c.MayStay:
				worth = tr("could stay")
			}
		}
	} else if g := l.s.gain[l.s.worthKey(r.item.Key)]; g >= 0.05 {
		worth = "+" + f1(g)
	}
	l.note.Importance = widget.MediumImportance
	if r.at >= 0 && needsRating(r.item, l.s.whose.of(&l.s.p.plan).Load[r.at]) {
		l.note.Importance = widget.DangerImportance
	}
	l.note.SetText(note)
	if l.worth.Text != worth {
		l.worth.SetText(worth)
		if l.box != nil {
			l.box.Refresh() // it needs another width
		}
	}
}

// worthKey is the item under whose key the advice speaks of a thing: own things are judged as what they stand for.
func (s *loadScreen) worthKey(key string) string {
	if o, ok := s.p.plan.OwnItem(key); ok && o.StandsFor != "" {
		return o.StandsFor
	}
	return key
}

// stepOf is how much of a thing is added or taken at once.
func stepOf(r loadRow) float64 {
	if r.item.Unit == "L" {
		return 5
	}
	return 1
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
	step := stepOf(r)
	what := tr("Carry {{.What}}", with("What", spoken(r.item.Title)))
	if by < 0 {
		what = tr("Leave {{.What}} behind", with("What", spoken(r.item.Title)))
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
	if s.whose == second {
		s.mass.Add(soft(tr("These masses are the own vehicle's; those of the second vehicle are not shown.")))
	}
	// In a line of several masses the unit stands once, behind the last: more of them would make it wrap.
	bare := func(kg float64) string {
		return strings.TrimSpace(strings.TrimSuffix(f.Format(units.Mass, kg), f.Symbol(units.Mass)))
	}
	bar := func(name string, v, limit float64) {
		if !(limit > 0) {
			return
		}
		over := v > limit
		text := tr("{{.A}} of {{.B}}", map[string]any{"A": bare(v), "B": f.Format(units.Mass, limit)})
		val := plainText(text)
		if over {
			val = plainText("✗ " + text + "  " + tr("over by {{.N}}", with("N", f.Format(units.Mass, v-limit))))
			val.Importance = widget.DangerImportance
		}
		col := palette().Accent
		if over {
			col = palette().Warn
		}
		s.mass.Add(pairLine(name, val))
		s.mass.Add(newShareBar(float32(v/limit), col))
	}
	bar(tr("Whole vehicle"), l.TotalKg, l.GVMKg)
	bar(tr("Front axle"), l.FrontKg, l.FrontLimitKg)
	bar(tr("Rear axle"), l.RearKg, l.RearLimitKg)
	bar(tr("Roof"), l.RoofKg, l.RoofLimitKg)
	line := func(a, b string) { s.mass.Add(pairLine(a, plainText(b))) }
	if l.PayloadLeftKg >= 0 {
		line(tr("Payload left"), f.Format(units.Mass, l.PayloadLeftKg))
	}
	line(tr("Things, people, fluids"), bare(l.ItemsKg)+", "+bare(l.PeopleKg)+", "+f.Format(units.Mass, l.FluidsKg))
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
