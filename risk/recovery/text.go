package recovery

import (
	"math"
	"unicode"
	"unicode/utf8"
)

// capital makes the first letter of a sentence a capital.
func capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:]
}

// roundUp rounds up to whole units, forgiving the last bits of a sum.
func roundUp(v float64) float64 { return math.Ceil(v - 1e-9) }
