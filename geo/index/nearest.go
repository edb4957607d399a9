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
	slot := 0
	if uint(prev) < uint(len(t.slot)) {
		slot = int(t.slot[prev])
	}
	best := dist2(&t.segs[slot], x, y)
	bestID := t.id[slot]
	qx, qy := float32(x-t.midX), float32(y-t.midY)
	slack := t.slack + (math.Abs(x-t.midX)+math.Abs(y-t.midY))*0x1p-22
	limit := lift(best, slack)

	var stack [56]item // depth at most 16, three waiting at each, four at the last
	top := 0
	leaf := len(t.base) - 1
	cur := item{}
	for {
		nd := &t.node[t.base[cur.level]+cur.k]
		var d [fan]float32
		for j := range d {
			dx := max(abs32(qx-nd.cx[j])-nd.hx[j], 0)
			dy := max(abs32(qy-nd.cy[j])-nd.hy[j], 0)
			d[j] = dx*dx + dy*dy
		}
		if int(cur.level) == leaf {
			for {
				j := least(&d)
				if d[j] > limit {
					break
				}
				d[j] = math.MaxFloat32
				for i := (int(cur.k)*fan + j) * fan; i < min((int(cur.k)*fan+j+1)*fan, len(t.segs)); i++ {
					e := dist2(&t.segs[i], x, y)
					if e < best || e == best && t.id[i] < bestID {
						if e < best {
							limit = lift(e, slack)
						}
						best, bestID = e, t.id[i]
					}
				}
			}
		} else {
			// Push the far ones first so that the nearest is taken next.
			from := top
			for j := range d {
				if d[j] > limit {
					continue
				}
				it := item{d: d[j], k: cur.k*fan + int32(j), level: cur.level + 1}
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
				s := &t.segs[t.slot[bestID]]
				px, py = foot(s, x, y)
				return int(bestID), math.Sqrt(best), px, py
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
	d     float32
	k     int32 // node within its level
	level int32
}

// lift is the squared distance to a box, as float32 sees it, beyond which nothing as near as the square
// root of d2 can lie inside.
func lift(d2, slack float64) float32 {
	d := math.Sqrt(d2) + slack
	l := d * d * (1 + 0x1p-20)
	if l > math.MaxFloat32/2 {
		return math.MaxFloat32 / 2
	}
	return float32(l)
}

func abs32(v float32) float32 { return math.Float32frombits(math.Float32bits(v) &^ (1 << 31)) }

func least(d *[fan]float32) int {
	a, b := 0, 2
	if d[1] < d[0] {
		a = 1
	}
	if d[3] < d[2] {
		b = 3
	}
	if d[b] < d[a] {
		return b
	}
	return a
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
