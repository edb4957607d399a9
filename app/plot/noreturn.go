package plot

import (
	"sort"

	"lastroad/geo"
	"lastroad/risk"
)

// NoReturns are the samples of the points of no return of a judgement: in fuel, in water, and in both. A nil
// judgement has none.
func NoReturns(s *geo.Survey, j *risk.Judgement) (fuel, water, both []int) {
	if s == nil || j == nil || len(s.Samples) == 0 {
		return nil, nil, nil
	}
	for _, r := range j.Supplies.NoReturns {
		i := min(len(s.Samples)-1, sort.Search(len(s.Samples), func(i int) bool { return s.Samples[i].DistanceM >= r.AtM }))
		switch r.Kind {
		case risk.ReturnFuel:
			fuel = append(fuel, i)
		case risk.ReturnWater:
			water = append(water, i)
		case risk.ReturnBoth:
			both = append(both, i)
		}
	}
	return fuel, water, both
}

// returns draws the flags of the points of no return.
func (d *groundPen) returns(st RouteStyle) {
	at := func(i int) bool { return i >= 0 && i < len(d.s.route) }
	for _, i := range st.Returns {
		if at(i) {
			ReturnMark(d.c, d.sampleAt(i), d.unit, d.p)
		}
	}
	for _, i := range st.NoFuel {
		if at(i) {
			SupplyMark(d.c, d.sampleAt(i), d.unit, d.p, geo.HelpFuel)
		}
	}
	for _, i := range st.NoWater {
		if at(i) {
			SupplyMark(d.c, d.sampleAt(i), d.unit, d.p, geo.HelpWater)
		}
	}
	for _, i := range st.NoReturn {
		if at(i) {
			NoReturnMark(d.c, d.sampleAt(i), d.unit, d.p)
		}
	}
}

// SupplyMark is the flag from where going on takes less fuel or water than going back; its foot is at p. The
// board is square and bears the sign of the supply, so that it cannot be taken for the pennant of ReturnMark.
func SupplyMark(c Canvas, p Pt, u float32, pal *Palette, kind geo.HelpKind) {
	board(c, p, u, pal, 17, kind)
}

// NoReturnMark is the flag of the point of no return, from where going on is nearer in fuel and in water: a
// board twice as wide with both signs.
func NoReturnMark(c Canvas, p Pt, u float32, pal *Palette) {
	board(c, p, u, pal, 32, geo.HelpFuel, geo.HelpWater)
}

func board(c Canvas, p Pt, u float32, pal *Palette, width float32, kinds ...geo.HelpKind) {
	top := Pt{p.X, p.Y - 30*u}
	b := Rect{p.X - width*u, p.Y - 30*u, p.X, p.Y - 13*u}
	Line(c, Stroke{Width: 6 * u, Color: pal.Paper}, p, top)
	Box(c, b.Inset(-1.8*u), pal.Paper)
	Line(c, Stroke{Width: 2.4 * u, Color: pal.Ink}, p, top)
	Box(c, b, pal.Warn)
	Box(c, b.Inset(1.6*u), pal.Paper)
	for i, k := range kinds {
		x := b.X0 + (b.X1-b.X0)*(float32(i)+0.5)/float32(len(kinds))
		drawSymbol(c, Pt{x, (b.Y0 + b.Y1) / 2}, 5.6*u, helpSymbol[k], pal.Warn)
	}
	Disc(c, p, 4*u, pal.Paper)
	Disc(c, p, 2.6*u, pal.Ink)
}

// noReturns draws a line through all bands at every point of no return in fuel, in water and in both, with its
// name where there is room for it, those in both first; a name that would stand on another is left out.
func (d *stripPen) noReturns(bottom float32) {
	j := d.data.Judgement
	if j == nil {
		return
	}
	named := &boxes{taken: d.taken}
	for _, both := range []bool{true, false} {
		for i := range j.Supplies.NoReturns {
			if r := &j.Supplies.NoReturns[i]; (r.Kind == risk.ReturnBoth) == both {
				d.noReturn(r, bottom, named)
			}
		}
	}
}

// noReturn draws one such point and claims the place of its name among those that stand.
func (d *stripPen) noReturn(r *risk.NoReturn, bottom float32, named *boxes) {
	name, width := "", float32(1.2)
	switch r.Kind {
	case risk.ReturnFuel:
		name = d.st.Words.NoFuel
	case risk.ReturnWater:
		name = d.st.Words.NoWater
	case risk.ReturnBoth:
		name, width = d.st.Words.NoReturn, 2
	default:
		return // drawn by those who know the driving times
	}
	if r.AtM < d.r.FromM || r.AtM > d.r.ToM {
		return
	}
	x := d.x(r.AtM)
	d.c.Lines([][]Pt{{{x, 2 * d.u}, {x, bottom}}}, Stroke{Width: width * d.u, Color: d.p.Warn, Dash: []float32{2.5 * d.u, 3 * d.u}})
	t := TextStyle{Size: 10 * d.u, Color: d.p.Ink, Bold: r.Kind == risk.ReturnBoth, Halo: d.p.Paper, HaloPx: 2 * d.u}
	for k := range 6 { // three rows, right of the line before left of it
		at := Pt{x + 4*d.u, d.names + (11+11*float32(k/2))*d.u}
		if t.Align = float32(k % 2); t.Align == 1 {
			at.X = x - 4*d.u
		}
		if box := textBox(d.c, at, name, t); box.X0 >= d.x0 && box.X1 <= d.x1 && named.claim(box) {
			d.c.Text(at, name, t)
			return
		}
	}
}
