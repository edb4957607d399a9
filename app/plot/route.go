package plot

import (
	"image/color"
	"math"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/risk"
)

// RouteStyle says what of the route is shown.
type RouteStyle struct {
	Chosen int // leg, -1 for none
	Hover  int // sample under the pointer, -1 for none (windows move a mark of their own instead)
	// Returns are the samples of the points of no easy return by driving; NoFuel and NoWater those from which
	// going on to the next supply takes less fuel or water than going back to the last; NoReturn those from which
	// it does in both. See NoReturns.
	Returns, NoFuel, NoWater, NoReturn []int
	// RoadText and HelpText stand beside the lines from the chosen leg to a maintained road and to help ("27.9
	// km to a road"); "" for none.
	RoadText, HelpText string
	// From and To bound a stretch marked by the user; both -1 for none.
	From, To int
}

// NoStyle shows the route with nothing chosen.
var NoStyle = RouteStyle{Chosen: -1, Hover: -1, From: -1, To: -1}

// verdict is the texture of a leg: how its readiness reads without colour.
type verdict uint8

const (
	plain   verdict = iota // ready
	beaded                 // thin: a dashed light middle line
	notched                // not ready: dark notches across
	unjudged
)

// verdictOf follows the word of the judgement, so that map, strip and text never disagree.
func verdictOf(j *risk.Judgement, leg int) (v verdict, readiness float64) {
	if j == nil || leg < 0 || leg >= len(j.Legs) {
		return unjudged, math.NaN()
	}
	s := j.Legs[leg].Score
	return wordVerdict(s.Word), s.Readiness
}

func wordVerdict(word string) verdict {
	switch word {
	case "ready":
		return plain
	case "thin":
		return beaded
	case "":
		return unjudged
	}
	return notched
}

var verdictWidth = [...]float32{plain: 4, beaded: 5.2, notched: 6.6, unjudged: 4.4}

// DrawRoute draws the route over the ground: legs coloured by readiness, their verdict as width and
// texture, the way out of the chosen leg, and the marks on the line. j may be nil (not judged yet).
func DrawRoute(c Canvas, s *Scene, v View, p *Palette, j *risk.Judgement, st RouteStyle) {
	if s == nil || s.Survey == nil || len(s.route) == 0 {
		return
	}
	d := newGroundPen(c, s, v, p, 24)
	onCamps := &boxes{}
	camps := d.camps(onCamps)
	written := onCamps.clone()
	d.wayOut(st, written)
	for i := range s.legs {
		if i != st.Chosen {
			d.leg(i, j, false)
		}
	}
	if st.Chosen >= 0 && st.Chosen < len(s.legs) {
		d.leg(st.Chosen, j, true)
	}
	d.stretch(st)
	d.helpOnRoute()
	d.marks(st, camps, onCamps)
	d.routeEnds()
	d.legNumbers(j, st, written)
	for _, l := range d.texts {
		c.Text(l.at, l.text, l.t)
	}
	if st.Hover >= 0 && st.Hover < len(s.route) {
		HoverMark(c, d.sampleAt(st.Hover), v.Scale, p)
	}
}

func (d *groundPen) sampleAt(i int) Pt {
	return d.v.Screen(float64(d.s.route[i].X), float64(d.s.route[i].Y))
}

// legPath is the visible part of a leg as one or more lines.
func (d *groundPen) legPath(i int) [][]Pt {
	d.begin()
	for k := range d.s.legs[i] {
		d.take(&d.s.legs[i][k])
	}
	// Parts that follow each other are joined, so that a texture runs on.
	var out [][]Pt
	for _, p := range d.paths {
		if n := len(out); n > 0 && len(out[n-1]) > 0 && out[n-1][len(out[n-1])-1] == p[0] {
			out[n-1] = append(out[n-1], p[1:]...)
			continue
		}
		out = append(out, append([]Pt(nil), p...))
	}
	return out
}

func (d *groundPen) leg(i int, j *risk.Judgement, chosen bool) {
	path := d.legPath(i)
	if len(path) == 0 {
		return
	}
	vd, readiness := verdictOf(j, i)
	col := d.p.ReadinessColor(readiness)
	w := verdictWidth[vd] * d.unit
	u := d.unit
	if chosen {
		w += 1.6 * u
		d.c.Lines(path, Stroke{Width: w + 9*u, Color: fade(d.p.Case, 0.55)})
		d.c.Lines(path, Stroke{Width: w + 6.6*u, Color: d.p.Chosen})
	}
	d.c.Lines(path, Stroke{Width: w + 2.4*u, Color: d.p.Case})
	d.c.Lines(path, Stroke{Width: w, Color: col})
	texture(d.c, path, vd, w, u, d.p)
}

// texture lays the verdict's pattern over a line.
func texture(c Canvas, path [][]Pt, vd verdict, w, u float32, p *Palette) {
	switch vd {
	case beaded:
		c.Lines(path, Stroke{Width: 0.3 * w, Color: color.NRGBA{255, 255, 255, 235}, Dash: []float32{5 * u, 6.5 * u}})
	case notched:
		c.Lines(notches(path, w*0.44, 7*u), Stroke{Width: 1.5 * u, Color: p.Case})
	case unjudged:
		c.Lines(path, Stroke{Width: 0.3 * w, Color: p.Case, Dash: []float32{1 * u, 7 * u}})
	}
}

// notches are short strokes across a line, every gap pixels.
func notches(path [][]Pt, half, gap float32) [][]Pt {
	var out [][]Pt
	for _, l := range path {
		left := gap / 2
		for i := 1; i < len(l); i++ {
			a, b := l[i-1], l[i]
			n := hypot32(b.X-a.X, b.Y-a.Y)
			if n == 0 || n > 20000 {
				continue
			}
			ux, uy := (b.X-a.X)/n, (b.Y-a.Y)/n
			for left <= n {
				x, y := a.X+ux*left, a.Y+uy*left
				out = append(out, []Pt{{x + uy*half, y - ux*half}, {x - uy*half, y + ux*half}})
				left += gap
			}
			left -= n
		}
	}
	return out
}

// stretch marks the part of the route between two samples.
func (d *groundPen) stretch(st RouteStyle) {
	if st.From < 0 || st.To <= st.From || st.To >= len(d.s.route) {
		return
	}
	d.buf = d.v.toScreen(d.buf[:0], d.s.route[st.From:st.To+1])
	u := d.unit
	d.c.Lines([][]Pt{d.buf}, Stroke{Width: 16 * u, Color: fade(d.p.Accent, 0.38)})
}

// helpOnRoute draws again the symbols of help that the route has covered.
func (d *groundPen) helpOnRoute() {
	for _, h := range d.s.spots(d.v) {
		x, y := d.v.Plane(h.at)
		if _, m, ok := d.s.Nearest(x, y); ok && m < float64(h.r+9*d.unit)*d.v.MetresPerPx {
			HelpSymbol(d.c, h.at, h.r, h.kind, d.p)
		}
	}
}

// markSymbol are the marks on the line, on square plates so that they cannot be taken for help.
var markSymbol = map[geo.MarkKind]symbol{
	// Waves across two wheel tracks.
	geo.MarkFord: {lines: [][]Pt{
		{{-0.8, -0.25}, {-0.4, -0.5}, {0, -0.25}, {0.4, -0.5}, {0.8, -0.25}},
		{{-0.8, 0.4}, {-0.4, 0.15}, {0, 0.4}, {0.4, 0.15}, {0.8, 0.4}}}},
	// A bar on two posts.
	geo.MarkGate: {lines: [][]Pt{{{-0.7, -0.6}, {-0.7, 0.7}}, {{0.7, -0.6}, {0.7, 0.7}}, {{-0.7, -0.2}, {0.7, 0.3}}, {{-0.7, 0.3}, {0.7, 0.3}}}},
	// A camp: a low tent with its opening.
	geo.MarkStop: {lines: [][]Pt{{{-0.85, 0.6}, {0, -0.6}, {0.85, 0.6}, {-0.85, 0.6}}, {{0, -0.6}, {0.25, 0.6}}}},
	// A drop over a wheel track: water that nothing tells of, perhaps a ford.
	geo.MarkWater: {lines: [][]Pt{{{-0.8, 0.75}, {-0.4, 0.5}, {0, 0.75}, {0.4, 0.5}, {0.8, 0.75}}}, fill: [][][]Pt{{{{0, -0.9}, {0.36, -0.25}, {0.4, 0.02}, {0.2, 0.25}, {-0.2, 0.25}, {-0.4, 0.02}, {-0.36, -0.25}}}}},
	// A closed hand's width: bar in a ring for private ground.
	geo.MarkPrivate: {lines: [][]Pt{{{-0.6, 0.6}, {0.6, -0.6}}}, fill: [][][]Pt{{ring(0, 0, 0.85, 24), ring(0, 0, 0.6, 24)}}},
}

// marks draws camps, whose room is taken in b, and then the other marks where they find room.
func (d *groundPen) marks(st RouteStyle, camps []camp, b *boxes) {
	for _, c := range camps {
		MarkSymbol(d.c, c.at, markRadius*d.unit, geo.MarkStop, d.p)
		if c.label.text != "" {
			d.c.Text(c.label.at, c.label.text, c.label.t)
		}
	}
	r := markRadius * d.unit
	few := 0
	for _, m := range d.s.Survey.Marks {
		if _, ok := markSymbol[m.Kind]; ok {
			few++
		}
	}
	for _, pass := range []geo.MarkKind{geo.MarkFord, geo.MarkGate, geo.MarkPrivate, geo.MarkWater} {
		// In a crowd of them only the nearer views show those that the user did not set.
		if d.mpp > 170 && (few > fewMarks || d.mpp > 900) {
			continue
		}
		for _, m := range d.s.Survey.Marks {
			if m.Kind != pass {
				continue
			}
			x, y := d.s.Proj.XY(m.At)
			if !(Extent{x, y, x, y}).meets(d.seen) {
				continue
			}
			at := d.v.Screen(x, y)
			if b.claim(Rect{at.X - r, at.Y - r, at.X + r, at.Y + r}) {
				MarkSymbol(d.c, at, r, m.Kind, d.p)
			}
		}
	}
	d.returns(st)
}

// markRadius is half the width of a mark's plate in units.
const markRadius = 7.5

// camp is a camp that finds room: its plate and, with an empty text where there is no room for it, its name.
type camp struct {
	at    Pt
	label laidText
}

// camps are the places of the camps in sight and of their names. They and all they take stand in b after. Where
// they lie depends on the camps alone, so that the names of the ground can keep clear of them.
func (d *groundPen) camps(b *boxes) []camp {
	var out []camp
	r := markRadius * d.unit
	for _, m := range d.s.stops() {
		x, y := d.s.Proj.XY(m.At)
		if !(Extent{x, y, x, y}).meets(d.seen) {
			continue
		}
		c := camp{at: d.v.Screen(x, y)}
		if !b.claim(Rect{c.at.X - r, c.at.Y - r, c.at.X + r, c.at.Y + r}) {
			continue
		}
		t := TextStyle{Size: 11.5 * d.unit, Bold: true, Color: d.p.Ink, Halo: d.p.Halo, HaloPx: 2 * d.unit}
		for _, side := range []float32{0, 1} {
			if m.Name == "" {
				break
			}
			t.Align = side
			p := Pt{c.at.X + (1-2*side)*(r+5*d.unit), c.at.Y + 0.36*t.Size}
			if b.claim(textBox(d.c, p, m.Name, t)) {
				c.label = laidText{at: p, text: m.Name, t: t}
				break
			}
		}
		out = append(out, c)
	}
	return out
}

// fewMarks is how many marks on the line are all shown on the whole route.
const fewMarks = 60

// MarkSymbol draws the plate of a mark on the line, 2r across.
func MarkSymbol(c Canvas, p Pt, r float32, kind geo.MarkKind, pal *Palette) {
	sym, ok := markSymbol[kind]
	if !ok {
		return
	}
	Box(c, Rect{p.X - r, p.Y - r, p.X + r, p.Y + r}, pal.Case)
	Box(c, Rect{p.X - r, p.Y - r, p.X + r, p.Y + r}.Inset(0.14*r), pal.Paper)
	drawSymbol(c, p, 0.68*r, sym, pal.Ink)
}

// ReturnMark is the flag where going on becomes no longer than turning back; its foot is at p.
func ReturnMark(c Canvas, p Pt, u float32, pal *Palette) {
	top := Pt{p.X, p.Y - 26*u}
	flag := []Pt{top, {p.X + 19*u, p.Y - 19*u}, {p.X, p.Y - 12*u}}
	Line(c, Stroke{Width: 6 * u, Color: pal.Paper}, p, top)
	c.Lines([][]Pt{append(flag[:3:3], top)}, Stroke{Width: 5 * u, Color: pal.Paper})
	Line(c, Stroke{Width: 2.4 * u, Color: pal.Ink}, p, top)
	c.Fill([][]Pt{flag}, pal.Warn)
	Disc(c, p, 4*u, pal.Paper)
	Disc(c, p, 2.6*u, pal.Ink)
}

// RouteSample draws across the picture a piece of route as the map shows it for a score.
func RouteSample(c Canvas, s risk.Score, p *Palette) {
	w, h := c.Size()
	u := h / 14
	vd := wordVerdict(s.Word)
	path := [][]Pt{{{h / 2, h / 2}, {w - h/2, h / 2}}}
	lw := verdictWidth[vd] * u
	c.Lines(path, Stroke{Width: lw + 2.4*u, Color: p.Case})
	c.Lines(path, Stroke{Width: lw, Color: p.ReadinessColor(s.Readiness)})
	texture(c, path, vd, lw, u, p)
}

// routeEnds marks the start as a ring and the end as a filled square.
func (d *groundPen) routeEnds() {
	u := d.unit
	a, b := d.sampleAt(0), d.sampleAt(len(d.s.route)-1)
	Box(d.c, Rect{b.X - 6*u, b.Y - 6*u, b.X + 6*u, b.Y + 6*u}, d.p.Paper)
	Box(d.c, Rect{b.X - 4.5*u, b.Y - 4.5*u, b.X + 4.5*u, b.Y + 4.5*u}, d.p.Ink)
	Disc(d.c, a, 7*u, d.p.Paper)
	Disc(d.c, a, 5.5*u, d.p.Ink)
	Disc(d.c, a, 2.6*u, d.p.Paper)
}

// legNumbers writes the number of each leg beside its middle where b has room: a number must not hide a camp, its
// name, or the text on a way out.
func (d *groundPen) legNumbers(j *risk.Judgement, st RouteStyle, b *boxes) {
	if len(d.s.legs) < 2 {
		return
	}
	order := make([]int, 0, len(d.s.legs))
	if st.Chosen >= 0 && st.Chosen < len(d.s.legs) {
		order = append(order, st.Chosen)
	}
	for i := range d.s.legs {
		if i != st.Chosen {
			order = append(order, i)
		}
	}
	for _, i := range order {
		l := d.s.Survey.Legs[i]
		if e := d.s.LegExtent(i); !e.meets(d.seen) || max(e.X1-e.X0, e.Y1-e.Y0) < 22*float64(d.unit)*d.v.MetresPerPx {
			continue
		}
		m := (l.From + l.To) / 2
		mid := d.sampleAt(m)
		// Beside the line, on its right hand, else on its left, else a little farther off.
		a, z := d.sampleAt(max(l.From, m-4)), d.sampleAt(min(l.To, m+4))
		n := hypot32(z.X-a.X, z.Y-a.Y)
		t := TextStyle{Size: 11 * d.unit, Bold: true, Color: d.p.Ink, Align: 0.5}
		s := metres(float64(i + 1))
		w := max(d.c.TextWidth(s, t), 8*d.unit)
		h := 8 * d.unit
		at, free := mid, false
		for _, side := range [...]float32{1, -1, 1.7, -1.7} {
			if off := side * 17 * d.unit; n > 0 {
				at = Pt{mid.X - (z.Y-a.Y)/n*off, mid.Y + (z.X-a.X)/n*off}
			}
			if free = b.claim(Rect{at.X - w/2 - h, at.Y - h, at.X + w/2 + h, at.Y + h}); free {
				break
			}
		}
		if !free {
			continue
		}
		plate := [][]Pt{{{at.X - w/2 + 2*d.unit, at.Y}, {at.X + w/2 - 2*d.unit, at.Y}}}
		_, readiness := verdictOf(j, i)
		d.c.Lines(plate, Stroke{Width: 2 * h, Color: d.p.ReadinessColor(readiness)})
		d.c.Lines(plate, Stroke{Width: 2*h - 3.4*d.unit, Color: d.p.Paper})
		d.c.Text(Pt{at.X, at.Y + 0.36*t.Size}, s, t)
	}
}

// HoverMark is the mark of the place under the pointer.
func HoverMark(c Canvas, p Pt, scale float32, pal *Palette) {
	Disc(c, p, 8*scale, pal.Paper)
	Disc(c, p, 6.5*scale, pal.Hover)
	Disc(c, p, 4*scale, pal.Paper)
}

// DrawSketch draws a line that is being drawn: its course and the places clicked, in degrees.
func DrawSketch(c Canvas, s *Scene, v View, p *Palette, line, places []orb.Point) {
	if s == nil {
		return
	}
	at := func(q orb.Point) Pt {
		x, y := s.Proj.XY(q)
		return v.Screen(x, y)
	}
	var path []Pt
	for _, q := range line {
		path = append(path, at(q))
	}
	u := v.Scale
	if len(path) > 1 {
		c.Lines([][]Pt{path}, Stroke{Width: 7 * u, Color: p.Paper})
		c.Lines([][]Pt{path}, Stroke{Width: 3.4 * u, Color: p.Accent, Dash: []float32{8 * u, 6 * u}})
	}
	for _, q := range places {
		Disc(c, at(q), 6.5*u, p.Paper)
		Disc(c, at(q), 4.6*u, p.Accent)
	}
}
