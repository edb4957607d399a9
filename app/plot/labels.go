package plot

import (
	"math"
	"slices"
)

// nameStyle is how a kind of name is written and the zoom beyond which it is left out.
var nameStyle = [numNames]struct {
	size   float32
	bold   bool
	soft   bool
	water  bool
	dot    float32 // radius of the dot at the place, 0 for none
	maxMPP float64
}{
	NameCity:    {17, true, false, false, 3.2, 1e9},
	NameTown:    {15, true, false, false, 2.8, 900},
	NameVillage: {13, true, false, false, 2.4, 250},
	NameHamlet:  {11.5, false, false, false, 2, 70},
	NamePeak:    {10.5, false, true, false, 0, 45},
	NamePass:    {10.5, false, true, false, 0, 45},
	NameWater:   {11.5, false, false, true, 0, 90},
}

// boxes are the parts of a picture that are taken.
type boxes struct{ taken []Rect }

// claim takes r when it is free.
func (b *boxes) claim(r Rect) bool {
	for _, o := range b.taken {
		if r.Meets(o) {
			return false
		}
	}
	b.taken = append(b.taken, r)
	return true
}

// free reports whether nothing lies in r.
func (b *boxes) free(r Rect) bool {
	for _, o := range b.taken {
		if r.Meets(o) {
			return false
		}
	}
	return true
}

// clone is a copy that is claimed apart.
func (b *boxes) clone() *boxes { return &boxes{slices.Clone(b.taken)} }

func (b *boxes) block(r Rect) { b.taken = append(b.taken, r) }

// textBox is the room a text takes with its left end at p.
func textBox(c Canvas, p Pt, s string, t TextStyle) Rect {
	w := c.TextWidth(s, t)
	x := p.X - t.Align*w
	return Rect{x - 1, p.Y - 0.78*t.Size, x + w + 1, p.Y + 0.26*t.Size}
}

// labels writes names in the order of their importance; what finds no room is left out. The route and its
// surroundings are kept clear, and so are the camps and their names.
func (d *groundPen) labels() {
	b := &boxes{taken: d.taken[:0]}
	d.camps(b)
	d.blockRoute(b)
	d.helpSymbols(b)
	inSight := 0
	for i := range d.s.names {
		n := &d.s.names[i]
		if !(Extent{n.x, n.y, n.x, n.y}).meets(d.seen) {
			continue
		}
		inSight++
		// In empty country the few names there are show at any zoom.
		if d.mpp > nameStyle[n.kind].maxMPP && (inSight > 40 || d.mpp > 12*nameStyle[n.kind].maxMPP) {
			continue
		}
		d.pointName(b, *n)
	}
	d.lineNames(b)
	d.taken = b.taken
}

// blockRoute marks the pixels of the route as taken.
func (d *groundPen) blockRoute(b *boxes) {
	step := 14 * d.unit
	half := 7 * d.unit
	for _, leg := range d.s.legs {
		for i := range leg {
			if !leg[i].box.meets(d.seen) {
				continue
			}
			d.buf = d.v.toScreen(d.buf[:0], leg[i].levels[d.level])
			last := Pt{-1e9, -1e9}
			for j, q := range d.buf {
				from := q
				if j > 0 {
					from = d.buf[j-1]
				}
				l := hypot32(q.X-from.X, q.Y-from.Y)
				if l > 4000 {
					continue
				}
				for n := 0; n <= int(l/step); n++ {
					t := float32(0)
					if l > 0 {
						t = min(1, float32(n)*step/l)
					}
					p := Pt{from.X + t*(q.X-from.X), from.Y + t*(q.Y-from.Y)}
					if hypot32(p.X-last.X, p.Y-last.Y) >= step*0.8 {
						b.block(Rect{p.X - half, p.Y - half, p.X + half, p.Y + half})
						last = p
					}
				}
			}
		}
	}
}

func (d *groundPen) pointName(b *boxes, n placed) {
	st := nameStyle[n.kind]
	at := d.v.Screen(n.x, n.y)
	col := d.p.Ink
	if st.soft {
		col = d.p.SoftInk
	}
	if st.water {
		col = d.p.Water
	}
	t := TextStyle{Size: st.size * d.unit, Bold: st.bold, Color: col, Halo: d.p.Halo, HaloPx: 1.8 * d.unit}
	gap := (st.dot + 4) * d.unit
	mark := Rect{at.X - gap + d.unit, at.Y - gap + d.unit, at.X + gap - d.unit, at.Y + gap - d.unit}
	symbol := NameKind(n.kind) == NamePeak || NameKind(n.kind) == NamePass
	if (st.dot > 0 || symbol) && !b.free(mark) && st.soft {
		return
	}
	text := n.name
	if text == "" {
		text, n.extra = n.extra, ""
	}
	place := func(p Pt, align float32) bool {
		t.Align = align
		r := textBox(d.c, p, text, t)
		if n.extra != "" {
			small := t
			small.Size *= 0.88
			r2 := textBox(d.c, Pt{p.X, p.Y + t.Size}, n.extra, small)
			r = Rect{min(r.X0, r2.X0), r.Y0, max(r.X1, r2.X1), r2.Y1}
			if !b.claim(r) {
				return false
			}
			d.c.Text(Pt{p.X, p.Y + t.Size}, n.extra, small)
		} else if !b.claim(r) {
			return false
		}
		d.c.Text(p, text, t)
		return true
	}
	mid := 0.3 * t.Size
	done := text == ""
	if st.water {
		done = place(Pt{at.X, at.Y + mid}, 0.5)
		if !done {
			return
		}
	}
	for _, o := range namePlaces {
		if done || o.far && st.soft {
			break
		}
		k := gap
		if o.far {
			k = gap + 9*d.unit
		}
		y := o.y*k + mid
		if o.x == 0 {
			y = o.y * k
			if o.y > 0 {
				y += 0.75 * t.Size
			}
		}
		done = place(Pt{at.X + o.x*k, at.Y + y}, o.align)
	}
	if !done && st.soft {
		return
	}
	switch {
	case st.dot > 0:
		Disc(d.c, at, (st.dot+1)*d.unit, d.p.Halo)
		Disc(d.c, at, st.dot*d.unit, d.p.Ink)
		b.block(mark)
	case NameKind(n.kind) == NamePeak:
		d.peak(at)
		b.block(mark)
	case NameKind(n.kind) == NamePass:
		d.pass(at)
		b.block(mark)
	}
}

// namePlaces are the places tried for a name, as directions from its dot; the far ones are for names that
// must not be missed.
var namePlaces = [...]struct {
	x, y, align float32
	far         bool
}{
	{1, 0, 0, false}, {-1, 0, 1, false}, {0, -1, 0.5, false}, {0, 1, 0.5, false},
	{0.8, -0.8, 0, true}, {0.8, 0.8, 0, true}, {-0.8, -0.8, 1, true}, {-0.8, 0.8, 1, true},
	{0, -1.6, 0.5, true}, {0, 1.6, 0.5, true}, {1.4, -1.6, 0, true}, {1.4, 1.6, 0, true}, {-1.4, -1.6, 1, true}, {-1.4, 1.6, 1, true},
}

// peak is a small standing triangle, pass two facing curves cut to straight strokes.
func (d *groundPen) peak(p Pt) {
	u := d.unit
	d.c.Fill([][]Pt{{{p.X, p.Y - 4.6*u}, {p.X + 4.6*u, p.Y + 3.2*u}, {p.X - 4.6*u, p.Y + 3.2*u}}}, d.p.Halo)
	d.c.Fill([][]Pt{{{p.X, p.Y - 3*u}, {p.X + 3.2*u, p.Y + 2.3*u}, {p.X - 3.2*u, p.Y + 2.3*u}}}, d.p.SoftInk)
}

func (d *groundPen) pass(p Pt) {
	u := d.unit
	for _, st := range []Stroke{{Width: 3.6 * u, Color: d.p.Halo}, {Width: 1.4 * u, Color: d.p.SoftInk}} {
		d.c.Lines([][]Pt{
			{{p.X - 3.6*u, p.Y - 2.6*u}, {p.X - 1.5*u, p.Y}, {p.X - 3.6*u, p.Y + 2.6*u}},
			{{p.X + 3.6*u, p.Y - 2.6*u}, {p.X + 1.5*u, p.Y}, {p.X + 3.6*u, p.Y + 2.6*u}},
		}, st)
	}
}

// lineNames writes names along ways and rivers where they run straight enough, each once in the
// neighbourhood.
func (d *groundPen) lineNames(b *boxes) {
	if d.mpp > 30 {
		return
	}
	last := map[string][]Pt{}
	for kept := 1; kept >= 0; kept-- {
		for k := int(numWays) - 1; k >= int(WayTrack); k-- {
			for i := range d.s.ways[kept][k] {
				d.alongName(b, &d.s.ways[kept][k][i], last, TextStyle{Size: 10 * d.unit, Color: d.p.SoftInk, Halo: d.p.Halo, HaloPx: 1.8 * d.unit}, 0)
			}
		}
	}
	for k := int(LineRiver); k >= int(LineDry); k-- {
		for i := range d.s.streams[k] {
			d.alongName(b, &d.s.streams[k][i], last, TextStyle{Size: 10 * d.unit, Color: d.p.Water, Halo: d.p.Halo, HaloPx: 1.8 * d.unit}, -4*d.unit)
		}
	}
}

func (d *groundPen) alongName(b *boxes, n *named, last map[string][]Pt, t TextStyle, lift float32) {
	if n.name == "" || !n.box.meets(d.seen) {
		return
	}
	// A straight run is no longer than the line's box is across; most lines are told by that.
	ends := float32(math.Hypot(n.box.X1-n.box.X0, n.box.Y1-n.box.Y0)/d.v.MetresPerPx) + 1
	if ends < straightEnough*12*d.unit {
		return
	}
	want := d.c.TextWidth(n.name, t) + 12*d.unit
	if ends < straightEnough*want {
		return
	}
	d.buf = d.v.toScreen(d.buf[:0], n.levels[d.level])
	run := d.straightRun(d.buf, want)
	if run.ok {
		for _, o := range last[n.name] {
			if hypot32(o.X-run.mid.X, o.Y-run.mid.Y) < 320*d.unit {
				return
			}
		}
		a := run.angle
		if a > math.Pi/2 {
			a -= math.Pi
		} else if a < -math.Pi/2 {
			a += math.Pi
		}
		sin, cos := math.Sincos(a)
		// The box of a slanting name is made of boxes along it.
		half := (want - 12*d.unit) / 2
		parts := int(2*half/t.Size) + 1
		var rs []Rect
		for i := 0; i <= parts; i++ {
			f := -half + 2*half*float32(i)/float32(parts)
			x, y := run.mid.X+f*float32(cos), run.mid.Y+f*float32(sin)
			r := Rect{x - 0.55*t.Size, y - 0.6*t.Size, x + 0.55*t.Size, y + 0.6*t.Size}
			if !b.free(r) {
				return
			}
			rs = append(rs, r)
		}
		for _, r := range rs {
			b.block(r)
		}
		t.Align, t.Turn = 0.5, float32(a)
		drop := 0.34*t.Size + lift
		d.c.Text(Pt{run.mid.X - drop*float32(sin), run.mid.Y + drop*float32(cos)}, n.name, t)
		last[n.name] = append(last[n.name], run.mid)
	}
}

type run struct {
	mid   Pt
	angle float64
	ok    bool
}

// straightEnough is the least share that the chord of a stretch has in its length where a name may stand along it.
const straightEnough = 0.97

// straightRun finds the middle of the first stretch of a line that is want pixels long and straight enough,
// looking from the line's middle outwards.
func (d *groundPen) straightRun(pts []Pt, want float32) run {
	n := len(pts)
	if n < 2 {
		return run{}
	}
	cum := append(d.along[:0], 0)
	for i := 1; i < n; i++ {
		cum = append(cum, cum[i-1]+hypot32(pts[i].X-pts[i-1].X, pts[i].Y-pts[i-1].Y))
	}
	d.along = cum
	total := cum[n-1]
	if total < want || total > 1e6 {
		return run{}
	}
	at := func(m float32) Pt {
		i := 1
		for i < n-1 && cum[i] < m {
			i++
		}
		t := float32(0)
		if l := cum[i] - cum[i-1]; l > 0 {
			t = (m - cum[i-1]) / l
		}
		return Pt{pts[i-1].X + t*(pts[i].X-pts[i-1].X), pts[i-1].Y + t*(pts[i].Y-pts[i-1].Y)}
	}
	for k := range 9 {
		off := float32((k+1)/2) * total / 10
		if k%2 == 1 {
			off = -off
		}
		m := total/2 + off
		if m-want/2 < 0 || m+want/2 > total {
			continue
		}
		a, b := at(m-want/2), at(m+want/2)
		if hypot32(b.X-a.X, b.Y-a.Y) < straightEnough*want {
			continue
		}
		mid := at(m)
		// The name lies on the line only if the line's middle is near the chord's.
		if hypot32(mid.X-(a.X+b.X)/2, mid.Y-(a.Y+b.Y)/2) > 4 {
			continue
		}
		return run{mid, math.Atan2(float64(b.Y-a.Y), float64(b.X-a.X)), true}
	}
	return run{}
}
