package geo

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"
)

// The figures that the doc comment of Plane states, over origins from the equator to 70 degrees.
func TestPlaneAgainstGeodesics(t *testing.T) {
	for _, c := range []struct {
		rangeM, raw, scaled float64 // relative
	}{
		{50e3, 16e-6, 2e-6}, {100e3, 61e-6, 2e-6}, {300e3, 560e-6, 4e-6}, {1000e3, 7.5e-3, 2.5e-3},
	} {
		r := rand.New(rand.NewPCG(3, uint64(c.rangeM)))
		raw, scaled := 0.0, 0.0
		for _, lat := range []float64{0, -12, 31, 45, -56, 70} {
			p := NewPlane(orb.Point{179.9, lat})
			for range 400 {
				d := c.rangeM * math.Sqrt(r.Float64())
				a := Destination(p.Origin(), r.Float64()*360, d)
				b := Destination(a, r.Float64()*360, 100+r.Float64()*50e3)
				if Distance(p.Origin(), b) > c.rangeM || math.Abs(a[1]) > 80 || math.Abs(b[1]) > 80 {
					continue
				}
				ax, ay := p.ToXY(a)
				bx, by := p.ToXY(b)
				want, got := Distance(a, b), math.Hypot(bx-ax, by-ay)
				raw = math.Max(raw, math.Abs(got/want-1))
				scaled = math.Max(scaled, math.Abs(got/p.Scale((ax+bx)/2, (ay+by)/2)/want-1))
			}
		}
		if raw > c.raw || scaled > c.scaled {
			t.Errorf("within %g km plane distances are off by %.3g, scaled by %.3g; stated are %.3g and %.3g", c.rangeM/1e3, raw, scaled, c.raw, c.scaled)
		}
	}
}

func TestPlaneThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := NewPlane(orb.Point{rapid.Float64Range(-180, 180).Draw(t, "lon"), rapid.Float64Range(-70, 70).Draw(t, "lat")})
		a := Destination(p.Origin(), rapid.Float64Range(0, 360).Draw(t, "bearing"), rapid.Float64Range(0, 2.5e6).Draw(t, "metres"))
		if math.Abs(a[1]) > MaxLat {
			t.Skip()
		}
		x, y := p.ToXY(a)
		if d := Distance(p.FromXY(x, y), a); !(d < 1e-6) {
			t.Fatalf("%v to the plane at %v and back is %v m off", a, p.Origin(), d)
		}
	})
}

func TestPlaneAxes(t *testing.T) {
	p := NewPlane(orb.Point{-180, 42})
	for _, c := range []struct {
		name string
		at   orb.Point
		x, y int // signs
	}{{"origin", orb.Point{180, 42}, 0, 0}, {"east over the antimeridian", orb.Point{-179.99, 42}, 1, 1},
		{"west over the antimeridian", orb.Point{179.99, 42}, -1, 1}, {"north", orb.Point{-180, 42.01}, 0, 1}, {"south", orb.Point{180, 41.99}, 0, -1}} {
		x, y := p.ToXY(c.at)
		sign := func(v float64) int {
			switch {
			case v > 1e-6:
				return 1
			case v < -1e-6:
				return -1
			}
			return 0
		}
		if sign(x) != c.x || sign(y) != c.y {
			t.Errorf("%s: (%v, %v), want signs %d, %d", c.name, x, y, c.x, c.y)
		}
		if d := math.Hypot(x, y) - Distance(p.Origin(), c.at); math.Abs(d) > 1e-4 {
			t.Errorf("%s: the distance from the origin is %v m off", c.name, d)
		}
	}
	if x, y := p.ToXY(orb.Point{math.NaN(), 1}); !math.IsNaN(x) || !math.IsNaN(y) {
		t.Errorf("NaN goes to %v, %v, want NaN", x, y)
	}
}

func TestPlanePanicsAtThePole(t *testing.T) {
	for _, at := range []orb.Point{{0, 86}, {0, -90}, {0, math.NaN()}, {math.NaN(), 0}} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("NewPlane(%v) does not panic", at)
				}
			}()
			NewPlane(at)
		}()
	}
}

func BenchmarkPlane(b *testing.B) {
	p := NewPlane(orb.Point{1.6, 42.5})
	b.Run("to", func(b *testing.B) {
		for b.Loop() {
			p.ToXY(orb.Point{1.7, 42.6})
		}
	})
	b.Run("from", func(b *testing.B) {
		for b.Loop() {
			p.FromXY(8000, 11000)
		}
	})
}

func ExamplePlane() {
	p := NewPlane(orb.Point{1.6004708, 42.5668986})
	x, y := p.ToXY(orb.Point{1.7306002, 42.5466861})
	at := p.FromXY(x, y)
	fmt.Printf("%.1f m east, %.1f m north, back at %.7f, %.7f\n", x, y, at[1], at[0])
	// Output: 10688.5 m east, -2237.1 m north, back at 42.5466861, 1.7306002
}
