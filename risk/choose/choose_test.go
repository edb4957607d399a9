package choose

import (
	"context"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"lastroad/risk/coverage"
)

// Four kinds of part, worked by hand with the shortage function of METRIC.
func TestMarginalAnalysis(t *testing.T) {
	spares := []Spare{{"tyre", 1.0, 1, 25}, {"belt", 0.2, 1, 0.5}, {"hose", 0.1, 1, 0.6}, {"filter", 0.4, 0.5, 0.8}}
	got := Marginal(spares, 8, coverage.Shortage)
	want := []Step{{"belt", 0.181269, 0.362538, 1.318731, 0.5}, {"filter", 0.164840, 0.206050, 1.153891, 1.3}, {"hose", 0.095163, 0.158604, 1.058728, 1.9},
		{"filter", 0.030776, 0.038470, 1.027952, 2.7}, {"belt", 0.017523, 0.035046, 1.010429, 3.2}, {"tyre", 0.632121, 0.025285, 0.378309, 28.2},
		{"tyre", 0.264241, 0.010570, 0.114067, 53.2}, {"hose", 0.004679, 0.007798, 0.109389, 53.8}}
	for i, w := range want {
		g := got[i]
		if g.Key != w.Key || math.Abs(g.Gain-w.Gain) > 1e-6 || math.Abs(g.PerKg-w.PerKg) > 1e-6 || math.Abs(g.Left-w.Left) > 1e-6 || math.Abs(g.Kg-w.Kg) > 1e-9 {
			t.Errorf("step %d is %+v, want %+v", i+1, g, w)
		}
	}
	p := 1.0
	for _, s := range spares {
		p *= coverage.PoissonAtMost(s.Mean, 1)
	}
	if math.Abs(p-0.675198) > 1e-6 {
		t.Errorf("one of each leaves no shortage with %.6f, want 0.675198", p)
	}
}

// additive builds a problem of independent gains.
func additive(kg, gain []float64) *Problem {
	p := &Problem{}
	for i := range kg {
		p.Candidates = append(p.Candidates, Candidate{Key: fmt.Sprint(i), Kg: kg[i]})
		g := gain[i]
		p.Fixed += g
		p.Terms = append(p.Terms, Term{Members: []int{i}, Loss: func(s uint32) float64 { return -g * float64(s) }})
	}
	p.Prepare()
	return p
}

// The textbook trap: 10 kg, A 6 kg worth 7, B and C 5 kg worth 5.5 each. By rate A comes first and fills
// the budget; the best is B and C.
func TestBestEscapesTheGreedyTrap(t *testing.T) {
	p := additive([]float64{6, 5, 5}, []float64{7, 5.5, 5.5})
	c := Best(context.Background(), p, Limit{10, math.Inf(1)}, 0)
	if c.Set != 0b110 || math.Abs(p.Fixed-c.Loss-11) > 1e-12 || !c.Exact {
		t.Errorf("best set %b gains %g (exact %v), want B and C with 11", c.Set, p.Fixed-c.Loss, c.Exact)
	}
	if b := FractionalBound([]float64{7, 5.5, 5.5}, []float64{6, 5, 5}, 10); math.Abs(b-11.4) > 1e-12 {
		t.Errorf("fractional bound %g, want 11.4", b)
	}
}

// randomProblem draws terms that are monotone by construction: each lowers its loss when all members of
// one of a few subsets are there.
func randomProblem(t *rapid.T, most int) *Problem {
	n := rapid.IntRange(1, most).Draw(t, "n")
	p := &Problem{Fixed: 0}
	for i := range n {
		p.Candidates = append(p.Candidates, Candidate{Key: fmt.Sprint(i), Kg: rapid.Float64Range(0.1, 30).Draw(t, "kg"), Litres: rapid.Float64Range(0, 20).Draw(t, "l")})
	}
	for range rapid.IntRange(1, 6).Draw(t, "terms") {
		var members []int
		for i := range n {
			if rapid.Bool().Draw(t, "in") {
				members = append(members, i)
			}
		}
		size := rapid.Float64Range(0.1, 5).Draw(t, "size")
		type way struct {
			need uint32
			keep float64
		}
		var ways []way
		for range rapid.IntRange(0, 4).Draw(t, "ways") {
			ways = append(ways, way{rapid.Uint32Range(0, 1<<len(members)-1).Draw(t, "need"), rapid.Float64Range(0, 1).Draw(t, "keep")})
		}
		p.Terms = append(p.Terms, Term{Members: members, Loss: func(s uint32) float64 {
			l := size
			for _, w := range ways {
				if s&w.need == w.need {
					l *= w.keep
				}
			}
			return l
		}})
	}
	p.Prepare()
	return p
}

func TestBestAgreesWithTryingAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := randomProblem(t, 9)
		limit := Limit{rapid.Float64Range(0, 100).Draw(t, "kg limit"), rapid.Float64Range(0, 80).Draw(t, "litre limit")}
		best, bestLoss := uint64(0), math.Inf(1)
		for s := range uint64(1) << len(p.Candidates) {
			if limit.fits(p.Kg(s), p.Litres(s)) && p.Loss(s) < bestLoss-1e-12 {
				best, bestLoss = s, p.Loss(s)
			}
		}
		got := Best(context.Background(), p, limit, 0)
		if math.Abs(got.Loss-bestLoss) > 1e-9 || !got.Exact {
			t.Errorf("best loss %g by set %b, trying all gives %g by %b", got.Loss, got.Set, bestLoss, best)
		}
		if !limit.fits(p.Kg(got.Set), p.Litres(got.Set)) {
			t.Errorf("set %b weighs %g kg and takes %g L, over the limit %v", got.Set, p.Kg(got.Set), p.Litres(got.Set), limit)
		}
		if g := Greedy(p, limit); g.Loss < got.Loss-1e-9 {
			t.Errorf("greedy %g beats exact %g", g.Loss, got.Loss)
		}
		// Cut short, the proven bound must hold.
		if c := Best(context.Background(), p, limit, 3); c.Bound > bestLoss+1e-9 || c.Loss < bestLoss-1e-9 {
			t.Errorf("cut short: loss %g, bound %g, true best %g", c.Loss, c.Bound, bestLoss)
		}
	})
}

func TestFrontierFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := randomProblem(t, 8)
		f := Frontier(context.Background(), p, NoLimit, 8, 0)
		for i := 1; i < len(f); i++ {
			if !(f[i].Loss < f[i-1].Loss && f[i].Kg > f[i-1].Kg-1e-9) {
				t.Errorf("point %d: %g kg loss %g after %g kg loss %g", i, f[i].Kg, f[i].Loss, f[i-1].Kg, f[i-1].Loss)
			}
		}
		if last := f[len(f)-1]; math.Abs(last.Loss-p.Loss(1<<len(p.Candidates)-1)) > 1e-9 {
			t.Errorf("without a limit the loss is %g, want that of everything, %g", last.Loss, p.Loss(1<<len(p.Candidates)-1))
		}
	})
}

func BenchmarkBest20(b *testing.B) {
	for b.Loop() {
		p := hardProblem()
		c := Best(context.Background(), p, Limit{60, 1000}, 0)
		if !c.Exact {
			b.Fatal("not exact")
		}
	}
}

// hardProblem has 20 candidates, every one in several terms.
func hardProblem() *Problem {
	p := &Problem{}
	x := uint32(12345)
	next := func(n uint32) uint32 { x = x*1664525 + 1013904223; return (x >> 8) % n }
	for i := range 20 {
		p.Candidates = append(p.Candidates, Candidate{Key: fmt.Sprint(i), Kg: 1 + float64(next(120))/10, Litres: float64(next(20))})
	}
	for range 25 {
		var m []int
		for i := range 20 {
			if next(3) == 0 {
				m = append(m, i)
			}
		}
		size := float64(next(100)) / 100
		var ways []uint32
		for range 4 {
			w := uint32(0)
			for range 2 {
				w |= 1 << next(uint32(len(m)))
			}
			ways = append(ways, w)
		}
		p.Terms = append(p.Terms, Term{Members: m, Loss: func(s uint32) float64 {
			l := size
			for _, w := range ways {
				if s&w == w {
					l *= 0.4
				}
			}
			return l
		}})
	}
	p.Prepare()
	return p
}
