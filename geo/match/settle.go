package match

import (
	"math"
	"sort"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// Where along its way a noisy point belongs. The scatter of a recorded line lies along the ways as much as across
// them: at 8 m of it, a way that changes every 200 m is changed too early or too late over some two per cent of the
// length, however well the ways themselves are found. What tells the one scatter from the other is that lines are
// recorded at even steps, or at steps that change slowly: positions along the path that is found are drawn towards
// even steps as far as the measured unevenness is explained by the measured scatter (a smoothing by second
// differences after Whittaker, "On a new method of graduation", Proceedings of the Edinburgh Mathematical Society
// 41, 1923). Lines with a point at every bend have steps far more uneven than their scatter and stay as they are.

const (
	// evenLeast is the least unevenness of steps as a share of the scatter: even recorders are not exact
	// (tried from 0.06 to 0.5).
	evenLeast = 0.12
	// evenShare is how much of the scatter's variance across the ways the second differences owe to it: six times
	// by calculation (1 + 4 + 1), and more since the nearest way hides part of the scatter (tried from 6 to 10).
	evenShare = 8
	// evenMost: a second difference this many standard deviations large is a pause or a gap; the line is not
	// smoothed over it. Judgement.
	evenMost = 3.5
	// shiftMost bounds how far a position is moved, in scatters. Judgement.
	shiftMost = 2.5
	// nearGivenM: a point this near to a given one scatters as it does, metres: a tenth of usual steps.
	nearGivenM = 5.0
	// settleLeast is how many given points a stretch must have.
	settleLeast = 6
)

// stop is a piece of the path found: an edge driven from q0 to q1, which begins s metres after the path does.
type stop struct {
	edge      int32
	q0, q1, s float64
}

// settle moves the candidates chosen (indices into m.cand, offState = none) along the path that they make up, and
// gives the new places; their costs are those of the old ones.
func (m *matcher) settle(chosen []int32) []candidate {
	out := make([]candidate, len(chosen))
	for i, k := range chosen {
		if k >= 0 {
			out[i] = m.cand[k]
		}
	}
	if len(m.opt.Given) < settleLeast {
		return out
	}
	// The scatter across the ways, from points beside given ones, since those in between are means of two.
	var across []float64
	for i, k := range chosen {
		if k >= 0 && m.points[i].GapM < nearGivenM {
			across = append(across, float64(m.cand[k].off))
		}
	}
	if len(across) < settleLeast {
		return out
	}
	sort.Float64s(across)
	scatter := min(2*maxScatter, across[len(across)/2]/0.6745)
	if scatter <= minScatter {
		return out
	}
	var path []stop
	var at []float64 // of each point from `from` on, along the path
	from := 0
	end := func(to int) {
		if len(at) > 1 {
			m.even(path, at, from, scatter, out)
		}
		path, at, from = path[:0], at[:0], to
	}
	for i, k := range chosen {
		if k < 0 {
			end(i + 1)
			continue
		}
		c := &m.cand[k]
		if len(at) == 0 {
			from = i
			path, at = append(path, stop{c.edge, c.q, c.q, 0}), append(at, 0)
			continue
		}
		var ok bool
		if path, ok = m.extend(path, &m.cand[chosen[i-1]], c, m.points[i].AlongM-m.points[i-1].AlongM); !ok {
			end(i)
			path, at = append(path, stop{c.edge, c.q, c.q, 0}), append(at, 0)
			continue
		}
		last := &path[len(path)-1]
		at = append(at, last.s+math.Abs(last.q1-last.q0))
	}
	end(len(chosen))
	return out
}

// extend continues a path from one place to the next by the shortest way; ok is false where that is much longer
// than the step, as where the line jumps.
func (m *matcher) extend(path []stop, a, b *candidate, step float64) ([]stop, bool) {
	last := path[len(path)-1]
	s := last.s + math.Abs(last.q1-last.q0)
	limit := 2*step + 8*m.scatter + 2*gapDetour*gapMostM
	next := [1]candidate{*b}
	m.from(a, next[:], limit)
	d := m.reach(a, b)
	if d > limit {
		return path, false
	}
	if a.edge == b.edge && d == math.Abs(a.q-b.q) {
		return append(path, stop{a.edge, a.q, b.q, s}), true
	}
	// Back from b over the edges by which its end was reached.
	e := &m.g.edges[b.edge]
	v, q := e.u, 0.0
	if d != m.distTo(e.u)+b.q {
		v, q = e.v, e.length
	}
	base := len(path)
	path = append(path, stop{edge: b.edge, q0: q, q1: b.q})
	for m.via[v] >= 0 {
		w := &m.g.edges[m.via[v]]
		if v == w.v && m.distTo(w.u)+w.length == m.distTo(v) {
			path = append(path, stop{edge: m.via[v], q0: 0, q1: w.length})
			v = w.u
		} else {
			path = append(path, stop{edge: m.via[v], q0: w.length, q1: 0})
			v = w.v
		}
		if len(path)-base > len(m.g.edges) {
			return path[:base], false
		}
	}
	f := &m.g.edges[a.edge]
	q = 0
	if v == f.v && (v != f.u || m.dist[v] == f.length-a.q) {
		q = f.length
	}
	path = append(path, stop{edge: a.edge, q0: a.q, q1: q})
	for i, j := base, len(path)-1; i < j; i, j = i+1, j-1 {
		path[i], path[j] = path[j], path[i]
	}
	for i := base; i < len(path); i++ {
		path[i].s = s
		s += math.Abs(path[i].q1 - path[i].q0)
	}
	return path, true
}

func (m *matcher) distTo(v int32) float64 {
	if m.stamp[v] != m.now {
		return math.Inf(1)
	}
	return m.dist[v]
}

// even draws the positions of the given points along a path towards even steps and moves the points in between
// with them. at are the positions of the points from number from on.
func (m *matcher) even(path []stop, at []float64, from int, scatter float64, out []candidate) {
	first, last := m.points[from].AlongM, m.points[from+len(at)-1].AlongM
	given := m.opt.Given
	given = given[sort.SearchFloat64s(given, first-1e-6):]
	given = given[:sort.SearchFloat64s(given, last+1e-6)]
	n := len(given)
	if n < settleLeast {
		return
	}
	// Where the given points lie along the path.
	pos := make([]float64, n)
	k := 0
	for j, g := range given {
		for k+2 < len(at) && m.points[from+k+1].AlongM < g {
			k++
		}
		a, b := m.points[from+k].AlongM, m.points[from+k+1].AlongM
		t := 0.0
		if b > a {
			t = min(1, max(0, (g-a)/(b-a)))
		}
		pos[j] = at[k] + t*(at[k+1]-at[k])
	}
	size := make([]float64, n-2)
	for j := range size {
		size[j] = math.Abs(pos[j] - 2*pos[j+1] + pos[j+2])
	}
	sorted := append([]float64(nil), size...)
	sort.Float64s(sorted)
	spread := sorted[len(sorted)/2] / 0.6745
	noise := scatter * scatter
	q := max(spread*spread-evenShare*noise, evenLeast*evenLeast*noise)
	if q > evenShare*noise {
		return // the steps are uneven by themselves
	}
	lambda := noise / q
	free := evenMost * math.Sqrt(q+evenShare*noise)
	shift := smooth(pos, lambda, func(j int) bool { return size[j] <= free })
	most := shiftMost * scatter
	k = 0
	for i := range at {
		a := m.points[from+i].AlongM
		for k+2 < n && given[k+1] < a {
			k++
		}
		t := min(1, max(0, (a-given[k])/(given[k+1]-given[k])))
		move := shift[k] + t*(shift[k+1]-shift[k])
		if !(math.Abs(move) <= most) {
			continue
		}
		m.place(path, at[i]+move, m.points[from+i].At, &out[from+i])
	}
}

// place puts the candidate of a point of the line at a position along a path.
func (m *matcher) place(path []stop, s float64, at orb.Point, c *candidate) {
	k := sort.Search(len(path), func(i int) bool { return path[i].s > s }) - 1
	p := &path[max(0, k)]
	t := max(0, s-p.s)
	q := p.q0 + min(t, p.q1-p.q0)
	if p.q1 < p.q0 {
		q = p.q0 - min(t, p.q0-p.q1)
	}
	e := &m.g.edges[p.edge]
	cum := m.g.cum[e.way]
	seg := sort.SearchFloat64s(cum[e.from+1:e.to+1], e.start+q)
	c.edge, c.q, c.seg = p.edge, q, min(e.from+int32(seg), e.to-1)
	c.off = float32(geo.Distance(at, m.g.point(e.way, c.seg, e.start+q)))
}

// smooth gives the moves that make second differences small: they minimise the sum of squares of the moves plus
// lambda times that of the second differences for which use holds. The equations have five diagonals and are
// solved by Cholesky's method without square roots.
func smooth(y []float64, lambda float64, use func(j int) bool) []float64 {
	n := len(y)
	d, e, f := make([]float64, n), make([]float64, n), make([]float64, n) // diagonals
	r := make([]float64, n)
	for i := range d {
		d[i] = 1
	}
	for j := 0; j+2 < n; j++ {
		if !use(j) {
			continue
		}
		c := y[j] - 2*y[j+1] + y[j+2]
		d[j] += lambda
		d[j+1] += 4 * lambda
		d[j+2] += lambda
		e[j] -= 2 * lambda
		e[j+1] -= 2 * lambda
		f[j] += lambda
		r[j] -= lambda * c
		r[j+1] += 2 * lambda * c
		r[j+2] -= lambda * c
	}
	for i := 0; i < n; i++ {
		if i+1 < n {
			l := e[i] / d[i]
			d[i+1] -= l * e[i]
			if i+2 < n {
				e[i+1] -= l * f[i]
			}
			r[i+1] -= l * r[i]
		}
		if i+2 < n {
			l := f[i] / d[i]
			d[i+2] -= l * f[i]
			r[i+2] -= l * r[i]
		}
	}
	for i := n - 1; i >= 0; i-- {
		if i+1 < n {
			r[i] -= e[i] * r[i+1]
		}
		if i+2 < n {
			r[i] -= f[i] * r[i+2]
		}
		r[i] /= d[i]
	}
	return r
}
