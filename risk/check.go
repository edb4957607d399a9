package risk

import (
	"fmt"
	"math"
	"strings"

	"lastroad/geo"
)

// checkTrip refuses figures that cannot be. A range is stated with every refusal.
func checkTrip(t *Trip) error {
	c := &t.Conditions
	f := &refuser{}
	f.check("", "wetness", "", c.Wetness, 0, 1, "")
	f.check("", "water level", "", c.WaterLevel, 0, 2, "")
	f.check("", "highest temperature of the day", "", c.DayMaxC, -60, 60, "degC")
	f.check("", "mean temperature", "", c.DayMeanC, -60, 55, "degC")
	f.check("", "lowest temperature of the night", "", c.NightMinC, -70, 50, "degC")
	f.check("", "adverse temperature", "", c.AdverseC, -60, 60, "degC")
	f.check("", "adverse wetness", "", c.AdverseWetness, 0, 1, "")
	f.check("", "adverse water level", "", c.AdverseWaterLevel, 0, 2, "")
	f.check("", "month", "", float64(c.Month), 0, 12, "")
	f.check("", "pace", "", c.Pace, 0, 1.5, "")
	f.check("", "cost of being rescued", "", t.Policy.RescueCost, 0, 1, "")
	f.check("", "detour", "", t.Policy.DetourKm, 0, 5000, "km")
	f.check("", "agreed wait", "", t.Policy.AgreedWaitH, 0, 24*30, "h")
	f.check("", "samples", "", float64(t.Policy.Samples), 0, 1e6, "")
	f.party(&t.Party, "")
	if t.Partner != nil {
		f.party(t.Partner, "second vehicle: ")
	}
	return f.err
}

// refuser keeps the first figure that cannot be. Names are put together only for that one.
type refuser struct{ err error }

func (f *refuser) check(whose, what, name string, v, lo, hi float64, unit string) {
	if f.err == nil && (!(v >= lo && v <= hi) || math.IsNaN(v)) {
		f.err = &geo.InputError{Where: whose + what + name, Reason: fmt.Sprintf("%g %s is outside %g to %g", v, unit, lo, hi)}
	}
}

func (f *refuser) party(p *Party, whose string) {
	v := &p.Vehicle
	f.check(whose, "permitted mass", "", v.GVMKg, 0, 40000, "kg")
	f.check(whose, "kerb mass", "", v.KerbKg, 0, 40000, "kg")
	f.check(whose, "laden mass", "", v.LadenKg, 0, 40000, "kg")
	f.check(whose, "age of vehicle", "", v.AgeY, 0, 120, "y")
	f.check(whose, "wading depth", "", v.WadingM, 0, 3, "m")
	f.check(whose, "clearance", "", v.ClearanceM, 0, 2, "m")
	f.check(whose, "tank", "", v.TankL, 0, 2000, "L")
	f.check(whose, "consumption", "", v.SealedLPer100, 0, 80, "L/100 km")
	f.check(whose, "locked axles", "", float64(v.Lockers), 0, 4, "")
	for i := range p.Load {
		l := &p.Load[i]
		f.check(whose, "count of ", l.Item, l.Count, 0, 1e5, "")
		f.check(whose, "mass of ", l.Item, l.MassKg, 0, 5000, "kg")
		f.check(whose, "rating of ", l.Item, l.RatingKN, -1e4, 1e4, "kN")
		f.check(whose, "length of ", l.Item, l.LengthM, 0, 1000, "m")
		f.check(whose, "containers of ", l.Item, l.Containers, 0, 1000, "")
	}
	for i, q := range p.People {
		who := q.Name
		if strings.TrimSpace(who) == "" {
			who = fmt.Sprintf("person %d", i+1)
		}
		f.check(whose, "age of ", who, q.AgeY, 0, 120, "y")
		f.check(whose, "mass of ", who, q.MassKg, 0, 400, "kg")
	}
}
