package index

import "math"

// Follower finds the nearest segments of places that follow each other, such as the samples of a route: the
// answers of [Tree.Nearest], far from roads for a third of the time. It is made by [Tree.Follow] and for one
// goroutine at a time.
//
// After a search it knows how far one may go from that place until another segment can be the nearest. Let c be the
// place, p the nearest point there and s a point of another segment. What is nearer to p than to s is bounded by the
// line halfway between them, and c is (|s-c|^2 - |p-c|^2) / 2|s-p| away from that line. The segments for which
// this is least are kept as rivals: until one has gone as far as the first of the others allows, the nearest is the
// home segment of p or one of the rivals.
type Follower struct {
	t            *Tree
	last         int     // the last answer, -1 for none
	lastX, lastY float64 // and its place
	x, y         float64 // the place c
	home         int32
	rivals       int
	rival        [maxRivals]rival
	reach2       float64 // square of the way from c within which home and rivals suffice; negative: no way
}

// rival is a segment that can be the nearest from some way on, squared.
type rival struct {
	way2 float64
	id   int32
}

// maxRivals makes the drive of BenchmarkDelaware quickest: fewer ask for more searches, more for longer ones.
const maxRivals = 8

// farSteps is how many steps to the next place the nearest segment must be away for rivals to be sought: nearer, the
// search for them costs more than they save.
const farSteps = 25

// Follow begins a way along which the nearest segments are wanted.
func (t *Tree) Follow() *Follower {
	return &Follower{t: t, last: -1, lastX: math.NaN(), reach2: -1}
}

// Nearest gives what [Tree.Nearest] gives. Any place may follow any other, but only near ones are quick.
func (f *Follower) Nearest(x, y float64) (seg int, d, px, py float64) {
	dx, dy := x-f.x, y-f.y
	way2 := dx*dx + dy*dy
	if !(way2 <= f.reach2) {
		return f.search(x, y)
	}
	id := f.home
	px, py = foot(&f.t.segs[id], x, y)
	best := (px-x)*(px-x) + (py-y)*(py-y)
	for i := range f.rival[:f.rivals] {
		r := &f.rival[i]
		if r.way2 > way2 {
			break
		}
		rx, ry := foot(&f.t.segs[r.id], x, y)
		if e := (rx-x)*(rx-x) + (ry-y)*(ry-y); e < best || e == best && r.id < id {
			id, best, px, py = r.id, e, rx, ry
		}
	}
	f.last, f.lastX, f.lastY = int(id), x, y
	return int(id), math.Sqrt(best), px, py
}

// search asks the tree, and far from roads looks how long the answer will do.
func (f *Follower) search(x, y float64) (seg int, d, px, py float64) {
	seg, d, px, py = f.t.Nearest(x, y, f.last)
	dx, dy := x-f.lastX, y-f.lastY
	f.last, f.lastX, f.lastY = seg, x, y
	f.reach2 = -1
	if (dx*dx+dy*dy)*(farSteps*farSteps) < d*d {
		f.x, f.y, f.home = x, y, int32(seg)
		f.seekRivals(px, py)
	}
	return seg, d, px, py
}

// seekRivals finds the rivals of home and the reach.
func (f *Follower) seekRivals(px, py float64) {
	q := rivalSearch{f: f, px: px, py: py, still: math.Inf(1)}
	dx, dy := px-f.x, py-f.y
	q.d2 = dx*dx + dy*dy
	size := math.Abs(f.x) + math.Abs(f.y)
	q.rounding = 1e-14 * size * size
	if way, at := q.fromEnd(&f.t.segs[f.home]); at {
		q.still = way
	}
	for i := range q.found {
		q.found[i].way = math.Sqrt(q.d2) / 2
	}
	q.node(0, 0)
	f.rivals = 0
	for _, r := range q.found[:maxRivals] {
		if r.way < q.limit() {
			f.rival[f.rivals] = rival{way2: squareBelow(r.way), id: r.id}
			f.rivals++
		}
	}
	f.reach2 = squareBelow(q.limit())
}

// squareBelow is a little less than the square of a way; negative for none.
func squareBelow(way float64) float64 {
	if way <= 0 {
		return -1
	}
	return way * way * (1 - 1e-9)
}

// rivalSearch looks through the tree for the segments that can be the nearest first.
type rivalSearch struct {
	f        *Follower
	px, py   float64 // the nearest point
	d2       float64 // and its squared distance
	still    float64 // the way on which home's nearest point stays the end p of it; +Inf where p is no end
	rounding float64 // what the squared distance of a place may be wrong by, m^2, beside 1e-13 of it
	found    [maxRivals + 1]struct {
		way float64 // ascending
		id  int32
	}
}

// limit is the way from which on a segment is of no interest.
func (q *rivalSearch) limit() float64 { return q.found[maxRivals].way }

// way is the least way on which a segment can become the nearest that has no point within the root of d2 metres
// of the place, none farther than the root of p2 from the nearest point.
func (q *rivalSearch) way(d2, p2 float64) float64 {
	return (d2*(1-1e-13) - q.d2 - q.rounding) / (2 * math.Sqrt(p2))
}

// node looks at a node and what is below it, the most promising child first.
func (q *rivalSearch) node(level, k int32) {
	t, x, y := q.f.t, q.f.x, q.f.y
	n := &t.node[t.base[level]+k]
	m := 1 / t.perM
	var way [fan]float64
	for j := range way {
		x0, x1 := t.midX+float64(n.x0[j])*m, t.midX+float64(n.x1[j])*m
		y0, y1 := t.midY+float64(n.y0[j])*m, t.midY+float64(n.y1[j])*m
		dx, dy := max(x0-x, x-x1, 0), max(y0-y, y-y1, 0)
		ex, ey := max(q.px-x0, x1-q.px), max(q.py-y0, y1-q.py)
		way[j] = q.way(dx*dx+dy*dy, ex*ex+ey*ey)
	}
	for range fan {
		j := 0
		for i := 1; i < fan; i++ {
			if way[i] < way[j] {
				j = i
			}
		}
		if !(way[j] < q.limit()) {
			return
		}
		way[j] = math.Inf(1)
		child := k*fan + int32(j)
		switch {
		case child >= t.size[level]:
		case int(level) < len(t.base)-1:
			q.node(level+1, child)
		default:
			for _, i := range t.leaf(int(child)) {
				q.segment(i)
			}
		}
	}
}

// segment puts a segment among the rivals if it belongs there.
func (q *rivalSearch) segment(i int32) {
	if i == q.f.home {
		return
	}
	s := &q.f.t.segs[i]
	way, at := q.fromEnd(s)
	if at {
		// It is exactly as near as home as long as p is the nearest point of both.
		way = min(way, q.still)
	} else {
		ax, ay, bx, by := s.AX-q.px, s.AY-q.py, s.BX-q.px, s.BY-q.py
		way = q.way(dist2(s, q.f.x, q.f.y), max(ax*ax+ay*ay, bx*bx+by*by))
	}
	if !(way < q.limit()) {
		return
	}
	j := maxRivals
	for ; j > 0 && q.found[j-1].way > way; j-- {
		q.found[j] = q.found[j-1]
	}
	q.found[j].way, q.found[j].id = way, i
}

// fromEnd is, for a segment that ends at p, how far one may go with p still the nearest point of it; at is false for others.
func (q *rivalSearch) fromEnd(s *Seg) (way float64, at bool) {
	dx, dy := s.BX-s.AX, s.BY-s.AY
	switch {
	case s.AX == q.px && s.AY == q.py:
	case s.BX == q.px && s.BY == q.py:
		dx, dy = -dx, -dy
	default:
		return 0, false
	}
	l := math.Sqrt(dx*dx + dy*dy)
	if l == 0 {
		return math.Inf(1), true
	}
	return (dx*(q.px-q.f.x)+dy*(q.py-q.f.y))/l - 1e-12*(math.Sqrt(q.d2)+l), true
}
