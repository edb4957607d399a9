package walk

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"
)

// slowest finds the seconds by relaxing every step until nothing changes (Bellman and Ford), with the
// pace rule itself: no queue, no table.
func slowest(l *Land, o Options) []float64 {
	g, net := l.grid, l.network()
	n := g.Cols * g.Rows
	secs := make([]float64, n+len(net.x))
	for i := range secs {
		secs[i] = math.Inf(1)
	}
	for _, k := range net.roads {
		secs[n+int(k)] = 0
	}
	heightOf := func(i int) float64 {
		if i < n {
			return float64(g.HeightM[i])
		}
		return float64(net.height[i-n])
	}
	changed := true
	relax := func(a, b int, metres, slow float64, onWay bool) {
		pace := Tobler(0)
		if metres > 0 {
			switch slope := (heightOf(a) - heightOf(b)) / metres; {
			case slope != slope:
				pace = Tobler(UnknownSlope)
			case onWay:
				pace = Tobler(max(min(slope, MaxSlope), -MaxSlope))
			case math.Abs(slope) > MaxSlope:
				return
			default:
				pace = Tobler(slope)
			}
		}
		if !onWay {
			pace /= OffPath
		}
		if t := secs[a] + metres*pace*slow; t < secs[b]*(1-1e-12) {
			secs[b] = t
			changed = true
		}
	}
	dirs := sixteen
	if o.EightOnly {
		dirs = eight
	}
	slow := func(c, r int) float64 {
		if l.rough == nil || l.rough[l.index(c, r)] == 0 {
			return 1
		}
		return OffPath / l.parts[l.rough[l.index(c, r)]-1]
	}
	for changed {
		changed = false
		for r := range g.Rows {
			for c := range g.Cols {
				for d := range dirs {
					tc, tr := c+stepCol[d], r+stepRow[d]
					if !l.inGrid(tc, tr) || l.closed != nil && l.closed[l.index(c, r)]&(1<<d) != 0 {
						continue
					}
					relax(r*g.Cols+c, tr*g.Cols+tc, math.Hypot((g.eastM[r]+g.eastM[tr])/2*float64(stepCol[d]), g.northM*float64(stepRow[d])), (slow(c, r)+slow(tc, tr))/2, false)
				}
			}
		}
		for k := range net.x {
			for _, e := range net.links[net.firstLink[k]:net.firstLink[k+1]] {
				relax(n+k, n+int(e.to), float64(e.metres), float64(e.slow), true)
			}
		}
		for _, x := range net.transfers {
			c, r := int(x.cell)%l.stride-rim, int(x.cell)/l.stride-rim
			relax(n+int(x.node), r*g.Cols+c, float64(x.metres), slow(c, r), false)
			relax(r*g.Cols+c, n+int(x.node), float64(x.metres), slow(c, r), false)
		}
	}
	return secs[:n]
}

// Over random rough ground with holes, barriers and ways the surface is that of plain relaxation.
func TestSurfaceIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 5))
		cols, rows := 4+rng.IntN(22), 4+rng.IntN(22)
		rough := 60 * rng.Float64()
		g := plane(cols, rows, 40, func(x, y float64) float64 {
			if rng.IntN(25) == 0 {
				return math.NaN()
			}
			return rough * (math.Sin(x/90) + math.Cos(y/70) + 0.3*rng.NormFloat64())
		})
		for r := range g.eastM { // columns that narrow to the north, as on the globe
			g.eastM[r] = 30 + 0.3*float64(r)
		}
		l := NewLand(g)
		place := func() (float64, float64) {
			return rng.Float64() * float64(cols), rng.Float64() * float64(rows)
		}
		for range rng.IntN(4) {
			a, b := place()
			c, d := place()
			switch rng.IntN(4) {
			case 0:
				l.Barrier(line(g, a, b, c, d))
			case 1:
				l.WayAt(line(g, a, b, c, d), 0.1+0.9*rng.Float64())
			case 2:
				l.Ground(orb.Polygon{orb.Ring(line(g, a, b, c, b, c, d, a, d, a, b))}, []float64{0.2, 0.5, 1}[rng.IntN(3)])
			default:
				l.Way(line(g, a, b, c, d))
			}
		}
		for range 1 + rng.IntN(3) {
			a, b := place()
			l.RoadPoint(at(g, math.Floor(a), math.Floor(b)))
		}
		o := Options{EightOnly: rng.IntN(2) == 0}
		want := slowest(l, o)
		got := surface(t, l, o)
		for i, w := range want {
			m := got.CellMinutes(i%cols, i/cols)
			if math.IsInf(w, 0) != (m != m) {
				t.Fatalf("cell %d, %d: %g minutes, relaxation gives %g", i%cols, i/cols, m, w/60)
			}
			// float32 seconds, and a table good to 1.5e-6.
			if m == m && math.Abs(m*60-w) > 1e-5*w+1e-3 {
				t.Fatalf("cell %d, %d: %.4f s, relaxation gives %.4f", i%cols, i/cols, m*60, w)
			}
		}
		// Asked for some places only, it says the same of them, bit for bit.
		for range 1 + rng.IntN(4) {
			c, r := place()
			o.Places = append(o.Places, at(g, c-1, r-1))
		}
		some := surface(t, l, o)
		for _, p := range o.Places {
			a, b := got.Minutes(p[0], p[1]), some.Minutes(p[0], p[1])
			if a != b && (a == a || b == b) || got.Estimate(p[0], p[1]) != some.Estimate(p[0], p[1]) {
				t.Fatalf("at %v: %g minutes of the whole surface, %g asked for alone", p, a, b)
			}
		}
		// The path from a cell takes what the surface says.
		for range 5 {
			c, r := rng.IntN(cols), rng.IntN(rows)
			p := g.Middle(c, r)
			path := got.Path(p[0], p[1])
			if (path == nil) != math.IsNaN(got.CellMinutes(c, r)) {
				t.Fatalf("cell %d, %d has minutes %g and a path of %d points", c, r, got.CellMinutes(c, r), len(path))
			}
			// Every step leads to a neighbour or along a way by the spacing of its nodes.
			if len(path) > 0 {
				if q := path[0]; q != p {
					t.Fatalf("the path from %v begins at %v", p, q)
				}
			}
			for i := 1; i < len(path); i++ {
				ax, ay := g.position(path[i-1])
				bx, by := g.position(path[i])
				if d := math.Hypot(bx-ax, by-ay); d > math.Sqrt(5)+1e-6 || d == 0 {
					t.Fatalf("the path goes %g cells in one step", d)
				}
			}
		}
	})
}

// More barriers never shorten, more roads and ways never lengthen the walk.
func TestSurfaceIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 6))
		g := plane(24, 20, 50, func(x, y float64) float64 { return 25 * (math.Sin(x/110) + math.Cos(y/90)) })
		place := func() (float64, float64) { return rng.Float64() * 23, rng.Float64() * 19 }
		base := NewLand(g)
		a, b := place()
		base.RoadPoint(at(g, a, b))
		before := surface(t, base, Options{})
		a, b = place()
		c, d := place()
		what := rng.IntN(3)
		switch what {
		case 0:
			base.Barrier(line(g, a, b, c, d))
		case 1:
			base.Way(line(g, a, b, c, d))
		case 2:
			base.Road(line(g, a, b, c, d))
		}
		after := surface(t, base, Options{})
		for i := range g.HeightM {
			x, y := before.CellMinutes(i%24, i/24), after.CellMinutes(i%24, i/24)
			if what == 0 && y < x-1e-4 || what > 0 && !(y <= x+1e-4) {
				t.Fatalf("cell %d, %d: %g minutes before, %g after adding %s", i%24, i/24, x, y, []string{"a barrier", "a way", "a road"}[what])
			}
		}
	})
}

// On a cone of 25 % with the road at its top the straight way up is the fastest, since Tobler's time
// per metre of height, exp(3.5 (S + 0.05)) / S, is least at a slope of 1/3.5 = 28.6 %.
func TestCone(t *testing.T) {
	const n, cellM = 121, 25.0
	mid := float64(n-1) / 2
	g := plane(n, n, cellM, func(x, y float64) float64 { return 2000 - 0.25*math.Hypot(x-mid*cellM, y-mid*cellM) })
	l := NewLand(g)
	l.RoadPoint(at(g, mid, mid))
	r := surface(t, l, Options{})
	up := Tobler(0.25) / OffPath / 60
	for _, c := range [][2]int{{0, 60}, {120, 60}, {60, 0}, {60, 120}, {0, 0}, {120, 120}, {0, 120}} {
		dist := math.Hypot(float64(c[0])-mid, float64(c[1])-mid) * cellM
		if got := r.CellMinutes(c[0], c[1]); math.Abs(got/(dist*up)-1) > 1e-4 {
			t.Errorf("up the cone from %v: %.2f minutes, want %.2f", c, got, dist*up)
		}
	}
	// In other directions steps are bent by at most 2.8 %.
	for c := range n {
		dist := math.Hypot(float64(c)-mid, mid) * cellM
		if got := r.CellMinutes(c, 0) / (dist * up); got < 0.999 || got > 1.028 {
			t.Errorf("up the cone from column %d: %.4f of the straight way", c, got)
		}
	}
}

// On a plane of 50 % zigzags pay: no way up takes less than the height times the least time per metre
// of it, exp(3.5 x 0.05 + 1) x 3.5 x 0.6 s. Of the steps the diagonal one, 35 % steep, comes nearest,
// 2.4 % above; straight up takes 21 % more.
func TestZigzag(t *testing.T) {
	g := plane(201, 101, 30, func(x, y float64) float64 { return 0.5 * (3000 - y) })
	l := NewLand(g)
	l.Road(line(g, 0, 0, 200, 0))
	got := surface(t, l, Options{}).CellMinutes(100, 100)
	least := 1500 * 0.6 * 3.5 * math.Exp(3.5*0.05+1) / OffPath / 60
	if ratio := got / least; ratio < 1 || ratio > 1.025 {
		t.Errorf("up 1500 m in %.1f minutes, %.4f of the least possible", got, ratio)
	}
}

// A slope of 60 % is climbed in zigzags where the steps allow it, one above the limit is not climbed at all.
func TestSteepSlopes(t *testing.T) {
	for _, c := range []struct {
		name  string
		slope float64
		reach bool
	}{{"60 %", 0.6, true}, {"just below the limit", 0.699, true}, {"wall of 120 %", 1.7, false}} {
		g := plane(60, 60, 30, func(x, y float64) float64 {
			if y < 600 {
				return c.slope * 600
			}
			return c.slope * math.Max(1200-y, 0)
		})
		l := NewLand(g)
		l.Road(line(g, 0, 2, 59, 2))
		r := surface(t, l, Options{})
		m := r.CellMinutes(30, 58)
		if (m == m) != c.reach {
			t.Errorf("%s: %g minutes", c.name, m)
		}
		straight := (540 + /* level above */ 0 + 540) * level
		if c.reach && m < straight {
			t.Errorf("%s: %g minutes is less than level ground takes", c.name, m)
		}
	}
	// Along a way the wall is no bar: ways are benched.
	g := plane(60, 60, 30, func(x, y float64) float64 { return math.Max(0, math.Min(600, 1.7*(1200-y))) })
	l := NewLand(g)
	l.Road(line(g, 0, 2, 59, 2))
	l.Way(line(g, 30, 50, 30, 2))
	if m := surface(t, l, Options{}).CellMinutes(30, 50); m != m {
		t.Error("the way up the wall leads nowhere")
	}
}

func TestUnknownGroundIsAnEstimate(t *testing.T) {
	g := plane(30, 30, 50, func(x, y float64) float64 {
		if x > 700 && x < 1000 {
			return math.NaN()
		}
		return 10
	})
	l := NewLand(g)
	l.Road(line(g, 0, 0, 0, 29))
	r := surface(t, l, Options{})
	for _, c := range []struct {
		col  int
		want bool
	}{{3, false}, {14, false}, {16, true}, {28, true}} {
		p := g.Middle(c.col, 15)
		if got := r.Estimate(p[0], p[1]); got != c.want {
			t.Errorf("column %d: estimate = %v", c.col, got)
		}
	}
	// 14 level steps, then the unknown ones as if 10 % uphill.
	want := 14*50*level + 3*50*level*Tobler(UnknownSlope)/Tobler(0)
	if got := r.CellMinutes(17, 15); math.Abs(got/want-1) > 1e-4 {
		t.Errorf("into the unknown ground %.3f minutes, want %.3f", got, want)
	}
}

func TestMinutesBetweenCells(t *testing.T) {
	g := flat(10, 10)
	l := NewLand(g)
	l.Road(line(g, 0, 0, 0, 9))
	r := surface(t, l, Options{})
	for _, c := range []struct{ col, row, want float64 }{
		{3, 4, 3}, {3.5, 4, 3.5}, {3.25, 4.75, 3.25}, {9.4, 5, 9}, {-0.4, 5, 0},
		{10, 5, math.NaN()}, {5, -0.6, math.NaN()}, {math.NaN(), 5, math.NaN()},
	} {
		p := at(g, c.col, c.row)
		got, want := r.Minutes(p[0], p[1]), c.want*50*level
		if (got == got) != (want == want) || math.Abs(got-want) > 1e-4 {
			t.Errorf("at column %g, row %g: %g minutes, want %g", c.col, c.row, got, want)
		}
	}
	// Beside water the nearest dry cell answers.
	l.Area(orb.Polygon{orb.Ring(line(g, 5.5, -2, 20, -2, 20, 20, 5.5, 20, 5.5, -2))})
	r = surface(t, l, Options{})
	p, q := at(g, 5.4, 5), at(g, 8, 5)
	if got := r.Minutes(p[0], p[1]); math.Abs(got-5*50*level) > 1e-4 {
		t.Errorf("at the shore: %g minutes, want %g", got, 5*50*level)
	}
	if got := r.Minutes(q[0], q[1]); got == got {
		t.Errorf("on the water: %g minutes", got)
	}
	if r.Path(q[0], q[1]) != nil || r.Path(1, 1) != nil {
		t.Error("there is a path from the water or from outside")
	}
}

func TestSurfaceCanBeCancelledAndWatched(t *testing.T) {
	g := benchGrid(600, 600)
	l := NewLand(g)
	l.RoadPoint(g.Middle(300, 300))
	last, calls := 0.0, 0
	if _, err := Surface(context.Background(), l, Options{Progress: func(p float64) {
		if p < last || p > 1 {
			t.Errorf("progress from %g to %g", last, p)
		}
		last = p
		calls++
	}}); err != nil || calls < 3 {
		t.Errorf("%d calls, error %v", calls, err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Surface(ctx, l, Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: error %v", err)
	}
}

func TestBadOptions(t *testing.T) {
	g := flat(5, 5)
	l := NewLand(g)
	l.RoadPoint(g.Middle(2, 2))
	for name, o := range map[string]Options{
		"off-path factor":     {OffPath: 1.5},
		"negative factor":     {OffPath: -1},
		"slope":               {MaxSlope: math.NaN()},
		"pace zero":           {Pace: func(float64) float64 { return 0 }},
		"pace negative":       {Pace: func(s float64) float64 { return s }},
		"pace without an end": {Pace: func(s float64) float64 { return math.Inf(1) }},
		"pace NaN":            {Pace: func(s float64) float64 { return math.NaN() }},
	} {
		if _, err := Surface(context.Background(), l, o); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
}

// The published points of Tobler's function: 6 km/h at 5 % down, 5.04 km/h on the level.
func TestTobler(t *testing.T) {
	for _, c := range []struct{ slope, kmh float64 }{{-0.05, 6}, {0, 5.0367}, {-0.10, 5.0367}, {0.2, 6 * math.Exp(-0.875)}} {
		if got := 3.6 / Tobler(c.slope); math.Abs(got-c.kmh) > 1e-4 {
			t.Errorf("Tobler at %g: %.4f km/h, want %.4f", c.slope, got, c.kmh)
		}
	}
	table := newPaceTable(Tobler, 0.7)
	for s := -0.7; s <= 0.7; s += 0.00037 {
		if got, want := float64(table.at(float32(s))), Tobler(s); math.Abs(got/want-1) > 2e-6 {
			t.Errorf("table at %g: %g, want %g", s, got, want)
		}
	}
}
