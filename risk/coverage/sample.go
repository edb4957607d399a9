package coverage

import (
	"context"
	"math"
	"math/rand/v2"
	"runtime"
	"sort"
	"sync"
)

// LatinHypercube draws n samples of the given number of dimensions: every dimension is cut into n
// equal slices and each slice is hit once, at a random place, in a random order. Row i is sample i.
// The same seed gives the same draws for a dimension whatever the number of dimensions, so that
// variants of a trip that add inputs keep the others' samples.
func LatinHypercube(n, dimensions int, seed uint64) [][]float64 {
	flat := make([]float64, n*dimensions)
	rows := make([][]float64, n)
	for i := range rows {
		rows[i] = flat[i*dimensions : (i+1)*dimensions]
	}
	order := make([]int, n)
	for d := range dimensions {
		drawDimension(rows, order, d, seed, uint64(d))
	}
	return rows
}

func drawDimension(rows [][]float64, order []int, d int, seed, stream uint64) {
	r := rand.New(rand.NewPCG(seed, stream+1))
	n := len(rows)
	for i := range order {
		order[i] = i
	}
	r.Shuffle(n, func(i, j int) { order[i], order[j] = order[j], order[i] })
	for i := range rows {
		rows[i][d] = (float64(order[i]) + r.Float64()) / float64(n)
	}
}

// Draws are the values of a model's inputs for all samples, in the form [Work.Set] takes.
type Draws [][]float64

// Draw draws n samples of the inputs of m. An input's stream depends on its key only, so that two
// variants that share an input see the same values of it.
func Draw(m *Model, n int, seed uint64) Draws {
	rows := newDraws(n, len(m.Inputs))
	order := make([]int, n)
	for x := range m.Inputs {
		rows.draw(m, x, order, seed)
	}
	return rows
}

func newDraws(n, inputs int) Draws {
	rows := make(Draws, n)
	flat := make([]float64, n*inputs)
	for i := range rows {
		rows[i] = flat[i*inputs : (i+1)*inputs]
	}
	return rows
}

// draw draws input x of m; order is scratch, as long as the samples are many.
func (d Draws) draw(m *Model, x int, order []int, seed uint64) {
	drawDimension(d, order, x, seed, fnv(m.Inputs[x].Key))
	for i := range d {
		d[i][x] = m.Inputs[x].At(math.Min(1-1e-12, math.Max(1e-12, d[i][x])))
	}
}

// fnv is the 64-bit FNV-1a hash (Fowler, Noll, Vo).
func fnv(s string) uint64 {
	h := uint64(14695981039346656037)
	for i := range len(s) {
		h = (h ^ uint64(s[i])) * 1099511628211
	}
	return h
}

// Spread evaluates m for every sample, on all processors, and returns the results in the order of the
// samples whatever the number of processors. It stops with ctx's error when ctx ends.
func Spread(ctx context.Context, m *Model, d Draws) ([]Result, error) {
	out := make([]Result, len(d))
	err := spread(ctx, m, d, func(i int, w *Work) { out[i] = w.Evaluate() })
	return out, err
}

// SpreadEach is like [Spread] for a caller who wants more than the trip's result: visit is called for
// every sample after its evaluation, from several goroutines, each with its own work.
func SpreadEach(ctx context.Context, m *Model, d Draws, visit func(sample int, w *Work, r Result)) error {
	return spread(ctx, m, d, func(i int, w *Work) { visit(i, w, w.Evaluate()) })
}

func spread(ctx context.Context, m *Model, d Draws, do func(i int, w *Work)) error {
	return share(ctx, len(d), func() func(i int) {
		w := NewWork(m)
		return func(i int) {
			w.Set(d[i])
			do(i, w)
		}
	})
}

// share does n pieces of work on all processors, on each with what worker makes.
func share(ctx context.Context, n int, worker func() func(i int)) error {
	workers := min(runtime.GOMAXPROCS(0), max(1, n))
	var wg sync.WaitGroup
	for k := range workers {
		wg.Go(func() {
			do := worker()
			for i := k; i < n; i += workers {
				if i%32 == k%32 && ctx.Err() != nil {
					return
				}
				do(i)
			}
		})
	}
	wg.Wait()
	return ctx.Err()
}

// Percentiles gives the 5, 50 and 95 % points of v by linear interpolation between order statistics
// (the common type 7 of Hyndman and Fan 1996). v is left as it is; an empty v gives NaN.
func Percentiles(v []float64) [3]float64 {
	if len(v) == 0 {
		return [3]float64{math.NaN(), math.NaN(), math.NaN()}
	}
	s := append([]float64(nil), v...)
	sort.Float64s(s)
	at := func(p float64) float64 {
		x := p * float64(len(s)-1)
		i := int(x)
		if i+1 >= len(s) {
			return s[len(s)-1]
		}
		return s[i] + (x-float64(i))*(s[i+1]-s[i])
	}
	return [3]float64{at(0.05), at(0.5), at(0.95)}
}

// Swing is what one input does to U when it goes from low to high, all others central.
type Swing struct {
	Input     int // index into Model.Inputs
	ULow      float64
	UHigh     float64
	ReadyLow  float64 // readiness at the low and high value
	ReadyHigh float64
}

// Tornado tries every input at its low and high value and sorts by the swing of U, largest first, ties
// by index. A Choice is tried at each of its choices and shows the least and the greatest U.
func Tornado(m *Model) []Swing {
	w := NewWork(m)
	mid := make([]float64, len(m.Inputs))
	for i := range mid {
		mid[i] = m.Inputs[i].Middle()
	}
	var out []Swing
	for i := range m.Inputs {
		in := &m.Inputs[i]
		try := []float64{in.LowAt, in.HighAt}
		if in.Kind == Choice {
			try = try[:0]
			for c := range in.Weights {
				if in.Weights[c] > 0 {
					try = append(try, float64(c))
				}
			}
		}
		s := Swing{Input: i}
		for k, v := range try {
			mid[i] = v
			w.Set(mid)
			r := w.Evaluate()
			if k == 0 || (in.Kind == Choice && r.U < s.ULow) {
				s.ULow, s.ReadyLow = r.U, r.Readiness()
			}
			if k == 0 || in.Kind != Choice || r.U > s.UHigh {
				s.UHigh, s.ReadyHigh = r.U, r.Readiness()
			}
		}
		mid[i] = in.Middle()
		if len(try) > 0 {
			out = append(out, s)
		}
	}
	sort.SliceStable(out, func(a, b int) bool {
		return math.Abs(out[a].UHigh-out[a].ULow) > math.Abs(out[b].UHigh-out[b].ULow)
	})
	return out
}
