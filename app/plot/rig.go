package plot

import (
	"fmt"
	"image/color"

	"lastroad/risk/recovery"
)

// DrawRig draws a recovery rig: the pulled vehicle at the left, the anchor at the right, the lines with
// their forces between them, and the ground to keep clear, with the distance in words unless ClearM is 0.
// A diagram without nodes draws nothing.
func DrawRig(c Canvas, d recovery.Diagram, p *Palette, scale float32) {
	if len(d.Nodes) == 0 {
		return
	}
	w, h := c.Size()
	Box(c, Rect{0, 0, w, h}, p.Paper)
	r := rigPen{c: c, p: p, s: scale}
	r.fit(d, w, h)
	r.danger(d, w, h)
	for _, l := range d.Legs {
		r.leg(l)
	}
	for _, n := range d.Nodes {
		r.node(n)
	}
	r.labels(d)
	if d.ClearM <= 0 {
		return // whoever shows it says it beside the picture
	}
	t := TextStyle{Size: 9.5 * scale, Color: p.SoftInk}
	c.Text(Pt{10 * scale, h - 8*scale}, fmt.Sprintf("Keep everybody at least %.0f m away, and out of the shaded ground; nobody inside a bend of the line. Not to scale.", d.ClearM), t)
}

type rigPen struct {
	c            Canvas
	p            *Palette
	s            float32
	x0, y0, k, m float32 // screen = x0 + k*x, y0 + m*y
	lines        [][2]Pt // on the screen
}

// fit scales the diagram along the pull to the width, and spreads it across so that parallel lines stand apart.
func (r *rigPen) fit(d recovery.Diagram, w, h float32) {
	minX, maxX, minY, maxY := d.Nodes[0].X, d.Nodes[0].X, d.Nodes[0].Y, d.Nodes[0].Y
	for _, n := range d.Nodes {
		minX, maxX, minY, maxY = min(minX, n.X), max(maxX, n.X), min(minY, n.Y), max(maxY, n.Y)
	}
	left, right, top, low := 74*r.s, 74*r.s, 34*r.s, 58*r.s // the lowest thing may be an anchor with its name below
	r.k = (w - left - right) / float32(max(0.2, maxX-minX))
	r.x0 = left - r.k*float32(minX)
	span := float32(maxY - minY)
	room := h - top - low
	r.m = min(r.k, room/max(0.1, span))
	if span < 0.3 { // a straight rig: lines beside each other, 20 units apart at least
		r.m = min(room/max(0.05, span), 260*r.s)
	}
	r.y0 = top + room/2 - r.m*float32(minY+maxY)/2
}

func (r *rigPen) at(x, y float64) Pt { return Pt{r.x0 + r.k*float32(x), r.y0 + r.m*float32(y)} }

// danger shades the ground beside every line.
func (r *rigPen) danger(d recovery.Diagram, w, h float32) {
	var paths [][]Pt
	for _, l := range d.Legs {
		paths = append(paths, []Pt{r.at(l.X1, l.Y1), r.at(l.X2, l.Y2)})
	}
	r.c.Lines(paths, Stroke{Width: 54 * r.s, Color: fade(r.p.Warn, 0.14)})
}

func (r *rigPen) leg(l recovery.DiagramLeg) {
	st := Stroke{Width: 2.2 * r.s, Color: r.p.Ink}
	switch l.Kind {
	case "extension":
		st.Dash = []float32{9 * r.s, 5 * r.s}
	case "strap":
		st.Width, st.Color = 4.2*r.s, r.p.SoftInk
	}
	Line(r.c, st, r.at(l.X1, l.Y1), r.at(l.X2, l.Y2))
}

func (r *rigPen) node(n recovery.DiagramNode) {
	q, s, ink, paper := r.at(n.X, n.Y), r.s, r.p.Ink, r.p.Paper
	switch n.Kind {
	case "vehicle", "helper":
		r.vehicle(q, n.Kind == "helper")
	case "block":
		Disc(r.c, q, 9*s, ink)
		Disc(r.c, q, 6.4*s, paper)
		Disc(r.c, q, 2.4*s, ink)
	case "anchor":
		// A stake in hatched ground.
		Line(r.c, Stroke{Width: 5 * s, Color: ink}, Pt{q.X, q.Y - 15*s}, Pt{q.X, q.Y + 12*s})
		for i := range 4 {
			x := q.X - 12*s + float32(i)*8*s
			Line(r.c, Stroke{Width: 1.4 * s, Color: r.p.SoftInk}, Pt{x, q.Y + 19*s}, Pt{x + 6*s, q.Y + 12*s})
		}
		Line(r.c, Stroke{Width: 1.6 * s, Color: r.p.SoftInk}, Pt{q.X - 14*s, q.Y + 12*s}, Pt{q.X + 20*s, q.Y + 12*s})
	case "winch":
		b := Rect{q.X - 6*s, q.Y - 6*s, q.X + 6*s, q.Y + 6*s}
		Box(r.c, b, ink)
		Box(r.c, b.Inset(2*s), paper)
		Line(r.c, Stroke{Width: 1.6 * s, Color: ink}, Pt{q.X, q.Y - 6*s}, Pt{q.X, q.Y + 6*s})
	default:
		Disc(r.c, q, 4*s, ink)
	}
}

// vehicle is a plan view: body, windscreen, four wheels. The pull goes to the right of the pulled one;
// the helper faces it.
func (r *rigPen) vehicle(q Pt, helper bool) {
	s := r.s
	dir := float32(-1)
	if helper {
		dir = 1
	}
	x := func(v float32) float32 { return q.X + dir*v*s }
	box := func(x0, y0, x1, y1 float32, col color.NRGBA) {
		Box(r.c, Rect{min(x(x0), x(x1)), q.Y + y0*s, max(x(x0), x(x1)), q.Y + y1*s}, col)
	}
	for _, wx := range []float32{8, 40} {
		box(wx, -18, wx+10, -13, r.p.Ink)
		box(wx, 13, wx+10, 18, r.p.Ink)
	}
	box(0, -14, 58, 14, r.p.Ink)
	box(1.6, -12.4, 56.4, 12.4, r.p.Paper)
	box(16, -11, 22, 11, r.p.SoftInk)
	box(46, -11, 49, 11, r.p.SoftInk)
}

// symbolBox is the room that a node's drawing takes round q.
func (r *rigPen) symbolBox(kind string, q Pt) Rect {
	b := Rect{-8, -8, 8, 8}
	switch kind {
	case "vehicle":
		b = Rect{-58, -18, 0, 18}
	case "helper":
		b = Rect{0, -18, 58, 18}
	case "anchor":
		b = Rect{-14, -15, 20, 19}
	case "block":
		b = Rect{-10, -10, 10, 10}
	}
	return Rect{q.X + b.X0*r.s, q.Y + b.Y0*r.s, q.X + b.X1*r.s, q.Y + b.Y1*r.s}
}

const (
	rigText  = 9.5 // units: size of the labels
	rigLine  = 11  // height of a label
	rigAway  = 9   // how many heights a label may move from its thing
	rigFoot  = 20  // kept for the sentence below the drawing
	rigCross = 16  // what a label would rather be away than lie over a line
	rigGuide = 18  // a label farther than this from its thing is tied to it by a line
)

// labels writes the names and forces so that they lie neither on each other nor on a drawing: each takes the
// free place nearest to its thing, and one that has to stand off is tied to it by a thin line.
func (r *rigPen) labels(d recovery.Diagram) {
	b := &boxes{}
	r.lines = r.lines[:0]
	for _, l := range d.Legs {
		r.lines = append(r.lines, [2]Pt{r.at(l.X1, l.Y1), r.at(l.X2, l.Y2)})
	}
	for _, n := range d.Nodes {
		b.block(r.symbolBox(n.Kind, r.at(n.X, n.Y)))
	}
	for _, n := range d.Nodes {
		text := n.Label
		if n.Kind == "anchor" && n.ForceKN > 0 {
			text += fmt.Sprintf(", %.1f kN", n.ForceKN)
		}
		switch n.Kind {
		case "vehicle", "helper", "anchor":
			r.label(b, r.symbolBox(n.Kind, r.at(n.X, n.Y)), text, true, 1)
		default:
			r.label(b, r.symbolBox(n.Kind, r.at(n.X, n.Y)), text, false, -1)
		}
	}
	for _, l := range d.Legs {
		if l.Kind == "strap" {
			continue // its force stands at the anchor and the block
		}
		a, z := r.at(l.X1, l.Y1), r.at(l.X2, l.Y2)
		m := Pt{(a.X + z.X) / 2, (a.Y + z.Y) / 2}
		r.label(b, Rect{m.X, m.Y, m.X, m.Y}, l.Label, false, -1)
	}
}

// label writes text at the free place nearest to a thing that takes the room of: below it first for side 1,
// above it for -1.
func (r *rigPen) label(b *boxes, of Rect, text string, bold bool, side float32) {
	if text == "" {
		return
	}
	w, h := r.c.Size()
	t := TextStyle{Size: rigText * r.s, Bold: bold, Color: r.p.Ink, Align: 0.5, Halo: r.p.Paper, HaloPx: 2 * r.s}
	half := r.c.TextWidth(text, t)/2 + 2*r.s
	line, gap := rigLine*r.s, 2*r.s
	mid := Pt{(of.X0 + of.X1) / 2, (of.Y0 + of.Y1) / 2}
	at := func(x, y float32) Rect { // x, y the middle of the label
		x = max(half+3*r.s, min(w-half-3*r.s, x))
		return Rect{x - half, y - line/2, x + half, y + line/2}
	}
	under, over := of.Y1+gap+line/2, of.Y0-gap-line/2
	if side < 0 {
		under, over = over, under
	}
	var best, first Rect
	bestCost := float32(-1)
	for k := range rigAway {
		far := float32(k) * line * 0.75
		for i, c := range [...]Rect{
			at(mid.X, under+side*far), at(mid.X, over-side*far),
			at(of.X1+gap+half+far, mid.Y), at(of.X0-gap-half-far, mid.Y),
			at(of.X1+half-4*r.s, under+side*far), at(of.X0-half+4*r.s, under+side*far),
			at(of.X1+half-4*r.s, over-side*far), at(of.X0-half+4*r.s, over-side*far),
		} {
			if k == 0 && i == 0 {
				first = c
			}
			if c.Y0 < 2*r.s || c.Y1 > h-rigFoot*r.s || !b.free(c) {
				continue
			}
			cost := rectGap(c, of) + float32(i)*1.5*r.s + float32(r.crossed(c))*rigCross*r.s
			if bestCost < 0 || cost < bestCost {
				best, bestCost = c, cost
			}
		}
	}
	if bestCost < 0 {
		best = first // no room anywhere: better over something than unsaid
	}
	b.block(best)
	if rectGap(best, of) > rigGuide*r.s {
		end := Pt{max(best.X0, min(best.X1, mid.X)), best.Y1}
		if best.Y0 > mid.Y {
			end.Y = best.Y0
		}
		Line(r.c, Stroke{Width: 0.8 * r.s, Color: r.p.SoftInk}, end, mid)
	}
	r.c.Text(Pt{(best.X0 + best.X1) / 2, best.Y1 - 0.26*line}, text, t)
}

// crossed counts the lines that run through b.
func (r *rigPen) crossed(b Rect) int {
	n := 0
	for _, l := range r.lines {
		steps := 1 + int(hypot32(l[1].X-l[0].X, l[1].Y-l[0].Y)/(3*r.s))
		for i := range steps + 1 {
			t := float32(i) / float32(steps)
			if b.Holds(Pt{l[0].X + t*(l[1].X-l[0].X), l[0].Y + t*(l[1].Y-l[0].Y)}) {
				n++
				break
			}
		}
	}
	return n
}

// rectGap is the distance between two rectangles, 0 where they meet.
func rectGap(a, b Rect) float32 {
	return hypot32(max(0, a.X0-b.X1, b.X0-a.X1), max(0, a.Y0-b.Y1, b.Y0-a.Y1))
}
