package coverage

import "math"

// z95 is the 95 % point of the standard normal distribution, exact to the printed digits. Many texts
// round it to 1.645 (NUREG/CR-2815); the difference shows in the fifth digit of a mean.
const z95 = 1.6448536269514722

// Phi is the standard normal distribution function.
func Phi(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// PhiInv is the inverse of Phi for p in (0,1); 0 and 1 give the infinities.
func PhiInv(p float64) float64 { return -math.Sqrt2 * math.Erfcinv(2*p) }

// SigmaOf is the log-scale spread of a lognormal with error factor ef = p95/p50 >= 1.
func SigmaOf(ef float64) float64 { return math.Log(ef) / z95 }

// ErrorFactorOf is the error factor of a band whose ends are the 5 and 95 % points.
func ErrorFactorOf(low, high float64) float64 { return math.Sqrt(high / low) }

// MeanOverMedian is the ratio of mean to median of a lognormal with spread sigma. Expected harm needs
// the mean of a rate, not its median.
func MeanOverMedian(sigma float64) float64 { return math.Exp(sigma * sigma / 2) }

// VariationOf is the coefficient of variation of a lognormal with spread sigma.
func VariationOf(sigma float64) float64 { return math.Sqrt(math.Expm1(sigma * sigma)) }

// ErrorFactorOfProduct is the error factor of a product of independent lognormals.
func ErrorFactorOfProduct(ef ...float64) float64 {
	s := 0.0
	for _, f := range ef {
		l := math.Log(f)
		s += l * l
	}
	return math.Exp(math.Sqrt(s))
}

// HelpInTime is the chance that help arrives before supplies end: arrival after the notice delay is
// lognormal with the given median and error factor; tau is how long supplies last. All in hours.
// It is 0 when tau <= delay or any number is NaN; a median of 0 gives 1.
func HelpInTime(tauH, delayH, medianH, ef float64) float64 {
	left := tauH - delayH
	if !(left > 0) || math.IsNaN(medianH) || math.IsNaN(ef) {
		return 0
	}
	if medianH <= 0 || math.IsInf(left, 1) {
		return 1
	}
	if ef <= 1 {
		if left >= medianH {
			return 1
		}
		return 0
	}
	return Phi(math.Log(left/medianH) / SigmaOf(ef))
}

// RateLog is what the user's own log does to a rate: the prior, a mean with a lognormal spread, is
// taken as a gamma of the same mean and variation, which n events in an exposure turn into a gamma
// again. Mean 0.5 per 100 km with error factor 5 and one event in 1000 km gives 0.1443 per 100 km.
func RateLog(mean, sigma float64, n, exposure float64) (updated, newSigma float64) {
	if !(sigma > 0) || !(mean > 0) {
		return mean, sigma
	}
	a := 1 / math.Expm1(sigma*sigma)
	b := a / mean
	a2, b2 := a+n, b+exposure
	return a2 / b2, math.Sqrt(math.Log1p(1 / a2))
}
