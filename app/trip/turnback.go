package trip

import (
	"lastroad/geo"
	"lastroad/risk/supply"
)

// TurnBack is the point of no easy return of a stretch away from maintained roads: from there on driving
// ahead to the next maintained road takes less time than driving back to the last one.
type TurnBack struct {
	FromM, ToM float64 // where the route leaves and reaches maintained road, along the route
	AtM        float64
	AheadS     float64 // driving time from there to the end of the stretch, seconds
}

// leastTurnM is the shortest stretch worth telling: on less, turning back or going on makes no difference
// that matters (judgement: ten minutes at 30 km/h).
const leastTurnM = 5000

// TurnBacks finds the points for every stretch of 5 km and more between two places on maintained road, in the
// order of the route. Driving back is taken to last as long as driving there. Nothing is said of a stretch
// that runs outside the region's data or to an end of the route: where its roads are is not known.
func TurnBacks(s *geo.Survey) []TurnBack {
	var out []TurnBack
	n := len(s.Samples)
	for a := 0; a < n; a++ {
		if s.Samples[a].Kept {
			continue
		}
		b, known := a, s.Samples[a].InRegion
		for b+1 < n && !s.Samples[b+1].Kept {
			b++
			known = known && s.Samples[b].InRegion
		}
		from, to := a-1, b+1
		if known && from >= 0 && to < n && s.Samples[to].DistanceM-s.Samples[from].DistanceM >= leastTurnM {
			var dist, time []float64
			for k := from; k <= to; k++ {
				dist, time = append(dist, s.Samples[k].DistanceM), append(time, s.Samples[k].DriveS-s.Samples[from].DriveS)
			}
			for _, r := range supply.PointsOfNoReturn(dist, time, time, nil, time[len(time)-1]) {
				out = append(out, TurnBack{r.FromM, r.ToM, r.AtM, r.OnL})
			}
		}
		a = b
	}
	return out
}
