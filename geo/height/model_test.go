package height

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"

	"lastroad/geo"
)

var everywhere orb.Bound

// grid makes a tile from a function of longitude and latitude at its posts.
func grid(t testing.TB, west, north, step float64, cols, rows int, h func(lon, lat float64) float64) *Tile {
	t.Helper()
	z := make([]float32, cols*rows)
	for r := range rows {
		for c := range cols {
			z[r*cols+c] = float32(h(west+float64(c)*step, north-float64(r)*step))
		}
	}
	tile, err := NewTile("grid", west, north, step, step, cols, rows, z)
	if err != nil {
		t.Fatal(err)
	}
	return tile
}

var nan = math.NaN()

// One cell with corners 10 (nw), 20 (ne), -40 (sw), 0 (se), posts one degree apart.
func TestBilinear(t *testing.T) {
	tile, err := NewTile("", 10, 51, 1, 1, 2, 2, []float32{10, 20, -40, 0})
	if err != nil {
		t.Fatal(err)
	}
	m := NewModel(tile)
	for _, c := range []struct{ lon, lat, want float64 }{
		{10, 51, 10}, {11, 51, 20}, {10, 50, -40}, {11, 50, 0},
		{10.5, 51, 15}, {10, 50.5, -15}, {10.5, 50.5, -2.5},
		{10.25, 50.25, 0.75*0.25*10 + 0.25*0.25*20 - 0.75*0.75*40 + 0.25*0.75*0},
		{370.5, 51, 15}, {-349.5, 51, 15}, // other turns of the globe
		{8, 50.5, nan}, {12, 50.5, nan}, {10.5, 52, nan}, {10.5, 49, nan}, {nan, 50, nan}, {10, nan, nan},
		{10.5, math.Inf(1), nan}, {math.Inf(1), 50.5, nan},
	} {
		got := m.Height(c.lon, c.lat)
		if !same(got, c.want) && math.Abs(got-c.want) > 1e-12 {
			t.Errorf("Height(%g, %g) = %g, want %g", c.lon, c.lat, got, c.want)
		}
		if again := m.Heights(nil, []orb.Point{{10.4, 50.6}, {c.lon, c.lat}})[1]; !same(got, again) && math.Abs(again-got) > 1e-12 {
			t.Errorf("Heights at %g, %g = %g, Height %g", c.lon, c.lat, again, got)
		}
	}
}

func TestNoModel(t *testing.T) {
	for _, m := range []*Model{nil, {}, NewModel(), NewModel(nil)} {
		if h := m.Height(1, 42); h == h {
			t.Errorf("a model without tiles reads %g", h)
		}
		if s := m.Slope(1, 42); s.East == s.East || m.CellM(1, 42) == m.CellM(1, 42) || len(m.Tiles()) != 0 {
			t.Error("a model without tiles knows a slope or a cell")
		}
		if h := m.Heights(nil, []orb.Point{{1, 42}}); len(h) != 1 || h[0] == h[0] {
			t.Errorf("a model without tiles reads %v", h)
		}
	}
}

// A void is unknown in the four cells round it and on their edges, and known at the posts beyond.
func TestVoidsAreUnknown(t *testing.T) {
	m := NewModel(grid(t, 0, 10, 1, 11, 11, func(lon, lat float64) float64 {
		if lon == 5 && lat == 5 {
			return nan
		}
		return 0 // the sea is good data
	}))
	for _, c := range []struct {
		lon, lat float64
		known    bool
	}{
		{5, 5, false}, {4.5, 5.5, false}, {5.01, 4.01, false}, {5, 5.5, false}, {4.99, 5, false},
		{4, 4, true}, {5, 4, true}, {4, 5, true}, {6, 6, true}, {4, 4.5, true}, {3.99, 5, true}, {6.01, 5.5, true},
	} {
		h := m.Height(c.lon, c.lat)
		if (h == h) != c.known || h == h && h != 0 {
			t.Errorf("Height(%g, %g) = %g, want known = %v and 0", c.lon, c.lat, h, c.known)
		}
	}
}

// Whatever the finest tile does not know the next one answers.
func TestFinestTileFirst(t *testing.T) {
	coarse := grid(t, 0, 10, 1, 11, 11, func(lon, lat float64) float64 { return 100 })
	fine := grid(t, 2, 8, 0.1, 41, 41, func(lon, lat float64) float64 {
		if math.Abs(lon-4) < 0.05 && math.Abs(lat-6) < 0.05 {
			return nan
		}
		return 200
	})
	for name, m := range map[string]*Model{"coarse first": NewModel(coarse, fine), "fine first": NewModel(fine, coarse)} {
		pts := []orb.Point{{1, 5}, {3, 5}, {4.02, 6.01}, {8, 5}, {3, 5}, {2.5, 7.5}, {2, 8}, {0.5, 0.5}}
		want := []float64{100, 200, 100, 100, 200, 200, 200, 100}
		for i, h := range m.Heights(nil, pts) {
			if h != want[i] || m.Height(pts[i][0], pts[i][1]) != want[i] {
				t.Errorf("%s: Heights at %v = %g, Height %g, want %g", name, pts[i], h, m.Height(pts[i][0], pts[i][1]), want[i])
			}
		}
		// 0.1 degree of latitude at 5 N is 11.06 km, 1 degree of longitude at 5 N 110.9 km (geod, WGS84).
		if c := m.CellM(3.05, 5.05); math.Abs(c-11090) > 30 {
			t.Errorf("%s: the cell is %.0f m, want some 11 090", name, c)
		}
	}
}

// A smooth surface in four tiles must read as in one, heights and slopes, whether neighbours share
// their edge posts or meet half a cell from them.
func TestSeams(t *testing.T) {
	surface := func(lon, lat float64) float64 { return 500 + 30*math.Sin(40*lon) + 20*math.Cos(55*lat) + 8*lon*lat }
	const n, step = 20, 0.01
	for _, c := range []struct {
		name  string
		share int // posts shared by neighbours
		half  float64
	}{{"shared edges", 1, 0}, {"pixels side by side", 0, 0.5}} {
		size := n + c.share
		west, north := 7.0+c.half*step, 46.0-c.half*step
		var tiles []*Tile
		for j := range 2 {
			for i := range 2 {
				tiles = append(tiles, grid(t, west+float64(i*n)*step, north-float64(j*n)*step, step, size, size, surface))
			}
		}
		parts, whole := NewModel(tiles...), NewModel(grid(t, west, north, step, 2*n+c.share, 2*n+c.share, surface))
		rng := rand.New(rand.NewPCG(3, 4))
		for i := range 4000 {
			lon, lat := west+step*(2+float64(2*n-4)*rng.Float64()), north-step*(2+float64(2*n-4)*rng.Float64())
			switch i % 4 {
			case 1:
				lon = west + step*(n-1+3*rng.Float64()) // near the seam
			case 2:
				lat = north - step*(n-1+3*rng.Float64())
			case 3:
				lon, lat = west+step*n, north-step*n // on the common post
			}
			a, b := parts.Height(lon, lat), whole.Height(lon, lat)
			if !(math.Abs(a-b) < 1e-3) {
				t.Fatalf("%s: at %.5f, %.5f the tiles read %g, one grid %g", c.name, lon, lat, a, b)
			}
			s, u := parts.Slope(lon, lat), whole.Slope(lon, lat)
			if !(math.Abs(s.East-u.East) < 1e-5 && math.Abs(s.North-u.North) < 1e-5 && math.Abs(s.BendM-u.BendM) < 1e-3) {
				t.Fatalf("%s: at %.5f, %.5f the tiles have slope %v, one grid %v", c.name, lon, lat, s, u)
			}
		}
	}
}

func TestSeamBetweenUnlikeSteps(t *testing.T) {
	// Pixels side by side, twice as wide north of 60: the strip between the last posts must be known.
	south := grid(t, 10.005, 59.995, 0.01, 100, 100, func(lon, lat float64) float64 { return 300 })
	z := make([]float32, 50*100)
	for i := range z {
		z[i] = 300
	}
	north, err := NewTile("north", 10.01, 60.995, 0.02, 0.01, 50, 100, z)
	if err != nil {
		t.Fatal(err)
	}
	m := NewModel(south, north)
	for lat := 59.98; lat < 60.02; lat += 0.0007 {
		if h := m.Height(10.503, lat); h != 300 {
			t.Errorf("Height at %.4f N = %g, want 300", lat, h)
		}
	}
}

func TestAntimeridian(t *testing.T) {
	ramp := func(lon, lat float64) float64 { return 100*geo.LonDiff(180, lon) + 1000 }
	two := NewModel(grid(t, 179, -16, 0.01, 101, 101, ramp), grid(t, -180, -16, 0.01, 101, 101, ramp))
	one := NewModel(grid(t, 179, -16, 0.01, 201, 101, func(lon, lat float64) float64 { return 100*(lon-180) + 1000 }))
	for name, m := range map[string]*Model{"two tiles": two, "one tile across": one} {
		for _, c := range []struct{ lon, want float64 }{{179.5, 950}, {179.995, 999.5}, {180, 1000}, {-180, 1000}, {-179.995, 1000.5}, {-179.25, 1075}, {180.75, 1075}} {
			if h := m.Height(c.lon, -16.5); math.Abs(h-c.want) > 1e-3 {
				t.Errorf("%s: Height at %g E = %g, want %g", name, c.lon, h, c.want)
			}
		}
		for _, lon := range []float64{179.98, 180, -179.98} {
			// 100 m a degree of longitude, 106.8 km at 16.5 S (geod, WGS84): 0.000936.
			if s := m.Slope(lon, -16.5); math.Abs(s.East-100.0/106769) > 2e-6 || math.Abs(s.North) > 2e-6 {
				t.Errorf("%s: slope at %g E = %v", name, lon, s)
			}
		}
	}
}

// On a plane the slope is exact everywhere: 25 m a degree to the east and -40 to the north.
func TestSlopeOfAPlane(t *testing.T) {
	m := NewModel(grid(t, 20, 41, 0.001, 200, 200, func(lon, lat float64) float64 { return 2500*(lon-20) - 4000*(lat-41) }))
	lat := 40.9
	mer, nor := geo.Radii(lat)
	east := 2500 / (nor * math.Cos(lat*math.Pi/180) * math.Pi / 180)
	north := -4000 / (mer * math.Pi / 180)
	s := m.Slope(20.0777, lat)
	if math.Abs(s.East-east) > 1e-6 || math.Abs(s.North-north) > 1e-6 || s.Spread > 1e-6 || s.BendM > 1e-3 {
		t.Errorf("slope %+v, want east %g, north %g without spread and bend", s, east, north)
	}
	for _, c := range []struct{ bearing, along, across float64 }{
		{0, north, east}, {90, east, -north}, {180, -north, -east}, {270, -east, north},
	} {
		if a, b := s.Along(c.bearing), s.Across(c.bearing); math.Abs(a-c.along) > 1e-6 || math.Abs(b-c.across) > 1e-6 {
			t.Errorf("towards %g: along %g and across %g, want %g and %g", c.bearing, a, b, c.along, c.across)
		}
	}
	if math.Abs(s.Steepness()-math.Hypot(east, north)) > 1e-6 {
		t.Errorf("steepness %g", s.Steepness())
	}
	if s := m.Slope(20, 41); s.East == s.East {
		t.Errorf("slope %+v at the corner of the grid, want unknown", s)
	}
}

// Bilinear readings lie between the lowest and highest post of the cell, and the fast way agrees
// with the slow one.
func TestHeightsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cols, rows := rapid.IntRange(2, 9).Draw(t, "cols"), rapid.IntRange(2, 9).Draw(t, "rows")
		z := make([]float32, cols*rows)
		for i := range z {
			if z[i] = float32(rapid.IntRange(-400, 4000).Draw(t, "h")); rapid.IntRange(0, 9).Draw(t, "void") == 0 {
				z[i] = float32(nan)
			}
			if rapid.Bool().Draw(t, "half") {
				z[i] += 0.5
			}
		}
		tile, err := NewTile("", -70, -28, 0.25, 0.125, cols, rows, z)
		if err != nil {
			t.Fatal(err)
		}
		m := NewModel(tile)
		lowest, highest, known := tile.Range()
		var pts []orb.Point
		for range 30 {
			pts = append(pts, orb.Point{-70.2 + 0.25*float64(cols+1)*rapid.Float64Range(0, 1).Draw(t, "x"), -27.9 - 0.125*float64(rows+1)*rapid.Float64Range(0, 1).Draw(t, "y")})
		}
		for i, h := range m.Heights(nil, pts) {
			slow := m.Height(pts[i][0], pts[i][1])
			if (h == h) != (slow == slow) || math.Abs(h-slow) > 1e-9*math.Abs(slow)+1e-9 {
				t.Fatalf("at %v the fast way reads %g, the slow one %g", pts[i], h, slow)
			}
			if h == h && (!known || h < lowest-1e-9 || h > highest+1e-9) {
				t.Fatalf("at %v height %g lies outside %g..%g", pts[i], h, lowest, highest)
			}
		}
	})
}

func TestBadTiles(t *testing.T) {
	for _, c := range []struct {
		name                    string
		west, north, dLon, dLat float64
		cols, rows, n           int
	}{
		{"one column", 0, 10, 1, 1, 1, 5, 5}, {"no rows", 0, 10, 1, 1, 5, 0, 0}, {"too few heights", 0, 10, 1, 1, 3, 3, 8},
		{"step zero", 0, 10, 0, 1, 3, 3, 9}, {"step back", 0, 10, 1, -1, 3, 3, 9}, {"step NaN", 0, 10, nan, 1, 3, 3, 9},
		{"beyond the pole", 0, 95, 1, 1, 3, 3, 9}, {"beyond the south pole", 0, -88, 1, 1, 3, 4, 12},
		{"wider than the globe", -180, 10, 100, 1, 5, 3, 15}, {"corner NaN", nan, 10, 1, 1, 3, 3, 9},
	} {
		if _, err := NewTile("", c.west, c.north, c.dLon, c.dLat, c.cols, c.rows, make([]float32, c.n)); err == nil {
			t.Errorf("%s: accepted", c.name)
		}
	}
}

func TestCovers(t *testing.T) {
	m := NewModel(grid(t, 7, 47, 0.01, 101, 101, func(lon, lat float64) float64 { return 0 }),
		grid(t, 8, 47, 0.01, 101, 101, func(lon, lat float64) float64 { return 0 }))
	box := func(w, s, e, n float64) orb.Bound { return orb.Bound{Min: orb.Point{w, s}, Max: orb.Point{e, n}} }
	for _, c := range []struct {
		box  orb.Bound
		want bool
	}{{box(7.2, 46.1, 8.9, 46.9), true}, {box(7, 46, 9, 47), true}, {box(6.9, 46.1, 8, 46.5), false}, {box(7.5, 46.5, 9.2, 46.6), false}, {box(7.5, 45.8, 8, 46.6), false}} {
		if got := m.Covers(c.box); got != c.want {
			t.Errorf("Covers(%v) = %v", c.box, got)
		}
	}
}

func BenchmarkHeights(b *testing.B) {
	raw := posts(side3, func(c, r int) int16 { return int16(1000 + (c*7+r*13)%200) })
	tile, err := readHGT(raw, "N42E001.hgt")
	if err != nil {
		b.Fatal(err)
	}
	m := NewModel(tile)
	const n = 1 << 20
	rng := rand.New(rand.NewPCG(5, 6))
	track, spread := make([]orb.Point, n), make([]orb.Point, n)
	p, dir := orb.Point{1.5, 42.5}, 0.0
	for i := range track {
		dir += 0.1 * rng.NormFloat64()
		p[0] += 5e-5 * math.Cos(dir)
		p[1] += 5e-5 * math.Sin(dir)
		if p[0] < 1.01 || p[0] > 1.99 || p[1] < 42.01 || p[1] > 42.99 {
			dir = math.Atan2(42.5-p[1], 1.5-p[0])
		}
		track[i] = p
		spread[i] = orb.Point{1 + rng.Float64(), 42 + rng.Float64()}
	}
	dst := make([]float64, n)
	for _, c := range []struct {
		name string
		pts  []orb.Point
	}{{"track", track}, {"scattered", spread}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				dst = m.Heights(dst, c.pts)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/n, "ns/point")
		})
	}
	b.Run("slope", func(b *testing.B) {
		for b.Loop() {
			for _, p := range track[:1000] {
				m.Slope(p[0], p[1])
			}
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/1000, "ns/point")
	})
}
