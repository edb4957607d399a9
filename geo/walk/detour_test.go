package walk

import (
	"bytes"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/height"
)

// sharedModel reads a tile of the shared open data, which is not part of the repository, or skips.
func sharedModel(t testing.TB, name string) *height.Model {
	t.Helper()
	dir := os.Getenv("LASTROAD_SHARED")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared")
	}
	b, err := os.ReadFile(filepath.Join(dir, "data", name))
	if err != nil {
		t.Skipf("the shared open data are not here (set LASTROAD_SHARED): %v", err)
	}
	tile, err := height.ReadHGT(bytes.NewReader(b), int64(len(b)), name)
	if err != nil {
		t.Fatal(err)
	}
	return height.NewModel(tile)
}

// How much longer walking out takes than a straight level line, on three kinds of ground.
func TestDetour(t *testing.T) {
	for _, c := range []struct {
		name, file       string
		box              orb.Bound
		median, oneIn20  float64 // measured
		toMedian, toLast float64 // tolerance: other places of the same ground differ by so much
	}{
		{"mountains of Andorra", "N42E001.hgt.zip", orb.Bound{Min: orb.Point{1.4, 42.4}, Max: orb.Point{1.8, 42.7}}, 1.65, 2.1, 0.1, 0.2},
		{"Judean desert", "N31E035.hgt.zip", orb.Bound{Min: orb.Point{35.05, 31.1}, Max: orb.Point{35.35, 31.9}}, 1.12, 1.32, 0.06, 0.1},
		{"dry hills in Chile", "S29W072.hgt.zip", orb.Bound{Min: orb.Point{-71.15, -28.95}, Max: orb.Point{-71.02, -28.3}}, 1.35, 1.65, 0.1, 0.15},
	} {
		g, err := NewGrid(c.box, 60, DefaultMaxCells, sharedModel(t, c.file))
		if err != nil {
			t.Fatal(err)
		}
		rng := rand.New(rand.NewPCG(1, 2))
		place := func() orb.Point {
			return orb.Point{c.box.Min[0] + rng.Float64()*(c.box.Max[0]-c.box.Min[0]), c.box.Min[1] + rng.Float64()*(c.box.Max[1]-c.box.Min[1])}
		}
		var ratio []float64
		for range 6 {
			road := place()
			l := NewLand(g)
			l.RoadPoint(road)
			r := surface(t, l, Options{})
			for range 3000 {
				p := place()
				if d := geo.Distance(road, p); d > 1000 && d < 15000 {
					if m := r.Minutes(p[0], p[1]); m == m {
						ratio = append(ratio, m/(Straight(d)/Detour))
					}
				}
			}
		}
		slices.Sort(ratio)
		n := len(ratio)
		median, last := ratio[n/2], ratio[n*95/100]
		t.Logf("%s: %d places, 5 %% %.2f, median %.2f, 95 %% %.2f", c.name, n, ratio[n/20], median, last)
		if math.Abs(median-c.median) > c.toMedian || math.Abs(last-c.oneIn20) > c.toLast {
			t.Errorf("%s: median %.2f and 95 %% %.2f, measured %.2f and %.2f", c.name, median, last, c.median, c.oneIn20)
		}
		if median < DetourLow || median > DetourHigh {
			t.Errorf("%s: the median %.2f lies outside the band of Detour", c.name, median)
		}
	}
}

func TestGridOfAModel(t *testing.T) {
	m := sharedModel(t, "N42E001.hgt.zip")
	box := orb.Bound{Min: orb.Point{1.45, 42.45}, Max: orb.Point{1.75, 42.65}}
	g, err := NewGrid(box, 60, DefaultMaxCells, m)
	if err != nil {
		t.Fatal(err)
	}
	// 0.3 degree at 42.55 N is 24.6 km, 0.2 degree 22.2 km (geod, WGS84).
	if g.CellM != 60 || math.Abs(float64(g.Cols)-24640/60.0) > 3 || math.Abs(float64(g.Rows)-22216/60.0) > 3 {
		t.Errorf("%d x %d cells of %g m", g.Cols, g.Rows, g.CellM)
	}
	for _, c := range [][2]int{{0, 0}, {100, 200}, {g.Cols - 1, g.Rows - 1}} {
		p := g.Middle(c[0], c[1])
		if got, want := float64(g.HeightM[c[1]*g.Cols+c[0]]), m.Height(p[0], p[1]); math.Abs(got-want) > 1e-3 {
			t.Errorf("cell %v has height %g, the model %g", c, got, want)
		}
		if col, row, ok := g.Cell(p); !ok || col != c[0] || row != c[1] {
			t.Errorf("the middle of cell %v lies in cell %d, %d", c, col, row)
		}
		a, b := g.Middle(c[0], c[1]), g.Middle(c[0]+1, c[1])
		if d := geo.Distance(a, b); math.Abs(d/g.eastM[c[1]]-1) > 1e-5 {
			t.Errorf("row %d: cells are %.4f m wide, geodesic %.4f", c[1], g.eastM[c[1]], d)
		}
		if d := geo.Distance(a, g.Middle(c[0], c[1]+1)); math.Abs(d/g.northM-1) > 1e-4 {
			t.Errorf("row %d: cells are %.4f m high, geodesic %.4f", c[1], g.northM, d)
		}
	}
	small, err := NewGrid(box, 60, 5000, m)
	if err != nil {
		t.Fatal(err)
	}
	if small.Cols*small.Rows > 5000 || small.Cols*small.Rows < 4000 || small.CellM < 300 {
		t.Errorf("%d x %d cells of %g m with room for 5000", small.Cols, small.Rows, small.CellM)
	}
}
