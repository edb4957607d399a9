package ground

import (
	"fmt"
	"math"

	"lastroad/geo"
)

// shares is a number for each class by its index; that of geo.Unknown is 0.
type shares [geo.NumGrounds]float64

func (s shares) sum() float64 {
	sum := 0.0
	for _, v := range s {
		sum += v
	}
	return sum
}

// normal is s scaled to the sum 1; ok is false when there is nothing to scale.
func (s shares) normal() (out shares, ok bool) {
	sum := s.sum()
	if !(sum > 0) {
		return s, false
	}
	for i, v := range s {
		out[i] = v / sum
	}
	return out, true
}

// times is s reweighted by likelihoods and scaled to the sum 1. When nothing would be left, the two
// contradict each other; then s stays and ok is false.
func (s shares) times(l shares) (out shares, ok bool) {
	for i := range s {
		out[i] = s[i] * l[i]
	}
	if out, ok = out.normal(); !ok {
		return s, false
	}
	return out, true
}

// Weights are shares or likelihoods as a table writes them: one number for each class named.
type Weights struct {
	Sealed    float64 `toml:"sealed"`
	Gravel    float64 `toml:"gravel"`
	FirmTrack float64 `toml:"firm_track"`
	Clay      float64 `toml:"clay"`
	Mud       float64 `toml:"mud"`
	Sand      float64 `toml:"sand"`
	LooseRock float64 `toml:"loose_rock"`
	LedgeRock float64 `toml:"ledge_rock"`
	Scrub     float64 `toml:"scrub"`
	Grass     float64 `toml:"grass"`
	Snow      float64 `toml:"snow"`
	Salt      float64 `toml:"salt"`
	Ford      float64 `toml:"ford"`
	// Rest is the number of every class that is not named (or is named with 0); in a mixture it is 0.
	Rest float64 `toml:"rest"`
}

func (w Weights) shares() shares {
	s := shares{geo.Sealed: w.Sealed, geo.Gravel: w.Gravel, geo.FirmTrack: w.FirmTrack, geo.Clay: w.Clay,
		geo.Mud: w.Mud, geo.Sand: w.Sand, geo.LooseRock: w.LooseRock, geo.LedgeRock: w.LedgeRock,
		geo.Scrub: w.Scrub, geo.Grass: w.Grass, geo.Snow: w.Snow, geo.Salt: w.Salt, geo.Ford: w.Ford}
	for g := geo.Sealed; g < geo.NumGrounds; g++ {
		if s[g] == 0 {
			s[g] = w.Rest
		}
	}
	return s
}

// checkMix reports a mixture that is not one: shares outside 0..1 or a sum other than 1.
func (w Weights) checkMix() error {
	s := w.shares()
	for g, v := range s {
		if !(v >= 0 && v <= 1) {
			return fmt.Errorf("the share of %s is %g, outside 0..1", geo.Ground(g), v)
		}
	}
	if sum := s.sum(); w.Rest != 0 || math.Abs(sum-1) > 1e-6 {
		return fmt.Errorf("the shares sum to %g, not 1", sum)
	}
	return nil
}

// checkLean reports likelihoods that are none: negative, above 1000, or all zero.
func (w Weights) checkLean() error {
	s := w.shares()
	for g, v := range s {
		if !(v >= 0 && v <= mostLikelihood) {
			return fmt.Errorf("the likelihood of %s is %g, outside 0..%d", geo.Ground(g), v, mostLikelihood)
		}
	}
	if s.sum() == 0 {
		return fmt.Errorf("all likelihoods are 0")
	}
	return nil
}
