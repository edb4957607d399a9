package recovery

import (
	"fmt"
	"math"
	"strconv"

	"lastroad/geo"
)

// limit is the allowed range of an input.
type limit struct {
	lo, hi float64
	unit   string
}

// The ranges outside which a figure is a slip of the pen rather than a vehicle (judgement: from a
// small motor quad to a heavy truck, with room).
var (
	rangeMass     = limit{200, 40000, "kg"}
	rangeGrade    = limit{-1, 1, "(rise over run, 1 = 45°)"}
	rangeForce    = limit{0.1, 2000, "kN"}
	rangeRope     = limit{3, 40, "mm"}
	rangeDrum     = limit{20, 600, "mm"}
	rangeLine     = limit{0.5, 500, "m"}
	rangeDistance = limit{0.5, 500, "m"}
	rangePressure = limit{20, 900, "kPa"}
	rangeTemp     = limit{-60, 90, "°C"}
	rangeAltitude = limit{-450, 8000, "m"}
	rangeShare    = limit{0, 1, ""}
	rangeDeg      = limit{0, 180, "°"}
	rangeTravel   = limit{0.1, 200, "m"}
	rangeGear     = limit{0.1, 500, "m"}
	rangeSheave   = limit{10, 1000, "mm"}
	rangeTrunk    = limit{10, 10000, "mm"}
	rangeFace     = limit{0.02, 2, "m"}
	rangeLog      = limit{0.1, 20, "m"}
	rangeAmps     = limit{1, 2000, "A"}
	rangeBattery  = limit{1, 1000, "Ah"}
)

// check refuses v when it is not a number or lies outside the range; field names it to the user.
func (l limit) check(field string, v float64) error {
	if v >= l.lo && v <= l.hi {
		return nil
	}
	said := "is not a number"
	if !math.IsNaN(v) {
		said = fmt.Sprintf("%s is outside", number(v, l.unit))
	}
	if math.IsNaN(v) {
		said += ", wanted"
	}
	return &geo.InputError{Where: field, Reason: fmt.Sprintf("%s %s to %s", said, number(l.lo, ""), number(l.hi, l.unit))}
}

// number writes a figure without a row of noise digits.
func number(v float64, unit string) string {
	s := strconv.FormatFloat(v, 'g', 6, 64)
	if math.Abs(v) >= 1e4 && math.Abs(v) < 1e12 {
		s = strconv.FormatFloat(v, 'f', 0, 64)
	}
	if unit != "" {
		s += " " + unit
	}
	return s
}

// refuse is bad input that no range describes.
func refuse(field, reason, remedy string) error {
	return &geo.InputError{Where: field, Reason: reason, Remedy: remedy}
}

// first returns the first error that is not nil.
func first(errs ...error) error {
	for _, e := range errs {
		if e != nil {
			return e
		}
	}
	return nil
}
