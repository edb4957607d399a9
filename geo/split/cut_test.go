package split

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// full is the textbook dynamic programme, the reference for Cut: every start for every end.
func full(p *Problem) ([]int, float64) {
	m := newSums(p)
	bounds, whole := p.intervals()
	cuts, total := []int{0}, 0.0
	for k := 0; k+1 < len(bounds); k++ {
		lo, hi := bounds[k], bounds[k+1]
		if whole[k] || p.X[hi]-p.X[lo] < 2*p.MinM {
			cuts, total = append(cuts, hi), total+m.cost(lo, hi)
			continue
		}
		n := hi - lo + 1
		f, from := make([]float64, n), make([]int, n)
		for t := 1; t < n; t++ {
			f[t] = math.Inf(1)
			price := p.price(lo + t)
			if t == n-1 {
				price = 0
			}
			best, at := math.Inf(1), 0
			for s := 0; s < t && p.X[lo+t]-p.X[lo+s] >= p.MinM; s++ {
				if v := f[s] + m.cost(lo+s, lo+t); v < best {
					best, at = v, s
				}
			}
			f[t], from[t] = best+price, at
		}
		var inner []int
		for t := from[n-1]; t > 0; t = from[t] {
			inner = append([]int{lo + t}, inner...)
		}
		cuts, total = append(append(cuts, inner...), hi), total+f[n-1]
	}
	return cuts, total
}

// series makes n samples 25 m apart with the given number of true legs and channels, plus noise and a slow wander.
func series(n, legs, channels int, noise float64, seed uint64) Problem {
	r := rand.New(rand.NewPCG(seed, 7))
	p := Problem{X: make([]float64, n)}
	for i := range p.X {
		p.X[i] = 25 * float64(i)
	}
	for c := 0; c < channels; c++ {
		v := make([]float64, n)
		level, wander := r.NormFloat64(), 0.0
		for i := range v {
			if legs > 1 && r.IntN(n/legs) == 0 {
				level = r.NormFloat64()
			}
			wander = 0.995*wander + 0.03*r.NormFloat64()
			v[i] = level + wander + noise*r.NormFloat64()
		}
		p.Channels = append(p.Channels, Channel{Name: string(rune('a' + c)), Weight: 1 / float64(channels), V: v})
	}
	return p
}

func TestCutEqualsFullProgramme(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 260).Draw(t, "n")
		p := series(n, rapid.IntRange(1, 1+n/3).Draw(t, "legs"), rapid.IntRange(1, 4).Draw(t, "channels"),
			rapid.Float64Range(0, 0.5).Draw(t, "noise"), rapid.Uint64().Draw(t, "seed"))
		p.Penalty = rapid.Float64Range(0, 400).Draw(t, "penalty")
		p.MinM = float64(rapid.SampledFrom([]int{0, 25, 100, 1000}).Draw(t, "min"))
		p.LongM = rapid.SampledFrom([]float64{0, 500, 3000}).Draw(t, "long")
		r := rand.New(rand.NewPCG(1, uint64(n)))
		if rapid.Bool().Draw(t, "holes") {
			for c := range p.Channels {
				for k := 0; k < n/2; k++ {
					p.Channels[c].V[r.IntN(n)] = math.NaN()
				}
			}
		}
		if rapid.Bool().Draw(t, "coarse") { // many equal values: ties
			for c := range p.Channels {
				for i, v := range p.Channels[c].V {
					p.Channels[c].V[i] = math.Round(v)
				}
			}
		}
		if rapid.Bool().Draw(t, "places") {
			p.PenaltyAt = make([]float64, n)
			for i := range p.PenaltyAt {
				p.PenaltyAt[i] = p.Penalty * (0.3 + 0.7*r.Float64())
				if r.IntN(3) == 0 {
					p.PenaltyAt[i] = math.Inf(1)
				}
			}
		}
		for k := rapid.IntRange(0, 3).Draw(t, "forced"); k > 0; k-- {
			p.Forced = append(p.Forced, r.IntN(n))
		}
		if n > 20 && rapid.Bool().Draw(t, "whole") {
			a := r.IntN(n - 10)
			p.Whole = [][2]int{{a, a + 5}}
		}
		want, wantCost := full(&p)
		got, cost, err := Cut(context.Background(), p)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(want, got); d != "" || cost != wantCost {
			t.Fatalf("cost %v, full programme %v; cuts (-full +ours):\n%s", cost, wantCost, d)
		}
	})
}

func TestCutRows(t *testing.T) {
	nan := math.NaN()
	for _, row := range []struct {
		name string
		p    Problem
		want []int
	}{
		{"nothing", Problem{}, nil},
		{"one sample", Problem{X: []float64{0}}, nil},
		{"two samples", Problem{X: []float64{0, 25}}, []int{0, 1}},
		{"one step found", Problem{X: []float64{0, 1, 2, 3, 4, 5, 6}, Penalty: 1,
			Channels: []Channel{{"a", 1, []float64{0, 0, 0, 0, 9, 9, 9}}}}, []int{0, 4, 6}},
		{"step not worth its price", Problem{X: []float64{0, 1, 2, 3, 4, 5, 6}, Penalty: 1000,
			Channels: []Channel{{"a", 1, []float64{0, 0, 0, 0, 9, 9, 9}}}}, []int{0, 6}},
		{"unknown is no reason to cut", Problem{X: []float64{0, 1, 2, 3, 4, 5, 6}, Penalty: 1,
			Channels: []Channel{{"a", 1, []float64{0, 0, nan, nan, nan, 0, 0}}}}, []int{0, 6}},
		{"a long even leg is halved", Problem{X: []float64{0, 1, 2, 3, 4, 5, 6}, Penalty: 1, LongM: 5}, []int{0, 3, 6}},
		{"a shorter one is not", Problem{X: []float64{0, 1, 2, 3, 4, 5, 6}, Penalty: 1, LongM: 6.5}, []int{0, 6}},
		{"forced stays although short", Problem{X: []float64{0, 1, 2, 3, 4}, Penalty: 1, MinM: 100, Forced: []int{1, 3, 3, 0}}, []int{0, 1, 3, 4}},
		{"whole stretch is not cut", Problem{X: []float64{0, 1, 2, 3, 4, 5, 6}, Penalty: 1, Forced: []int{3}, Whole: [][2]int{{1, 5}},
			Channels: []Channel{{"a", 1, []float64{0, 0, 0, 0, 9, 9, 9}}}}, []int{0, 1, 5, 6}},
	} {
		got, _, err := Cut(context.Background(), row.p)
		if err != nil {
			t.Errorf("%s: %v", row.name, err)
		}
		if d := cmp.Diff(row.want, got); d != "" {
			t.Errorf("%s: cuts (-want +got):\n%s", row.name, d)
		}
	}
}

func TestCutRefuses(t *testing.T) {
	for name, p := range map[string]Problem{
		"falling positions": {X: []float64{0, 2, 1}},
		"short channel":     {X: []float64{0, 1}, Channels: []Channel{{"a", 1, []float64{1}}}},
		"infinite value":    {X: []float64{0, 1}, Channels: []Channel{{"a", 1, []float64{1, math.Inf(1)}}}},
		"negative penalty":  {X: []float64{0, 1}, Penalty: -1},
		"nan position":      {X: []float64{0, math.NaN()}},
		"forced outside":    {X: []float64{0, 1}, Forced: []int{2}},
	} {
		if _, _, err := Cut(context.Background(), p); err == nil {
			t.Errorf("%s is accepted", name)
		}
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, _, err := Cut(ctx, series(9000, 10, 1, 0.1, 1)); err == nil {
		t.Error("a cancelled cut goes on")
	}
}

func BenchmarkCut(b *testing.B) {
	for _, row := range []struct {
		name    string
		legs    int
		penalty float64
		min     float64
	}{{"few", 8, 20000, 0}, {"some", 60, 1500, 1000}, {"many", 4000, 20, 0}, {"ramp", 1, 2000, 0}, {"one", 1, 1e12, 0}} {
		p := series(40000, row.legs, 6, 0.2, 3)
		if row.name == "ramp" {
			for c := range p.Channels {
				for i := range p.X {
					p.Channels[c].V[i] = math.Sin(float64(i) / float64(3000+100*c))
				}
			}
		}
		p.Penalty, p.MinM = row.penalty, row.min
		b.Run("ours/"+row.name, func(b *testing.B) {
			b.ReportAllocs()
			n := 0
			for b.Loop() {
				c, _, err := Cut(context.Background(), p)
				if err != nil {
					b.Fatal(err)
				}
				n = len(c) - 1
			}
			b.ReportMetric(float64(n), "legs")
		})
		b.Run("full/"+row.name, func(b *testing.B) {
			for b.Loop() {
				full(&p)
			}
		})
	}
}
