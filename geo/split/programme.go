package split

import (
	"context"
	"math"
)

const leafBits = 3 // starts in a block of the lowest level: 8

// programme solves one interval between forced cuts. Its slices are reused from one to the next.
type programme struct {
	f     []float64 // best total of lo..lo+i, price of the cut at its end included
	from  []int32   // start of the last leg of that total
	level [][]block // level 0 holds blocks of 8 starts, each next level twice as many
}

// block is a run of starts. h + cost(end, t) bounds every f(s) + cost(s, t) from below.
type block struct {
	h    float64
	dead int32 // from this end on, plus the least length, no start of the block can win; -1 = none yet
}

func (w *programme) solve(ctx context.Context, p *Problem, m *sums, lo, hi int) (inner []int, cost float64, err error) {
	n := hi - lo + 1
	w.reset(n)
	eps := 1e-9 * (1 + math.Abs(m.q[hi]-m.q[lo]) + p.Penalty + m.long*(p.X[hi]-p.X[lo])*(p.X[hi]-p.X[lo]))
	r := search{p: p, m: m, w: w, lo: lo, eps: eps}
	reach := -1 // starts 0..reach can begin a leg that ends at t
	settled := 0
	prev := 0
	for t := 1; t < n; t++ {
		if t&4095 == 0 {
			if err := ctx.Err(); err != nil {
				return nil, 0, err
			}
		}
		for reach+1 < t && p.X[lo+t]-p.X[lo+reach+1] >= p.MinM {
			reach++
		}
		if reach < 0 {
			continue
		}
		for ; settled <= reach; settled++ { // blocks whose starts are all in reach get their bound
			r.settle(settled)
		}
		price := p.price(lo + t)
		if t == n-1 {
			price = 0
		}
		if math.IsInf(price, 1) {
			continue // no place to cut
		}
		r.t, r.reach = t, reach
		r.best, r.at = math.Inf(1), -1
		r.try(prev)
		r.descend(len(w.level)-1, 0)
		if r.at < 0 {
			continue
		}
		w.f[t], w.from[t] = r.best+price, int32(r.at)
		prev = r.at
	}
	for t := int(w.from[n-1]); t > 0; t = int(w.from[t]) {
		inner = append(inner, lo+t)
	}
	for i, j := 0, len(inner)-1; i < j; i, j = i+1, j-1 {
		inner[i], inner[j] = inner[j], inner[i]
	}
	return inner, w.f[n-1], nil
}

func (w *programme) reset(n int) {
	if cap(w.f) < n {
		w.f, w.from = make([]float64, n), make([]int32, n)
	}
	w.f, w.from = w.f[:n], w.from[:n]
	for i := range w.f {
		w.f[i], w.from[i] = math.Inf(1), -1
	}
	w.f[0] = 0
	w.level = w.level[:0]
	for size := (n >> leafBits) + 1; ; size = (size + 1) / 2 {
		b := make([]block, size)
		for i := range b {
			b[i] = block{h: math.Inf(1), dead: -1}
		}
		w.level = append(w.level, b)
		if size == 1 {
			return
		}
	}
}

// search looks for the best start of a leg that ends at t.
type search struct {
	p        *Problem
	m        *sums
	w        *programme
	lo       int
	eps      float64
	t, reach int
	best     float64
	at       int
}

func (r *search) try(s int) {
	if f := r.w.f[s]; f < math.Inf(1) {
		v := f + r.m.cost(r.lo+s, r.lo+r.t)
		if v < r.best || v == r.best && s < r.at {
			r.best, r.at = v, s
		}
	}
}

// settle gives every block that ends with start s its bound.
func (r *search) settle(s int) {
	if (s+1)&(1<<leafBits-1) != 0 {
		return
	}
	b := &r.w.level[0][s>>leafBits]
	for i := s - 1<<leafBits + 1; i <= s; i++ {
		if f := r.w.f[i]; f < math.Inf(1) {
			b.h = math.Min(b.h, f+r.m.cost(r.lo+i, r.lo+s))
		}
	}
	for l := 1; l < len(r.w.level); l++ {
		size := 1 << (leafBits + l)
		if (s+1)&(size-1) != 0 {
			return
		}
		left, right := &r.w.level[l-1][(s>>(leafBits+l))*2], &r.w.level[l-1][(s>>(leafBits+l))*2+1]
		n := &r.w.level[l][s>>(leafBits+l)]
		n.h = right.h
		if left.h < math.Inf(1) {
			n.h = math.Min(n.h, left.h+r.m.cost(r.lo+s-size/2, r.lo+s))
		}
		if left.dead >= 0 && right.dead >= 0 {
			n.dead = max(left.dead, right.dead)
		}
	}
}

// descend visits block i of level l, latest starts first: they win most often.
func (r *search) descend(l, i int) {
	first := i << (leafBits + l)
	last := first + 1<<(leafBits+l) - 1
	if first > r.reach || i >= len(r.w.level[l]) {
		return
	}
	if last <= r.reach { // settled
		b := &r.w.level[l][i]
		if math.IsInf(b.h, 1) {
			return
		}
		if b.dead >= 0 && r.p.X[r.lo+r.t]-r.p.X[r.lo+int(b.dead)] >= r.p.MinM {
			return
		}
		v := b.h + r.m.cost(r.lo+last, r.lo+r.t)
		if v > r.best+r.eps {
			if b.dead < 0 && v > r.best+r.price()+r.eps {
				b.dead = int32(r.t)
			}
			return
		}
	}
	if l == 0 {
		for s := min(last, r.reach); s >= first; s-- {
			r.try(s)
		}
		return
	}
	r.descend(l-1, 2*i+1)
	r.descend(l-1, 2*i)
}

func (r *search) price() float64 { return r.p.price(r.lo + r.t) }
