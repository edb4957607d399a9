package gpx

import (
	"bytes"
	"fmt"
	"math"
	"strconv"

	"lastroad/geo"
)

// point checks the coordinates of a point.
func (s *scanner) point(i int, el elem, place [2]span) error {
	if s.count[wpt]+s.count[rtept]+s.count[trkpt] > s.opts.MaxPoints {
		return s.badPoint(i, el, fmt.Sprintf("more than %d points", s.opts.MaxPoints), "thin the line out before opening it")
	}
	for k, axis := range [2]struct {
		name, full string
		limit      float64
	}{{"lat", "latitude", 90}, {"lon", "longitude", 180}} {
		if place[k].to == 0 {
			return s.badPoint(i, el, axis.name+" is missing", "remove the point or add its "+axis.full)
		}
		text := bytes.TrimSpace(s.data[place[k].from:place[k].to])
		v, ok := number(text)
		switch {
		case !ok:
			return s.badPoint(i, el, fmt.Sprintf("%s %.40q is not a number", axis.name, text), "remove the point or correct its "+axis.full)
		case math.Abs(v) > axis.limit:
			return s.badPoint(i, el, fmt.Sprintf("%s %.40s is outside -%g..%g", axis.name, text, axis.limit, axis.limit),
				"correct the point; latitude and longitude may have been swapped or be in another unit")
		case k == 0 && math.Abs(v) > geo.MaxLat:
			return s.badPoint(i, el, fmt.Sprintf("lat %.40s lies nearer to the pole than %g degrees", text, geo.MaxLat), "such routes cannot be measured")
		}
	}
	return nil
}

// number reads a decimal number as the schema means it: no hexadecimal, no infinities, no NaN.
func number(text []byte) (float64, bool) {
	// Usual coordinates have at most 15 figures and no exponent; quotients of whole numbers and powers
	// of ten below 2^53 are rounded once, so this short way gives what strconv gives.
	var m uint64
	digits, point := 0, -1
	for i, c := range text {
		switch {
		case c >= '0' && c <= '9':
			m = m*10 + uint64(c-'0')
			digits++
		case c == '.' && point < 0:
			point = digits
		case (c == '-' || c == '+') && i == 0:
		case c == 'e' || c == 'E' || c == '-' || c == '+':
			digits = 99
		default:
			return 0, false
		}
	}
	if digits == 0 {
		return 0, false
	}
	if digits > 15 {
		v, err := strconv.ParseFloat(string(text), 64)
		return v, err == nil
	}
	v := float64(m)
	if point >= 0 {
		v /= tens[digits-point]
	}
	if text[0] == '-' {
		v = -v
	}
	return v, true
}

var tens = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}
