package walk

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
)

// plane makes a plane grid of square cells with heights from a function of metres east and south.
func plane(cols, rows int, cellM float64, h func(x, y float64) float64) *Grid {
	z := make([]float32, cols*rows)
	for r := range rows {
		for c := range cols {
			z[r*cols+c] = float32(h(float64(c)*cellM, float64(r)*cellM))
		}
	}
	return PlaneGrid(cols, rows, cellM, z)
}

// failer is what surface needs of a test.
type failer interface {
	Helper()
	Fatal(...any)
}

func surface(t failer, l *Land, o Options) *Result {
	t.Helper()
	r, err := Surface(context.Background(), l, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// level is the time of a level metre off the way in minutes: Tobler gives 6 exp(-0.175) = 5.0367 km/h
// on the way, 0.6 of it off the way.
const level = 60.0 / 1000 / (5.036742 * 0.6)

func TestLevelGround(t *testing.T) {
	g := plane(201, 201, 50, func(x, y float64) float64 { return 100 })
	l := NewLand(g)
	l.RoadPoint(g.Middle(100, 100))
	for _, c := range []struct {
		name  string
		eight bool
		worst float64 // greatest excess over the straight line, of the metric of the steps
	}{
		// Eight directions: at tan 22.5 degrees the way is sqrt(2)-1 diagonals and the rest straight:
		// excess (cos 22.5 + (sqrt 2 - 1) sin 22.5) - 1 = 8.24 %. Sixteen: half-way between 0 and
		// 26.57 degrees, cos 13.28 + (sqrt 5 - 2) sin 13.28 - 1 = 2.75 %.
		{"eight", true, 0.0824}, {"sixteen", false, 0.0275},
	} {
		r := surface(t, l, Options{EightOnly: c.eight})
		worst := 0.0
		for row := range g.Rows {
			for col := range g.Cols {
				straight := math.Hypot(float64(col-100), float64(row-100)) * 50 * level
				got := r.CellMinutes(col, row)
				if straight == 0 {
					if got != 0 {
						t.Errorf("%s: %g minutes at the road itself", c.name, got)
					}
					continue
				}
				if got < straight*(1-1e-5) {
					t.Fatalf("%s: %g minutes at %d, %d is less than the straight line's %g", c.name, got, col, row, straight)
				}
				worst = max(worst, got/straight-1)
			}
		}
		if math.Abs(worst-c.worst) > 0.0003 {
			t.Errorf("%s: the longest detour is %.4f, want %.4f", c.name, worst, c.worst)
		}
	}
}

// On a plane that rises 20 % to the north with the road along its south edge one walks down 20 %
// all the way, with the road along the north edge up 20 %.
func TestWalkingIsTowardsTheRoad(t *testing.T) {
	g := plane(60, 101, 50, func(x, y float64) float64 { return 1000 - 0.2*y })
	for _, c := range []struct {
		name     string
		row, far int
		kmh      float64
	}{
		{"down to the road", 100, 0, 6 * math.Exp(-3.5*0.15) * 0.6},
		{"up to the road", 0, 100, 6 * math.Exp(-3.5*0.25) * 0.6},
	} {
		l := NewLand(g)
		l.Road(orb.LineString{g.Middle(0, c.row), g.Middle(59, c.row)})
		r := surface(t, l, Options{})
		want := 5.0 / c.kmh * 60
		if got := r.CellMinutes(30, c.far); math.Abs(got/want-1) > 1e-4 {
			t.Errorf("%s: 5 km take %.2f minutes, want %.2f", c.name, got, want)
		}
	}
}

func TestNoRoad(t *testing.T) {
	g := plane(10, 10, 50, func(x, y float64) float64 { return 0 })
	if _, err := Surface(context.Background(), NewLand(g), Options{}); !errors.Is(err, ErrNoRoad) {
		t.Errorf("without a road: error %v, want ErrNoRoad", err)
	}
}

func benchGrid(cols, rows int) *Grid {
	rng := rand.New(rand.NewPCG(1, 2))
	type wave struct{ kx, ky, a, p float64 }
	var ws []wave
	for i := range 40 {
		l := 200 * math.Pow(1.15, float64(i))
		th := rng.Float64() * 2 * math.Pi
		ws = append(ws, wave{2 * math.Pi / l * math.Cos(th), 2 * math.Pi / l * math.Sin(th), 0.009 * l, rng.Float64() * 7})
	}
	return plane(cols, rows, 30, func(x, y float64) float64 {
		h := 0.0
		for _, w := range ws {
			h += w.a * math.Sin(w.kx*x+w.ky*y+w.p)
		}
		return h
	})
}

func BenchmarkSurface(b *testing.B) {
	g := benchGrid(1732, 1732)
	l := NewLand(g)
	l.Road(orb.LineString{g.Middle(100, 300), g.Middle(900, 500), g.Middle(1500, 1400)})
	for _, c := range []struct {
		name string
		o    Options
	}{{"eight", Options{EightOnly: true}}, {"sixteen", Options{}}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				surface(b, l, c.o)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(g.Cols*g.Rows), "ns/cell")
		})
	}
}
