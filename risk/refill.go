package risk

import (
	"math"
	"sort"

	"lastroad/geo"
)

// waterNearM is how near a water place must lie to the line to be named as possible: a few minutes' walk with
// cans (judgement).
const waterNearM = 300

// waterAlong follows the drinking water along the route: litres left at every sample, drunk while driving and
// camping, and taken on only where the user declares it. Places on the map are never counted.
type waterAlong struct {
	need  []float64 // litres that drinking takes from the start on, however much there is
	left  []float64 // litres
	drunk []float64 // litres drunk since the start less those taken on, never more than there was
	taken []WaterTaken
}

// drinkPerH is what the party drinks an hour of the whole day, spread over the hours of driving: each hour at
// the wheel stands for a share of the day's camp.
func drinkPerH(x *exposure) float64 {
	cat, t := x.cat, x.trip
	driveDay := cat.Figure("drive_day_h").Central
	rates := cat.Supply.Rates(climate(t))
	adults := cat.Supply.Shares(people(t.Party.People))
	return (rates.Base.Central*adults + rates.Drive.Central*adults*driveDay/24) * 24 / driveDay
}

// takenAt lists the declared refills in route order.
func takenAt(s *geo.Survey) []WaterTaken {
	var out []WaterTaken
	for _, m := range s.Marks {
		if m.Kind == geo.MarkStop && m.WaterL > 0 {
			out = append(out, WaterTaken{m.DistanceM, m.Name, m.WaterL})
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].AtM < out[b].AtM })
	return out
}

// water follows start litres along the route. The containers hold what they held at the start, or a single
// declared refill when that is more.
func (x *exposure) water(start float64) waterAlong {
	k := waterKey{x.facts, start, x.drinkPerS}
	return x.memo.water(k, func() waterAlong { return k.route.drink(start, k.perS) })
}

// waterKey is all that the water along a route hangs on.
type waterKey struct {
	route       *routeFacts
	start, perS float64 // litres, and litres drunk in a second at the wheel
}

func (f *routeFacts) drink(start, perS float64) waterAlong {
	s := f.survey.Samples
	w := waterAlong{need: make([]float64, len(s)), left: make([]float64, len(s)), drunk: make([]float64, len(s)), taken: f.taken}
	left, drunk, next := start, 0.0, 0
	for i := range s {
		if i > 0 {
			sip := math.Min(left, perS*math.Max(0, s[i].DriveS-s[i-1].DriveS))
			left, drunk = left-sip, drunk+sip
		}
		for next < len(w.taken) && w.taken[next].AtM <= s[i].DistanceM {
			k := &w.taken[next]
			in := math.Max(0, math.Min(k.L, math.Max(start, k.L)-left))
			left, drunk = left+in, math.Max(0, drunk-in)
			next++
		}
		w.need[i], w.left[i], w.drunk[i] = s[i].DriveS*perS, left, drunk
	}
	return w
}

// possibleWater are the region's water places and springs near the line, in route order.
func possibleWater(s *geo.Survey) []geo.Place {
	var out []geo.Place
	for _, p := range s.Help {
		if (p.Kind == geo.HelpWater || p.Kind == geo.HelpSpring) && p.OffM <= waterNearM {
			out = append(out, p)
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].RouteM < out[b].RouteM })
	return out
}

// divided is into how many containers the carried water is divided and what the fullest holds; ok is false
// when some of it is not said to be divided.
func divided(load []LoadItem) (n, largest float64, ok bool) {
	ok = true
	for _, l := range load {
		if l.Item != "water" || !(l.Count > 0) {
			continue
		}
		if !(l.Containers >= 1) {
			return 0, math.NaN(), false
		}
		n += math.Floor(l.Containers)
		largest = math.Max(largest, l.Count/math.Floor(l.Containers))
	}
	return n, largest, ok
}
