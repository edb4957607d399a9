package contour

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"
)

func made(cols, rows int, h func(c, r float64) float64) Field {
	f := Field{Cols: cols, Rows: rows, HeightM: make([]float32, cols*rows), EastM: 30, NorthM: 30}
	for r := range rows {
		for c := range cols {
			f.HeightM[r*cols+c] = float32(h(float64(c), float64(r)))
		}
	}
	return f
}

func lines(t testing.TB, f Field, interval float64) []Line {
	t.Helper()
	l, err := Lines(f, interval)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// area is the signed area of a ring as seen on a map with north up, positive counter-clockwise.
func area(p orb.LineString) float64 {
	a := 0.0
	for i := 1; i < len(p); i++ {
		a += p[i][0]*-p[i-1][1] - p[i-1][0]*-p[i][1]
	}
	return -a / 2
}

// A cone of 100 m with 2 m fall a cell: the contour at height h is a circle of radius (100-h)/2.
func TestConeContoursAreCircles(t *testing.T) {
	f := made(121, 121, func(c, r float64) float64 { return 100 - 2*math.Hypot(c-60, r-60) })
	got := lines(t, f, 20)
	n := 0
	for _, l := range got {
		radius := (100 - l.HeightM) / 2
		if radius < 1 || radius > 59 {
			continue
		}
		n++
		if !l.Closed || l.Points[0] != l.Points[len(l.Points)-1] {
			t.Errorf("the contour at %g m is not closed", l.HeightM)
		}
		for _, p := range l.Points {
			// Linear interpolation along a cell's edge of a cone of radius r is off by at most 1/(8 r).
			if d := math.Abs(math.Hypot(p[0]-60, p[1]-60) - radius); d > 1/(8*radius)+1e-4 {
				t.Fatalf("a point of the %g m contour lies %.4f cells off its circle", l.HeightM, d)
			}
		}
		// The polygon of pieces lies within a cell's sagitta of the circle.
		want := math.Pi * radius * radius
		if a := area(l.Points); math.Abs(-a/want-1) > 0.5/radius/radius+1e-3 {
			t.Errorf("the %g m contour encloses %.1f cells clockwise, want %.1f: higher ground must lie to the right", l.HeightM, -a, want)
		}
	}
	if n != 5 { // radii 10 to 50; that of -20 m would touch the sides of the field
		t.Errorf("%d circles, want the five of 80, 60, 40, 20 and 0 m", n)
	}
}

// A plane's contours are straight: h = 3c + 4r has the line 3c + 4r = h.
func TestPlaneContoursAreStraight(t *testing.T) {
	f := made(40, 30, func(c, r float64) float64 { return 3*c + 4*r })
	got := lines(t, f, 10)
	// From 0 to 3*39 + 4*29 = 233: the multiples 10..230, and 0 touches only the corner.
	if len(got) != 23 {
		t.Errorf("%d lines, want 23", len(got))
	}
	for _, l := range got {
		if l.Closed {
			t.Errorf("the %g m line of a plane is closed", l.HeightM)
		}
		for _, p := range l.Points {
			if d := math.Abs(3*p[0] + 4*p[1] - l.HeightM); d > 1e-4 {
				t.Errorf("a point of the %g m line lies %g m off", l.HeightM, d)
			}
		}
		first, last := l.Points[0], l.Points[len(l.Points)-1]
		onEdge := func(p orb.Point) bool { return p[0] == 0 || p[1] == 0 || p[0] == 39 || p[1] == 29 }
		if !onEdge(first) || !onEdge(last) {
			t.Errorf("the %g m line begins at %v and ends at %v, not on the edge", l.HeightM, first, last)
		}
	}
}

// One cell with two high corners opposite each other: the mean decides which are joined.
func TestSaddleIsDecidedByTheMean(t *testing.T) {
	for _, c := range []struct {
		name           string
		nw, ne, sw, se float32
		joined         bool // the high corners
	}{
		{"high mean, nw and se high", 30, 8, 8, 30, true},
		{"low mean, nw and se high", 12, 0, 0, 12, false},
		{"high mean, ne and sw high", 8, 30, 30, 8, true},
		{"low mean, ne and sw high", 0, 12, 12, 0, false},
	} {
		f := Field{Cols: 2, Rows: 2, HeightM: []float32{c.nw, c.ne, c.sw, c.se}, EastM: 1, NorthM: 1}
		got := lines(t, f, 10)
		var at10 []Line
		for _, l := range got {
			if l.HeightM == 10 {
				at10 = append(at10, l)
			}
		}
		if len(at10) != 2 {
			t.Errorf("%s: %d lines at 10 m, want 2", c.name, len(at10))
			continue
		}
		for _, l := range at10 {
			// The middle of each piece lies near the corner it cuts off.
			m := orb.Point{(l.Points[0][0] + l.Points[1][0]) / 2, (l.Points[0][1] + l.Points[1][1]) / 2}
			corner := f.HeightM[int(math.Round(m[1]))*2+int(math.Round(m[0]))]
			if cutsLow := corner < 10; cutsLow != c.joined {
				t.Errorf("%s: a line cuts off the corner of %g m", c.name, corner)
			}
		}
	}
}

func TestContoursEndAtUnknownPosts(t *testing.T) {
	f := made(21, 5, func(c, r float64) float64 { return 10*r - 5 })
	f.HeightM[2*21+10] = float32(math.NaN())
	for _, l := range lines(t, f, 10) {
		for i := 1; i < len(l.Points); i++ {
			a, b := l.Points[i-1], l.Points[i]
			if min(a[0], b[0]) >= 9 && max(a[0], b[0]) <= 11 && a[1] > 1 && a[1] < 3 {
				t.Errorf("the %g m line crosses the hole from %v to %v", l.HeightM, a, b)
			}
		}
	}
}

func TestContourOddities(t *testing.T) {
	nan := float32(math.NaN())
	for _, c := range []struct {
		name string
		f    Field
		want int
	}{
		{"all unknown", Field{Cols: 2, Rows: 2, HeightM: []float32{nan, nan, nan, nan}}, 0},
		{"level at a contour's height", Field{Cols: 2, Rows: 2, HeightM: []float32{10, 10, 10, 10}}, 0},
		{"between two heights", Field{Cols: 2, Rows: 2, HeightM: []float32{11, 12, 13, 14}}, 0},
		{"a peak exactly at the height", made(3, 3, func(c, r float64) float64 { return 10 - 4*math.Hypot(c-1, r-1) }), 0},
	} {
		got := lines(t, c.f, 10)
		if len(got) != c.want {
			t.Errorf("%s: %d lines, want %d", c.name, len(got), c.want)
		}
	}
	for _, bad := range []float64{0, -5, math.NaN(), math.Inf(1), 1e-9} {
		if _, err := Lines(made(3, 3, func(c, r float64) float64 { return 100 * c }), bad); err == nil {
			t.Errorf("an interval of %g was accepted", bad)
		}
	}
}

// On any field: every point lies on the surface at its height, lines end only on the rim or
// beside holes, and closed lines close.
func TestContourPointsLieOnTheSurface(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cols, rows := rapid.IntRange(2, 12).Draw(t, "cols"), rapid.IntRange(2, 12).Draw(t, "rows")
		f := Field{Cols: cols, Rows: rows, EastM: 1, NorthM: 1}
		for range cols * rows {
			f.HeightM = append(f.HeightM, float32(rapid.IntRange(-20, 20).Draw(t, "h")))
		}
		got, err := Lines(f, 5)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range got {
			for _, p := range l.Points {
				c, r := math.Floor(p[0]), math.Floor(p[1])
				fx, fy := p[0]-c, p[1]-r
				if fx != 0 && fy != 0 {
					t.Fatalf("point %v is on no edge", p)
				}
				at := func(c, r float64) float64 {
					return float64(f.HeightM[int(min(r, float64(rows-1)))*cols+int(min(c, float64(cols-1)))])
				}
				h := at(c, r)*(1-fx)*(1-fy) + at(c+1, r)*fx*(1-fy) + at(c, r+1)*(1-fx)*fy
				if math.Abs(h-l.HeightM) > 1e-9 {
					t.Fatalf("point %v of the %g m line lies at %g m", p, l.HeightM, h)
				}
			}
			ends := []orb.Point{l.Points[0], l.Points[len(l.Points)-1]}
			if l.Closed && ends[0] != ends[1] {
				t.Fatalf("a closed line runs from %v to %v", ends[0], ends[1])
			}
			for _, p := range ends {
				if !l.Closed && p[0] != 0 && p[1] != 0 && p[0] != float64(cols-1) && p[1] != float64(rows-1) {
					t.Fatalf("an open line ends at %v inside the field", p)
				}
			}
		}
	})
}

func BenchmarkLines(b *testing.B) {
	f := made(1201, 1201, func(c, r float64) float64 {
		return 400*math.Sin(c/90)*math.Cos(r/70) + 30*math.Sin(c/9+r/13)
	})
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Lines(f, 50); err != nil {
			b.Fatal(err)
		}
	}
}
