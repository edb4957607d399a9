package supply

import (
	"math"
	"sort"
)

// NoReturn is the place between two places of supply from which going on is nearer than going back.
type NoReturn struct {
	FromM, ToM float64 // the places, along the route
	// AtM is the first distance from which the next place costs no more than the last one.
	AtM float64
	// LastReturnM is the furthest distance from which what is carried still reaches back to FromM with
	// what was used so far; ToM when all of the stretch can be driven and undone.
	LastReturnM float64
	// OnL and BackL are the costs from AtM, in litres (or whatever was summed).
	OnL, BackL float64
	// Reaches is true when what is carried reaches from FromM to ToM.
	Reaches bool
}

// PointsOfNoReturn finds, between each two places, where going on becomes nearer than going back.
// distM are rising distances along the route; forward and back the running sums of what is used from
// the start to each of them and of what driving back to the start takes (fuel in litres, water in
// litres by hours: anything additive). places are distances of certain supply; the start and the end
// of distM always count as places. carried is what is on board when leaving each place (usable
// litres). Results come in route order; fewer than two distances give none. It panics when the
// slices differ in length.
func PointsOfNoReturn(distM, forward, back []float64, places []float64, carried float64) []NoReturn {
	n := len(distM)
	if len(forward) != n || len(back) != n {
		panic("supply: distances and sums differ in length")
	}
	if n < 2 {
		return nil
	}
	stops := append([]float64{distM[0], distM[n-1]}, places...)
	sort.Float64s(stops)
	var out []NoReturn
	for k := 1; k < len(stops); k++ {
		a, b := stops[k-1], stops[k]
		if !(a >= distM[0] && b <= distM[n-1] && b > a) {
			continue
		}
		fa, ba := along(distM, forward, a, false), along(distM, back, a, false)
		fb := along(distM, forward, b, false)
		// Both differences grow with distance, so bisection finds their only zero.
		ahead := func(x float64) float64 {
			return along(distM, back, x, false) - ba - (fb - along(distM, forward, x, false))
		}
		undone := func(x float64) float64 {
			return along(distM, forward, x, false) - fa + along(distM, back, x, false) - ba - carried
		}
		r := NoReturn{FromM: a, ToM: b, AtM: firstAbove(ahead, a, b), LastReturnM: firstAbove(undone, a, b)}
		r.OnL = fb - along(distM, forward, r.AtM, false)
		r.BackL = along(distM, back, r.AtM, false) - ba
		r.Reaches = fb-fa <= carried
		out = append(out, r)
	}
	return out
}

// firstAbove is the smallest x of a..b at which the rising f reaches 0, b when it never does. A
// millimetre is enough for a mark on a map.
func firstAbove(f func(float64) float64, a, b float64) float64 {
	if f(a) >= 0 {
		return a
	}
	if f(b) < 0 {
		return b
	}
	for b-a > 1e-3 && !math.IsNaN(a+b) {
		mid := a + (b-a)/2
		if f(mid) >= 0 {
			b = mid
		} else {
			a = mid
		}
	}
	return b
}
