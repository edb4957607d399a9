package risk

import (
	"bytes"
	"context"
	"math"
	"os"
	"path/filepath"
	"testing"

	"lastroad/assets"
	"lastroad/geo"
	"lastroad/geo/gpx"
	"lastroad/geo/height"
	"lastroad/geo/osm"
	"lastroad/geo/survey"
)

// andorra surveys the open test route, or skips when the data are not at hand.
func andorra(t testing.TB) *geo.Survey {
	t.Helper()
	dir := os.Getenv("LASTROAD_SHARED")
	if dir == "" {
		dir = "../../shared"
	}
	read := func(name string) []byte {
		b, err := os.ReadFile(filepath.Join(dir, "data", name))
		if err != nil {
			t.Skipf("the open test data are not at hand (%s); set LASTROAD_SHARED to their folder", name)
		}
		return b
	}
	b, region, tile := read("andorra-ne-tracks.gpx"), read("andorra-2025-01-19.osm.pbf"), read("N42E001.hgt.zip")
	route, err := gpx.Read(context.Background(), bytes.NewReader(b), "andorra.gpx", gpx.Options{Choose: gpx.All})
	if err != nil {
		t.Fatal(err)
	}
	r, err := osm.Read(context.Background(), osm.Source{Name: "andorra.osm.pbf", R: bytes.NewReader(region), Size: int64(len(region))},
		osm.Corridor{Line: route.Line, RadiusM: 10000}, osm.Options{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	hgt, err := height.ReadHGT(bytes.NewReader(tile), int64(len(tile)), "N42E001.hgt.zip")
	if err != nil {
		t.Fatal(err)
	}
	return surveyed(t, route, r, height.NewModel(hgt))
}

func surveyed(t testing.TB, route geo.Route, r *osm.Region, h *height.Model) *geo.Survey {
	t.Helper()
	tab, err := survey.ParseTables(assets.Table)
	if err != nil {
		t.Fatal(err)
	}
	s, err := survey.Survey(context.Background(), route, r, h, tab, survey.Options{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// invented surveys the demo's route in the invented region.
func invented(t testing.TB) *geo.Survey {
	t.Helper()
	route, err := gpx.Read(context.Background(), bytes.NewReader(assets.Demo("route.gpx")), "route.gpx", gpx.Options{Choose: gpx.All})
	if err != nil {
		t.Fatal(err)
	}
	b := assets.Demo("region.osm.gz")
	r, err := osm.Read(context.Background(), osm.Source{Name: "the invented region", R: bytes.NewReader(b), Size: int64(len(b))},
		osm.Corridor{Line: route.Line, RadiusM: 10000}, osm.Options{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	tile := assets.Demo("S32W109.hgt.zip")
	hgt, err := height.ReadHGT(bytes.NewReader(tile), int64(len(tile)), "S32W109.hgt.zip")
	if err != nil {
		t.Fatal(err)
	}
	return surveyed(t, route, r, height.NewModel(hgt))
}

// On real and on invented ground: the simulation agrees with the analytic answer within three standard
// errors or is better, legs add up to the trip, and the answer is within its bounds.
func TestSimulationAgreesOnWholeRoutes(t *testing.T) {
	if testing.Short() {
		t.Skip("surveys two whole routes")
	}
	for name, make := range map[string]func(testing.TB) *geo.Survey{"real ground": andorra, "invented ground": invented} {
		t.Run(name, func(t *testing.T) {
			s := make(t)
			tr := usualTrip()
			for _, together := range []bool{false, true} {
				tr.Together = together
				r, err := Simulate(context.Background(), s, tr, cat(t), UsualTrips, Options{})
				if err != nil {
					t.Fatal(err)
				}
				if !r.Agrees {
					t.Errorf("together %v: %s (%.1f standard errors)", together, r.Text, r.Sigmas)
				}
				j := judge(t, s, tr, Options{Samples: 100})
				var u, d float64
				for _, l := range j.Legs {
					u, d = u+l.Score.U, d+l.Score.D
				}
				if math.Abs(u-j.Trip.U) > 1e-10*(1+u) || math.Abs(d-j.Trip.D) > 1e-10*(1+d) {
					t.Errorf("legs add up to U %g and D %g, the trip has %g and %g", u, d, j.Trip.U, j.Trip.D)
				}
				if b := j.Trip.Band; !(b[0] <= b[1] && b[1] <= b[2] && b[0] >= 0 && b[2] <= 100) {
					t.Errorf("the band of readiness is %v", b)
				}
				t.Logf("together %v: %d pieces in %d legs, readiness %.2f %.1f, %s, %d findings, %.1f standard errors", together,
					len(cutPieces(s)), len(j.Legs), j.Trip.Readiness, j.Trip.Band, j.Trip.Word, len(j.Findings), r.Sigmas)
			}
		})
	}
}
