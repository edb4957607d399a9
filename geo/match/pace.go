package match

import (
	"math"
	"slices"

	"lastroad/geo"
)

// What even steps tell while ways are chosen. A single step says little: the scatter at both its ends changes it by
// more than a wrong turn does. But on the right ways the steps add up. So every state of the search carries along where the
// line should be by now, if it went on at the pace of all the steps that led to this state (a Kalman filter for each
// survivor of Viterbi's search: "per-survivor processing", Raheli, Polydoros and Tzou, IEEE Transactions on
// Communications 43, 1995). A detour that the line did not drive puts all places after it out of step.

const (
	// paceShare is the weight of a disagreement with the pace beside those of distance and direction, which speak of
	// the same points (0.35 to 0.7 tried).
	paceShare = 0.5
	// paceLost: a step that disagrees more than this, in nats, begins the count anew, as after turning back (4 to 8 tried).
	paceLost = 4.0
	// paceDrift is the least share by which the length of steps may change from one to the next (0.005 to 0.05 tried on lines with even steps and with steps that swing by 30 %).
	paceDrift = 0.05
	// paceLeast is how many scatters a step must measure: over shorter ones the scatter of a recorded line is hardly a new
	// one at each point, so that it says nothing of the pace. Judgement.
	paceLeast = 4.0
	// paceFirst is how far the length of the first steps may differ from the median of all, as a share. Judgement.
	paceFirst = 0.2
)

// pace is what is known of the steps of a line recorded at even ones.
type pace struct {
	stepM  float64   // the usual length of a step
	before []float64 // for each point: how many given steps lie before it
	spread []float64 // for each point: variance of its place along the way, square metres
	drift  float64   // variance of the change of a step's length from one to the next, square metres
}

// gait is what one state of the search holds of the steps that led to it.
type gait struct {
	ahead float64 // how many metres beyond the state's own place the line should be by now
	stepM float64 // length of a step
	// Their variances and covariance.
	aa, as, ss float64
}

// paced measures the pace; nil for lines without scatter, without given points, or with short or uneven steps.
func (m *matcher) paced() *pace {
	line := m.opt.Line
	if len(line) < settleLeast || m.scatter <= minScatter {
		return nil
	}
	given := geo.Cumulative(nil, line)
	uneven, even := m.uneven(given)
	if !even {
		return nil
	}
	length := make([]float64, len(given)-1)
	for i := range length {
		length[i] = given[i+1] - given[i]
	}
	slices.Sort(length)
	p := &pace{stepM: length[len(length)/2]}
	if p.stepM < paceLeast*m.scatter {
		return nil
	}
	p.drift = max(paceDrift*paceDrift*p.stepM*p.stepM, uneven)
	k := 0
	for i := range m.points {
		along := m.points[i].AlongM
		for k+2 < len(given) && given[k+1] < along {
			k++
		}
		p.before = append(p.before, float64(k)+partOf(given, k, along))
		gap := gapSlope * m.points[i].gap()
		p.spread = append(p.spread, m.scatter*m.scatter+gap*gap)
	}
	return p
}

// partOf is where a place along the line lies on step k of the given points, 0..1.
func partOf(given []float64, k int, along float64) float64 {
	if l := given[k+1] - given[k]; l > 0 {
		return min(1, max(0, (along-given[k])/l))
	}
	return 0
}

// uneven is how much of the second differences of positions in a row is not owed to the scatter, as a variance; even is
// false where that is most of it.
func (m *matcher) uneven(pos []float64) (variance float64, even bool) {
	size := seconds(pos)
	slices.Sort(size)
	spread := size[len(size)/2] / 0.6745
	owed := evenShare * m.scatter * m.scatter
	variance = max(0, spread*spread-owed)
	return variance, variance <= owed
}

// seconds are the sizes of the second differences of at least three positions.
func seconds(pos []float64) []float64 {
	size := make([]float64, len(pos)-2)
	for j := range size {
		size[j] = math.Abs(pos[j] - 2*pos[j+1] + pos[j+2])
	}
	return size
}

// start is the gait of a state of point i of which nothing is known from before.
func (p *pace) start(i int) gait {
	first := paceFirst * p.stepM
	return gait{stepM: p.stepM, aa: p.spread[i], ss: first * first}
}

// next is a gait at the place of the point before, carried on to point i.
func (p *pace) next(i int, g *gait) gait {
	n := p.before[i] - p.before[i-1]
	q := p.drift * n
	return gait{
		ahead: g.ahead + n*g.stepM, stepM: g.stepM,
		aa: g.aa + 2*n*g.as + n*n*g.ss + q*n*n/3, as: g.as + n*g.ss + q*n/2, ss: g.ss + q,
	}
}

// step is the cost of a step of metres along the ways to point i and the gait after it.
func (p *pace) step(i int, g *gait, metres float64) (float64, gait) {
	n := p.next(i, g)
	off := n.ahead - metres
	v := n.aa + p.spread[i]
	nats := off * off / v / 2
	if nats > paceLost {
		s := p.start(i)
		s.stepM, s.ss = n.stepM, n.ss
		return paceShare * paceLost, s
	}
	ka, ks := n.aa/v, n.as/v
	return paceShare * nats, gait{off * (1 - ka), n.stepM - ks*off, n.aa * (1 - ka), n.as * (1 - ka), n.ss - ks*n.as}
}
