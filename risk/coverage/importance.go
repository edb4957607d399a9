package coverage

import "math"

// FussellVesely is the share of the whole that goes through one part: part/whole, 0 when the whole is 0.
// This is the linear form, right for a sum of rare events.
func FussellVesely(part, whole float64) float64 {
	if whole <= 0 {
		return 0
	}
	return part / whole
}

// Union is the chance that at least one cut set happens: every set in cuts is a list of indexes into p,
// the chances of independent basic events. It is exact, by inclusion and exclusion, for up to 20 cut sets.
func Union(p []float64, cuts [][]int) float64 {
	sum := 0.0
	for s := 1; s < 1<<len(cuts); s++ {
		in := map[int]bool{}
		sign := -1.0
		for c := range cuts {
			if s&(1<<c) != 0 {
				sign = -sign
				for _, e := range cuts[c] {
					in[e] = true
				}
			}
		}
		term := sign
		for e := range p {
			if in[e] {
				term *= p[e]
			}
		}
		sum += term
	}
	return sum
}

// RareSum is the sum over cut sets of their chances, the usual upper estimate for rare events.
func RareSum(p []float64, cuts [][]int) float64 {
	sum := 0.0
	for _, c := range cuts {
		sum += cutChance(p, c)
	}
	return sum
}

// MinCutBound is 1 - prod(1 - P(cut)): an upper bound that never exceeds 1.
func MinCutBound(p []float64, cuts [][]int) float64 {
	q := 1.0
	for _, c := range cuts {
		q *= 1 - cutChance(p, c)
	}
	return 1 - q
}

func cutChance(p []float64, cut []int) float64 {
	t := 1.0
	for _, e := range cut {
		t *= p[e]
	}
	return t
}

// Importance is how much one basic event matters to a top event.
type Importance struct {
	Birnbaum float64 // P(top | failed) - P(top | works)
	RAW      float64 // risk achievement worth: P(top | failed) / P(top)
	RRW      float64 // risk reduction worth: P(top) / P(top | works)
	Share    float64 // 1 - P(top | works) / P(top)
	// FussellVesely is the chance that a cut set with the event happens, over P(top).
	FussellVesely float64
}

// ImportanceOf computes the measures of basic event e exactly.
func ImportanceOf(p []float64, cuts [][]int, e int) Importance {
	at := func(v float64) float64 {
		q := append([]float64(nil), p...)
		q[e] = v
		return Union(q, cuts)
	}
	top, failed, works := Union(p, cuts), at(1), at(0)
	var with [][]int
	for _, c := range cuts {
		for _, x := range c {
			if x == e {
				with = append(with, c)
				break
			}
		}
	}
	i := Importance{Birnbaum: failed - works, RAW: failed / top, RRW: math.Inf(1), Share: 1 - works/top, FussellVesely: Union(p, with) / top}
	if works > 0 {
		i.RRW = top / works
	}
	return i
}

// BothOut is the chance that two like units are out when each is with chance p and part beta of that has
// one cause: beta p + ((1-beta) p)^2.
func BothOut(p, beta float64) float64 { return beta*p + (1-beta)*p*(1-beta)*p }

// PartnerFit is the chance that the other of two like units is fit given that this one is out.
func PartnerFit(p, beta float64) float64 { return 1 - BothOut(p, beta)/p }

// TwoOfThree is the chance that at least two of three like units fail by time t at rate lambda: the
// independent part, and the common-cause part beta of the rate.
func TwoOfThree(lambda, t, beta float64) (independent, common float64) {
	q := -math.Expm1(-lambda * t)
	return 3*q*q*(1-q) + q*q*q, -math.Expm1(-beta * lambda * t)
}

// TwoOfThreeOnDemand is the chance that two of three like units fail on demand when each fails with p and
// part beta of that has one cause: the usual formula 3((1-beta)p)^2 + beta p, and exactly.
func TwoOfThreeOnDemand(p, beta float64) (formula, exact float64) {
	q, c := (1-beta)*p, beta*p
	ind := 3*q*q*(1-q) + q*q*q
	return 3*q*q + c, 1 - (1-ind)*(1-c)
}

// ActivePair is the chance that at least one of two units running side by side lives through x = rate x
// time: 2 exp(-x) - exp(-2x).
func ActivePair(x float64) float64 { return 2*math.Exp(-x) - math.Exp(-2*x) }

// ColdPair is the same for a unit and a spare that is not exposed until it is called, with a perfect
// start: exp(-x) (1 + x). A second vehicle that drives along is an active one; one on call at the base is cold.
func ColdPair(x float64) float64 { return math.Exp(-x) * (1 + x) }
