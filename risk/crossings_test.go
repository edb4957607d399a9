package risk

import (
	"cmp"
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
	for _, l := range st.losses(st.tallyOf(st.wholeTrip()), st.wholeTrip()) {
		sum += l.Points
	}
	if math.Abs(sum-100) > 1e-9 {
		t.Errorf("the lost points add up to %g, want 100", sum)
	}
	if n := len(st.x.pieces); !slices.IsSortedFunc(st.x.pieces, func(a, b piece) int { return cmp.Compare(a.FromM, b.FromM) }) || n < 400 {
		t.Errorf("%d pieces, not in the order of the route", n)
	}
}
