package match

import (
	"context"
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
// 41, 1923). Turns back on itself that a point's scatter put into the path are taken out of it first, and the smoothing
// stops where the path is longer or shorter than what was driven (breaks.go). Lines with a point at every bend have
// steps far more uneven than their scatter and stay as they are.

const (
	// stiffMost bounds the stiffness, the variance of the scatter over that of the second differences, since even
	// recorders are not exact. At 8 m of scatter the bound is steps even to some millimetres: what the line itself says decides
	// (1000 to 10 000 000 tried; 1000 costs a tenth of a per cent of the length on lines with quite even steps).
	stiffMost = 1e7
	stiffStep = 10.0 // of the stiffnesses tried, each over the one before
	// farMove: a position that moves by more than so many scatters is an outlier and counts farWeight. Judgement.
	farMove   = 2.5
	farWeight = 0.1
	// evenShare is how much of the scatter's variance across the ways the second differences owe to it: six times
	// by calculation (1 + 4 + 1), and more since the nearest way hides part of the scatter (tried from 6 to 10).
	evenShare = 8
	// evenMost: a second difference this many standard deviations large is a pause or a gap; the line is not
	// smoothed over it. Judgement.
	evenMost = 3.5
	// shiftMost bounds how far a position is moved, in scatters (2 to 5 tried). Judgement.
	shiftMost = 5.0
	// nearGivenM: a point this near to a given one scatters as it does, metres: a tenth of usual steps.
	nearGivenM = 5.0
	// layAgain is how often points are laid on the path anew, within layReach scatters of where they lay. Judgement.
	layAgain = 2
	layReach = 3
	// spurMost bounds the turns back that are taken for scatter, in scatters. Judgement.
	spurMost = 3.0
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
func (m *matcher) settle(ctx context.Context, chosen []int32) ([]candidate, error) {
	out := make([]candidate, len(chosen))
	for i, k := range chosen {
		if k >= 0 {
			out[i] = m.cand[k]
		}
	}
	if len(m.opt.Line) < settleLeast || m.scatter <= minScatter {
		return out, nil
	}
	given := geo.Cumulative(nil, m.opt.Line)
	var path []stop
	var at []float64 // of each point from `from` on, along the path
	from := 0
	end := func(to int) (err error) {
		if len(at) > 1 {
			// Nothing is left of a path that only went there and back within the scatter: its places stay.
			if path = unspur(path, at, spurMost*m.scatter); len(path) > 0 {
				err = m.even(ctx, path, at, from, given, out)
			}
		}
		path, at, from = path[:0], at[:0], to
		return err
	}
	for i, k := range chosen {
		if k < 0 {
			if err := end(i + 1); err != nil {
				return nil, err
			}
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
			if err := end(i); err != nil {
				return nil, err
			}
			path, at = append(path, stop{c.edge, c.q, c.q, 0}), append(at, 0)
			continue
		}
		last := &path[len(path)-1]
		at = append(at, last.s+math.Abs(last.q1-last.q0))
	}
	return out, end(len(chosen))
}

// extend continues a path from one place to the next by the shortest way; ok is false where that is much longer
// than the step, as where the line jumps.
func (m *matcher) extend(path []stop, a, b *candidate, step float64) ([]stop, bool) {
	last := path[len(path)-1]
	s := last.s + math.Abs(last.q1-last.q0)
	limit := 2*step + 8*m.scatter + 2*gapDetour*gapMostM + 2*m.wrong
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
	if d != m.over(e.u, b.q, e.wrongOn) {
		v, q = e.v, e.length
	}
	base := len(path)
	path = append(path, stop{edge: b.edge, q0: q, q1: b.q})
	for m.via[v] >= 0 {
		k := m.via[v] / 2
		w := &m.g.edges[k]
		if m.via[v]&1 == 0 {
			path = append(path, stop{edge: k, q0: 0, q1: w.length})
			v = w.u
		} else {
			path = append(path, stop{edge: k, q0: w.length, q1: 0})
			v = w.v
		}
		if len(path)-base > len(m.g.edges) {
			return path[:base], false
		}
	}
	f := &m.g.edges[a.edge]
	q = 0
	if v == f.v && (v != f.u || m.dist[v] == f.length-a.q+m.wrong*f.wrongOn) {
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

// length of a piece of the path, metres.
func (p *stop) length() float64 { return math.Abs(p.q1 - p.q0) }

// unspur takes out of a path where it turns back on itself over at most the given metres, as it does where a point
// scatters into a side street or behind the one before, and moves the positions along the path with it.
func unspur(path []stop, at []float64, most float64) []stop {
	out := make([]stop, 0, len(path))
	total := 0.0 // length of out
	k := 0       // the first position that is not moved yet
	for i := 0; i < len(path); {
		if back := retraced(out, path[i:], most); back > 0 {
			out, i = shorten(out, back), skip(path, i, back)
			total -= back
			for j := k - 1; j >= 0 && at[j] > total; j-- {
				at[j] = total
			}
			for i < len(path) && k < len(at) && at[k] < path[i].s {
				at[k] = total
				k++
			}
			continue
		}
		p := path[i]
		end := p.s + p.length()
		for k < len(at) && at[k] <= end {
			at[k] += total - p.s
			k++
		}
		if p.s = total; p.length() > 0 || len(out) == 0 {
			out = append(out, p)
		}
		total += p.length()
		i++
	}
	for ; k < len(at); k++ {
		at[k] = total
	}
	return out
}

// joined: places nearer together than this on an edge are the same, metres.
const joined = 1e-6

// retraced is over how many metres the rest of a path goes back the way it came; 0 when not, or over more than most.
func retraced(out, rest []stop, most float64) float64 {
	back, used := 0.0, [2]float64{} // metres used of the piece at hand on both sides
	for a, b := len(out)-1, 0; a >= 0 && b < len(rest); {
		p, q := &out[a], &rest[b]
		if p.edge != q.edge || (p.q1 > p.q0) == (q.q1 > q.q0) {
			break
		}
		m := min(p.length()-used[0], q.length()-used[1])
		if back += m; back > most {
			return 0
		}
		used[0] += m
		used[1] += m
		if p.length()-used[0] <= joined {
			a, used[0] = a-1, 0
		}
		if q.length()-used[1] <= joined {
			b, used[1] = b+1, 0
		}
	}
	return back
}

// shorten takes metres off the end of a path.
func shorten(path []stop, m float64) []stop {
	for n := len(path) - 1; n >= 0; n-- {
		p := &path[n]
		if p.length() > m+joined {
			p.q1 -= math.Copysign(m, p.q1-p.q0)
			return path[:n+1]
		}
		m -= p.length()
	}
	return path[:0]
}

// skip takes metres off the beginning of the rest of a path from piece i on and gives the piece with which it begins now.
func skip(path []stop, i int, m float64) int {
	for ; i < len(path); i++ {
		p := &path[i]
		if p.length() > m+joined {
			p.q0 += math.Copysign(m, p.q1-p.q0)
			p.s += m
			return i
		}
		m -= p.length()
	}
	return i
}

// even draws the positions of the given points along a path towards even steps and spreads the points in between
// evenly between them, since the line cuts corners there. at are the positions of the points from number from on, given
// the distances of the given points along the line.
func (m *matcher) even(ctx context.Context, path []stop, at []float64, from int, given []float64, out []candidate) error {
	first, last := m.points[from].AlongM, m.points[from+len(at)-1].AlongM
	g0 := sort.SearchFloat64s(given, first-1e-6)
	given = given[g0:]
	given = given[:sort.SearchFloat64s(given, last+1e-6)]
	n := len(given)
	if n < settleLeast {
		return nil
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
	use, err := m.usable(ctx, path, pos)
	if use == nil || err != nil {
		return err
	}
	shift := m.drawn(path, pos, m.opt.Line[g0:g0+n], use)
	most := shiftMost * m.scatter
	k = 0
	for i := range at {
		along := m.points[from+i].AlongM
		for k+2 < n && given[k+1] < along {
			k++
		}
		a, b := pos[k]+shift[k], pos[k+1]+shift[k+1]
		to := a + partOf(given, k, along)*(b-a)
		if !(math.Abs(to-at[i]) <= most) {
			continue
		}
		m.place(path, to, m.points[from+i].At, &out[from+i])
	}
	return nil
}

// usable tells of each second difference of positions along a path whether the smoothing may go over it; nil where the
// steps are uneven by themselves. Breaks count where the line is told better with them than without.
func (m *matcher) usable(ctx context.Context, path []stop, pos []float64) ([]bool, error) {
	variance, even := m.uneven(pos)
	if !even {
		return nil, nil
	}
	free := evenMost * math.Sqrt(variance+evenShare*m.scatter*m.scatter)
	turned := turnedAt(path, pos)
	broken, err := m.breaks(ctx, pos)
	if err != nil {
		return nil, err
	}
	whole, cut := make([]bool, len(pos)-2), make([]bool, len(pos)-2)
	for j, size := range seconds(pos) {
		whole[j] = size <= free && !turned[j+1] && !turned[j+2]
		cut[j] = whole[j] && !broken[j+1] && !broken[j+2]
	}
	_, a := m.evened(pos, whole)
	if _, b := m.evened(pos, cut); b < a {
		return cut, nil
	}
	return whole, nil
}

// turnedAt tells of each position along a path whether the path turns back on itself between the one before and it. How
// far beyond these two the turn lay nobody recorded, so the step over it is shorter than the others.
func turnedAt(path []stop, pos []float64) []bool {
	turned := make([]bool, len(pos))
	for i := 1; i < len(path); i++ {
		p, q := &path[i-1], &path[i]
		if p.edge != q.edge || (p.q1 > p.q0) == (q.q1 > q.q0) || p.length() == 0 || q.length() == 0 {
			continue
		}
		if k := sort.SearchFloat64s(pos, q.s); k < len(pos) {
			turned[k] = true
		}
	}
	return turned
}

// drawn gives the moves of the given points along a path towards even steps. The first are those of the places that
// they were found at, on edges one by one; then each point is laid on the path anew, near where it came to lie.
func (m *matcher) drawn(path []stop, pos []float64, where []orb.Point, use []bool) []float64 {
	shift, _ := m.evened(pos, use)
	again := make([]float64, len(pos))
	for range layAgain {
		for j := range again {
			again[j] = m.nearOn(path, pos[j]+shift[j], layReach*m.scatter, where[j])
		}
		moves, _ := m.evened(again, use)
		for j, move := range moves {
			shift[j] = again[j] + move - pos[j]
		}
	}
	return shift
}

// evened gives the moves at the stiffness that generalised cross-validation finds best, and its score there, the less
// the better (Craven and Wahba, "Smoothing noisy data with spline functions", Numerische Mathematik 31, 1979); single
// second differences tell the unevenness of the steps too poorly for that. Positions far from the others count little in
// the end.
func (m *matcher) evened(pos []float64, use []bool) (moves []float64, score float64) {
	n := float64(len(pos))
	weight := make([]float64, len(pos))
	for i := range weight {
		weight[i] = 1
	}
	free := 0.0 // each second difference left out lets the positions bend once more
	for _, u := range use {
		if !u {
			free++
		}
	}
	far := farMove * m.scatter
	score, at := math.Inf(1), 0.0
	for lambda := 1.0; lambda <= stiffMost; lambda *= stiffStep {
		rss := 0.0
		for _, m := range smooth(pos, weight, lambda, use) {
			rss += min(m*m, far*far)
		}
		// The trace of the smoother: the mean of 1/(1+lambda w^4) over all frequencies w.
		left := max(0.1, 1-math.Pow(lambda, -0.25)/(2*math.Sqrt2)-free/n)
		if v := rss / n / (left * left); v < score {
			score, at = v, lambda
		}
	}
	moves = smooth(pos, weight, at, use)
	for i, m := range moves {
		if math.Abs(m) > far {
			weight[i] = farWeight
		}
	}
	return smooth(pos, weight, at, use), score
}

// nearOn is the position along a path, within reach metres of one, at which it comes nearest to a point.
func (m *matcher) nearOn(path []stop, s, reach float64, p orb.Point) float64 {
	k := max(0, sort.Search(len(path), func(i int) bool { return path[i].s > s-reach })-1)
	best, at := math.Inf(1), s
	mer, nor := geo.Radii(p[1])
	my, mx := mer*math.Pi/180, nor*math.Pi/180*math.Cos(p[1]*math.Pi/180)
	for ; k < len(path) && path[k].s <= s+reach; k++ {
		c := &path[k]
		e := &m.g.edges[c.edge]
		cum, line := m.g.cum[e.way], m.g.ways[e.way].Line
		lo, hi := e.start+min(c.q0, c.q1), e.start+max(c.q0, c.q1)
		i := int(e.from) + max(0, sort.SearchFloat64s(cum[e.from+1:e.to+1], lo))
		for ; i < int(e.to) && cum[i] <= hi; i++ {
			a, b := line[i], line[i+1]
			ax, ay := geo.LonDiff(p[0], a[0])*mx, (a[1]-p[1])*my
			dx, dy := geo.LonDiff(a[0], b[0])*mx, (b[1]-a[1])*my
			t := 0.0
			if l2 := dx*dx + dy*dy; l2 > 0 {
				t = -(ax*dx + ay*dy) / l2
			}
			q := min(hi, max(lo, cum[i]+min(1, max(0, t))*(cum[i+1]-cum[i])))
			along := c.s + math.Abs(q-e.start-c.q0)
			along = min(s+reach, max(s-reach, along))
			q = e.start + c.q0 + math.Copysign(along-c.s, c.q1-c.q0)
			t = 0
			if l := cum[i+1] - cum[i]; l > 0 {
				t = (q - cum[i]) / l
			}
			x, y := ax+t*dx, ay+t*dy
			if d := x*x + y*y; d < best {
				best, at = d, along
			}
		}
	}
	return at
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

// smooth gives the moves that make second differences small: they minimise the weighted sum of squares of the moves
// plus lambda times that of the second differences to use. The equations have five diagonals and are
// solved by Cholesky's method without square roots.
func smooth(y, weight []float64, lambda float64, use []bool) []float64 {
	n := len(y)
	d, e, f := make([]float64, n), make([]float64, n), make([]float64, n) // diagonals
	r := make([]float64, n)
	for i := range d {
		d[i] = weight[i]
	}
	for j := 0; j+2 < n; j++ {
		if !use[j] {
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
