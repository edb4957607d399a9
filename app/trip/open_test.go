package trip

import (
	"context"
	"testing"

	"lastroad/risk"
)

// The demo must stay interesting: some legs ready, some thin, some not, and one that only the second
// vehicle makes ready.
func TestDemoHasLegsOfEveryKind(t *testing.T) {
	d, err := Open(context.Background(), Request{Files: []string{"demo"}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if km := d.Survey.LengthM() / 1000; km < 180 || km > 250 {
		t.Errorf("the demo is %.1f km long, want 180 to 250", km)
	}
	words := map[string]int{}
	for _, l := range d.Judgement.Legs {
		words[l.Score.Word]++
	}
	for _, w := range []string{"ready", "thin", "not ready"} {
		if words[w] == 0 {
			t.Errorf("no leg of the demo is %q: %v", w, words)
		}
	}
	b, err := Builtin()
	if err != nil {
		t.Fatal(err)
	}
	c, err := risk.Compare(context.Background(), d.Survey, risk.SoloAndTogether(d.Plan.Trip), b.Catalogue, risk.Options{Samples: 50})
	if err != nil {
		t.Fatal(err)
	}
	made := 0
	for _, f := range c.Pairs[0].Flips {
		if f.From != "ready" && f.To == "ready" {
			made++
		}
	}
	if made == 0 {
		t.Errorf("no leg is made ready by the second vehicle alone; flips: %v", c.Pairs[0].Flips)
	}
}
