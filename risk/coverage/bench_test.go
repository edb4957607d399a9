package coverage

import (
	"context"
	"math"
	"testing"
)

// bigModel is a trip of the size that must feel live: 40 pieces (legs) with 25 kinds of trouble each, 60
// things of which 20 are stocks, four recipes per class, and uncertain rates and chances.
func bigModel(together bool) *Model {
	m := &Model{Omega: 0.3, OmegaInput: -1, HelpInput: -1, Common: -1, Together: together}
	x := uint64(99)
	next := func() float64 { x = x*6364136223846793005 + 1442695040888963407; return float64(x>>11) / (1 << 53) }
	for i := range 60 {
		t := Thing{UsedUp: i%3 == 0, Units: int(next() * 4), Surplus: int(next() * 2), Chance: next()}
		t.Together = t.Chance + (1-t.Chance)*next()
		m.Things = append(m.Things, t)
	}
	for e := range 25 {
		c := Class{Beta: 0.05, BetaInput: -1, Partner: 0.9, PartnerInput: -1}
		for a := range 4 {
			c.Atoms = append(c.Atoms, int32((e*7+a*13)%60))
		}
		for r := range 4 {
			m.Inputs = append(m.Inputs, ChanceInput("", "", "assumption", 0.4, 0.6, 0.8))
			rec := Recipe{Chance: 0.6, Scale: 1, Input: int32(len(m.Inputs) - 1), Needs: []uint16{1 << r, uint16(1 + (e+r)%15)}}
			c.Solo = append(c.Solo, rec)
		}
		c.Together = append(append([]Recipe(nil), c.Solo...), Recipe{Chance: 0.8, Scale: 1, Input: -1})
		m.Classes = append(m.Classes, c)
		ev := Event{}
		for _, a := range c.Atoms {
			if m.Things[a].UsedUp {
				ev.Uses = append(ev.Uses, Use{a, 1})
			}
		}
		m.Events = append(m.Events, ev)
		m.Inputs = append(m.Inputs, RateInput("", "", "assumption", 0.2, 1, 5))
	}
	for range 40 {
		p := Piece{First: len(m.Cells), Floor: 0.001, PartnerMean: 0.002}
		h := Help{MedianH: 20, EF: 3, DelayH: 1, TauH: 72}
		p.Help = [2]Help{h, h}
		for e := range m.Events {
			v := next() * 0.02
			m.Cells = append(m.Cells, Cell{Event: int32(e), Class: int32(e), Mean: v, Worst: 2 * v, From: int32(len(m.Parts)), To: int32(len(m.Parts) + 1)})
			m.Parts = append(m.Parts, Part{Mean: v, Worst: 2 * v, Rate: int32(5*e + 4), Wide: -1, Mix: -1})
		}
		p.Last = len(m.Cells)
		m.Pieces = append(m.Pieces, p)
	}
	return m
}

// Bound: 4 ms on one core, nothing allocated. Measured on an idle virtual machine of two cores: 0.10 ms.
func BenchmarkEvaluate40x25x60(b *testing.B) {
	m := bigModel(true)
	w := NewWork(m)
	b.ReportAllocs()
	for b.Loop() {
		w.Evaluate()
	}
}

// Bound: 1.5 s on two cores. Measured there: 0.14 s.
func BenchmarkSpread2000(b *testing.B) {
	m := bigModel(true)
	d := Draw(m, 2000, 1)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Spread(context.Background(), m, d); err != nil {
			b.Fatal(err)
		}
	}
}

// Measured: 16 ms for 2000 x 125 draws with their distributions. A plain numpy 1.24 version of the draws on the
// same machine, one permutation and one uniform vector per input and an exponential of normals: 15 ms.
func BenchmarkDraw2000(b *testing.B) {
	m := bigModel(true)
	for b.Loop() {
		Draw(m, 2000, 1)
	}
}

// Bound: 0.5 s on two cores. Measured: 0.08 s for ten troubles a trip. numpy 1.24 takes 3.9 s for the Poisson counts
// of the same 1000 cells alone, without stocks or remedies: the merged process draws only what happens.
func BenchmarkSimulate100000(b *testing.B) {
	m := bigModel(true)
	for b.Loop() {
		if _, err := Simulate(context.Background(), m, 100_000, 1); err != nil {
			b.Fatal(err)
		}
	}
}

func TestEvaluateAllocatesNothing(t *testing.T) {
	m := bigModel(true)
	w := NewWork(m)
	d := Draw(m, 4, 1)
	if n := testing.AllocsPerRun(20, func() { w.Set(d[1]); w.Evaluate() }); n != 0 {
		t.Errorf("setting and evaluating a sample allocates %g times, want 0", n)
	}
}

// The answer of a sample does not depend on the number of workers nor on what was evaluated before.
func TestSpreadIsTheSameAsOneByOne(t *testing.T) {
	m := bigModel(true)
	d := Draw(m, 50, 3)
	all, err := Spread(context.Background(), m, d)
	if err != nil {
		t.Fatal(err)
	}
	for i := range d {
		w := NewWork(m)
		w.Set(d[i])
		if r := w.Evaluate(); r != all[i] {
			t.Fatalf("sample %d gives %+v alone and %+v among others", i, r, all[i])
		}
	}
}

func TestSpreadStopsWithItsContext(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	m := bigModel(false)
	if _, err := Spread(ctx, m, Draw(m, 500, 1)); err == nil {
		t.Error("a cancelled context gives no error")
	}
	if _, err := Simulate(ctx, m, 100_000, 1); err == nil {
		t.Error("a cancelled context gives no error from the simulation")
	}
}

// Every slice of a dimension is hit once, the mean of a Rate input over the samples is 1, and an input keeps its
// draws when others are added before it.
func TestLatinHypercube(t *testing.T) {
	const n = 1000
	rows := LatinHypercube(n, 3, 5)
	for d := range 3 {
		seen := make([]bool, n)
		for _, r := range rows {
			i := int(r[d] * n)
			if seen[i] {
				t.Fatalf("slice %d of dimension %d is hit twice", i, d)
			}
			seen[i] = true
		}
	}
	a := &Model{Inputs: []Input{RateInput("x", "", "data", 0.1, 0.33, 1.1)}}
	b := &Model{Inputs: []Input{RateInput("y", "", "data", 0.1, 0.32, 1), RateInput("x", "", "data", 0.1, 0.33, 1.1)}}
	da, db := Draw(a, n, 9), Draw(b, n, 9)
	sum := 0.0
	for i := range da {
		if da[i][0] != db[i][1] {
			t.Fatalf("sample %d of the same input differs between variants", i)
		}
		sum += da[i][0]
	}
	// A Latin hypercube of 1000 slices integrates this smooth function to about a thousandth.
	if math.Abs(sum/n-1) > 5e-3 {
		t.Errorf("mean of a rate factor %.4f, want 1", sum/n)
	}
}

func TestPercentiles(t *testing.T) {
	v := make([]float64, 101)
	for i := range v {
		v[100-i] = float64(i)
	}
	if p := Percentiles(v); p != [3]float64{5, 50, 95} {
		t.Errorf("percentiles of 0..100 are %v, want 5, 50, 95", p)
	}
	if p := Percentiles(nil); !math.IsNaN(p[1]) {
		t.Errorf("percentiles of nothing are %v, want NaN", p)
	}
	if p := Percentiles([]float64{3}); p != [3]float64{3, 3, 3} {
		t.Errorf("percentiles of one number are %v", p)
	}
}
