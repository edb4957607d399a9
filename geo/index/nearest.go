package index

import "math"

// Nearest finds the segment nearest to a place: its number, the distance in metres and the point of the
// segment that is nearest. Of several at exactly the same distance the lowest number wins. The answer
// is exact to rounding in float64, whatever prev is: prev is the number of a segment thought to be near,
// such as the last answer on the way along a line, and makes the search faster; -1 for none.
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
	if uint(prev) >= uint(len(t.segs)) {
		prev = int(t.id[0])
	}
	consider(t.segs, int32(prev), x, y, &best, &id)
	id = t.descend(x, y, best, id)
	s := &t.segs[id]
	px, py = foot(s, x, y)
	return int(id), math.Sqrt((px-x)*(px-x) + (py-y)*(py-y)), px, py
}

// consider takes a segment if it is nearer than the best so far, or as near and lower in number.
func consider(segs []Seg, i int32, x, y float64, best *float64, id *int32) {
	if e := dist2(&segs[i], x, y); e < *best || e == *best && i < *id {
		*best, *id = e, i
	}
}

// descend finds the nearest segment through the tree, given one that is near.
func (t *Tree) descend(x, y, best float64, bestID int32) int32 {
	qx, qy := t.query(x-t.midX), t.query(y-t.midY)
	limit := t.limit(best)

	var stack [48]item // at most 15 levels, three waiting at each, four at the last
	top := 0
	leaf := int32(len(t.base) - 1)
	cur := item{}
	for {
		nd := &t.node[t.base[cur.level]+cur.k]
		var d [fan]int64
		for j := range d {
			dx := max(int64(nd.x0[j])-qx, qx-int64(nd.x1[j]), 0)
			dy := max(int64(nd.y0[j])-qy, qy-int64(nd.y1[j]), 0)
			d[j] = dx*dx + dy*dy
		}
		if cur.level == leaf {
			// The nearest leaf first: it tightens the limit for the others.
			for {
				j := least(&d)
				if d[j] > limit {
					break
				}
				d[j] = math.MaxInt64
				if k := int(cur.k)*fan + j; k < int(t.size[leaf]) {
					for _, i := range t.leaf(k) {
						e := dist2(&t.segs[i], x, y)
						if e < best {
							best, bestID, limit = e, i, t.limit(e)
						} else if e == best && i < bestID {
							bestID = i
						}
					}
				}
			}
		} else {
			// Push the far ones first so that the nearest is taken next.
			from := top
			for j := range d {
				k := cur.k*fan + int32(j)
				if d[j] > limit || k >= t.size[cur.level] {
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
				return bestID
			}
			top--
			if stack[top].d <= limit {
				cur = stack[top]
				break
			}
		}
	}
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
