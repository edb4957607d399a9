package risk

import (
	"fmt"

	"lastroad/risk/catalogue"
)

// Fill puts the defaults of the vehicle class in the place of what is not given and lists the fields in
// Vehicle.Defaulted; masses of people come from their ages; temperatures, water level and policies from
// the tables. It returns a copy and sentences that say what was assumed; t itself is left as it is.
// A class that the tables do not know is an error.
func (t Trip) Fill(cat *catalogue.Catalogue) (Trip, []string, error) {
	var notes []string
	p, n, err := fillParty(cat, t.Party, "")
	if err != nil {
		return t, nil, err
	}
	t.Party = p
	notes = append(notes, n...)
	if t.Partner != nil {
		q, n, err := fillParty(cat, *t.Partner, "the second vehicle's ")
		if err != nil {
			return t, nil, err
		}
		t.Partner = &q
		notes = append(notes, n...)
	}
	c := &t.Conditions
	if c.DayMeanC == 0 && c.DayMaxC == 0 && c.NightMinC == 0 {
		c.DayMeanC, c.DayMaxC, c.NightMinC = 20, 27, 13
		notes = append(notes, "No temperatures are given: a day of 13 to 27 °C is taken.")
	}
	if c.DayMaxC == 0 && c.DayMeanC != 0 {
		c.DayMaxC = c.DayMeanC + 7
	}
	if c.AdverseC == 0 {
		c.AdverseC = cat.Figure("adverse_max_c").Central
	}
	if t.Policy.AgreedWaitH == 0 {
		t.Policy.AgreedWaitH = cat.Figure("agreed_wait_h").Central
	}
	return t, notes, nil
}

func fillParty(cat *catalogue.Catalogue, p Party, whose string) (Party, []string, error) {
	v := p.Vehicle
	if v.Class == "" {
		v.Class = cat.Vehicles.Classes[0].Key
	}
	c, ok := cat.Vehicles.Class(v.Class)
	if !ok {
		return p, nil, fmt.Errorf("vehicle class %q is not in the table of classes", v.Class)
	}
	var set []string
	num := func(name string, dst *float64, from float64) {
		if *dst == 0 && from != 0 {
			*dst = from
			set = append(set, name)
		}
	}
	num("KerbKg", &v.KerbKg, c.KerbKg.Central)
	num("GVMKg", &v.GVMKg, c.GVMKg.Central)
	num("FrontAxleKg", &v.FrontAxleKg, c.FrontAxleKg.Central)
	num("RearAxleKg", &v.RearAxleKg, c.RearAxleKg.Central)
	num("RoofKg", &v.RoofKg, c.RoofKg.Central)
	num("KerbFrontShare", &v.KerbFrontShare, c.KerbFrontShare.Central)
	num("WheelbaseM", &v.WheelbaseM, c.WheelbaseM.Central)
	num("TrackM", &v.TrackM, c.TrackM.Central)
	num("CGHeightM", &v.CGHeightM, c.CGHeightM.Central)
	num("ClearanceM", &v.ClearanceM, c.ClearanceM.Central)
	num("ApproachDeg", &v.ApproachDeg, c.ApproachDeg.Central)
	num("BreakoverDeg", &v.BreakoverDeg, c.BreakoverDeg.Central)
	num("DepartureDeg", &v.DepartureDeg, c.DepartureDeg.Central)
	num("WadingM", &v.WadingM, c.WadingM.Central)
	if v.Seats == 0 {
		v.Seats = c.Seats
		set = append(set, "Seats")
	}
	num("AgeY", &v.AgeY, 10)
	if v.TyreSize == "" {
		v.TyreSize = c.TyreSize
		set = append(set, "TyreSize")
	}
	num("FrontKPa", &v.FrontKPa, c.FrontKPa.Central)
	num("RearKPa", &v.RearKPa, c.RearKPa.Central)
	if !v.AllWheelDrive && !v.LowRange {
		v.AllWheelDrive, v.LowRange = c.AllWheelDrive, c.LowRange
		set = append(set, "AllWheelDrive", "LowRange")
	}
	if v.Fuel == "" {
		v.Fuel, v.Turbo, v.Automatic = FuelKind(c.Fuel), c.Turbo, c.Automatic
		set = append(set, "Fuel", "Turbo", "Automatic")
	}
	num("TankL", &v.TankL, c.TankL.Central)
	num("UsableShare", &v.UsableShare, c.UsableShare.Central)
	num("SealedLPer100", &v.SealedLPer100, c.SealedLPer100.Central)
	num("EngineL", &v.EngineL, c.EngineL.Central)
	num("CoolantL", &v.CoolantL, c.CoolantL.Central)
	v.Defaulted = append(append([]string(nil), v.Defaulted...), set...)
	var notes []string
	if len(set) > 0 {
		notes = append(notes, fmt.Sprintf("%d figures of %svehicle are those of the class %q, not its own.", len(set), whose, c.Title))
	}
	p.Vehicle = v
	if len(p.People) == 0 {
		p.People = []Person{{Name: "driver", AgeY: 40, Driver: true}}
		notes = append(notes, "No people are named for "+whose+"vehicle: one adult is taken.")
	} else {
		p.People = append([]Person(nil), p.People...)
	}
	for i, q := range people(p.People) {
		if p.People[i].MassKg == 0 {
			p.People[i].MassKg, _ = cat.Supply.Mass(q)
		}
	}
	return p, notes, nil
}
