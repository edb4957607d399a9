package split

import "math"

// sums are running totals from which the cost of any leg follows in a few operations. Channels are
// centred (so that the difference of squares loses no digits) and scaled by the root of their weight.
type sums struct {
	full int // channels without unknown values share the length as their weight
	part int
	long float64   // price of the square of a length
	x    []float64 // position
	q    []float64 // running sum of squares over all channels
	s    []float64 // running sums, full channels of a sample side by side
	sw   []float64 // running sum and known length of each partly unknown channel, side by side
}

func newSums(p *Problem) *sums {
	n := len(p.X)
	m := &sums{x: p.X, q: make([]float64, n)}
	if p.LongM > 0 {
		m.long = 2 * p.Penalty / (p.LongM * p.LongM)
	}
	var full, part [][]float64
	for _, c := range p.Channels {
		v, known, varies := spans(p.X, c)
		switch {
		case !varies:
		case known:
			full = append(full, v)
		default:
			part = append(part, v)
		}
	}
	m.full, m.part = len(full), len(part)
	m.s = make([]float64, n*m.full)
	m.sw = make([]float64, n*m.part*2)
	for i := 1; i < n; i++ {
		w := p.X[i] - p.X[i-1]
		q := m.q[i-1]
		for k, v := range full {
			m.s[i*m.full+k] = m.s[(i-1)*m.full+k] + w*v[i-1]
			q += w * v[i-1] * v[i-1]
		}
		for k, v := range part {
			j := (i*m.part + k) * 2
			b := j - m.part*2
			m.sw[j], m.sw[j+1] = m.sw[b], m.sw[b+1]
			if !math.IsNaN(v[i-1]) {
				m.sw[j] += w * v[i-1]
				m.sw[j+1] += w
				q += w * v[i-1] * v[i-1]
			}
		}
		m.q[i] = q
	}
	return m
}

// spans gives the scaled, centred value from each sample to the next.
func spans(x []float64, c Channel) (v []float64, known, varies bool) {
	n := len(x)
	v = make([]float64, n-1)
	known = true
	sum, length := 0.0, 0.0
	for i := range v {
		v[i] = c.V[i]
		if math.IsNaN(v[i]) {
			known = false
			continue
		}
		sum += v[i] * (x[i+1] - x[i])
		length += x[i+1] - x[i]
	}
	if length == 0 || c.Weight == 0 {
		return v, known, false
	}
	mean, root := sum/length, math.Sqrt(c.Weight)
	first := math.NaN()
	for i := range v {
		if math.IsNaN(v[i]) {
			continue
		}
		if math.IsNaN(first) {
			first = v[i]
		}
		varies = varies || v[i] != first
		v[i] = (v[i] - mean) * root
	}
	return v, known, varies
}

// cost is the scatter of the samples from s to t about their mean, and the price of the length; 0 <= s <= t.
// It is >= 0 up to rounding.
func (m *sums) cost(s, t int) float64 {
	if s == t {
		return 0
	}
	length := m.x[t] - m.x[s]
	c := m.q[t] - m.q[s] + m.long*length*length
	if m.full > 0 {
		a, b := m.s[s*m.full:s*m.full+m.full], m.s[t*m.full:t*m.full+m.full]
		sq := 0.0
		for k, v := range b {
			d := v - a[k]
			sq += d * d
		}
		c -= sq / length
	}
	if m.part > 0 {
		a, b := m.sw[s*m.part*2:(s+1)*m.part*2], m.sw[t*m.part*2:(t+1)*m.part*2]
		for k := 0; k+1 < len(b); k += 2 {
			if w := b[k+1] - a[k+1]; w > 0 {
				d := b[k] - a[k]
				c -= d * d / w
			}
		}
	}
	return c
}
