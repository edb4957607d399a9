package trip

import (
	"context"
	"math"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// TestTraceFollowsWays draws between two far places of the demo's own route: the quickest way is no longer
// than a way round, keeps to ways throughout, and is longer than the crow's flight.
func TestTraceFollowsWays(t *testing.T) {
	desk, err := NewDesk()
	if err != nil {
		t.Fatal(err)
	}
	d, err := desk.Demo(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	a, b := d.Survey.Samples[40], d.Survey.Samples[2000]
	places := []orb.Point{{a.Lon, a.Lat}, {b.Lon, b.Lat}}
	tr := desk.Trace(d, places, true, 0)
	crow := geo.Distance(places[0], places[1])
	along := b.DistanceM - a.DistanceM
	if tr.StraightM != 0 || tr.LengthM < crow || tr.LengthM > 1.5*along+1000 {
		t.Errorf("from km 1 to km 50: %.1f km drawn (%.1f straight), crow's flight %.1f, route %.1f", tr.LengthM/1000, tr.StraightM/1000, crow/1000, along/1000)
	}
	if geo.Distance(tr.Line[0], places[0]) > LeastSnapM || geo.Distance(tr.Line[len(tr.Line)-1], places[1]) > LeastSnapM {
		t.Error("the line does not end where it was asked to")
	}
	if s := desk.Trace(d, places, false, 0); math.Abs(s.LengthM-crow) > 1 || s.StraightM != s.LengthM {
		t.Errorf("straight across is %.0f m, want %.0f", s.LengthM, crow)
	}
	if e := desk.Trace(d, places[:1], true, 0); len(e.Line) != 0 {
		t.Error("one place makes a line")
	}
}

// TestDetour replaces a part of the route, keeps what lies outside it and moves what lies behind.
func TestDetour(t *testing.T) {
	desk, err := NewDesk()
	if err != nil {
		t.Fatal(err)
	}
	d, err := desk.Demo(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	from, to := 20_000.0, 30_000.0
	first := d.Plan.Stops[0].AtM
	line := orb.LineString{}
	for _, s := range d.Survey.Samples {
		if s.DistanceM >= from && s.DistanceM <= to && int(s.DistanceM)%5000 < 25 {
			line = append(line, orb.Point{s.Lon, s.Lat})
		}
	}
	n, err := desk.Drawn(context.Background(), d, line, from, to, "with a short cut", nil)
	if err != nil {
		t.Fatal(err)
	}
	delta := n.Survey.LengthM() - d.Survey.LengthM()
	if delta >= 0 || delta < -4000 {
		t.Errorf("cutting corners over 10 km changes the length by %.0f m", delta)
	}
	if len(n.Plan.Stops) != len(d.Plan.Stops) || math.Abs(n.Plan.Stops[0].AtM-d.Plan.Stops[0].AtM-delta) > 30 {
		t.Errorf("the first stop moves from %.0f to %.0f, want %.0f further", d.Plan.Stops[0].AtM, n.Plan.Stops[0].AtM, delta)
	}
	if n.Demo || n.Path != "" || d.Plan.Stops[0].AtM != first {
		t.Error("the detour is not a new document, or it changed the old one")
	}
}

func TestShift(t *testing.T) {
	p := Plan{Stops: []Stop{{AtM: 10}, {AtM: 50}, {AtM: 90}}, Grounds: []GroundChoice{{FromM: 0, ToM: 20}, {FromM: 40, ToM: 60}, {FromM: 80, ToM: 95}},
		Legs: []LegEdit{{Do: "split", FromM: 50}, {Do: "split", FromM: 85}}}
	p.shift(40, 60, 7)
	if len(p.Stops) != 2 || p.Stops[1].AtM != 97 {
		t.Errorf("stops become %v", p.Stops)
	}
	if len(p.Grounds) != 2 || p.Grounds[1].FromM != 87 || p.Grounds[1].ToM != 102 {
		t.Errorf("grounds become %v", p.Grounds)
	}
	if len(p.Legs) != 1 || p.Legs[0].FromM != 92 {
		t.Errorf("leg edits become %v", p.Legs)
	}
}
