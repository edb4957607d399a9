package network

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/osm"
)

// ladder is a small network: a kept road west to east (nodes 1, 2, 3) and a track north from 2 over
// 4 to 5, and a one-way loop from 5 over 6 back to 4.
func ladder() []osm.Way {
	at := map[int64]orb.Point{1: {1.00, 42}, 2: {1.01, 42}, 3: {1.02, 42}, 4: {1.01, 42.01}, 5: {1.01, 42.02}, 6: {1.02, 42.015}}
	way := func(id int64, highway, oneway string, ids ...int64) osm.Way {
		w := osm.Way{ID: id, Nodes: ids, Tags: osm.Tags{{Key: "highway", Value: highway}}}
		if oneway != "" {
			w.Tags = append(w.Tags, osm.Tag{Key: "oneway", Value: oneway})
		}
		for _, n := range ids {
			w.Line = append(w.Line, at[n])
		}
		return w
	}
	return []osm.Way{
		way(10, "tertiary", "", 1, 2, 3),
		way(11, "track", "", 2, 4, 5),
		way(12, "track", "yes", 5, 6, 4),
		way(13, "path", "", 3, 6),
	}
}

func use(w *osm.Way) Use {
	u := Use{Forward: 10, Back: 10, Kept: w.Tags.Get("highway") == "tertiary"}
	if w.Tags.Get("highway") == "path" {
		return Use{}
	}
	if w.Tags.OneWay() > 0 {
		u.Back = 0
	}
	return u
}

func TestKeptField(t *testing.T) {
	ways := ladder()
	g := Build(ways, use)
	if n, e := g.Size(); n != 5 || e != 5 {
		t.Errorf("the network has %d joints and %d stretches, want 5 and 5 (1, 2, 3, 4, 5; two, two and one)", n, e)
	}
	track := geo.Length(ways[1].Line)
	loop := geo.Length(ways[2].Line)
	half := geo.Distance(ways[1].Line[0], ways[1].Line[1])
	// Stretches keep their metres and seconds as float32: 6e-8 of 3 km.
	for _, c := range []struct {
		name string
		dir  Direction
		at   Position
		want float64 // metres
	}{
		{"on the kept road", ToSeed, Position{0, 1, 0.5}, 0},
		{"end of the track", ToSeed, Position{1, 1, 1}, track},
		{"middle of the first half", ToSeed, Position{1, 0, 0.5}, half / 2},
		{"out of the one-way loop at its start: on round it, or back down", ToSeed, Position{2, 0, 0}, track},
		{"out of the one-way loop half way: only forward", ToSeed, Position{2, 1, 0}, geo.Distance(ways[2].Line[1], ways[2].Line[2]) + half},
		{"into the one-way loop half way: only from its start", FromSeed, Position{2, 1, 0}, track + loop - geo.Distance(ways[2].Line[1], ways[2].Line[2])},
	} {
		r, ok := g.Kept(c.dir, false).At(c.at)
		if !ok || math.Abs(r.Metres-c.want) > 1e-3 || math.Abs(r.Seconds-c.want/10) > 1e-3 {
			t.Errorf("%s: %v metres in %v s (%v), want %v metres", c.name, r.Metres, r.Seconds, ok, c.want)
		}
	}
	if _, ok := g.Kept(ToSeed, false).At(Position{3, 0, 0.5}); ok {
		t.Error("a path that cars may not use has a journey, want none")
	}
}

// midpoint is how much longer a line may get by a point put in half way: it lies on the straight line in
// degrees, some metres beside the geodesic of these steps of a kilometre, which adds millimetres.
const midpoint = 0.05

func TestPath(t *testing.T) {
	ways := ladder()
	g := Build(ways, use)
	p, ok := g.Path(Position{2, 1, 0.5}, Position{0, 0, 0.25}, false)
	want := geo.Distance(ways[2].Line[1], ways[2].Line[2])/2 + geo.Distance(ways[1].Line[0], ways[1].Line[1]) + geo.Distance(ways[0].Line[0], ways[0].Line[1])*0.75
	if !ok || math.Abs(p.Metres-want) > 1e-3 || math.Abs(geo.Length(p.Line)-want) > midpoint {
		t.Errorf("Path goes %.3f m on a line of %.3f m, want %.3f: %v", p.Metres, geo.Length(p.Line), want, p.Line)
	}
	// Against the one-way: from half way back to its start one must go on, down and up again.
	p, ok = g.Path(Position{2, 1, 0.5}, Position{2, 1, 0.25}, false)
	want = geo.Length(ways[2].Line) + geo.Distance(ways[1].Line[1], ways[1].Line[2]) - geo.Distance(ways[2].Line[1], ways[2].Line[2])/4
	if !ok || math.Abs(p.Metres-want) > 1e-3 || math.Abs(geo.Length(p.Line)-want) > midpoint {
		t.Errorf("Path round the loop goes %.3f m on a line of %.3f m, want %.3f: %v", p.Metres, geo.Length(p.Line), want, p.Line)
	}
}

// TestSnap: the nearest place on the network against all steps of all ways, each in a plane of its own.
func TestSnap(t *testing.T) {
	ways := ladder()
	g := Build(ways, use)
	rng := rand.New(rand.NewPCG(9, 9))
	for range 500 {
		p := orb.Point{0.99 + 0.04*rng.Float64(), 41.99 + 0.04*rng.Float64()}
		plane := geo.NewPlane(p)
		best := math.Inf(1)
		for _, w := range ways[:3] { // the path is not part of the network
			for i := 1; i < len(w.Line); i++ {
				ax, ay := plane.ToXY(w.Line[i-1])
				bx, by := plane.ToXY(w.Line[i])
				d := math.Max(0, math.Min(1, -(ax*(bx-ax)+ay*(by-ay))/((bx-ax)*(bx-ax)+(by-ay)*(by-ay))))
				best = min(best, math.Hypot(ax+d*(bx-ax), ay+d*(by-ay)))
			}
		}
		at, off, ok := g.Snap(p, math.Inf(1))
		// The planes touch at places some kilometres apart: 1e-3 of the distance at most.
		if !ok || math.Abs(off-best) > 1e-3*best+0.01 || math.Abs(geo.Distance(p, g.Point(at))-off) > 1e-9 {
			t.Fatalf("%v is %v m from the network (%v), want %v", p, off, ok, best)
		}
	}
	if _, off, ok := g.Snap(orb.Point{1.01, 42.1}, 1000); ok {
		t.Errorf("a place %v m away counts as within 1000 m", off)
	}
	for _, p := range []orb.Point{{math.NaN(), 42}, {1, math.NaN()}, {1, 89}} {
		if _, _, ok := g.Snap(p, math.Inf(1)); ok {
			t.Errorf("%v has a nearest place", p)
		}
	}
	if _, _, ok := Build(nil, use).Snap(orb.Point{1, 42}, math.Inf(1)); ok {
		t.Error("an empty network has a nearest place")
	}
}
