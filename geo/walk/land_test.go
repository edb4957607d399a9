package walk

import (
	"context"
	"errors"
	"math"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"
)

// at is a place of a plane grid in columns and rows, whole numbers at the middles of cells.
func at(g *Grid, col, row float64) orb.Point {
	return orb.Point{col * g.dLon, -row * g.dLat}
}

func line(g *Grid, colRow ...float64) orb.LineString {
	var l orb.LineString
	for i := 0; i < len(colRow); i += 2 {
		l = append(l, at(g, colRow[i], colRow[i+1]))
	}
	return l
}

func flat(cols, rows int) *Grid {
	return plane(cols, rows, 50, func(x, y float64) float64 { return 0 })
}

// A closed ring of barrier, however it lies across the cells, lets nobody through.
func TestBarriersDoNotLeak(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := flat(40, 40)
		l := NewLand(g)
		n := rapid.IntRange(3, 14).Draw(t, "corners")
		var ring []float64
		turn := rapid.Float64Range(0, 7).Draw(t, "turn")
		least := math.Inf(1)
		for i := range n {
			r := rapid.Float64Range(6, 17).Draw(t, "radius")
			a := turn + 2*math.Pi*float64(i)/float64(n)
			ring = append(ring, 20+r*math.Cos(a), 20+r*math.Sin(a))
			least = min(least, r)
		}
		ring = append(ring, ring[0], ring[1])
		l.Barrier(line(g, ring...))
		l.RoadPoint(at(g, 20, 20))
		r := surface(t, l, Options{EightOnly: rapid.Bool().Draw(t, "eight")})
		for _, c := range [][2]int{{0, 0}, {39, 0}, {0, 39}, {39, 39}, {20, 1}, {1, 20}} {
			if m := r.CellMinutes(c[0], c[1]); m == m {
				t.Fatalf("cell %v is reached in %g minutes through a closed barrier %v", c, m, ring)
			}
		}
		// A way opens it, and only along itself.
		l.Way(line(g, 20, 20, 39, 20))
		r = surface(t, l, Options{})
		if m := r.CellMinutes(0, 0); m != m {
			t.Fatal("a way through the barrier opens nothing")
		}
		for _, p := range r.Path(g.Middle(39, 20)[0], g.Middle(39, 20)[1]) {
			if _, row, _ := g.Cell(p); row != 20 {
				t.Fatalf("the way out from the end of the way leaves it at %v", p)
			}
		}
	})
}

// A wall between start and road makes a detour of known length round its end; a gap or a bridge in
// the way makes none.
func TestDetourRoundAWall(t *testing.T) {
	g := flat(41, 41)
	free := NewLand(g)
	free.RoadPoint(at(g, 20, 10))
	direct := surface(t, free, Options{}).CellMinutes(20, 30)

	wall := NewLand(g)
	wall.RoadPoint(at(g, 20, 10))
	wall.Barrier(line(g, -5, 20.3, 30, 20.3))
	// By the wall's end between column 30 and 31: 10 rows and 11 columns each way, at 45 degrees but one
	// step: 10 diagonals and 1 straight, and once more less the row of the wall.
	r := surface(t, wall, Options{})
	got := r.CellMinutes(20, 30)
	least := 2 * math.Hypot(10.5, 10) * 50 * level
	if got < least || got > least*1.04 {
		t.Errorf("round the wall %.1f minutes, want %.1f and up to 4 %% more for the steps' directions", got, least)
	}
	for _, p := range r.Path(at(g, 20, 30)[0], at(g, 20, 30)[1]) {
		if x, y := g.position(p); math.Abs(y-20.3) < 0.5 && x < 29 {
			t.Errorf("the way out passes the wall at %.0f, %.0f", x, y)
		}
	}
	wall.Way(line(g, 20, 25, 20, 15))
	if got := surface(t, wall, Options{}).CellMinutes(20, 30); got >= direct {
		t.Errorf("over the bridge %.1f minutes, want less than %.1f: ways are faster", got, direct)
	}
}

func TestAreasAreClosedAndHolesOpen(t *testing.T) {
	g := flat(60, 60)
	l := NewLand(g)
	ring := func(a, b float64) orb.Ring { return orb.Ring(line(g, a, a, b, a, b, b, a, b, a, a)) }
	l.Area(orb.Polygon{ring(10.2, 40.2), ring(20.3, 30.3)}) // a lake with an island
	l.RoadPoint(at(g, 2, 2))
	r := surface(t, l, Options{})
	for row := range g.Rows {
		for col := range g.Cols {
			in := col >= 11 && col <= 40 && row >= 11 && row <= 40
			if m := r.CellMinutes(col, row); (m == m) == in {
				t.Fatalf("cell %d, %d: %g minutes; in the lake or on the island: %v", col, row, m, in)
			}
		}
	}
	// With a causeway the island is reached, and the water on both sides is not.
	l.Way(line(g, 2, 25, 25, 25))
	r = surface(t, l, Options{})
	if m := r.CellMinutes(25, 25); m != m {
		t.Error("the island is not reached by the causeway")
	}
	if m := r.CellMinutes(15, 27); m == m {
		t.Errorf("open water is reached in %g minutes", m)
	}
	// A pond smaller than a cell still stops the steps that cross it.
	p := NewLand(g)
	p.Area(orb.Polygon{orb.Ring(line(g, 4.3, 4.3, 4.7, 4.3, 4.7, 4.7, 4.3, 4.7, 4.3, 4.3))})
	p.RoadPoint(at(g, 4, 4))
	if got, want := surface(t, p, Options{EightOnly: true}).CellMinutes(5, 5), 2*50*level; math.Abs(got-want) > 1e-3 {
		t.Errorf("round the pond %.3f minutes, want %.3f by two straight steps", got, want)
	}
}

func TestRoadsAndWays(t *testing.T) {
	g := flat(50, 50)
	l := NewLand(g)
	l.Road(line(g, -10, 10.25, 100, 10.25)) // clipped to the grid, a quarter of a cell below the middles
	r := surface(t, l, Options{})
	for _, c := range []struct {
		row   int
		cells float64
	}{{10, 0.25}, {20, 9.75}, {0, 10.25}, {11, 0.75}} {
		if got, want := r.CellMinutes(25, c.row), c.cells*50*level; math.Abs(got-want) > 0.005*want {
			t.Errorf("row %d: %.4f minutes, want %.4f", c.row, got, want)
		}
	}
	// A path is walked at 1/0.6 of the speed: Tobler's level pace, whatever its direction.
	for _, c := range []struct{ col, row float64 }{{40, 5}, {40, 25}, {33, 16.5}, {17, 39.2}} {
		l = NewLand(g)
		l.RoadPoint(at(g, 0, 5))
		l.Way(line(g, 0, 5, c.col/3, 5+(c.row-5)/3, c.col, c.row))
		r = surface(t, l, Options{})
		length := math.Hypot(c.col, c.row-5) * 50
		if got, want := float64(r.cells[len(r.cells)-1].secs), length*Tobler(0); math.Abs(got/want-1) > 1e-4 {
			t.Errorf("to %g, %g along the path %.2f s, want %.2f", c.col, c.row, got, want)
		}
	}
	// Two paths that share a point are joined there, two that only cross are too far from nobody: the
	// ground between is walked.
	l = NewLand(g)
	l.RoadPoint(at(g, 0, 25))
	l.Way(line(g, 0, 25, 20, 25))
	l.Way(line(g, 20, 25, 20, 45))
	r = surface(t, l, Options{})
	if got, want := r.CellMinutes(20, 45), 40*50*level*0.6; math.Abs(got/want-1) > 1e-4 {
		t.Errorf("along two paths %.3f minutes, want %.3f", got, want)
	}
	// Outside the grid nothing is marked.
	l = NewLand(g)
	l.Road(line(g, -10, -10, -20, -20))
	l.RoadPoint(at(g, 70, 70))
	l.Road(orb.LineString{{math.NaN(), 0}, {0, math.NaN()}})
	l.Road(nil)
	if _, err := Surface(context.Background(), l, Options{}); !errors.Is(err, ErrNoRoad) {
		t.Errorf("with roads elsewhere: error %v, want ErrNoRoad", err)
	}
}

// A river with a road on its north bank and a path on its south bank, all within a cell: who stands
// south must not step through, neither on to the road nor by way of path and road in one cell.
func TestBanksOfARiver(t *testing.T) {
	g := flat(40, 30)
	river := func(dy float64) []float64 {
		var l []float64
		for x := -1.0; x <= 40; x++ {
			l = append(l, x, 15.1+dy+0.8*math.Sin(x/3))
		}
		return l
	}
	l := NewLand(g)
	l.Barrier(line(g, river(0)...))
	l.Road(line(g, river(-0.2)...)) // north
	l.Way(line(g, river(0.2)...))   // south
	r := surface(t, l, Options{})
	for col := range 40 {
		if m := r.CellMinutes(col, 25); m == m {
			t.Fatalf("column %d: the road over the river is reached in %g minutes", col, m)
		}
		if m := r.CellMinutes(col, 5); !(m < 12*50*level) {
			t.Fatalf("column %d: the road on this side takes %g minutes", col, m)
		}
	}
	// A bridge at column 30 lets them over, and the path on their bank leads there at full pace.
	l.Way(line(g, 30, 15.3+0.8*math.Sin(10), 30, 14.9+0.8*math.Sin(10)))
	r = surface(t, l, Options{})
	here, there := r.CellMinutes(30, 25), r.CellMinutes(5, 25)
	if !(here < 12*50*level && there > here+20*50*level*0.6 && there < here+30*50*level) {
		t.Errorf("over the bridge %g minutes from beside it and %g from 25 cells off", here, there)
	}
}
