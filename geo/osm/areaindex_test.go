package osm

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/planar"
)

// blob is a star-shaped ring of n corners.
func blob(rng *rand.Rand, at orb.Point, radius float64, n int) orb.Ring {
	r := make(orb.Ring, 0, n+1)
	for i := range n {
		a, d := 2*math.Pi*float64(i)/float64(n), radius*(0.6+0.4*rng.Float64())
		r = append(r, orb.Point{at[0] + d*math.Cos(a), at[1] + d*math.Sin(a)})
	}
	return append(r, r[0])
}

func someAreas(rng *rand.Rand, n, corners int) []Area {
	var areas []Area
	for i := range n {
		at := orb.Point{rng.Float64(), rng.Float64()}
		radius := 0.02 + 0.1*rng.Float64()
		if i%20 == 0 {
			radius = 1
		}
		p := orb.Polygon{blob(rng, at, radius, 4+rng.IntN(corners))}
		if i%3 == 0 {
			hole := blob(rng, at, radius/3, 5)
			orient(hole, false)
			p = append(p, hole)
		}
		mp := orb.MultiPolygon{p}
		areas = append(areas, Area{ID: int64(i), Kind: Wood, Polygons: mp, Bound: mp.Bound()})
	}
	return areas
}

// TestAreaIndex compares with orb's point in polygon.
func TestAreaIndex(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for _, n := range []int{0, 1, 2, 50, 400} {
		areas := someAreas(rng, n, 100)
		x := NewAreaIndex(areas)
		for range 1000 {
			p := orb.Point{rng.Float64()*1.4 - 0.2, rng.Float64()*1.4 - 0.2}
			var want []int32
			for i := range areas {
				if planar.MultiPolygonContains(areas[i].Polygons, p) {
					want = append(want, int32(i))
				}
			}
			got := x.At(nil, p)
			for k := 1; k < len(got); k++ {
				if x.rank[got[k-1]] > x.rank[got[k]] {
					t.Fatalf("at %v the areas %v are not sorted by size", p, got)
				}
			}
			slices.Sort(got)
			if !slices.Equal(got, want) {
				t.Fatalf("of %d areas %v contain %v, want %v", n, got, p, want)
			}
		}
	}
}

func TestAreaIndexOddPoints(t *testing.T) {
	areas := someAreas(rand.New(rand.NewPCG(3, 4)), 20, 10)
	x := NewAreaIndex(areas)
	for _, p := range []orb.Point{{math.NaN(), 0}, {0, math.NaN()}, {math.Inf(1), 0}, {500, 500}} {
		if got := x.At(nil, p); len(got) != 0 {
			t.Errorf("%v lies in %v, want in none", p, got)
		}
	}
}

// TestNest: rings in rings become polygons with holes, and islands in the holes polygons of their own.
func TestNest(t *testing.T) {
	square := func(x, y, half float64) orb.Ring {
		return orb.Ring{{x - half, y - half}, {x - half, y + half}, {x + half, y + half}, {x + half, y - half}, {x - half, y - half}}
	}
	for _, c := range []struct {
		name  string
		rings []orb.Ring
		want  []int // rings of each polygon
	}{
		{"one", []orb.Ring{square(0, 0, 1)}, []int{1}},
		{"a hole", []orb.Ring{square(0, 0, 1), square(0, 0, 3)}, []int{2}},
		{"two apart", []orb.Ring{square(0, 0, 1), square(5, 0, 1)}, []int{1, 1}},
		{"an island in a hole", []orb.Ring{square(0, 0, 3), square(0, 0, 2), square(0, 0, 1)}, []int{2, 1}},
		{"a hole that touches the edge in a corner", []orb.Ring{square(0, 0, 2), {{-2, -2}, {-1, -1}, {0, -1}, {-2, -2}}}, []int{2}},
		{"neighbours that share an edge", []orb.Ring{square(0, 0, 1), square(2, 0, 1)}, []int{1, 1}},
	} {
		mp := nest(c.rings)
		var got []int
		for _, p := range mp {
			got = append(got, len(p))
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: polygons of %v rings, want %v", c.name, got, c.want)
		}
	}
}

// TestRings: member ways in any order and direction close to the rings that they are cut from.
func TestRings(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for n := range 300 {
		// Some rings over shared nodes 0..9 (figures that touch), each cut into random ways.
		var whole [][]int64
		switch n % 3 {
		case 0:
			whole = [][]int64{{1, 2, 3, 4, 5, 6, 1}}
		case 1: // two triangles that touch in node 3
			whole = [][]int64{{1, 2, 3, 1}, {3, 4, 5, 3}}
		default: // a ring of rings: three triangles, each touching the next
			whole = [][]int64{{1, 2, 3, 1}, {3, 4, 5, 3}, {5, 6, 7, 5}}
		}
		var pieces []piece
		edges := 0
		for _, r := range whole {
			edges += len(r) - 1
			from := 0
			for from < len(r)-1 {
				to := from + 1 + rng.IntN(len(r)-1-from)
				ids := slices.Clone(r[from : to+1])
				if rng.IntN(2) == 0 {
					slices.Reverse(ids)
				}
				pieces = append(pieces, piece{ids: ids, pos: make([]e7, len(ids))})
				from = to
			}
		}
		rng.Shuffle(len(pieces), func(i, j int) { pieces[i], pieces[j] = pieces[j], pieces[i] })
		closed, open := rings(pieces)
		got := 0
		for _, p := range closed {
			if p.ids[0] != p.ids[len(p.ids)-1] {
				t.Fatalf("ring %v is not closed", p.ids)
			}
			inside := p.ids[1:]
			for i, id := range inside {
				if slices.Contains(inside[i+1:], id) {
					t.Fatalf("ring %v passes node %d twice", p.ids, id)
				}
			}
			got += len(p.ids) - 1
		}
		if open != 0 || got != edges {
			t.Fatalf("case %d: %d ways stay open, %d of %d edges are in rings", n, open, got, edges)
		}
	}
}

func TestRingsLeaveOpenEnds(t *testing.T) {
	p := func(ids ...int64) piece { return piece{ids: ids, pos: make([]e7, len(ids))} }
	closed, open := rings([]piece{p(1, 2, 3), p(3, 4), p(9, 8), p(4, 1), p(7), p(3, 20)})
	if len(closed) != 1 || open != 3 {
		t.Errorf("%d rings and %d ways open, want 1 and 3", len(closed), open)
	}
}

func BenchmarkAreaIndex(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 1))
	big := blob(rng, orb.Point{0.5, 0.5}, 0.5, 5000)
	areas := append(someAreas(rng, 5000, 40), Area{Kind: Water, Polygons: orb.MultiPolygon{{big}}, Bound: big.Bound()})
	for i := range areas[:5000] { // small ones, as in real land
		at := orb.Point{rng.Float64(), rng.Float64()}
		r := blob(rng, at, 0.01, 20)
		areas[i].Polygons, areas[i].Bound = orb.MultiPolygon{{r}}, r.Bound()
	}
	x := NewAreaIndex(areas)
	pts := make([]orb.Point, 1024)
	for i := range pts {
		pts[i] = orb.Point{rng.Float64(), rng.Float64()}
	}
	b.Run("At", func(b *testing.B) {
		b.ReportAllocs()
		var buf []int32
		for i := 0; b.Loop(); i++ {
			buf = x.At(buf[:0], pts[i%1024])
		}
	})
	b.Run("build", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			NewAreaIndex(areas)
		}
	})
}
