package choose

import (
	"context"
	"math"
	"sort"
)

// Frontier finds sets that no other set beats in both mass and loss, from nothing to the limit, heaviest
// budget last. steps budgets are tried, evenly spaced; each is searched as [Best] does with nodes.
func Frontier(ctx context.Context, p *Problem, limit Limit, steps, nodes int) []Choice {
	all := 0.0
	for _, c := range p.Candidates {
		all += c.Kg
	}
	top := math.Min(limit.Kg, all)
	var out []Choice
	for i := 0; i <= steps; i++ {
		if ctx.Err() != nil {
			break
		}
		l := Limit{top * float64(i) / float64(steps), limit.Litres}
		c := Best(ctx, p, l, nodes)
		if len(out) == 0 || c.Loss < out[len(out)-1].Loss-gainLeast {
			out = append(out, c)
		}
	}
	return out
}

// Spare is a kind of part for [Marginal].
type Spare struct {
	Key    string
	Mean   float64 // expected need
	Weight float64 // what one unmet need costs
	Kg     float64
}

// Step is one part added by [Marginal].
type Step struct {
	Key         string
	Gain, PerKg float64
	Left, Kg    float64 // loss and mass after it
}

// Marginal adds parts one by one, each time the one with the most gain per kilogram: the order of spares
// by marginal analysis. shortage gives the expected number of unmet needs for a mean need and a stock.
// n is the number of parts to add. It is optimal only for separable convex losses.
func Marginal(spares []Spare, n int, shortage func(mean float64, stock int) float64) []Step {
	have := make([]int, len(spares))
	left, kg := 0.0, 0.0
	for _, s := range spares {
		left += s.Weight * shortage(s.Mean, 0)
	}
	var out []Step
	for range n {
		best, gain := -1, 0.0
		for i, s := range spares {
			g := s.Weight * (shortage(s.Mean, have[i]) - shortage(s.Mean, have[i]+1))
			if best < 0 || g/s.Kg > gain/spares[best].Kg {
				best, gain = i, g
			}
		}
		if best < 0 {
			break
		}
		have[best]++
		left -= gain
		kg += spares[best].Kg
		out = append(out, Step{spares[best].Key, gain, gain / spares[best].Kg, left, kg})
	}
	return out
}

// Ranked is a group of candidates with its gain alone.
type Ranked struct {
	Set   uint64
	Kg    float64
	Gain  float64 // loss taken away when just this is added
	PerKg float64
}

// Rank lists groups by gain per kilogram, ties by gain, then by set; groups without gain come last with
// zero. A group lighter than ten grams counts as ten grams in the rate, or trifles would lead every list.
func Rank(p *Problem, groups []uint64) []Ranked {
	zero := p.Loss(0)
	out := make([]Ranked, 0, len(groups))
	for _, g := range groups {
		r := Ranked{Set: g, Kg: p.Kg(g), Gain: zero - p.Loss(g)}
		if r.Gain < gainLeast {
			r.Gain = 0
		}
		r.PerKg = r.Gain / math.Max(r.Kg, 0.01)
		out = append(out, r)
	}
	sort.SliceStable(out, func(a, b int) bool {
		x, y := &out[a], &out[b]
		switch {
		case x.PerKg != y.PerKg:
			return x.PerKg > y.PerKg
		case x.Gain != y.Gain:
			return x.Gain > y.Gain
		}
		return x.Set < y.Set
	})
	return out
}

// FractionalBound is the upper bound of a knapsack with additive gains: items by gain per kilogram, the
// last one in part. With complements it is only a guide.
func FractionalBound(gain, kg []float64, limit float64) float64 {
	i := make([]int, len(gain))
	for k := range i {
		i[k] = k
	}
	sort.SliceStable(i, func(a, b int) bool { return gain[i[a]]*kg[i[b]] > gain[i[b]]*kg[i[a]] })
	sum := 0.0
	for _, k := range i {
		if kg[k] <= limit {
			sum += gain[k]
			limit -= kg[k]
			continue
		}
		return sum + gain[k]*limit/kg[k]
	}
	return sum
}
