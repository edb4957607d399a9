package risk

import (
	"context"
	"errors"
	"math"
	"testing"

	"lastroad/geo"
	"lastroad/risk/catalogue"
)

// One effect by hand: the chance of a recipe put in with an override must move the legs as Effects says.
func TestEffectsAreThoseOfOverriding(t *testing.T) {
	s, tr := made(stretch{20, pure(geo.Sand), 0, 20}, stretch{20, pure(geo.Gravel), 0, 0}), usualTrip()
	list, err := Effects(context.Background(), s, tr, cat(t), Options{})
	if err != nil {
		t.Fatal(err)
	}
	at := map[string]*Effect{}
	for i := range list {
		e := &list[i]
		at[e.Path] = e
		if _, most := e.Most(); math.Abs(most) < leastEffect && math.Abs(e.Trip) < leastEffect {
			t.Errorf("%s is listed and moves nothing", e.Path)
		}
		if i > 0 {
			_, a := list[i-1].Most()
			if _, b := e.Most(); math.Abs(b) > math.Abs(a) {
				t.Errorf("%s moves a leg by %g and stands after %s with %g", e.Path, b, list[i-1].Path, a)
			}
		}
	}
	judged := func(o ...catalogue.Override) *Judgement {
		c, err := cat(t).With(o)
		if err != nil {
			t.Fatal(err)
		}
		j, err := Judge(context.Background(), s, tr, c, Options{Quick: true})
		if err != nil {
			t.Fatal(err)
		}
		return j
	}
	for _, key := range []string{"rate/bogged/sand", "policy/rescue_cost", "beta/bogged/own"} {
		e := at[key]
		if e == nil {
			t.Errorf("%s is not listed", key)
			continue
		}
		lo, hi := judged(catalogue.Override{Key: key, Central: e.Low}), judged(catalogue.Override{Key: key, Central: e.High})
		for i := range s.Legs {
			if want := hi.Legs[i].Score.Readiness - lo.Legs[i].Score.Readiness; math.Abs(e.Legs[i]-want) > 1e-9 {
				t.Errorf("%s moves leg %d by %g, overriding moves it by %g", key, i+1, e.Legs[i], want)
			}
		}
	}
	if e := at["rate/bogged/sand"]; e != nil && e.Legs[1] != 0 {
		t.Errorf("the rate on sand moves the leg on gravel by %g", e.Legs[1])
	}
	for _, p := range []string{"rate/bogged/mud", "rate/tyre/salt"} {
		if at[p] != nil {
			t.Errorf("%s is listed on a route without that ground", p)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	if _, err := Effects(ctx, s, tr, cat(t), Options{Progress: func(string, float64) { cancel() }}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled on the way it gives %v, want the context's error", err)
	}
	cancel()
}

func BenchmarkEffects(b *testing.B) {
	for b.Loop() {
		if _, err := Effects(context.Background(), desert(), usualTrip(), cat(b), Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
