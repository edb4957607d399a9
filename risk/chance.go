package risk

import (
	"fmt"
	"math"
	"strings"
)

// Chance is how people read a chance.
type Chance uint8

// The ways to word one.
const (
	ChanceUnknown Chance = iota
	ChanceTiny           // under 1 in a million
	ChanceOneIn          // 1 in N
	ChanceInTen          // N in 10
	ChanceSure           // nearly sure
)

// ChanceOf tells how the chance p is worded everywhere, with its N: rounded to two figures in "1 in N", whole in "N in
// 10", which chances above a half are (1 in 1.4 is nothing that people can picture), NaN where there is none.
func ChanceOf(p float64) (Chance, float64) {
	switch {
	case math.IsNaN(p):
		return ChanceUnknown, math.NaN()
	case p < 1e-6:
		return ChanceTiny, math.NaN()
	case p >= 0.95:
		return ChanceSure, math.NaN()
	case p > 0.5:
		return ChanceInTen, math.Round(10 * p)
	}
	n := 1 / p
	scale := math.Pow(10, math.Floor(math.Log10(n))-1)
	return ChanceOneIn, math.Round(n/scale) * scale
}

// OneIn writes a chance as "1 in N", or "N in 10" above a half.
func OneIn(p float64) string {
	how, n := ChanceOf(p)
	switch how {
	case ChanceTiny:
		return "under 1 in a million"
	case ChanceOneIn:
		return "1 in " + FewFigures(n)
	case ChanceInTen:
		return FewFigures(n) + " in 10"
	case ChanceSure:
		return "nearly sure"
	}
	return "?"
}

// FewFigures writes the N of [ChanceOf]: with one decimal below ten where that is not 0.
func FewFigures(n float64) string {
	if n < 10 {
		return strings.TrimSuffix(fmt.Sprintf("%.1f", n), ".0")
	}
	return fmt.Sprintf("%.0f", n)
}
