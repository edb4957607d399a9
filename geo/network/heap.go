package network

import "math"

// heap is a heap of nodes by time, four children to a place, of which each entry is one word: the time as
// float32 above, the node below. The bits of floats that are not negative sort as the numbers do, and of equal
// times the lower node comes first. A node may stand in it several times, and float32 may put two nodes in the
// wrong order that are less than 1e-7 of their time apart; so the search puts a node in anew whenever its
// time gets better, and passes over entries that no longer hold. The times themselves are kept as float64.
type heap struct{ list []uint64 }

func entry(seconds float64, node int32) uint64 {
	return uint64(math.Float32bits(float32(seconds)))<<32 | uint64(uint32(node))
}

// push puts a node in; seconds must not be negative or NaN.
func (h *heap) push(seconds float64, node int32) {
	e := entry(seconds, node)
	h.list = append(h.list, e)
	i := len(h.list) - 1
	for i > 0 {
		up := (i - 1) / 4
		if h.list[up] <= e {
			break
		}
		h.list[i] = h.list[up]
		i = up
	}
	h.list[i] = e
}

// pop takes the first node out; key is its time as it was put in.
func (h *heap) pop() (key float32, node int32, ok bool) {
	l := h.list
	n := len(l) - 1
	if n < 0 {
		return 0, 0, false
	}
	first, e := l[0], l[n]
	l = l[:n]
	h.list = l
	key, node = math.Float32frombits(uint32(first>>32)), int32(uint32(first))
	if n == 0 {
		return key, node, true
	}
	i := 0
	for {
		c := 4*i + 1
		if c+4 <= n {
			k := l[c : c+4 : c+4]
			b, v := 0, k[0]
			if k[1] < v {
				b, v = 1, k[1]
			}
			if k[2] < v {
				b, v = 2, k[2]
			}
			if k[3] < v {
				b, v = 3, k[3]
			}
			if e <= v {
				break
			}
			l[i] = v
			i = c + b
			continue
		}
		if c >= n {
			break
		}
		b := c
		for k := c + 1; k < n; k++ {
			if l[k] < l[b] {
				b = k
			}
		}
		if e <= l[b] {
			break
		}
		l[i] = l[b]
		i = b
	}
	l[i] = e
	return key, node, true
}
