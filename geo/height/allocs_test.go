package height

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
)

func TestReadingHeightsAllocatesNothing(t *testing.T) {
	rise := func(lon, lat float64) float64 { return 800 + 300*math.Sin(20*lon) + 100*lat }
	m := NewModel(grid(t, 1, 43, 0.005, 201, 201, rise), grid(t, 2, 43, 0.005, 201, 201, rise))
	pts := make([]orb.Point, 500)
	for i := range pts {
		pts[i] = orb.Point{1.9 + 0.0004*float64(i), 42.5}
	}
	dst := make([]float64, len(pts))
	for name, f := range map[string]func(){
		"Heights into a slice": func() { dst = m.Heights(dst, pts) },
		"Height":               func() { m.Height(1.7, 42.3) },
		"Height at the seam":   func() { m.Height(2, 42.3) },
		"Slope":                func() { m.Slope(1.7, 42.3) },
	} {
		if n := testing.AllocsPerRun(20, f); n != 0 {
			t.Errorf("%s: %g allocations a call, want 0", name, n)
		}
	}
}
