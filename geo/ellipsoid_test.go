package geo

import (
	"math"
	"testing"
)

// Radii of curvature at known latitudes: at the equator the meridian's is b^2/a = 6 335 439.327 m and the
// other a; at the poles both are a^2/b = 6 399 593.626 m (NGA.STND.0036, table 3.5).
func TestRadii(t *testing.T) {
	for _, c := range []struct{ lat, meridian, normal float64 }{
		{0, 6335439.3273, 6378137.0}, {90, 6399593.6258, 6399593.6258}, {-90, 6399593.6258, 6399593.6258},
	} {
		if m, n := Radii(c.lat); math.Abs(m-c.meridian) > 1e-3 || math.Abs(n-c.normal) > 1e-3 {
			t.Errorf("Radii(%v) = %.4f, %.4f, want %.4f, %.4f", c.lat, m, n, c.meridian, c.normal)
		}
	}
	if m, n := Radii(math.NaN()); !math.IsNaN(m) || !math.IsNaN(n) {
		t.Errorf("Radii(NaN) = %v, %v", m, n)
	}
}

// The table of degrees is as good as its comment says.
func TestScalesAgainstRadii(t *testing.T) {
	for lat := -90.0; lat <= 90; lat += 0.0137 {
		m, n := Radii(lat)
		lon, lt := n*math.Cos(lat*radian)*radian, m*radian
		gotLon, gotLat := scales(lat)
		if math.Abs(gotLon-lon) > 2e-11*111e3 || math.Abs(gotLat-lt) > 2e-11*111e3 {
			t.Fatalf("scales(%v) = %.9f, %.9f, want %.9f, %.9f", lat, gotLon, gotLat, lon, lt)
		}
	}
	for _, lat := range []float64{91, -100, math.NaN(), math.Inf(1)} {
		if lon, lt := scales(lat); !math.IsNaN(lon) || !math.IsNaN(lt) {
			t.Errorf("scales(%v) = %v, %v, want NaN", lat, lon, lt)
		}
	}
}
