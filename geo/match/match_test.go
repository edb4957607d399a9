package match

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"

	"lastroad/geo"
)

// origins place the little drawings of the rows: metres on a plane at 20 degrees north. The second origin
// puts the antimeridian through the middle of every drawing.
var origins = []orb.Point{{15, 20}, {180, -17}, {-70.5, -28.9999}}

type drawn struct {
	xy    [][2]float64 // metres
	nodes []int64      // 0 = an id of its own
	one   int8
	doubt float64
}

func draw(origin orb.Point, lines []drawn) []Way {
	pl := geo.NewPlane(origin)
	var out []Way
	own := int64(1000)
	for _, l := range lines {
		w := Way{OneWay: l.one, Doubt: l.doubt}
		for i, p := range l.xy {
			w.Line = append(w.Line, pl.FromXY(p[0], p[1]))
			id := int64(0)
			if i < len(l.nodes) {
				id = l.nodes[i]
			}
			if id == 0 {
				own++
				id = own
			}
			w.Nodes = append(w.Nodes, id)
		}
		out = append(out, w)
	}
	return out
}

func walked(origin orb.Point, xy [][2]float64, step float64) []Point {
	pl := geo.NewPlane(origin)
	var line orb.LineString
	for _, p := range xy {
		line = append(line, pl.FromXY(p[0], p[1]))
	}
	cum := geo.Cumulative(nil, line)
	var pts []Point
	for _, s := range geo.Stations(nil, line, step) {
		t := float64(s.T)
		pts = append(pts, Point{At: s.At(), AlongM: s.DistanceM, GapM: math.Min(t, 1-t) * (cum[s.Seg+1] - cum[s.Seg])})
	}
	return pts
}

func TestMatchRows(t *testing.T) {
	for _, row := range []struct {
		name  string
		ways  []drawn
		route [][2]float64
		want  string // the ways in the order of driving, one letter a run; "-" = on none
	}{
		{"no ways", nil, [][2]float64{{0, 0}, {500, 0}}, "-"},
		{"along one", []drawn{{xy: [][2]float64{{-100, 0}, {600, 0}}}}, [][2]float64{{0, 3}, {500, -3}}, "a"},
		{"far from any", []drawn{{xy: [][2]float64{{-100, 150}, {600, 150}}}}, [][2]float64{{0, 0}, {500, 0}}, "-"},
		{"a crossing road does not steal", []drawn{
			{xy: [][2]float64{{-100, 0}, {250, 0}, {600, 0}}, nodes: []int64{0, 1, 0}},
			{xy: [][2]float64{{250, -300}, {250, 0}, {250, 300}}, nodes: []int64{0, 1, 0}}},
			[][2]float64{{0, 4}, {500, 4}}, "a"},
		{"crossing a road in open ground", []drawn{{xy: [][2]float64{{250, -300}, {250, 300}}}}, [][2]float64{{0, 0}, {500, 0}}, "-"},
		{"a bridge over the way does not steal", []drawn{
			{xy: [][2]float64{{-100, 0}, {600, 0}}},
			{xy: [][2]float64{{200, -30}, {300, 30}}}},
			[][2]float64{{0, 2}, {500, 2}}, "a"},
		{"turn at a junction", []drawn{
			{xy: [][2]float64{{-100, 0}, {250, 0}, {600, 0}}, nodes: []int64{0, 1, 0}},
			{xy: [][2]float64{{250, 0}, {250, 300}}, nodes: []int64{1, 0}}},
			[][2]float64{{0, 2}, {250, 0}, {252, 250}}, "ab"},
		{"the farther of two parallel ways, since it is the one joined", []drawn{
			{xy: [][2]float64{{-200, 0}, {0, 0}}, nodes: []int64{0, 1}},
			{xy: [][2]float64{{0, 0}, {800, 0}}, nodes: []int64{1, 2}},
			{xy: [][2]float64{{100, 12}, {700, 12}}},
			{xy: [][2]float64{{800, 0}, {1000, 0}}, nodes: []int64{2, 0}}},
			[][2]float64{{-150, 0}, {0, 0}, {300, 5}, {500, 5}, {800, 0}, {950, 0}}, "abd"},
		{"the carriageway of one's own direction", []drawn{
			{xy: [][2]float64{{0, 0}, {800, 0}}, one: 1},
			{xy: [][2]float64{{800, 8}, {0, 8}}, one: 1}},
			[][2]float64{{10, 4.5}, {790, 4.5}}, "a"},
		{"out and back", []drawn{{xy: [][2]float64{{0, 0}, {400, 0}}, nodes: []int64{1, 2}}, {xy: [][2]float64{{400, 0}, {700, 0}}, nodes: []int64{2, 3}}},
			[][2]float64{{0, 1}, {650, 1}, {0, -1}}, "aba"},
		{"a round on a loop", []drawn{{xy: [][2]float64{{0, 0}, {300, 0}, {300, 300}, {0, 300}, {0, 0}}, nodes: []int64{1, 0, 0, 0, 1}},
			{xy: [][2]float64{{-300, 0}, {0, 0}}, nodes: []int64{0, 1}}},
			[][2]float64{{-200, 0}, {0, 0}, {300, 0}, {300, 300}, {0, 300}, {0, 0}, {-200, 0}}, "bab"},
		{"hairpins", []drawn{{xy: [][2]float64{{0, 0}, {400, 0}, {420, 12}, {400, 24}, {0, 24}, {-20, 36}, {0, 48}, {400, 48}}}},
			[][2]float64{{0, 0}, {400, 0}, {420, 12}, {400, 24}, {0, 24}, {-20, 36}, {0, 48}, {400, 48}}, "a"},
		{"leaving and coming back", []drawn{{xy: [][2]float64{{-500, 0}, {2500, 0}}}},
			[][2]float64{{-400, 0}, {400, 0}, {600, 200}, {1400, 200}, {1600, 0}, {2400, 0}}, "a-a"},
		{"a tunnel that the recorded line cuts short", []drawn{
			{xy: [][2]float64{{-400, 0}, {0, 0}}, nodes: []int64{0, 1}},
			{xy: [][2]float64{{0, 0}, {300, 60}, {700, 60}, {1000, 0}}, nodes: []int64{1, 0, 0, 2}},
			{xy: [][2]float64{{1000, 0}, {1400, 0}}, nodes: []int64{2, 0}}},
			[][2]float64{{-350, 0}, {-200, 0}, {0, 0}, {1000, 0}, {1200, 0}, {1350, 0}}, "abc"},
		{"a gap between two ways that should be joined", []drawn{
			{xy: [][2]float64{{-400, 0}, {0, 0}}}, {xy: [][2]float64{{9, 0}, {400, 0}}}},
			[][2]float64{{-350, 0}, {350, 0}}, "ab"},
		{"a footpath beside the track", []drawn{
			{xy: [][2]float64{{0, 6}, {800, 6}}, doubt: 2}, {xy: [][2]float64{{0, -6}, {800, -6}}}},
			[][2]float64{{10, 0}, {790, 0}}, "b"},
		{"a way of one point and a way without its nodes are left out", []drawn{
			{xy: [][2]float64{{100, 0}}}, {xy: [][2]float64{{0, 0}, {500, 0}}}},
			[][2]float64{{0, 0}, {500, 0}}, "b"},
	} {
		for _, origin := range origins {
			ways := draw(origin, row.ways)
			pts := walked(origin, row.route, 20)
			found := run(t, &land{ways: ways}, pts, nil)
			got := ""
			for i, f := range found {
				c := "-"
				if f.Way >= 0 {
					c = string(rune('a' + f.Way))
					if at := placeOf(ways[f.Way].Line, f); math.Abs(geo.Distance(at, pts[i].At)-f.OffM) > 0.05 {
						t.Errorf("%s: point %d lies %.2f m from its place on the way, said to be %.2f m", row.name, i, geo.Distance(at, pts[i].At), f.OffM)
					}
				}
				if got == "" || got[len(got)-1:] != c {
					got += c
				}
			}
			if got != row.want {
				t.Errorf("%s at %v: the route follows %q, want %q", row.name, origin, got, row.want)
			}
		}
	}
}

func placeOf(line orb.LineString, f Found) orb.Point {
	a, b := line[f.Seg], line[f.Seg+1]
	return orb.Point{a[0] + f.T*geo.LonDiff(a[0], b[0]), a[1] + f.T*(b[1]-a[1])}
}

func TestMatchOfNothing(t *testing.T) {
	g := NewGraph(nil, nil)
	if f, err := Match(context.Background(), g, nil, Options{}, nil); len(f) != 0 || err != nil {
		t.Errorf("no points give %v, %v", f, err)
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	ways := draw(origins[0], []drawn{{xy: [][2]float64{{0, 0}, {500, 0}}}})
	pts := walked(origins[0], [][2]float64{{0, 0}, {500, 0}}, 20)
	if _, err := Match(ctx, NewGraph(ways, pts), pts, Options{}, nil); err == nil {
		t.Error("a cancelled match goes on")
	}
}

// TestReversed: on ways open both ways, the route driven backwards follows the same ways.
func TestReversed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pl := geo.NewPlane(origins[0])
		var ways []Way
		n := rapid.IntRange(2, 5).Draw(t, "grid")
		id := func(i, j int) int64 { return int64(1 + i*10 + j) }
		at := func(i, j int) orb.Point { return pl.FromXY(float64(i)*170, float64(j)*130) }
		for i := 0; i < n; i++ {
			for j := 0; j < n; j++ {
				if i+1 < n {
					ways = append(ways, Way{Line: orb.LineString{at(i, j), at(i+1, j)}, Nodes: []int64{id(i, j), id(i+1, j)}})
				}
				if j+1 < n {
					ways = append(ways, Way{Line: orb.LineString{at(i, j), at(i, j+1)}, Nodes: []int64{id(i, j), id(i, j+1)}})
				}
			}
		}
		i, j := 0, 0
		line := orb.LineString{at(0, 0)}
		for k := rapid.IntRange(2, 12).Draw(t, "steps"); k > 0; k-- {
			switch rapid.IntRange(0, 3).Draw(t, "to") {
			case 0:
				i = min(n-1, i+1)
			case 1:
				i = max(0, i-1)
			case 2:
				j = min(n-1, j+1)
			default:
				j = max(0, j-1)
			}
			if p := at(i, j); p != line[len(line)-1] {
				line = append(line, p)
			}
		}
		if len(line) < 2 {
			return
		}
		var pts []Point
		for _, s := range geo.Stations(nil, line, 10) {
			pts = append(pts, Point{At: s.At(), AlongM: s.DistanceM})
		}
		end := pts[len(pts)-1].AlongM
		back := make([]Point, len(pts))
		for k, p := range pts {
			back[len(pts)-1-k] = Point{At: p.At, AlongM: end - p.AlongM}
		}
		g := NewGraph(ways, pts)
		a, err := Match(context.Background(), g, pts, Options{}, nil)
		if err != nil {
			t.Fatal(err)
		}
		b, err := Match(context.Background(), g, back, Options{}, nil)
		if err != nil {
			t.Fatal(err)
		}
		differ := 0
		for k := range a {
			if a[k].Way != b[len(b)-1-k].Way {
				differ++
			}
		}
		// Only points on a junction itself, which lie on two ways, may differ: one a corner of the line.
		if differ > len(line) {
			t.Fatalf("%d of %d points follow another way when driven backwards, over %d corners", differ, len(a), len(line))
		}
	})
}

func ExampleMatch() {
	pl := geo.NewPlane(orb.Point{15, 20})
	ways := []Way{
		{Line: orb.LineString{pl.FromXY(0, 0), pl.FromXY(400, 0)}, Nodes: []int64{1, 2}},
		{Line: orb.LineString{pl.FromXY(400, 0), pl.FromXY(400, 400)}, Nodes: []int64{2, 3}},
	}
	var points []Point
	for _, s := range geo.Stations(nil, orb.LineString{pl.FromXY(0, 5), pl.FromXY(402, 5), pl.FromXY(402, 300)}, 100) {
		points = append(points, Point{At: s.At(), AlongM: s.DistanceM})
	}
	found, err := Match(context.Background(), NewGraph(ways, points), points, Options{}, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, f := range found {
		fmt.Printf("way %d at %.0f m, %.0f m off\n", f.Way, f.AlongM, f.OffM)
	}
	// Output:
	// way 0 at 0 m, 5 m off
	// way 0 at 100 m, 5 m off
	// way 0 at 200 m, 5 m off
	// way 0 at 300 m, 5 m off
	// way 1 at 5 m, 0 m off
	// way 1 at 103 m, 2 m off
	// way 1 at 203 m, 2 m off
	// way 1 at 300 m, 2 m off
}

// TestWrongWay: each edge driven against its way's direction counts as longer, and only such edges.
func TestWrongWay(t *testing.T) {
	origin := origins[0]
	for _, row := range []struct {
		name     string
		line     [][2]float64
		nodes    []int64
		one      int8
		on, back float64 // more than the length, with 7 m for an edge
	}{
		{"both ways", [][2]float64{{100, 0}, {150, 0}, {200, 0}}, []int64{1, 3, 2}, 0, 0, 0},
		{"with its line", [][2]float64{{100, 0}, {150, 0}, {200, 0}}, []int64{1, 3, 2}, 1, 0, 14},
		{"against its line", [][2]float64{{100, 0}, {150, 0}, {200, 0}}, []int64{1, 3, 2}, -1, 14, 0},
		{"drawn the other way", [][2]float64{{200, 0}, {150, 0}, {100, 0}}, []int64{2, 3, 1}, 1, 14, 0},
	} {
		ways := draw(origin, []drawn{
			{xy: [][2]float64{{0, 0}, {100, 0}}, nodes: []int64{0, 1}},
			{xy: row.line, nodes: row.nodes, one: row.one},
			{xy: [][2]float64{{150, 0}, {150, 50}}, nodes: []int64{3, 0}}, // cuts the one above in two
			{xy: [][2]float64{{200, 0}, {300, 0}}, nodes: []int64{2, 0}},
		})
		g := NewGraph(ways, walked(origin, [][2]float64{{0, 0}, {300, 0}}, 25))
		var first, last candidate
		for i, e := range g.edges {
			switch e.way {
			case 0:
				first = candidate{edge: int32(i), q: 60}
			case 3:
				last = candidate{edge: int32(i), q: 60}
			}
		}
		s := &search{wrong: 7}
		s.init(g)
		for _, try := range []struct {
			a, b candidate
			want float64
		}{{first, last, 200 + row.on}, {last, first, 200 + row.back}} {
			s.from(&try.a, []candidate{try.b}, 1000)
			if d := s.reach(&try.a, &try.b); math.Abs(d-try.want) > 1e-3 {
				t.Errorf("%s: %.4f m, want %g", row.name, d, try.want)
			}
		}
		// From a place on the one-way way itself.
		for i, e := range g.edges {
			if e.way != 1 || e.u != g.edges[first.edge].v && e.v != g.edges[first.edge].v {
				continue
			}
			c := candidate{edge: int32(i), q: 20}
			m := 20.0
			if e.v == g.edges[first.edge].v {
				m = 30
			}
			s.from(&c, []candidate{first}, 1000)
			if d, want := s.reach(&c, &first), m+40+row.back/2; math.Abs(d-want) > 1e-3 {
				t.Errorf("%s, from within: %.4f m, want %g", row.name, d, want)
			}
			s.from(&first, []candidate{c}, 1000)
			if d, want := s.reach(&first, &c), m+40+row.on/2; math.Abs(d-want) > 1e-3 {
				t.Errorf("%s, into it: %.4f m, want %g", row.name, d, want)
			}
		}
	}
}

// TestAnyLine: whatever a line does over streets, also where it only scatters on the spot, each of its points gets a place on a
// way or none, and the same again.
func TestAnyLine(t *testing.T) {
	ways := draw(origins[0], []drawn{
		{xy: [][2]float64{{-200, 0}, {0, 0}, {200, 0}}, nodes: []int64{1, 2, 3}},
		{xy: [][2]float64{{0, 0}, {0, 60}, {90, 60}}, nodes: []int64{2, 4, 5}},
		{xy: [][2]float64{{90, 60}, {200, 0}}, nodes: []int64{5, 3}, one: 1},
		{xy: [][2]float64{{0, 60}, {20, 90}, {0, 120}, {-20, 90}, {0, 60}}, nodes: []int64{4, 6, 7, 8, 4}},
		{xy: [][2]float64{{-150, 12}, {150, 12}}},
	})
	rapid.Check(t, func(t *rapid.T) {
		wide := rapid.SampledFrom([]float64{0, 4, 15, 60, 200}).Draw(t, "wide")
		x, y := 0.0, 0.0
		var xy [][2]float64
		for k := rapid.IntRange(2, 60).Draw(t, "points"); k > 0; k-- {
			if wide > 0 {
				x += rapid.Float64Range(-wide, wide).Draw(t, "x")
				y += rapid.Float64Range(-wide, wide).Draw(t, "y")
			}
			if math.Abs(x)+math.Abs(y) > 300 {
				x, y = 0, 0
			}
			xy = append(xy, [2]float64{x + 9*rapid.Float64Range(-1, 1).Draw(t, "noise x"), y + 9*rapid.Float64Range(-1, 1).Draw(t, "noise y")})
		}
		pl := geo.NewPlane(origins[0])
		var line orb.LineString
		for _, p := range xy {
			line = append(line, pl.FromXY(p[0], p[1]))
		}
		pts := walked(origins[0], xy, rapid.SampledFrom([]float64{3, 25, 100}).Draw(t, "step"))
		g := NewGraph(ways, pts)
		found, err := Match(context.Background(), g, pts, Options{Line: line}, nil)
		if err != nil || len(found) != len(pts) {
			t.Fatalf("%d places for %d points, %v", len(found), len(pts), err)
		}
		again, _ := Match(context.Background(), g, pts, Options{Line: line}, nil)
		for i, f := range found {
			switch {
			case f.Way < -1 || int(f.Way) >= len(ways):
				t.Fatalf("point %d lies on way %d of %d", i, f.Way, len(ways))
			case f.Way >= 0 && (f.Seg < 0 || int(f.Seg)+1 >= len(ways[f.Way].Line) || !(f.T >= 0 && f.T <= 1) || !(f.OffM >= 0)):
				t.Fatalf("point %d lies at %+v, which is no place on its way", i, f)
			case f.Way >= 0 && f != again[i]:
				t.Fatalf("point %d lies at %+v, and at %+v when asked again", i, f, again[i])
			}
		}
	})
}
