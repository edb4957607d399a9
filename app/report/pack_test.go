package report

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"lastroad/risk"
)

// advice is a made-up answer with one of everything.
func advice() *risk.Advice {
	return &risk.Advice{Readiness: 80, PayloadKg: 30, VolumeL: math.Inf(1),
		Things:   []risk.Suggestion{{Title: "a jack", Kg: 13.5, Gain: 2, PerKg: 0.148, Likely: math.NaN(), Items: []risk.LoadItem{{Item: "high_jack", Count: 1}}}},
		Best:     risk.Pack{Title: "a jack", Kg: 13.5, Readiness: 82, Exact: true, UpTo: 82},
		Frontier: []risk.Pack{{Readiness: 80, Exact: true}, {Title: "a jack", Kg: 13.5, Readiness: 82, Exact: true}},
		Stay: []risk.StayHome{{Title: "a spare wheel", Item: "spare_wheel", Kg: 30, Cost: 4, RAW: 1.2, Why: "lowers the trouble"}, {Title: "cable ties", Item: "cable_ties", Kg: 0.3, MayStay: true, Why: "nothing rests on it"},
			{Title: "first aid kit", Item: "first_aid", Kg: 1, Unvalued: true, Why: "the model does not value it"}},
		Single: []risk.SinglePoint{{Title: "cut tyre", Thing: "a spare wheel", Legs: []int{0}, Mean: 0.01}},
		Shares: []risk.TroubleShare{{Title: "deep bogging", Share: 1, Legs: []float64{1}}}}
}

// What the model does not value stands under a heading of its own and never among what may stay.
func TestPackText(t *testing.T) {
	var b bytes.Buffer
	if err := PackText(&b, "a trip", advice()); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	at := func(w string) int {
		i := strings.Index(text, w)
		if i < 0 {
			t.Fatalf("the text does not say %q:\n%s", w, text)
		}
		return i
	}
	if !(at("Keep first") < at("a spare wheel: lowers") && at("a spare wheel: lowers") < at("May stay at home") && at("May stay at home") < at("cable ties") &&
		at("cable ties") < at("Not valued by the model") && at("Not valued by the model") < at("first aid kit")) {
		t.Errorf("the carried things stand in the wrong order:\n%s", text)
	}
	at("Readiness against kilograms")
	at("as it is")
	at(Caution[:40])
}

func TestPackJSONWritesUnknownAsNull(t *testing.T) {
	var b bytes.Buffer
	if err := PackJSON(&b, "a trip", advice()); err != nil {
		t.Fatal(err)
	}
	var v map[string]any
	if err := json.Unmarshal(b.Bytes(), &v); err != nil {
		t.Fatal(err)
	}
	if v["volume_l"] != nil || v["readiness"] != 80.0 || len(v["frontier"].([]any)) != 2 {
		t.Errorf("the JSON is %v", v)
	}
	if kg, ok := v["second_vehicle_payload_kg"]; !ok || kg != nil {
		t.Errorf("without a second vehicle its payload is %v, want null", kg)
	}
	full := advice() // the second vehicle comes along and can take nothing more
	full.Second = []risk.Suggestion{}
	b.Reset()
	if err := PackJSON(&b, "a trip", full); err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(b.Bytes(), []byte(`"second_vehicle_payload_kg": 0,`)) {
		t.Errorf("a full second vehicle: %s", b.Bytes())
	}
}
