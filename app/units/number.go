package units

import (
	"errors"
	"strconv"
	"strings"
)

var (
	errNotNumber = errors.New("is not a number")
	errAmbiguous = errors.New("could mean two numbers")
)

// parseNumber reads digits with one decimal mark, point or comma. Blanks, narrow blanks and apostrophes
// may group digits in threes. A mark followed by exactly three digits is read as decimal only when it is
// the user's own decimal mark (or the number starts with a zero); the other mark would be a decimal to
// some and a thousand to others and is refused. Exponents, hexadecimal, infinities and NaN are refused.
func parseNumber(s string, decimal byte) (float64, error) {
	s = strings.ReplaceAll(strings.TrimSpace(s), "\u2212", "-")
	sign := ""
	if s != "" && (s[0] == '-' || s[0] == '+') {
		if s[0] == '-' {
			sign = "-"
		}
		s = s[1:]
	}
	whole, frac := s, ""
	mark := strings.LastIndexAny(s, ".,")
	if mark >= 0 {
		if strings.Count(s, ".")+strings.Count(s, ",") > 1 {
			return 0, errAmbiguous
		}
		whole, frac = s[:mark], s[mark+1:]
		if s[mark] != decimal && len(frac) == 3 && whole != "" && whole != "0" {
			return 0, errAmbiguous
		}
	}
	whole, ok := ungroup(whole)
	if !ok || !digits(frac) || whole == "" && frac == "" {
		return 0, errNotNumber
	}
	if len(whole)+len(frac) > 40 {
		return 0, errNotNumber
	}
	v, err := strconv.ParseFloat(sign+"0"+whole+"."+frac+"0", 64)
	if err != nil {
		return 0, errNotNumber
	}
	return v, nil
}

// ungroup takes out separators that stand before each three digits.
func ungroup(s string) (string, bool) {
	parts := strings.FieldsFunc(s, func(r rune) bool {
		return r == ' ' || r == '\u00a0' || r == '\u202f' || r == '\u2009' || r == '\'' || r == '\u2019'
	})
	for i, p := range parts {
		if !digits(p) || i > 0 && len(p) != 3 || i == 0 && len(parts) > 1 && len(p) > 3 {
			return "", false
		}
	}
	return strings.Join(parts, ""), true
}

func digits(s string) bool {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return true
}
