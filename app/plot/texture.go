package plot

import (
	"math"
	"slices"

	"lastroad/geo"
)

// pattern is the texture of a kind of ground cover: small strokes on a loose grid, so that covers can be told
// apart in grey print and with any colour vision. Strokes are in units about the place of the mark.
type pattern struct {
	gap     float32 // between marks, units
	strokes [][]Pt
	width   float32
	dot     bool // a round dot instead of strokes, width across
}

// patterns by cover.
var patterns = [numCovers]pattern{
	CoverBuilt: {gap: 11, width: 0.9, strokes: [][]Pt{{{-3, 3}, {3, -3}}}},                                                            // slanting strokes
	CoverFarm:  {gap: 15, width: 0.8, strokes: [][]Pt{{{-6, -1.6}, {6, -1.6}}, {{-6, 1.6}, {6, 1.6}}}},                                // furrows
	CoverGrass: {gap: 22, width: 0.9, strokes: [][]Pt{{{-1.8, -2.4}, {-0.6, 1.6}}, {{1.8, -2.4}, {0.6, 1.6}}}},                        // blades
	CoverScrub: {gap: 17, width: 0.9, strokes: [][]Pt{{{-2.6, 1.4}, {-1.4, -1.4}, {1.4, -1.4}, {2.6, 1.4}}}},                          // low crowns
	CoverWood:  {gap: 15, width: 1, strokes: [][]Pt{{{-2.4, 1.2}, {0, -3.2}, {2.4, 1.2}}, {{0, 1.2}, {0, 3.2}}}},                      // trees
	CoverScree: {gap: 12, width: 0.9, strokes: [][]Pt{{{-1.6, 1.2}, {0, -1.4}, {1.6, 1.2}, {-1.6, 1.2}}}},                             // stones
	CoverRock:  {gap: 15, width: 1, strokes: [][]Pt{{{-3.4, 2.2}, {-1.2, -2.4}, {1.6, -1.4}, {3.4, 2.2}}}},                            // a ledge
	CoverSand:  {gap: 9, width: 1.5, dot: true},                                                                                       // grains
	CoverSalt:  {gap: 15, width: 0.9, strokes: [][]Pt{{{-2.4, 0}, {2.4, 0}}, {{0, -2.4}, {0, 2.4}}}},                                  // crystals
	CoverDug:   {gap: 13, width: 0.9, strokes: [][]Pt{{{-2.4, -1.8}, {2.4, -1.8}}, {{0, -1.8}, {0, 2.4}}}},                            // a pick
	CoverWet:   {gap: 15, width: 0.9, strokes: [][]Pt{{{-4, 1.6}, {4, 1.6}}, {{-1.6, -1.4}, {-1.6, 1.6}}, {{1.6, -1.4}, {1.6, 1.6}}}}, // reeds
	CoverIce:   {gap: 15, width: 0.9, strokes: [][]Pt{{{-2.4, 2.4}, {0, -2.4}, {2.4, 2.4}}, {{-3, 0}, {3, 0}}}},                       // a crystal
	CoverWater: {gap: 22, width: 0.9, strokes: [][]Pt{{{-4.5, 0}, {-2.2, -1.3}, {0, 0}, {2.2, -1.3}, {4.5, 0}}}},                      // a wave
}

// texture fills rings (on the screen, even-odd) with the marks of a cover. The marks stand on the ground and
// not on the screen, so that they move with it.
func (d *groundPen) texture(k Cover, rings [][]Pt, size Rect) {
	p := patterns[k]
	gap := p.gap * d.unit
	if gap <= 0 || size.W() < 0.8*gap && size.H() < 0.8*gap {
		return
	}
	// The grid's origin is the plane's, brought near the picture in float64.
	ox := float32(math.Mod(float64(d.v.W)/2-d.v.X/d.v.MetresPerPx, float64(gap)))
	oy := float32(math.Mod(float64(d.v.H)/2+d.v.Y/d.v.MetresPerPx, float64(2*gap)))
	w, h := d.c.Size()
	y0, y1 := max(size.Y0, -gap), min(size.Y1, h+gap)
	first, last := int(math.Ceil(float64((y0-oy)/gap))), int(math.Floor(float64((y1-oy)/gap)))
	if last < first {
		return
	}
	// Where each row of the grid crosses the rings.
	cuts := make([][]float32, last-first+1)
	for _, r := range rings {
		for i := range r {
			a, b := r[i], r[(i+1)%len(r)]
			if a.Y > b.Y {
				a, b = b, a
			}
			for row := max(first, int(math.Ceil(float64((a.Y-oy)/gap)))); row <= last; row++ {
				y := oy + float32(row)*gap
				if y >= b.Y {
					break
				}
				if y >= a.Y {
					cuts[row-first] = append(cuts[row-first], a.X+(b.X-a.X)*(y-a.Y)/(b.Y-a.Y))
				}
			}
		}
	}
	room := 3 * d.unit // marks keep off the edge
	var marks [][]Pt
	for row, c := range cuts {
		slices.Sort(c)
		y := oy + float32(row+first)*gap
		shift := ox
		if (row+first)%2 != 0 {
			shift += gap / 2
		}
		for i := 0; i+1 < len(c); i += 2 {
			x0, x1 := max(c[i]+room, -gap), min(c[i+1]-room, w+gap)
			for n := int(math.Ceil(float64((x0 - shift) / gap))); shift+float32(n)*gap <= x1; n++ {
				x := shift + float32(n)*gap
				if p.dot {
					marks = append(marks, []Pt{{x, y}, {x, y}})
					continue
				}
				for _, st := range p.strokes {
					line := make([]Pt, len(st))
					for j, q := range st {
						line[j] = Pt{x + q.X*d.unit, y + q.Y*d.unit}
					}
					marks = append(marks, line)
				}
			}
		}
	}
	if len(marks) > 0 {
		col := fade(d.p.SoftInk, 0.34)
		if k == CoverWater {
			col = fade(d.p.Water, 0.6)
		}
		d.c.Lines(marks, Stroke{Width: p.width * d.unit, Color: col})
	}
}

// boundsOf is the box round rings on the screen.
func boundsOf(rings [][]Pt) Rect {
	inf := float32(math.Inf(1))
	b := Rect{inf, inf, -inf, -inf}
	for _, r := range rings {
		for _, q := range r {
			b.X0, b.Y0, b.X1, b.Y1 = min(b.X0, q.X), min(b.Y0, q.Y), max(b.X1, q.X), max(b.Y1, q.Y)
		}
	}
	return b
}

// CoverSample fills the picture with a kind of ground cover as the map has it.
func CoverSample(c Canvas, k Cover, p *Palette) {
	w, h := c.Size()
	u := h / 26
	d := &groundPen{penBuffers: &penBuffers{}, c: c, p: p, unit: u, v: View{W: int(w), H: int(h), MetresPerPx: 1, Scale: u}}
	box := [][]Pt{{{0, 0}, {w, 0}, {w, h}, {0, h}}}
	Box(c, Rect{0, 0, w, h}, p.Area[k])
	d.texture(k, box, Rect{0, 0, w, h})
}

// GroundSample fills the picture with a ground class as the strip has it.
func GroundSample(c Canvas, g geo.Ground, p *Palette) {
	w, h := c.Size()
	Box(c, Rect{0, 0, w, h}, p.Classes[g])
	(&stripPen{c: c, p: p, u: h / 18}).groundTexture(Rect{0, 0, w, h}, g)
}
