package match

import (
	"math"
	"math/rand/v2"
	"testing"
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
		use := make([]bool, n-2)
		for j := range use {
			use[j] = j != 2
		}
		a := make([][]float64, n) // (1 + lambda D'D) x = -lambda D'D y
		for i := range a {
			a[i] = make([]float64, n+1)
			a[i][i] = 1
		}
		for j := 0; j+2 < n; j++ {
			if !use[j] {
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
		for i, v := range smooth(y, ones(n), lambda, use) {
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
		plain, settled := run(t, l, pts, nil), run(t, l, pts, line)
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

func ones(n int) []float64 {
	w := make([]float64, n)
	for i := range w {
		w[i] = 1
	}
	return w
}

// TestUnspur: short turns back are taken out with the positions on them, long ones stay, however they are cut in pieces.
func TestUnspur(t *testing.T) {
	for _, row := range []struct {
		name     string
		path     []stop // s is filled in
		at, want []float64
		length   float64
	}{
		{"into a side street and out", []stop{{edge: 0, q1: 100}, {edge: 1, q1: 5}, {edge: 1, q0: 5}, {edge: 2, q1: 50}},
			[]float64{0, 50, 100, 105, 110, 160}, []float64{0, 50, 100, 100, 100, 150}, 150},
		{"back on the same way", []stop{{edge: 0, q1: 30}, {edge: 0, q0: 30, q1: 22}, {edge: 0, q0: 22, q1: 60}},
			[]float64{0, 30, 38, 76}, []float64{0, 22, 22, 60}, 60},
		{"past a corner, in unequal pieces", []stop{{edge: 0, q1: 40}, {edge: 1, q1: 4}, {edge: 1, q0: 4, q1: 10}, {edge: 1, q0: 10, q1: 3}, {edge: 1, q0: 3}, {edge: 0, q0: 40, q1: 35}, {edge: 0, q0: 35, q1: 40}, {edge: 2, q1: 20}},
			[]float64{0, 40, 50, 60, 65, 90}, []float64{0, 35, 35, 35, 35, 60}, 60},
		{"a real turn back", []stop{{edge: 0, q1: 30}, {edge: 0, q0: 30, q1: 60}, {edge: 0, q0: 60, q1: 35}, {edge: 0, q0: 35}},
			[]float64{0, 60, 120}, []float64{0, 60, 120}, 120},
		{"nothing", []stop{{edge: 0}}, []float64{0}, []float64{0}, 0},
	} {
		s := 0.0
		for i := range row.path {
			row.path[i].s = s
			s += row.path[i].length()
		}
		out := unspur(row.path, row.at, 24)
		length := 0.0
		for i := range out {
			if math.Abs(out[i].s-length) > 1e-6 {
				t.Errorf("%s: piece %d begins at %g, want %g", row.name, i, out[i].s, length)
			}
			length += out[i].length()
		}
		if math.Abs(length-row.length) > 1e-6 {
			t.Errorf("%s: the path is %g m long, want %g", row.name, length, row.length)
		}
		for i, v := range row.at {
			if math.Abs(v-row.want[i]) > 1e-6 {
				t.Errorf("%s: positions are %v, want %v", row.name, row.at, row.want)
				break
			}
		}
	}
}

// TestTurnedAt: of the given points it names the first one after each place where the path turns back.
func TestTurnedAt(t *testing.T) {
	path := []stop{{0, 0, 100, 0}, {1, 0, 30, 100}, {1, 30, 0, 130}, {0, 100, 60, 160}, {0, 60, 60, 200}, {0, 60, 90, 200}}
	got := turnedAt(path, []float64{0, 50, 110, 131, 180, 229})
	for i, want := range []bool{false, false, false, true, false, false} {
		if got[i] != want {
			t.Errorf("position %d: turned is %v, want %v", i, got[i], want)
		}
	}
	if got := turnedAt(path, []float64{0, 130}); !got[1] {
		t.Error("a turn exactly at a position is not seen")
	}
}
