package index

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/tidwall/rtree"
	"pgregory.net/rapid"
)

// brute is the same question answered by looking at every segment.
func brute(segs []Seg, x, y float64) (seg int, d2 float64) {
	seg, d2 = -1, math.Inf(1)
	for i := range segs {
		if e := dist2(&segs[i], x, y); e < d2 {
			seg, d2 = i, e
		}
	}
	return seg, d2
}

// roads makes crooked lines of short segments over a square of the given side, as roads are.
func roads(seed uint64, n int, side, step float64) []Seg {
	r := rand.New(rand.NewPCG(seed, 7))
	segs := make([]Seg, 0, n)
	for len(segs) < n {
		x, y, a := r.Float64()*side, r.Float64()*side, r.Float64()*2*math.Pi
		for range min(40, n-len(segs)) {
			a += r.NormFloat64() * 0.3
			l := step * (0.5 + r.Float64())
			x2, y2 := x+l*math.Cos(a), y+l*math.Sin(a)
			segs = append(segs, Seg{x, y, x2, y2})
			x, y = x2, y2
		}
	}
	return segs
}

func TestNearestAgainstBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		side := rapid.SampledFrom([]float64{10, 1e3, 1e5, 3e6}).Draw(t, "side")
		offset := rapid.SampledFrom([]float64{0, -5e5, 4.2e6}).Draw(t, "offset")
		// Whole numbers make many exact ties.
		whole := rapid.Bool().Draw(t, "whole")
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		coord := func(f float64) float64 {
			v := (r.Float64()*f - (f-1)/2) * side
			if whole {
				v = math.Round(v/side*8) * side / 8
			}
			return v + offset
		}
		segs := make([]Seg, rapid.IntRange(0, 300).Draw(t, "n"))
		for i := range segs {
			x, y := coord(1), coord(1)
			segs[i] = Seg{x, y, x, y}
			if r.IntN(5) > 0 {
				segs[i].BX, segs[i].BY = x+(coord(1)-offset)/20, y+(coord(1)-offset)/20
			}
		}
		tree := Build(segs)
		prev := rapid.IntRange(-2, 400).Draw(t, "prev")
		for range 30 {
			x, y := coord(3), coord(3)
			want, d2 := brute(segs, x, y)
			got, d, px, py := tree.Nearest(x, y, prev)
			if got != want {
				t.Fatalf("Nearest(%v, %v) of %d segments = %d, want %d", x, y, len(segs), got, want)
			}
			if want < 0 {
				if !math.IsNaN(d) || !math.IsNaN(px) || !math.IsNaN(py) {
					t.Fatalf("Nearest in an empty tree gave %v at %v, %v, want NaN", d, px, py)
				}
				continue
			}
			if d != math.Sqrt(d2) || math.Abs(math.Hypot(px-x, py-y)-d) > 1e-9*(1+d) {
				t.Fatalf("Nearest(%v, %v) is %v away at (%v, %v), want %v", x, y, d, px, py, math.Sqrt(d2))
			}
			prev = got
		}
	})
}

func TestWithinAndSearchAgainstBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		segs := roads(rapid.Uint64().Draw(t, "seed"), rapid.IntRange(0, 500).Draw(t, "n"), 3000, 60)
		tree := Build(segs)
		x, y := rapid.Float64Range(-500, 3500).Draw(t, "x"), rapid.Float64Range(-500, 3500).Draw(t, "y")
		r := rapid.Float64Range(0, 800).Draw(t, "r")
		var got, want, boxGot, boxWant []int
		tree.Within(x, y, r, func(seg int, d, px, py float64) bool {
			if e := math.Sqrt(dist2(&segs[seg], x, y)); math.Abs(e-d) > 1e-9 {
				t.Fatalf("Within says segment %d is %v away, want %v", seg, d, e)
			}
			got = append(got, seg)
			return true
		})
		tree.Search(x-r, y-r/2, x+r, y+r/2, func(seg int) bool { boxGot = append(boxGot, seg); return true })
		for i := range segs {
			s := &segs[i]
			if dist2(s, x, y) <= r*r {
				want = append(want, i)
			}
			if min(s.AX, s.BX) <= x+r && max(s.AX, s.BX) >= x-r && min(s.AY, s.BY) <= y+r/2 && max(s.AY, s.BY) >= y-r/2 {
				boxWant = append(boxWant, i)
			}
		}
		slices.Sort(got)
		slices.Sort(boxGot)
		if !slices.Equal(got, want) {
			t.Fatalf("Within(%v, %v, %v) visits %v, want %v", x, y, r, got, want)
		}
		if !slices.Equal(boxGot, boxWant) {
			t.Fatalf("Search visits %v, want %v", boxGot, boxWant)
		}
	})
}

func TestVisitStopsWhenTold(t *testing.T) {
	tree := Build(roads(3, 1000, 1000, 50))
	n := 0
	tree.Search(0, 0, 1000, 1000, func(int) bool { n++; return n < 7 })
	if n != 7 {
		t.Errorf("Search went on to %d visits after visit returned false at the seventh", n)
	}
}

func TestEdgeInput(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	one := Build([]Seg{{0, 0, 10, 0}})
	for _, q := range [][2]float64{{nan, 0}, {0, nan}, {inf, 0}, {0, -inf}} {
		if seg, d, _, _ := one.Nearest(q[0], q[1], -1); seg != -1 || !math.IsNaN(d) {
			t.Errorf("Nearest(%v, %v) = %d, %v, want -1, NaN", q[0], q[1], seg, d)
		}
	}
	if seg, d, px, py := one.Nearest(5, 3, -1); seg != 0 || d != 3 || px != 5 || py != 0 {
		t.Errorf("Nearest(5, 3) = %d, %v, (%v, %v), want 0, 3, (5, 0)", seg, d, px, py)
	}
	for _, r := range []float64{-1, nan} {
		one.Within(5, 0, r, func(int, float64, float64, float64) bool {
			t.Errorf("Within radius %v visits a segment, want none", r)
			return true
		})
	}
	var zero Tree
	if seg, _, _, _ := zero.Nearest(0, 0, 0); seg != -1 || zero.Len() != 0 {
		t.Errorf("the zero tree finds segment %d, want -1", seg)
	}
	same := make([]Seg, 100)
	if seg, d, _, _ := Build(same).Nearest(1, 0, 57); seg != 0 || d != 1 {
		t.Errorf("among 100 equal segments Nearest = %d at %v, want 0 at 1", seg, d)
	}
	defer func() {
		if recover() == nil {
			t.Error("Build takes a segment with NaN without a panic")
		}
	}()
	Build([]Seg{{0, 0, nan, 0}})
}

// boxed fills the tidwall tree with the boxes of the segments.
func boxed(segs []Seg) *rtree.RTreeG[int32] {
	var tr rtree.RTreeG[int32]
	for i, s := range segs {
		tr.Insert([2]float64{min(s.AX, s.BX), min(s.AY, s.BY)}, [2]float64{max(s.AX, s.BX), max(s.AY, s.BY)}, int32(i))
	}
	return &tr
}

// tidwallNearest is the exact nearest segment by the tidwall tree: in order of exact distance, which
// its Nearby asks for with item set.
func tidwallNearest(tr *rtree.RTreeG[int32], segs []Seg, x, y float64) (seg int32, d2 float64) {
	seg = -1
	tr.Nearby(func(min, max [2]float64, data int32, item bool) float64 {
		if item {
			return dist2(&segs[data], x, y)
		}
		dx := math.Max(math.Max(min[0]-x, x-max[0]), 0)
		dy := math.Max(math.Max(min[1]-y, y-max[1]), 0)
		return dx*dx + dy*dy
	}, func(_, _ [2]float64, data int32, dist float64) bool {
		seg, d2 = data, dist
		return false
	})
	return seg, d2
}

// tidwallGrowing looks into a box that grows until it must hold the nearest segment: the quickest use
// of the tidwall tree beside roads.
func tidwallGrowing(tr *rtree.RTreeG[int32], segs []Seg, x, y, first float64) (seg int32, d2 float64) {
	for r := first; ; r *= 2 {
		seg, d2 = -1, math.Inf(1)
		tr.Search([2]float64{x - r, y - r}, [2]float64{x + r, y + r}, func(_, _ [2]float64, data int32) bool {
			if e := dist2(&segs[data], x, y); e < d2 {
				seg, d2 = data, e
			}
			return true
		})
		if d2 <= r*r {
			return seg, d2
		}
	}
}

func TestNearestAgainstAnotherTree(t *testing.T) {
	segs := roads(11, 20000, 60000, 40)
	tree, other := Build(segs), boxed(segs)
	r := rand.New(rand.NewPCG(5, 6))
	prev := -1
	for range 3000 {
		x, y := r.Float64()*120000-30000, r.Float64()*120000-30000
		_, want := tidwallNearest(other, segs, x, y)
		seg, d, _, _ := tree.Nearest(x, y, prev)
		if math.Abs(d-math.Sqrt(want)) > 1e-9*(1+d) {
			t.Fatalf("Nearest(%v, %v) is %v away, the other tree says %v", x, y, d, math.Sqrt(want))
		}
		prev = seg
	}
}

// A drive of samples 25 m apart, beside the roads or far from them.
func drive(n int, far bool) [][2]float64 {
	r := rand.New(rand.NewPCG(9, 9))
	q := make([][2]float64, n)
	x, y, a := 20000.0, 20000.0, 0.3
	if far {
		x, y = -20000, -20000
	}
	for i := range q {
		a += r.NormFloat64() * 0.05
		x, y = x+25*math.Cos(a), y+25*math.Sin(a)
		q[i] = [2]float64{x, y}
	}
	return q
}

func nearRoads(segs []Seg, n int) [][2]float64 {
	q := make([][2]float64, 0, n)
	for i := 0; len(q) < n; i = (i + 1) % len(segs) {
		s := segs[i]
		q = append(q, [2]float64{(s.AX+s.BX)/2 + 2, (s.AY+s.BY)/2 + 2})
	}
	return q
}

func BenchmarkNearest(b *testing.B) {
	segs := roads(1, 387590, 150000, 25)
	tree, other := Build(segs), boxed(segs)
	for _, c := range []struct {
		name string
		q    [][2]float64
	}{{"near", nearRoads(segs, 1<<14)}, {"far", drive(1<<12, true)}} {
		b.Run(fmt.Sprintf("%s/ours", c.name), func(b *testing.B) {
			b.ReportAllocs()
			f := tree.Follow()
			for i := 0; b.Loop(); i++ {
				q := c.q[i&(len(c.q)-1)]
				f.Nearest(q[0], q[1])
			}
		})
		b.Run(fmt.Sprintf("%s/unseeded", c.name), func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				q := c.q[i&(len(c.q)-1)]
				tree.Nearest(q[0], q[1], -1)
			}
		})
		b.Run(fmt.Sprintf("%s/tidwall-nearby", c.name), func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				q := c.q[i&(len(c.q)-1)]
				tidwallNearest(other, segs, q[0], q[1])
			}
		})
		b.Run(fmt.Sprintf("%s/tidwall-growing", c.name), func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				q := c.q[i&(len(c.q)-1)]
				tidwallGrowing(other, segs, q[0], q[1], 50)
			}
		})
	}
}

func BenchmarkBuild(b *testing.B) {
	segs := roads(1, 387590, 150000, 25)
	b.Run("ours", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			Build(segs)
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(segs)), "ns/seg")
	})
	b.Run("tidwall", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			boxed(segs)
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(segs)), "ns/seg")
	})
}
