package survey

import (
	"math"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lastroad/geo"
	"lastroad/geo/osm"
)

// moduleFile is a file that a required Go module carries.
func moduleFile(t testing.TB, module, name string) string {
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", module).Output()
	dir := strings.TrimSpace(string(out))
	if err != nil || dir == "" {
		t.Skipf("the module %s is not at hand", module)
	}
	return filepath.Join(dir, filepath.FromSlash(name))
}

// TestOlderAndorra surveys a made route on the extract of 2018 that a Go module carries, without heights.
func TestOlderAndorra(t *testing.T) {
	in := inputs{tables: tables(t), region: readRegion(t, moduleFile(t, "github.com/paulmach/osm", "testdata/andorra-latest.osm.bz2"), osm.Corridor{})}
	in.route = made(t, in, 40e3, 5)
	s := in.survey(t, Options{})
	if err := check(s); err != nil {
		t.Fatal(err)
	}
	on, knownGround, reached := 0, 0, 0
	for i := range s.Samples {
		q := &s.Samples[i]
		if q.Way >= 0 {
			on++
		}
		if s.Grounds[q.Ground].Known {
			knownGround++
		}
		if q.DriveM >= q.RoadM-60 { // a road cannot be nearer by driving than in a straight line, but for the scatter of the match
			reached++
		}
		if !math.IsNaN(q.HeightM) || !math.IsNaN(q.Grade) {
			t.Fatalf("sample %d has a height that nobody gave", i)
		}
	}
	n := len(s.Samples)
	t.Logf("%.1f km, %d legs; %d of %d samples on ways, ground known on %d", s.LengthM()/1000, len(s.Legs), on, n, knownGround)
	if float64(on) < 0.999*float64(n) {
		t.Errorf("%d of %d samples are on ways, want all: the route was made of them", on, n)
	}
	if reached != n {
		t.Errorf("%d of %d samples are nearer to a road by driving than in a straight line", n-reached, n)
	}
	if knownGround == 0 || knownGround == n {
		t.Errorf("ground is known on %d of %d samples; on tracks without tags it must stay unknown, on asphalt not", knownGround, n)
	}
}

// TestRecordedTracks: recorded lines without a region give samples with the file's heights and nothing else.
func TestRecordedTracks(t *testing.T) {
	for _, row := range []struct {
		name      string
		km        float64
		low, high float64
	}{
		// Points, lengths and heights as counted in the files; the recorded heights jump, so a wide margin.
		{"korita-zbevnica.gpx", 27.61, 722, 1051},
		{"visnjan.gpx", 4.45, 245, 304},
	} {
		in := inputs{tables: tables(t), route: readRoute(t, moduleFile(t, "github.com/tkrajina/gpxgo", "test_files/"+row.name))}
		s := in.survey(t, Options{})
		if km := s.LengthM() / 1000; math.Abs(km-row.km) > 0.02*row.km {
			t.Errorf("%s: %.2f km, want %.2f within 2 %%", row.name, km, row.km)
		}
		for i := range s.Samples {
			q := &s.Samples[i]
			if q.Way >= 0 || q.InRegion || !math.IsNaN(q.RoadM) {
				t.Fatalf("%s: sample %d claims to know a way or road", row.name, i)
			}
			if !math.IsNaN(q.HeightM) && (q.HeightM < row.low-1 || q.HeightM > row.high+1) {
				t.Errorf("%s: height %.1f m at sample %d, want %.0f to %.0f", row.name, q.HeightM, i, row.low, row.high)
				break
			}
		}
		if !slices.ContainsFunc(s.Samples, func(q geo.Sample) bool { return !math.IsNaN(q.HeightM) }) {
			t.Errorf("%s: no heights", row.name)
		}
	}
}
