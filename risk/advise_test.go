package risk

import (
	"context"
	"testing"
)

func TestAdviseLooks(t *testing.T) {
	a, err := Advise(context.Background(), desert(), usualTrip(), cat(t), PackLimit{PayloadKg: 80}, Options{Samples: 200})
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range a.Things {
		t.Logf("thing %s %.1f kg +%.4f %.4f likely %.2f", s.Title, s.Kg, s.Gain, s.PerKg, s.Likely)
	}
	for i, s := range a.Sets {
		if i < 12 {
			t.Logf("set %s %.1f kg +%.4f %.4f likely %.2f", s.Title, s.Kg, s.Gain, s.PerKg, s.Likely)
		}
	}
	for _, s := range a.Skills {
		t.Logf("skill %s +%.4f", s.Title, s.Gain)
	}
	t.Logf("best %+v", a.Best)
	for _, f := range a.Frontier {
		t.Logf("  %.1f kg %.3f %s %v", f.Kg, f.Readiness, f.Title, f.Exact)
	}
	for _, s := range a.Stay {
		t.Logf("stay %s %.1f kg cost %.4f raw %.4f %v %s", s.Item, s.Kg, s.Cost, s.RAW, s.MayStay, s.Why)
	}
	for _, s := range a.Single {
		t.Logf("single %+v", s)
	}
}

func TestCompareLooks(t *testing.T) {
	c, err := Compare(context.Background(), desert(), SoloAndTogether(usualTrip()), cat(t), Options{})
	if err != nil {
		t.Fatal(err)
	}
	p := c.Pairs[0]
	t.Logf("%+v", p)
	t.Log(p.Text, p.Common)
}
