package risk

import (
	"math"
	"slices"

	"lastroad/geo"
	"lastroad/risk/catalogue"
)

// bare is what route and tables alone say of the exposure: the pieces, and for every kind of trouble that a
// piece can bring its expected number before the factors that hang on vehicle, crew and weather. It is the same
// for every trip on the route, so a [Memo] keeps it. It is never changed.
type bare struct {
	survey *geo.Survey
	cat    *catalogue.Catalogue
	facts  *routeFacts
	pieces []piece
	// cells of piece i are cells[first[i]:first[i+1]].
	cells []bareCell
	first []int
}

// bareCell is one kind of trouble on one piece on one class of ground.
type bareCell struct {
	event  int32
	ground geo.Ground
	person bool    // mean is per person
	mean   float64 // share of the ground, length or crossings, rate, share of the event, slope factors
	worst  float64 // the same with the rate that the worst case is reckoned with
}

// layBare works out what the ground brings.
func layBare(s *geo.Survey, cat *catalogue.Catalogue, facts *routeFacts) *bare {
	return relay(&bare{survey: s, facts: facts, pieces: facts.pieces}, cat, nil)
}

// under is what the ground brings by other figures of the same hazards and events: only what they touch is worked out
// anew.
func (b *bare) under(cat *catalogue.Catalogue) *bare {
	fresh := make([]bool, len(cat.Events))
	any := false
	daily := cat.Figure("drive_day_h").Central != b.cat.Figure("drive_day_h").Central
	for e := range cat.Events {
		ev, old := &cat.Events[e], &b.cat.Events[e]
		h := &cat.Hazards[ev.Hazard]
		fresh[e] = ev.Share != old.Share || !h.SameRates(&b.cat.Hazards[ev.Hazard]) || daily && h.Per == "person_day"
		for _, fi := range ev.Factors {
			if f := &cat.Factors[fi]; onSlope(f) && f.Most != b.cat.Factors[fi].Most {
				fresh[e] = true
			}
		}
		any = any || fresh[e]
	}
	if !any {
		c := *b
		c.cat = cat
		return &c
	}
	return relay(b, cat, fresh)
}

// supposing is what the ground brings when a premise of the survey, counted from 1, has another value than its central one.
func (b *bare) supposing(premise int, v float64) *bare {
	c := *b
	c.cells = slices.Clone(b.cells)
	was := b.survey.Premises[premise-1].Central
	for i := range b.pieces {
		for _, k := range b.pieces[i].Rests {
			if int(k) != premise {
				continue
			}
			for j := b.first[i]; j < b.first[i+1]; j++ {
				c.cells[j].mean *= v / was
				c.cells[j].worst *= v / was
			}
		}
	}
	return &c
}

// onSlope tells a factor that follows the slopes of a piece.
func onSlope(f *catalogue.Factor) bool { return f.Variable == "grade" || f.Variable == "side" }

// relay works the events marked fresh out, nil = all, and takes the others over.
func relay(from *bare, cat *catalogue.Catalogue, fresh []bool) *bare {
	s, pieces := from.survey, from.pieces
	b := &bare{survey: s, cat: cat, facts: from.facts, pieces: pieces, first: make([]int, 1, len(pieces)+1), cells: make([]bareCell, 0, len(from.cells))}
	means := meanRates(cat, func(h *catalogue.Hazard, g geo.Ground) geo.Figure { return h.Rate[g] })
	measures := meanRates(cat, (*catalogue.Hazard).Measure)
	day := cat.Figure("drive_day_h").Central
	slide := -1
	if e, ok := cat.EventIndex("climb/slide"); ok {
		slide = e
	}
	for i := range pieces {
		p := &pieces[i]
		mix := &s.Grounds[p.Mix]
		var slopes slopeFactors
		var old []bareCell
		if fresh != nil {
			old = from.cells[from.first[i]:from.first[i+1]]
		}
		for e := range cat.Events {
			if fresh != nil {
				n := 0
				for n < len(old) && int(old[n].event) == e {
					n++
				}
				if !fresh[e] {
					b.cells = append(b.cells, old[:n]...)
				}
				if old = old[n:]; !fresh[e] {
					continue
				}
			}
			ev := &cat.Events[e]
			h := &cat.Hazards[ev.Hazard]
			amount, person := 0.0, false
			switch h.Per {
			case "1000km":
				amount = p.LengthM() / 1e6
			case "crossing":
				if p.Ford {
					amount = p.Chance
				}
			case "person_day":
				amount, person = p.DriveH/day, true
			}
			if amount <= 0 {
				continue
			}
			for g := geo.Sealed; g < geo.NumGrounds; g++ {
				w := mix.P[g]
				if p.Ford {
					w = 0
					if g == geo.Ford {
						w = 1
					}
				}
				if w <= 0 {
					continue
				}
				m := amount * w * means[ev.Hazard][g] * ev.Share[g].Central
				if m <= 0 {
					continue
				}
				worst := amount * w * measures[ev.Hazard][g] * ev.Share[g].Central
				for _, fi := range ev.Factors {
					switch f := &cat.Factors[fi]; f.Variable {
					case "grade":
						kind := slopeUp
						if e == slide {
							kind = slopeDown
						}
						k := slopes.mean(kind, f, p.steep, f.Most[g].Central, g)
						m, worst = m*k, worst*k
					case "side":
						k := slopes.mean(slopeSide, f, p.side, f.Most[g].Central, g)
						m, worst = m*k, worst*k
					}
				}
				if m > 0 {
					b.cells = append(b.cells, bareCell{int32(e), g, person, m, worst})
				}
			}
		}
		b.first = append(b.first, len(b.cells))
	}
	return b
}

// meanRates are the means of rates of the hazards by ground, per their own exposure.
func meanRates(cat *catalogue.Catalogue, rate func(*catalogue.Hazard, geo.Ground) geo.Figure) [][geo.NumGrounds]float64 {
	out := make([][geo.NumGrounds]float64, len(cat.Hazards))
	for i := range cat.Hazards {
		for g := geo.Sealed; g < geo.NumGrounds; g++ {
			out[i][g] = meanRate(rate(&cat.Hazards[i], g))
		}
	}
	return out
}

type slopeKind int

const (
	slopeUp slopeKind = iota
	slopeDown
	slopeSide
	slopeKinds
)

// slopeFactors keeps the means of slope factors over one piece: many troubles share a factor, and a factor
// has the same figure on most grounds.
type slopeFactors struct {
	done [slopeKinds][]slopeMean
}

type slopeMean struct {
	f    *catalogue.Factor
	most float64
	mean float64
}

func (s *slopeFactors) mean(kind slopeKind, f *catalogue.Factor, v []float64, most float64, g geo.Ground) float64 {
	for _, d := range s.done[kind] {
		if d.f == f && d.most == most {
			return d.mean
		}
	}
	sign, unknown := 1.0, unknownGrade
	switch kind {
	case slopeDown:
		sign = -1
	case slopeSide:
		unknown = unknownSide
	}
	m := alongPiece(f, v, unknown, sign, g)
	s.done[kind] = append(s.done[kind], slopeMean{f, most, m})
	return m
}

// with puts the factors of a trip to the bare counts: actual and adverse, by event and ground.
func (x *exposure) with(b *bare, people int) {
	if x.room == nil {
		x.cells = make([]cell, 0, len(b.cells)+8) // running out of fuel comes to them
	} else {
		x.room.exposed = slices.Grow(x.room.exposed[:0], len(b.cells)+8)
		x.cells = x.room.exposed
	}
	x.first = make([]int, 1, len(b.first))
	// The factors of an event on a ground are the same on every piece.
	type pair struct{ actual, adverse float64 }
	factors := make([][geo.NumGrounds]pair, len(x.cat.Events))
	for e := range factors {
		for g := geo.Sealed; g < geo.NumGrounds; g++ {
			q := pair{1, 1}
			for _, fi := range x.cat.Events[e].Factors {
				if onSlope(&x.cat.Factors[fi]) {
					continue
				}
				q.actual *= x.actual[fi][g]
				q.adverse *= x.adverse[fi][g]
			}
			factors[e][g] = q
		}
	}
	for i := range b.pieces {
		for k := b.first[i]; k < b.first[i+1]; k++ {
			c := &b.cells[k]
			m, worst := c.mean, c.worst
			if c.person {
				m, worst = m*float64(people), worst*float64(people)
			}
			q := factors[c.event][c.ground]
			n := cell{piece: i, event: int(c.event), ground: c.ground, mean: m * q.actual, worst: worst * q.adverse}
			n.worst = math.Max(n.worst, worst*q.actual)
			if n.worst > 0 {
				x.cells = append(x.cells, n)
			}
		}
		x.first = append(x.first, len(x.cells))
	}
}
