package walk

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/paulmach/orb"
)

func TestBadGrids(t *testing.T) {
	box := orb.Bound{Min: orb.Point{1, 42}, Max: orb.Point{1.1, 42.1}}
	for _, c := range []struct {
		name  string
		box   orb.Bound
		cellM float64
		most  int
	}{
		{"cell zero", box, 0, 1000}, {"cell negative", box, -5, 1000}, {"cell NaN", box, math.NaN(), 1000},
		{"cell infinite", box, math.Inf(1), 1000}, {"no room", box, 60, 3},
		{"box upside down", orb.Bound{Min: orb.Point{1, 43}, Max: orb.Point{2, 42}}, 60, 1000},
		{"box NaN", orb.Bound{Min: orb.Point{math.NaN(), 43}, Max: orb.Point{2, 44}}, 60, 1000},
		{"box at the pole", orb.Bound{Min: orb.Point{1, 86}, Max: orb.Point{2, 87}}, 60, 1000},
	} {
		if _, err := NewGrid(c.box, c.cellM, c.most, nil); err == nil {
			t.Errorf("%s: accepted", c.name)
		}
	}
	// A box without extent is a place; it gets the least grid.
	g, err := NewGrid(orb.Bound{Min: orb.Point{1, 42}, Max: orb.Point{1, 42}}, 60, 1000, nil)
	if err != nil || g.Cols != 2 || g.Rows != 2 || g.KnownShare != 0 {
		t.Errorf("grid %+v, error %v", g, err)
	}
}

func TestGridAcrossTheAntimeridian(t *testing.T) {
	g, err := NewGrid(orb.Bound{Min: orb.Point{179.9, -17}, Max: orb.Point{180.1, -16.9}}, 100, 100000, nil)
	if err != nil {
		t.Fatal(err)
	}
	l := NewLand(g)
	l.Road(orb.LineString{{179.95, -16.95}, {-179.95, -16.95}})
	r := surface(t, l, Options{})
	if m := r.Minutes(-179.99, -16.95); !(m < 2) {
		t.Errorf("%g minutes on the road east of the antimeridian", m)
	}
	if m := r.Minutes(-179.91, -16.95); !(m > 60) || !r.Estimate(-179.91, -16.95) {
		t.Errorf("%g minutes 4.3 km beyond the road's end over unknown ground", m)
	}
}

// A valley with a road, a river before it and a bridge downstream.
func ExampleSurface() {
	heights := make([]float32, 60*40)
	for i := range heights {
		heights[i] = float32(500 + 8*(i/60)) // rises 8 m a row towards the south
	}
	g := PlaneGrid(60, 40, 50, heights)
	at := func(col, row float64) orb.Point { return orb.Point{col * 1e-4, -row * 1e-4} }

	land := NewLand(g)
	land.Road(orb.LineString{at(0, 5), at(59, 5)})
	land.Barrier(orb.LineString{at(-1, 10.5), at(60, 10.5)}) // the river
	land.Way(orb.LineString{at(50, 15), at(50, 5)})          // a path with a bridge

	r, err := Surface(context.Background(), land, Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	p := at(20, 30)
	fmt.Printf("%.0f minutes by way of %d places\n", r.Minutes(p[0], p[1]), len(r.Path(p[0], p[1])))
	// Output: 37 minutes by way of 36 places
}
