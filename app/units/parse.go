package units

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"lastroad/geo"
)

// Range bounds what may be typed, in base units, both ends allowed.
type Range struct{ Low, High float64 }

// Parse reads a quantity: a number, or numbers each with a unit ("1 h 30 min", 5 ft 6 in), in any unit
// of q; a number alone is in the formatter's unit. Durations are also read as 1:30 (hours and minutes).
// The result is finite and in the base unit. Errors are [geo.InputError] with a remedy.
func (f Formatter) Parse(q Quantity, text string) (float64, error) {
	v, err := f.parse(q, text)
	if err == nil && (math.IsNaN(v) || math.IsInf(v, 0)) {
		err = errors.New("is not a finite number")
	}
	if err != nil {
		remedy := fmt.Sprintf("write a number, or a number and one of: %s", strings.Join(shown(q), ", "))
		switch {
		case errors.Is(err, errAmbiguous):
			remedy = "write it without a mark for thousands"
		case errors.Is(err, errGallon):
			remedy = "say which: US or imperial (UK)"
		}
		return 0, &geo.InputError{Where: q.String(), Reason: fmt.Sprintf("%q %v", clip(text), err), Remedy: remedy}
	}
	return v, nil
}

// ParseIn is Parse with bounds; the error names them in the formatter's unit.
func (f Formatter) ParseIn(q Quantity, text string, r Range) (float64, error) {
	v, err := f.Parse(q, text)
	if err != nil {
		return 0, err
	}
	if v < r.Low || v > r.High {
		lo, hi := f.Edit(q, r.Low), f.Edit(q, r.High)
		if u := f.unit(q); u.inverse {
			lo, hi = hi, lo
		}
		return 0, &geo.InputError{Where: q.String(), Reason: fmt.Sprintf("%q is outside %s to %s", clip(text), lo, hi)}
	}
	return v, nil
}

var errGallon = errors.New("could be US or imperial")

func (f Formatter) parse(q Quantity, text string) (float64, error) {
	if q >= numQuantities || !utf8.ValidString(text) || len(text) > 200 {
		return 0, errNotNumber
	}
	s := strings.TrimSpace(text)
	if s == "" {
		return 0, errors.New("is empty")
	}
	if q == Duration && strings.Count(s, ":") == 1 {
		return parseClock(s)
	}
	sum, parts, negative := 0.0, 0, false
	var last float64 // factor of the part before: parts must get smaller
	for s != "" {
		n := numberEnd(s)
		if n == 0 {
			return 0, errNotNumber
		}
		v, err := parseNumber(s[:n], f.decimal())
		if err != nil {
			return 0, err
		}
		s = strings.TrimLeft(s[n:], " \u00a0\u202f\t")
		w := wordEnd(s, q)
		word := strings.TrimSpace(s[:w])
		s = strings.TrimLeft(s[w:], " \u00a0\u202f\t")
		u := f.unit(q)
		if word != "" {
			var ok bool
			if u, ok = lookup(q, word, f.System); !ok {
				if l := strings.ToLower(word); q == Volume && strings.HasPrefix(l, "gal") || q == Consumption && l == "mpg" {
					return 0, errGallon
				}
				return 0, fmt.Errorf("has the unit %q, which is not one of %s", clip(word), q)
			}
		}
		compound := q == Duration || q == Length || q == Distance || q == Small || q == Mass
		if parts == 1 && q == Duration && word == "" && last == 3600 && s == "" {
			u, _ = bySymbol(q, "min") // 1h30
			word = u.symbol
		}
		if parts > 0 && (!compound || word == "" || u.factor >= last || v < 0) {
			return 0, errNotNumber
		}
		if u.inverse && !(v > 0) {
			return 0, errors.New("must be above 0")
		}
		if q == Consumption && v < 0 {
			return 0, errors.New("must not be below 0")
		}
		if parts == 0 {
			negative = v < 0 || strings.HasPrefix(strings.TrimSpace(text), "-") || strings.HasPrefix(strings.TrimSpace(text), "\u2212")
			sum = u.toBase(v)
		} else if negative {
			sum -= v * u.factor
		} else {
			sum += v * u.factor
		}
		last = u.factor
		parts++
		if parts > 4 || word == "" && s != "" {
			return 0, errNotNumber
		}
	}
	return sum, nil
}

// numberEnd is the length of the number at the start of s, with marks and groups, without trailing blanks.
func numberEnd(s string) int {
	end, digit := 0, false
	for i, r := range s {
		switch {
		case r >= '0' && r <= '9':
			digit = true
			end = i + 1
		case i == 0 && (r == '-' || r == '+' || r == '\u2212'):
		case r == '.' || r == ',':
			end = i + 1
		case r == ' ' || r == '\u00a0' || r == '\u202f' || r == '\u2009':
			// a blank belongs to the number only when three digits and no more follow
			if !digit || !threeDigits(s[i+utf8.RuneLen(r):]) {
				return ends(end, digit)
			}
		case (r == '\'' || r == '\u2019') && digit && threeDigits(s[i+utf8.RuneLen(r):]):
		default:
			return ends(end, digit)
		}
	}
	return ends(end, digit)
}

func ends(end int, digit bool) int {
	if !digit {
		return 0
	}
	return end
}

func threeDigits(s string) bool {
	return len(s) >= 3 && digits(s[:3]) && (len(s) == 3 || s[3] < '0' || s[3] > '9')
}

// wordEnd is the length of the unit at the start of s: up to the next number, except that the 100 of
// L/100 km and the digits of m2 or ft3/min belong to it.
func wordEnd(s string, q Quantity) int {
	if q == Consumption {
		return len(s)
	}
	for i, r := range s {
		if r >= '0' && r <= '9' && (i == 0 || strings.ContainsRune(" \u00a0\u202f", rune(s[i-1])) || q == Duration || strings.ContainsRune("'\"", rune(s[i-1])) || q == Length || q == Distance || q == Mass || q == Small) {
			return i
		}
	}
	return len(s)
}

// parseClock reads h:mm as seconds.
func parseClock(s string) (float64, error) {
	h, m, _ := strings.Cut(s, ":")
	if h == "" || len(h) > 5 || len(m) != 2 || !digits(h) || !digits(m) || m[0] > '5' {
		return 0, errNotNumber
	}
	hv, _ := parseNumber(h, '.')
	mv, _ := parseNumber(m, '.')
	return hv*3600 + mv*60, nil
}

func shown(q Quantity) []string {
	var out []string
	for _, s := range Units(q) {
		if s != "" {
			out = append(out, s)
		}
	}
	if len(out) == 0 {
		out = append(out, "no unit")
	}
	return out
}

func clip(s string) string {
	r := []rune(strings.ToValidUTF8(s, "?"))
	if len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return string(r)
}
