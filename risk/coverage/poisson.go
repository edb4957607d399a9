package coverage

import "math"

// PoissonAtMost is P(N <= k) for a Poisson count with mean m >= 0: the protection level of k spares.
// It is 0 for k < 0 and 1 for m = 0. NaN gives NaN. Relative error below 1e-14 for m up to 100.
func PoissonAtMost(m float64, k int) float64 {
	switch {
	case math.IsNaN(m):
		return m
	case k < 0:
		return 0
	case m <= 0:
		return 1
	}
	p := math.Exp(-m)
	sum := p
	for i := 1; i <= k; i++ {
		p *= m / float64(i)
		sum += p
	}
	return math.Min(sum, 1)
}

// PoissonAtLeast is P(N >= k), summed from the small terms so that tiny tails keep their digits.
func PoissonAtLeast(m float64, k int) float64 {
	switch {
	case math.IsNaN(m):
		return m
	case k <= 0:
		return 1
	case m <= 0:
		return 0
	}
	if m > float64(k) {
		return 1 - PoissonAtMost(m, k-1)
	}
	p := math.Exp(-m)
	for i := 1; i <= k; i++ {
		p *= m / float64(i)
	}
	sum := p
	for i := k + 1; p > sum*1e-17; i++ {
		p *= m / float64(i)
		sum += p
	}
	return sum
}

// Spares is the smallest stock s with P(N <= s) >= protection for a mean need m. Protection must lie
// in [0,1); for 1 and above no finite stock suffices and ok is false.
func Spares(m, protection float64) (s int, ok bool) {
	if !(protection < 1) || math.IsNaN(m) || math.IsInf(m, 0) {
		return 0, false
	}
	p := math.Exp(-m)
	sum := p
	for sum < protection {
		s++
		p *= m / float64(s)
		sum += p
		if s > 1000+int(20*m) {
			return 0, false
		}
	}
	return s, true
}

// Shortage is the expected number of unmet needs (expected backorders) of a stock of s for a mean
// need m: E max(N-s, 0) = m P(N >= s) - s P(N > s). It is convex and decreasing in s.
// Sherbrooke's METRIC; NASA SPARE model users guide 1990.
func Shortage(m float64, s int) float64 {
	if m <= 0 {
		return 0
	}
	if s <= 0 {
		return m
	}
	p := math.Exp(-m)
	if m <= float64(s) {
		for i := 1; i <= s; i++ {
			p *= m / float64(i)
		}
		// Sum the tail from its largest term: p is P(N = s).
		over, q := 0.0, p
		for i := s + 1; q > over*1e-17; i++ {
			q *= m / float64(i)
			over += q
		}
		return m*(over+p) - float64(s)*over
	}
	below := 0.0 // sum of (s-k) P(N = k)
	for i := 0; i < s; i++ {
		below += float64(s-i) * p
		p *= m / float64(i+1)
	}
	return m - float64(s) + below
}

// thinStep is the step of the running mean below which the mean shortage over the step is taken at
// its middle. The error of the middle is step^2/24 times a second derivative below 1, so 1e-11; the
// difference of two shortages loses about 1e-16/step, also 1e-11 there.
const thinStep = 1e-5

// StockLeft is the chance that a stock of s units still has one for a need on a stretch, when the
// running mean need is from before the stretch and to after it (0 <= from <= to):
// 1 - (Shortage(to)-Shortage(from))/(to-from), which is the mean of P(N <= s-1) over the stretch.
// It falls along the trip, rises with s, and does not depend on how the stretches are cut.
func StockLeft(from, to float64, s int) float64 {
	if s <= 0 {
		return 0
	}
	if to-from < thinStep {
		return PoissonAtMost((from+to)/2, s-1)
	}
	return clamp01(1 - (Shortage(to, s)-Shortage(from, s))/(to-from))
}

func clamp01(v float64) float64 { return min(1, max(0, v)) }
