package match

import (
	"cmp"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// candidate is a place on an edge where a point may lie.
type candidate struct {
	edge, seg int32
	q         float64 // metres from the start of the edge
	off       float32 // metres from the point
	cost      float32 // of lying here: distance, direction, kind of way
}

// maxCandidates bounds the places kept for one point, nearest first. Where more ways than that lie
// within reach the farther ones have no chance.
const maxCandidates = 14

// apartM: two places on one edge count as different when they lie farther apart along it than this
// (the two arms of a hairpin), metres.
const apartM = 35

// behindM: a way this much farther than the nearest one is out of the question at any scatter up to the
// greatest, metres: three standard deviations.
const behindM = 3 * maxScatter

// finder looks up candidates for points in the order of a line; it holds scratch space for one goroutine.
// The pieces around a cell are laid on a plane once and serve every point in the cell.
type finder struct {
	g      *Graph
	out    []candidate
	cell   cell
	ring   int32
	mx, my float64 // metres a degree
	at     orb.Point
	local  []localPiece
	near   []nearPiece
	dist   []float64 // squared distance of each of local
	seen   []int32   // by piece: the number of the gathering that took it
	now    int32
}

type localPiece struct {
	ax, ay, bx, by float64
	piece
}

type nearPiece struct {
	off, t float64
	k      int32 // index in local
}

func newFinder(g *Graph) *finder { return &finder{g: g, ring: -1, seen: make([]int32, g.pieces)} }

// gather lays the pieces around the cell of a point on a plane.
func (f *finder) gather(p orb.Point, c cell, ring int32) {
	f.cell, f.ring, f.at = c, ring, p
	f.local = f.local[:0]
	f.now++
	mer, nor := geo.Radii(p[1])
	f.my = mer * math.Pi / 180
	f.mx = nor * math.Pi / 180 * math.Cos(p[1]*math.Pi/180)
	g := f.g
	around(p, ring, func(c cell) {
		slot, ok := g.grid.at[c]
		if !ok || slot < 0 {
			return
		}
		for _, pc := range g.grid.pieces[g.grid.first[slot]:g.grid.first[slot+1]] {
			e := &g.edges[pc.edge]
			id := e.base + pc.seg - e.from
			if f.seen[id] == f.now {
				continue
			}
			f.seen[id] = f.now
			line := g.ways[e.way].Line
			a, b := line[pc.seg], line[pc.seg+1]
			f.local = append(f.local, localPiece{geo.LonDiff(p[0], a[0]) * f.mx, (a[1] - p[1]) * f.my,
				geo.LonDiff(p[0], b[0]) * f.mx, (b[1] - p[1]) * f.my, pc})
		}
	})
}

// find appends to out the places within reach of a point, nearest first.
func (f *finder) find(pt *Point) {
	p, reach := pt.At, reachOf(pt)
	ring := ringOf(reach)
	if c := cellOf(p); c != f.cell || ring != f.ring {
		f.gather(p, c, ring)
	}
	f.near, f.dist = f.near[:0], f.dist[:0]
	x, y := geo.LonDiff(f.at[0], p[0])*f.mx, (p[1]-f.at[1])*f.my
	nearest := reach * reach
	for k := range f.local {
		l := &f.local[k]
		ax, ay, dx, dy := l.ax-x, l.ay-y, l.bx-l.ax, l.by-l.ay
		t := 0.0
		if l2 := dx*dx + dy*dy; l2 > 0 {
			t = min(1, max(0, -(ax*dx+ay*dy)/l2))
		}
		ax += t * dx
		ay += t * dy
		d2 := ax*ax + ay*ay
		f.dist = append(f.dist, d2)
		nearest = min(nearest, d2)
	}
	far := min(reach, math.Sqrt(nearest)+behindM+pt.gap()*gapSlope)
	for k, d2 := range f.dist {
		if d2 > far*far {
			continue
		}
		l := &f.local[k]
		ax, ay, dx, dy := l.ax-x, l.ay-y, l.bx-l.ax, l.by-l.ay
		t := 0.0
		if l2 := dx*dx + dy*dy; l2 > 0 {
			t = min(1, max(0, -(ax*dx+ay*dy)/l2))
		}
		f.near = append(f.near, nearPiece{math.Sqrt(d2), t, int32(k)})
	}
	f.sort()
	base := len(f.out)
next:
	for _, n := range f.near {
		l := &f.local[n.k]
		e := &f.g.edges[l.edge]
		cum := f.g.cum[e.way]
		q := cum[l.seg] + n.t*(cum[l.seg+1]-cum[l.seg]) - e.start
		for i := range f.out[base:] {
			if o := &f.out[base+i]; o.edge == l.edge && math.Abs(o.q-q) < apartM {
				continue next
			}
		}
		f.out = append(f.out, candidate{edge: l.edge, seg: l.seg, q: q, off: float32(n.off)})
		if len(f.out)-base == maxCandidates {
			break
		}
	}
}

// mostNear is how many pieces near a point are put in order. Judgement: more lie so near only in files made to keep a
// reader busy.
const mostNear = 2000

// sort puts the pieces near a point in order, the nearest first; of more than mostNear only as many of the nearest stay.
func (f *finder) sort() {
	if len(f.near) > mostNear {
		off := make([]float64, len(f.near))
		for i := range off {
			off[i] = f.near[i].off
		}
		slices.Sort(off)
		last := off[mostNear-1]
		nearer, _ := slices.BinarySearch(off, last)
		equal := mostNear - nearer // so many of those at the last distance
		f.near = slices.DeleteFunc(f.near, func(n nearPiece) bool {
			if n.off == last {
				equal--
			}
			return n.off > last || n.off == last && equal < 0
		})
	}
	slices.SortFunc(f.near, func(a, b nearPiece) int {
		if a.off != b.off {
			return cmp.Compare(a.off, b.off)
		}
		return cmp.Or(cmp.Compare(f.local[a.k].edge, f.local[b.k].edge), cmp.Compare(f.local[a.k].seg, f.local[b.k].seg))
	})
}

// share is where on its step of the way a candidate lies, 0..1.
func (g *Graph) share(c *candidate) float64 {
	e := &g.edges[c.edge]
	cum := g.cum[e.way]
	if l := cum[c.seg+1] - cum[c.seg]; l > 0 {
		return min(1, max(0, (e.start+c.q-cum[c.seg])/l))
	}
	return 0
}

// heading gives the direction of a way around a place as a vector (x east, y north; its length is of no
// meaning): the chord over span metres to both sides, as far as the way reaches.
func (g *Graph) heading(c *candidate, span, cosLat float64) (x, y float64) {
	e := &g.edges[c.edge]
	at := e.start + c.q
	a := g.point(e.way, c.seg, at-span)
	b := g.point(e.way, c.seg, at+span)
	return geo.LonDiff(a[0], b[0]) * cosLat, b[1] - a[1]
}

// point is the place at the given metres along a way, held to its ends; seg is where to begin looking.
func (g *Graph) point(way, seg int32, at float64) orb.Point {
	cum, line := g.cum[way], g.ways[way].Line
	s := int(seg)
	for s > 0 && cum[s] > at {
		s--
	}
	for s < len(cum)-2 && cum[s+1] < at {
		s++
	}
	l := cum[s+1] - cum[s]
	t := 0.0
	if l > 0 {
		t = min(1, max(0, (at-cum[s])/l))
	}
	a, b := line[s], line[s+1]
	return orb.Point{a[0] + t*geo.LonDiff(a[0], b[0]), a[1] + t*(b[1]-a[1])}
}
