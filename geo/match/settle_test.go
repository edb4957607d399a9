package match

import (
	"math"
	"math/rand/v2"
	"testing"

	"lastroad/geo"
)

// TestSmooth: the moves solve the equations whose solution they claim to be, found here by elimination without
// regard to their shape.
func TestSmooth(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for n := 3; n < 12; n++ {
		y := make([]float64, n)
		for i := range y {
			y[i] = 50*float64(i) + 8*r.NormFloat64()
		}
		lambda := 3.5
		use := func(j int) bool { return j != 2 }
		a := make([][]float64, n) // (1 + lambda D'D) x = -lambda D'D y
		for i := range a {
			a[i] = make([]float64, n+1)
			a[i][i] = 1
		}
		for j := 0; j+2 < n; j++ {
			if !use(j) {
				continue
			}
			w := []float64{1, -2, 1}
			c := y[j] - 2*y[j+1] + y[j+2]
			for p := range w {
				for q := range w {
					a[j+p][j+q] += lambda * w[p] * w[q]
				}
				a[j+p][n] -= lambda * w[p] * c
			}
		}
		for i := range a {
			for k := i + 1; k < n; k++ {
				f := a[k][i] / a[i][i]
				for c := i; c <= n; c++ {
					a[k][c] -= f * a[i][c]
				}
			}
		}
		want := make([]float64, n)
		for i := n - 1; i >= 0; i-- {
			want[i] = a[i][n]
			for k := i + 1; k < n; k++ {
				want[i] -= a[i][k] * want[k]
			}
			want[i] /= a[i][i]
		}
		for i, v := range smooth(y, lambda, use) {
			if math.Abs(v-want[i]) > 1e-9 {
				t.Fatalf("of %d positions number %d moves by %g, elimination gives %g", n, i, v, want[i])
			}
		}
	}
}

// TestSettleKeepsPlaces: whatever is moved stays on an edge, near its point, and a line without scatter stays.
func TestSettleKeepsPlaces(t *testing.T) {
	l := readLand(t, "andorra-2025-01-19.osm.pbf")
	n := newNet(l)
	moved := 0
	for i := range uint64(4) {
		tr := n.made(15000, rand.New(rand.NewPCG(i, 5)))
		line, trueM := noisy(&tr, 50, 8, i)
		pts, _ := pointsOf(line, trueM, 25)
		given := make([]float64, len(line))
		for k := 1; k < len(line); k++ {
			given[k] = given[k-1] + geo.Distance(line[k-1], line[k])
		}
		plain, settled := run(t, l, pts), run(t, l, pts, given...)
		for k := range plain {
			a, b := plain[k], settled[k]
			if (a.Way < 0) != (b.Way < 0) {
				t.Fatalf("point %d lies on way %d, settled on %d", k, a.Way, b.Way)
			}
			if b.Way < 0 {
				continue
			}
			if !(b.T >= 0 && b.T <= 1) || int(b.Seg)+1 >= len(l.ways[b.Way].Line) || !(b.OffM < 150) {
				t.Fatalf("point %d is settled at %+v", k, b)
			}
			if a != b {
				moved++
			}
		}
	}
	if moved == 0 {
		t.Error("nothing was moved, so the test tests nothing")
	}
}
