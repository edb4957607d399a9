package risk

import (
	"cmp"
	"context"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"lastroad/geo"
	"lastroad/risk/coverage"
)

// possibleFord is a mark where the map has a watercourse and says nothing of how it is crossed.
func possibleFord(m, chance float64) geo.Mark {
	return geo.Mark{Kind: geo.MarkWater, DistanceM: m, Chance: chance}
}

// wetted is a survey with one more possible ford, its ground share included as a survey would have it.
func wetted(s *geo.Survey, m, chance float64) *geo.Survey {
	out := *s
	out.Marks = append(slices.Clone(s.Marks), possibleFord(m, chance))
	out.Grounds, out.Samples = slices.Clone(s.Grounds), slices.Clone(s.Samples)
	k := 0
	for k+2 < len(out.Samples) && out.Samples[k+1].DistanceM <= m {
		k++
	}
	mix := out.Grounds[out.Samples[k].Ground]
	for g := range mix.P {
		mix.P[g] *= 1 - chance
	}
	mix.P[geo.Ford] += chance
	out.Samples[k].Ground = uint16(len(out.Grounds))
	out.Grounds = append(out.Grounds, mix)
	return &out
}

// More places that may be fords, or likelier ones, never raise readiness and never lower an odd, whatever the ground,
// the party and the water level.
func TestMorePossibleFordsNeverRaiseReadiness(t *testing.T) {
	k := itemKeys(t)
	rapid.Check(t, func(rt *rapid.T) {
		s := aRoute(rt)
		for range rapid.IntRange(0, 3).Draw(rt, "there already") {
			s.Marks = append(s.Marks, possibleFord(s.LengthM()*rapid.Float64Range(0, 1).Draw(rt, "where"), rapid.Float64Range(0.01, 1).Draw(rt, "chance")))
		}
		tr := aTrip(rt, k, len(k))
		at, chance := s.LengthM()*rapid.Float64Range(0, 1).Draw(rt, "at"), rapid.Float64Range(0.01, 0.9).Draw(rt, "its chance")
		less := ready(t, s, tr).res
		one := *s
		one.Marks = append(slices.Clone(s.Marks), possibleFord(at, chance))
		likelier := *s
		likelier.Marks = append(slices.Clone(s.Marks), possibleFord(at, min(1, chance*1.5)))
		a, b := ready(t, &one, tr).res, ready(t, &likelier, tr).res
		for _, q := range [][2]coverage.Result{{less, a}, {a, b}} {
			x, y := q[0], q[1]
			if y.Readiness() > x.Readiness()+1e-9 {
				rt.Errorf("water on the line takes readiness from %.9f to %.9f", x.Readiness(), y.Readiness())
			}
			if y.Stopped < x.Stopped || y.NotUnaided < x.NotUnaided-1e-15 || y.NoHelp < x.NoHelp-1e-15 {
				rt.Errorf("water on the line takes the odds from %+v to %+v", x, y)
			}
			if math.Abs(y.D-x.D) > 1e-12*x.D {
				rt.Errorf("water on the line takes the denominator from %g to %g", x.D, y.D)
			}
		}
	})
}

// The same with the share of ford that a survey gives to the ground around the place, on the routes that surveys are made of.
func TestPossibleFordWithItsGroundNeverRaisesReadiness(t *testing.T) {
	for g := geo.Sealed; g < geo.NumGrounds; g++ {
		for _, chance := range []float64{0.05, 0.27, 0.9} {
			s := madeBy(25, stretch{3, pure(g), 0.05, 10})
			tr := usualTrip()
			x, y := ready(t, s, tr).res, ready(t, wetted(s, 1500, chance), tr).res
			if y.Readiness() > x.Readiness()+1e-9 || y.NotUnaided < x.NotUnaided {
				t.Errorf("a possible ford (%g) on %s takes readiness from %.6f to %.6f, unended troubles from %g to %g", chance, g, x.Readiness(), y.Readiness(), x.NotUnaided, y.NotUnaided)
			}
		}
	}
}

// A place that is a ford for certain brings the troubles of a tagged ford, and one with a chance of a quarter a quarter of them.
func TestPossibleFordCountsByItsChance(t *testing.T) {
	base := madeBy(250, stretch{5, pure(geo.FirmTrack), 0, 10})
	stopped := func(m ...geo.Mark) float64 {
		s := *base
		s.Marks = m
		return ready(t, &s, usualTrip()).res.Stopped
	}
	none, ford := stopped(), stopped(geo.Mark{Kind: geo.MarkFord, DistanceM: 2000})
	if !(ford > none) {
		t.Fatalf("a ford takes the expected troubles from %g to %g", none, ford)
	}
	for _, chance := range []float64{0.25, 1} {
		if got, want := stopped(possibleFord(2000, chance))-none, chance*(ford-none); math.Abs(got-want) > 1e-12 {
			t.Errorf("a possible ford (%g) brings %g troubles, want %g", chance, got, want)
		}
	}
	if got := stopped(possibleFord(2000, 0)); got != none {
		t.Errorf("a watercourse that cannot be a ford brings %g troubles", got-none)
	}
}

// Where lost points outgrow the denominator, readiness is 0 and they still add up to it.
func TestManyPossibleFords(t *testing.T) {
	s := madeBy(250, stretch{1, pure(geo.Sealed), 0, 60})
	for i := range 400 {
		s.Marks = append(s.Marks, possibleFord(float64(i)*2.5, 1))
	}
	tr := usualTrip()
	tr.Party.Load, tr.Partner = nil, nil
	st := ready(t, s, tr)
	if r := st.res.Readiness(); r != 0 {
		t.Errorf("400 places that may be fords on 1 km leave readiness %g, want 0", r)
	}
	sum := 0.0
	for _, l := range st.losses(st.tallyOf(st.wholeTrip()), st.wholeTrip(), st.costliestOf(st.wholeTrip())) {
		sum += l.Points
	}
	if math.Abs(sum-100) > 1e-9 {
		t.Errorf("the lost points add up to %g, want 100", sum)
	}
	if n := len(st.x.pieces); !slices.IsSortedFunc(st.x.pieces, func(a, b piece) int { return cmp.Compare(a.FromM, b.FromM) }) || n < 400 {
		t.Errorf("%d pieces, not in the order of the route", n)
	}
}

// doubted is a straight firm track with five places that may be fords, each with the chance of a premise.
func doubted(low, central, high float64) *geo.Survey {
	s := madeBy(250, stretch{8, pure(geo.FirmTrack), 0, 10}, stretch{8, pure(geo.Gravel), 0, 30})
	s.Premises = []geo.Premise{
		{Key: "crossing.stream", Title: "chance of a ford: stream", Figure: geo.Figure{Low: low, Central: central, High: high, Unit: "1", From: geo.FromDerived, Source: "made for a test"}},
		{Key: "crossing.wadi_wet", Title: "share of time with water: wadi", Figure: geo.Figure{Low: 0.1, Central: 0.5, High: 1, Unit: "1", From: geo.FromAssumption, Source: "made for a test"}}}
	for i := range 5 {
		m := possibleFord(float64(1000+3000*i), central)
		m.Rests[0] = 1
		if i == 4 {
			m.Chance, m.Rests[1] = 0.5*central, 2
		}
		s.Marks = append(s.Marks, m)
	}
	return s
}

// The wider the chance of a ford, the wider the bands, while the central answer stays to the last bit; the tornado and the
// count of what the answer rests on name the figure with its provenance.
func TestBandsFollowTheSpreadOfTheChance(t *testing.T) {
	for _, together := range []bool{false, true} {
		tr := usualTrip()
		tr.Together = together
		var before *Judgement
		for _, f := range [][2]float64{{0.3, 0.3}, {0.2, 0.45}, {0.1, 0.7}, {0, 1}} {
			j := judge(t, doubted(f[0], 0.3, f[1]), tr, Options{Samples: 400})
			if j.Provenance["derived"] < 1 {
				t.Errorf("numbers by what they rest on are %v, want the chance of a ford among them", j.Provenance)
			}
			if b := before; b != nil {
				if b.Trip.Readiness != j.Trip.Readiness || b.Trip.Stopped.P != j.Trip.Stopped.P {
					t.Errorf("a chance of 0.3 (%g to %g) moves the central answer from %v to %v", f[0], f[1], b.Trip, j.Trip)
				}
				if x, y := b.Trip.Stopped, j.Trip.Stopped; !(y.High-y.Low > x.High-x.Low) {
					t.Errorf("a chance of 0.3 (%g to %g) gives a band of being stopped of %g to %g, narrower ones %g to %g", f[0], f[1], y.Low, y.High, x.Low, x.High)
				}
				if x, y := b.Trip.Band, j.Trip.Band; !(y[2]-y[0] > x[2]-x[0]) {
					t.Errorf("a chance of 0.3 (%g to %g) gives a band of readiness of %v, narrower ones %v", f[0], f[1], y, x)
				}
			}
			before = j
		}
		k := slices.IndexFunc(before.Tornado, func(s Swing) bool { return s.Key == "crossing.stream" })
		if k < 0 || before.Tornado[k].Title != "chance of a ford: stream" || before.Tornado[k].From != "derived" || before.Tornado[k].Low != 0 || before.Tornado[k].High != 1 {
			t.Errorf("the tornado is %v, want a row of the chance of a ford", before.Tornado)
		}
	}
}

// A higher chance never raises readiness and never lowers an odd, in no sample and so at no edge of a band.
func TestLikelierFordsNeverRaiseBands(t *testing.T) {
	k := itemKeys(t)
	rapid.Check(t, func(rt *rapid.T) {
		f := func(what string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(rt, what) }
		low, central, high := f("low", 0.01, 0.3), f("central", 0.3, 0.6), f("high", 0.6, 0.99)
		odds := f("factor of its odds", 1, 5)
		up := func(p float64) float64 { return odds * p / (1 - p + odds*p) }
		tr := aTrip(rt, k, len(k))
		sampled := func(low, central, high float64) *sampled {
			st, err := begin(context.Background(), doubted(low, central, high), tr, cat(t), Options{})
			if err != nil {
				rt.Fatal(err)
			}
			v, err := st.sample(16)
			if err != nil {
				rt.Fatal(err)
			}
			return v
		}
		less, more := sampled(low, central, high), sampled(up(low), up(central), up(high))
		for i, a := range less.column(0, sampledReadiness) {
			if b := more.column(0, sampledReadiness)[i]; b > a+1e-9 {
				rt.Errorf("a higher chance takes the readiness of sample %d from %g to %g", i, a, b)
			}
			for f := sampledStopped; f < sampledFigures; f++ {
				if a, b := less.column(0, f)[i], more.column(0, f)[i]; b < a-1e-15 {
					rt.Errorf("a higher chance takes odds %d of sample %d from %g to %g", f, i, a, b)
				}
			}
		}
	})
}

// Bands of the trip do not ask where its legs end, nor whether a memo was asked about other chances before.
func TestDoubtedCrossingsAndLegs(t *testing.T) {
	tr := usualTrip()
	m := &Memo{}
	judge(t, doubted(0.1, 0.2, 0.9), tr, Options{Samples: 100, Memo: m})
	whole := doubted(0.1, 0.3, 0.7)
	want := judge(t, whole, tr, Options{Samples: 100})
	if d := differs(want, judge(t, whole, tr, Options{Samples: 100, Memo: m})); d != "" {
		t.Errorf("judged with what is kept differs: %s", d)
	}
	cut := *whole
	cut.Legs = nil
	for i := 0; i+1 < len(whole.Samples); i += 4 {
		cut.Legs = append(cut.Legs, geo.Leg{From: i, To: min(i+4, len(whole.Samples)-1)})
	}
	got := judge(t, &cut, tr, Options{Samples: 100})
	if a, b := want.Trip, got.Trip; a.Band != b.Band || a.Stopped != b.Stopped || a.NotUnaided != b.NotUnaided || a.NoHelp != b.NoHelp {
		t.Errorf("with %d legs for %d the trip comes to %v, %v, want %v, %v", len(cut.Legs), len(whole.Legs), b.Band, b.Stopped, a.Band, a.Stopped)
	}
}
