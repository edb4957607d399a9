package survey

import (
	"bytes"
	"context"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"lastroad/assets"
	"lastroad/geo"
	"lastroad/geo/gpx"
	"lastroad/geo/height"
	"lastroad/geo/osm"
)

// shared is a file of the folder of open test data, which is not part of the repository.
func shared(t testing.TB, name string) string {
	dir := os.Getenv("LASTROAD_SHARED")
	if dir == "" {
		dir = "../../../shared"
	}
	f := filepath.Join(dir, "data", name)
	if _, err := os.Stat(f); err != nil {
		t.Skipf("the open test data are not at hand (%s); set LASTROAD_SHARED to their folder", f)
	}
	return f
}

func tables(t testing.TB) Tables {
	tab, err := ParseTables(assets.Table)
	if err != nil {
		t.Fatal(err)
	}
	return tab
}

func readRoute(t testing.TB, name string) geo.Route {
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	r, err := gpx.Read(context.Background(), bytes.NewReader(b), filepath.Base(name), gpx.Options{Choose: gpx.All})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func readRegion(t testing.TB, name string, c osm.Corridor) *osm.Region {
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	r, err := osm.Read(context.Background(), osm.Source{Name: filepath.Base(name), R: bytes.NewReader(b), Size: int64(len(b))}, c, osm.Options{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func readHeights(t testing.TB, name string) *height.Model {
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	tile, err := height.ReadHGT(bytes.NewReader(b), int64(len(b)), filepath.Base(name))
	if err != nil {
		t.Fatal(err)
	}
	return height.NewModel(tile)
}

type inputs struct {
	route   geo.Route
	region  *osm.Region
	heights *height.Model
	tables  Tables
}

func andorra(t testing.TB) inputs {
	route := readRoute(t, shared(t, "andorra-ne-tracks.gpx"))
	return inputs{route, readRegion(t, shared(t, "andorra-2025-01-19.osm.pbf"), osm.Corridor{Line: route.Line}),
		readHeights(t, shared(t, "N42E001.hgt.zip")), tables(t)}
}

func (in inputs) survey(t testing.TB, o Options) *geo.Survey {
	s, err := Survey(context.Background(), in.route, in.region, in.heights, in.tables, o, nil)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// equalNaN compares surveys; NaN equals NaN, and an empty list no list.
var equalNaN = cmp.Options{cmpopts.EquateNaNs(), cmpopts.EquateEmpty()}

func TestAndorra(t *testing.T) {
	in := andorra(t)
	s := in.survey(t, Options{})
	if m := s.LengthM(); math.Abs(m-38280.122) > 0.5 { // GeographicLib's sum over the points, as the data's notes tell
		t.Errorf("the route is %.3f m long, want 38 280.122 within half a metre", m)
	}
	if err := check(s); err != nil {
		t.Error(err)
	}
	f, err := os.Open(shared(t, "andorra-ne-tracks.ways.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	cum := geo.Cumulative(nil, in.route.Line) // the key's own kilometres are spherical ones
	good, all, k := 0, 0, 1
	for i := range s.Samples {
		q := &s.Samples[i]
		for k+1 < len(rows) {
			if to, _ := strconv.Atoi(rows[k][1]); cum[to] > q.DistanceM {
				break
			}
			k++
		}
		all++
		if q.Way >= 0 && strconv.FormatInt(s.Ways[q.Way].ID, 10) == rows[k][4] {
			good++
		}
	}
	if share := float64(good) / float64(all); share < 0.995 {
		t.Errorf("%.2f %% of the samples are on the right way, want 99.5 %%", 100*share)
	} else {
		t.Logf("%.2f %% of the samples are on the right way", 100*share)
	}
}

func TestSameBytes(t *testing.T) {
	in := andorra(t)
	a, err := Encode(in.survey(t, Options{}))
	if err != nil {
		t.Fatal(err)
	}
	old := runtime.GOMAXPROCS(1)
	s := in.survey(t, Options{})
	runtime.GOMAXPROCS(old)
	b, err := Encode(s)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a, b) {
		t.Error("two surveys of the same input differ")
	}
	t.Logf("%d bytes for %d samples", len(a), len(s.Samples))
	back, err := Decode(a)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(s, back, equalNaN); d != "" {
		t.Errorf("a survey read back differs (-made +read):\n%.2000s", d)
	}
}

func BenchmarkAndorra(b *testing.B) {
	in := andorra(b)
	b.ReportAllocs()
	for b.Loop() {
		in.survey(b, Options{})
	}
}
