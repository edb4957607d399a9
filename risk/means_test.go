package risk

import (
	"math"
	"strings"
	"testing"
	"time"

	"lastroad/geo"
)

// tried finds what a leg of 10 km of one ground and grade says of a recipe against an event.
func tried(t *testing.T, g geo.Ground, grade float64, event, recipe string, together bool, change func(*Trip)) RemedyResult {
	t.Helper()
	tr := usualTrip()
	tr.Together = together
	if change != nil {
		change(&tr)
	}
	j := judge(t, made(stretch{10, pure(g), grade, 20}), tr, Options{Quick: true})
	for _, e := range j.Legs[0].Events {
		for _, r := range e.Remedies {
			if e.Key == event && r.Key == recipe {
				return r
			}
		}
	}
	t.Fatalf("no recipe %s against %s on %s", recipe, event, g)
	return RemedyResult{}
}

func carry(items ...any) func(*Trip) {
	return func(tr *Trip) { tr.Party.Load = append(load(items...), load("water", 60, "mobile_phone", 1)...) }
}

// Recipes work only where the recovery reckoning says they can. A vehicle of 2950 kg puts 1032 kg on a wheel
// at most (a share of 0.35), 10.1 kN; under a base of 0.30 m² that is 34 kPa: sand bears 60 kPa, mud 25. Boards
// free from the side wall, and from the hubs after digging; on mud and on climbs they want two pairs. A farm jack
// stands on 1.5 degrees at most. Another vehicle of the same weight starts a dead one on a firm track (tractive
// coefficient 0.50 against 0.05 rolling, 0.10 to start and 6 % of grade) and not in sand (0.35 against 0.20 twice).
func TestRecipesWorkOnlyWhereRecoverySaysSo(t *testing.T) {
	jack := carry("high_jack", 1, "jack_base", 1, "shovel", 1, "boards", 2)
	four := carry("boards", 4, "shovel", 1, "pressure_gauge", 1, "compressor", 1)
	for _, r := range []struct {
		name          string
		ground        geo.Ground
		grade         float64
		event, recipe string
		together      bool
		change        func(*Trip)
		fails         string
	}{
		{"two boards in sand", geo.Sand, 0, "bogged/light", "boards", false, nil, ""},
		{"two boards in mud", geo.Mud, 0, "bogged/light", "boards", false, nil, "2 pairs are wanted"},
		{"two boards on a climb in sand", geo.Sand, 0.16, "bogged/light", "boards", false, nil, "2 pairs are wanted"},
		{"four boards in mud", geo.Mud, 0, "bogged/light", "boards", false, four, ""},
		{"four boards from the hubs", geo.Sand, 0, "bogged/deep", "boards_four", false, four, ""},
		{"boards without a mark", geo.Sand, 0, "bogged/light", "boards", false, func(tr *Trip) {
			for i := range tr.Party.Load {
				if tr.Party.Load[i].Item == "boards" {
					tr.Party.Load[i].RatingKN = -1
				}
			}
		}, "no readable rating"},
		{"jacking in sand", geo.Sand, 0, "bogged/deep", "jack_fill", false, jack, ""},
		{"jacking in mud", geo.Mud, 0, "bogged/deep", "jack_fill", false, jack, "ground under the base"},
		{"jacking on a slope", geo.Sand, 0.16, "bogged/deep", "jack_fill", false, jack, "slope and lean"},
		{"an unmarked jack", geo.Sand, 0, "bogged/deep", "jack_fill", false, func(tr *Trip) {
			jack(tr)
			tr.Party.Load[0].RatingKN = -1
		}, "no marked rating"},
		{"towing on a firm track", geo.FirmTrack, 0, "engine/internal", "tow_out", true, nil, ""},
		{"towing in sand", geo.Sand, 0, "engine/internal", "tow_out", true, nil, "grip of the towing vehicle"},
		{"towing up 35 %", geo.LooseRock, 0.35, "engine/internal", "tow_out", true, nil, "grip of the towing vehicle"},
		{"towing without brakes", geo.FirmTrack, 0, "brakes/leak", "tow_out", true, nil, "no working brakes"},
	} {
		t.Run(r.name, func(t *testing.T) {
			got := tried(t, r.ground, r.grade, r.event, r.recipe, r.together, r.change)
			if r.fails == "" && (got.Fails != "" || !(got.Chance > 0)) || r.fails != "" && (!strings.Contains(strings.ToLower(got.Fails), r.fails) || got.Chance != 0) {
				t.Errorf("%s on %s has a chance of %.2f and fails by %q, want %q", r.recipe, r.ground, got.Chance, got.Fails, r.fails)
			}
		})
	}
}

// Four wheels sunk to the side wall ask for 4 x 0.07 m³, dug at 1.0 m³ an hour in sand and 0.3 in mud by one
// person with one spade: 16.8 and 56 minutes; two people with two spades take half. From the hubs to the side
// wall it is 4 x (0.18 - 0.07) m³ = 26.4 minutes in sand. The table's handling comes to it.
func TestDiggingTakesItsTime(t *testing.T) {
	handling := map[string]float64{}
	for _, r := range cat(t).Recipes {
		handling[r.Key] = r.Minutes.Central
	}
	two := carry("shovel", 2)
	alone := func(tr *Trip) { carry("shovel", 1)(tr) }
	for _, r := range []struct {
		ground        geo.Ground
		event, recipe string
		change        func(*Trip)
		dig           float64
	}{
		{geo.Sand, "bogged/light", "dig", alone, 16.8},
		{geo.Mud, "bogged/light", "dig", alone, 56},
		{geo.Sand, "bogged/light", "dig", two, 8.4},
		{geo.Sand, "bogged/deep", "boards_four", carry("boards", 4, "shovel", 1, "pressure_gauge", 1, "compressor", 1), 26.4},
		{geo.Sand, "bogged/deep", "jack_fill", carry("high_jack", 1, "jack_base", 1, "shovel", 1, "boards", 2), 26.4},
	} {
		got := tried(t, r.ground, 0, r.event, r.recipe, false, r.change)
		if want := handling[r.recipe] + r.dig; math.Abs(got.Minutes-want) > 0.01 {
			t.Errorf("%s in %s takes %.1f minutes, want %.1f with %.1f of digging", r.recipe, r.ground, got.Minutes, want, r.dig)
		}
	}
}

// In mud the tractive coefficient is 0.20 and the rolling resistance 0.15: all wheels drive a vehicle off that
// is dug free, half of them (0.10) do not.
func TestDrivingOffAsksForDrivenWheels(t *testing.T) {
	p := family()
	p.Vehicle.GVMKg = 2950
	o := alone(cat(t), &p)
	o.vehicle.AllWheelDrive = true
	if !drivesOff(cat(t), o, geo.Mud, false) {
		t.Error("four driven wheels do not drive off in mud")
	}
	two := *o.vehicle
	two.AllWheelDrive, two.LowRange = false, false
	o.vehicle = &two
	if drivesOff(cat(t), o, geo.Mud, false) {
		t.Error("two driven wheels drive off in mud")
	}
	if !drivesOff(cat(t), o, geo.FirmTrack, false) {
		t.Error("two driven wheels do not drive off on a firm track")
	}
}

// A spade more never costs readiness although digging takes time: where the day is too short for it, the pull
// without digging counts.
func TestASpadeNeverCostsDaylight(t *testing.T) {
	s := made(stretch{20, pure(geo.Mud), 0.1, 20})
	for hour := 6; hour <= 18; hour++ {
		tr := usualTrip()
		tr.Conditions.Start = time.Date(2027, 3, 20, hour, 0, 0, 0, time.FixedZone("", 3600)) // the made-up line lies at 10 E
		tr.Party.Load = load("hand_winch", 1, "tree_strap", 1, "shackle", 4, "block", 2, "gloves", 1, "water", 60)
		a := ready(t, s, tr).res.Readiness()
		tr.Party.Load = append(tr.Party.Load, LoadItem{Item: "shovel", Count: 1})
		if b := ready(t, s, tr).res.Readiness(); b < a-1e-9 {
			t.Errorf("starting at %d h a spade takes readiness from %.6f to %.6f", hour, a, b)
		}
	}
}
