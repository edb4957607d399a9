package risk

import (
	"context"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"lastroad/assets"
	"lastroad/geo"
	"lastroad/risk/catalogue"
)

func judge(t testing.TB, s *geo.Survey, tr Trip, o Options) *Judgement {
	t.Helper()
	j, err := Judge(context.Background(), s, tr, cat(t), o)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// A vehicle of 2950 kg to the hubs on sand with a grade band up to 6 % downhill or level (pulled as if 6 %
// up): 2 x 28.93 kN and 28.93 x 0.0599 kN, so 59.6 kN (US Army mire factor 2.0 for hubs, sine of the grade).
func TestLossIsExplainedInASentence(t *testing.T) {
	j := judge(t, desert(), usualTrip(), Options{})
	l := j.Trip.Lost[0]
	if l.Event != "bogged/deep" || math.Abs(l.FromM-75000) > 1 || math.Abs(l.ToM-87000) > 1 {
		t.Errorf("the largest loss is %s on %g to %g m, want deep bogging on the sand from 75 to 87 km", l.Event, l.FromM, l.ToM)
	}
	for _, w := range []string{"deep bogging", "km 75-87", "needs 60 kN", "no high-lift jack", "with high-lift jack (13.5 kg)"} {
		if !strings.Contains(l.Text, w) {
			t.Errorf("the sentence %q does not say %q", l.Text, w)
		}
	}
	if l.Cure == nil || l.Cure.Points < l.Missing-1e-9 {
		t.Errorf("the cure wins %+v over all troubles, less than the %g it wins on this one", l.Cure, l.Missing)
	}
	// Adding the cure must win what was promised.
	tr := usualTrip()
	tr.Party.Load = append(slices.Clone(tr.Party.Load), l.Cure.Items...)
	if got := judge(t, desert(), tr, Options{Quick: true}).Trip.Readiness - j.Trip.Readiness; math.Abs(got-l.Cure.Points) > 1e-6 {
		t.Errorf("adding %s wins %.6f points, promised were %.6f", l.Cure.Title, got, l.Cure.Points)
	}
}

func finding(fs []Finding, key string) *Finding {
	for i := range fs {
		if fs[i].Key == key {
			return &fs[i]
		}
	}
	return nil
}

func TestStopsTakeTheWordAway(t *testing.T) {
	without := func(tr *Trip, keys ...string) {
		tr.Party.Load = slices.DeleteFunc(slices.Clone(tr.Party.Load), func(l LoadItem) bool { return slices.Contains(keys, l.Item) })
	}
	rows := []struct {
		name, key string
		leg       bool
		survey    *geo.Survey
		change    func(*Trip)
	}{
		{"nobody knows and nothing calls", "nobody_notices", false, desert(), func(tr *Trip) { without(tr, "sat_messenger", "mobile_phone"); tr.Policy.ContactAtHome = false }},
		{"no spare wheel", "no_spare", false, desert(), func(tr *Trip) { without(tr, "spare_wheel") }},
		{"too much on board", "over_gvm", false, desert(), func(tr *Trip) { tr.Party.Load = append(tr.Party.Load, LoadItem{Item: "lead", Count: 1, MassKg: 900}) }},
		{"too much on the roof", "over_roof", false, desert(), func(tr *Trip) {
			tr.Party.Load = append(tr.Party.Load, LoadItem{Item: "boxes", Count: 1, MassKg: 200, Place: "roof"})
		}},
		{"more people than seats", "seats_own", false, desert(), func(tr *Trip) { tr.Party.People = append(tr.Party.People, Person{AgeY: 30}, Person{AgeY: 30}) }},
		{"no water", "water_short", true, desert(), func(tr *Trip) { without(tr, "water") }},
		{"a range beyond the tank", "fuel_short", true, made(stretch{900, pure(geo.FirmTrack), 0, 300}), func(tr *Trip) {}},
		{"no winch in deep sand", "pull_short", true, made(stretch{60, pure(geo.Sand), 0, 50}), func(tr *Trip) { without(tr, "compressor") }},
		{"a ford in flood", "ford_deep", true, desert(), func(tr *Trip) { tr.Conditions.WaterLevel = 2 }},
		{"a wall", "grade_limit", true, made(stretch{3, pure(geo.LooseRock), 0.6, 5}), func(tr *Trip) {}},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			tr := usualTrip()
			tr.Party.Load = slices.Clone(tr.Party.Load)
			r.change(&tr)
			j := judge(t, r.survey, tr, Options{Quick: true})
			f := finding(j.Findings, r.key)
			for i := range j.Legs {
				if g := finding(j.Legs[i].Findings, r.key); r.leg && g != nil && (f == nil || g.Severity > f.Severity) {
					f = g
					if g.Severity == Stop && (j.Legs[i].Score.Ready || j.Legs[i].Score.Word == "ready") {
						t.Errorf("leg %d is called %q in spite of %q", i, j.Legs[i].Score.Word, g.Text)
					}
				}
			}
			if f == nil || f.Severity != Stop {
				t.Fatalf("no stop %s among %+v", r.key, j.Findings)
			}
			if j.Trip.Ready || j.Trip.Word != "not ready" {
				t.Errorf("the trip is called %q in spite of %q", j.Trip.Word, f.Text)
			}
			if !strings.HasSuffix(f.Text, ".") {
				t.Errorf("%q is no sentence", f.Text)
			}
		})
	}
}

// Too few seats for both crews in one vehicle is a condition, not a stop: it takes "ready" away and says
// what has to be agreed; with seats for all nothing is said.
func TestSeatsAreAConditionOfGoingTogether(t *testing.T) {
	tr := usualTrip()
	tr.Together = true
	easy := made(stretch{5, pure(geo.Sealed), 0, 0}) // nothing else stands in the way here
	j := judge(t, easy, tr, Options{Quick: true})
	f := finding(j.Findings, "seats_short")
	if f == nil || f.Severity == Stop || !strings.Contains(f.Text, "6 people need seats and there are 5") {
		t.Errorf("six people for five seats give the finding %+v, want a condition that is no stop", f)
	}
	if j.Trip.Word != "thin" || !j.Trip.Ready || j.Trip.Condition == "" || !strings.Contains(j.Trip.Why, "on the condition") {
		t.Errorf("the trip is %q (ready %v) because %q, want thin on a stated condition", j.Trip.Word, j.Trip.Ready, j.Trip.Why)
	}
	tr.Party.People = tr.Party.People[:3]
	if j := judge(t, easy, tr, Options{Quick: true}); j.Trip.Word != "ready" || j.Trip.Condition != "" || finding(j.Findings, "seats_short") != nil {
		t.Errorf("five people for five seats are %q because %q", j.Trip.Word, j.Trip.Why)
	}
}

// Whatever is not "ready" says why: every stop's legs are named, and a high number is explained.
func TestEveryVerdictSaysWhy(t *testing.T) {
	tr := usualTrip()
	tr.Party.Load = slices.DeleteFunc(slices.Clone(tr.Party.Load), func(l LoadItem) bool { return l.Item == "water" })
	for _, tr := range []Trip{tr, usualTrip()} {
		j := judge(t, desert(), tr, Options{Quick: true})
		scores := []Score{j.Trip}
		for i := range j.Legs {
			scores = append(scores, j.Legs[i].Score)
		}
		for i, s := range scores {
			switch {
			case (s.Word == "ready") != (s.Why == ""):
				t.Errorf("score %d is %q because %q", i, s.Word, s.Why)
			case s.Word != "ready" && !strings.HasPrefix(strings.ToLower(s.Why), s.Word+": "):
				t.Errorf("score %d is %q and says %q", i, s.Word, s.Why)
			case s.Word != "ready" && s.Readiness >= 90 && !strings.Contains(s.Why, "how much of the worst-case trouble is covered"):
				t.Errorf("score %d has %.0f and is %q, and %q does not explain it", i, s.Readiness, s.Word, s.Why)
			}
		}
		named := legsNamed(j.Trip.Why)
		for i := range j.Legs {
			if len(stopsOf(j.Legs[i].Findings)) > 0 && !named[i+1] {
				t.Errorf("leg %d has a stop that %q does not name", i+1, j.Trip.Why)
			}
		}
	}
}

var (
	legList = regexp.MustCompile(`legs? ([0-9–, and]+):`)
	legRun  = regexp.MustCompile(`([0-9]+)(?:–([0-9]+))?`)
)

// legsNamed are the numbers of the legs in a text such as "legs 2, 5–7 and 10: ...".
func legsNamed(text string) map[int]bool {
	out := map[int]bool{}
	for _, l := range legList.FindAllStringSubmatch(text, -1) {
		for _, r := range legRun.FindAllStringSubmatch(l[1], -1) {
			a, _ := strconv.Atoi(r[1])
			z := a
			if r[2] != "" {
				z, _ = strconv.Atoi(r[2])
			}
			for ; a <= z; a++ {
				out[a] = true
			}
		}
	}
	return out
}

// What keeps people safe is never named as free to leave.
func TestNothingThatProtectsMayStay(t *testing.T) {
	tr := usualTrip()
	tr.Party.Load = append(slices.Clone(tr.Party.Load), load("fire_extinguisher", 1, "head_torch", 4, "food", 10, "trauma_kit", 1, "shade", 1, "beacon", 1, "signal_mirror", 1)...)
	a, err := Advise(context.Background(), made(stretch{30, pure(geo.Gravel), 0, 5}), tr, cat(t), PackLimit{Most: 4}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]StayHome{}
	for _, h := range a.Stay {
		seen[h.Item] = h
		if h.MayStay && h.Unvalued {
			t.Errorf("%s may stay and is not valued", h.Item)
		}
	}
	for _, k := range []string{"sleeping_gear", "first_aid", "fire_extinguisher", "head_torch", "food", "trauma_kit", "shade", "gloves", "damper", "signal_mirror"} {
		h, ok := seen[k]
		if !ok || h.MayStay {
			t.Errorf("%s is listed as %+v, want it never free to stay", k, h)
		}
		if h.Unvalued && !strings.Contains(h.Why, "does not value") && !strings.Contains(h.Why, "values only") {
			t.Errorf("%s: %q does not say that the model does not value it", k, h.Why)
		}
	}
}

// A piece without a readable rating must not be trusted: the winch chain that holds with rated shackles is
// not usable with unrated ones.
func TestUnratedGearBearsNothing(t *testing.T) {
	tr := usualTrip()
	tr.Party.Load = append(load("winch", 1, "block", 2, "tree_strap", 2, "gloves", 1, "damper", 1, "shovel", 1), LoadItem{Item: "shackle", Count: 6})
	self := func(tr Trip) float64 {
		j := judge(t, made(stretch{10, pure(geo.FirmTrack), 0, 20}), tr, Options{Quick: true})
		for _, e := range j.Legs[0].Events {
			if e.Key == "bogged/deep" {
				return e.SelfHelp
			}
		}
		t.Fatal("no deep bogging on the leg")
		return 0
	}
	rated := self(tr)
	tr.Party.Load = slices.Clone(tr.Party.Load)
	tr.Party.Load[len(tr.Party.Load)-1].RatingKN = -1
	unrated := self(tr)
	if !(rated > 0.05) || unrated > 1e-9 {
		t.Errorf("deep bogging ends by itself with %.3f on rated and %.3f on unrated shackles, want some and none", rated, unrated)
	}
}

// Unknown ground widens the band visibly: the same track known to be firm has a narrower one.
func TestUnknownGroundWidensTheBand(t *testing.T) {
	width := func(m geo.GroundMix) float64 {
		b := judge(t, made(stretch{40, m, 0, 30}), usualTrip(), Options{Samples: 600}).Trip.Band
		return b[2] - b[0]
	}
	u, k := width(unknownMix()), width(pure(geo.FirmTrack))
	if !(u > 1.2*k) {
		t.Errorf("the band is %.2f points wide on unknown ground and %.2f on a known track", u, k)
	}
}

func TestCompareSoloAndTogether(t *testing.T) {
	c, err := Compare(context.Background(), desert(), SoloAndTogether(usualTrip()), cat(t), Options{Samples: 400})
	if err != nil {
		t.Fatal(err)
	}
	p := c.Pairs[0]
	if p.Better+p.Same != 1 {
		t.Errorf("together is better in %.3f and equal in %.3f of the samples; a partner never lowers readiness", p.Better, p.Same)
	}
	if !(p.Gain > 0 && p.GainBand[0] >= -1e-9 && p.GainBand[0] <= p.GainBand[1] && p.GainBand[1] <= p.GainBand[2]) {
		t.Errorf("gain %g with band %v", p.Gain, p.GainBand)
	}
	if !(p.Delayed[1] > p.Delayed[0]) {
		t.Errorf("two vehicles are held up with %v, want more often than one", p.Delayed)
	}
	if !strings.Contains(p.Common, "one cause can take both") || !strings.Contains(p.Common, "soft ground") || !strings.Contains(p.Text, "together is better than solo") {
		t.Errorf("the answer is %q, with %q", p.Text, p.Common)
	}
	for k, o := range p.DelayedOdds {
		if !(o.Low > 0 && o.Low < o.P && o.P < o.High && o.High < 1) || o.P != p.Delayed[k] {
			t.Errorf("the party is held up with %+v, want a band round it", o)
		}
	}
	if d := c.Judgements[1].Partner.PartyDelayed; d != p.DelayedOdds[1] {
		t.Errorf("the report has %+v, the pair %+v", d, p.DelayedOdds[1])
	}
	if len(p.Legs) != len(desert().Legs) {
		t.Fatalf("%d legs are compared, want all %d", len(p.Legs), len(desert().Legs))
	}
	for i, l := range p.Legs {
		if want := c.Judgements[1].Legs[i].Score.Readiness - c.Judgements[0].Legs[i].Score.Readiness; l.Gain != want || l.GainBand[0] > l.GainBand[2] || l.Better+l.Same != 1 {
			t.Errorf("leg %d: %+v, want a gain of %g and never a loss", i+1, l, want)
		}
	}
	for _, f := range p.Flips {
		if !strings.HasSuffix(f.Why, ".") || !strings.Contains(f.Why, "Solo "+f.From) || !strings.Contains(f.Why, "together "+f.To) {
			t.Errorf("leg %d flips from %q to %q because %q", f.Leg+1, f.From, f.To, f.Why)
		}
	}
	if _, err := Compare(context.Background(), desert(), []Variant{{"one", usualTrip()}}, cat(t), Options{}); err == nil {
		t.Error("one variant is compared, want a refusal")
	}
	// A variant against itself makes no difference in any sample.
	same, err := Compare(context.Background(), desert(), []Variant{{"a", usualTrip()}, {"b", usualTrip()}}, cat(t), Options{Samples: 50})
	if err != nil || same.Pairs[0].Same != 1 {
		t.Errorf("a trip against itself is the same in %v of the samples (error %v)", same.Pairs[0].Same, err)
	}
}

// Up to four variants of party, load and season side by side: a variant that only adds a thing is better or
// the same in every sample, since the samples are the same; a hotter season has another worst case only when
// it goes beyond the stated one; the matrix of who beats whom agrees with the pairs.
func TestCompareFourVariants(t *testing.T) {
	base := usualTrip()
	jack, hot, alone := base, base, base
	jack.Party.Load = append(slices.Clone(base.Party.Load), load("high_jack", 1)...)
	hot.Conditions.DayMeanC, hot.Conditions.DayMaxC, hot.Conditions.NightMinC = 32, 41, 23
	alone.Party.People = base.Party.People[:1]
	vs := []Variant{{"as it is", base}, {"with a jack", jack}, {"in summer", hot}, {"driver alone", alone}}
	c, err := Compare(context.Background(), desert(), vs, cat(t), Options{Samples: 200})
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Judgements) != 4 || len(c.Pairs) != 3 || c.Samples != 200 {
		t.Fatalf("%d judgements, %d pairs, %d samples", len(c.Judgements), len(c.Pairs), c.Samples)
	}
	if p := c.Pairs[0]; p.Better+p.Same != 1 || !(p.Gain > 0.2) || p.Measure != "" {
		t.Errorf("a jack more: %+v", p)
	}
	if p := c.Pairs[1]; p.Better != 0 || !(p.Gain < 0) {
		t.Errorf("hotter days: better in %g of the samples, gain %g", p.Better, p.Gain)
	}
	if p := c.Pairs[2]; p.Measure == "" || !strings.Contains(p.Text, "different worst cases") {
		t.Errorf("another crew is measured against another worst case, and the answer is %q", p.Text)
	}
	for _, p := range c.Pairs {
		if c.Beats[p.B][p.A] != p.Better || c.Beats[p.A][p.A] != 0 || math.Abs(c.Beats[p.A][p.B]+c.Beats[p.B][p.A]+p.Same-1) > 1e-12 {
			t.Errorf("pair %d-%d: beats %v do not agree with better %g, same %g", p.A, p.B, c.Beats, p.Better, p.Same)
		}
	}
	if _, err := Compare(context.Background(), desert(), append(vs, Variant{"a fifth", base}), cat(t), Options{}); err == nil {
		t.Error("five variants are compared, want a refusal")
	}
	if _, err := Compare(context.Background(), desert(), []Variant{{"x", base}, {"x", jack}}, cat(t), Options{}); err == nil {
		t.Error("two variants of one name are compared, want a refusal")
	}
}

// The set that packing chooses gives what it says when the whole trip is judged with it.
func TestAdvicePromisesWhatJudgingGives(t *testing.T) {
	for _, base := range [][]LoadItem{usualLoad(), load("water", 40, "spare_wheel", 1, "hand_tools", 1)} {
		tr := usualTrip()
		tr.Party.Load = base
		a, err := Advise(context.Background(), desert(), tr, cat(t), PackLimit{PayloadKg: 80}, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if a.Best.Kg > 80 || !a.Best.Exact || !(a.Best.Readiness > a.Readiness) {
			t.Errorf("the best set weighs %.1f kg, exact %v, readiness %.3f after %.3f", a.Best.Kg, a.Best.Exact, a.Best.Readiness, a.Readiness)
		}
		with := tr
		with.Party.Load = append(slices.Clone(base), a.Best.Items...)
		got := judge(t, desert(), with, Options{Quick: true}).Trip.Readiness
		// Letting tyres down lowers the count of boggings and with it the running need of what boggings use
		// up, which packing leaves as it was: below a thousandth of a point here, and on the safe side.
		if d := got - a.Best.Readiness; d < -1e-6 || d > 2e-3 {
			t.Errorf("judged with the best set readiness is %.6f, promised %.6f", got, a.Best.Readiness)
		}
		// Nothing is named that would stand there as worth 0.00 points.
		for _, l := range [][]Suggestion{a.Things, a.Sets, a.Skills} {
			for _, q := range l {
				if q.Gain < trifle {
					t.Errorf("%s is advised and wins %.5f points", q.Title, q.Gain)
				}
			}
		}
		for i := range a.Best.Items {
			less := with
			less.Party.Load = append(slices.Clone(base), slices.Delete(slices.Clone(a.Best.Items), i, i+1)...)
			if d := got - judge(t, desert(), less, Options{Quick: true}).Trip.Readiness; d < trifle/2-1e-6 {
				t.Errorf("the best set names %s, which wins %.5f points in it", a.Best.Items[i].Item, d)
			}
		}
		for i := 1; i < len(a.Frontier); i++ {
			if !(a.Frontier[i].Readiness > a.Frontier[i-1].Readiness && a.Frontier[i].Kg >= a.Frontier[i-1].Kg) {
				t.Errorf("the frontier falls at %d: %.3f at %.1f kg after %.3f at %.1f kg", i, a.Frontier[i].Readiness, a.Frontier[i].Kg, a.Frontier[i-1].Readiness, a.Frontier[i-1].Kg)
			}
		}
		for i := 1; i < len(a.Sets); i++ {
			if a.Sets[i].PerKg > a.Sets[i-1].PerKg {
				t.Errorf("set %d is out of order", i)
			}
		}
		sum := 0.0
		for _, s := range a.Shares {
			sum += s.Share
		}
		if math.Abs(sum-1) > 1e-9 {
			t.Errorf("the shares of the troubles add up to %g", sum)
		}
		for _, h := range a.Stay {
			if h.Item == "spare_wheel" && h.MayStay {
				t.Error("the only spare wheel may stay at home")
			}
			if h.RAW < 1-1e-9 {
				t.Errorf("without %s the trouble falls (%g)", h.Item, h.RAW)
			}
		}
		if !slices.ContainsFunc(a.Single, func(p SinglePoint) bool { return p.Event == "tyre/destroyed" && p.Item == "spare_wheel" }) && len(base) > 10 {
			t.Error("the only spare wheel is not named as a single point for a destroyed tyre")
		}
	}
	if _, err := Advise(context.Background(), desert(), usualTrip(), cat(t), PackLimit{PayloadKg: -1}, Options{}); err == nil {
		t.Error("a negative payload is taken, want a refusal")
	}
	if _, err := Advise(context.Background(), desert(), usualTrip(), cat(t), PackLimit{Candidates: load("unobtainium", 1)}, Options{}); err == nil {
		t.Error("an unknown candidate is taken, want a refusal")
	}
}

// Where a log of many troubles takes the weighted trouble beyond the denominator, the points of an advice are still those
// that judging gives.
func TestAdviceBelowNothing(t *testing.T) {
	s := madeBy(250, stretch{4, pure(geo.Sand), 0, 20}, stretch{3, pure(geo.FirmTrack), 0, 20})
	c, _, err := cat(t).Learn([]catalogue.LogEntry{{Hazard: "bogged", Ground: geo.Sand, Amount: 40, Events: 12}})
	if err != nil {
		t.Fatal(err)
	}
	tr := usualTrip()
	tr.Party.Load = load("hand_tools", 1)
	judged := func(tr Trip) Score {
		j, err := Judge(context.Background(), s, tr, c, Options{Quick: true})
		if err != nil {
			t.Fatal(err)
		}
		return j.Trip
	}
	before := judged(tr)
	if before.Readiness != 0 || !(before.U > before.D) {
		t.Fatalf("readiness %g with trouble %g over %g, want none", before.Readiness, before.U, before.D)
	}
	sum := 0.0
	for _, l := range before.Lost {
		sum += l.Points
	}
	if math.Abs(sum-100) > 1e-9 {
		t.Errorf("the lost points add up to %g, want 100", sum)
	}
	a, err := Advise(context.Background(), s, tr, c, PackLimit{PayloadKg: 60, Candidates: load("shovel", 1, "boards", 2, "pressure_gauge", 1, "compressor", 1, "beacon", 1)}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Things)+len(a.Sets) == 0 {
		t.Error("nothing is advised")
	}
	for _, q := range slices.Concat(a.Things, a.Sets) {
		with := tr
		with.Party.Load = slices.Concat(tr.Party.Load, q.Items)
		if got := judged(with).Readiness; math.Abs(got-q.Gain) > 2e-3 {
			t.Errorf("%s promises %.5f points more than none, judged it gives %.5f", q.Title, q.Gain, got)
		}
	}
}

// What is advised for the second vehicle's load gives what it says when the whole trip is judged with it there, fits
// into that vehicle's payload, and is not asked for when it stays at home.
func TestAdviceForTheSecondVehicle(t *testing.T) {
	s := made(stretch{12, pure(geo.Sand), 0.03, 30}, stretch{8, pure(geo.Mud), 0, 20})
	tr := usualTrip()
	p := helper()
	p.Load = load("water", 40, "spare_wheel", 1)
	tr.Partner, tr.Together = p, true
	a, err := Advise(context.Background(), s, tr, cat(t), PackLimit{PayloadKg: 60}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Second) == 0 || !(a.SecondKg > 0) {
		t.Fatalf("nothing is advised for an all but empty second vehicle with %.0f kg left", a.SecondKg)
	}
	for i, q := range a.Second {
		if q.Gain < trifle || q.Kg > a.SecondKg || i > 0 && q.PerKg > a.Second[i-1].PerKg {
			t.Errorf("%s wins %.4f points with %.1f of %.0f kg, as number %d", q.Title, q.Gain, q.Kg, a.SecondKg, i+1)
		}
		with, c := tr, *p
		c.Load = append(slices.Clone(p.Load), q.Items...)
		with.Partner = &c
		if got := ready(t, s, with).res.Readiness() - a.Readiness; math.Abs(got-q.Gain) > 1e-9 {
			t.Errorf("%s in the second vehicle wins %.6f points, promised %.6f", q.Title, got, q.Gain)
		}
	}
	tr.Together = false
	if a, err = Advise(context.Background(), s, tr, cat(t), PackLimit{PayloadKg: 60}, Options{}); err != nil || len(a.Second) > 0 {
		t.Errorf("alone, %d things are advised for the second vehicle (%v)", len(a.Second), err)
	}
}

// The dark holds recipes back that need daylight, unless the party works at night.
func TestDarkHoldsRecipesBack(t *testing.T) {
	tr := usualTrip()
	tr.Party.Load = append(slices.Clone(tr.Party.Load), load("high_jack", 1)...)
	s := made(stretch{20, pure(geo.Sand), 0, 20})
	self := func(tr Trip, hour int) float64 {
		c := tr.Conditions.Start
		tr.Conditions.Start = time.Date(c.Year(), c.Month(), c.Day(), hour, 0, 0, 0, time.FixedZone("", 3600)) // the made-up line lies at 10 E
		j := judge(t, s, tr, Options{Quick: true})
		for _, e := range j.Legs[0].Events {
			if e.Key == "bogged/deep" {
				return e.SelfHelp
			}
		}
		return -1
	}
	morning, evening := self(tr, 8), self(tr, 16)
	tr.Policy.AcceptNight = true
	night := self(tr, 16)
	if !(morning > evening && night >= morning-1e-9) {
		t.Errorf("deep bogging ends by itself with %.3f in the morning, %.3f late in the day, %.3f when the night is accepted", morning, evening, night)
	}
}

func ExampleJudge() {
	c, err := catalogue.Load(assets.Table)
	if err != nil {
		panic(err)
	}
	s := made(stretch{30, geo.Pure(geo.FirmTrack, "tracktype=grade3"), 0.02, 20})
	t := Trip{Party: Party{
		Vehicle: Vehicle{Class: "wagon_mid_diesel"},
		People:  []Person{{AgeY: 40, Driver: true, Skills: []string{"tyre_repair"}}},
		Load:    []LoadItem{{Item: "spare_wheel", Count: 1}, {Item: "jack", Count: 1}, {Item: "wheel_brace", Count: 1}, {Item: "water", Count: 20}, {Item: "beacon", Count: 1}},
	}, Conditions: Conditions{DayMeanC: 20, DayMaxC: 27, NightMinC: 13}}
	j, err := Judge(context.Background(), s, t, c, Options{})
	if err != nil {
		panic(err)
	}
	fmt.Println(len(j.Legs), "leg; the largest loss:", j.Trip.Lost[0].Title)
	fmt.Println("it costs what its parts cost:", math.Abs(j.Trip.Lost[0].Points-j.Trip.Lost[0].Missing-j.Trip.Lost[0].Stock-j.Trip.Lost[0].Late-j.Trip.Lost[0].Rest) < 1e-12)
	// Output:
	// 1 leg; the largest loss: light bogging
	// it costs what its parts cost: true
}

// Bound: two seconds for 20 candidates, exact, everything else of the advice included.
func BenchmarkAdvise20(b *testing.B) {
	for _, together := range []bool{false, true} {
		b.Run(map[bool]string{false: "alone", true: "together"}[together], func(b *testing.B) { advise20(b, together) })
	}
}

func advise20(b *testing.B, together bool) {
	tr := usualTrip()
	tr.Together = together
	for b.Loop() {
		a, err := Advise(context.Background(), desert(), tr, cat(b), PackLimit{PayloadKg: 80}, Options{})
		if err != nil || !a.Best.Exact {
			b.Fatal("not exact", err)
		}
	}
}
