package supply

import "math"

// CoolingInput is a cooling system and what may go into it.
type CoolingInput struct {
	CoolantL      float64 // filling as the maker states it; 0 or NaN = from the displacement
	EngineL       float64 // displacement in litres
	CoolantHaveL  float64 // coolant carried
	WaterHaveL    float64 // water carried for the radiator alone
	DrinkingHaveL float64 // drinking water carried
	DrinkingNeedL float64 // what the people need of it
	HeightM       float64 // for the boiling point; NaN = sea level
	CapKPa        float64 // rating of the pressure cap; 0 = the table's
}

// CoolingNeed is the radiator's share of the supplies.
type CoolingNeed struct {
	FillingL  float64
	Defaulted bool    // FillingL was estimated
	CarryL    Band    // to carry, counted apart from the drinking water
	BoilOverL Band    // lost in one boil-over
	HaveL     float64 // coolant and water carried for it
	ShortL    float64 // of CarryL.Central, never below 0
	// FromDrinkingL is what would have to come out of the drinking water, and DrinkingLeftL what then is
	// left; DrinkingShort is true when the people would fall below their need.
	FromDrinkingL, DrinkingLeftL float64
	DrinkingShort                bool
	WaitMin                      Band
	BoilsC, OpenBoilsC           float64 // of a half-and-half mix under the cap and open, at this height
	Cautions                     []string
	Reminders                    []string
}

var coolingCautions = []string{
	"Never open a hot cooling system: steam and boiling coolant scald. Wait until the upper hose is soft and can be held in the hand.",
	"Overheating: heater and fan to full, stop in the shade facing the wind, let it idle while the gauge falls; switch off if coolant is lost. Do not pour cold water into an overheated engine.",
	"Coolant is poisonous: keep it from children and animals, collect what runs out, never mix its containers with drinking water.",
}

var coolingReminders = []string{
	"Plain water is for getting out only: it boils earlier, freezes and corrodes. Have the system flushed and refilled with the maker's mix afterwards.",
}

// Cooling works out the reserve for the radiator. Drinking water that goes into it is counted in both.
func (t *Tables) Cooling(in CoolingInput) CoolingNeed {
	c := &t.CoolTable
	n := CoolingNeed{FillingL: in.CoolantL, Cautions: coolingCautions, Reminders: coolingReminders, WaitMin: Of(c.Wait)}
	if !(n.FillingL > 0) {
		n.Defaulted = true
		n.FillingL = math.Max(c.Least.Central, c.PerEngineL.Central*math.Max(0, orElse(in.EngineL, 0)))
	}
	n.BoilOverL = Of(c.BoilOver).Scale(n.FillingL)
	n.CarryL = Of(c.Carry).Max(Band{n.BoilOverL.Low, n.BoilOverL.Central, n.BoilOverL.High})
	n.HaveL = math.Max(0, orElse(in.CoolantHaveL, 0)) + math.Max(0, orElse(in.WaterHaveL, 0))
	n.ShortL = math.Max(0, n.CarryL.Central-n.HaveL)
	drinking := math.Max(0, orElse(in.DrinkingHaveL, 0))
	n.FromDrinkingL = math.Min(n.ShortL, drinking)
	n.DrinkingLeftL = drinking - n.FromDrinkingL
	n.DrinkingShort = n.FromDrinkingL > 0 && n.DrinkingLeftL < math.Max(0, orElse(in.DrinkingNeedL, 0))
	cap := in.CapKPa
	if !(cap > 0) {
		cap = c.CapKPa.Central
	}
	height := orElse(in.HeightM, 0)
	n.OpenBoilsC = c.Boils.Central - c.Per300m.Central*height/300
	n.BoilsC = n.OpenBoilsC + c.PerKPa.Central*cap
	return n
}
