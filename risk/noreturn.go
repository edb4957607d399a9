package risk

import (
	"math"
	"sort"

	"lastroad/geo"
	"lastroad/risk/supply"
)

// The kinds of points of no return.
const (
	ReturnFuel  = "fuel"  // litres of fuel, between places of fuel
	ReturnWater = "water" // litres of drinking water, between places where the user takes some on
	ReturnBoth  = "both"  // fuel and water: the point of no return
	ReturnTime  = "time"  // driving time between maintained roads: the point of no easy return
)

// NoReturn is a place from which going on is nearer than going back.
type NoReturn struct {
	Kind string
	// FromM and ToM are the supplies behind and ahead along the route: places of fuel, declared refills of water,
	// maintained road; start and end of the route count as supplies. For ReturnBoth, ToM is where the first of
	// fuel and water is reached.
	FromM, ToM float64
	AtM        float64
	// LastReturnM is the furthest place from which what is carried still takes the party back; NaN for
	// ReturnTime. For ReturnBoth it is the nearer of fuel and water.
	LastReturnM float64
	// On and Back are the costs from AtM: litres, for ReturnTime seconds; for ReturnBoth those of Later.
	On, Back float64
	Reaches  bool   // what is carried reaches the next supply
	Later    string // for ReturnBoth: which of fuel and water turned last
}

// leastReturnM is the shortest stretch worth telling: on less, turning back or going on makes no difference
// that matters (judgement: ten minutes at 30 km/h).
const leastReturnM = 5000

// noReturns finds the points of no return in fuel, in water, in both, and in driving time.
func (st *study) noReturns() []NoReturn {
	s := st.survey.Samples
	dist := st.facts.distance
	var fuel, water []NoReturn
	if t := st.tank; t != nil && t.model != nil {
		var places []float64
		for _, p := range t.places {
			places = append(places, s[p.sample].DistanceM)
		}
		fuel = returnsOf(ReturnFuel, dist, t.out, t.home, places, t.start.Central)
	}
	var places []float64
	for _, k := range st.facts.taken {
		places = append(places, k.AtM)
	}
	// The way back drinks as much as the way out.
	carried := st.solo.count[st.itemIndex("water")]
	need := st.x.water(carried).need
	water = returnsOf(ReturnWater, dist, need, need, places, carried)
	out := append(append(both(fuel, water), fuel...), water...)
	out = append(out, st.facts.road...)
	sort.SliceStable(out, func(a, b int) bool { return out[a].AtM < out[b].AtM })
	return out
}

func returnsOf(kind string, dist, forward, back, places []float64, carried float64) []NoReturn {
	var out []NoReturn
	for _, r := range supply.PointsOfNoReturn(dist, forward, back, places, carried) {
		if r.ToM-r.FromM >= leastReturnM {
			out = append(out, NoReturn{Kind: kind, FromM: r.FromM, ToM: r.ToM, AtM: r.AtM, LastReturnM: r.LastReturnM, On: r.OnL, Back: r.BackL, Reaches: r.Reaches})
		}
	}
	return out
}

// both finds where going on is nearer in fuel and in water: from where the later of the two turns, until the
// first of the two supplies ahead is reached.
func both(fuel, water []NoReturn) []NoReturn {
	var out []NoReturn
	for _, f := range fuel {
		for _, w := range water {
			at, end := math.Max(f.AtM, w.AtM), math.Min(f.ToM, w.ToM)
			if !(at < end) {
				continue
			}
			r := NoReturn{Kind: ReturnBoth, FromM: math.Max(f.FromM, w.FromM), ToM: end, AtM: at, LastReturnM: math.Min(f.LastReturnM, w.LastReturnM),
				On: f.On, Back: f.Back, Reaches: f.Reaches && w.Reaches, Later: ReturnFuel}
			if w.AtM > f.AtM {
				r.On, r.Back, r.Later = w.On, w.Back, ReturnWater
			}
			out = append(out, r)
		}
	}
	return out
}

// RoadReturns finds the points of no easy return by driving time, for every stretch of 5 km and more between
// two places on maintained road, in the order of the route. Driving back is taken to last as long as driving
// there. Nothing is said of a stretch that runs outside the region's data or to an end of the route: where its
// roads are is not known.
func RoadReturns(s *geo.Survey) []NoReturn {
	var out []NoReturn
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
		if known && from >= 0 && to < n && s.Samples[to].DistanceM-s.Samples[from].DistanceM >= leastReturnM {
			var dist, time []float64
			for k := from; k <= to; k++ {
				dist, time = append(dist, s.Samples[k].DistanceM), append(time, s.Samples[k].DriveS-s.Samples[from].DriveS)
			}
			for _, r := range supply.PointsOfNoReturn(dist, time, time, nil, time[len(time)-1]) {
				out = append(out, NoReturn{Kind: ReturnTime, FromM: r.FromM, ToM: r.ToM, AtM: r.AtM, LastReturnM: math.NaN(), On: r.OnL, Back: r.BackL, Reaches: true})
			}
		}
		a = b
	}
	return out
}
