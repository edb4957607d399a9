package split

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"lastroad/geo"
)

// stretch is a part of a made survey: so many kilometres of one ground and grade.
type stretch struct {
	km     float64
	ground geo.Ground
	grade  float64
	kept   bool
	out    bool // outside the ground data
	way    string
}

// surveyOf lays samples 25 m apart over stretches; off the maintained road it is 2 km away.
func surveyOf(parts ...stretch) *geo.Survey {
	s := &geo.Survey{StepM: 25}
	at := 0.0
	for _, p := range parts {
		g := uint16(len(s.Grounds))
		if p.ground == geo.Unknown {
			m := geo.Pure(geo.FirmTrack, "guess")
			m.Known = false
			s.Grounds = append(s.Grounds, m)
		} else {
			s.Grounds = append(s.Grounds, geo.Pure(p.ground, ""))
		}
		w := int32(len(s.Ways))
		s.Ways = append(s.Ways, geo.WayInfo{Name: p.way, Kept: p.kept})
		for k := 0; k < int(math.Round(p.km*40)); k++ {
			away := 2000.0
			if p.kept {
				away = 0
			}
			q := geo.Sample{DistanceM: at, Way: w, Ground: g, Kept: p.kept, InRegion: !p.out, Grade: p.grade,
				Side: math.NaN(), RoadM: away, DriveMin: away / 300}
			if p.out {
				q.Way, q.RoadM, q.DriveMin = -1, math.NaN(), math.NaN()
			}
			s.Samples = append(s.Samples, q)
			at += 25
		}
	}
	return s
}

func said(legs []geo.Leg, s *geo.Survey) string {
	var b strings.Builder
	for _, l := range legs {
		lock := ""
		if l.Locked {
			lock = "!"
		}
		fmt.Fprintf(&b, "%.1f-%.1f%s %s; ", s.Samples[l.From].DistanceM/1000, s.Samples[l.To].DistanceM/1000, lock, l.Why)
	}
	return b.String()
}

func legsOf(t testing.TB, s *geo.Survey, musts []Must, edits ...Edit) ([]geo.Leg, []string) {
	legs, notes, err := Legs(context.Background(), s, musts, edits, Settings{})
	if err != nil {
		t.Fatal(err)
	}
	return legs, notes
}

func TestLegsRows(t *testing.T) {
	for _, row := range []struct {
		name  string
		parts []stretch
		musts []Must
		edits []Edit
		want  string
	}{
		{"one even stretch", []stretch{{km: 10, ground: geo.Gravel}}, nil, nil, "0.0-10.0 start; "},
		{"ground changes", []stretch{{km: 8, ground: geo.Gravel}, {km: 8, ground: geo.Sand}}, nil, nil,
			"0.0-8.0 start; 8.0-16.0 ground changes from gravel to sand; "},
		{"a little sand is no leg", []stretch{{km: 8, ground: geo.Gravel}, {km: 0.5, ground: geo.Sand}, {km: 8, ground: geo.Gravel}}, nil, nil,
			"0.0-16.5 start; "},
		{"climb and descent", []stretch{{km: 6, ground: geo.Gravel, grade: 0.12}, {km: 6, ground: geo.Gravel, grade: -0.12}}, nil, nil,
			"0.0-6.0 start; 6.0-12.0 over the top: descending 12 %; "},
		{"off the maintained road and back", []stretch{{km: 5, ground: geo.Sealed, kept: true}, {km: 6, ground: geo.Clay}, {km: 5, ground: geo.Sealed, kept: true}}, nil, nil,
			"0.0-5.0 start; 5.0-11.0 leaves the maintained road; 11.0-16.0 reaches a maintained road; "},
		{"a short visit to a track is smoothed away", []stretch{{km: 5, ground: geo.Gravel, kept: true}, {km: 0.8, ground: geo.Gravel}, {km: 5, ground: geo.Gravel, kept: true}}, nil, nil,
			"0.0-10.8 start; "},
		{"a longer one is not", []stretch{{km: 5, ground: geo.Gravel, kept: true}, {km: 1.2, ground: geo.Gravel}, {km: 5, ground: geo.Gravel, kept: true}}, nil, nil,
			"0.0-5.0 start; 5.0-6.2 leaves the maintained road; 6.2-11.2 reaches a maintained road; "},
		{"the data end", []stretch{{km: 5, ground: geo.Clay}, {km: 5, out: true}}, nil, nil, "0.0-5.0 start; 5.0-10.0 the ground data end here; "},
		{"a stop", []stretch{{km: 10, ground: geo.Gravel}}, []Must{{At: 100, Why: "your stop: spring"}}, nil, "0.0-2.5 start; 2.5-10.0 your stop: spring; "},
		{"a stop at the very start or end changes nothing", []stretch{{km: 10, ground: geo.Gravel}}, []Must{{At: 0, Why: "x"}, {At: 399, Why: "x"}}, nil, "0.0-10.0 start; "},
		{"split by hand", []stretch{{km: 10, ground: geo.Gravel}}, nil, []Edit{{Do: Split, FromM: 4010}}, "0.0-4.0 start; 4.0-10.0 your cut; "},
		{"merge by the joint", []stretch{{km: 8, ground: geo.Gravel}, {km: 8, ground: geo.Sand}}, nil, []Edit{{Do: Merge, FromM: 8200}}, "0.0-16.0 start; "},
		{"merge a span", []stretch{{km: 8, ground: geo.Gravel}, {km: 8, ground: geo.Sand}, {km: 8, ground: geo.Gravel}}, nil, []Edit{{Do: Merge, FromM: 1000, ToM: 20000}}, "0.0-24.0 start; "},
		{"a locked leg is not cut", []stretch{{km: 8, ground: geo.Gravel}, {km: 8, ground: geo.Sand}}, nil, []Edit{{Do: Lock, FromM: 5000, ToM: 11000}},
			"0.0-5.0 start; 5.0-11.0! set by you; 11.0-16.0 set by you; "},
		{"unlocked again", []stretch{{km: 8, ground: geo.Gravel}, {km: 8, ground: geo.Sand}}, nil, []Edit{{Do: Lock, FromM: 5000, ToM: 11000}, {Do: Unlock, FromM: 6000}},
			"0.0-8.0 start; 8.0-16.0 ground changes from gravel to sand; "},
		{"the later lock wins", []stretch{{km: 16, ground: geo.Gravel}}, nil, []Edit{{Do: Lock, FromM: 5000, ToM: 11000}, {Do: Lock, FromM: 10000, ToM: 12000}},
			"0.0-10.0 start; 10.0-12.0! set by you; 12.0-16.0 set by you; "},
	} {
		s := surveyOf(row.parts...)
		legs, notes := legsOf(t, s, row.musts, row.edits...)
		if got := said(legs, s); got != row.want {
			t.Errorf("%s:\n got %s\nwant %s", row.name, got, row.want)
		}
		if len(notes) > 0 {
			t.Errorf("%s: notes %q", row.name, notes)
		}
	}
}

func TestEditsThatFindNoPlace(t *testing.T) {
	s := surveyOf(stretch{km: 10, ground: geo.Gravel})
	for _, e := range []Edit{{Do: Split, FromM: 20000}, {Do: Merge, FromM: 5000}, {Do: Rename, FromM: -5, Name: "x"}, {Do: "turn"},
		{Do: Lock, FromM: 30000, ToM: 40000}, {Do: Split, FromM: math.NaN()}} {
		legs, notes := legsOf(t, s, nil, e)
		if len(legs) != 1 || len(notes) != 1 {
			t.Errorf("%+v gives %d legs and notes %q, want the one leg and one note", e, len(legs), notes)
		}
	}
	_, notes := legsOf(t, s, nil, Edit{Do: Lock, FromM: 2000, ToM: 4000}, Edit{Do: Split, FromM: 3000}, Edit{Do: Merge, FromM: 2000})
	if len(notes) != 2 {
		t.Errorf("cutting and merging a locked leg gives notes %q, want two", notes)
	}
}

func TestNames(t *testing.T) {
	s := surveyOf(stretch{km: 8, ground: geo.Gravel, way: "Dry Lake Road"}, stretch{km: 8, ground: geo.Sand}, stretch{km: 8, ground: geo.Gravel, way: "Dry Lake Road"})
	s.Marks = []geo.Mark{{Kind: geo.MarkPass, DistanceM: 12000, Name: "High Saddle"}}
	legs, _ := legsOf(t, s, nil, Edit{Do: Rename, FromM: 1000, Name: "The way in"})
	var names []string
	for _, l := range legs {
		names = append(names, l.Name)
	}
	if d := cmp.Diff([]string{"The way in", "Over High Saddle", "Dry Lake Road"}, names); d != "" {
		t.Error(d)
	}
}

// A name given by hand outlives joining, and is not numbered because a way is called the same.
func TestNamesGivenByHandStay(t *testing.T) {
	parts := []stretch{{km: 8, ground: geo.Gravel, way: "Dry Lake Road"}, {km: 8, ground: geo.Sand}, {km: 8, ground: geo.Gravel, way: "Dry Lake Road"}}
	for _, row := range []struct {
		name  string
		edits []Edit
		want  string
	}{
		{"the second of two joined has a name", []Edit{{Do: Rename, FromM: 12000, Name: "The dunes"}, {Do: Merge, FromM: 0, ToM: 16000}}, "The dunes, Dry Lake Road"},
		{"both have", []Edit{{Do: Rename, FromM: 12000, Name: "The dunes"}, {Do: Rename, FromM: 4000, Name: "The way in"}, {Do: Merge, FromM: 0, ToM: 16000}}, "The way in, Dry Lake Road"},
		{"cut in two", []Edit{{Do: Rename, FromM: 12000, Name: "The dunes"}, {Do: Split, FromM: 11000}}, "Dry Lake Road, The dunes, Leg 3, Dry Lake Road (2)"},
		{"the name of a way that comes before", []Edit{{Do: Rename, FromM: 12000, Name: "Dry Lake Road"}}, "Dry Lake Road (2), Dry Lake Road, Dry Lake Road (3)"},
	} {
		legs, notes := legsOf(t, surveyOf(parts...), nil, row.edits...)
		var names []string
		for _, l := range legs {
			names = append(names, l.Name)
		}
		if got := strings.Join(names, ", "); got != row.want || len(notes) > 0 {
			t.Errorf("%s: %s with notes %q, want %s", row.name, got, notes, row.want)
		}
	}
}

// An edit whose wish the cut fulfils by itself is no edit that went wrong, and one whose place a new cut shifted
// a little takes in nothing more.
func TestEditsAfterAnotherCut(t *testing.T) {
	for _, row := range []struct {
		name  string
		parts []stretch
		edits []Edit
		want  string
	}{
		{"joined already", []stretch{{km: 16, ground: geo.Gravel}}, []Edit{{Do: Merge, FromM: 4000, ToM: 12000}}, "0.0-16.0 start; "},
		{"joined, then locked", []stretch{{km: 8, ground: geo.Gravel}, {km: 8, ground: geo.Sand}}, []Edit{{Do: Merge, FromM: 0, ToM: 16000}, {Do: Lock, FromM: 0, ToM: 16000}}, "0.0-16.0! start; "},
		{"cut, then locked behind the cut", []stretch{{km: 16, ground: geo.Gravel}}, []Edit{{Do: Split, FromM: 6000}, {Do: Lock, FromM: 6000, ToM: 16000}}, "0.0-6.0 start; 6.0-16.0! set by you; "},
		{"the end of what was joined lies further in now", []stretch{{km: 8, ground: geo.Gravel}, {km: 8, ground: geo.Sand}, {km: 8, ground: geo.Gravel}},
			[]Edit{{Do: Merge, FromM: 0, ToM: 16200}}, "0.0-16.0 start; 16.0-24.0 ground changes from sand to gravel; "},
		{"a short leg of one's own joined again", []stretch{{km: 16, ground: geo.Gravel}}, []Edit{{Do: Split, FromM: 6000}, {Do: Split, FromM: 6300}, {Do: Merge, FromM: 6000, ToM: 16000}},
			"0.0-6.0 start; 6.0-16.0 your cut; "},
	} {
		s := surveyOf(row.parts...)
		legs, notes := legsOf(t, s, nil, row.edits...)
		if got := said(legs, s); got != row.want || len(notes) > 0 {
			t.Errorf("%s:\n got %s with notes %q\nwant %s", row.name, got, notes, row.want)
		}
	}
}

// TestLegsCover: whatever the survey and the edits, the legs cover the samples in order without gap.
func TestLegsCover(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var parts []stretch
		for k := rapid.IntRange(1, 6).Draw(t, "parts"); k > 0; k-- {
			parts = append(parts, stretch{km: rapid.Float64Range(0.05, 9).Draw(t, "km"), ground: geo.Ground(rapid.IntRange(0, int(geo.NumGrounds)-1).Draw(t, "ground")),
				grade: rapid.Float64Range(-0.3, 0.3).Draw(t, "grade"), kept: rapid.Bool().Draw(t, "kept"), out: rapid.IntRange(0, 4).Draw(t, "out") == 0})
		}
		s := surveyOf(parts...)
		n := len(s.Samples)
		if n < 2 {
			return
		}
		var musts []Must
		for k := rapid.IntRange(0, 3).Draw(t, "musts"); k > 0; k-- {
			musts = append(musts, Must{rapid.IntRange(0, n-1).Draw(t, "must"), "stop"})
		}
		var edits []Edit
		for k := rapid.IntRange(0, 6).Draw(t, "edits"); k > 0; k-- {
			e := Edit{Do: rapid.SampledFrom([]string{Merge, Split, Rename, Lock, Unlock}).Draw(t, "do"), FromM: rapid.Float64Range(-100, 60000).Draw(t, "from"), Name: "x"}
			if rapid.Bool().Draw(t, "span") {
				e.ToM = e.FromM + rapid.Float64Range(-100, 9000).Draw(t, "span m")
			}
			edits = append(edits, e)
		}
		legs, _, err := Legs(context.Background(), s, musts, edits, Settings{})
		if err != nil {
			t.Fatal(err)
		}
		at := 0
		for _, l := range legs {
			if l.From != at || l.To <= l.From || l.Name == "" || l.Why == "" {
				t.Fatalf("leg %+v does not follow sample %d", l, at)
			}
			at = l.To
		}
		if at != n-1 {
			t.Fatalf("the legs end at sample %d of %d", at, n-1)
		}
		again, _, _ := Legs(context.Background(), s, musts, edits, Settings{})
		if d := cmp.Diff(legs, again); d != "" {
			t.Fatal("the same input gives other legs: " + d)
		}
	})
}

func ExampleLegs() {
	s := surveyOf(stretch{km: 12, ground: geo.Sealed, kept: true}, stretch{km: 9, ground: geo.Sand}, stretch{km: 7, ground: geo.LooseRock})
	legs, _, err := Legs(context.Background(), s, nil, nil, Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range legs {
		fmt.Printf("km %.0f to %.0f: %s\n", s.Samples[l.From].DistanceM/1000, s.Samples[l.To].DistanceM/1000, l.Why)
	}
	// Output:
	// km 0 to 12: start
	// km 12 to 21: leaves the maintained road
	// km 21 to 28: ground changes from sand to loose rock
}
