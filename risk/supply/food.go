package supply

import "math"

// FoodInput is what a trip asks of the larder.
type FoodInput struct {
	People    []Person
	Climate   Climate
	Days      float64 // planned days
	StrandedH Band    // hours until help
	HaveKcal  float64 // carried
}

// FoodNeed is the food of the party.
type FoodNeed struct {
	KcalPerDay  Band // while travelling
	RestPerDay  Band // while waiting
	Kcal        Band // planned days and waiting to the 5, 50, 95 % point of help, or the reserve days when those are more
	Kg          Band // packed
	ReserveDays float64
	DaysCarried float64 // of waiting that HaveKcal gives after the planned days
	Cautions    []string
	ColdKcal    float64 // kcal a day added for cold, one adult
}

var foodCautions = []string{
	"Food limits nobody for days: water, shade and warmth come first. With little water, eat little.",
}

// Food works out the energy of the food. Children count by the larger of a share by mass and six tenths
// (judgement: a child of six eats some 1500 of 2500 kcal). It grows with people, days and cold.
func (t *Tables) Food(in FoodInput) FoodNeed {
	f := &t.FoodTable
	c := in.Climate.Filled()
	eaters := 0.0
	for _, p := range in.People {
		kg, _ := t.Mass(p)
		share := kg / t.People.Figures.AdultKg.Central
		if t.Child(p) {
			share = math.Min(1, math.Max(0.6, share))
		} else {
			share = math.Max(1, share)
		}
		eaters += share
	}
	cold := within((f.MildAbove.Central-c.MeanC)/(f.MildAbove.Central-f.ColdBelow.Central), 0, 1)
	add := cold * (f.ColdKcal.Central - f.FieldKcal.Central)
	n := FoodNeed{Cautions: foodCautions, ReserveDays: f.ReserveDays.Central, ColdKcal: add}
	n.KcalPerDay = Of(f.FieldKcal).Add(Exactly(add)).Scale(eaters)
	n.RestPerDay = Of(f.RestKcal).Add(Exactly(add)).Scale(eaters)
	days := math.Max(0, orElse(in.Days, 0))
	wait := in.StrandedH.Scale(1.0 / 24).Max(Exactly(0))
	wait.High = math.Max(wait.High, n.ReserveDays)
	n.Kcal = n.KcalPerDay.Scale(days).Add(n.RestPerDay.Times(wait))
	n.Kg = Band{n.Kcal.Low / f.KcalPerKg.High, n.Kcal.Central / f.KcalPerKg.Central, n.Kcal.High / f.KcalPerKg.Low}
	if n.RestPerDay.Central > 0 {
		n.DaysCarried = math.Max(0, orElse(in.HaveKcal, 0)-n.KcalPerDay.Central*days) / n.RestPerDay.Central
	}
	return n
}

// ShelterNeed is something that keeps people from heat or cold, and why it is asked for.
type ShelterNeed struct{ Item, Why string }

// Shelter lists what the climate of a wait asks for, in table order.
func (t *Tables) Shelter(c Climate) []ShelterNeed {
	c = c.Filled()
	var out []ShelterNeed
	for _, s := range t.Shelters {
		if s.When == "hot" && c.MaxC >= s.DegC {
			out = append(out, ShelterNeed{s.Item, "heat"})
		}
		if s.When == "cold" && c.NightMinC <= s.DegC {
			out = append(out, ShelterNeed{s.Item, "cold"})
		}
	}
	return out
}

// FirstAidGroup is a group of the contents of a first-aid kit.
type FirstAidGroup struct {
	Key, Title string
	FromHours  float64
	Source     string
}

// FirstAidCaution goes with every list of FirstAid.
const FirstAidCaution = "The groups follow public lists and are no medical advice. Ask a doctor or a first-aid school what your people and region need, and learn to use it before leaving."

// FirstAid lists the groups of a kit for a time to help in hours (the slow end of the band), in table
// order. Longer never drops a group; NaN gives all.
func (t *Tables) FirstAid(helpH float64) []FirstAidGroup {
	var out []FirstAidGroup
	for _, g := range t.FirstAids {
		if !(helpH < g.FromHours) {
			out = append(out, FirstAidGroup{g.Key, g.Title, g.FromHours, g.Source})
		}
	}
	return out
}
