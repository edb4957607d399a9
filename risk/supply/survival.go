package supply

import "math"

// SurvivalDays is the expected number of days at rest in the shade by the highest shade temperature
// of the day and the litres that an adult has in all (Adolph 1947, interpolated in both). It is an
// expectation, not a plan: see Tau for what is counted on. Temperatures and litres outside the table
// take its edge; NaN reads as the hottest row and no water.
func (t *Tables) SurvivalDays(maxC, litres float64) float64 {
	s := &t.Survival
	if math.IsNaN(maxC) {
		maxC = math.Inf(1)
	}
	n := len(s.MaxDegC)
	i := 0
	for i < n && s.MaxDegC[i] <= maxC {
		i++
	}
	lo, hi, f := i-1, i, 0.0
	switch {
	case i == 0:
		lo, hi = 0, 0
	case i == n:
		lo, hi = n-1, n-1
	default:
		f = (maxC - s.MaxDegC[lo]) / (s.MaxDegC[hi] - s.MaxDegC[lo])
	}
	a, b := along(s.Litres, s.Days[lo], litres, false), along(s.Litres, s.Days[hi], litres, false)
	return a + f*(b-a)
}

// BodyWaterLoss is what losing the given share (percent) of the body mass means: kilograms, and the
// effects that FM 3-05.70 ch. 4 lists at or below it, worst first; "" below 2 %.
func BodyWaterLoss(massKg, percent float64) (kg float64, effect string) {
	kg = massKg * percent / 100
	switch {
	case percent > 15:
		effect = "may be fatal"
	case percent >= 15:
		effect = "dim vision, swollen tongue, deafness, numb skin"
	case percent >= 10:
		effect = "dizziness, headache, unable to walk, tingling limbs"
	case percent >= 5:
		effect = "thirst, irritability, nausea, weakness"
	case percent >= 2:
		effect = "thirst begins"
	}
	return kg, effect
}
