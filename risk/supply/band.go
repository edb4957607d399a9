package supply

import (
	"math"

	"lastroad/geo"
)

// Band is a quantity with its 5, 50 and 95 % points; the unit is that of the field that holds it.
type Band struct{ Low, Central, High float64 }

// Exactly is the band of a number without uncertainty.
func Exactly(v float64) Band { return Band{v, v, v} }

// Of is the band of a figure.
func Of(f geo.Figure) Band { return Band{f.Low, f.Central, f.High} }

// Add sums two bands point by point, as if both erred to the same side: wider than independent
// errors would be, which is the safe reading for a need.
func (b Band) Add(c Band) Band { return Band{b.Low + c.Low, b.Central + c.Central, b.High + c.High} }

// Scale multiplies by a number that is not negative.
func (b Band) Scale(k float64) Band { return Band{b.Low * k, b.Central * k, b.High * k} }

// Times multiplies two bands of numbers that are not negative, low with low and high with high.
func (b Band) Times(c Band) Band { return Band{b.Low * c.Low, b.Central * c.Central, b.High * c.High} }

// Max takes the larger value at each point.
func (b Band) Max(c Band) Band {
	return Band{math.Max(b.Low, c.Low), math.Max(b.Central, c.Central), math.Max(b.High, c.High)}
}

// Ordered reports whether low <= central <= high and none is NaN.
func (b Band) Ordered() bool { return b.Low <= b.Central && b.Central <= b.High }

// orElse replaces NaN by the given default.
func orElse(v, missing float64) float64 {
	if math.IsNaN(v) {
		return missing
	}
	return v
}

// within clamps v to lo..hi; NaN gives lo.
func within(v, lo, hi float64) float64 {
	if !(v >= lo) {
		return lo
	}
	return math.Min(v, hi)
}
