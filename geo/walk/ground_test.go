package walk

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
)

// TestRoughGround: a belt of ground walked at half the open pace, 50 cells wide between two borders, costs its
// cells twice and the two steps over its borders one and a half times; a knight's move over a border, which does not
// look at the cells that it passes, saves 0.15 of a step at most: 3.354 against 3.5.
func TestRoughGround(t *testing.T) {
	g := flat(121, 9)
	l := NewLand(g)
	l.Road(line(g, 0, -1, 0, 9))
	l.Ground(orb.Polygon{orb.Ring(line(g, 20, -2, 110, -2, 110, 20, 20, 20, 20, -2))}, 0.1)
	l.Ground(orb.Polygon{orb.Ring(line(g, 10, -2, 119, -2, 119, 20, 10, 20, 10, -2))}, OffPath) // over the first one
	l.Ground(orb.Polygon{orb.Ring(line(g, 49.5, -2, 99.5, -2, 99.5, 20, 49.5, 20, 49.5, -2))}, OffPath/2)
	r := surface(t, l, Options{})
	for _, c := range []struct {
		col   int
		steps float64
	}{{30, 30}, {49, 49}, {50, 49 + 1.5}, {99, 49 + 1.5 + 49*2}, {100, 49 + 1.5 + 49*2 + 1.5}, {120, 49 + 1.5 + 49*2 + 1.5 + 20}} {
		if got, want := r.CellMinutes(c.col, 4), c.steps*50*level; got > want*(1+1e-4) || got < want-0.3*50*level {
			t.Errorf("column %d: %.3f minutes, want %.3f", c.col, got, want)
		}
	}
	// A hole in rough ground is open.
	l = NewLand(g)
	l.RoadPoint(g.Middle(60, 4))
	l.Ground(orb.Polygon{
		orb.Ring(line(g, -1, -1, 122, -1, 122, 10, -1, 10, -1, -1)),
		orb.Ring(line(g, 50.5, 2.5, 70.5, 2.5, 70.5, 6.5, 50.5, 6.5, 50.5, 2.5))}, OffPath/2)
	r = surface(t, l, Options{})
	if got, want := r.CellMinutes(51, 4), 9*50*level; math.Abs(got/want-1) > 1e-4 {
		t.Errorf("in the hole: %.3f minutes, want %.3f", got, want)
	}
	if got, want := r.CellMinutes(49, 4), (9+1.5+2)*50*level; got > want*(1+1e-4) || got < want-0.15*50*level {
		t.Errorf("out of the hole: %.3f minutes, want %.3f", got, want)
	}
}

// TestWayAt: a path walked at eight tenths takes a quarter longer than one at the full pace.
func TestWayAt(t *testing.T) {
	g := flat(100, 9)
	for _, part := range []float64{1, 0.8} {
		l := NewLand(g)
		l.RoadPoint(g.Middle(0, 4))
		l.WayAt(line(g, 0, 4, 99, 4), part)
		want := 99 * 50 * level * OffPath / part
		if got := surface(t, l, Options{}).CellMinutes(99, 4); math.Abs(got/want-1) > 1e-4 {
			t.Errorf("a way at %g: %.3f minutes, want %.3f", part, got, want)
		}
	}
}

func TestGroundOutOfRange(t *testing.T) {
	for _, part := range []float64{0, -1, 1.1, math.NaN()} {
		for name, add := range map[string]func(l *Land){
			"ground": func(l *Land) { l.Ground(nil, part) },
			"way":    func(l *Land) { l.WayAt(nil, part) },
		} {
			func() {
				defer func() {
					if recover() == nil {
						t.Errorf("a %s at %g of the speed is taken", name, part)
					}
				}()
				add(NewLand(flat(4, 4)))
			}()
		}
	}
}
