package match

import (
	"context"
	"slices"

	"lastroad/geo/split"
)

// Where the path that is found is longer or shorter than what was driven, by a wrong turn or a turn back that nobody recorded,
// all positions behind that place lie too far on or too far back by the same length. A smoothing over it would
// move the good positions on both sides. Such places are those where positions less their even share of the path jump.

const (
	// breakCost is the price of a break in nats: twice what three free numbers cost by Schwarz's criterion at usual
	// lengths (6 to 16 tried).
	breakCost = 12.0
	// breakLag is over how many steps their length is measured at first, and breakRounds how often again without the jumps.
	breakLag    = 8
	breakRounds = 3
)

// breaks tells of each of the positions along a path whether there is a break between the one before and it.
func (m *matcher) breaks(ctx context.Context, pos []float64) ([]bool, error) {
	n := len(pos)
	broken := make([]bool, n)
	if n < 3*breakLag {
		return broken, nil
	}
	slopes := make([]float64, n-breakLag)
	for j := range slopes {
		slopes[j] = (pos[j+breakLag] - pos[j]) / breakLag
	}
	slices.Sort(slopes)
	step := slopes[len(slopes)/2]
	x, rest := make([]float64, n+1), make([]float64, n+1) // the last sample of a problem has no weight
	p := split.Problem{X: x, Penalty: breakCost,
		Channels: []split.Channel{{Weight: 1 / (2 * m.scatter * m.scatter), V: rest}}}
	var cuts []int
	for range breakRounds {
		for j := range x {
			k := min(j, n-1)
			x[j], rest[j] = float64(j), pos[k]-pos[0]-step*float64(k)
		}
		var err error
		if cuts, _, err = split.Cut(ctx, p); err != nil {
			return nil, err
		}
		step += slopeWithin(rest, cuts)
	}
	for _, c := range cuts[1 : len(cuts)-1] {
		broken[c] = true
	}
	return broken, nil
}

// slopeWithin is the slope by least squares that values have in common within the stretches between cuts.
func slopeWithin(v []float64, cuts []int) float64 {
	xy, xx := 0.0, 0.0
	for k := 1; k < len(cuts); k++ {
		from, to := cuts[k-1], cuts[k]
		mean := 0.0
		for _, y := range v[from:to] {
			mean += y / float64(to-from)
		}
		mid := float64(from+to-1) / 2
		for j := from; j < to; j++ {
			x := float64(j) - mid
			xy += x * (v[j] - mean)
			xx += x * x
		}
	}
	if xx == 0 {
		return 0
	}
	return xy / xx
}
