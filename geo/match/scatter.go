package match

import "math"

// How far the line scatters about its ways. The distance to the nearest way tells too little of it where ways lie
// close together: in towns a scatter of 8 m leaves the nearest way 3 m away, for it is often another one. So the
// nearest distance is taken for what it is, the least of the distance to the true way and those to others that lie
// about at random, and the scatter is the one that makes the distances seen most likely.

const (
	// oddShare of the points may lie off the ways; without them one far point would count as much as many near ones. Judgement
	// (0.02 to 0.05 tried).
	oddShare = 0.05
	// nearestMost: points farther than this from any way tell nothing, metres.
	nearestMost = 40.0
	// scatterPoints bounds how many points are used, and scatterLeast is how many of those beside given points are enough.
	scatterPoints = 1000
	scatterLeast  = 20
	scatterStep   = 1.08 // of the scatters tried, each over the one before
)

// beside is a point as the scatter sees it.
type beside struct {
	off  float64 // metres to the nearest way
	ways float64 // other ways a metre of distance
}

// measured is the standard deviation of the line beside the ways, one axis, between its bounds.
func (m *matcher) measured() float64 {
	list := m.besides(nearGivenM) // points in between are means of two and scatter less
	if len(list) < scatterLeast {
		list = m.besides(200)
	}
	best, at := math.Inf(1), minScatter
	for sd := minScatter; sd < maxScatter*scatterStep; sd *= scatterStep {
		sd := min(sd, maxScatter)
		cost := 0.0
		for _, p := range list {
			cost -= math.Log(p.chance(sd))
		}
		if cost < best {
			best, at = cost, sd
		}
	}
	return at
}

// besides are at most about scatterPoints points within gapM of a given one, evenly spread over the line.
func (m *matcher) besides(gapM float64) []beside {
	count := 0
	for i := range m.points {
		if m.points[i].GapM < gapM {
			count++
		}
	}
	every := 1 + count/scatterPoints
	var list []beside
	k := 0
	for i := range m.points {
		if m.points[i].GapM >= gapM {
			continue
		}
		if k++; k%every != 0 {
			continue
		}
		if c := m.cand[m.first[i]:m.first[i+1]]; len(c) > 0 && c[0].off < nearestMost {
			off := float64(c[0].off)
			list = append(list, beside{off, float64(len(c)-1) / min(reachM, off+behindM)})
		}
	}
	return list
}

// chance is the probability density of a point's nearest distance at a scatter: the true way or one of the others is the
// nearest, and none is nearer.
func (p *beside) chance(sd float64) float64 {
	z := p.off / (sd * math.Sqrt2)
	farther := math.Erfc(z)
	here := 2 / (sd * math.Sqrt(2*math.Pi)) * math.Exp(-z*z)
	return (1-oddShare)*(here+p.ways*farther)*math.Exp(-p.ways*p.off) + oddShare/nearestMost
}
