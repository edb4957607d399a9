package supply

import (
	"math"
	"sort"
)

// Person is what supplies need to know of somebody.
type Person struct {
	AgeY   float64 // years; 0 or NaN = not given, read as an adult
	MassKg float64 // kilograms; 0 or NaN = not given, taken from the age
	// Acclimatised people have worked in such heat for one to two weeks. The published tables hold for them.
	Acclimatised bool
}

// Mass is the mass of p in kilograms: as given, else the median of the age (estimated = true).
func (t *Tables) Mass(p Person) (kg float64, estimated bool) {
	if p.MassKg > 0 {
		return p.MassKg, false
	}
	if !(p.AgeY > 0) {
		return t.People.Figures.AdultKg.Central, true
	}
	m := &t.People.Mass
	return along(m.AgeY, m.Kg, p.AgeY, false), true
}

// Child reports whether p is below the age from which the published daily intakes count people as adults.
func (t *Tables) Child(p Person) bool {
	return p.AgeY > 0 && p.AgeY < t.People.Figures.AdultAge.Central
}

// Share is the water that p needs as a multiple of the adult of the published field tables. Those
// tables were made for adults only; scaling them to children is a judgement: the larger of the ratio
// of published daily intakes by age (EFSA 2010) and the ratio of maintenance needs by mass (Holliday
// and Segar 1957). Adults never count less than 1; heavier people count more. It never falls with mass,
// nor with age at a given mass.
func (t *Tables) Share(p Person) float64 {
	kg, _ := t.Mass(p)
	ratio := t.maintenance(kg) / t.maintenance(t.People.Figures.AdultKg.Central)
	if !t.Child(p) {
		return math.Max(1, ratio)
	}
	pt := &t.People
	i := sort.SearchFloat64s(pt.AgeToY, p.AgeY)
	if i < len(pt.AgeToY) && pt.AgeToY[i] == p.AgeY {
		i++ // bands are up to but not including their upper age
	}
	byAge := 1.0
	if i < len(pt.IntakeL) {
		byAge = pt.IntakeL[i] / pt.AdultL
	}
	return math.Max(byAge, ratio)
}

// maintenance is the Holliday-Segar volume in litres a day; only ratios of it are used.
func (t *Tables) maintenance(kg float64) float64 {
	f := &t.People.Figures
	kg = math.Max(0, kg)
	return f.First10.Central*math.Min(kg, 10) + f.Next10.Central*math.Min(math.Max(kg-10, 0), 10) +
		f.Above20.Central*math.Max(kg-20, 0)
}

// Shares is the sum of Share over people: the party in adults.
func (t *Tables) Shares(people []Person) float64 {
	sum := 0.0
	for _, p := range people {
		sum += t.Share(p)
	}
	return sum
}
