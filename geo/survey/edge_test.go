package survey

import (
	"math"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/osm"
)

// TestEdges: the edge told for a sample is never farther than the edge measured there, and not much nearer.
func TestEdges(t *testing.T) {
	d := desert(orb.Point{15, 24})
	route := geo.Route{Line: d.line([2]float64{-15000, 0}, [2]float64{0, -8000}, [2]float64{38000, 20000}, [2]float64{60000, 20000})}
	r := d.region(t, osm.Corridor{Line: route.Line, RadiusM: 18000})
	samples := geo.Resample(route, 25)
	for i := range samples {
		samples[i].InRegion = r.Covers(orb.Point{samples[i].Lon, samples[i].Lat})
	}
	worst, outside := 0.0, 0
	for i, got := range edges(r, samples) {
		want := edgeM(r, orb.Point{samples[i].Lon, samples[i].Lat})
		if got > want+0.01 {
			t.Fatalf("sample %d: the edge is said to be %.1f m away, measured %.1f m", i, got, want)
		}
		if want > 18000 {
			t.Fatalf("sample %d: the edge lies %.1f m away in a corridor of 18 km", i, want)
		}
		worst = math.Max(worst, want-got)
		if want == 0 {
			outside++
		}
	}
	if worst > 150 { // half of ten samples, and a little for the turn between
		t.Errorf("the edge is told up to %.0f m too near", worst)
	}
	if outside == 0 {
		t.Error("no sample lies outside the region, so the test tests nothing")
	}
	if m := edgeM(nil, orb.Point{15, 24}); m != 0 {
		t.Errorf("without a region the edge lies %g m away, want 0", m)
	}
}
