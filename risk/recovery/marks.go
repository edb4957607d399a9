package recovery

import (
	"fmt"
	"math"
)

// These figures check a mark that looks wrong. None of them rates a piece: a piece without a readable
// mark stays unusable, since pieces of one size are made in several strengths.

// TypicalShackleKN is the working load limit that charts give a bow shackle of the given pin size in
// inches; ok is false for a size they do not hold.
func (t *Tables) TypicalShackleKN(sizeIn float64, alloy bool) (kN float64, ok bool) {
	for i, s := range t.Shackle.SizeIn {
		if math.Abs(s-sizeIn) < 1e-6 {
			if alloy {
				return KN(1000 * t.Shackle.AlloyT[i]), true
			}
			return KN(1000 * t.Shackle.CarbonT[i]), true
		}
	}
	return math.NaN(), false
}

// TypicalChainKN is the working load of one leg of grade 80 chain of the given size in mm.
func (t *Tables) TypicalChainKN(sizeMM float64) (kN float64, ok bool) {
	for i, s := range t.Chain80.SizeMM {
		if s == sizeMM {
			return t.Chain80.WLLKN[i], true
		}
	}
	return math.NaN(), false
}

// TypicalWebbingKN is the breaking strength that teaching gives webbing of a width in mm.
func (t *Tables) TypicalWebbingKN(widthMM float64) float64 {
	return t.Rope["webbing_kn_per_cm"].Central * widthMM / 10
}

// ChokerShare is what a choker hitch leaves of a sling's straight working load: 0.80, and less as the
// angle of choke closes below 120 degrees.
func (t *Tables) ChokerShare(chokeDeg float64) float64 {
	share := 0.0
	for i, a := range t.Choke.AngleDeg {
		if chokeDeg >= a {
			share = t.Choke.Share[i]
		}
	}
	return t.Choke.Choker.Central * share
}

// FleetDeg is the angle between the line and the square to the drum when the first sheave or the anchor
// stands aside by offsetM at distanceM.
func FleetDeg(offsetM, distanceM float64) float64 {
	return math.Atan2(offsetM, distanceM) * 180 / math.Pi
}

// Fleet says whether a line leaves the drum straight enough to spool: within 1.5 degrees on a smooth
// drum, 2 on a grooved one; one winch maker allows 3. Beyond that the rope piles up on one side.
func (t *Tables) Fleet(offsetM, distanceM float64, grooved bool) (ok bool, text string) {
	f := t.Winch["fleet_smooth"]
	if grooved {
		f = t.Winch["fleet_grooved"]
	}
	deg := math.Abs(FleetDeg(offsetM, distanceM))
	switch {
	case !(deg <= f.High):
		return false, fmt.Sprintf("%.1f° off the drum's square: the rope piles up on one side; pull only to straighten, then pay out and spool again", deg)
	case deg > f.Central:
		return true, fmt.Sprintf("%.1f° off the drum's square: above %.1f°, watch how the rope lies", deg, f.Central)
	}
	return true, fmt.Sprintf("%.1f° off the drum's square, within %.1f°", deg, f.Central)
}
