package plot

import (
	"image/color"
	"math"

	"lastroad/geo"
)

// helpRank is the order in which places of help are given room.
var helpRank = [geo.NumHelp]int{
	geo.HelpMedical: 0, geo.HelpFuel: 1, geo.HelpWorkshop: 2, geo.HelpPolice: 3, geo.HelpWater: 4,
	geo.HelpSpring: 5, geo.HelpHut: 6, geo.HelpPhone: 7, geo.HelpSettlement: 8,
}

// Symbols are drawn in a box from -1 to 1 round the place, as strokes and filled rings. Each has an
// outline of its own, so that it can be told apart small, without colour, and by those who see none.
type symbol struct {
	lines [][]Pt
	fill  [][][]Pt // polygons
}

func ring(cx, cy, r float32, n int) []Pt {
	out := make([]Pt, 0, n)
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		out = append(out, Pt{cx + r*float32(cos), cy + r*float32(sin)})
	}
	return out
}

var helpSymbol = [geo.NumHelp]symbol{
	// A jerrycan: body with a slanting shoulder, spout and handle.
	geo.HelpFuel: {fill: [][][]Pt{{
		{{-0.6, -0.35}, {-0.25, -0.7}, {0.6, -0.7}, {0.6, 0.75}, {-0.6, 0.75}},
		{{-0.1, -0.5}, {0.4, -0.5}, {0.4, -0.3}, {-0.1, -0.3}},
	}}, lines: [][]Pt{{{-0.75, -0.6}, {-0.45, -0.5}}}},
	// A drop.
	geo.HelpWater: {fill: [][][]Pt{{{{0, -0.85}, {0.42, -0.15}, {0.55, 0.2}, {0.48, 0.52}, {0.25, 0.76}, {0, 0.82},
		{-0.25, 0.76}, {-0.48, 0.52}, {-0.55, 0.2}, {-0.42, -0.15}}}}},
	// Water coming out of the ground: an arch over two waves.
	geo.HelpSpring: {lines: [][]Pt{
		{{-0.6, 0.05}, {-0.5, -0.35}, {-0.2, -0.6}, {0.2, -0.6}, {0.5, -0.35}, {0.6, 0.05}},
		{{-0.75, 0.4}, {-0.45, 0.25}, {-0.15, 0.4}, {0.15, 0.25}, {0.45, 0.4}, {0.75, 0.25}},
		{{-0.75, 0.75}, {-0.45, 0.6}, {-0.15, 0.75}, {0.15, 0.6}, {0.45, 0.75}, {0.75, 0.6}},
	}},
	// Two roofs.
	geo.HelpSettlement: {fill: [][][]Pt{{{{-0.8, 0.6}, {-0.8, 0}, {-0.35, -0.4}, {0.1, 0}, {0.1, 0.6}}},
		{{{0.2, 0.6}, {0.2, -0.1}, {0.1, -0.25}, {0.4, -0.55}, {0.8, -0.2}, {0.8, 0.6}}}}},
	// A plaster with its pad, laid slantwise.
	geo.HelpMedical: {fill: [][][]Pt{{
		{{-0.95, 0.45}, {0.45, -0.95}, {0.72, -0.92}, {0.92, -0.72}, {0.95, -0.45}, {-0.45, 0.95}, {-0.72, 0.92}, {-0.92, 0.72}},
		{{-0.38, 0}, {0, -0.38}, {0.38, 0}, {0, 0.38}},
	}}},
	// A beacon: mast with rays.
	geo.HelpPolice: {fill: [][][]Pt{{{{-0.45, 0.75}, {-0.25, -0.1}, {0.25, -0.1}, {0.45, 0.75}}}},
		lines: [][]Pt{{{0, -0.4}, {0, -0.8}}, {{-0.35, -0.35}, {-0.65, -0.65}}, {{0.35, -0.35}, {0.65, -0.65}}}},
	// A hut: steep roof with a door.
	geo.HelpHut: {fill: [][][]Pt{{{{0, -0.8}, {0.85, 0.7}, {-0.85, 0.7}}, {{-0.18, 0.7}, {-0.18, 0.15}, {0.18, 0.15}, {0.18, 0.7}}}}},
	// A wheel nut seen from the front: hexagon with a hole.
	geo.HelpWorkshop: {fill: [][][]Pt{{ring(0, 0, 0.85, 6), ring(0, 0, 0.36, 16)}}},
	// A receiver.
	geo.HelpPhone: {lines: [][]Pt{{{-0.5, -0.6}, {-0.55, 0}, {-0.2, 0.45}, {0.4, 0.6}}, {{-0.65, -0.6}, {-0.25, -0.6}}, {{0.3, 0.75}, {0.5, 0.35}}}},
}

// drawSymbol draws a symbol with the half-size r.
func drawSymbol(c Canvas, p Pt, r float32, s symbol, col color.NRGBA) {
	at := func(q Pt) Pt { return Pt{p.X + q.X*r, p.Y + q.Y*r} }
	for _, poly := range s.fill {
		rings := make([][]Pt, len(poly))
		for i, ring := range poly {
			for _, q := range ring {
				rings[i] = append(rings[i], at(q))
			}
		}
		c.Fill(rings, col)
	}
	var lines [][]Pt
	for _, l := range s.lines {
		var out []Pt
		for _, q := range l {
			out = append(out, at(q))
		}
		lines = append(lines, out)
	}
	if len(lines) > 0 {
		c.Lines(lines, Stroke{Width: max(1.1, 0.3*r), Color: col})
	}
}

// HelpSymbol draws the symbol of a kind of help on a small disc of paper, 2r across, as the map has it.
func HelpSymbol(c Canvas, p Pt, r float32, kind geo.HelpKind, pal *Palette) {
	Disc(c, p, r, fade(pal.Help, 0.9))
	Disc(c, p, r-max(0.8, 0.12*r), pal.Paper)
	drawSymbol(c, p, 0.58*r, helpSymbol[kind], pal.Help)
}

// spot is a place of help with its room on the screen.
type spot struct {
	at   Pt
	r    float32
	kind geo.HelpKind
}

// spots are the places of help that find room beside each other, the more urgent first; settlements have
// their names instead.
func (s *Scene) spots(v View) []spot {
	r := 8.5 * v.Scale
	mpp := v.MetresPerPx * float64(v.Scale)
	if mpp > 60 {
		r = 6.5 * v.Scale
	}
	seen := v.extent(float64(r))
	b := &boxes{}
	var out []spot
	few := 0
	for _, h := range s.help {
		if helpMaxMPP[h.kind] > 0 && (Extent{h.x, h.y, h.x, h.y}).meets(seen) {
			few++
		}
	}
	for _, h := range s.help {
		hidden := mpp > helpMaxMPP[h.kind] && (few > 40 || helpMaxMPP[h.kind] == 0)
		if hidden || !(Extent{h.x, h.y, h.x, h.y}).meets(seen) {
			continue
		}
		at := v.Screen(h.x, h.y)
		if b.claim(Rect{at.X - r - 1, at.Y - r - 1, at.X + r + 1, at.Y + r + 1}) {
			out = append(out, spot{at, r, geo.HelpKind(h.kind)})
		}
	}
	return out
}

func (d *groundPen) helpSymbols(b *boxes) {
	for _, h := range d.s.spots(d.v) {
		HelpSymbol(d.c, h.at, h.r, h.kind, d.p)
		b.block(Rect{h.at.X - h.r, h.at.Y - h.r, h.at.X + h.r, h.at.Y + h.r})
	}
}

var helpMaxMPP = [geo.NumHelp]float64{
	geo.HelpFuel: 250, geo.HelpWater: 40, geo.HelpSpring: 60, geo.HelpSettlement: 0, geo.HelpMedical: 120,
	geo.HelpPolice: 60, geo.HelpHut: 60, geo.HelpWorkshop: 90, geo.HelpPhone: 30,
}
