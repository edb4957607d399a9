package supply_test

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"lastroad/risk/supply"
)

// Days follow each other without gap, legs end in order, nothing is driven in the dark without leave
// beyond the first steps of a day, and every check-in has an alarm after it.
func TestPlanProperties(t *testing.T) {
	tab := tables(t)
	rapid.Check(t, func(t *rapid.T) {
		in := supply.PlanInput{
			Start: time.Date(2026, 3, 1, 0, 0, 0, 0, time.FixedZone("", rapid.IntRange(-12, 14).Draw(t, "zone")*3600)).
				Add(time.Duration(rapid.IntRange(0, 86399).Draw(t, "start")) * time.Second),
			People: drawPeople(t), AcceptNight: rapid.Bool().Draw(t, "night"), AgreedWaitH: rapid.Float64Range(0.25, 12).Draw(t, "wait"),
		}
		rise, day := rapid.Float64Range(4, 8).Draw(t, "rise"), rapid.Float64Range(6, 15).Draw(t, "day")
		if rapid.Bool().Draw(t, "sun") {
			in.Daylight = func(d time.Time, _ float64) (time.Time, time.Time, bool) {
				y, m, dd := d.Date()
				at := time.Date(y, m, dd, 0, 0, 0, 0, d.Location())
				return at.Add(time.Duration(rise * float64(time.Hour))), at.Add(time.Duration((rise + day) * float64(time.Hour))), true
			}
		}
		to := 0.0
		for range rapid.IntRange(0, 6).Draw(t, "legs") {
			to += rapid.Float64Range(0, 200e3).Draw(t, "length")
			in.Legs = append(in.Legs, supply.TimeLeg{ToM: to, MoveS: rapid.Float64Range(0, 40000).Draw(t, "seconds"), Unsealed: rapid.Bool().Draw(t, "unsealed"),
				Recoveries: rapid.Float64Range(0, 1).Draw(t, "recoveries"), RecoveryMin: 45, CompressorMin: math.NaN(), CheckIn: rapid.Bool().Draw(t, "check in")})
		}
		for range rapid.IntRange(0, 5).Draw(t, "stops") {
			in.Stops = append(in.Stops, supply.PlanStop{AtM: rapid.Float64Range(-10, 1.2e6).Draw(t, "stop"), Name: "camp", Night: rapid.Bool().Draw(t, "overnight")})
		}
		p, err := tab.Plan(in)
		if err != nil {
			t.Fatal(err)
		}
		at, clock := 0.0, in.Start
		for i, d := range p.Days {
			if d.FromM != at || d.ToM < d.FromM || d.Begin.Before(clock) || d.End.Before(d.Begin) {
				t.Fatalf("day %d %+v does not follow km %g, %v", i, d, at/1000, clock)
			}
			if !in.AcceptNight && d.DarkMin > 20 && !d.Begin.Before(d.Sunrise) {
				t.Fatalf("day %d drives %g min in the dark", i, d.DarkMin)
			}
			if (d.Camp == "") != (i == len(p.Days)-1) {
				t.Fatalf("day %d of %d camps at %q", i, len(p.Days), d.Camp)
			}
			if d.TurnBy.Before(d.Begin) {
				t.Fatalf("day %d must turn at %v before it begins", i, d.TurnBy)
			}
			at, clock = d.ToM, d.End
		}
		if math.Abs(at-to) > 1e-6*(1+to) || p.End != clock {
			t.Fatalf("the plan ends at %g of %g m, at %v, not %v", at, to, p.End, clock)
		}
		for i := range in.Legs {
			if p.LegEnd[i].IsZero() || i > 0 && p.LegEnd[i].Before(p.LegEnd[i-1]) {
				t.Fatalf("legs end at %v", p.LegEnd)
			}
		}
		if p.Slow.Before(p.End) || !p.Overdue.After(p.End) {
			t.Fatalf("end %v, slow %v, overdue %v", p.End, p.Slow, p.Overdue)
		}
		if grace := time.Duration(tab.SlowGraceH() * float64(time.Hour)); p.Overdue.Before(p.Slow.Add(grace)) {
			t.Fatalf("the alarm is raised at %v, before slow going (%v) has had its grace of %v", p.Overdue, p.Slow, grace)
		}
		for _, c := range p.CheckIns {
			if !c.OverdueAt.After(c.At) {
				t.Fatalf("check-in %+v", c)
			}
		}
	})
}
