package risk

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"lastroad/geo"
	"lastroad/risk/catalogue"
	"lastroad/risk/coverage"
)

// One effect by hand: the chance of a recipe put in with an override must move the legs as Effects says.
func TestEffectsAreThoseOfOverriding(t *testing.T) {
	s, tr := made(stretch{20, pure(geo.Sand), 0, 20}, stretch{20, pure(geo.Gravel), 0, 0}), usualTrip()
	list, err := Effects(context.Background(), s, tr, cat(t), nil, Options{})
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
	if _, err := Effects(ctx, s, tr, cat(t), nil, Options{Progress: func(string, float64) { cancel() }}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled on the way it gives %v, want the context's error", err)
	}
	cancel()
}

// What Effects keeps and skips changes nothing: figures put in by a fresh start from tables of its own move trip and legs as
// it says, and those that it leaves out move none. All 885 take minutes, so a random share is tried, larger of those that
// are listed.
func TestEffectsAreThoseOfRedoingEverything(t *testing.T) {
	s := madeBy(250, stretch{4, pure(geo.Sand), 0.05, 20}, stretch{4, unknownMix(), -0.04, 30}, stretch{3, pure(geo.Mud), 0.14, 10}, stretch{3, pure(geo.Sealed), 0, 0})
	s.Marks = append(s.Marks, geo.Mark{Kind: geo.MarkFord, DistanceM: 5000})
	crossings := doubted(0.1, 0.3, 0.7)
	s.Premises, s.Marks = crossings.Premises, append(s.Marks, crossings.Marks[2:]...)
	learnt, _, err := cat(t).Learn([]catalogue.LogEntry{{Hazard: "bogged", Ground: geo.Sand, Amount: 300, Events: 4}})
	if err != nil {
		t.Fatal(err)
	}
	draw := rand.New(rand.NewPCG(5, 7))
	for _, c := range []*catalogue.Catalogue{cat(t), learnt} {
		tr := usualTrip()
		tr.Together = c == learnt
		list, err := Effects(context.Background(), s, tr, c, nil, Options{})
		if err != nil {
			t.Fatal(err)
		}
		listed := map[string]*Effect{}
		for i := range list {
			listed[list[i].Table+" "+list[i].Path] = &list[i]
		}
		tried, moved := 0, 0
		redo := func(q trialNumber) {
			got, of := listed[q.table+" "+q.path], 15
			if got == nil {
				got, of = &Effect{Legs: make([]float64, len(s.Legs))}, 60
			}
			if q.premise == 0 && draw.IntN(of) > 0 {
				return
			}
			tried++
			if of == 15 {
				moved++
			}
			legs := make([]float64, len(s.Legs)+1) // the last is the trip
			for _, side := range []struct{ sign, v float64 }{{-1, q.f.Low}, {1, q.f.High}} {
				on, own, ok := s, c, true
				if q.premise > 0 {
					on = supposed(s, q.premise, side.v)
				} else if own, ok = q.try(side.v); !ok {
					return
				}
				st, err := begin(context.Background(), on, tr, own, Options{Quick: true, central: true})
				if err != nil {
					return
				}
				legs[len(s.Legs)] += side.sign * st.res.Readiness()
				for i := range s.Legs {
					legs[i] += side.sign * st.tallyOf(st.legShares(i)).res.Readiness()
				}
			}
			for i, want := range legs {
				if v := append(slices.Clone(got.Legs), got.Trip)[i]; math.Abs(v-want) > 2*leastEffect {
					t.Errorf("%s %s, log %v: moves leg %d of %d, or the trip, by %g, redone by %g", q.table, q.path, c == learnt, i+1, len(s.Legs), v, want)
				}
			}
		}
		figuresOf(c, redo)
		for k := range s.Premises {
			p := &s.Premises[k]
			if listed["ground.toml "+p.Key] == nil {
				t.Errorf("%s is not listed", p.Key)
			}
			redo(trialNumber{table: "ground.toml", path: p.Key, f: p.Figure, premise: k + 1})
		}
		if moved < 5 || tried-moved < 5 {
			t.Errorf("%d figures redone, %d of them listed: too few to tell anything", tried, moved)
		}
	}
}

// supposed is a survey with a premise of another value and the chances of its marks to go with it.
func supposed(s *geo.Survey, premise int, v float64) *geo.Survey {
	own := *s
	own.Premises, own.Marks = slices.Clone(s.Premises), slices.Clone(s.Marks)
	was := own.Premises[premise-1].Central
	own.Premises[premise-1].Central = v
	for i := range own.Marks {
		if m := &own.Marks[i]; slices.Contains(m.Rests[:], uint16(premise)) {
			m.Chance *= v / was
		}
	}
	return &own
}

// The tornado and the effects say the same of a rate, one that the user's log has changed too: the worst case moves with a rate
// of the tables and not with what a log leaves open.
func TestTornadoAndEffectsAgreeOnRates(t *testing.T) {
	s, tr := made(stretch{20, pure(geo.Sand), 0, 20}, stretch{20, pure(geo.Gravel), 0, 0}), usualTrip()
	learnt, _, err := cat(t).Learn([]catalogue.LogEntry{{Hazard: "bogged", Ground: geo.Sand, Amount: 300, Events: 4}})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []*catalogue.Catalogue{cat(t), learnt} {
		list, err := Effects(context.Background(), s, tr, c, nil, Options{})
		if err != nil {
			t.Fatal(err)
		}
		st, err := begin(context.Background(), s, tr, c, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, key := range []string{"rate/bogged/sand", "rate/tyre/gravel"} {
			k := slices.IndexFunc(list, func(e Effect) bool { return e.Path == key })
			w := slices.IndexFunc(coverage.Tornado(st.m), func(w coverage.Swing) bool { return st.m.Inputs[w.Input].Key == key })
			if k < 0 || w < 0 {
				t.Errorf("%s is number %d of the effects and %d of the tornado", key, k, w)
				continue
			}
			q := coverage.Tornado(st.m)[w]
			if got := q.ReadyHigh - q.ReadyLow; math.Abs(got-list[k].Trip) > 1e-9 {
				t.Errorf("log %v: %s moves readiness by %g in the tornado and by %g in the effects", c == learnt, key, got, list[k].Trip)
			}
		}
	}
}

// figuresOf calls yield for every figure with a band, whether it can matter or not.
func figuresOf(c *catalogue.Catalogue, yield func(trialNumber)) {
	c.Trials(func(e catalogue.Entry, try func(float64) *catalogue.Catalogue) bool {
		yield(trialNumber{table: e.File, path: e.Key, f: e.Figure, try: func(v float64) (*catalogue.Catalogue, bool) { return try(v), true }})
		return true
	})
	of := func(table string, put func(own *catalogue.Catalogue, path string, f geo.Figure) error) func(string, geo.Figure) {
		return func(path string, f geo.Figure) {
			if f.Low >= f.High {
				return
			}
			yield(trialNumber{table: table, path: path, f: f, try: func(v float64) (*catalogue.Catalogue, bool) {
				own, p := *c, f
				p.Low, p.Central, p.High = v, v, v
				return &own, put(&own, path, p) == nil
			}})
		}
	}
	c.Recovery.Figures(of("recovery.toml", func(own *catalogue.Catalogue, path string, f geo.Figure) (err error) {
		own.Recovery, err = c.Recovery.Override(path, f)
		return err
	}))
	c.Supply.Figures(of("supply.toml", func(own *catalogue.Catalogue, path string, f geo.Figure) (err error) {
		own.Supply, err = c.Supply.Override(path, f)
		return err
	}))
}

// A number by which the route is measured moves readiness as two judgements of the two measurings say; one that the route
// does not ask for is left out.
func TestEffectsOfMeasuring(t *testing.T) {
	tr := usualTrip()
	measured := func(sand float64) *geo.Survey {
		var p [geo.NumGrounds]float64
		p[geo.Sand], p[geo.Gravel] = sand, 1-sand
		return made(stretch{20, geo.GroundMix{P: p, Known: true}, 0, 20}, stretch{20, pure(geo.Gravel), 0, 0})
	}
	f := geo.Figure{Low: 0.1, Central: 0.2, High: 0.4}
	list, err := Effects(context.Background(), measured(0.2), tr, cat(t), []Measuring{
		{"ground.toml", "surface.1.mix.sand", "sand", f, func(_ context.Context, v float64) (*geo.Survey, error) { return measured(v), nil }},
		{"ground.toml", "surface.2.mix.sand", "not asked for", f, func(context.Context, float64) (*geo.Survey, error) { return nil, nil }},
		{"ground.toml", "surface.3.mix.sand", "refused", f, func(context.Context, float64) (*geo.Survey, error) { return nil, errors.New("refused") }},
		{"ground.toml", "surface.4.mix.sand", "sure", geo.Figure{Low: 1, Central: 1, High: 1}, func(context.Context, float64) (*geo.Survey, error) { panic("tried") }},
	}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	list = slices.DeleteFunc(list, func(e Effect) bool { return e.Table != "ground.toml" })
	if len(list) != 1 || list[0].Title != "sand" {
		t.Fatalf("%d numbers of the measuring are listed, want the one that moves something: %+v", len(list), list)
	}
	judged := func(sand float64) *Judgement {
		j, err := Judge(context.Background(), measured(sand), tr, cat(t), Options{Quick: true})
		if err != nil {
			t.Fatal(err)
		}
		return j
	}
	lo, hi := judged(0.1), judged(0.4)
	for i, got := range list[0].Legs {
		if want := hi.Legs[i].Score.Readiness - lo.Legs[i].Score.Readiness; math.Abs(got-want) > 1e-9 {
			t.Errorf("leg %d is moved by %g, judging says %g", i+1, got, want)
		}
	}
}

func BenchmarkEffects(b *testing.B) {
	for b.Loop() {
		if _, err := Effects(context.Background(), desert(), usualTrip(), cat(b), nil, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
