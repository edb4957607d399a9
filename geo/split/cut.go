// Package split cuts a measured route into legs.
//
// A leg is a stretch that is judged as one, so it should be alike in ground,
// slope and remoteness, and there should be few of them. Both wishes become one
// number: every leg costs what its samples scatter about the leg's own mean,
// and every cut costs a penalty; [Cut] finds the cuts with the least total, for
// any number of channels, exactly. [Legs] turns a survey's samples into such
// channels, cuts at the places where a cut is a must (the user's stops, the end
// of the maintained road) and says in words why each leg begins; [Apply] then
// carries out what the user changed by hand.
//
//	cuts, cost, err := split.Cut(ctx, split.Problem{X: x, Channels: ch, Penalty: 1500, MinM: 1000})
//
// The package does not know vehicles or risk; it does not choose what a leg asks for.
package split

import (
	"context"
	"errors"
	"fmt"
	"math"
)

// How Cut works. With cost C(s,t) of a leg from sample s to sample t and best
// total F(t) of everything before t, the textbook programme is
// F(t) = min over s of F(s) + C(s,t) + penalty: quadratic in the samples. C is a
// weighted sum of squares about a mean, perhaps with the square of the length, and
// therefore superadditive: for s < e < t, C(s,t) >= C(s,e) + C(e,t). Two consequences make it fast and leave
// it exact:
//
//   - For a block of starts ending in e, H = min over its s of F(s) + C(s,e) is a
//     number known once; H + C(e,t) bounds the whole block from below for every
//     later t. A binary tree of blocks with such bounds lets one evaluation
//     dismiss thousands of starts. The bound is tight exactly when s, e and t lie
//     in one leg, the case where other pruning rules fail (few long legs).
//   - When F(s) + C(s,t) > F(t), a cut at t beats a leg from s for every end that
//     is at least the minimum length beyond t, so s is out of the race for good
//     (Killick, Fearnhead and Eckley, "Optimal detection of changepoints with a
//     linear computational cost", JASA 107, 2012). It is applied to blocks; it
//     bites where legs are many and short.
//
// A block is dismissed only if its bound exceeds the best by more than a rounding
// allowance, so the chosen cuts are those of the full programme, bit for bit.

// Channel is one measured quantity along the route, one value a sample.
type Channel struct {
	Name   string
	Weight float64   // importance of one squared unit, >= 0
	V      []float64 // one a sample; NaN = unknown, which counts neither for nor against a cut
}

// Problem is a series to be cut.
type Problem struct {
	// X are the positions of the samples in metres, strictly rising.
	X []float64
	// Channels each hold len(X) values. A sample stands for the stretch to the next one and weighs its
	// length, so the cost of a leg is in metres times squared units; the last sample weighs nothing.
	Channels []Channel
	// Penalty is the price of a cut in the same unit, >= 0.
	Penalty float64
	// PenaltyAt, when not nil, replaces Penalty by a price for each sample (a junction is a cheaper
	// place to cut than the middle of a bend); infinite where there must be no cut.
	PenaltyAt []float64
	// LongM, when above 0, makes long legs dear: a leg costs twice the Penalty times the square of its
	// length over LongM, so that one without any change is cut in two from LongM on.
	LongM float64
	// MinM is the least length of a leg, unless two forced cuts lie closer together.
	MinM float64
	// Forced are samples at which there must be a cut, in any order.
	Forced []int
	// Whole are pairs of samples between which no cut may lie; their ends are forced cuts.
	Whole [][2]int
}

// Cut gives the samples at which the optimal legs begin and end: first sample, cuts, last sample,
// rising, and the total cost with its penalties (forced cuts cost nothing). Of equally good answers
// it gives the one whose last legs are longest. Fewer than two samples give no legs and no error.
func Cut(ctx context.Context, p Problem) (cuts []int, cost float64, err error) {
	if err := p.check(); err != nil {
		return nil, 0, err
	}
	n := len(p.X)
	if n < 2 {
		return nil, 0, nil
	}
	sum := newSums(&p)
	bounds, whole := p.intervals()
	cuts = append(cuts, 0)
	var w programme
	for k := 0; k+1 < len(bounds); k++ {
		lo, hi := bounds[k], bounds[k+1]
		if whole[k] || p.X[hi]-p.X[lo] < 2*p.MinM {
			cost += sum.cost(lo, hi)
			cuts = append(cuts, hi)
			continue
		}
		inner, c, err := w.solve(ctx, &p, sum, lo, hi)
		if err != nil {
			return nil, 0, err
		}
		cost += c
		cuts = append(append(cuts, inner...), hi)
	}
	return cuts, cost, nil
}

func (p *Problem) check() error {
	n := len(p.X)
	for i := 1; i < n; i++ {
		if !(p.X[i] > p.X[i-1]) {
			return fmt.Errorf("positions must rise: sample %d lies at %g m after %g m", i, p.X[i], p.X[i-1])
		}
	}
	for _, c := range p.Channels {
		if len(c.V) != n {
			return fmt.Errorf("channel %q has %d values for %d samples", c.Name, len(c.V), n)
		}
		if !(c.Weight >= 0) || math.IsInf(c.Weight, 0) {
			return fmt.Errorf("channel %q has weight %g", c.Name, c.Weight)
		}
		for i, v := range c.V {
			if math.IsInf(v, 0) {
				return fmt.Errorf("channel %q is infinite at sample %d", c.Name, i)
			}
		}
	}
	if p.PenaltyAt != nil && len(p.PenaltyAt) != n {
		return fmt.Errorf("%d penalties for %d samples", len(p.PenaltyAt), n)
	}
	for i := range p.PenaltyAt {
		if !(p.PenaltyAt[i] >= 0) {
			return fmt.Errorf("penalty %g at sample %d", p.PenaltyAt[i], i)
		}
	}
	if !(p.Penalty >= 0) || !(p.MinM >= 0) || !(p.LongM >= 0) {
		return errors.New("penalty and lengths must not be negative")
	}
	for _, f := range p.Forced {
		if f < 0 || f >= n {
			return fmt.Errorf("forced cut at sample %d of %d", f, n)
		}
	}
	for _, w := range p.Whole {
		if w[0] < 0 || w[1] >= n || w[0] >= w[1] {
			return fmt.Errorf("uncut stretch from sample %d to %d of %d", w[0], w[1], n)
		}
	}
	return nil
}

// intervals gives the rising forced bounds, ends included, and for each gap whether it is kept whole.
func (p *Problem) intervals() (bounds []int, whole []bool) {
	n := len(p.X)
	must := make([]bool, n)
	shut := make([]bool, n) // no cut strictly inside an uncut stretch
	must[0], must[n-1] = true, true
	for _, f := range p.Forced {
		must[f] = true
	}
	for _, w := range p.Whole {
		must[w[0]], must[w[1]] = true, true
	}
	for _, w := range p.Whole {
		for i := w[0] + 1; i < w[1]; i++ {
			must[i], shut[i] = false, true
		}
	}
	for i := 0; i < n; i++ {
		if !must[i] {
			continue
		}
		if len(bounds) > 0 {
			last := bounds[len(bounds)-1]
			whole = append(whole, i-last > 1 && shut[last+1])
		}
		bounds = append(bounds, i)
	}
	return bounds, whole
}

func (p *Problem) price(i int) float64 {
	if p.PenaltyAt != nil {
		return p.PenaltyAt[i]
	}
	return p.Penalty
}
