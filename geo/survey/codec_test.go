package survey

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/garble"
	"lastroad/geo/osm"
)

// small is a survey of the drawn desert with a bit of everything in it.
func small(t testing.TB) *geo.Survey {
	d := desert(orb.Point{15, 24})
	d.way([][2]float64{{15007, 800}, {14993, -800}}, "waterway=stream")
	route := geo.Route{Name: "Desert & \"dunes\" <1>", Line: d.line([2]float64{0, 0}, [2]float64{20000, 0}), HeightM: []float64{312.5, math.NaN()},
		Time:      []time.Time{time.Date(2025, 4, 1, 6, 30, 0, 0, time.UTC), {}},
		Waypoints: []geo.Waypoint{{Name: "Well", At: d.at(5, 5), HeightM: math.NaN()}}, Notes: []string{"A note."}}
	in := inputs{route, d.region(t, osm.Corridor{}), nil, tables(t)}
	return in.survey(t, Options{StepM: 500, Stops: []Stop{{Name: "Camp", AtM: 8000, Night: true, WaterL: 40, Fuel: true}}})
}

// Surveys that were saved before marks told what their chances rest on are read as they were.
func TestDecodeReadsMarksWithoutPremises(t *testing.T) {
	s := small(t)
	b, err := Encode(s)
	if err != nil {
		t.Fatal(err)
	}
	i, j := bytes.Index(b, []byte(`"premises":`)), bytes.Index(b, []byte(`"help":`))
	if i < 0 || j < i || !bytes.Contains(b, []byte(`,"rests":[1,0]`)) {
		t.Fatalf("the survey holds no premises between marks and help: %s", b)
	}
	old := bytes.ReplaceAll(slices.Concat(b[:i], b[j:]), []byte(`,"rests":[1,0]`), nil)
	back, err := Decode(old)
	if err != nil {
		t.Fatal(err)
	}
	s.Premises = nil
	for i := range s.Marks {
		s.Marks[i].Rests = [2]uint16{}
	}
	if d := cmp.Diff(s, back, equalNaN); d != "" {
		t.Errorf("an older survey differs (-made +read):\n%s", d)
	}
	if again, err := Encode(back); err != nil || !bytes.Equal(old, again) {
		t.Errorf("an older survey is written with something new, or %v", err)
	}
}

func TestCodecRoundTrip(t *testing.T) {
	for name, s := range map[string]*geo.Survey{"drawn": small(t), "empty": {}} {
		b, err := Encode(s)
		if err != nil {
			t.Fatal(err)
		}
		back, err := Decode(b)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if d := cmp.Diff(s, back, equalNaN); d != "" {
			t.Errorf("%s: a survey read back differs (-made +read):\n%s", name, d)
		}
		again, err := Encode(back)
		if err != nil || !bytes.Equal(b, again) {
			t.Errorf("%s: written again it differs, or %v", name, err)
		}
	}
}

func TestDecodeRefuses(t *testing.T) {
	good, err := Encode(small(t))
	if err != nil {
		t.Fatal(err)
	}
	change := func(from, to string) []byte {
		if !bytes.Contains(good, []byte(from)) {
			t.Fatalf("the survey does not hold %q", from)
		}
		return bytes.Replace(good, []byte(from), []byte(to), 1)
	}
	for _, row := range []struct {
		name string
		data []byte
		says string
	}{
		{"nothing", nil, "end of JSON"},
		{"other JSON", []byte(`{"a":1}`), "no survey_schema"},
		{"a newer schema", change(`"survey_schema":1`, `"survey_schema":2`), "schema 2"},
		{"an unknown key", change(`"step_m"`, `"colour":3,"step_m"`), "colour"},
		{"cut short", good[:len(good)-9], ""},
		{"something behind it", append(bytes.Clone(good), "{}"...), ""},
		{"a column missing", change(`"height_cm"`, `"height_dm"`), "height_cm is missing"},
		{"a column too short", change(`"lat_e7":[`, `"lat_e7":[0,`), "lat_e7 has"},
		{"distances that fall", change(`"distance_mm":[0,500000`, `"distance_mm":[0,-500000`), "distances do not rise"},
		{"a broken number", change(`"distance_mm":[0,500000`, `"distance_mm":[0,5.5`), "whole numbers"},
		{"an endless number", change(`"distance_mm":[0,500000`, `"distance_mm":[0,99999999999999999999`), "out of range"},
		{"a way that is not there", change(`"ways":[`, `"ways":null,"x":[`), ""},
		{"a run that is too long", change(`"flags":[`, `"flags":[0,999999999999,`), "a run of"},
		{"a step below zero", change(`"step_m":500`, `"step_m":-5`), "step"},
	} {
		_, err := Decode(row.data)
		var bad *geo.InputError
		if !errors.As(err, &bad) || !strings.Contains(err.Error(), row.says) {
			t.Errorf("%s: error %v, want an input error that says %q", row.name, err, row.says)
		}
	}
	s := small(t)
	for name, spoil := range map[string]func(s *geo.Survey){
		"ground index":   func(s *geo.Survey) { s.Samples[3].Ground = 99 },
		"place index":    func(s *geo.Survey) { s.Samples[3].HelpAt[0] = 99 },
		"legs with gaps": func(s *geo.Survey) { s.Legs[0].To-- },
		"off the globe":  func(s *geo.Survey) { s.Samples[3].Lat = 91 },
		"shares":         func(s *geo.Survey) { s.Grounds[0].P[1] += 0.5 },
		"mark":           func(s *geo.Survey) { s.Marks[0].DistanceM = -4 },
		"premise":        func(s *geo.Survey) { s.Premises[0].From = "hearsay" },
		"premise's end":  func(s *geo.Survey) { s.Premises[0].High = 1.5 },
		"premise's name": func(s *geo.Survey) { s.Premises[0].Key = "" },
		"premise index":  func(s *geo.Survey) { s.Marks[doubted(s)].Rests[1] = 9 },
		"chance":         func(s *geo.Survey) { s.Marks[doubted(s)].Chance /= 2 },
	} {
		b, _ := Encode(s)
		c, err := Decode(b)
		if err != nil {
			t.Fatal(err)
		}
		spoil(c)
		if b, err = Encode(c); err != nil {
			continue
		}
		if _, err = Decode(b); err == nil {
			t.Errorf("a survey with a bad %s is accepted", name)
		}
	}
}

// doubted is the first mark that rests on a premise.
func doubted(s *geo.Survey) int {
	return slices.IndexFunc(s.Marks, func(m geo.Mark) bool { return m.Rests[0] > 0 })
}

// FuzzDecode: no input crashes, and what is accepted is written and read back alike.
func FuzzDecode(f *testing.F) {
	if b, err := Encode(small(f)); err == nil {
		f.Add(b)
	}
	f.Add([]byte(`{"survey_schema":1}`))
	f.Add([]byte(`{"survey_schema":1,"route":{"name":"","line":[]},"step_m":25,"samples":{"distance_mm":[0]}}`))
	if b, err := Encode(small(f)); err == nil {
		for _, b := range garble.Copies(200, true, b) {
			f.Add(b)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := Decode(data)
		if err != nil {
			return
		}
		b, err := Encode(s)
		if err != nil {
			return // numbers beyond what can be written, such as an infinite height of a mark
		}
		again, err := Decode(b)
		if err != nil {
			t.Fatalf("what was written is refused: %v", err)
		}
		if c, err := Encode(again); err != nil || !bytes.Equal(b, c) {
			t.Fatalf("written twice it differs, or %v", err)
		}
	})
}

func TestColumnLimits(t *testing.T) {
	var u units
	for _, bad := range []string{`5`, `"x"`, `{}`, `[1.5]`, `[1e3]`, `["1"]`, `[[1]]`, `[true]`, `[9007199254740993]`, `[4503599627370496,4503599627370496]`} {
		if err := json.Unmarshal([]byte(bad), &u); err == nil {
			t.Errorf("column %s is accepted as %v", bad, u)
		}
	}
	if err := json.Unmarshal([]byte(`[ 1, null , -3 ]`), &u); err != nil || len(u) != 3 || u[0] != 1 || !math.IsNaN(u[1]) || u[2] != -2 {
		t.Errorf("column [1, null, -3] is read as %v, %v; want 1, unknown, -2", u, err)
	}
	if _, err := encodeColumn(nil, 1, 1e3, func(int) float64 { return math.Inf(1) }); err == nil {
		t.Error("an infinite number is written")
	}
}
