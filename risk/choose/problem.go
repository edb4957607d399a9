package choose

import (
	"fmt"
	"math"
	"math/bits"
)

// Candidate is something that could be added.
type Candidate struct {
	Key, Title string
	Kg, Litres float64
}

// Term is a part of the loss that depends on some candidates only.
type Term struct {
	Members []int // indexes of candidates, at most MaxMembers
	// Loss is the term's loss when the members whose bits are set (bit k = Members[k]) are added. It must not
	// rise when a bit is set. It is asked at most once for each set.
	Loss func(set uint32) float64
}

// MaxMembers bounds the members of one term.
const MaxMembers = 20

// MaxCandidates bounds the candidates of a problem: a set is a word of bits.
const MaxCandidates = 64

// Problem is a choice among candidates. Fixed is the loss that no candidate changes.
type Problem struct {
	Candidates []Candidate
	Terms      []Term
	Fixed      float64

	memo []map[uint32]float64
	of   [][]place // per candidate: the terms it is in
}

type place struct {
	term int
	bit  uint32
}

// Prepare must be called once after the fields are set; it panics when a bound is exceeded, which only
// our own code could do.
func (p *Problem) Prepare() {
	if len(p.Candidates) > MaxCandidates {
		panic(fmt.Sprintf("choose: %d candidates, at most %d", len(p.Candidates), MaxCandidates))
	}
	p.memo = make([]map[uint32]float64, len(p.Terms))
	p.of = make([][]place, len(p.Candidates))
	for t := range p.Terms {
		if len(p.Terms[t].Members) > MaxMembers {
			panic(fmt.Sprintf("choose: a term of %d members, at most %d", len(p.Terms[t].Members), MaxMembers))
		}
		p.memo[t] = map[uint32]float64{}
		for k, c := range p.Terms[t].Members {
			p.of[c] = append(p.of[c], place{t, 1 << k})
		}
	}
}

func (p *Problem) term(t int, set uint32) float64 {
	if v, ok := p.memo[t][set]; ok {
		return v
	}
	v := p.Terms[t].Loss(set)
	p.memo[t][set] = v
	return v
}

// Loss is the loss with the candidates of set added.
func (p *Problem) Loss(set uint64) float64 {
	sum := p.Fixed
	for t := range p.Terms {
		sum += p.term(t, p.sub(t, set))
	}
	return sum
}

func (p *Problem) sub(t int, set uint64) uint32 {
	var s uint32
	for k, c := range p.Terms[t].Members {
		if set&(1<<c) != 0 {
			s |= 1 << k
		}
	}
	return s
}

// Kg and Litres are the mass and volume of a set.
func (p *Problem) Kg(set uint64) float64 {
	sum := 0.0
	for s := set; s != 0; s &= s - 1 {
		sum += p.Candidates[bits.TrailingZeros64(s)].Kg
	}
	return sum
}

// Litres is the volume of a set.
func (p *Problem) Litres(set uint64) float64 {
	sum := 0.0
	for s := set; s != 0; s &= s - 1 {
		sum += p.Candidates[bits.TrailingZeros64(s)].Litres
	}
	return sum
}

// Members lists the candidates of a set, lowest index first.
func Members(set uint64) []int {
	var out []int
	for s := set; s != 0; s &= s - 1 {
		out = append(out, bits.TrailingZeros64(s))
	}
	return out
}

// Limit is what may be added in all; +Inf is no limit.
type Limit struct{ Kg, Litres float64 }

// NoLimit allows everything.
var NoLimit = Limit{math.Inf(1), math.Inf(1)}

// slack absorbs rounding in sums of masses (a milligram on a tonne).
const slack = 1e-9

func (l Limit) fits(kg, litres float64) bool { return kg <= l.Kg+slack && litres <= l.Litres+slack }
