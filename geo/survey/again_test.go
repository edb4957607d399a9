package survey

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/osm"
)

// Every number measured again at its own value gives the survey as it was; at its high value it gives what a survey with
// such a table gives from the beginning.
func TestAgainIsMeasuringFromTheBeginning(t *testing.T) {
	ctx := context.Background()
	at := orb.Point{15, 24}
	d := desert(at)
	d.way([][2]float64{{16000, 0}, {16000, 4000}}, "highway=path")
	d.way([][2]float64{{-2000, 500}, {30000, 500}}, "highway=track")
	in := inputs{route: geo.Route{Line: d.line([2]float64{0, 0}, [2]float64{20000, 0})}, region: d.region(t, osm.Corridor{}), heights: levelHeights(t, at)}
	tab := tables(t)
	base, err := NewBase(ctx, in.route, in.region, in.heights, tab, Options{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	plain, err := Survey(ctx, in.route, in.region, in.heights, tab, Options{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	equal(t, "the base", base.Survey(), plain)
	moved := map[string]int{}
	for _, n := range base.Trials() {
		same, err := n.Again(ctx, n.Central)
		if err != nil {
			t.Errorf("%s %s: %v", n.Table, n.Path, err)
			continue
		}
		if same != nil {
			equal(t, n.Path+" as it is", same, plain)
		}
		high, err := n.Again(ctx, n.High)
		if err != nil || high == nil {
			continue // refused, or not asked for
		}
		if !slices.EqualFunc(high.Samples, plain.Samples, alike) || !slices.Equal(high.Grounds, plain.Grounds) {
			moved[n.Table]++
		}
		other := tab
		switch n.Table {
		case "ground.toml":
			other.Ground, err = tab.Ground.With(n.Path, n.High)
		case "ways.toml":
			other.Ways, err = tab.Ways.With(n.Path, n.High)
		case "pace.toml":
			other.Pace, _ = tab.Pace.With(n.Path, n.High)
		}
		if err != nil {
			t.Fatal(err)
		}
		want, err := Survey(ctx, in.route, in.region, in.heights, other, Options{}, nil)
		if err != nil {
			t.Fatal(err)
		}
		equal(t, n.Path+" at its high value", high, want)
	}
	for _, table := range []string{"ground.toml", "ways.toml"} {
		if moved[table] == 0 {
			t.Errorf("no number of %s moves a sample", table)
		}
	}
	t.Log(moved)
}

// equal compares samples and their grounds.
func equal(t *testing.T, what string, got, want *geo.Survey) {
	t.Helper()
	if len(got.Samples) != len(want.Samples) || !slices.Equal(got.Legs, want.Legs) && what == "the base" {
		t.Fatalf("%s: %d samples and %d legs, want %d and %d", what, len(got.Samples), len(got.Legs), len(want.Samples), len(want.Legs))
	}
	for i := range got.Samples {
		a, b := got.Samples[i], want.Samples[i]
		if got.Grounds[a.Ground] != want.Grounds[b.Ground] {
			t.Fatalf("%s: the ground of sample %d is %+v, want %+v", what, i, got.Grounds[a.Ground], want.Grounds[b.Ground])
		}
		if a.Ground, b.Ground = 0, 0; !alike(a, b) {
			t.Fatalf("%s: sample %d is %+v, want %+v", what, i, a, b)
		}
	}
}

// alike is equality in which what is unknown equals what is unknown.
func alike(a, b geo.Sample) bool {
	for _, s := range []*geo.Sample{&a, &b} {
		for k := range fields {
			if v := fields[k].at(s); math.IsNaN(*v) {
				*v = -1
			}
		}
		for k := range s.HelpM {
			if math.IsNaN(s.HelpM[k]) {
				s.HelpM[k] = -1
			}
		}
	}
	return a == b
}
