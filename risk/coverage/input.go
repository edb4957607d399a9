package coverage

import (
	"math"

	"lastroad/geo"
)

// InputKind is how an uncertain number is spread.
type InputKind uint8

// The kinds of inputs. The value that [Input.At] gives is a factor for Rate and Time, the number itself
// for Chance, and the index of the choice for Choice.
const (
	Rate   InputKind = iota // lognormal factor with mean 1
	Time                    // lognormal factor with median 1
	Chance                  // logit-normal below Central and above it, each side with its own spread
	Choice                  // one of several, with the probabilities in Weights
)

// Input is an uncertain number of the model.
type Input struct {
	Key, Title string
	From       geo.Provenance
	Kind       InputKind
	Central    float64   // for Chance
	Sigma      float64   // log-scale spread; for Chance that on the logit scale above Central
	Below      float64   // for Chance the spread below Central
	Weights    []float64 // for Choice, in a fixed order
	// LowAt and HighAt are the values that the tornado tries; for Rate and Time factors.
	LowAt, HighAt float64
}

// RateInput is a rate with the given median and a spread by its 5 and 95 % points. The tornado moves the mean
// to those points.
func RateInput(key, title string, from geo.Provenance, low, central, high float64) Input {
	ef := ErrorFactorOf(low, high)
	s := SigmaOf(ef)
	mean := central * MeanOverMedian(s)
	return Input{Key: key, Title: title, From: from, Kind: Rate, Sigma: s, LowAt: low / mean, HighAt: high / mean}
}

// TimeInput is a time whose median has the given error factor.
func TimeInput(key, title string, from geo.Provenance, ef float64) Input {
	return Input{Key: key, Title: title, From: from, Kind: Time, Sigma: SigmaOf(ef), LowAt: 1 / ef, HighAt: ef}
}

// ChanceInput is a chance that is central in the middle and low and high at its 5 and 95 % points. Ends of 0 and 1 are
// moved in by a thousandth: the logit scale has no such values, and ends nearer to them would put most samples there.
func ChanceInput(key, title string, from geo.Provenance, low, central, high float64) Input {
	in := Input{Key: key, Title: title, From: from, Kind: Chance, Central: central, LowAt: low, HighAt: high}
	in.Sigma = math.Max(0, logit(inside(high))-logit(inside(central))) / z95
	in.Below = math.Max(0, logit(inside(central))-logit(inside(low))) / z95
	return in
}

func inside(p float64) float64 { return math.Min(1-1e-3, math.Max(1e-3, p)) }

func logit(p float64) float64 { return math.Log(p / (1 - p)) }

// Middle is the value of the input in the central answer.
func (in *Input) Middle() float64 {
	switch in.Kind {
	case Chance:
		return in.Central
	case Choice:
		return -1
	}
	return 1
}

// At is the value of the input at the uniform number u in (0,1).
func (in *Input) At(u float64) float64 {
	switch in.Kind {
	case Rate:
		return math.Exp(in.Sigma*PhiInv(u) - in.Sigma*in.Sigma/2)
	case Time:
		return math.Exp(in.Sigma * PhiInv(u))
	case Choice:
		at := 0.0
		for i, w := range in.Weights {
			at += w
			if u < at {
				return float64(i)
			}
		}
		return float64(len(in.Weights) - 1)
	}
	sigma := in.Sigma
	if u < 0.5 {
		sigma = in.Below
	}
	if sigma == 0 {
		return in.Central
	}
	return 1 / (1 + math.Exp(-(logit(inside(in.Central)) + sigma*PhiInv(u))))
}
