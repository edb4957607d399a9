package plot

import (
	"math"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// What the scene is asked at every motion of the pointer, and drawing lines into a picture that is there.
func TestPointingAllocatesNothing(t *testing.T) {
	line := make(orb.LineString, 300)
	for i := range line {
		line[i] = orb.Point{15 + 0.001*float64(i), 24 + 0.01*math.Sin(float64(i)/20)}
	}
	s := &geo.Survey{Route: geo.Route{Line: line}, StepM: 25}
	s.Samples = geo.Resample(s.Route, 25)
	n := len(s.Samples)
	for i := range 5 {
		s.Legs = append(s.Legs, geo.Leg{From: i * (n - 1) / 5, To: (i + 1) * (n - 1) / 5})
	}
	scene := NewScene(s, nil)
	x, y := scene.At(n / 2)
	for name, f := range map[string]func(){
		"nearest sample": func() { scene.Nearest(x+300, y-200) },
		"its leg":        func() { scene.LegOf(n / 2) },
		"its place":      func() { scene.At(n / 3) },
	} {
		if k := testing.AllocsPerRun(50, f); k != 0 {
			t.Errorf("%s: %g allocations a call, want 0", name, k)
		}
	}
}
