package choose

import (
	"context"
	"math"
	"sort"
)

// Choice is a set with what it gives.
type Choice struct {
	Set        uint64
	Kg, Litres float64
	Loss       float64
	// Exact is true when no set within the limit has a smaller loss; else Bound is a loss that no set can
	// go below, and Loss - Bound the gap.
	Exact bool
	Bound float64
}

// UsualNodes bounds the search: some seconds at most. A search of 20 candidates ends below it.
const UsualNodes = 6_000_000

// Best finds the set within the limit with the least loss; among equal losses the lighter one. It
// starts from the greedy set and branches on the candidates in order of their gain per kilogram; the
// bound of a branch is the loss with everything added that could still fit, which is valid because more
// never makes a loss larger. nodes limits the search (0 = [UsualNodes]); when it is reached or ctx ends,
// the best set so far is returned with the bound that was proven.
func Best(ctx context.Context, p *Problem, limit Limit, nodes int) Choice {
	if nodes <= 0 {
		nodes = UsualNodes
	}
	s := &search{ctx: ctx, p: p, limit: limit, left: nodes, sub: make([]uint32, len(p.Terms)), open: math.Inf(1)}
	s.order = byGain(p, limit)
	s.best = Greedy(p, limit)
	s.bestKg = s.best.Kg
	for t := range p.Terms {
		s.loss = append(s.loss, p.term(t, 0))
	}
	all := uint64(0)
	for _, c := range s.order {
		all |= 1 << c
	}
	for t := range p.Terms {
		s.up = append(s.up, p.sub(t, all))
	}
	s.descend(0, 0, 0, 0)
	s.best.Exact = s.left > 0 && ctx.Err() == nil
	s.best.Bound = s.best.Loss
	if !s.best.Exact {
		s.best.Bound = math.Min(s.open, s.best.Loss)
	}
	return s.best
}

type search struct {
	ctx    context.Context
	p      *Problem
	limit  Limit
	order  []int
	sub    []uint32 // per term: what is in
	up     []uint32 // per term: what is in or still open
	loss   []float64
	best   Choice
	bestKg float64
	left   int
	open   float64 // least bound of branches given up
}

// bound is the loss with everything that is in or open.
func (s *search) bound() float64 {
	sum := s.p.Fixed
	for t := range s.up {
		sum += s.p.term(t, s.up[t])
	}
	return sum
}

// gainLeast is the loss below which two sets count as equal: the rounding of a sum of some dozens of terms.
const gainLeast = 1e-13

func (s *search) descend(i int, set uint64, kg, litres float64) {
	b := s.bound()
	if b > s.best.Loss+gainLeast || b > s.best.Loss-gainLeast && kg >= s.bestKg {
		return
	}
	if s.left <= 0 || s.ctx.Err() != nil {
		s.open = math.Min(s.open, b)
		return
	}
	s.left--
	if i == len(s.order) {
		if b < s.best.Loss-gainLeast || b < s.best.Loss+gainLeast && kg < s.bestKg-slack {
			s.best = Choice{Set: set, Kg: kg, Litres: litres, Loss: b}
			s.bestKg = kg
		}
		return
	}
	c := s.order[i]
	k := &s.p.Candidates[c]
	if s.limit.fits(kg+k.Kg, litres+k.Litres) {
		s.descend(i+1, set|1<<c, kg+k.Kg, litres+k.Litres)
	}
	for _, q := range s.p.of[c] {
		s.up[q.term] &^= q.bit
	}
	// What no longer fits beside what is in is still in the bound; taking it out would need another pass.
	s.descend(i+1, set, kg, litres)
	for _, q := range s.p.of[c] {
		s.up[q.term] |= q.bit
	}
}

// byGain orders the candidates that fit at all: by what they gain together with all others, per kilogram,
// best first; ties by index.
func byGain(p *Problem, limit Limit) []int {
	var out []int
	all := uint64(0)
	for c := range p.Candidates {
		if limit.fits(p.Candidates[c].Kg, p.Candidates[c].Litres) {
			out = append(out, c)
			all |= 1 << c
		}
	}
	whole := p.Loss(all)
	gain := map[int]float64{}
	for _, c := range out {
		gain[c] = (p.Loss(all&^(1<<c)) - whole) / math.Max(p.Candidates[c].Kg, 0.01)
	}
	sort.SliceStable(out, func(a, b int) bool { return gain[out[a]] > gain[out[b]] })
	return out
}

// Greedy builds a set by adding, again and again, the group with the most gain per kilogram that still
// fits: single candidates, and the groups that a term shows to work only together. Then it tries to swap
// one member for one or two others. It is fast and good, not exact.
func Greedy(p *Problem, limit Limit) Choice {
	set, loss := uint64(0), p.Loss(0)
	groups := Groups(p)
	for {
		best, bestRate, bestLoss := uint64(0), 0.0, loss
		for _, g := range groups {
			add := g &^ set
			if add == 0 || !limit.fits(p.Kg(set|add), p.Litres(set|add)) {
				continue
			}
			l := p.Loss(set | add)
			if rate := (loss - l) / math.Max(p.Kg(add), 0.01); rate > bestRate && loss-l > gainLeast {
				best, bestRate, bestLoss = add, rate, l
			}
		}
		if best == 0 {
			break
		}
		set, loss = set|best, bestLoss
	}
	set, loss = swaps(p, limit, set, loss)
	return Choice{Set: set, Kg: p.Kg(set), Litres: p.Litres(set), Loss: loss}
}

func swaps(p *Problem, limit Limit, set uint64, loss float64) (uint64, float64) {
	for improved := true; improved; {
		improved = false
		for _, out := range append([]int{-1}, Members(set)...) {
			base := set
			if out >= 0 {
				base &^= 1 << out
			}
			for a := range p.Candidates {
				for b := a; b < len(p.Candidates); b++ {
					try := base | 1<<a | 1<<b
					if try == set || !limit.fits(p.Kg(try), p.Litres(try)) {
						continue
					}
					if l := p.Loss(try); l < loss-gainLeast {
						set, loss, improved = try, l, true
					}
				}
			}
			if improved {
				break
			}
		}
	}
	return set, loss
}

// Groups lists, for the greedy search, all singles and pairs, and per term the smallest sets that lower
// its loss although none of their members does so alone.
func Groups(p *Problem) []uint64 {
	seen := map[uint64]bool{}
	var out []uint64
	add := func(s uint64) {
		if s != 0 && !seen[s] {
			seen[s] = true
			out = append(out, s)
		}
	}
	for a := range p.Candidates {
		add(1 << a)
	}
	for t := range p.Terms {
		for _, g := range p.Terms[t].needed(p, t) {
			add(g)
		}
	}
	return out
}

// needed grows, for a term, the set that lowers its loss: from all members it drops one after another as
// long as the loss stays, in both directions, which gives minimal sets without trying all.
func (t *Term) needed(p *Problem, ti int) []uint64 {
	n := len(t.Members)
	if n == 0 {
		return nil
	}
	full := uint32(1)<<n - 1
	empty := p.term(ti, 0)
	var out []uint64
	for start := range n {
		s := full
		want := p.term(ti, full)
		if !(want < empty-gainLeast) {
			return nil
		}
		for k := range n {
			b := uint32(1) << ((start + k) % n)
			if p.term(ti, s&^b) <= want+gainLeast {
				s &^= b
			}
		}
		// And a smaller set that keeps some gain: drop while any gain is left.
		r := s
		for k := range n {
			b := uint32(1) << ((start + k) % n)
			if r&b != 0 && p.term(ti, r&^b) < empty-gainLeast {
				r &^= b
			}
		}
		for _, x := range []uint32{s, r} {
			var g uint64
			for k, c := range t.Members {
				if x&(1<<k) != 0 {
					g |= 1 << c
				}
			}
			out = append(out, g)
		}
	}
	return out
}
