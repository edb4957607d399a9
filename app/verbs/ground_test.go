package verbs

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// gpxFile writes a track through places given as latitude, longitude.
func gpxFile(t *testing.T, name string, pts [][2]float64) string {
	t.Helper()
	var b bytes.Buffer
	b.WriteString(`<?xml version="1.0"?><gpx version="1.1" creator="test" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>`)
	for _, p := range pts {
		fmt.Fprintf(&b, `<trkpt lat="%.7f" lon="%.7f"/>`, p[0], p[1])
	}
	b.WriteString(`</trkseg></trk></gpx>`)
	f := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(f, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return f
}

// surveyed runs the verb and gives its rows by column.
func surveyed(t *testing.T, args ...string) (rows [][]string, col map[string]int, status int, errs string) {
	t.Helper()
	var o, e bytes.Buffer
	status = surveyVerb(context.Background(), args, Streams{Out: &o, Err: &e})
	col = map[string]int{}
	if status != Done {
		return nil, col, status, e.String()
	}
	rows, err := csv.NewReader(&o).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i, n := range rows[0] {
		col[n] = i
	}
	return rows[1:], col, status, e.String()
}

func cell(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// TestSurveyOfAnyRoute: what route planning meets, through the verb. Lengths are worked out
// beside them on the WGS84 ellipsoid.
func TestSurveyOfAnyRoute(t *testing.T) {
	t.Setenv("LASTROAD_CACHE", t.TempDir())
	var long, many [][2]float64
	for i := range 1500 {
		long = append(long, [2]float64{-25, 115 + 0.0333*float64(i)})
	}
	for i := range 1_000_000 {
		a := float64(i) / 3000
		many = append(many, [2]float64{-24 + 1e-5*float64(i)/10 + 0.0005*math.Sin(a), 134 + 0.0005*math.Cos(a)})
	}
	for _, c := range []struct {
		name            string
		pts             [][2]float64
		lengthM, within float64
		slow            bool
	}{
		// Along the parallel 25 S: N cos(lat) dlon, N = a / sqrt(1 - e2 sin2) = 6 381 953 m, so 49.9167 degrees are
		// 5 039 095 m; the geodesics between the points are shorter by less than 1 m.
		{"5000 km", long, 5_039_095, 10, false},
		// A meridian arc of 0.1 degree at 28.55 S: 6335439 / (1 - e2 sin2)^1.5 = 6 349 965 m, 11 082.8 m.
		{"two points", [][2]float64{{-28.5, -71.1}, {-28.6, -71.1}}, 11_082.8, 0.5, false},
		// The equator: 0.2 degrees of 6 378 137 m.
		{"antimeridian", [][2]float64{{0, 179.9}, {0, -179.9}}, 22_263.9, 0.1, false},
		// One degree of latitude and some 53 circles of 55 m; only that it is taken at all is asked for.
		{"a million points", many, 0, 0, true},
	} {
		if c.slow && testing.Short() {
			continue
		}
		rows, col, status, errs := surveyed(t, gpxFile(t, "route.gpx", c.pts))
		if status != Done {
			t.Errorf("%s: %s", c.name, errs)
			continue
		}
		first, last := rows[0], rows[len(rows)-1]
		m := cell(t, last[col["distance_m"]])
		if c.within > 0 && math.Abs(m-c.lengthM) > c.within {
			t.Errorf("%s: %.1f m long, want %.1f", c.name, m, c.lengthM)
		}
		if math.Abs(cell(t, first[col["lat"]])-c.pts[0][0]) > 1e-6 || math.Abs(cell(t, last[col["lon"]])-c.pts[len(c.pts)-1][1]) > 1e-6 {
			t.Errorf("%s: goes from %s to %s", c.name, first[col["lat"]], last[col["lon"]])
		}
		for _, r := range rows {
			if lon := cell(t, r[col["lon"]]); math.Abs(lon) > 180 {
				t.Fatalf("%s: a sample at longitude %g", c.name, lon)
			}
		}
		if last[col["road_m"]] != "" || last[col["ground"]] != "unknown" || !strings.Contains(errs, "No region file") {
			t.Errorf("%s: without a region the road is %q m away, the ground %s; said %q", c.name, last[col["road_m"]], last[col["ground"]], errs)
		}
	}
	for name, pts := range map[string][][2]float64{"lies nearer to the pole": {{84, 10}, {86, 10}}, "two points": {{42, 1}}} {
		if _, _, status, errs := surveyed(t, gpxFile(t, "route.gpx", pts)); status != BadInput || !strings.Contains(errs, name) || strings.Count(errs, "\n") != 1 {
			t.Errorf("status %d, said %q; want one line with %q", status, errs, name)
		}
	}
}

// TestSurveyLeavesTheRegion: a route from Andorra into France, south tiles beside it.
func TestSurveyLeavesTheRegion(t *testing.T) {
	t.Setenv("LASTROAD_CACHE", t.TempDir())
	data := os.Getenv("LASTROAD_SHARED")
	if data == "" {
		data = filepath.Join("..", "..", "..", "shared")
	}
	data = filepath.Join(data, "data")
	if _, err := os.Stat(data); err != nil {
		t.Skip("the open test data are not at hand; set LASTROAD_SHARED to their folder")
	}
	route := gpxFile(t, "route.gpx", [][2]float64{{42.5668986, 1.6004708}, {42.6, 1.75}, {42.7, 2.2}})
	rows, col, status, errs := surveyed(t, route, "--region", filepath.Join(data, "andorra-2025-01-19.osm.pbf"), "--heights", filepath.Join(data, "N42E001.hgt.zip"))
	if status != Done {
		t.Fatal(errs)
	}
	first, last := rows[0], rows[len(rows)-1]
	if first[col["road_m"]] == "" || first[col["fuel_ahead_min"]] == "" || first[col["height_m"]] == "" || cell(t, first[col["edge_m"]]) < 5000 {
		t.Errorf("in the region the first sample is %q", first)
	}
	if last[col["road_m"]] != "" || last[col["height_m"]] != "" || last[col["ground"]] != "unknown" || last[col["edge_m"]] != "0" || last[col["fuel_at_most"]] != "1" {
		t.Errorf("outside the region the last sample is %q", last)
	}
	if !strings.Contains(errs, "outside the region file") || !strings.Contains(errs, "The height is unknown on") {
		t.Errorf("said %q", errs)
	}
	chile := gpxFile(t, "chile.gpx", [][2]float64{{-28.5, -71.05}, {-28.75, -71.1}})
	rows, col, status, errs = surveyed(t, chile, "--heights", filepath.Join(data, "S29W072.hgt.zip"))
	if status != Done {
		t.Fatal(errs)
	}
	// Two posts of the tile: 194 m and 970 m.
	if a, b := cell(t, rows[0][col["height_m"]]), cell(t, rows[len(rows)-1][col["height_m"]]); math.Abs(a-194) > 0.1 || math.Abs(b-970) > 0.1 {
		t.Errorf("heights of the ends are %g and %g m, want 194 and 970", a, b)
	}
}
