package geo

import (
	"fmt"
	"math"
)

// Provenance says what a number rests on.
type Provenance string

// The kinds of provenance, best first.
const (
	FromStandard   Provenance = "standard"   // a published standard, handbook table or maker's table
	FromData       Provenance = "data"       // counted or measured public data
	FromDerived    Provenance = "derived"    // worked out from numbers of the kinds above
	FromPractice   Provenance = "practice"   // common practice without an authoritative source
	FromMemory     Provenance = "memory"     // remembered from a source that was not at hand
	FromAssumption Provenance = "assumption" // a judgement
	FromUser       Provenance = "user"       // typed by the user
)

// Valid reports whether p is one of the kinds.
func (p Provenance) Valid() bool {
	switch p {
	case FromStandard, FromData, FromDerived, FromPractice, FromMemory, FromAssumption, FromUser:
		return true
	}
	return false
}

// Figure is a number of a table with its band and where it comes from. Low and High are the 5 and
// 95 % points where the number is uncertain, and equal Central where it is a definition.
type Figure struct {
	Low     float64    `toml:"low" json:"low"`
	Central float64    `toml:"central" json:"central"`
	High    float64    `toml:"high" json:"high"`
	Unit    string     `toml:"unit" json:"unit"`
	From    Provenance `toml:"from" json:"from"`
	Source  string     `toml:"source" json:"source"`
}

// Check reports what is wrong with the figure: a missing provenance, source or unit, a number that
// is not finite, or an order other than low <= central <= high.
func (f Figure) Check() error {
	for _, v := range [...]float64{f.Low, f.Central, f.High} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("low, central and high must be finite numbers")
		}
	}
	switch {
	case f.From == "":
		return fmt.Errorf("has no provenance; add from = %q or another kind", FromAssumption)
	case !f.From.Valid():
		return fmt.Errorf("provenance %q is not known", f.From)
	case f.Source == "":
		return fmt.Errorf("has no source; say where the number comes from or how it was judged")
	case f.Unit == "":
		return fmt.Errorf("has no unit; use \"1\" for a plain number")
	case !(f.Low <= f.Central && f.Central <= f.High):
		return fmt.Errorf("low %g, central %g, high %g are not in rising order", f.Low, f.Central, f.High)
	}
	return nil
}
