package supply_test

import (
	"testing"
	"time"

	"lastroad/risk/supply"
)

// A leg that ends where the user stops for the night has its hour of arrival.
func TestALegThatEndsAtACampHasAnArrival(t *testing.T) {
	in := supply.PlanInput{
		Start: time.Date(2026, 7, 3, 9, 0, 0, 0, time.UTC), Daylight: fixedSun,
		Legs:   []supply.TimeLeg{{ToM: 60e3, MoveS: 2 * 3600}, {ToM: 120e3, MoveS: 2 * 3600}},
		People: []supply.Person{{MassKg: 80}},
		Stops:  []supply.PlanStop{{AtM: 60e3, Name: "camp", Night: true}},
	}
	p, err := tables(t).Plan(in)
	if err != nil {
		t.Fatal(err)
	}
	if p.LegEnd[0].Before(in.Start.Add(2*time.Hour)) || p.LegEnd[0].After(in.Start.Add(3*time.Hour)) {
		t.Errorf("the leg of two hours from 9:00 ends at %v, want between 11:00 and 12:00", p.LegEnd[0])
	}
	if p.LegEnd[1].Day() != 4 {
		t.Errorf("the leg after the night ends at %v, want the next day", p.LegEnd[1])
	}
}
