package trip

import (
	"math"
	"slices"

	"lastroad/geo"
)

// Turn makes p the plan for the route driven the other way. s is the survey of the way it is driven now: stops,
// ground and legs are counted from its other end. Legs that the user named or locked keep name and lock where
// they lie now; cuts and joins are made at the same places. Without a survey only the direction turns.
func (p *Plan) Turn(s *geo.Survey) {
	p.Reversed = !p.Reversed
	if s == nil {
		return
	}
	mirror := func(m float64) float64 { return math.Max(0, s.LengthM()-m) }
	for i := range p.Stops {
		p.Stops[i].AtM = mirror(p.Stops[i].AtM)
	}
	slices.Reverse(p.Stops)
	for i := range p.Grounds {
		g := &p.Grounds[i]
		g.FromM, g.ToM = mirror(g.ToM), mirror(g.FromM)
	}
	p.Legs = turnLegs(p.Legs, s, mirror)
}

// turnLegs gives the changes to the legs for the other direction: locks first, then cuts and joins in their order,
// then names. A name or lock goes by the leg that bears it now, since where a leg begins is its end the other way.
func turnLegs(edits []LegEdit, s *geo.Survey, mirror func(float64) float64) (out []LegEdit) {
	for i, l := range s.Legs {
		if l.Locked {
			out = append(out, LegEdit{Do: "lock", FromM: mirror(s.ToM(i)), ToM: mirror(s.FromM(i))})
		}
	}
	given := map[string]bool{}
	for _, e := range edits {
		switch e.Do {
		case "rename":
			given[e.Name] = true
		case "split", "merge":
			if e.ToM > 0 {
				e.FromM, e.ToM = mirror(e.ToM), mirror(e.FromM)
			} else {
				e.FromM = mirror(e.FromM)
			}
			out = append(out, e)
		}
	}
	for i, l := range s.Legs {
		if given[l.Name] {
			out = append(out, LegEdit{Do: "rename", FromM: mirror((s.FromM(i) + s.ToM(i)) / 2), Name: l.Name})
		}
	}
	return out
}
