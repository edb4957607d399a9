package window

import (
	"math"
	"sort"
	"strings"

	"lastroad/app/units"
	"lastroad/risk"
)

// differs says in a line what a variant has other than the trip as it is.
func (s *togetherScreen) differs(t risk.Trip) string {
	now, f := s.p.plan.Trip, s.p.format()
	var out []string
	if t.Together != now.Together {
		if t.Together {
			out = append(out, tr("together"))
		} else {
			out = append(out, tr("alone"))
		}
	}
	switch {
	case t.Partner == nil && now.Partner != nil:
		out = append(out, tr("no second vehicle"))
	case t.Partner != nil && now.Partner == nil:
		out = append(out, tr("a second vehicle"))
	}
	out = append(out, s.partyDiffers(t.Party, now.Party)...)
	if t.Partner != nil && now.Partner != nil {
		for _, d := range s.partyDiffers(*t.Partner, *now.Partner) {
			out = append(out, tr("second vehicle: {{.What}}", with("What", d)))
		}
	}
	c, d := t.Conditions, now.Conditions
	if !c.Start.Equal(d.Start) && !c.Start.IsZero() {
		out = append(out, tr("sets out {{.Date}}", with("Date", c.Start.Format("2006-01-02 15:04"))))
	}
	if c.DayMaxC != d.DayMaxC || c.DayMeanC != d.DayMeanC || c.NightMinC != d.NightMinC {
		if c.DayMaxC != 0 {
			out = append(out, tr("up to {{.T}} by day", with("T", f.Format(units.Temperature, c.DayMaxC))))
		} else {
			out = append(out, tr("temperatures of its date"))
		}
	}
	if c.Wetness != d.Wetness {
		out = append(out, tr("wetness {{.A}} for {{.B}}", map[string]any{"A": trim(c.Wetness), "B": trim(d.Wetness)}))
	}
	if c.WaterLevel != d.WaterLevel {
		out = append(out, tr("water level {{.A}} for {{.B}}", map[string]any{"A": trim(c.WaterLevel), "B": trim(d.WaterLevel)}))
	}
	if t.Policy != now.Policy {
		out = append(out, tr("other agreements"))
	}
	if len(out) == 0 {
		return tr("The same as the trip is now.")
	}
	if len(out) > 9 {
		out = append(out[:8], tr("and {{.N}} more", with("N", len(out)-8)))
	}
	return strings.Join(out, " · ")
}

func (s *togetherScreen) partyDiffers(a, b risk.Party) (out []string) {
	if a.Vehicle.Class != b.Vehicle.Class || a.Vehicle.Name != b.Vehicle.Name {
		out = append(out, firstOf(a.Vehicle.Name, a.Vehicle.Class, tr("another vehicle")))
	} else if v, w := a.Vehicle, b.Vehicle; v.GVMKg != w.GVMKg || v.TankL != w.TankL || v.Lockers != w.Lockers || v.TyreSize != w.TyreSize || v.AgeY != w.AgeY || v.LadenKg != w.LadenKg {
		out = append(out, tr("other figures of the vehicle"))
	}
	if len(a.People) != len(b.People) {
		out = append(out, tr("{{.N}} people", with("N", len(a.People))))
	}
	skills := func(p risk.Party) map[string]bool {
		m := map[string]bool{}
		for _, q := range p.People {
			for _, k := range q.Skills {
				m[k] = true
			}
		}
		return m
	}
	x, y := skills(a), skills(b)
	cat := s.p.catalogue()
	for _, k := range cat.Skills {
		if x[k.Key] != y[k.Key] {
			out = append(out, map[bool]string{true: "+", false: "−"}[x[k.Key]]+spoken(k.Title))
		}
	}
	count := func(p risk.Party) map[string]float64 {
		m := map[string]float64{}
		for _, l := range p.Load {
			m[l.Item] += l.Count
		}
		return m
	}
	n, m := count(a), count(b)
	var keys []string
	for k := range n {
		keys = append(keys, k)
	}
	for k := range m {
		if _, ok := n[k]; !ok {
			keys = append(keys, k)
		}
	}
	sort.Strings(keys)
	for _, k := range keys {
		d := n[k] - m[k]
		if math.Abs(d) < 1e-9 {
			continue
		}
		name := k
		if it, ok := cat.Item(k); ok {
			name = spoken(it.Title)
		}
		sign := "+"
		if d < 0 {
			sign = "−"
		}
		if math.Abs(d) == 1 {
			out = append(out, sign+name)
		} else {
			out = append(out, sign+trim(math.Abs(d))+" × "+name)
		}
	}
	return out
}
