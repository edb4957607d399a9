package verbs

import (
	"bytes"
	"context"
	"encoding/json"
	"encoding/xml"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lastroad/app/trip"
	"lastroad/risk"
)

// saved writes the demo as a trip whose party is changed, and returns its path.
func saved(t *testing.T, name string, change func(*risk.Trip)) string {
	t.Helper()
	d, err := trip.Demo(context.Background(), trip.Request{Quick: true}, nil)
	if err != nil {
		t.Fatal(err)
	}
	s, err := d.Saved()
	if err != nil {
		t.Fatal(err)
	}
	s.Plan = s.Plan.Clone()
	change(&s.Plan.Trip)
	path := filepath.Join(t.TempDir(), name+".trip")
	if err := s.WriteFile(path); err != nil {
		t.Fatal(err)
	}
	return path
}

func verbOut(t *testing.T, args ...string) (string, string, int) {
	t.Helper()
	var out, errs bytes.Buffer
	status := Run(context.Background(), args, Streams{Out: &out, Err: &errs}, nil)
	return out.String(), errs.String(), status
}

// A saved trip with a jack more and another month stand beside the demo on the same samples.
func TestCompareVerb(t *testing.T) {
	jack := saved(t, "with a winch", func(tr *risk.Trip) {
		tr.Party.Load = append(tr.Party.Load, risk.LoadItem{Item: "high_jack", Count: 1}, risk.LoadItem{Item: "jump_pack", Count: 1})
	})
	out, errs, status := verbOut(t, "compare", "demo", "--samples", "60", "--with", jack, "--month", "7", "--json")
	if status != Done {
		t.Fatalf("status %d: %s", status, errs)
	}
	var c struct {
		Samples  int
		Variants []struct {
			Name  string
			Score struct {
				Readiness, Readiness5 float64
				Word, Why             string
			}
			Legs []any
		}
		Pairs []struct {
			A, B   string
			Gain   float64
			Better float64   `json:"better_share"`
			Band   []float64 `json:"gain_5_50_95"`
			Legs   []any
			Answer string
		}
		Beats [][]float64
	}
	if err := json.Unmarshal([]byte(out), &c); err != nil {
		t.Fatal(err)
	}
	if c.Samples != 60 || len(c.Variants) != 3 || len(c.Pairs) != 2 || len(c.Beats) != 3 {
		t.Fatalf("%d samples, %d variants, %d pairs, %d rows of beats", c.Samples, len(c.Variants), len(c.Pairs), len(c.Beats))
	}
	for i, name := range []string{"this trip", "with a winch", "July"} {
		if c.Variants[i].Name != name || len(c.Variants[i].Legs) != 18 {
			t.Errorf("variant %d is %q with %d legs, want %q with 18", i, c.Variants[i].Name, len(c.Variants[i].Legs), name)
		}
	}
	if p := c.Pairs[0]; p.A != "this trip" || p.B != "with a winch" || !(p.Gain > 0) || p.Better != 1 || len(p.Band) != 3 || len(p.Legs) != 18 || p.Answer == "" {
		t.Errorf("a jack and a jump pack more: %+v", p)
	}
	text, errs, status := verbOut(t, "compare", "demo", "--samples", "40")
	if status != Done {
		t.Fatalf("status %d: %s", status, errs)
	}
	for _, w := range []string{"solo", "together", "one cause can take both", "any vehicle of the party stopped", "leg by leg"} {
		if !strings.Contains(text, w) {
			t.Errorf("the comparison does not say %q:\n%s", w, text)
		}
	}
	lone := saved(t, "alone", func(tr *risk.Trip) { tr.Partner = nil })
	for _, r := range []struct {
		name, want string
		args       []string
	}{
		{"no second vehicle", "no second vehicle", []string{"compare", lone}},
		{"month 13", "--month 13", []string{"compare", "demo", "--month", "13"}},
		{"five variants", "at most 4", []string{"compare", "demo", "--month", "1", "--month", "2", "--month", "3", "--month", "4"}},
		{"a missing file", "nowhere.trip", []string{"compare", "demo", "--with", "nowhere.trip"}},
	} {
		if _, errs, status := verbOut(t, r.args...); status != BadInput || !strings.Contains(errs, r.want) || strings.Count(errs, "\n") != 1 {
			t.Errorf("%s: status %d, %q; want one line with %q", r.name, status, errs, r.want)
		}
	}
}

func TestPackVerb(t *testing.T) {
	svg := filepath.Join(t.TempDir(), "kg.svg")
	out, errs, status := verbOut(t, "pack", "demo", "--payload", "30", "--samples", "0", "--picture", svg, "--json")
	if status != Done {
		t.Fatalf("status %d: %s", status, errs)
	}
	var a struct {
		Readiness float64
		Payload   float64 `json:"payload_kg"`
		Best      struct {
			Kg, Readiness float64
			Exact         bool
		}
		Frontier []struct{ Kg, Readiness float64 }
		Carried  []struct {
			Item     string
			May      bool `json:"may_stay"`
			Unvalued bool `json:"not_valued_by_the_model"`
		}
	}
	if err := json.Unmarshal([]byte(out), &a); err != nil {
		t.Fatal(err)
	}
	if a.Payload != 30 || !(a.Best.Kg <= 30) || !(a.Best.Readiness > a.Readiness) || !a.Best.Exact || len(a.Frontier) < 3 || a.Frontier[0].Kg != 0 {
		t.Errorf("with 30 kg: %+v", a)
	}
	last := a.Frontier[len(a.Frontier)-1]
	if d := a.Best.Readiness - last.Readiness; last.Kg > 30 || d < -0.02 || d > 0.02 {
		t.Errorf("the frontier ends at %+v, the best set is %+v", last, a.Best)
	}
	for _, c := range a.Carried {
		if (c.Item == "first_aid" || c.Item == "sleeping_gear" || c.Item == "fire_extinguisher") && c.May {
			t.Errorf("%s may stay at home", c.Item)
		}
	}
	pic, err := os.ReadFile(svg)
	if err != nil || xml.Unmarshal(pic, new(struct{})) != nil {
		t.Errorf("the picture is no SVG: %v", err)
	}
	if _, errs, status := verbOut(t, "pack", "demo", "--picture", "x.gif"); status != BadInput || !strings.Contains(errs, ".svg") {
		t.Errorf("a .gif is drawn: status %d, %q", status, errs)
	}
}

func TestAssumptionsOfATrip(t *testing.T) {
	if os.Getenv("LASTROAD_LONG") == "" {
		t.Skip("judges the demo some thousand times: set LASTROAD_LONG=1; the effects themselves are tested in risk")
	}
	out, errs, status := verbOut(t, "assumptions", "--on", "demo", "bogged", "--json")
	if status != Done {
		t.Fatalf("status %d: %s", status, errs)
	}
	var a struct {
		Numbers []struct {
			Path string
			Trip float64   `json:"trip_points"`
			Legs []float64 `json:"leg_points"`
		}
	}
	if err := json.Unmarshal([]byte(out), &a); err != nil {
		t.Fatal(err)
	}
	if len(a.Numbers) < 10 || len(a.Numbers[0].Legs) != 18 {
		t.Fatalf("%d numbers about bogging", len(a.Numbers))
	}
	for _, n := range a.Numbers {
		if n.Path == "rate/bogged/salt" && n.Legs[4] == 0 {
			t.Error("the rate of bogging on salt does not move the leg on salt")
		}
	}
}
