package risk

import (
	"context"
	"fmt"
	"math"
	"reflect"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"lastroad/geo"
	"lastroad/risk/catalogue"
	"lastroad/risk/coverage"
	"lastroad/risk/recovery"
)

// sweep keeps rigs between the many judgements here, as a window does; results do not depend on it.
var sweep Memo

// ready is the central readiness of a trip.
func ready(t testing.TB, s *geo.Survey, tr Trip) *study {
	t.Helper()
	st, err := begin(context.Background(), s, tr, cat(t), Options{Quick: true, central: true, Memo: &sweep})
	if err != nil {
		t.Fatal(err)
	}
	if r := st.res.Readiness(); !(r >= -1e-9 && r <= 100+1e-9) {
		t.Errorf("readiness %g is outside 0..100", r)
	}
	if err := st.m.Check(); err != nil {
		t.Errorf("the model is unsound: %v", err)
	}
	return st
}

// No single thing of the catalogue lowers readiness when it is added, to a bare, a usual and a full load,
// alone and together; and the odds do not rise.
func TestAddingAnyItemNeverLowersReadiness(t *testing.T) {
	s := desert()
	full := usualLoad()
	for i := range cat(t).Items {
		if i%3 == 0 {
			full = append(full, LoadItem{Item: cat(t).Items[i].Key, Count: 1})
		}
	}
	for _, base := range []struct {
		name string
		load []LoadItem
	}{{"bare", nil}, {"usual", usualLoad()}, {"full", full}} {
		if testing.Short() && base.name != "usual" {
			continue
		}
		for _, together := range []bool{false, true} {
			if together && base.name != "usual" {
				continue
			}
			tr := usualTrip()
			tr.Together = together
			tr.Party.Load = base.load
			before := ready(t, s, tr)
			for i := range cat(t).Items {
				it := &cat(t).Items[i]
				for _, n := range []float64{1, 4} {
					if n > 1 && (base.name != "usual" || together && !it.Force) {
						continue
					}
					tr.Party.Load = append(slices.Clone(base.load), LoadItem{Item: it.Key, Count: n})
					after := ready(t, s, tr)
					if after.res.Readiness() < before.res.Readiness()-1e-9 {
						t.Errorf("%s, together %v: %g of %s take readiness from %.6f to %.6f", base.name, together, n, it.Key, before.res.Readiness(), after.res.Readiness())
					}
					if after.res.NotUnaided > before.res.NotUnaided+1e-12 || after.res.NoHelp > before.res.NoHelp+1e-12 {
						t.Errorf("%s, together %v: %g of %s raise the odds", base.name, together, n, it.Key)
					}
				}
			}
			tr.Party.Load = base.load
			for k := range cat(t).Skills {
				tr.Party.People = slices.Clone(family().People)
				tr.Party.People[0].Skills = append(slices.Clone(tr.Party.People[0].Skills), cat(t).Skills[k].Key)
				if after := ready(t, s, tr); after.res.Readiness() < before.res.Readiness()-1e-9 {
					t.Errorf("%s: the skill %s lowers readiness", base.name, cat(t).Skills[k].Key)
				}
			}
		}
	}
}

// aTrip draws a trip: load, crew, conditions, partner.
func aTrip(t *rapid.T, c interface{ at(int) string }, n int) Trip {
	tr := usualTrip()
	tr.Party.Load, tr.Partner.Load = nil, nil
	for range rapid.IntRange(0, 25).Draw(t, "lines") {
		tr.Party.Load = append(tr.Party.Load, LoadItem{Item: c.at(rapid.IntRange(0, n-1).Draw(t, "item")), Count: float64(rapid.IntRange(1, 6).Draw(t, "count"))})
	}
	for range rapid.IntRange(0, 15).Draw(t, "partner lines") {
		tr.Partner.Load = append(tr.Partner.Load, LoadItem{Item: c.at(rapid.IntRange(0, n-1).Draw(t, "item")), Count: float64(rapid.IntRange(1, 4).Draw(t, "count"))})
	}
	tr.Together = rapid.Bool().Draw(t, "together")
	tr.Party.People = tr.Party.People[:rapid.IntRange(1, 4).Draw(t, "people")]
	tr.Party.Vehicle.AgeY = rapid.Float64Range(1, 25).Draw(t, "age")
	tr.Party.Vehicle.Lockers = rapid.IntRange(0, 2).Draw(t, "lockers")
	tr.Party.Vehicle.FrontPointKN = rapid.Float64Range(0, 60).Draw(t, "front point")
	k := &tr.Conditions
	k.Wetness, k.WaterLevel = rapid.Float64Range(0, 1).Draw(t, "wetness"), rapid.Float64Range(0, 2).Draw(t, "level")
	k.DayMaxC = rapid.Float64Range(5, 46).Draw(t, "max")
	k.DayMeanC, k.NightMinC = k.DayMaxC-8, k.DayMaxC-16
	tr.Policy.ContactAtHome = rapid.Bool().Draw(t, "contact")
	tr.Policy.AgreedWaitH = rapid.Float64Range(1, 48).Draw(t, "wait")
	return tr
}

type keys []string

func (k keys) at(i int) string { return k[i] }

func itemKeys(t testing.TB) keys {
	var k keys
	for i := range cat(t).Items {
		k = append(k, cat(t).Items[i].Key)
	}
	return k
}

// aRoute draws a made-up route of a few short stretches, with a ford or none: samples 250 m apart and up to ten
// pieces, so that thousands can be tried.
func aRoute(t *rapid.T) *geo.Survey {
	var parts []stretch
	for range rapid.IntRange(1, 4).Draw(t, "stretches") {
		m := unknownMix()
		if g := rapid.IntRange(0, int(geo.NumGrounds)-2).Draw(t, "ground"); g > 0 {
			m = pure(geo.Ground(g))
		}
		parts = append(parts, stretch{float64(rapid.IntRange(1, 6).Draw(t, "km")), m, rapid.Float64Range(-0.3, 0.3).Draw(t, "grade"), rapid.Float64Range(0, 60).Draw(t, "road")})
	}
	s := madeBy(250, parts...)
	if rapid.Bool().Draw(t, "ford") {
		s.Marks = append(s.Marks, geo.Mark{Kind: geo.MarkFord, DistanceM: s.LengthM() * rapid.Float64Range(0, 1).Draw(t, "at")})
	}
	return s
}

// Things, skills, comms, water and a partner never lower readiness; wet, heat, water level, a later alarm and
// remoteness never raise it.
func TestReadinessMovesTheRightWay(t *testing.T) {
	k := itemKeys(t)
	rapid.Check(t, func(rt *rapid.T) {
		s := aRoute(rt)
		tr := aTrip(rt, k, len(k))
		a := ready(t, s, tr)
		up := tr
		good := true
		what := ""
		switch rapid.IntRange(0, 8).Draw(rt, "change") {
		case 0, 1:
			it := k[rapid.IntRange(0, len(k)-1).Draw(rt, "added")]
			up.Party.Load = append(slices.Clone(tr.Party.Load), LoadItem{Item: it, Count: float64(rapid.IntRange(1, 8).Draw(rt, "n"))})
			what = "adding " + it
		case 2:
			up.Together = true
			what = "a partner"
		case 3:
			up.Party.Load = append(slices.Clone(tr.Party.Load), LoadItem{Item: "water", Count: 30})
			what = "30 L of water"
		case 4:
			good = false
			up.Conditions.Wetness += (1 - tr.Conditions.Wetness) / 2
			what = "wetter ground"
		case 5:
			good = false
			up.Conditions.WaterLevel += (2 - tr.Conditions.WaterLevel) / 2
			what = "higher water"
		case 6:
			good = false
			d := (46 - tr.Conditions.DayMaxC) / 2
			up.Conditions.DayMaxC += d
			up.Conditions.DayMeanC += d
			up.Conditions.NightMinC = tr.Conditions.NightMinC // warmth is no part of heat
			what = "hotter days"
		case 7:
			good = false
			up.Policy.AgreedWaitH *= 2
			what = "a later alarm"
		case 8:
			up.Party.People = slices.Clone(tr.Party.People)
			i := rapid.IntRange(0, len(cat(t).Skills)-1).Draw(rt, "skill")
			up.Party.People[0].Skills = append(slices.Clone(up.Party.People[0].Skills), cat(t).Skills[i].Key)
			what = "the skill " + cat(t).Skills[i].Key
		}
		b := ready(t, s, up)
		x, y := a.res.Readiness(), b.res.Readiness()
		if good && y < x-1e-9 {
			rt.Errorf("%s takes readiness from %.9f to %.9f", what, x, y)
		}
		if !good && y > x+1e-9 {
			rt.Errorf("%s takes readiness from %.9f to %.9f", what, x, y)
		}
	})
}

// A log with more troubles on as much ground never raises readiness, whatever is carried against them: the worst case
// stays that of the tables. A log without troubles never lowers it.
func TestALogOfTroublesNeverRaisesReadiness(t *testing.T) {
	k := itemKeys(t)
	rapid.Check(t, func(rt *rapid.T) {
		s := aRoute(rt)
		tr := aTrip(rt, k, len(k))
		h := &cat(t).Hazards[rapid.IntRange(0, len(cat(t).Hazards)-1).Draw(rt, "hazard")]
		if h.Per == "trip" {
			return
		}
		entry := catalogue.LogEntry{Hazard: h.Key, Ground: geo.Ground(rapid.IntRange(1, int(geo.NumGrounds)-1).Draw(rt, "ground")),
			Amount: rapid.Float64Range(1, 5000).Draw(rt, "amount"), Events: float64(rapid.IntRange(0, 60).Draw(rt, "events"))}
		without := ready(t, s, tr)
		judged := func(events float64) coverage.Result {
			e := entry
			e.Events = events
			c, _, err := cat(t).Learn([]catalogue.LogEntry{e})
			if err != nil {
				rt.Fatal(err)
			}
			st, err := begin(context.Background(), s, tr, c, Options{Quick: true, central: true, Memo: &sweep, like: without})
			if err != nil {
				rt.Fatal(err)
			}
			if err := st.m.Check(); err != nil {
				rt.Errorf("the model is unsound: %v", err)
			}
			return st.res
		}
		few, many := judged(entry.Events), judged(entry.Events+float64(rapid.IntRange(1, 40).Draw(rt, "more")))
		if many.Readiness() > few.Readiness()+1e-9 || few.Readiness() > 100+1e-9 || many.Readiness() < -1e-9 {
			rt.Errorf("more troubles with %s in the log take readiness from %.9f to %.9f", h.Key, few.Readiness(), many.Readiness())
		}
		if math.Abs(many.D-few.D) > 1e-12*few.D {
			rt.Errorf("more troubles with %s in the log take the denominator from %g to %g", h.Key, few.D, many.D)
		}
		if none := judged(0); none.Readiness() < without.res.Readiness()-1e-9 {
			rt.Errorf("a log without troubles with %s takes readiness to %.9f", h.Key, none.Readiness())
		}
	})
}

// Remoteness: the same route with every distance to road, people and way out grown by half.
func TestRemotenessNeverRaisesReadiness(t *testing.T) {
	k := itemKeys(t)
	rapid.Check(t, func(rt *rapid.T) {
		s := aRoute(rt)
		tr := aTrip(rt, k, len(k))
		far := *s
		far.Samples = slices.Clone(s.Samples)
		for i := range far.Samples {
			q := &far.Samples[i]
			q.RoadM, q.DriveM, q.DriveMin, q.WalkMin = q.RoadM*1.5, q.DriveM*1.5, q.DriveMin*1.5, q.WalkMin*1.5
			q.HelpM[geo.HelpSettlement] *= 1.5
		}
		d := ready(t, &far, tr).res.Readiness() - ready(t, s, tr).res.Readiness()
		if d > 1e-9 {
			rt.Errorf("half as far again raises readiness by %g", d)
		}
	})
}

// Cutting legs anywhere changes no figure of the trip, and the legs add up to it.
func TestCuttingLegsChangesNothing(t *testing.T) {
	k := itemKeys(t)
	rapid.Check(t, func(rt *rapid.T) {
		s := aRoute(rt)
		tr := aTrip(rt, k, len(k))
		a := ready(t, s, tr)
		c := *s
		c.Legs = nil
		n := len(s.Samples) - 1
		at := 0
		for at < n {
			to := min(n, at+rapid.IntRange(1, max(1, n/2)).Draw(rt, "cut"))
			c.Legs = append(c.Legs, geo.Leg{From: at, To: to, Name: fmt.Sprint("leg ", at)})
			at = to
		}
		b := ready(t, &c, tr)
		if a.res != b.res {
			rt.Errorf("cutting takes the trip from %+v to %+v", a.res, b.res)
		}
		var u, d, mean float64
		for i := range c.Legs {
			q := b.tallyOf(b.legShares(i))
			u, d, mean = u+q.res.U, d+q.res.D, mean+q.res.Stopped
		}
		// Sums of thousands of terms of about the same size: ten digits are left.
		if math.Abs(u-b.res.U) > 1e-10*(1+u) || math.Abs(d-b.res.D) > 1e-10*(1+d) || math.Abs(mean-b.res.Stopped) > 1e-10*(1+mean) {
			rt.Errorf("legs add up to U %.12g, D %.12g, mean %.12g; the trip has %+v", u, d, mean, b.res)
		}
	})
}

// The order of the load, of people and of partner's things does not matter, nor does a second run.
func TestOrderAndRepetitionDoNotMatter(t *testing.T) {
	tr := usualTrip()
	tr.Together = true
	s := desert()
	judge := func(tr Trip) *Judgement {
		j, err := Judge(context.Background(), s, tr, cat(t), Options{Samples: 40})
		if err != nil {
			t.Fatal(err)
		}
		return j
	}
	a, b := judge(tr), judge(tr)
	if d := cmp.Diff(a, b, cmpopts.EquateNaNs(), cmpopts.IgnoreUnexported(recovery.Link{}, recovery.Hold{})); d != "" {
		t.Errorf("the same trip judged twice differs: %s", d)
	}
	back := tr
	back.Party.Load = slices.Clone(tr.Party.Load)
	slices.Reverse(back.Party.Load)
	p := *tr.Partner
	p.Load = slices.Clone(p.Load)
	slices.Reverse(p.Load)
	back.Partner = &p
	c := judge(back)
	if a.Trip.Readiness != c.Trip.Readiness || a.Trip.Band != c.Trip.Band || len(a.Trip.Lost) != len(c.Trip.Lost) {
		t.Errorf("the order of the load takes readiness from %.12f to %.12f", a.Trip.Readiness, c.Trip.Readiness)
	}
	for i := range a.Trip.Lost {
		if a.Trip.Lost[i].Text != c.Trip.Lost[i].Text {
			t.Errorf("the order of the load changes a loss from %q to %q", a.Trip.Lost[i].Text, c.Trip.Lost[i].Text)
		}
	}
	named := *s
	named.Legs = slices.Clone(s.Legs)
	for i := range named.Legs {
		named.Legs[i].Name = "other"
	}
	s = &named
	if d := cmp.Diff(a, judge(tr), cmpopts.EquateNaNs(), cmpopts.IgnoreUnexported(recovery.Link{}, recovery.Hold{})); d != "" {
		t.Errorf("names of legs change the judgement: %s", d)
	}
}

// Lost points add up to 100 - readiness, and the four parts of each add up to it, of trip and legs.
func TestLossesAddUp(t *testing.T) {
	for _, together := range []bool{false, true} {
		for _, l := range [][]LoadItem{nil, usualLoad()} {
			tr := usualTrip()
			tr.Together, tr.Party.Load = together, l
			j, err := Judge(context.Background(), desert(), tr, cat(t), Options{})
			if err != nil {
				t.Fatal(err)
			}
			scores := []Score{j.Trip}
			for i := range j.Legs {
				scores = append(scores, j.Legs[i].Score)
			}
			for i, s := range scores {
				sum := 0.0
				for _, q := range s.Lost {
					sum += q.Points
					if d := q.Missing + q.Stock + q.Late + q.Rest - q.Points; math.Abs(d) > 1e-12*(1+q.Points) {
						t.Errorf("score %d, %s: the parts miss the whole by %g", i, q.Event, d)
					}
					for _, v := range []float64{q.Missing, q.Stock, q.Late, q.Rest} {
						if v < -1e-9 {
							t.Errorf("score %d, %s: a part is %g", i, q.Event, v)
						}
					}
					if q.Text == "" || q.Title == "" {
						t.Errorf("score %d: a loss without words: %+v", i, q)
					}
				}
				if math.Abs(sum-(100-s.Readiness)) > 1e-9 {
					t.Errorf("score %d: losses add up to %.12f, want %.12f", i, sum, 100-s.Readiness)
				}
			}
		}
	}
}

// nanAllowed are the fields that say that NaN means unknown.
var nanAllowed = map[string]bool{"Band": true, "Low": true, "High": true, "Margin": true, "SpeedCapKmh": true, "CompressorMin": true, "DaylightMin": true,
	"WalkOutMin": true, "RoadM": true, "FromM": true, "ToM": true, "OwnLowKN": true, "OwnHighKN": true,
	"Value": true, "LargestL": true, "WaterLeakL": true, "Min": true, "LastReturnM": true}

func finiteFields(t *testing.T, v reflect.Value, path, field string) {
	switch v.Kind() {
	case reflect.Float64:
		if f := v.Float(); math.IsInf(f, 0) || math.IsNaN(f) && !nanAllowed[field] {
			t.Errorf("%s is %g", path, f)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			finiteFields(t, v.Field(i), path+"."+v.Type().Field(i).Name, v.Type().Field(i).Name)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			finiteFields(t, v.Index(i), fmt.Sprintf("%s[%d]", path, i), field)
		}
	case reflect.Pointer:
		if !v.IsNil() {
			finiteFields(t, v.Elem(), path, field)
		}
	}
}

// A survey that knows nothing still gives a judgement with finite numbers.
func TestJudgementIsFinite(t *testing.T) {
	blank := desert()
	for i := range blank.Samples {
		q := &blank.Samples[i]
		nan := math.NaN()
		q.Grade, q.Side, q.HeightM, q.RoadM, q.DriveM, q.DriveMin, q.WalkMin = nan, nan, nan, nan, nan, nan, nan
		for k := range q.HelpM {
			q.HelpM[k] = nan
		}
	}
	for _, s := range []*geo.Survey{desert(), blank} {
		for _, together := range []bool{false, true} {
			tr := usualTrip()
			tr.Together = together
			j, err := Judge(context.Background(), s, tr, cat(t), Options{Samples: 20})
			if err != nil {
				t.Fatal(err)
			}
			finiteFields(t, reflect.ValueOf(j), "judgement", "")
		}
	}
}

// The three percentiles move the right way too, since every sample does.
func TestPercentilesAreMonotone(t *testing.T) {
	tr := usualTrip()
	band := func(tr Trip) [3]float64 {
		j, err := Judge(context.Background(), desert(), tr, cat(t), Options{Samples: 300})
		if err != nil {
			t.Fatal(err)
		}
		return j.Trip.Band
	}
	a := band(tr)
	for _, it := range []string{"high_jack", "jump_pack", "spare_wheel", "winch", "beacon"} {
		up := tr
		up.Party.Load = append(slices.Clone(tr.Party.Load), LoadItem{Item: it, Count: 1})
		if b := band(up); b[0] < a[0]-1e-9 || b[1] < a[1]-1e-9 || b[2] < a[2]-1e-9 {
			t.Errorf("adding %s takes the band from %v to %v", it, a, b)
		}
	}
	up := tr
	up.Together = true
	if b := band(up); b[0] < a[0]-1e-9 || b[1] < a[1]-1e-9 || b[2] < a[2]-1e-9 {
		t.Errorf("a partner takes the band from %v to %v", a, b)
	}
}

func TestJudgeRefuses(t *testing.T) {
	bad := func(change func(*Trip)) error {
		tr := usualTrip()
		change(&tr)
		_, err := Judge(context.Background(), desert(), tr, cat(t), Options{Quick: true})
		return err
	}
	for name, change := range map[string]func(*Trip){
		"wetness above 1":    func(t *Trip) { t.Conditions.Wetness = 1.5 },
		"NaN temperature":    func(t *Trip) { t.Conditions.DayMaxC = math.NaN() },
		"an unknown class":   func(t *Trip) { t.Party.Vehicle.Class = "hovercraft" },
		"a negative count":   func(t *Trip) { t.Party.Load[0].Count = -1 },
		"an age of 300":      func(t *Trip) { t.Party.People[0].AgeY = 300 },
		"infinite mass":      func(t *Trip) { t.Party.Vehicle.GVMKg = math.Inf(1) },
		"a partner's rating": func(t *Trip) { t.Partner.Load[0].RatingKN = math.NaN() },
	} {
		if err := bad(change); err == nil {
			t.Errorf("%s is judged, want a refusal", name)
		}
	}
	if _, err := Judge(context.Background(), &geo.Survey{}, usualTrip(), cat(t), Options{}); err == nil {
		t.Error("a survey without samples is judged, want a refusal")
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Judge(ctx, desert(), usualTrip(), cat(t), Options{}); err == nil {
		t.Error("a cancelled context gives a judgement")
	}
}
