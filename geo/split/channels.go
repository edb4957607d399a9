package split

import (
	"fmt"
	"math"

	"lastroad/geo"
)

// What a person looks at when asked where the going changes, and how loud each speaks. The weights are
// judgements: a full change of ground (0.5 for the class that goes and 0.5 for the one that comes) counts
// as one, as does a grade of 10 % against the level or a side slope of half a one; remoteness counts by
// doublings, since the first kilometres away from help matter more than the twentieth.
const (
	groundWeight = 0.5  // a share of one class, 0..1
	knownWeight  = 0.25 // ground known or not
	climbWeight  = 0.5  // signed grade in units of 10 %
	steepWeight  = 0.5  // the same without its sign
	sideWeight   = 0.3  // side slope in units of 25 %
	roadWeight   = 0.15 // doublings of 1 km + straight distance to a maintained road
	driveWeight  = 0.15 // doublings of 10 min + driving time to one
)

// Names of channels that reason knows.
const (
	knownName = "known"
	climbName = "climb"
	steepName = "steep"
	sideName  = "side"
	roadName  = "road"
	driveName = "drive"
)

func channels(s *geo.Survey) []Channel {
	n := len(s.Samples)
	var out []Channel
	add := func(name string, weight float64, f func(q *geo.Sample) float64) {
		v := make([]float64, n)
		for i := range v {
			v[i] = f(&s.Samples[i])
		}
		out = append(out, Channel{name, weight, v})
	}
	used := [geo.NumGrounds]bool{}
	for _, m := range s.Grounds {
		for g, p := range m.P {
			used[g] = used[g] || p > 0
		}
	}
	for g := geo.Sealed; g < geo.NumGrounds; g++ {
		if used[g] {
			add(g.Key(), groundWeight, func(q *geo.Sample) float64 {
				if int(q.Ground) >= len(s.Grounds) {
					return math.NaN()
				}
				return s.Grounds[q.Ground].P[g]
			})
		}
	}
	add(knownName, knownWeight, func(q *geo.Sample) float64 {
		if int(q.Ground) < len(s.Grounds) && s.Grounds[q.Ground].Known {
			return 1
		}
		return 0
	})
	add(climbName, climbWeight, func(q *geo.Sample) float64 { return q.Grade / 0.1 })
	add(steepName, steepWeight, func(q *geo.Sample) float64 { return math.Abs(q.Grade) / 0.1 })
	add(sideName, sideWeight, func(q *geo.Sample) float64 { return q.Side / 0.25 })
	add(roadName, roadWeight, func(q *geo.Sample) float64 { return math.Log2(1 + q.RoadM/1000) })
	add(driveName, driveWeight, func(q *geo.Sample) float64 { return math.Log2(1 + q.DriveMin/10) })
	return out
}

// evenGain: where no channel changes by more, the legs differ in nothing that is worth a word, in squared units.
const evenGain = 0.02

// reason says what changes most from leg a to leg b.
func reason(ch []Channel, x []float64, a, b geo.Leg, s *geo.Survey) string {
	ground, best, bestGain := 0.0, "", 0.0
	for _, c := range ch {
		ma, mb := mean(c.V, x, a.From, a.To), mean(c.V, x, b.From, b.To)
		if math.IsNaN(ma) || math.IsNaN(mb) {
			continue
		}
		gain := c.Weight * (mb - ma) * (mb - ma)
		switch c.Name {
		case knownName, climbName, steepName, sideName, roadName, driveName:
			if gain > bestGain {
				best, bestGain = c.Name, gain
			}
		default:
			ground += gain
		}
	}
	if ground+bestGain < evenGain {
		return "halfway on a long even stretch"
	}
	if ground > bestGain {
		return groundWords(s, a, b)
	}
	switch best {
	case knownName:
		if mean(channelOf(ch, knownName), x, b.From, b.To) > mean(channelOf(ch, knownName), x, a.From, a.To) {
			return "the ground is known again"
		}
		return "the ground is not known from here"
	case climbName, steepName:
		return gradeWords(mean(channelOf(ch, climbName), x, a.From, a.To), mean(channelOf(ch, climbName), x, b.From, b.To),
			mean(channelOf(ch, steepName), x, a.From, a.To), mean(channelOf(ch, steepName), x, b.From, b.To))
	case sideName:
		ma, mb := mean(channelOf(ch, sideName), x, a.From, a.To), mean(channelOf(ch, sideName), x, b.From, b.To)
		if mb > ma {
			return fmt.Sprintf("steeper side slope (%.0f to %.0f %%)", 25*ma, 25*mb)
		}
		return fmt.Sprintf("gentler side slope (%.0f to %.0f %%)", 25*ma, 25*mb)
	case roadName, driveName:
		v := channelOf(ch, best)
		if mean(v, x, b.From, b.To) > mean(v, x, a.From, a.To) {
			return "farther from a maintained road"
		}
		return "nearer to a maintained road"
	}
	return "the going changes"
}

func channelOf(ch []Channel, name string) []float64 {
	for _, c := range ch {
		if c.Name == name {
			return c.V
		}
	}
	return nil
}

// mean is the mean by length over samples from..to; NaN when nothing is known there.
func mean(v, x []float64, from, to int) float64 {
	sum, w := 0.0, 0.0
	for i := from; i < to && i < len(v); i++ {
		if !math.IsNaN(v[i]) {
			sum += v[i] * (x[i+1] - x[i])
			w += x[i+1] - x[i]
		}
	}
	return sum / w
}

func groundWords(s *geo.Survey, a, b geo.Leg) string {
	ga, gb := mainGround(s, a), mainGround(s, b)
	if ga == gb {
		return "the mix of ground changes"
	}
	if gb == geo.Unknown {
		return fmt.Sprintf("ground changes from %s to unknown", ga)
	}
	return fmt.Sprintf("ground changes from %s to %s", ga, gb)
}

// mainGround is the class shown over the greatest length of a leg.
func mainGround(s *geo.Survey, l geo.Leg) geo.Ground {
	var length [geo.NumGrounds]float64
	for i := l.From; i < l.To; i++ {
		g := geo.Unknown
		if q := &s.Samples[i]; int(q.Ground) < len(s.Grounds) {
			g = s.Grounds[q.Ground].Main()
		}
		length[g] += s.Samples[i+1].DistanceM - s.Samples[i].DistanceM
	}
	best := geo.Unknown
	for g := range length {
		if length[g] > length[best] {
			best = geo.Ground(g)
		}
	}
	return best
}

// gradeWords takes mean grades in units of 10 %, signed and without sign, before and after.
func gradeWords(climbA, climbB, steepA, steepB float64) string {
	const level = 0.25 // 2.5 %
	kind := func(climb, steep float64) string {
		switch {
		case climb > level:
			return fmt.Sprintf("climbing %.0f %%", 10*climb)
		case climb < -level:
			return fmt.Sprintf("descending %.0f %%", -10*climb)
		case steep > 2*level:
			return fmt.Sprintf("up and down by %.0f %%", 10*steep)
		}
		return "about level"
	}
	switch a, b := kind(climbA, steepA), kind(climbB, steepB); {
	case a == b:
		return "the slope changes a little: " + b
	case climbA > level && climbB < -level:
		return "over the top: " + b
	case climbA < -level && climbB > level:
		return "at the bottom: " + b
	case steepB > steepA:
		return fmt.Sprintf("steeper: %s, before %s", b, a)
	default:
		return fmt.Sprintf("gentler: %s, before %s", b, a)
	}
}
