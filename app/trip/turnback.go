package trip

import (
	"lastroad/geo"
	"lastroad/risk"
)

// TurnBack is the point of no easy return of a stretch away from maintained roads: from there on driving
// ahead to the next maintained road takes less time than driving back to the last one. The points of no
// return in fuel and in water are those of the judgement, see [NoReturns].
type TurnBack struct {
	FromM, ToM float64 // where the route leaves and reaches maintained road, along the route
	AtM        float64
	AheadS     float64 // driving time from there to the end of the stretch, seconds
}

// TurnBacks are the points by driving time, see [risk.RoadReturns].
func TurnBacks(s *geo.Survey) []TurnBack {
	var out []TurnBack
	for _, r := range risk.RoadReturns(s) {
		out = append(out, TurnBack{r.FromM, r.ToM, r.AtM, r.On})
	}
	return out
}

// NoReturns are the points of no return in fuel, in water and in both, in route order, without those by
// driving time. A nil judgement has none.
func NoReturns(j *risk.Judgement) []risk.NoReturn {
	if j == nil {
		return nil
	}
	var out []risk.NoReturn
	for _, r := range j.Supplies.NoReturns {
		if r.Kind != risk.ReturnTime {
			out = append(out, r)
		}
	}
	return out
}
