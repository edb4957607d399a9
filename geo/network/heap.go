package network

// heap is a binary heap of nodes by time; of equal times the lower node comes first. A node may stand in
// it several times; the caller passes over those that are settled.
type heap struct {
	key  []float64
	node []int32
}

func (h *heap) reset() { h.key, h.node = h.key[:0], h.node[:0] }

func (h *heap) push(key float64, node int32) {
	h.key, h.node = append(h.key, key), append(h.node, node)
	i := len(h.key) - 1
	for i > 0 {
		up := (i - 1) / 2
		if h.key[up] < key || h.key[up] == key && h.node[up] <= node {
			break
		}
		h.key[i], h.node[i] = h.key[up], h.node[up]
		i = up
	}
	h.key[i], h.node[i] = key, node
}

func (h *heap) pop() (key float64, node int32, ok bool) {
	n := len(h.key) - 1
	if n < 0 {
		return 0, 0, false
	}
	key, node = h.key[0], h.node[0]
	k, v := h.key[n], h.node[n]
	h.key, h.node = h.key[:n], h.node[:n]
	if n == 0 {
		return key, node, true
	}
	i := 0
	for {
		c := 2*i + 1
		if c >= n {
			break
		}
		if r := c + 1; r < n && (h.key[r] < h.key[c] || h.key[r] == h.key[c] && h.node[r] < h.node[c]) {
			c = r
		}
		if k < h.key[c] || k == h.key[c] && v <= h.node[c] {
			break
		}
		h.key[i], h.node[i] = h.key[c], h.node[c]
		i = c
	}
	h.key[i], h.node[i] = k, v
	return key, node, true
}
