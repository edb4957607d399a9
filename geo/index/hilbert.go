package index

// sort puts the segments in the order in which a Hilbert curve over the extent passes their middles;
// equal places keep the caller's order, so the tree depends on nothing but the input.
func (t *Tree) sort(segs []Seg, minX, minY, side float64) {
	n := len(segs)
	scale := 0.0
	if side > 0 {
		scale = 65535 / side
	}
	keys, order := make([]uint32, n), make([]int32, n)
	for i := range segs {
		s := &segs[i]
		x := uint32(((s.AX+s.BX)/2 - minX) * scale)
		y := uint32(((s.AY+s.BY)/2 - minY) * scale)
		keys[i], order[i] = hilbert(min(x, 65535), min(y, 65535)), int32(i)
	}
	// Radix sort, three passes of 11 bits: stable.
	keys2, order2 := make([]uint32, n), make([]int32, n)
	for shift := 0; shift < 32; shift += 11 {
		var count [2049]int32
		for _, k := range keys {
			count[(k>>shift&2047)+1]++
		}
		for i := 1; i < len(count); i++ {
			count[i] += count[i-1]
		}
		for i, k := range keys {
			p := count[k>>shift&2047]
			count[k>>shift&2047]++
			keys2[p], order2[p] = k, order[i]
		}
		keys, keys2, order, order2 = keys2, keys, order2, order
	}
	t.id, t.slot, t.segs = order, order2, make([]Seg, n)
	for i, id := range order {
		t.segs[i] = segs[id]
		t.slot[id] = int32(i)
	}
}

// hilbert is the place of a cell of a 65536 x 65536 grid along the Hilbert curve. It walks the bits
// from the top down, keeping the curve's orientation as a swap and a flip (Hamilton's form of the
// Gray code construction).
func hilbert(x, y uint32) uint32 {
	var d uint32
	for s := uint32(1 << 15); s > 0; s >>= 1 {
		rx, ry := uint32(0), uint32(0)
		if x&s != 0 {
			rx = 1
		}
		if y&s != 0 {
			ry = 1
		}
		d += s * s * ((3 * rx) ^ ry)
		if ry == 0 {
			if rx == 1 {
				x, y = 65535-x, 65535-y
			}
			x, y = y, x
		}
	}
	return d
}
