package split

import (
	"fmt"
	"math"

	"lastroad/geo"
)

// Edit is a change that the user made to the legs. It names places by distance along the route, so that
// it survives a new survey; edits are carried out in their order after the cutting.
type Edit struct {
	// Do is "merge": the legs between FromM and ToM become one (without ToM, the two that meet
	// nearest to FromM); "split": the leg at FromM is cut there; "rename": the leg at FromM gets
	// Name; "lock": FromM to ToM (without ToM, the leg at FromM) is one leg, never cut again;
	// "unlock": the locked leg at FromM is free again. A new cut may shift where legs meet a little: name
	// a leg by its middle rather than by where it begins.
	Do         string
	FromM, ToM float64 // metres along the route; ToM 0 = not given
	Name       string
}

// The kinds of edits.
const (
	Merge  = "merge"
	Split  = "split"
	Rename = "rename"
	Lock   = "lock"
	Unlock = "unlock"
)

// meetM is how near to the place named a meeting of two legs must lie to be merged, metres. Judgement: half
// the least length of a leg, so that it is never another one that is meant.
const meetM = 500.0

type lock struct{ from, to int }

// locksOf gives the stretches that are locked after all edits, in the order of the route.
func locksOf(edits []Edit, x []float64) (locks []lock, notes []string) {
	for _, e := range edits {
		switch {
		case e.Do == Lock && e.ToM > 0:
			l := lock{nearest(x, e.FromM), nearest(x, e.ToM)}
			if l.from >= l.to {
				notes = append(notes, fmt.Sprintf("The leg locked at km %.1f lies outside the route or has no length; it is cut anew.", e.FromM/1000))
				continue
			}
			keep := locks[:0]
			for _, o := range locks { // the later lock wins over one that it overlaps
				if o.to <= l.from || o.from >= l.to {
					keep = append(keep, o)
				}
			}
			locks = append(keep, l)
		case e.Do == Unlock:
			keep := locks[:0]
			for _, o := range locks {
				if !(x[o.from] <= e.FromM && e.FromM < x[o.to]) {
					keep = append(keep, o)
				}
			}
			locks = keep
		}
	}
	for i := 1; i < len(locks); i++ {
		for j := i; j > 0 && locks[j].from < locks[j-1].from; j-- {
			locks[j], locks[j-1] = locks[j-1], locks[j]
		}
	}
	return locks, notes
}

// nearest is the sample nearest to a distance along the route; NaN gives the first.
func nearest(x []float64, m float64) int {
	lo, hi := 0, len(x)-1
	for lo < hi {
		mid := (lo + hi) / 2
		if x[mid] < m {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	if lo > 0 && m-x[lo-1] <= x[lo]-m {
		lo--
	}
	return lo
}

// apply carries out the edits on the legs, which it may overwrite.
func apply(legs []geo.Leg, edits []Edit, samples []geo.Sample) ([]geo.Leg, []string) {
	var notes []string
	m := func(i int) float64 { return samples[i].DistanceM }
	at := func(d float64) int { // the leg that holds a distance, -1 = none
		for k := range legs {
			if m(legs[k].From) <= d && (d < m(legs[k].To) || k == len(legs)-1 && d <= m(legs[k].To)+1) {
				return k
			}
		}
		return -1
	}
	miss := func(e Edit, what string) {
		notes = append(notes, fmt.Sprintf("Your change to the legs at km %.1f (%s) was not made: %s.", e.FromM/1000, e.Do, what))
	}
	for _, e := range edits {
		switch e.Do {
		case Merge:
			legs = merge(legs, e, m, miss)
		case Split:
			k := at(e.FromM)
			if k < 0 {
				miss(e, "the route does not reach this place")
				continue
			}
			i := legs[k].From
			for i < legs[k].To && math.Abs(m(i+1)-e.FromM) <= math.Abs(m(i)-e.FromM) {
				i++
			}
			switch {
			case i == legs[k].From || i == legs[k].To: // already a leg begins here
			case legs[k].Locked:
				miss(e, "the leg is locked")
			default:
				rest := legs[k]
				legs[k].To, rest.From = i, i
				rest.Why, rest.Name = "your cut", ""
				legs = append(legs[:k+1], append([]geo.Leg{rest}, legs[k+1:]...)...)
			}
		case Rename:
			if k := at(e.FromM); k >= 0 {
				legs[k].Name = e.Name
			} else {
				miss(e, "the route does not reach this place")
			}
		case Lock:
			if k := at(e.FromM); e.ToM <= 0 && k >= 0 {
				legs[k].Locked = true
			}
		case Unlock:
			if k := at(e.FromM); k >= 0 {
				legs[k].Locked = false
			}
		default:
			miss(e, "this kind of change is not known")
		}
	}
	return legs, notes
}

// merge joins legs; a locked leg is left alone. A span inside one leg is what was wanted already.
func merge(legs []geo.Leg, e Edit, m func(int) float64, miss func(Edit, string)) []geo.Leg {
	from, to := -1, -1 // joints from..to vanish; joint k is the end of leg k
	if e.ToM > e.FromM {
		first, last := meeting(legs, e.FromM, m), meeting(legs, e.ToM, m)
		for k := 0; k+1 < len(legs); k++ {
			if j := m(legs[k].To); j > e.FromM && j < e.ToM && k != first && k != last {
				if from < 0 {
					from = k
				}
				to = k
			}
		}
		if n := len(legs); from < 0 && n > 0 && e.ToM > m(legs[0].From) && e.FromM < m(legs[n-1].To) {
			return legs
		}
	} else if k := meeting(legs, e.FromM, m); k >= 0 && k+1 < len(legs) {
		from, to = k, k
	}
	if from < 0 {
		miss(e, "no two legs meet there any more")
		return legs
	}
	name := ""
	for k := from; k <= to+1; k++ {
		if legs[k].Locked {
			miss(e, "a locked leg lies there")
			return legs
		}
		if name == "" { // the first name given by hand stays
			name = legs[k].Name
		}
	}
	legs[from].To, legs[from].Name = legs[to+1].To, name
	return append(legs[:from+1], legs[to+2:]...)
}

// meeting is the end of a leg that lies nearest to a place of the route, as the leg's number: the joint that the
// place meant when another cut has shifted it a little. The route's start is -1, and so is a place with no joint
// near.
func meeting(legs []geo.Leg, at float64, m func(int) float64) int {
	best, k := meetM, -1
	if len(legs) > 0 {
		best = math.Min(best, math.Abs(m(legs[0].From)-at))
	}
	for i := range legs {
		if d := math.Abs(m(legs[i].To) - at); d < best {
			best, k = d, i
		}
	}
	return k
}
