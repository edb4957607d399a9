package sun

import (
	"math"
	"testing"
	"time"

	"github.com/paulmach/orb"
)

// Meeus, Astronomical Algorithms, 2nd edition, example 25.a: 1992 October 13 at 0 h dynamical time.
func TestCoordinatesOfMeeus(t *testing.T) {
	c := at((2448908.5 - 2451545) / 36525)
	mod := func(v float64) float64 { return math.Mod(math.Mod(v, 360)+360, 360) }
	for _, v := range []struct {
		name           string
		got, want, tol float64
	}{
		{"mean longitude", mod(c.meanLon), 201.80720, 1e-5},
		{"mean anomaly", mod(c.anomaly), 278.99397, 1e-5},
		{"eccentricity", c.eccentricity, 0.016711668, 1e-9},
		{"equation of the centre", c.centre, -1.89732, 1e-5},
		{"apparent longitude", mod(c.lon), 199.90895, 2e-5},
		{"obliquity", c.obliquity, 23.43999, 1e-5},
		{"declination", c.declin, -7.78507, 1e-5},
	} {
		if math.Abs(v.got-v.want) > v.tol {
			t.Errorf("%s is %.6f, want %.6f", v.name, v.got, v.want)
		}
	}
}

func TestPublishedPositions(t *testing.T) {
	for _, c := range []struct {
		name          string
		at            time.Time
		place         orb.Point
		alt, az       float64
		altTol, azTol float64
	}{
		// NREL Solar Position Algorithm, report TP-560-34302: geometric elevation and azimuth.
		{"Golden, Colorado", time.Date(2003, 10, 17, 19, 30, 30, 0, time.UTC), orb.Point{-105.1786, 39.742476}, 39.872046, 194.340241, 0.02, 0.02},
		// US Naval Observatory, celestial navigation data; its azimuths allow for parallax.
		{"Oslo", time.Date(2025, 6, 21, 10, 0, 0, 0, time.UTC), orb.Point{10.7522, 59.9139}, 51.00185, 150.55033, 0.02, 0.05},
		{"Sydney", time.Date(2025, 12, 21, 2, 0, 0, 0, time.UTC), orb.Point{151.2093, -33.8688}, 79.46084, 351.36553, 0.02, 0.05},
	} {
		alt, az := Position(c.at, c.place)
		if math.Abs(alt-c.alt) > c.altTol || math.Abs(az-c.az) > c.azTol {
			t.Errorf("%s: altitude %.5f, azimuth %.5f; want %.5f, %.5f", c.name, alt, az, c.alt, c.az)
		}
	}
}

// US Naval Observatory: -14.19 and +16.43 min; the series of the almanac -14.23 and +16.49.
func TestEquationOfTime(t *testing.T) {
	for _, c := range []struct {
		at   time.Time
		want float64
	}{
		{time.Date(2025, 2, 11, 12, 0, 0, 0, time.UTC), -14.23},
		{time.Date(2025, 11, 3, 12, 0, 0, 0, time.UTC), 16.49},
	} {
		if got := EquationOfTime(c.at); math.Abs(got-c.want) > 0.05 {
			t.Errorf("equation of time at %v is %.3f min, want %.2f", c.at, got, c.want)
		}
	}
}

func TestPositionAtThePolesAndOverhead(t *testing.T) {
	// At a pole the altitude is the declination: 23.44 degrees at the solstice.
	solstice := time.Date(2025, 6, 21, 2, 42, 0, 0, time.UTC)
	for _, lat := range []float64{90, -90} {
		if alt, _ := Position(solstice, orb.Point{0, lat}); math.Abs(alt-math.Copysign(23.44, lat)) > 0.01 {
			t.Errorf("altitude at latitude %v is %v, want 23.44", lat, alt)
		}
	}
	for h := range 24 {
		for lon := -180.0; lon <= 180; lon += 7 {
			alt, az := Position(solstice.Add(time.Duration(h)*time.Hour), orb.Point{lon, 23.437})
			if !(alt >= -90 && alt <= 90 && az >= 0 && az < 360) {
				t.Errorf("position at longitude %v: %v, %v", lon, alt, az)
			}
		}
	}
}

func BenchmarkOn(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		On(2025, 6, 21, time.UTC, london)
	}
}

func BenchmarkPosition(b *testing.B) {
	t := time.Date(2025, 6, 21, 10, 0, 0, 0, time.UTC)
	for b.Loop() {
		Position(t, london)
	}
}
