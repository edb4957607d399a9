// Package index finds the segments near a place: the exactly nearest one, all within a distance, all
// that meet a box. Places and segments are in metres on a plane ([lastroad/geo.Plane]).
//
//	t := index.Build(segs)
//	seg, d, px, py := t.Nearest(x, y, -1) // the next query nearby: t.Nearest(x2, y2, seg)
//
// It is an R-tree of four children a node over the segments sorted along a Hilbert curve, packed level
// by level so that children are found by arithmetic and no pointer is followed. A tree is built once,
// never changes, and may be used by several goroutines at once.
package index

import "math"

// Seg is a straight segment from A to B in metres; A may equal B.
type Seg struct{ AX, AY, BX, BY float64 }

// fan is the number of children of a node and of segments of a leaf.
const fan = 4

// Tree is a packed tree over segments. The zero value is an empty tree.
type Tree struct {
	segs  []Seg   // in the order of the curve
	id    []int32 // id[slot] is the caller's number of segs[slot]
	slot  []int32 // slot[id] is the inverse
	node  []node  // all levels, root first
	base  []int32 // base[l] is where level l begins; the last level's nodes hold leaves
	size  []int32 // size[l] is the number of boxes used in level l, the last one's being the leaves
	midX  float64 // coordinates inside nodes are relative to this place
	midY  float64
	slack float64 // what float32 may hide in a distance to a box, metres
}

// node holds the boxes of its four children as centre and half size: one cache line.
type node struct{ cx, cy, hx, hy [fan]float32 }

// Len is the number of segments.
func (t *Tree) Len() int { return len(t.segs) }

// Seg gives back the segment with the given number.
func (t *Tree) Seg(i int) Seg { return t.segs[t.slot[i]] }

// Build makes a tree of segments; their numbers are their places in segs, which is not kept. It panics
// for more than 2^31-1 segments or for a coordinate that is not finite.
func Build(segs []Seg) *Tree {
	t := &Tree{}
	n := len(segs)
	if n == 0 {
		return t
	}
	if n > math.MaxInt32 {
		panic("index: too many segments")
	}
	minX, minY, maxX, maxY := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for i := range segs {
		s := &segs[i]
		if sum := s.AX + s.AY + s.BX + s.BY; sum-sum != 0 {
			panic("index: a segment has a coordinate that is not finite")
		}
		minX, maxX = min(minX, s.AX, s.BX), max(maxX, s.AX, s.BX)
		minY, maxY = min(minY, s.AY, s.BY), max(maxY, s.AY, s.BY)
	}
	t.midX, t.midY = (minX+maxX)/2, (minY+maxY)/2
	t.sort(segs, minX, minY, math.Max(maxX-minX, maxY-minY))

	// Count the boxes of each level from the leaves up.
	var sizes []int32
	for k := int32((n + fan - 1) / fan); ; k = (k + fan - 1) / fan {
		sizes = append(sizes, k)
		if k <= fan {
			break
		}
	}
	total := int32(0)
	for i := len(sizes) - 1; i >= 0; i-- {
		t.base = append(t.base, total)
		t.size = append(t.size, sizes[i])
		total += (sizes[i] + fan - 1) / fan
	}
	t.node = make([]node, total)
	t.fill()
	return t
}

// fill computes the boxes, leaves first.
func (t *Tree) fill() {
	far := 0.0
	for l := len(t.base) - 1; l >= 0; l-- {
		for k := int32(0); k < t.size[l]; k++ {
			var x0, y0, x1, y1 float64
			if l == len(t.base)-1 {
				x0, y0, x1, y1 = t.leafBox(int(k))
			} else {
				x0, y0, x1, y1 = t.nodeBox(l+1, k)
			}
			far = max(far, -x0, x1, -y0, y1)
			nd, j := &t.node[t.base[l]+k/fan], k%fan
			nd.cx[j], nd.hx[j] = centre(x0, x1)
			nd.cy[j], nd.hy[j] = centre(y0, y1)
		}
		// Unused places hold boxes that nothing is near to.
		for k := t.size[l]; k%fan != 0; k++ {
			nd, j := &t.node[t.base[l]+k/fan], k%fan
			nd.cx[j], nd.hx[j] = math.MaxFloat32, 0
		}
	}
	// A query's coordinate and the differences are rounded to 24 bits: three roundings of half a unit in
	// the last place each way, doubled for safety. Queries outside the extent add their own (see limit).
	t.slack = far * 0x1p-21
}

// centre turns a range into centre and half size in float32, the half size rounded up so that the range is covered.
func centre(lo, hi float64) (c, h float32) {
	c = float32((lo + hi) / 2)
	h64 := math.Max(hi-float64(c), float64(c)-lo)
	h = float32(h64)
	if float64(h) < h64 {
		h = math.Nextafter32(h, math.MaxFloat32)
	}
	return c, h
}

func (t *Tree) leafBox(k int) (x0, y0, x1, y1 float64) {
	x0, y0, x1, y1 = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for i := k * fan; i < min((k+1)*fan, len(t.segs)); i++ {
		s := &t.segs[i]
		x0, x1 = min(x0, s.AX, s.BX), max(x1, s.AX, s.BX)
		y0, y1 = min(y0, s.AY, s.BY), max(y1, s.AY, s.BY)
	}
	return x0 - t.midX, y0 - t.midY, x1 - t.midX, y1 - t.midY
}

func (t *Tree) nodeBox(l int, k int32) (x0, y0, x1, y1 float64) {
	nd := &t.node[t.base[l]+k]
	x0, y0, x1, y1 = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for j := int32(0); j < fan && k*fan+j < t.size[l]; j++ {
		cx, hx, cy, hy := float64(nd.cx[j]), float64(nd.hx[j]), float64(nd.cy[j]), float64(nd.hy[j])
		x0, x1 = min(x0, cx-hx), max(x1, cx+hx)
		y0, y1 = min(y0, cy-hy), max(y1, cy+hy)
	}
	return
}
