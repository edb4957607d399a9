package recovery

import "math"

// RCI is the rating cone index of fine-grained soil: cone index times remoulding index (US Army
// Waterways Experiment Station; Army subcourse EN5341A).
func RCI(coneIndex, remoulding float64) float64 { return coneIndex * remoulding }

// DeflectionFactor corrects the vehicle cone index for the tyres' deflection over section height:
// (0.15/ratio)^0.25 (Priddy and Willoughby, Journal of Terramechanics 2004).
func DeflectionFactor(ratio float64) float64 { return math.Pow(0.15/ratio, 0.25) }

// VCI1 is the least soil strength for one pass of a wheeled vehicle with all axles driven on fat clay,
// from its mobility index and deflection over section height (Priddy and Willoughby 2004). It can go
// where RCI is at least this. Inputs that are not above zero give NaN.
func VCI1(mobility, deflection float64) float64 {
	if !(mobility > 0) || !(deflection > 0) {
		return math.NaN()
	}
	v := 4.1 * math.Pow(mobility, 0.446)
	if mobility <= 115 {
		v = 11.48 + 0.2*mobility - 39.2/(mobility+3.74)
	}
	return v * DeflectionFactor(deflection)
}
