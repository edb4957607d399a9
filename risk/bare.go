package risk

import (
	"math"

	"lastroad/geo"
	"lastroad/risk/catalogue"
)

// bare is what route and tables alone say of the exposure: the pieces, and for every kind of trouble that a
// piece can bring its expected number before the factors that hang on vehicle, crew and weather. It is the same
// for every trip on the route, so a [Memo] keeps it. It is never changed.
type bare struct {
	survey *geo.Survey
	cat    *catalogue.Catalogue
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
}

// layBare works out what the ground brings.
func layBare(s *geo.Survey, cat *catalogue.Catalogue, pieces []piece) *bare {
	b := &bare{survey: s, cat: cat, pieces: pieces, first: make([]int, 1, len(pieces)+1)}
	means := meanRates(cat)
	day := cat.Figure("drive_day_h").Central
	slide := -1
	if e, ok := cat.EventIndex("climb/slide"); ok {
		slide = e
	}
	for i := range pieces {
		p := &pieces[i]
		mix := &s.Grounds[p.Mix]
		var slopes slopeFactors
		for e := range cat.Events {
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
				for _, fi := range ev.Factors {
					switch f := &cat.Factors[fi]; f.Variable {
					case "grade":
						kind := slopeUp
						if e == slide {
							kind = slopeDown
						}
						m *= slopes.mean(kind, f, p.steep, f.Most[g].Central, g)
					case "side":
						m *= slopes.mean(slopeSide, f, p.side, f.Most[g].Central, g)
					}
				}
				if m > 0 {
					b.cells = append(b.cells, bareCell{int32(e), g, person, m})
				}
			}
		}
		b.first = append(b.first, len(b.cells))
	}
	return b
}

// meanRates are the mean rates of the hazards by ground, per their own exposure.
func meanRates(cat *catalogue.Catalogue) [][geo.NumGrounds]float64 {
	out := make([][geo.NumGrounds]float64, len(cat.Hazards))
	for i := range cat.Hazards {
		for g := geo.Sealed; g < geo.NumGrounds; g++ {
			out[i][g] = meanRate(cat.Hazards[i].Rate[g])
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
	x.cells = make([]cell, 0, len(b.cells)+8) // running out of fuel comes to them
	x.first = make([]int, 1, len(b.first))
	// The factors of an event on a ground are the same on every piece.
	type pair struct{ actual, adverse float64 }
	factors := make([][geo.NumGrounds]pair, len(x.cat.Events))
	for e := range factors {
		for g := geo.Sealed; g < geo.NumGrounds; g++ {
			q := pair{1, 1}
			for _, fi := range x.cat.Events[e].Factors {
				if v := x.cat.Factors[fi].Variable; v == "grade" || v == "side" {
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
			m := c.mean
			if c.person {
				m *= float64(people)
			}
			q := factors[c.event][c.ground]
			n := cell{piece: i, event: int(c.event), ground: c.ground, mean: m * q.actual, worst: m * q.adverse}
			n.worst = math.Max(n.worst, n.mean)
			if n.worst > 0 {
				x.cells = append(x.cells, n)
			}
		}
		x.first = append(x.first, len(x.cells))
	}
}
