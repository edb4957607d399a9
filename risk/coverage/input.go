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
	Chance                  // logit-normal around Central
	Choice                  // one of several, with the probabilities in Weights
)

// Input is an uncertain number of the model.
type Input struct {
	Key, Title string
	From       geo.Provenance
	Kind       InputKind
	Central    float64   // for Chance
	Sigma      float64   // log-scale or logit-scale spread
	Weights    []float64 // for Choice, in a fixed order
	// LowAt and HighAt are the values that the tornado tries; for Rate and Time factors.
	LowAt, HighAt float64
}

// RateInput is a rate with the given 5 and 95 % points around its median. The tornado moves the mean
// to those points.
func RateInput(key, title string, from geo.Provenance, low, high float64) Input {
	ef := ErrorFactorOf(low, high)
	s := SigmaOf(ef)
	mean := math.Sqrt(low*high) * MeanOverMedian(s)
	return Input{Key: key, Title: title, From: from, Kind: Rate, Sigma: s, LowAt: low / mean, HighAt: high / mean}
}

// TimeInput is a time whose median has the given error factor.
func TimeInput(key, title string, from geo.Provenance, ef float64) Input {
	return Input{Key: key, Title: title, From: from, Kind: Time, Sigma: SigmaOf(ef), LowAt: 1 / ef, HighAt: ef}
}

// ChanceInput is a chance between low and high (5 and 95 %); ends of 0 and 1 are moved in by 1e-6.
func ChanceInput(key, title string, from geo.Provenance, low, central, high float64) Input {
	in := Input{Key: key, Title: title, From: from, Kind: Chance, Central: central, LowAt: low, HighAt: high}
	if central <= 0 || central >= 1 {
		return in
	}
	in.Sigma = (logit(inside(high)) - logit(inside(low))) / (2 * z95)
	return in
}

func inside(p float64) float64 { return math.Min(1-1e-6, math.Max(1e-6, p)) }

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
	if in.Sigma == 0 {
		return in.Central
	}
	return 1 / (1 + math.Exp(-(logit(in.Central) + in.Sigma*PhiInv(u))))
}
