package index

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// A follower gives what looking at every segment gives, to the last bit: far from segments and on them, with ties,
// repeated places and jumps, for any number of segments.
func TestFollowerAgainstBruteForce(t *testing.T) {
	kept := 0
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
		side := rapid.SampledFrom([]float64{10, 1e3, 1e5}).Draw(t, "side")
		offset := rapid.SampledFrom([]float64{0, -5e5, 4.2e6}).Draw(t, "offset")
		whole := rapid.Bool().Draw(t, "whole") // many exact ties
		coord := func() float64 {
			v := r.Float64() * side
			if whole {
				v = math.Round(v/side*8) * side / 8
			}
			return v + offset
		}
		n := rapid.SampledFrom([]int{0, 1, 2, 9, 300}).Draw(t, "n")
		segs := make([]Seg, 0, n)
		for len(segs) < n {
			// Crooked lines whose segments share their ends, some of them without length, some twice.
			x, y := coord(), coord()
			for k := r.IntN(12) + 1; k > 0 && len(segs) < n; k-- {
				s := Seg{x, y, x, y}
				if r.IntN(6) > 0 {
					s.BX, s.BY = x+(coord()-offset)/10-side/20, y+(coord()-offset)/10-side/20
				}
				x, y = s.BX, s.BY
				if r.IntN(2) == 0 {
					s = Seg{s.BX, s.BY, s.AX, s.AY}
				}
				if segs = append(segs, s); r.IntN(8) == 0 && len(segs) < n {
					segs = append(segs, s)
				}
			}
		}
		f := Build(segs).Follow()
		away := rapid.SampledFrom([]float64{0, 0.3, 5}).Draw(t, "away")
		step := side / rapid.SampledFrom([]float64{20, 200, 5000}).Draw(t, "step")
		x, y, heading := offset-away*side, offset+r.Float64()*side, r.Float64()*7
		for range 120 {
			switch r.IntN(25) {
			case 0: // a jump
				x, y = offset+(r.Float64()*3-1)*side, offset+(r.Float64()*3-1)*side
			case 1: // the same place again
			case 2: // onto a segment's end
				if n > 0 {
					s := segs[r.IntN(n)]
					x, y = s.AX, s.AY
				}
			case 3: // no place, which must not spoil what follows
				if seg, d, _, _ := f.Nearest(math.NaN(), y); seg != -1 || !math.IsNaN(d) {
					t.Fatalf("Nearest of no place = %d, %v, want -1, NaN", seg, d)
				}
			default:
				heading += r.NormFloat64() * 0.1
				x, y = x+step*math.Cos(heading), y+step*math.Sin(heading)
			}
			want, d2 := brute(segs, x, y)
			got, d, px, py := f.Nearest(x, y)
			if got != want {
				t.Fatalf("Nearest(%v, %v) of %d segments = %d, want %d", x, y, n, got, want)
			}
			if want < 0 {
				continue
			}
			if wx, wy := foot(&segs[want], x, y); d != math.Sqrt(d2) || px != wx || py != wy {
				t.Fatalf("Nearest(%v, %v) is %v away at (%v, %v), want %v at (%v, %v)", x, y, d, px, py, math.Sqrt(d2), wx, wy)
			}
			if f.x != x || f.y != y {
				kept++
			}
		}
	})
	if kept == 0 {
		t.Error("no answer came from what was known of the last place")
	}
}

// On a circle about the end that two segments share, place after place, the nearest changes from one of them to both and to
// the other: just there rounding could tell them apart wrongly.
func TestFollowerRoundASharedEnd(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(0, 7).Draw(t, "a"), rapid.Float64Range(0, 7).Draw(t, "b")
		cx, cy := rapid.Float64Range(-1e6, 1e6).Draw(t, "x"), rapid.Float64Range(-1e6, 1e6).Draw(t, "y")
		segs := []Seg{{cx, cy, cx + 30*math.Cos(a), cy + 30*math.Sin(a)}, {cx + 20*math.Cos(b), cy + 20*math.Sin(b), cx, cy}}
		if rapid.Bool().Draw(t, "turned") {
			segs[0], segs[1] = segs[1], segs[0]
		}
		radius := rapid.SampledFrom([]float64{100, 1e4, 1e6}).Draw(t, "radius")
		f := Build(segs).Follow()
		// Both ways at right angles to a segment are where it stops being the nearest.
		for _, at := range []float64{a, b} {
			for _, turn := range []float64{-math.Pi / 2, math.Pi / 2} {
				for k := -20; k <= 20; k++ {
					angle := at + turn + float64(k)*math.Pow(10, -float64(3+(k+40)%13))
					x, y := cx+radius*math.Cos(angle), cy+radius*math.Sin(angle)
					want, d2 := brute(segs, x, y)
					if got, d, _, _ := f.Nearest(x, y); got != want || d != math.Sqrt(d2) {
						t.Fatalf("Nearest(%v, %v) = %d at %v, want %d at %v", x, y, got, d, want, math.Sqrt(d2))
					}
				}
			}
		}
	})
}
