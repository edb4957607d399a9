package index

import "math"

// Nearest finds the segment nearest to a place: its number, the distance in metres and the point of the
// segment that is nearest. Of several at exactly the same distance the lowest number wins. The answer
// is exact to rounding in float64, whatever prev is: prev is the number of a segment thought to be near,
// such as the last answer on the way along a line, and makes the search faster; -1 for none. Along a whole line a
// [Follower] is quicker.
// The number is -1 and the rest NaN for an empty tree or a place that is not finite.
func (t *Tree) Nearest(x, y float64, prev int) (seg int, d, px, py float64) {
	if len(t.segs) == 0 || x-x != 0 || y-y != 0 {
		nan := math.NaN()
		return -1, nan, nan, nan
	}
	best, id := math.Inf(1), int32(math.MaxInt32)
	if t.grid.nearest(t.segs, x, y, &best, &id) {
		px, py = foot(&t.segs[id], x, y)
		return int(id), math.Sqrt(best), px, py
	}
	q := search{x: x, y: y, qx: t.query(x - t.midX), qy: t.query(y - t.midY), best: best, id: id, limit: t.limit(best)}
	if uint(prev) < uint(len(t.segs)) {
		if consider(t.segs, int32(prev), x, y, &q.best, &q.id); q.best < best {
			q.limit = t.limit(q.best)
		}
	} else {
		t.look(&q, 0)
	}
	t.descend(&q)
	px, py = foot(&t.segs[q.id], x, y)
	return int(q.id), math.Sqrt((px-x)*(px-x) + (py-y)*(py-y)), px, py
}

// search is a query on its way through the tree.
type search struct {
	x, y   float64
	qx, qy int64
	best   float64 // squared metres
	id     int32
	limit  int64 // best as Tree.limit makes it
}

// consider takes a segment if it is nearer than the best so far, or as near and lower in number.
func consider(segs []Seg, i int32, x, y float64, best *float64, id *int32) {
	if e := dist2(&segs[i], x, y); e < *best || e == *best && i < *id {
		*best, *id = e, i
	}
}

// look considers the segments of a leaf.
func (t *Tree) look(q *search, k int32) {
	was := q.best
	for _, i := range t.leaf(int(k)) {
		consider(t.segs, i, q.x, q.y, &q.best, &q.id)
	}
	if q.best < was {
		q.limit = t.limit(q.best)
	}
}

// descend searches the tree, the nearest child of a node first: in any order a search with a good answer to begin
// with takes a little less, and one with a bad answer many times as long.
func (t *Tree) descend(q *search) {
	var stack [48]item // at most 15 levels, three waiting at each, four at the last
	top := 0
	leaf := int32(len(t.base) - 1)
	for cur := (item{}); ; {
		d := t.node[t.base[cur.level]+cur.k].away(q.qx, q.qy)
		if cur.level == leaf {
			// The nearest leaf first: it tightens the limit for the others.
			for {
				j := least(&d)
				if d[j] > q.limit {
					break
				}
				d[j] = math.MaxInt64
				if k := cur.k*fan + int32(j); k < t.size[leaf] {
					t.look(q, k)
				}
			}
		} else {
			// Push the far ones first so that the nearest is taken next.
			from := top
			for j := range d {
				k := cur.k*fan + int32(j)
				if d[j] > q.limit || k >= t.size[cur.level] {
					continue
				}
				it := item{d: d[j], k: k, level: cur.level + 1}
				p := top
				for p > from && stack[p-1].d < it.d {
					stack[p] = stack[p-1]
					p--
				}
				stack[p] = it
				top++
			}
		}
		for {
			if top == 0 {
				return
			}
			top--
			if stack[top].d <= q.limit {
				cur = stack[top]
				break
			}
		}
	}
}

// away gives the squared distances from a place to the children in whole units, at most the true ones
// plus what limit allows for.
func (n *node) away(x, y int64) (d [fan]int64) {
	for j := range d {
		dx := max(int64(n.x0[j])-x, x-int64(n.x1[j]), 0)
		dy := max(int64(n.y0[j])-y, y-int64(n.y1[j]), 0)
		d[j] = dx*dx + dy*dy
	}
	return d
}

type item struct {
	d     int64
	k     int32 // node within its level
	level int32
}

// limit is the squared distance to a box in units beyond which nothing as near as the square root of d2
// metres can lie inside: a query's place is known to a unit in each direction, so two are added.
func (t *Tree) limit(d2 float64) int64 {
	d := math.Sqrt(d2)*t.perM*(1+1e-15) + 2
	if d > 3e9 {
		return math.MaxInt64 - 1
	}
	return int64(d*d) + 1
}

func least(d *[fan]int64) int {
	k := 0
	for j := 1; j < fan; j++ {
		if d[j] < d[k] {
			k = j
		}
	}
	return k
}

// foot is the point of a segment nearest to a place.
func foot(s *Seg, x, y float64) (px, py float64) {
	dx, dy := s.BX-s.AX, s.BY-s.AY
	l2 := dx*dx + dy*dy
	if l2 == 0 {
		return s.AX, s.AY
	}
	u := ((x-s.AX)*dx + (y-s.AY)*dy) / l2
	switch {
	case u <= 0:
		return s.AX, s.AY
	case u >= 1:
		return s.BX, s.BY
	}
	return s.AX + u*dx, s.AY + u*dy
}

// dist2 is the squared distance from a place to a segment.
func dist2(s *Seg, x, y float64) float64 {
	px, py := foot(s, x, y)
	px, py = px-x, py-y
	return px*px + py*py
}
