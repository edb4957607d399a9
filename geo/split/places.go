package split

import (
	"math"

	"lastroad/geo"
)

// Where a leg may begin. On a long even climb the best cut is hardly better than its neighbours, and a
// metre's shift of the samples would move it by hundreds. So legs begin at places that lie in the land and
// not in the sampling: where the way or the ground changes, at gates, fords and passes, on crests and in
// dips; between those only every gridM.

type place uint8

const (
	nowhere  place = iota
	findable       // on the grid
	plain          // to be seen by the driver
)

const (
	gridM = 250.0
	// crestM is the height that must be lost on both sides of a crest, or won on both sides of a dip,
	// metres: more than the ripples of a height grid. Judgement.
	crestM = 15.0
)

// places gives for every sample whether a leg may begin there.
func places(s *geo.Survey) []place {
	n := len(s.Samples)
	out := make([]place, n)
	for i := 1; i < n; i++ {
		a, b := &s.Samples[i-1], &s.Samples[i]
		if a.Way != b.Way || a.Ground != b.Ground {
			out[i] = plain
		}
	}
	k := 0
	for _, m := range s.Marks {
		for k < n-1 && s.Samples[k+1].DistanceM <= m.DistanceM {
			k++
		}
		out[k] = plain
	}
	for _, i := range turns(s) {
		out[i] = plain
	}
	last := math.Inf(-1) // distance of the last place
	next := gridM
	for i := 0; i < n; i++ {
		d := s.Samples[i].DistanceM
		if out[i] == plain {
			last = d
		}
		if d < next {
			continue
		}
		for next <= d {
			next += gridM
		}
		if d-last >= gridM/2 && out[i] == nowhere {
			out[i] = findable
		}
	}
	return out
}

// flatM: a crest or dip is as broad as the profile stays this near to its height, metres, and its place the
// middle of that, which moves little when the heights do. Judgement.
const flatM = 4.0

// turns are the samples on crests and in dips of the profile that the grades add up to.
func turns(s *geo.Survey) []int {
	n := len(s.Samples)
	h := make([]float64, n)
	for i := 1; i < n; i++ {
		h[i] = h[i-1]
		if g := s.Samples[i-1].Grade; !math.IsNaN(g) {
			h[i] += g * (s.Samples[i].DistanceM - s.Samples[i-1].DistanceM)
		}
	}
	var out []int
	turn := func(at int) {
		from, to := at, at
		for from > 0 && math.Abs(h[from-1]-h[at]) <= flatM {
			from--
		}
		for to < n-1 && math.Abs(h[to+1]-h[at]) <= flatM {
			to++
		}
		if from > 0 && to < n-1 {
			mid := (s.Samples[from].DistanceM + s.Samples[to].DistanceM) / 2
			for from < to && s.Samples[from].DistanceM < mid {
				from++
			}
			out = append(out, from)
		}
	}
	high, low, dir := 0, 0, 0 // samples with the greatest and least height since the last turn; dir +1 = climbing
	for i := 1; i < n; i++ {
		if h[i] > h[high] {
			high = i
		}
		if h[i] < h[low] {
			low = i
		}
		if dir >= 0 && h[high]-h[i] >= crestM {
			if dir > 0 {
				turn(high)
			}
			dir, low = -1, i
		} else if dir <= 0 && h[i]-h[low] >= crestM {
			if dir < 0 {
				turn(low)
			}
			dir, high = 1, i
		}
	}
	return out
}
