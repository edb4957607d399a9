package ground

import (
	"math"
	"strings"
	"testing"

	"lastroad/geo"
	"lastroad/geo/osm"
)

// Each number put to its own value changes nothing; put to its low and high value it stands there, and mixtures stay
// mixtures. Central values of a band need no test of their own: table.Decode checks those of figures.
func TestEveryNumberCanBeTried(t *testing.T) {
	r, w := tables(t)
	weights := r.Weights()
	if len(weights) < 300 {
		t.Errorf("%d weights are listed, want those of some ninety rows", len(weights))
	}
	for _, n := range append(weights, r.Numbers()...) {
		if err := n.Check(); err != nil {
			t.Errorf("%s: %v", n.Path, err)
		}
		if n.Title == "" || strings.HasSuffix(n.Title, ": ") {
			t.Errorf("%s has no title", n.Path)
		}
		for _, v := range []float64{n.Low, n.Central, n.High} {
			c, err := r.With(n.Path, v)
			if err != nil {
				t.Errorf("%s at %g: %v", n.Path, v, err)
				continue
			}
			found := math.NaN()
			for _, m := range append(c.Weights(), c.Numbers()...) {
				if m.Path == n.Path {
					found = m.Central
				}
			}
			if math.Abs(found-v) > 1e-12 {
				t.Errorf("%s put to %g is %g", n.Path, v, found)
			}
		}
	}
	for _, n := range w.Numbers() {
		c, err := w.With(n.Path, n.High)
		if err != nil || n.Title == "" {
			t.Errorf("%s (%q) at %g: %v", n.Path, n.Title, n.High, err)
			continue
		}
		for _, m := range c.Numbers() {
			if m.Path == n.Path && m.Central != n.High {
				t.Errorf("%s put to %g is %g", n.Path, n.High, m.Central)
			}
		}
	}
	if _, err := r.With("surface.1.mix.cheese", 1); err == nil {
		t.Error("a number that does not exist can be tried")
	}
	if _, err := w.With("road.1.cheese", 1); err == nil {
		t.Error("a pace that does not exist can be tried")
	}
	if _, err := r.With("region.prior_km", -1); err == nil {
		t.Error("a prior below 0 can be tried")
	}
}

// The band of a weight by hand: odds of 1 to 9 doubled are 2 to 9, halved 1 to 18; certainty has no band.
func TestBandsOfWeights(t *testing.T) {
	r, _ := tables(t)
	odds := r.file.Doubt.Odds.Central
	for _, n := range r.Weights() {
		if strings.HasPrefix(n.Path, "lean.") || strings.HasSuffix(n.Path[:strings.LastIndexByte(n.Path, '.')], ".lean") {
			if math.Abs(n.Low*odds-n.Central) > 0.005*n.Central || math.Abs(n.High-min(mostLikelihood, odds*n.Central)) > 0.005*n.High {
				t.Errorf("%s: %g (%g to %g), want a factor of %g to both sides", n.Path, n.Central, n.Low, n.High, odds)
			}
			continue
		}
		of := func(p float64) float64 { return p / (1 - p) }
		switch {
		case n.Central == 1:
			if n.Low != 1 || n.High != 1 {
				t.Errorf("%s is sure and has the band %g to %g", n.Path, n.Low, n.High)
			}
		case math.Abs(of(n.Low)*odds/of(n.Central)-1) > 0.05 || math.Abs(of(n.High)/odds/of(n.Central)-1) > 0.05:
			t.Errorf("%s: %g (%g to %g), want %g times the odds to both sides", n.Path, n.Central, n.Low, n.High, odds)
		}
	}
}

// More of one class in a row is more of it on the way, and the others keep their proportions.
func TestAWeightMovesItsClass(t *testing.T) {
	r, _ := tables(t)
	way := tags("highway=track surface=gravel")
	before := r.Classify(way)
	for _, n := range r.Weights() {
		if n.Title != "surface=gravel: loose rock" {
			continue
		}
		c, err := r.With(n.Path, n.High)
		if err != nil {
			t.Fatal(err)
		}
		after := c.Classify(way)
		if math.Abs(after.P[geo.LooseRock]-n.High) > 1e-12 {
			t.Errorf("loose rock is %g of gravel, want %g", after.P[geo.LooseRock], n.High)
		}
		if a, b := before.P[geo.Gravel]/before.P[geo.FirmTrack], after.P[geo.Gravel]/after.P[geo.FirmTrack]; math.Abs(a-b) > 1e-9 {
			t.Errorf("gravel is %g of firm track, before %g", b, a)
		}
		if same := r.Classify(way, osm.AreaNone); same.P != before.P {
			t.Error("trying a weight changes the rules that it was tried on")
		}
		return
	}
	t.Error("there is no weight of loose rock for surface=gravel")
}
