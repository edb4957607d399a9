package units

import (
	"math"
	"strconv"
	"strings"
)

// Formatter writes and reads quantities for one user. The zero value is metric with a decimal point.
type Formatter struct {
	System System
	// Comma is true where the decimal mark is a comma.
	Comma bool
	// Prefer names another unit than the system's for a quantity ("bar" for Pressure); "" or unknown = the system's.
	Prefer [numQuantities]string
	// Unknown is what stands for NaN; "" = "unknown".
	Unknown string
}

func (f Formatter) decimal() byte {
	if f.Comma {
		return ','
	}
	return '.'
}

func (f Formatter) unit(q Quantity) unit {
	if u, ok := bySymbol(q, f.Prefer[q]); ok && f.Prefer[q] != "" {
		return u
	}
	u, _ := bySymbol(q, usual[q][min(f.System, Imperial)])
	return u
}

// Symbol is the unit in which f writes q; "" for plain numbers.
func (f Formatter) Symbol(q Quantity) string { return f.unit(q).symbol }

// Value is v, in base units, as a number in the formatter's unit, and the symbol, for axes and tables
// with the unit in their head.
func (f Formatter) Value(q Quantity, v float64) (float64, string) {
	u := f.unit(q)
	return u.fromBase(v), u.symbol
}

// Format writes v (base unit) with its unit to about three digits. Short distances are written in
// metres or feet, durations as hours and minutes. NaN and infinities give the Unknown text.
func (f Formatter) Format(q Quantity, v float64) string {
	if q >= numQuantities || math.IsNaN(v) || math.IsInf(v, 0) {
		return f.unknown()
	}
	if q == Duration && f.Prefer[Duration] == "" {
		return f.duration(v)
	}
	u := f.unit(q)
	if q == Distance && f.Prefer[Distance] == "" && math.Abs(u.fromBase(v)) < 1 {
		if f.System == Metric {
			u, _ = bySymbol(q, "m")
		} else if math.Abs(u.fromBase(v)) < 0.2 {
			u, _ = bySymbol(q, "ft")
		}
	}
	x := u.fromBase(v)
	if math.IsInf(x, 0) || math.IsNaN(x) { // no fuel at all in miles per gallon
		return f.unknown()
	}
	return join(f.number(x, decimals(x, u.digits)), u.symbol)
}

// Edit writes v for an entry field: all of its digits up to twelve, with the unit. Parse gives sizes
// from 1e-9 to 1e12 back to a billionth.
func (f Formatter) Edit(q Quantity, v float64) string {
	if q >= numQuantities || math.IsNaN(v) || math.IsInf(v, 0) {
		return ""
	}
	u := f.unit(q)
	x := u.fromBase(v)
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return ""
	}
	s := strconv.FormatFloat(x, 'e', 11, 64)
	r, _ := strconv.ParseFloat(s, 64)
	return join(f.mark(strconv.FormatFloat(r, 'f', -1, 64)), u.symbol)
}

// Band writes a central value with its band: "12 L (9.0–16)". A band without width is written as Format does.
func (f Formatter) Band(q Quantity, low, central, high float64) string {
	s := f.Format(q, central)
	lo, hi := f.Format(q, low), f.Format(q, high)
	if f.unit(q).inverse {
		lo, hi = hi, lo
	}
	if lo == s && hi == s || math.IsNaN(low) || math.IsNaN(high) {
		return s
	}
	if sym := nbsp + f.Symbol(q); strings.HasSuffix(lo, sym) && strings.HasSuffix(hi, sym) {
		lo = strings.TrimSuffix(lo, sym)
	}
	return s + " (" + lo + "–" + hi + ")"
}

func (f Formatter) unknown() string {
	if f.Unknown != "" {
		return f.Unknown
	}
	return "unknown"
}

// decimals keeps about three digits: as many decimals as the unit has, fewer for large numbers.
func decimals(x float64, digits int) int {
	x = math.Abs(x)
	switch {
	case x >= 99.95:
		return 0
	case x >= 9.995:
		return min(digits, 1)
	}
	return digits
}

func (f Formatter) number(x float64, decimals int) string {
	s := strconv.FormatFloat(x, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-") // no minus zero
	}
	return f.mark(s)
}

func (f Formatter) mark(s string) string {
	if f.Comma {
		s = strings.Replace(s, ".", ",", 1)
	}
	return strings.Replace(s, "-", "\u2212", 1)
}

func join(number, symbol string) string {
	switch symbol {
	case "":
		return number
	case "°":
		return number + symbol
	}
	return number + nbsp + symbol
}

// duration writes seconds as seconds, minutes, hours and minutes, or days and hours.
func (f Formatter) duration(v float64) string {
	sign := ""
	if v < 0 {
		sign, v = "\u2212", -v
	}
	s := ""
	switch {
	case v > 1e15:
		return f.unknown()
	case v < 60 && math.Round(v) < 60:
		if math.Round(v) == 0 {
			sign = ""
		}
		return sign + f.number(v, 0) + nbsp + "s"
	case math.Round(v/60) < 60:
		return sign + f.number(v/60, 0) + nbsp + "min"
	case math.Round(v/60) < 48*60:
		m := int64(math.Round(v / 60))
		s = strconv.FormatInt(m/60, 10) + nbsp + "h"
		if m%60 > 0 {
			s += " " + strconv.FormatInt(m%60, 10) + nbsp + "min"
		}
	default:
		h := int64(math.Round(v / 3600))
		s = strconv.FormatInt(h/24, 10) + nbsp + "d"
		if h%24 > 0 {
			s += " " + strconv.FormatInt(h%24, 10) + nbsp + "h"
		}
	}
	return sign + s
}
