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
}

// fit scales the diagram along the pull to the width, and spreads it across so that parallel lines stand apart.
func (r *rigPen) fit(d recovery.Diagram, w, h float32) {
	minX, maxX, minY, maxY := d.Nodes[0].X, d.Nodes[0].X, d.Nodes[0].Y, d.Nodes[0].Y
	for _, n := range d.Nodes {
		minX, maxX, minY, maxY = min(minX, n.X), max(maxX, n.X), min(minY, n.Y), max(maxY, n.Y)
	}
	left, right, top, low := 74*r.s, 74*r.s, 30*r.s, 44*r.s
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

// labels writes the names and forces so that they do not lie on each other: each is moved away from the
// line until it is free.
func (r *rigPen) labels(d recovery.Diagram) {
	w, h := r.c.Size()
	var taken []Rect
	put := func(q Pt, text string, bold bool, col color.NRGBA, up float32) {
		t := TextStyle{Size: 9.5 * r.s, Bold: bold, Color: col, Align: 0.5, Halo: r.p.Paper, HaloPx: 2 * r.s}
		half := r.c.TextWidth(text, t)/2 + 2*r.s
		q.X = max(half+3*r.s, min(w-half-3*r.s, q.X))
		for try := range 12 {
			// 0, 1, -1, 2, -2 ... line heights from the wished place
			k := float32((try + 1) / 2)
			if try%2 == 0 {
				k = -k
			}
			y := q.Y + up*11*r.s*k
			b := Rect{q.X - half, y - 9*r.s, q.X + half, y + 3*r.s}
			free := b.Y0 > 2*r.s && b.Y1 < h-20*r.s
			for _, o := range taken {
				free = free && !b.Meets(o)
			}
			if free || try == 11 {
				taken = append(taken, b)
				r.c.Text(Pt{q.X, y}, text, t)
				return
			}
		}
	}
	for _, n := range d.Nodes {
		q := r.at(n.X, n.Y)
		taken = append(taken, Rect{q.X - 8*r.s, q.Y - 8*r.s, q.X + 8*r.s, q.Y + 8*r.s})
	}
	for _, n := range d.Nodes {
		q, text := r.at(n.X, n.Y), n.Label
		if n.Kind == "anchor" && n.ForceKN > 0 {
			text += fmt.Sprintf(", %.1f kN", n.ForceKN)
		}
		switch n.Kind {
		case "vehicle", "helper", "anchor":
			q.Y += 32 * r.s
			put(q, text, true, r.p.Ink, 1)
		case "winch":
			q.Y -= 24 * r.s
			put(q, text, false, r.p.Ink, -1)
		default:
			q.Y -= 15 * r.s
			put(q, text, false, r.p.Ink, -1)
		}
	}
	for _, l := range d.Legs {
		a, b := r.at(l.X1, l.Y1), r.at(l.X2, l.Y2)
		if l.Kind == "strap" {
			continue // its force stands at the anchor and the block
		}
		put(Pt{(a.X + b.X) / 2, (a.Y+b.Y)/2 - 4*r.s}, l.Label, false, r.p.Ink, -1)
	}
}
