package osm

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// piece is one member way of a multipolygon.
type piece struct {
	ids []int64
	pos []e7
}

// rings joins the member ways of a multipolygon into closed rings; open is the number of ways that
// would not close. The way it goes: start with the first way not used, append ways that begin or end
// where the path ends, and whenever the path comes back to a joint that it has passed, cut the loop off
// as a ring. So rings that touch in a point stay rings of their own. Roles are not looked at: they are
// often wrong, and which ring is a hole follows from which lies in which.
func rings(pieces []piece) (closed []piece, open int) {
	ends := map[int64][]int{} // by end node, the ways
	used := make([]bool, len(pieces))
	for i, p := range pieces {
		if len(p.ids) < 2 {
			used[i] = true
			open++
			continue
		}
		a, z := p.ids[0], p.ids[len(p.ids)-1]
		if a == z {
			closed = append(closed, p)
			used[i] = true
			continue
		}
		ends[a], ends[z] = append(ends[a], i), append(ends[z], i)
	}
	for start := range pieces {
		if used[start] {
			continue
		}
		used[start] = true
		path := []piece{pieces[start]}
		joints := map[int64]int{pieces[start].ids[0]: 0} // node before path[k]
		for len(path) > 0 {
			end := path[len(path)-1].ids[len(path[len(path)-1].ids)-1]
			if k, ok := joints[end]; ok {
				closed = append(closed, concat(path[k:]))
				for _, p := range path[k:] {
					delete(joints, p.ids[0])
				}
				path = path[:k]
				continue
			}
			next := -1
			for _, i := range ends[end] {
				if !used[i] {
					next = i
					break
				}
			}
			if next < 0 { // a dead end: give its last way up and try another way on
				delete(joints, path[len(path)-1].ids[0])
				path = path[:len(path)-1]
				open++
				continue
			}
			used[next] = true
			p := pieces[next]
			if p.ids[0] != end {
				p = piece{ids: slices.Clone(p.ids), pos: slices.Clone(p.pos)}
				slices.Reverse(p.ids)
				slices.Reverse(p.pos)
			}
			joints[end] = len(path)
			path = append(path, p)
		}
	}
	return closed, open
}

// concat joins pieces that follow one another, each joint once.
func concat(path []piece) piece {
	var out piece
	for i, p := range path {
		from := min(i, 1)
		out.ids, out.pos = append(out.ids, p.ids[from:]...), append(out.pos, p.pos[from:]...)
	}
	return out
}

// ringOf turns a closed piece into a ring, without unknown nodes; ok is false when no area is left,
// and lost is the number of nodes left out.
func ringOf(p piece) (r orb.Ring, lost int, ok bool) {
	r = make(orb.Ring, 0, len(p.pos))
	var last e7
	for i, q := range p.pos {
		if q == nowhere {
			lost++
			continue
		}
		if i > 0 && len(r) > 0 && q == last {
			continue
		}
		r = append(r, q.point())
		last = q
	}
	if len(r) > 1 && r[0] != r[len(r)-1] {
		r = append(r, r[0])
	}
	if len(r) < 4 || ringArea(r) == 0 {
		return nil, lost, false
	}
	return r, lost, true
}

// ringArea is twice the area in square degrees, positive for an anticlockwise ring.
func ringArea(r orb.Ring) float64 {
	sum := 0.0
	for i := 1; i < len(r); i++ { // relative to the first point, which keeps the numbers small
		sum += (r[i-1][0]-r[0][0])*(r[i][1]-r[0][1]) - (r[i][0]-r[0][0])*(r[i-1][1]-r[0][1])
	}
	return sum
}

// orient turns a ring anticlockwise or clockwise in place.
func orient(r orb.Ring, anticlockwise bool) {
	if ringArea(r) > 0 != anticlockwise {
		slices.Reverse(r)
	}
}

// nest sorts rings into polygons: a ring inside an even number of others is an outer ring, inside an
// odd number a hole of the smallest of them.
func nest(all []orb.Ring) orb.MultiPolygon {
	type ring struct {
		r     orb.Ring
		box   orb.Bound
		size  float64
		depth int
		in    int // the smallest ring around it
		poly  int
	}
	rs := make([]ring, len(all))
	for i, r := range all {
		rs[i] = ring{r: r, box: r.Bound(), size: math.Abs(ringArea(r)), in: -1}
	}
	slices.SortStableFunc(rs, func(a, b ring) int { // largest first
		switch {
		case a.size > b.size:
			return -1
		case a.size < b.size:
			return 1
		}
		return 0
	})
	var out orb.MultiPolygon
	for i := range rs {
		r := &rs[i]
		for j := i - 1; j >= 0; j-- {
			if o := &rs[j]; o.box.Min[0] <= r.box.Min[0] && o.box.Max[0] >= r.box.Max[0] &&
				o.box.Min[1] <= r.box.Min[1] && o.box.Max[1] >= r.box.Max[1] && ringInside(r.r, o.r) {
				r.depth, r.in = o.depth+1, j
				break
			}
		}
		if r.depth%2 == 0 {
			orient(r.r, true)
			r.poly = len(out)
			out = append(out, orb.Polygon{r.r})
			continue
		}
		orient(r.r, false)
		r.poly = rs[r.in].poly
		out[r.poly] = append(out[r.poly], r.r)
	}
	return out
}

// ringInside reports whether ring a, no larger than b, lies inside b. Rings of a sound multipolygon do
// not cross, but may touch; so the first point of a that is clearly in or out decides: a corner that is
// not on b, else the middle of an edge.
func ringInside(a, b orb.Ring) bool {
	for i := 1; i < len(a); i++ {
		if in, edge := pointInRing(a[i], b); !edge {
			return in
		}
	}
	for i := 1; i < len(a); i++ {
		m := orb.Point{(a[i-1][0] + a[i][0]) / 2, (a[i-1][1] + a[i][1]) / 2}
		if in, edge := pointInRing(m, b); !edge {
			return in
		}
	}
	return false
}

// pointInRing tells whether p lies inside a closed ring by counting crossings to the east, and whether
// it lies exactly on its edge.
func pointInRing(p orb.Point, r orb.Ring) (in, edge bool) {
	for i := 1; i < len(r); i++ {
		a, b := r[i-1], r[i]
		if a == p || b == p {
			return false, true
		}
		cross := (b[0]-a[0])*(p[1]-a[1]) - (b[1]-a[1])*(p[0]-a[0])
		if cross == 0 && math.Min(a[0], b[0]) <= p[0] && p[0] <= math.Max(a[0], b[0]) &&
			math.Min(a[1], b[1]) <= p[1] && p[1] <= math.Max(a[1], b[1]) {
			return false, true
		}
		if a[1] > p[1] != (b[1] > p[1]) && cross > 0 == (b[1] > a[1]) {
			in = !in
		}
	}
	return in, false
}
