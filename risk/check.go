package risk

import (
	"fmt"
	"math"
	"strings"

	"lastroad/geo"
)

// checkTrip refuses figures that cannot be. A range is stated with every refusal.
func checkTrip(t *Trip) error {
	bad := func(where string, v, lo, hi float64, unit string) error {
		return &geo.InputError{Where: where, Reason: fmt.Sprintf("%g %s is outside %g to %g", v, unit, lo, hi)}
	}
	type rule struct {
		where  string
		v      float64
		lo, hi float64
		unit   string
	}
	c := &t.Conditions
	rules := []rule{
		{"wetness", c.Wetness, 0, 1, ""}, {"water level", c.WaterLevel, 0, 2, ""},
		{"highest temperature of the day", c.DayMaxC, -60, 60, "degC"}, {"mean temperature", c.DayMeanC, -60, 55, "degC"},
		{"lowest temperature of the night", c.NightMinC, -70, 50, "degC"}, {"adverse temperature", c.AdverseC, -60, 60, "degC"},
		{"adverse wetness", c.AdverseWetness, 0, 1, ""}, {"adverse water level", c.AdverseWaterLevel, 0, 2, ""},
		{"month", float64(c.Month), 0, 12, ""}, {"pace", c.Pace, 0, 1.5, ""}, {"cost of being rescued", t.Policy.RescueCost, 0, 1, ""},
		{"detour", t.Policy.DetourKm, 0, 5000, "km"}, {"agreed wait", t.Policy.AgreedWaitH, 0, 24 * 30, "h"}, {"samples", float64(t.Policy.Samples), 0, 1e6, ""},
	}
	party := func(p *Party, whose string) {
		v := &p.Vehicle
		for _, r := range []rule{
			{"permitted mass", v.GVMKg, 0, 40000, "kg"}, {"kerb mass", v.KerbKg, 0, 40000, "kg"}, {"laden mass", v.LadenKg, 0, 40000, "kg"},
			{"age of vehicle", v.AgeY, 0, 120, "y"}, {"wading depth", v.WadingM, 0, 3, "m"}, {"clearance", v.ClearanceM, 0, 2, "m"},
			{"tank", v.TankL, 0, 2000, "L"}, {"consumption", v.SealedLPer100, 0, 80, "L/100 km"}, {"locked axles", float64(v.Lockers), 0, 4, ""},
		} {
			r.where = whose + r.where
			rules = append(rules, r)
		}
		for _, l := range p.Load {
			rules = append(rules, rule{whose + "count of " + l.Item, l.Count, 0, 1e5, ""}, rule{whose + "mass of " + l.Item, l.MassKg, 0, 5000, "kg"},
				rule{whose + "rating of " + l.Item, l.RatingKN, -1e4, 1e4, "kN"}, rule{whose + "length of " + l.Item, l.LengthM, 0, 1000, "m"},
				rule{whose + "containers of " + l.Item, l.Containers, 0, 1000, ""})
		}
		for i, q := range p.People {
			who := q.Name
			if strings.TrimSpace(who) == "" {
				who = fmt.Sprintf("person %d", i+1)
			}
			rules = append(rules, rule{whose + "age of " + who, q.AgeY, 0, 120, "y"}, rule{whose + "mass of " + who, q.MassKg, 0, 400, "kg"})
		}
	}
	party(&t.Party, "")
	if t.Partner != nil {
		party(t.Partner, "second vehicle: ")
	}
	for _, r := range rules {
		if !(r.v >= r.lo && r.v <= r.hi) || math.IsNaN(r.v) {
			return bad(r.where, r.v, r.lo, r.hi, r.unit)
		}
	}
	return nil
}
