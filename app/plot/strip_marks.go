package plot

import "lastroad/geo"

// crossingSign are the signs of water crossings on the strip, 2 units high: the waves of a ford and the drop of a
// possible one, as on the map's plates, which would be too large here.
var crossingSign = map[geo.MarkKind]symbol{
	geo.MarkFord: {lines: [][]Pt{
		{{-1, -0.15}, {-0.5, -0.6}, {0, -0.15}, {0.5, -0.6}, {1, -0.15}},
		{{-1, 0.7}, {-0.5, 0.25}, {0, 0.7}, {0.5, 0.25}, {1, 0.7}}}},
	geo.MarkWater: {lines: [][]Pt{{{0, -1}, {0.5, 0}, {0.6, 0.4}, {0.35, 0.85}, {-0.35, 0.85}, {-0.6, 0.4}, {-0.5, 0}, {0, -1}}}},
}

// crossingUnits is half the height of a sign in units: what finds room between two bands.
const crossingUnits = 4.2

// CrossingSign draws the strip's sign of a ford or a possible ford round p, 2r high; other kinds have none.
func CrossingSign(c Canvas, p Pt, r float32, kind geo.MarkKind, pal *Palette) {
	sign, ok := crossingSign[kind]
	if !ok {
		return
	}
	var lines [][]Pt
	for _, l := range sign.lines {
		var at []Pt
		for _, q := range l {
			at = append(at, Pt{p.X + q.X*r, p.Y + q.Y*r})
		}
		lines = append(lines, at)
	}
	c.Lines(lines, Stroke{Width: 0.95 * r, Color: pal.Paper})
	if kind == geo.MarkWater { // hollow, since nobody has seen a ford there
		c.Fill(lines, pal.Paper)
	}
	c.Lines(lines, Stroke{Width: 0.36 * r, Color: pal.Ink})
}

// crossings sets the signs of fords and possible fords on the upper edge of a band. Where they crowd, fords are
// shown before possible ones and the rest comes in sight on a shorter part of the route.
func (d *stripPen) crossings(y float32) {
	r := crossingUnits * d.u
	taken := &boxes{}
	for _, kind := range []geo.MarkKind{geo.MarkFord, geo.MarkWater} {
		for _, m := range d.sv.Marks {
			x := d.x(m.DistanceM)
			if m.Kind == kind && x >= d.x0 && x <= d.x1 && taken.claim(Rect{x - 1.2*r, y - r, x + 1.2*r, y + r}) {
				CrossingSign(d.c, Pt{x, y - 0.5*d.u}, r, kind, d.p)
			}
		}
	}
}
