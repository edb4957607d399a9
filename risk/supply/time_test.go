package supply_test

import (
	"testing"
	"time"

	"lastroad/risk/supply"
)

// fixedSun rises at 6 and sets at 18 local time everywhere.
func fixedSun(day time.Time, _ float64) (rise, set time.Time, ok bool) {
	y, m, d := day.Date()
	return time.Date(y, m, d, 6, 0, 0, 0, day.Location()), time.Date(y, m, d, 18, 0, 0, 0, day.Location()), true
}

func TestPlanCampsAtTheUsersStopsBeforeDusk(t *testing.T) {
	tab := tables(t)
	zone := time.FixedZone("", 2*3600)
	in := supply.PlanInput{
		Start: time.Date(2026, 7, 3, 9, 0, 0, 0, zone), Daylight: fixedSun,
		Legs: []supply.TimeLeg{
			{ToM: 120e3, MoveS: 4 * 3600},
			{ToM: 200e3, MoveS: 5 * 3600, Unsealed: true, CheckIn: true},
			{ToM: 300e3, MoveS: 4 * 3600},
		},
		People: []supply.Person{{MassKg: 80}},
		Stops:  []supply.PlanStop{{AtM: 60e3, Name: "well"}, {AtM: 150e3, Name: "old fort"}, {AtM: 250e3, Name: "dune foot"}},
	}
	p, err := tab.Plan(in)
	if err != nil {
		t.Fatal(err)
	}
	// Day 1: 9:00 to at most 17:00 (an hour before sunset) is 8 h; breaks of 15 min every 2 h leave 7.1 h of
	// driving, 4 h to km 120 and 3.1 of 5 h over the next 80 km: km 169. The last stop before it is at 150.
	if p.Days[0].Camp != "old fort" || !p.Days[0].Chosen {
		t.Errorf("first night at %q, want the old fort at km 150", p.Days[0].Camp)
	}
	near(t, "first day ends at", p.Days[0].ToM, 150e3, 1e-6)
	if len(p.Days) != 2 {
		t.Fatalf("%d days, want 2: %+v", len(p.Days), p.Days)
	}
	if got := p.Days[1].Begin; got.Hour() != 8 {
		t.Errorf("the second day begins at %v, want 8:00", got)
	}
	// 3.125 h + 4 h of driving and 15 min for every two hours: 7.125 x 1.125 = 8.02 h after 8:00.
	near(t, "arrival, hours after the second morning", p.End.Sub(p.Days[1].Begin).Hours(), 7.125*1.125, 0.01)
	for _, d := range p.Days {
		if d.End.Hour() >= 17 && d.End.Minute() > 0 {
			t.Errorf("day ends at %v, less than an hour before sunset", d.End)
		}
	}
	var why []string
	for _, c := range p.CheckIns {
		why = append(why, c.Why)
		if !c.OverdueAt.After(c.At) {
			t.Errorf("check-in %q at %v is overdue at %v", c.Why, c.At, c.OverdueAt)
		}
		if h := c.OverdueAt.Hour(); h < 7 || h > 20 {
			t.Errorf("check-in %q at %v starts an alarm at night, %v", c.Why, c.At, c.OverdueAt)
		}
	}
	want := []string{"evening", "morning", "end of leg 2", "end of the trip"}
	if len(why) != len(want) {
		t.Fatalf("check-ins %q, want %q", why, want)
	}
	for i := range want {
		if why[i] != want[i] {
			t.Errorf("check-in %d is %q, want %q", i, why[i], want[i])
		}
	}
	if p.Slow.Before(p.End) {
		t.Errorf("the slow arrival %v is before the usual one %v", p.Slow, p.End)
	}
	if got := supply.LocalAndUTC(in.Start); got != "Fri 3 Jul 2026 09:00 (UTC+02:00) = Fri 3 Jul 07:00 UTC" {
		t.Errorf("LocalAndUTC = %q", got)
	}
}

func TestPlanDrivesIntoTheNightOnlyWhenToldTo(t *testing.T) {
	tab := tables(t)
	in := supply.PlanInput{Start: time.Date(2026, 7, 3, 15, 0, 0, 0, time.UTC), Daylight: fixedSun, MaxDriveH: 12,
		Legs: []supply.TimeLeg{{ToM: 200e3, MoveS: 5 * 3600, Unsealed: true}}}
	p, err := tab.Plan(in)
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Days) != 2 || p.Days[0].DarkMin != 0 {
		t.Errorf("without leave to drive by night: %d days, %g min in the dark", len(p.Days), p.Days[0].DarkMin)
	}
	in.AcceptNight = true
	p, err = tab.Plan(in)
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Days) != 1 || p.Days[0].DarkMin < 60 || !p.LegDark[0] {
		t.Errorf("with leave to drive by night: %d days, %g min in the dark", len(p.Days), p.Days[0].DarkMin)
	}
	if p.LegLight[0] >= 0 {
		t.Errorf("arrival after dark leaves %g minutes of light", p.LegLight[0])
	}
}

func TestPlanRefusesWhatCannotBePlanned(t *testing.T) {
	tab := tables(t)
	if _, err := tab.Plan(supply.PlanInput{}); err == nil {
		t.Error("a plan without a departure was made")
	}
	if _, err := tab.Plan(supply.PlanInput{Start: time.Date(2026, 7, 3, 9, 0, 0, 0, time.UTC), Legs: []supply.TimeLeg{{ToM: 1e9, MoveS: 1e9}}}); err == nil {
		t.Error("a journey of decades was planned")
	}
}

func TestChildrenShortenTheTimeBetweenBreaks(t *testing.T) {
	tab := tables(t)
	leg := supply.TimeLeg{ToM: 100e3, MoveS: 4 * 3600}
	adults := tab.LegTime(leg, []supply.Person{{AgeY: 40}})
	family := tab.LegTime(leg, []supply.Person{{AgeY: 40}, {AgeY: 7}})
	near(t, "breaks of adults in 4 h", adults.Stops.Central, 30, 1e-9) // 15 min every 2 h
	near(t, "breaks of a family in 4 h", family.Stops.Central, 4/1.5*20, 1e-9)
}
