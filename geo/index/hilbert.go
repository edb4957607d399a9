package index

// sort puts the numbers of the segments in the order in which a Hilbert curve over the extent passes their middles;
// equal places keep the caller's order, so the tree depends on nothing but the input.
func (t *Tree) sort(minX, minY, side float64) {
	segs, n := t.segs, len(t.segs)
	scale := 0.0
	if side > 0 {
		scale = cells / side / 2
	}
	// Key above, number below: one array to move.
	keys, keys2 := make([]uint64, n), make([]uint64, n)
	var count [3][1 << 10]uint32
	for i := range segs {
		s := &segs[i]
		x := uint32(((s.AX - minX) + (s.BX - minX)) * scale)
		y := uint32(((s.AY - minY) + (s.BY - minY)) * scale)
		k := hilbert(min(x, cells-1), min(y, cells-1))
		keys[i] = uint64(k)<<32 | uint64(uint32(i))
		count[0][k&1023]++
		count[1][k>>10&1023]++
		count[2][k>>20]++
	}
	// Radix sort, three passes of 10 bits: stable.
	for pass := range count {
		c := &count[pass]
		sum := uint32(0)
		for i, n := range c {
			c[i], sum = sum, sum+n
		}
		shift := 32 + 10*pass
		for _, k := range keys {
			p := &c[k>>shift&1023]
			keys2[*p] = k
			*p++
		}
		keys, keys2 = keys2, keys
	}
	t.id = make([]int32, n)
	for i, k := range keys {
		t.id[i] = int32(uint32(k))
	}
}

// cells is the number of columns and rows of the grid that the curve runs through: 2^15, so that the
// curve fills three times ten bits.
const cells = 1 << 15

// hilbert is the place of a cell along the curve. The walk from coarse to fine keeps one of four
// orientations; the table holds, for the orientation and three bits of x and of y, the six bits of the
// curve and the orientation that follows.
func hilbert(x, y uint32) uint32 {
	var d, state uint32
	for shift := 12; shift >= 0; shift -= 3 {
		e := curve[state<<6|(x>>shift&7)<<3|(y>>shift&7)]
		d = d<<6 | uint32(e&63)
		state = uint32(e >> 6)
	}
	return d
}

// curve is built from the rule for one bit. An orientation is: 0 as drawn, 1 with x and y exchanged,
// 2 turned by half, 3 both.
var curve = buildCurve()

func buildCurve() *[256]uint8 {
	var t [256]uint8
	for state := range uint32(4) {
		for x := range uint32(8) {
			for y := range uint32(8) {
				st, d := state, uint32(0)
				for bit := 2; bit >= 0; bit-- {
					rx, ry := x>>bit&1, y>>bit&1
					if st&2 != 0 {
						rx, ry = 1-rx, 1-ry
					}
					if st&1 != 0 {
						rx, ry = ry, rx
					}
					d = d<<2 | 3*rx ^ ry
					if ry == 0 { // the first and the last quarter are exchanged, the last also turned
						st ^= 1
						if rx == 1 {
							st ^= 2
						}
					}
				}
				t[state<<6|x<<3|y] = uint8(st<<6 | d)
			}
		}
	}
	return &t
}
