package survey

import (
	"fmt"
	"math"
	"strconv"
)

// A column is one number of every sample, written as whole units of 1/scale, each as the difference from
// the last known one, null where unknown: neighbours are alike, so most entries are one or two digits.
// Samples are rounded to these units when they are measured (see round), so nothing is lost in writing.
type column []float64

// maxUnits keeps differences and sums exact in float64.
const maxUnits = 1 << 52

func encodeColumn(dst []byte, n int, scale float64, get func(i int) float64) ([]byte, error) {
	dst = append(dst, '[')
	last := int64(0)
	for i := 0; i < n; i++ {
		if i > 0 {
			dst = append(dst, ',')
		}
		v := get(i)
		if math.IsNaN(v) {
			dst = append(dst, "null"...)
			continue
		}
		u := math.Round(v * scale)
		if !(math.Abs(u) < maxUnits) {
			return nil, fmt.Errorf("sample %d: %g cannot be written", i, v)
		}
		dst = strconv.AppendInt(dst, int64(u)-last, 10)
		last = int64(u)
	}
	return append(dst, ']'), nil
}

// units are the entries of a column as read, still in units; NaN for null.
type units []float64

// UnmarshalJSON reads an array of whole numbers and nulls and adds the differences up.
func (c *units) UnmarshalJSON(b []byte) error {
	out := (*c)[:0]
	sum := int64(0)
	err := eachNumber(b, func(v int64, null bool) error {
		if null {
			out = append(out, math.NaN())
			return nil
		}
		if v > maxUnits || v < -maxUnits {
			return fmt.Errorf("number %d is out of range", v)
		}
		if sum += v; sum > maxUnits || sum < -maxUnits {
			return fmt.Errorf("sum %d is out of range", sum)
		}
		out = append(out, float64(sum))
		return nil
	})
	*c = out
	return err
}

// runs are a whole number of every sample, as pairs of value and count.
type runs []int64

func encodeRuns(dst []byte, n int, get func(i int) int64) []byte {
	dst = append(dst, '[')
	for i := 0; i < n; {
		j := i + 1
		for j < n && get(j) == get(i) {
			j++
		}
		if i > 0 {
			dst = append(dst, ',')
		}
		dst = strconv.AppendInt(dst, get(i), 10)
		dst = append(dst, ',')
		dst = strconv.AppendInt(dst, int64(j-i), 10)
		i = j
	}
	return append(dst, ']')
}

// UnmarshalJSON reads the pairs.
func (r *runs) UnmarshalJSON(b []byte) error {
	out := (*r)[:0]
	err := eachNumber(b, func(v int64, null bool) error {
		if null {
			return fmt.Errorf("null in a list of runs")
		}
		out = append(out, v)
		return nil
	})
	*r = out
	return err
}

// spread calls set for every sample; lowest and highest bound the values.
func (r runs) spread(n int, lowest, highest int64, set func(i int, v int64)) error {
	if len(r)%2 != 0 {
		return fmt.Errorf("a run without a count")
	}
	i := 0
	for k := 0; k < len(r); k += 2 {
		v, count := r[k], r[k+1]
		if v < lowest || v > highest {
			return fmt.Errorf("value %d of samples from %d on is outside %d..%d", v, i, lowest, highest)
		}
		if count < 1 || count > int64(n-i) {
			return fmt.Errorf("a run of %d from sample %d of %d", count, i, n)
		}
		for range count {
			set(i, v)
			i++
		}
	}
	if i != n {
		return fmt.Errorf("%d values for %d samples", i, n)
	}
	return nil
}

// eachNumber walks a JSON array of whole numbers and nulls. encoding/json has already checked the syntax
// when it calls UnmarshalJSON, so only the kinds of values are looked at.
func eachNumber(b []byte, f func(v int64, null bool) error) error {
	if len(b) < 2 || b[0] != '[' {
		return fmt.Errorf("want a list of whole numbers")
	}
	for i := 1; i < len(b); {
		switch c := b[i]; {
		case c == ',' || c == ' ' || c == '\n' || c == '\t' || c == '\r' || c == ']':
			i++
		case c == 'n':
			if err := f(0, true); err != nil {
				return err
			}
			i += 4
		case c == '-' || c >= '0' && c <= '9':
			j := i + 1
			for j < len(b) && b[j] >= '0' && b[j] <= '9' {
				j++
			}
			if j < len(b) && (b[j] == '.' || b[j] == 'e' || b[j] == 'E') {
				return fmt.Errorf("want whole numbers only")
			}
			v, err := strconv.ParseInt(string(b[i:j]), 10, 64)
			if err != nil {
				return fmt.Errorf("number %q is out of range", b[i:j])
			}
			if err := f(v, false); err != nil {
				return err
			}
			i = j
		default:
			return fmt.Errorf("want a list of whole numbers")
		}
	}
	return nil
}
