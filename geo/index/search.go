package index

import "math"

// Within visits every segment whose distance from a place is at most r metres, with that distance and
// the nearest point, until visit returns false. The order is fixed for a given tree but otherwise
// without meaning. Nothing is visited for a negative radius or numbers that are not finite.
func (t *Tree) Within(x, y, r float64, visit func(seg int, d, px, py float64) bool) {
	if !(r >= 0) || x-x != 0 || y-y != 0 {
		return
	}
	t.Search(x-r, y-r, x+r, y+r, func(seg int) bool {
		s := &t.segs[seg]
		px, py := foot(s, x, y)
		if d := math.Hypot(px-x, py-y); d <= r {
			return visit(seg, d, px, py)
		}
		return true
	})
}

// Search visits every segment whose own box meets the given box, edges included, until visit returns
// false. The order is fixed for a given tree but otherwise without meaning.
func (t *Tree) Search(minX, minY, maxX, maxY float64, visit func(seg int) bool) {
	if len(t.segs) == 0 || !(minX <= maxX && minY <= maxY) {
		return
	}
	x0, y0, x1, y1 := t.query(minX-t.midX), t.query(minY-t.midY), t.query(maxX-t.midX), t.query(maxY-t.midY)
	var stack [64]item
	stack[0] = item{}
	top := 1
	leaf := int32(len(t.base) - 1)
	for top > 0 {
		top--
		cur := stack[top]
		nd := &t.node[t.base[cur.level]+cur.k]
		for j := int32(0); j < fan && cur.k*fan+j < t.size[cur.level]; j++ {
			if int64(nd.x0[j]) > x1 || int64(nd.x1[j]) < x0 || int64(nd.y0[j]) > y1 || int64(nd.y1[j]) < y0 {
				continue
			}
			k := cur.k*fan + j
			if cur.level < leaf {
				stack[top] = item{k: k, level: cur.level + 1}
				top++
				continue
			}
			for _, id := range t.leaf(int(k)) {
				s := &t.segs[id]
				if min(s.AX, s.BX) <= maxX && max(s.AX, s.BX) >= minX && min(s.AY, s.BY) <= maxY && max(s.AY, s.BY) >= minY {
					if !visit(int(id)) {
						return
					}
				}
			}
		}
	}
}
