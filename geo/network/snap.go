package network

import (
	"math"
	"sync"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/index"
)

// snapper finds the nearest place on the network. It is built on the first use, since reaching a
// road needs none.
type snapper struct {
	once  sync.Once
	plane geo.Plane
	tree  *index.Tree
	at    []Position
}

func (g *Graph) buildSnap() {
	s := &g.snap
	var segs []index.Seg
	for i := range g.edges {
		e := &g.edges[i]
		line := g.ways[e.way].Line
		if len(segs) == 0 {
			mid := line[0]
			mid[1] = math.Max(-geo.MaxLat, math.Min(geo.MaxLat, mid[1]))
			s.plane = geo.NewPlane(mid)
		}
		for k := e.from; k < e.to; k++ {
			ax, ay := s.plane.ToXY(line[k])
			bx, by := s.plane.ToXY(line[k+1])
			segs = append(segs, index.Seg{AX: ax, AY: ay, BX: bx, BY: by})
			s.at = append(s.at, Position{Way: e.way, Seg: k})
		}
	}
	s.tree = index.Build(segs)
}

// Snap is the place on the network nearest to p and its distance in metres; ok is false when none
// lies within withinM. Far from the network's first way (some 100 km) the nearest is judged on a plane
// that stretches east and west a little, so of two ways nearly alike near it may take the other.
func (g *Graph) Snap(p orb.Point, withinM float64) (at Position, offM float64, ok bool) {
	s := &g.snap
	s.once.Do(g.buildSnap)
	if s.tree.Len() == 0 || !(math.Abs(p[1]) <= geo.MaxLat) || math.IsNaN(p[0]) || math.IsInf(p[0], 0) {
		return Position{}, 0, false
	}
	x, y := s.plane.ToXY(p)
	seg, _, px, py := s.tree.Nearest(x, y, -1)
	if seg < 0 {
		return Position{}, 0, false
	}
	at = s.at[seg]
	t := s.tree.Seg(seg)
	if l := math.Hypot(t.BX-t.AX, t.BY-t.AY); l > 0 {
		at.T = math.Min(1, math.Hypot(px-t.AX, py-t.AY)/l)
	}
	offM = geo.Distance(p, g.Point(at))
	return at, offM, offM <= withinM
}

// Point is the place of a position in degrees.
func (g *Graph) Point(p Position) orb.Point {
	line := g.ways[p.Way].Line
	a, b := line[p.Seg], line[p.Seg+1]
	return orb.Point{geo.WrapLon(a[0] + p.T*geo.LonDiff(a[0], b[0])), a[1] + p.T*(b[1]-a[1])}
}

// SnapOpen is Snap to the ways that are not barred.
func (g *Graph) SnapOpen(p orb.Point, withinM float64) (at Position, offM float64, ok bool) {
	s := &g.snap
	s.once.Do(g.buildSnap)
	if s.tree.Len() == 0 || !(math.Abs(p[1]) <= geo.MaxLat) || math.IsNaN(p[0]) || math.IsInf(p[0], 0) {
		return Position{}, 0, false
	}
	x, y := s.plane.ToXY(p)
	best := math.Inf(1)
	// The plane stretches distances by less than 2 % within 1000 km of its middle.
	s.tree.Within(x, y, withinM*1.02, func(seg int, d, px, py float64) bool {
		q := s.at[seg]
		if d < best && !g.edges[g.first[q.Way]].use.Barred {
			best, at = d, q
			at.T = 0
			t := s.tree.Seg(seg)
			if l := math.Hypot(t.BX-t.AX, t.BY-t.AY); l > 0 {
				at.T = math.Min(1, math.Hypot(px-t.AX, py-t.AY)/l)
			}
		}
		return true
	})
	if math.IsInf(best, 1) {
		return Position{}, 0, false
	}
	offM = geo.Distance(p, g.Point(at))
	return at, offM, offM <= withinM
}
