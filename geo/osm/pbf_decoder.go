package osm

import "sync/atomic"

// The most that one element is read with. OpenStreetMap itself takes ways of 2000 nodes and relations of 32 000 members
// (wiki "API v0.6", capabilities), files made of other data more. A key stands once in an element, so that none in order
// keeps more tags than there are keys to keep; what a broken one has beyond is passed over.
const (
	mostRefs    = 50 * 2000
	mostMembers = 10 * 32_000
	mostTags    = 128
)

// elementCost is what a kept element costs of the budget beside its nodes, members and tags: a way of two nodes takes as
// much memory as a dozen nodes more of a long one.
const elementCost = 12

// budget bounds what is kept of a file: so many nodes, members named by elements, tags, and elementCost for each element
// as the file has bytes, of nodes a third of that, and some for small files. Real ones, packed, come to 0.29 (Delaware)
// to 0.37 (Andorra) for each byte, and to 0.45 when all but the roads and who drew them is left out; of nodes they have
// 0.08 to 0.16. Each takes some 20 bytes of memory, and a blob of zeros packed a hundredfold would else
// hold thousands of times its size.
type budget struct{ left, nodes atomic.Int64 }

func budgetOf(fileSize int64) *budget {
	b := new(budget)
	b.left.Store(fileSize + 1<<16)
	b.nodes.Store(fileSize/3 + 1<<16)
	return b
}

// spend takes the cost of an element with n nodes, members and tags, and reports whether that much was left.
func (b *budget) spend(n int) bool { return b.left.Add(-int64(n+elementCost)) >= 0 }

// spendNodes takes n nodes, and reports whether so many were left.
func (b *budget) spendNodes(n int) bool {
	return b.nodes.Add(-int64(n)) >= 0 && b.left.Add(-int64(n)) >= 0
}

// decoder decodes the elements of blocks into batches.
type decoder struct {
	block
	parts  Parts
	kept   *mask
	find   finder
	member map[int64]struct{} // ways that wanted relations are made of
	// leastFar is how many nodes an area outside the corridor must have to be kept for a closer look.
	leastFar int
	hull     hullRows

	// For the second look: ascending ids, of which alone the elements are kept; nil = the first look.
	onlyNodes, onlyWays []int64
	nodeIDs, wayIDs     idRange // of the block

	ids  []int64
	pos  []e7
	refs []int64
	ways []rawWay
	tags Tags // arena

	budget *budget
	flood  bool // it is spent
}

// spend takes the cost of an element from the budget and reports whether that much was left.
func (d *decoder) spend(n int) bool {
	d.flood = d.flood || !d.budget.spend(n)
	return !d.flood
}

// numbers is how many varints a packed field holds.
func numbers(packed []byte) int {
	n := 0
	for _, c := range packed {
		if c < 0x80 {
			n++
		}
	}
	return n
}

// readTags appends the tags of two packed fields to d.tags, and reports what their keys are for.
func (d *decoder) readTags(ks, vs []byte) (use keyUse, ok bool) {
	var i, j int
	start := len(d.tags)
	for i < len(ks) {
		var k, v uint64
		if k, i = uvarint(ks, i); i < 0 {
			return 0, false
		}
		if v, j = uvarint(vs, j); j < 0 {
			return 0, false
		}
		if u := d.key(k); u != 0 && len(d.tags)-start < mostTags {
			use |= u
			d.tags = append(d.tags, Tag{d.str(k, true), cleanValue(u, d.str(v, u&plainWord != 0))})
		}
	}
	return use, true
}
