package plot

import (
	"image/color"
	"math"

	"lastroad/geo"
)

// Remotest is the sample of a leg that lies farthest from a maintained road; ok is false when no distance
// is known or the whole leg lies on one.
func Remotest(s *geo.Survey, leg int) (sample int, ok bool) {
	if leg < 0 || leg >= len(s.Legs) {
		return 0, false
	}
	best := 0.0
	for i := s.Legs[leg].From; i <= s.Legs[leg].To && i < len(s.Samples); i++ {
		if r := s.Samples[i].RoadM; r > best {
			sample, best, ok = i, r, true
		}
	}
	return sample, ok
}

// endsTrouble are the kinds of help where somebody is found who can act, or be called from.
var endsTrouble = []geo.HelpKind{geo.HelpSettlement, geo.HelpMedical, geo.HelpPolice, geo.HelpWorkshop, geo.HelpPhone}

// NearestHelp is the place nearest to a sample, straight, where somebody is found who can act or be called
// from: a settlement, medical help, police or rangers, a workshop, a telephone. ok is false when none is known.
func NearestHelp(s *geo.Survey, sample int) (place *geo.Place, distanceM float64, ok bool) {
	if sample < 0 || sample >= len(s.Samples) {
		return nil, math.NaN(), false
	}
	q := &s.Samples[sample]
	distanceM = math.Inf(1)
	for _, k := range endsTrouble {
		if at, m := q.HelpAt[k], q.HelpM[k]; at >= 0 && int(at) < len(s.Help) && m < distanceM {
			place, distanceM, ok = &s.Help[at], m, true
		}
	}
	if !ok {
		distanceM = math.NaN()
	}
	return place, distanceM, ok
}

// wayOut draws, for the chosen leg, from its remotest sample the line to the nearest maintained road (long
// dashes, an arrow head) and the one to the nearest help (dots, an open ring), with their distances where b has room.
func (d *groundPen) wayOut(st RouteStyle, b *boxes) {
	sv := d.s.Survey
	if st.Chosen < 0 || st.Chosen >= len(sv.Legs) {
		return
	}
	i, ok := Remotest(sv, st.Chosen)
	if !ok {
		return
	}
	a, u := d.sampleAt(i), d.unit
	if p, _, ok := NearestHelp(sv, i); ok {
		x, y := d.s.Proj.XY(p.At)
		to := d.v.Screen(x, y)
		if n := hypot32(to.X-a.X, to.Y-a.Y); n >= 14*u && n < 50000 {
			ux, uy := (to.X-a.X)/n, (to.Y-a.Y)/n
			tip := Pt{to.X - 10*u*ux, to.Y - 10*u*uy}
			Line(d.c, Stroke{Width: 5 * u, Color: d.p.Halo}, a, tip)
			Line(d.c, Stroke{Width: 2.6 * u, Color: d.p.Help, Dash: []float32{0.1 * u, 6 * u}}, a, tip)
			ringAt(d.c, to, 10*u, 2*u, d.p.Help)
			d.lineText(b, a, tip, st.HelpText, d.p.Help)
		}
	}
	x, y := d.s.Proj.XY(sv.Samples[i].RoadAt)
	to := d.v.Screen(x, y)
	n := hypot32(to.X-a.X, to.Y-a.Y)
	if n < 14*u || n > 50000 {
		return
	}
	ux, uy := (to.X-a.X)/n, (to.Y-a.Y)/n
	tip := Pt{to.X - 3*u*ux, to.Y - 3*u*uy}
	head := []Pt{{tip.X - 9*u*ux + 4.5*u*uy, tip.Y - 9*u*uy - 4.5*u*ux}, tip, {tip.X - 9*u*ux - 4.5*u*uy, tip.Y - 9*u*uy + 4.5*u*ux}}
	for _, s := range []Stroke{{Width: 5 * u, Color: d.p.Halo}, {Width: 2.2 * u, Color: d.p.WayOut, Dash: []float32{7 * u, 5 * u}}} {
		Line(d.c, s, a, tip)
		s.Dash = nil
		d.c.Lines([][]Pt{head}, s)
	}
	Disc(d.c, to, 3*u, d.p.WayOut)
	d.lineText(b, a, tip, st.RoadText, d.p.WayOut)
}

// lineText writes beside the middle of what is in sight of a line where that is long enough to carry it, or a little along
// it where the middle is taken in taken, which holds the text afterwards. Where all is taken nothing is written: the leg's
// sheet has the distance too.
func (d *groundPen) lineText(taken *boxes, a, b Pt, text string, col color.NRGBA) {
	if text == "" {
		return
	}
	t := TextStyle{Size: 11 * d.unit, Bold: true, Color: col, Halo: d.p.Halo, HaloPx: 2.4 * d.unit}
	w := d.c.TextWidth(text, t)
	full, h := d.c.Size()
	a, b, ok := cutTo(a, b, Rect{0, 0, full, h})
	if !ok || hypot32(b.X-a.X, b.Y-a.Y) < 44*d.unit {
		return
	}
	beside := func(share float32) Pt {
		at := Pt{a.X + (share+0.05)*(b.X-a.X) + 7*d.unit, a.Y + (share+0.05)*(b.Y-a.Y) + 0.36*t.Size}
		// A line that lies flat has its text above it.
		if abs32(b.Y-a.Y) < 0.5*abs32(b.X-a.X) {
			at = Pt{a.X + share*(b.X-a.X) - w/2, a.Y + share*(b.Y-a.Y) - 7*d.unit}
		}
		return Pt{max(3*d.unit, min(full-w-3*d.unit, at.X)), max(12*d.unit, min(h-6*d.unit, at.Y))}
	}
	for _, share := range [...]float32{0.5, 0.3, 0.7, 0.15, 0.85, 0.4, 0.6} {
		if at := beside(share); taken.claim(textBox(d.c, at, text, t)) {
			d.texts = append(d.texts, laidText{at, text, t})
			return
		}
	}
}

// laidText is written over the route when all lines are drawn.
type laidText struct {
	at   Pt
	text string
	t    TextStyle
}

func ringAt(c Canvas, p Pt, r, width float32, col color.NRGBA) {
	path := ring(p.X, p.Y, r, 28)
	c.Lines([][]Pt{append(path, path[0])}, Stroke{Width: width, Color: col})
}

func abs32(v float32) float32 {
	if v < 0 {
		return -v
	}
	return v
}

// WayOutSample and HelpLineSample draw across the picture the two lines as the map has them.
func WayOutSample(c Canvas, p *Palette) {
	w, h := c.Size()
	Line(c, Stroke{Width: h / 6, Color: p.WayOut, Dash: []float32{h / 2, h / 2.6}}, Pt{3, h / 2}, Pt{w - 4, h / 2})
	c.Lines([][]Pt{{{w - 3 - h/2, h * 0.2}, {w - 3, h / 2}, {w - 3 - h/2, h * 0.8}}}, Stroke{Width: h / 6, Color: p.WayOut})
}

// HelpLineSample is the line to help.
func HelpLineSample(c Canvas, p *Palette) {
	w, h := c.Size()
	Line(c, Stroke{Width: h / 5, Color: p.Help, Dash: []float32{0.1, h / 2.2}}, Pt{3, h / 2}, Pt{w - h, h / 2})
	ringAt(c, Pt{w - h/2, h / 2}, h*0.4, h/8, p.Help)
}
