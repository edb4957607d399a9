package supply

import (
	"math"
	"sort"

	"lastroad/geo/walk"
)

// Published rules for walking time and effort. They were made for fit people on paths in daylight;
// none is a promise for hot, thirsty or injured people off a path.

// NaismithMin is Naismith's rule of 1892 in minutes: 12 min per km and 10 min per 100 m of ascent,
// metres in; flatKmh replaces the 5 km/h of the rule (4 suits loads and rough ground), 0 = 5.
func NaismithMin(distanceM, ascentM, flatKmh float64) float64 {
	if !(flatKmh > 0) {
		flatKmh = 5
	}
	return distanceM/1000*60/flatKmh + ascentM/10
}

// LangmuirMin corrects Naismith's minutes for descent: 10 min less per 300 m of gentle descent (5 to 12
// degrees), 10 min more per 300 m of steep descent (above 12 degrees); flatter ones change nothing.
func LangmuirMin(naismithMin, gentleDescentM, steepDescentM float64) float64 {
	return naismithMin - gentleDescentM/30 + steepDescentM/30
}

// LangmuirSegmentMin is the time of one stretch by Naismith and Langmuir: horizontal metres and rise
// (negative = down), sorted into gentle and steep by its own slope.
func LangmuirSegmentMin(distanceM, riseM, flatKmh float64) float64 {
	slope := math.Atan2(riseM, distanceM) * 180 / math.Pi
	t := NaismithMin(distanceM, math.Max(0, riseM), flatKmh)
	switch {
	case slope < -12:
		return LangmuirMin(t, 0, -riseM)
	case slope <= -5:
		return LangmuirMin(t, -riseM, 0)
	}
	return t
}

// FlatEquivalentM is the level distance that takes as long: distance and eight times the ascent
// (Scarf's form of Naismith's rule, rounded from 7.92).
func FlatEquivalentM(distanceM, ascentM float64) float64 { return distanceM + 8*ascentM }

// TranterH corrects hours by Naismith for fitness, given as the minutes that somebody needs fresh for
// 300 m of climb over 800 m. Between the columns it interpolates, between the rows it takes the less
// fit one; below 2 h it scales the first column. Drop rows with nextRows: one for a 20 kg load, for bad
// ground, for the night or a head wind each. ok is false where the table says not to attempt it.
func (t *Tables) TranterH(naismithH, fitnessMin float64, nextRows int) (hours float64, ok bool) {
	tr := &t.TranterTable
	row := sort.SearchFloat64s(tr.FitnessMin, fitnessMin) + max(0, nextRows)
	if row >= len(tr.Hours) || !(naismithH >= 0) || math.IsNaN(fitnessMin) {
		return 0, false
	}
	h := tr.Hours[row]
	xs := tr.NaismithH[:len(h)]
	if naismithH > xs[len(xs)-1] {
		return 0, false
	}
	if naismithH < xs[0] {
		return h[0] * naismithH / xs[0], true
	}
	return along(xs, h, naismithH, false), true
}

// ToblerKmh is Tobler's hiking function of 1993: 6 exp(-3.5 |S + 0.05|) km/h on a path for a slope S as
// rise over run in walking direction; off a path 0.6 of it.
func ToblerKmh(slope float64, offPath bool) float64 {
	v := 3.6 / walk.Tobler(slope)
	if offPath {
		v *= 0.6
	}
	return v
}

// DIN33466H is the time of DIN 33466 in hours: 4 km/h on the level, 300 m/h up and 500 m/h down, the
// larger of both parts and half of the smaller; rests are extra.
func DIN33466H(distanceM, ascentM, descentM float64) float64 {
	return largerAndHalf(distanceM/4000, ascentM/300+descentM/500)
}

// AlpineClubH is the older rule of the Swiss Alpine Club: as DIN 33466 with 400 m/h up and 800 m/h down.
func AlpineClubH(distanceM, ascentM, descentM float64) float64 {
	return largerAndHalf(distanceM/4000, ascentM/400+descentM/800)
}

func largerAndHalf(a, b float64) float64 { return math.Max(a, b) + math.Min(a, b)/2 }

// swiss are the coefficients of the Swiss hiking trail time, minutes per km against slope in tenths, as
// published in the source of the federal map viewer.
var swiss = [...]float64{14.271, 3.6991, 2.5922, -1.4384, 0.32105, 0.81542, -0.090261, -0.20757,
	0.010192, 0.028588, -0.00057466, -0.0021842, 1.5176e-5, 8.6894e-5, -1.3584e-7, -1.4026e-6}

// SwissMinPerKm is the Swiss trail time in minutes per km of horizontal distance at a slope as rise over
// run in walking direction. Inside 40 % it is a polynomial of 15th degree; beyond, 17 minutes for each
// tenth up and 9 down. Officially it holds to 25 %.
func SwissMinPerKm(slope float64) float64 {
	s := 10 * slope
	switch {
	case s >= 4:
		return 17 * s
	case s <= -4:
		return -9 * s
	}
	y := 0.0
	for i := len(swiss) - 1; i >= 0; i-- {
		y = y*s + swiss[i]
	}
	return y
}

// PandolfW is the metabolic rate in watts of walking with a load (Pandolf, Givoni and Goldman 1977):
// body and load in kg, speed in m/s, grade in PERCENT (0 or more), terrain coefficient of Soule and
// Goldman 1972. It was measured to 70 kg and 1.97 m/s and reads 12 to 33 % low for heavy modern loads;
// it does not hold downhill.
func PandolfW(bodyKg, loadKg, speedMS, gradePercent, terrain float64) float64 {
	m := bodyKg + loadKg
	return 1.5*bodyKg + 2*m*(loadKg/bodyKg)*(loadKg/bodyKg) + terrain*m*(1.5*speedMS*speedMS+0.35*speedMS*gradePercent)
}

// SnowTerrain is the terrain coefficient of snow by sinkage in cm (US Army ERDC).
func SnowTerrain(sinkageCm float64) float64 {
	z := math.Max(0, sinkageCm)
	return 0.0005*z*z*z + 0.0001*z*z + 0.1072*z + 1.2604
}

// KcalPerHour converts watts of metabolic rate.
func KcalPerHour(watts float64) float64 { return watts * 0.8604 }
