package papers

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/paulmach/orb"
)

// Everything that a driver steers for is a waypoint, its symbol a plain word.
func TestPointsForNavigation(t *testing.T) {
	s := demoSet(t)
	have := map[string]int{}
	for _, p := range Points(s.Doc) {
		have[p.Kind]++
		if p.Name == "" || strings.ContainsAny(p.Kind, "_<>") || p.At == (orb.Point{}) {
			t.Errorf("a point without name, place or plain kind: %+v", p)
		}
	}
	// The demo has two camps, 18 legs, two fords, and one long way without maintained road.
	for kind, least := range map[string]int{"leg": len(s.Doc.Survey.Legs), "camp": 2, "ford": 2, "no return": 1, "bail-out": 5, "fuel": 1, "water": 1} {
		if have[kind] < least {
			t.Errorf("%d points of kind %q, want at least %d; there are %v", have[kind], kind, least, have)
		}
	}
}

func TestGPXWithGpsbabel(t *testing.T) {
	wants(t, "gpsbabel")
	s := demoSet(t)
	file := write(t, s, "gpx")
	points := len(Points(s.Doc))
	out := filepath.Join(t.TempDir(), "out.csv")
	run(t, "gpsbabel", "-i", "gpx", "-f", file, "-x", "nuketypes,tracks,routes", "-o", "csv", "-F", out)
	data, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(strings.TrimSpace(string(data)), "\n") + 1; n != points {
		t.Errorf("gpsbabel reads %d waypoints, want %d", n, points)
	}
	// The track's points, counted by converting to a plain list.
	run(t, "gpsbabel", "-i", "gpx", "-f", file, "-x", "nuketypes,waypoints,routes", "-o", "csv", "-F", out)
	if data, err = os.ReadFile(out); err != nil {
		t.Fatal(err)
	}
	want := 0
	for i := range s.Doc.Survey.Legs {
		want += len(legLine(s.Doc.Survey, i))
	}
	if n := strings.Count(strings.TrimSpace(string(data)), "\n") + 1; n != want {
		t.Errorf("gpsbabel reads %d track points, want %d", n, want)
	}
}

func TestCountsWithOgrinfo(t *testing.T) {
	wants(t, "ogrinfo")
	s := demoSet(t)
	legs, points := len(s.Doc.Survey.Legs), len(Points(s.Doc))
	count := func(key, layer string) int {
		args := []string{"-ro", "-so", write(t, s, key)}
		if layer != "" {
			args = append(args, layer)
		} else {
			args = append(args, "-al")
		}
		out, err := exec.Command("ogrinfo", args...).CombinedOutput()
		if err != nil {
			t.Fatalf("ogrinfo %v: %v\n%s", args, err, out)
		}
		if strings.Contains(string(out), "Warning") || strings.Contains(string(out), "ERROR") {
			t.Errorf("%s: ogrinfo complains:\n%s", key, out)
		}
		n := -1
		for _, line := range strings.Split(string(out), "\n") {
			fmt.Sscanf(line, "Feature Count: %d", &n)
		}
		return n
	}
	for _, c := range []struct {
		key, layer string
		want       int
	}{{"geojson", "", legs + points}, {"kml", "Legs", legs}, {"kml", "Places", points}, {"gpx", "tracks", 1}, {"gpx", "waypoints", points}} {
		if n := count(c.key, c.layer); n != c.want {
			t.Errorf("%s %s: ogrinfo counts %d features, want %d", c.key, c.layer, n, c.want)
		}
	}
}

// RFC 7946: a FeatureCollection, positions longitude first within the world's bounds, no "crs", lines of two
// positions and more; a leg over the 180th meridian is parted there (section 3.1.9).
func TestGeoJSONKeepsTheRFC(t *testing.T) {
	s := demoSet(t)
	var b bytes.Buffer
	if err := GeoJSON(&b, s.Doc); err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Type     string
		CRS      any
		Features []struct {
			Type       string
			ID         any
			Properties map[string]any
			Geometry   struct {
				Type        string
				Coordinates json.RawMessage
			}
		}
	}
	if err := json.Unmarshal(b.Bytes(), &doc); err != nil {
		t.Fatal(err)
	}
	if doc.Type != "FeatureCollection" || doc.CRS != nil {
		t.Errorf("type %q, crs %v", doc.Type, doc.CRS)
	}
	ids := map[any]bool{}
	inWorld := func(p []float64) bool {
		return len(p) == 2 && p[0] >= -180 && p[0] <= 180 && p[1] >= -90 && p[1] <= 90
	}
	for _, f := range doc.Features {
		if f.Type != "Feature" || f.Properties == nil || ids[f.ID] {
			t.Errorf("feature %v: type %q, properties %v, or its id stands twice", f.ID, f.Type, f.Properties != nil)
		}
		ids[f.ID] = true
		switch f.Geometry.Type {
		case "Point":
			var p []float64
			if json.Unmarshal(f.Geometry.Coordinates, &p) != nil || !inWorld(p) {
				t.Errorf("feature %v: point %s", f.ID, f.Geometry.Coordinates)
			}
		case "LineString":
			var l [][]float64
			if json.Unmarshal(f.Geometry.Coordinates, &l) != nil || len(l) < 2 {
				t.Errorf("feature %v: a line of %d positions", f.ID, len(l))
			}
			for _, p := range l {
				if !inWorld(p) {
					t.Errorf("feature %v: position %v", f.ID, p)
				}
			}
		default:
			t.Errorf("feature %v is a %s", f.ID, f.Geometry.Type)
		}
	}
	// By hand: from 179.9 E to 179.9 W at the same rate of climb, the meridian is half-way.
	got := cutAtDateLine(orb.LineString{{179.8, 9}, {179.9, 10}, {-179.9, 11}, {-179.8, 12}})
	if len(got) != 2 || got[0][2] != (orb.Point{180, 10.5}) || got[1][0] != (orb.Point{-180, 10.5}) || len(got[0]) != 3 || len(got[1]) != 3 {
		t.Errorf("a line over the 180th meridian was parted into %v", got)
	}
}
