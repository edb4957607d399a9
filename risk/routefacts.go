package risk

import (
	"math"

	"lastroad/geo"
	"lastroad/risk/supply"
)

// routeFacts are what a survey alone says of its legs and places; a [Memo] keeps them. They are never changed.
type routeFacts struct {
	survey   *geo.Survey
	pieces   []piece
	legs     []legFacts
	whole    []pieceShare // every piece in full
	fuel     []fuelPlace
	next     []int // per sample: that of the next fuel, the last sample when there is none
	last     []int // per sample: that of the last fuel behind, 0 when there is none: the trip starts full
	full     []bool
	taken    []WaterTaken
	possible []geo.Place
	road     []NoReturn
	distance []float64 // per sample, metres
	site     Site
}

// legFacts are the facts of one leg that no trip changes.
type legFacts struct {
	shares   []pieceShare
	walkOut  float64 // worst minutes on foot, NaN unknown
	roadM    float64 // worst straight distance to a maintained road
	steepest float64
	refills  []float64 // water places and springs near the line
	takenL   float64   // drinking water that the user declares to take on
}

func newRouteFacts(s *geo.Survey) *routeFacts {
	f := &routeFacts{survey: s, pieces: cutPieces(s), fuel: fuelPlaces(s), taken: takenAt(s), possible: possibleWater(s), road: RoadReturns(s),
		distance: make([]float64, len(s.Samples)), site: SiteOf(s)}
	for i := range s.Samples {
		f.distance[i] = s.Samples[i].DistanceM
	}
	f.whole = make([]pieceShare, len(f.pieces))
	for i := range f.whole {
		f.whole[i] = pieceShare{i, 1}
	}
	f.fuelAlong()
	for i := range s.Legs {
		f.legs = append(f.legs, f.leg(i))
	}
	return f
}

// fuelAlong finds for every sample the places of fuel before and behind.
func (f *routeFacts) fuelAlong() {
	n := len(f.survey.Samples)
	f.next, f.last, f.full = make([]int, n), make([]int, n), make([]bool, n)
	last, k := 0, 0
	for i := range n {
		if k < len(f.fuel) && f.fuel[k].sample == i {
			last = i
			k++
		}
		f.last[i] = last
	}
	from := 0
	for k := 0; k <= len(f.fuel); k++ {
		to := n - 1
		if k < len(f.fuel) {
			to = f.fuel[k].sample
			f.full[to] = true
		}
		for i := from; i < to; i++ {
			f.next[i] = to
		}
		from = to
	}
	f.next[n-1] = n - 1
}

func (f *routeFacts) leg(i int) legFacts {
	s := f.survey
	l := s.Legs[i]
	out := legFacts{shares: sharesOf(s, f.pieces, i), steepest: steepest(s, l)}
	for k := l.From; k <= l.To; k++ {
		q := &s.Samples[k]
		out.walkOut = worse(out.walkOut, q.WalkMin, k == l.From)
		out.roadM = worse(out.roadM, q.RoadM, k == l.From)
		if k < l.To || i == len(s.Legs)-1 {
			near := math.Min(orFar(q.HelpM[geo.HelpWater]), orFar(q.HelpM[geo.HelpSpring])) <= waterNearM
			if near && (len(out.refills) == 0 || q.DistanceM-out.refills[len(out.refills)-1] > 1000) {
				out.refills = append(out.refills, q.DistanceM)
			}
		}
	}
	from, to := s.Samples[l.From].DistanceM, s.Samples[l.To].DistanceM
	for _, k := range f.taken {
		if k.AtM > from && k.AtM <= to {
			out.takenL += k.L
		}
	}
	return out
}

// haveAt is the fuel on board at a sample, refills counted.
func (t *tankful) haveAt(f *routeFacts, i int) supply.Band {
	used := subBand(t.forward[i], t.forward[f.last[i]])
	return supply.Band{Low: math.Max(0, t.start.Low-used.High), Central: math.Max(0, t.start.Central-used.Central), High: math.Max(0, t.start.High-used.Low)}
}
