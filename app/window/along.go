package window

import (
	"math"

	"lastroad/geo"
)

// noReturn finds the place from which going on is no longer than turning back, in the stretch away from
// maintained roads whose inside is the farthest from one by driving along the route; ok is false when the
// route never leaves the roads or the times are not known.
func noReturn(s *geo.Survey) (sample int, ok bool) {
	best := 0.0
	for i := range s.Samples {
		p := &s.Samples[i]
		if d := math.Min(p.AheadMin, p.BackMin); !p.Kept && d > best {
			best, sample, ok = d, i, true
		}
	}
	if !ok {
		return 0, false
	}
	a := sample
	for a > 0 && !s.Samples[a-1].Kept {
		a--
	}
	for i := a; i < len(s.Samples) && !s.Samples[i].Kept; i++ {
		if s.Samples[i].AheadMin <= s.Samples[i].BackMin {
			return i, i > a
		}
	}
	return sample, true
}
