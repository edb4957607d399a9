package match

import (
	"math"
	"slices"

	"lastroad/geo"

	"github.com/paulmach/orb"
)

// candidate is a place on an edge where a point may lie.
type candidate struct {
	edge, seg int32
	q         float64 // metres from the start of the edge
	t         float64 // share of the step seg
	off       float64 // metres from the point
	cost      float64 // of lying here: distance, direction, kind of way
}

// maxCandidates bounds the places kept for one point, nearest first. Where more ways than that lie
// within reach the farther ones have no chance.
const maxCandidates = 14

// apartM: two places on one edge count as different when they lie farther apart along it than this
// (the two arms of a hairpin), metres.
const apartM = 35

// finder looks up candidates; it holds scratch space for one goroutine.
type finder struct {
	g    *Graph
	near []candidate
}

// find appends to dst the places within reach of a point, nearest first.
func (f *finder) find(dst []candidate, p orb.Point, reach float64) []candidate {
	g := f.g
	f.near = f.near[:0]
	mer, nor := geo.Radii(p[1])
	my := mer * math.Pi / 180
	mx := nor * math.Pi / 180 * math.Cos(p[1]*math.Pi/180)
	r2 := reach * reach
	around(p, func(c cell) {
		slot, ok := g.grid.at[c]
		if !ok || slot < 0 {
			return
		}
		for _, pc := range g.grid.pieces[g.grid.first[slot]:g.grid.first[slot+1]] {
			line := g.ways[g.edges[pc.edge].way].Line
			a, b := line[pc.seg], line[pc.seg+1]
			ax, ay := geo.LonDiff(p[0], a[0])*mx, (a[1]-p[1])*my
			bx, by := geo.LonDiff(p[0], b[0])*mx, (b[1]-p[1])*my
			dx, dy := bx-ax, by-ay
			t := 0.0
			if l2 := dx*dx + dy*dy; l2 > 0 {
				t = min(1, max(0, -(ax*dx+ay*dy)/l2))
			}
			x, y := ax+t*dx, ay+t*dy
			if d2 := x*x + y*y; d2 <= r2 {
				f.near = append(f.near, candidate{edge: pc.edge, seg: pc.seg, t: t, off: math.Sqrt(d2)})
			}
		}
	})
	slices.SortFunc(f.near, func(a, b candidate) int {
		switch {
		case a.off < b.off:
			return -1
		case a.off > b.off:
			return 1
		case a.edge != b.edge:
			return int(a.edge - b.edge)
		}
		return int(a.seg - b.seg)
	})
	base := len(dst)
next:
	for _, c := range f.near {
		e := &g.edges[c.edge]
		cum := g.cum[e.way]
		c.q = cum[c.seg] + c.t*(cum[c.seg+1]-cum[c.seg]) - e.start
		for i := range dst[base:] {
			o := &dst[base+i]
			if o.edge == c.edge && math.Abs(o.q-c.q) < apartM {
				continue next
			}
		}
		dst = append(dst, c)
		if len(dst)-base == maxCandidates {
			break
		}
	}
	return dst
}

// heading gives the direction of a way around a place as a vector of metres (x east, y north): the chord
// over span metres to both sides, as far as the way reaches.
func (g *Graph) heading(c *candidate, span float64) (x, y float64) {
	e := &g.edges[c.edge]
	at := e.start + c.q
	a := g.point(e.way, c.seg, at-span)
	b := g.point(e.way, c.seg, at+span)
	mer, nor := geo.Radii(a[1])
	return geo.LonDiff(a[0], b[0]) * nor * math.Cos(a[1]*math.Pi/180), (b[1] - a[1]) * mer
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
