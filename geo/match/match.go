package match

import (
	"context"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"lastroad/geo"
)

// The weights of the model, in nats (natural logarithms of probability ratios). They are judgements,
// tried over the ranges given on lines made from open map data of the Pyrenees, clean, noisy, sparse and
// partly beside the ways (tests TestMadeLines, TestOffWay): within a range the mean share of length on
// the right way moves by less than half a per cent of dense lines and two per cent of sparse ones.
const (
	reachM = 60.0 // how far from the line ways are looked for, metres: five times the greatest scatter

	tailDof = 4.0 // degrees of freedom of Student's distribution of the distance: a tail for places where map and line differ (3 to 8)

	headingSD  = 22 * math.Pi / 180 // scatter of the direction of a clean line against its way (12 to 24 degrees)
	headingMax = 2.2                // a direction speaks no louder than this (2 to 5)
	againstWay = 3.0                // to run against a one-way way (1.5 to 5)
	wrongEdge  = 4.0                // the same of each edge that a step takes on its way (2 to 9)

	offCost  = 4.5 // a point on no way costs as much as one on a way at about 4 standard deviations (3.5 to 6)
	enterWay = 7.0 // to begin or end following a way in open ground (5 to 8)
	jump     = 7.5 // to go on on a way that is not joined, as where the map has a gap (6 to 10)

	decorrelateM = 33.0 // points closer together than this share one vote: their errors are the same (15 to 40)

	// Between its given points the line is a guess: how fast it strays from the way (0.2 to 0.3), and
	// how much longer the way may be there, as shares of the distance to the nearest given point.
	// Beyond gapMostM a step is taken for a line that was drawn straight on purpose, or a tunnel.
	gapSlope  = 0.25
	gapDetour = 0.4
	gapMostM  = 120.0

	minScatter, maxScatter = 2.5, 12.0 // bounds of the measured scatter, metres
)

// Match finds the way under each point, in time proportional to the points. The result has one entry a
// point; without a way in reach of any point all lie on none. The only error is that of the context.
// progress, which may be nil, is told the share done.
func Match(ctx context.Context, g *Graph, points []Point, opt Options, progress func(done float64)) ([]Found, error) {
	m := &matcher{g: g, points: points, opt: opt}
	found := make([]Found, len(points))
	for i := range found {
		found[i] = Found{Way: -1, OffM: math.NaN()}
	}
	if len(points) == 0 || len(g.edges) == 0 {
		return found, ctx.Err()
	}
	if err := m.candidates(ctx, progress); err != nil {
		return nil, err
	}
	if err := m.viterbi(ctx, progress); err != nil {
		return nil, err
	}
	return found, m.trace(ctx, found)
}

type matcher struct {
	g       *Graph
	points  []Point
	opt     Options
	scatter float64
	pace    *pace // nil where steps tell nothing

	cand  []candidate
	first []int32 // point i has cand[first[i]:first[i+1]]
	back  []int32 // for each candidate: the candidate before it (index in cand), or -1-k for "none" at the point before
	off   []int32 // the same for the state "on no way" of each point

	last int32      // best state of the last point
	tell sync.Mutex // progress is told by one goroutine at a time
	search
}

const offState = int32(-1)

// batch is how many points one goroutine takes at a time.
const batch = 2048

// candidates finds the places for every point, on all processors.
func (m *matcher) candidates(ctx context.Context, progress func(float64)) error {
	n := len(m.points)
	type part struct {
		cand  []candidate
		count []int32
	}
	parts := make([]part, (n+batch-1)/batch)
	var done atomic.Int64
	err := m.inBatches(ctx, func(k, from, to int, f *finder) {
		p := &parts[k]
		p.count = make([]int32, to-from)
		for i := from; i < to; i++ {
			before := len(f.out)
			f.find(&m.points[i])
			p.count[i-from] = int32(len(f.out) - before)
		}
		p.cand = slices.Clone(f.out)
		f.out = f.out[:0]
		if d := done.Add(1); progress != nil && k%16 == 0 {
			m.tell.Lock()
			progress(0.4 * float64(d) / float64(len(parts)))
			m.tell.Unlock()
		}
	})
	if err != nil {
		return err
	}
	total := 0
	for _, p := range parts {
		total += len(p.cand)
	}
	m.first = make([]int32, n+1)
	m.cand = make([]candidate, 0, total)
	for k, p := range parts {
		for j, c := range p.count {
			i := k*batch + j
			m.first[i+1] = m.first[i] + c
		}
		m.cand = append(m.cand, p.cand...)
		parts[k] = part{}
	}
	if m.scatter = m.opt.ScatterM; m.scatter <= 0 {
		m.scatter = m.measured()
	}
	return m.inBatches(ctx, func(_, from, to int, _ *finder) {
		for i := from; i < to; i++ {
			m.emit(i)
		}
	})
}

// inBatches runs f over the points on all processors; batches may come in any order.
func (m *matcher) inBatches(ctx context.Context, f func(k, from, to int, fd *finder)) error {
	n := len(m.points)
	batches := (n + batch - 1) / batch
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(batches, runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			fd := newFinder(m.g)
			for ctx.Err() == nil {
				k := int(next.Add(1)) - 1
				if k >= batches {
					return
				}
				f(k, k*batch, min(n, (k+1)*batch), fd)
			}
		})
	}
	wg.Wait()
	return ctx.Err()
}

// vote is the weight of a point: that of the length it stands for.
func (m *matcher) vote(i int) float64 {
	a, b := max(0, i-1), min(len(m.points)-1, i+1)
	return min(1, max(0.02, (m.points[b].AlongM-m.points[a].AlongM)/2/decorrelateM))
}

// emit sets the cost of every candidate of a point.
func (m *matcher) emit(i int) {
	p := &m.points[i]
	vote := m.vote(i)
	sd := math.Hypot(m.scatter, gapSlope*p.gap())
	span := max(12, 2*m.scatter)
	lx, ly, ln := m.direction(i, span)
	cosLat := math.Cos(p.At[1] * math.Pi / 180)
	headSD := math.Hypot(headingSD, math.Atan(m.scatter/span))
	list := m.cand[m.first[i]:m.first[i+1]]
	for k := range list {
		c := &list[k]
		z := float64(c.off) / sd
		cost := (tailDof + 1) / 2 * math.Log1p(z*z/tailDof)
		way := &m.g.ways[m.g.edges[c.edge].way]
		if wx, wy := m.g.heading(c, span, cosLat); ln > 0 && (wx != 0 || wy != 0) {
			cos := (lx*wx + ly*wy) / (ln * math.Hypot(wx, wy))
			a := math.Acos(min(1, math.Abs(cos))) / headSD
			cost += min(headingMax, a*a/2)
			if way.OneWay != 0 && cos*float64(way.OneWay) < -0.5 {
				cost += againstWay
			}
		}
		c.cost = float32(vote * (cost + way.Doubt))
	}
}

// direction is the direction of the line around point i over about span metres to both sides; zero where it turns back.
func (m *matcher) direction(i int, span float64) (x, y, n float64) {
	a, b := i, i
	for a > 0 && m.points[i].AlongM-m.points[a].AlongM < span {
		a--
	}
	for b < len(m.points)-1 && m.points[b].AlongM-m.points[i].AlongM < span {
		b++
	}
	pa, pb := m.points[a].At, m.points[b].At
	x = geo.LonDiff(pa[0], pb[0]) * degreeM * math.Cos(pa[1]*math.Pi/180)
	y = (pb[1] - pa[1]) * degreeM
	n = math.Hypot(x, y)
	if n < 0.3*(m.points[b].AlongM-m.points[a].AlongM) {
		return 0, 0, 0
	}
	return x, y, n
}

// degreeM is a degree of latitude in metres, near enough for directions.
const degreeM = 111200.0

func (m *matcher) viterbi(ctx context.Context, progress func(float64)) error {
	n := len(m.points)
	m.back = make([]int32, len(m.cand))
	m.off = make([]int32, n)
	m.search.init(m.g)
	total := make([]float64, 0, maxCandidates) // best totals of the states of the point before
	next := make([]float64, 0, maxCandidates)
	for _, c := range m.cand[m.first[0]:m.first[1]] {
		total = append(total, float64(c.cost))
	}
	var was, now []gait // of the states of the point before and of this one
	if m.pace = m.paced(); m.pace != nil {
		was, now = make([]gait, maxCandidates), make([]gait, maxCandidates)
		for k := range was {
			was[k] = m.pace.start(0)
		}
	}
	offTotal := m.vote(0) * offCost
	m.off[0] = offState
	// The scale, in metres, on which a step along the network may differ from that along the line: it grows with the
	// scatter at both ends of the step. Judgement; families_test.go measures on lines whose ways are known.
	beta := max(3, 1.4*m.scatter-0.5)
	m.search.wrong = wrongEdge * beta
	for i := 1; i < n; i++ {
		if i&4095 == 0 {
			if err := ctx.Err(); err != nil {
				return err
			}
			if progress != nil {
				progress(0.4 + 0.6*float64(i)/float64(n))
			}
		}
		prev := m.cand[m.first[i-1]:m.first[i]]
		cur := m.cand[m.first[i]:m.first[i+1]]
		step := m.points[i].AlongM - m.points[i-1].AlongM
		chord := min(step, geo.Distance(m.points[i-1].At, m.points[i].At))
		base := m.first[i-1]
		beta := beta + gapDetour*(m.points[i].gap()+m.points[i-1].gap())/2

		bestPrev, bestTotal := offState, math.Inf(1)
		for k, t := range total {
			if t < bestTotal {
				bestPrev, bestTotal = base+int32(k), t
			}
		}
		next = next[:0]
		for k := range cur { // arriving from no way, or jumping from the best way before
			t, from := offTotal+enterWay, offState
			if j := bestTotal + jump; j < t {
				t, from = j, bestPrev
			}
			next = append(next, t)
			m.back[int(m.first[i])+k] = from
			if m.pace != nil {
				now[k] = m.pace.start(i)
			}
		}
		worst := math.Inf(-1)
		for _, t := range next {
			worst = max(worst, t)
		}
		for k := range prev {
			if total[k] >= worst { // cannot improve on any arrival
				continue
			}
			limit := step + beta*min(jump, worst-total[k])
			m.from(&prev[k], cur, limit)
			for j := range cur {
				d := m.reach(&prev[k], &cur[j])
				if d > limit {
					continue
				}
				t := total[k] + max(0, d-step, chord-d)/beta
				if t >= next[j] {
					continue
				}
				var g gait
				if m.pace != nil {
					var cost float64
					cost, g = m.pace.step(i, &was[k], m.metres(&prev[k], &cur[j], d))
					if t += cost; t >= next[j] {
						continue
					}
					now[j] = g
				}
				next[j] = t
				m.back[int(m.first[i])+j] = base + int32(k)
			}
		}
		for k := range cur {
			next[k] += float64(cur[k].cost)
		}
		m.off[i] = offState
		if bestTotal+enterWay < offTotal {
			offTotal, m.off[i] = bestTotal+enterWay, bestPrev
		}
		offTotal += m.vote(i) * offCost
		total, next = next, total
		was, now = now, was
	}
	m.last = offState
	best := offTotal
	for k, t := range total {
		if t < best {
			best, m.last = t, m.first[n-1]+int32(k)
		}
	}
	return nil
}

// trace follows the best states back from the last point.
func (m *matcher) trace(ctx context.Context, found []Found) error {
	chosen := make([]int32, len(found))
	at := m.last
	for i := len(found) - 1; i >= 0; i-- {
		chosen[i] = at
		if at == offState {
			at = m.off[i]
			continue
		}
		at = m.back[at]
	}
	settled, err := m.settle(ctx, chosen)
	if err != nil {
		return err
	}
	for i, c := range settled {
		if chosen[i] == offState {
			continue
		}
		e := &m.g.edges[c.edge]
		found[i] = Found{Way: e.way, Seg: c.seg, T: m.g.share(&c), AlongM: e.start + c.q, OffM: float64(c.off)}
	}
	return nil
}
