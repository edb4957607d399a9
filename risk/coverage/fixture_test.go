package coverage

import (
	"context"
	"fmt"
	"math"
	"testing"
)

// The reference trip of these tests is a made-up one of 60 km on firm track and sand, worked out by hand
// and with an independent script: six kinds of trouble, stocks not limiting, omega 0.3, help after a
// median of 24 h (error factor 3), supplies for 72 h, D = 0.3.
type refRecipe struct {
	items  []string
	chance float64
}

type refEvent struct {
	key         string
	m, worst, b float64
	ef          float64
	recipes     []refRecipe
}

var refEvents = []refEvent{
	{"tyre/pluggable", .03, .03, .05, 3, []refRecipe{{[]string{"plugs", "compressor"}, .90}, {[]string{"spare", "jack"}, .97}}},
	{"tyre/destroyed", .004, .004, .05, 3, []refRecipe{{[]string{"spare", "jack"}, .97}}},
	{"bogged/light", .10, .20, .20, 5, []refRecipe{{[]string{"shovel", "gauge", "compressor"}, .80}, {[]string{"boards", "shovel"}, .70}, {[]string{"partner", "strap"}, .90}}},
	{"bogged/deep", .02, .05, .20, 5, []refRecipe{{[]string{"winch", "anchor"}, .80}, {[]string{"partner", "strap"}, .60}}},
	{"battery", .01, .01, .05, 3, []refRecipe{{[]string{"jump pack"}, .90}, {[]string{"partner", "leads"}, .95}}},
	{"driveline", .006, .006, .05, 3, []refRecipe{{[]string{"partner", "strap"}, .50}}},
}

// refModel builds the reference trip for what is carried; beacon halves nothing but the notice delay.
func refModel(have map[string]bool, beacon bool) *Model {
	m := &Model{Omega: 0.3, OmegaInput: -1, HelpInput: -1, Common: -1}
	m.Things = []Thing{{Key: "partner", Chance: 0.85, Together: 0.85}}
	delay := 48.0
	if beacon {
		delay = 1
	}
	h := Help{MedianH: 24, EF: 3, DelayH: delay, TauH: 72}
	for i, e := range refEvents {
		m.Events = append(m.Events, Event{Key: e.key})
		c := Class{Beta: e.b, BetaInput: -1, PartnerInput: -1}
		for k, r := range e.recipes {
			rec := Recipe{Chance: r.chance, Scale: 1, Input: -1, Key: int32(k)}
			ok := true
			for _, it := range r.items {
				if !have[it] {
					ok = false
				}
				if it == "partner" && ok {
					c.Atoms = []int32{0}
					rec.Needs = []uint16{1}
				}
			}
			if ok {
				c.Solo = append(c.Solo, rec)
			}
		}
		m.Classes = append(m.Classes, c)
		in := Input{Key: e.key, Kind: Rate, Sigma: SigmaOf(e.ef), LowAt: 1 / e.ef, HighAt: e.ef}
		m.Inputs = append(m.Inputs, in)
		m.Cells = append(m.Cells, Cell{Event: int32(i), Class: int32(i), Mean: e.m, Worst: e.worst, From: int32(i), To: int32(i + 1)})
		m.Parts = append(m.Parts, Part{Mean: e.m, Worst: e.worst, Rate: int32(i), Wide: -1, Mix: -1})
	}
	m.Pieces = []Piece{{First: 0, Last: len(m.Cells), Help: [2]Help{h, h}}}
	return m
}

func have(items ...string) map[string]bool {
	m := map[string]bool{}
	for _, i := range items {
		m[i] = true
	}
	return m
}

var (
	refRow2 = []string{"spare", "jack"}
	refRow4 = append(refRow2[:2:2], "plugs", "compressor", "gauge", "shovel")
	refRow5 = append(refRow4[:6:6], "boards")
	refRow6 = append(refRow5[:7:7], "jump pack")
	refRow7 = append(refRow6[:8:8], "partner", "strap", "leads")
)

func TestReferenceTrip(t *testing.T) {
	rows := []struct {
		name   string
		items  []string
		beacon bool
		r, u   float64
	}{
		{"bare, no beacon", nil, false, 63.1667, 0.110500},
		{"spare and jack, no beacon", refRow2, false, 70.3123, 0.089063},
		{"spare and jack, beacon", refRow2, true, 84.6292, 0.046112},
		{"plugs, compressor, gauge, shovel too", refRow4, true, 93.6899, 0.018930},
		{"boards too", refRow5, true, 94.9463, 0.015161},
		{"jump pack too", refRow6, true, 95.9559, 0.012132},
		{"a partner, strap and leads too", refRow7, true, 98.0772, 0.005768},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			m := refModel(have(row.items...), row.beacon)
			if err := m.Check(); err != nil {
				t.Fatal(err)
			}
			got := NewWork(m).Evaluate()
			if math.Abs(got.Readiness()-row.r) > 5.1e-5 || math.Abs(got.U-row.u) > 5.1e-7 {
				t.Errorf("readiness %.4f with trouble %.6f, want %.4f and %.6f", got.Readiness(), got.U, row.r, row.u)
			}
			if math.Abs(got.D-0.3) > 1e-12 {
				t.Errorf("denominator %g, want 0.3", got.D)
			}
		})
	}
}

func TestReferenceTripLosses(t *testing.T) {
	rows := []struct {
		items  []string
		beacon bool
		want   map[string]float64
	}{
		{nil, false, map[string]float64{"bogged/light": 21.667, "tyre/pluggable": 6.5, "bogged/deep": 4.333}},
		{refRow2, true, map[string]float64{"bogged/light": 11.218, "bogged/deep": 2.244}},
		{refRow4, true, map[string]float64{"bogged/light": 2.244, "bogged/deep": 2.244, "battery": 1.122}},
		{refRow5, true, map[string]float64{"bogged/deep": 2.244, "battery": 1.122, "bogged/light": 0.987}},
	}
	for _, row := range rows {
		m := refModel(have(row.items...), row.beacon)
		w := NewWork(m)
		r := w.Evaluate()
		for i := range m.Cells {
			mean, _, in := w.Cell(0, i)
			lost := 100 * mean * w.Fail[i] * (w.Omega() + (1-w.Omega())*(1-in)) / r.D
			key := m.Events[m.Cells[i].Event].Key
			if want, ok := row.want[key]; ok && math.Abs(lost-want) > 5.1e-4 {
				t.Errorf("with %v %s loses %.3f points, want %.3f", row.items, key, lost, want)
			}
		}
	}
}

func TestReferenceTripBundles(t *testing.T) {
	base := NewWork(refModel(have(refRow2...), true)).Evaluate().Readiness()
	rows := []struct {
		items []string
		kg    float64
		gain  float64
		perKg float64
	}{
		{[]string{"compressor", "gauge", "shovel"}, 6.0, 8.9743, 1.4957},
		{[]string{"jump pack"}, 1.2, 1.0096, 0.8413},
		{[]string{"winch", "anchor"}, 44, 1.7949, 0.0408},
		{[]string{"plugs", "compressor"}, 4.8, 0.0863, 0.0180},
		{[]string{"plugs"}, 1, 0, 0}, {[]string{"compressor"}, 1, 0, 0}, {[]string{"gauge"}, 1, 0, 0},
		{[]string{"shovel"}, 1, 0, 0}, {[]string{"boards"}, 1, 0, 0}, {[]string{"winch"}, 1, 0, 0}, {[]string{"anchor"}, 1, 0, 0},
	}
	for _, row := range rows {
		got := NewWork(refModel(have(append(row.items, refRow2...)...), true)).Evaluate().Readiness() - base
		if math.Abs(got-row.gain) > 5.1e-5 || math.Abs(got/row.kg-row.perKg) > 5.1e-5 {
			t.Errorf("%v gains %.4f (%.4f per kg), want %.4f (%.4f)", row.items, got, got/row.kg, row.gain, row.perKg)
		}
	}
}

func TestReferenceTripTornado(t *testing.T) {
	m := refModel(have(refRow4...), true)
	want := map[string][2]float64{
		"bogged/light": {0.013546, 0.045853}, "bogged/deep": {0.013546, 0.045853},
		"battery": {0.016687, 0.025661}, "driveline": {0.017584, 0.022969},
	}
	swings := Tornado(m)
	if k := m.Inputs[swings[0].Input].Key; k != "bogged/light" && k != "bogged/deep" {
		t.Errorf("the largest swing is %s, want bogging", k)
	}
	for _, s := range swings {
		key := m.Inputs[s.Input].Key
		if w, ok := want[key]; ok {
			if math.Abs(s.ULow-w[0]) > 5.1e-7 || math.Abs(s.UHigh-w[1]) > 5.1e-7 {
				t.Errorf("%s moves U from %.6f to %.6f, want %.6f to %.6f", key, s.ULow, s.UHigh, w[0], w[1])
			}
		} else if d := s.UHigh - s.ULow; !(d > 0 && d < 1.1e-4*9) {
			t.Errorf("%s moves U by %.6f, want little", key, d)
		}
	}
}

// The bands were found by an independent script with 4000 samples of its own, which took the means of
// the table as the medians of the rates; the model here takes the table's means as means, so they are
// scaled up first. A 5 % point of 4000 samples has a standard error of about 0.1 points, a median 0.05.
func TestReferenceTripBands(t *testing.T) {
	m4, m5 := refModel(have(refRow4...), true), refModel(have(refRow5...), true)
	for _, m := range []*Model{m4, m5} {
		for i := range m.Cells {
			f := MeanOverMedian(m.Inputs[i].Sigma)
			m.Parts[i].Mean *= f
			m.Parts[i].Worst *= f
		}
	}
	d := Draw(m4, 4000, 42)
	r4, err := Spread(context.Background(), m4, d)
	if err != nil {
		t.Fatal(err)
	}
	r5, _ := Spread(context.Background(), m5, d)
	var a, b []float64
	for i := range r4 {
		a, b = append(a, r4[i].Readiness()), append(b, r5[i].Readiness())
		if b[i] < a[i] {
			t.Fatalf("sample %d: adding boards takes readiness from %g to %g", i, a[i], b[i])
		}
	}
	for _, row := range []struct {
		name string
		got  [3]float64
		want [3]float64
	}{{"row 4", Percentiles(a), [3]float64{88.6, 93.5, 96.0}}, {"row 5", Percentiles(b), [3]float64{89.0, 94.7, 97.6}}} {
		for i := range row.want {
			if math.Abs(row.got[i]-row.want[i]) > 0.25 {
				t.Errorf("%s: percentiles %.2f, want %.1f within 0.25", row.name, row.got, row.want)
				break
			}
		}
	}
}

func TestFailOfTwoRecipes(t *testing.T) {
	if got := 1 - Fail(0.2, 0.8, 0.7); math.Abs(got-0.912) > 1e-12 {
		t.Errorf("light bogging with two recipes ends by itself with %.6f, want 0.912", got)
	}
	if got := 1 - Fail(0.05, 0.90, 0.97); math.Abs(got-0.99565) > 1e-12 {
		t.Errorf("a pluggable tyre ends by itself with %.6f, want 0.99565", got)
	}
	if got := Fail(0.2); got != 1 {
		t.Errorf("no recipe fails with %g, want 1", got)
	}
}

func ExampleWork_Evaluate() {
	m := refModel(have("spare", "jack", "shovel", "boards"), true)
	r := NewWork(m).Evaluate()
	fmt.Printf("readiness %.1f, not out unaided 1 in %.0f\n", r.Readiness(), 1/Odds(r.NotUnaided))
	// Output: readiness 92.5, not out unaided 1 in 15
}
