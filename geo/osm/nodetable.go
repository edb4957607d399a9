package osm

import (
	"cmp"
	"math/bits"
	"slices"

	"github.com/paulmach/orb"
)

// e7 is a position in units of 1e-7 degree, as OpenStreetMap keeps it.
type e7 struct{ lon, lat int32 }

// nowhere marks the position of a node that is not known.
var nowhere = e7{lon: -1 << 31}

// point is the position in degrees, the nearest float64 to the decimal number.
func (p e7) point() orb.Point { return orb.Point{float64(p.lon) / 1e7, float64(p.lat) / 1e7} }

// nodeChunk holds the kept nodes of one stretch of a file: their positions, and their ids either by shelves or, when they
// do not ascend, one by one.
type nodeChunk struct {
	pos     []e7
	shelves []shelf
	ids     []int64
}

// newChunk copies the ids and positions of nodes, one at least, into a chunk.
func newChunk(ids []int64, pos []e7) nodeChunk {
	c := nodeChunk{pos: slices.Clone(pos)}
	var ok bool
	if c.shelves, ok = shelve(ids); !ok {
		c.ids = slices.Clone(ids)
	}
	return c
}

// sorted reports whether the ids ascend.
func (c *nodeChunk) sorted() bool { return c.ids == nil }

// low is the least id of a sorted chunk, high the greatest.
func (c *nodeChunk) low() int64 {
	s := &c.shelves[0]
	return s.key<<shelfBits + int64(bits.TrailingZeros64(s.have))
}

func (c *nodeChunk) high() int64 {
	s := &c.shelves[len(c.shelves)-1]
	return s.key<<shelfBits + int64(bits.Len64(s.have)-1)
}

// allIDs are the ids of all nodes, in the order of the positions.
func (c *nodeChunk) allIDs() []int64 {
	if !c.sorted() {
		return c.ids
	}
	ids := make([]int64, 0, len(c.pos))
	for _, s := range c.shelves {
		for have := s.have; have != 0; have &= have - 1 {
			ids = append(ids, s.key<<shelfBits+int64(bits.TrailingZeros64(have)))
		}
	}
	return ids
}

// nodeTable finds the position of a node by its id; it is read by several goroutines once sealed. Ids come in runs with
// gaps, so a bit for each of 64 successive ids tells which of them there are, and how many of those come before an
// id says where its position stands: that takes less memory than the ids, and mostly a single look into it.
type nodeTable struct {
	shelves []shelf // a hash table, a power of two long, at most half full; nil when there are no nodes
	shift   uint    // of a key's hash, which gives its place or one at most mostProbes before it
	row     []shelf // instead of the hash table: the shelves by ascending keys
	pos     [][]e7  // by chunk
	size    int
}

// shelf is where the positions of the nodes with ids from key<<6 to key<<6+63 begin. A chunk may end among those, so
// that two shelves have the same key.
type shelf struct {
	key       int64
	have      uint64 // a bit for each id; 0 = an empty place of the table
	chunk, at uint32
}

const shelfBits = 6

// shelve makes the shelves of ids, at least one; ok is false when they do not ascend. The number of their chunk is for
// [seal] to set.
func shelve(ids []int64) (out []shelf, ok bool) {
	count := 1
	for i := 1; i < len(ids); i++ {
		if ids[i] <= ids[i-1] {
			return nil, false
		}
		if ids[i]>>shelfBits != ids[i-1]>>shelfBits {
			count++
		}
	}
	out = make([]shelf, 0, count)
	var s shelf
	for i, id := range ids {
		if key := id >> shelfBits; key != s.key || i == 0 {
			if i > 0 {
				out = append(out, s)
			}
			s = shelf{key: key, at: uint32(i)}
		}
		s.have |= 1 << (id & (1<<shelfBits - 1))
	}
	return append(out, s), true
}

// seal makes the table of chunks in file order. Chunks out of order, as in files that are not sorted,
// are sorted into one.
func seal(chunks []nodeChunk) *nodeTable {
	t := &nodeTable{}
	sorted := true
	for i := range chunks {
		c := &chunks[i]
		sorted = sorted && c.sorted() && (i == 0 || c.low() > chunks[i-1].high())
		t.size += len(c.pos)
	}
	if !sorted {
		one := mergeChunks(chunks, t.size)
		chunks, t.size = []nodeChunk{one}, len(one.pos)
	}
	count := 0
	for n := range chunks {
		c := &chunks[n]
		for i := range c.shelves {
			c.shelves[i].chunk = uint32(n)
		}
		count += len(c.shelves)
		t.pos = append(t.pos, c.pos)
	}
	if count > 0 {
		t.insert(chunks, count)
	}
	return t
}

// mostProbes is how far from its place a shelf may stand. Half full, a table of a million shelves has them within some
// dozens; only ids chosen so that their places fall together reach it, and would else be looked for through the whole table.
const mostProbes = 256

// insert puts the shelves of the chunks, count in all, into the hash table, or into a row when too many have the same
// place.
func (t *nodeTable) insert(chunks []nodeChunk, count int) {
	width := uint(bits.Len(uint(2*count - 1)))
	t.shelves, t.shift = make([]shelf, 1<<width), 64-width
	for n := range chunks {
		for _, s := range chunks[n].shelves {
			i, probes := t.place(s.key), 0
			for t.shelves[i].have != 0 {
				if probes++; probes > mostProbes {
					t.shelves, t.row = nil, make([]shelf, 0, count)
					for n := range chunks {
						t.row = append(t.row, chunks[n].shelves...)
					}
					return
				}
				i = (i + 1) & (len(t.shelves) - 1)
			}
			t.shelves[i] = s
		}
	}
}

// place is where in the hash table to begin to look for a key.
func (t *nodeTable) place(key int64) int {
	return int(uint64(key) * 0x9e3779b97f4a7c15 >> t.shift) // 2^64 over the golden ratio (Knuth, vol. 3, 6.4)
}

// mergeChunks sorts all nodes by id; of two with the same id the later in the file holds.
func mergeChunks(chunks []nodeChunk, size int) nodeChunk {
	type row struct {
		id  int64
		pos e7
	}
	rows := make([]row, 0, size)
	for n := range chunks {
		c := &chunks[n]
		for i, id := range c.allIDs() {
			rows = append(rows, row{id, c.pos[i]})
		}
	}
	slices.SortStableFunc(rows, func(a, b row) int { return cmp.Compare(a.id, b.id) })
	ids, pos := make([]int64, 0, len(rows)), make([]e7, 0, len(rows))
	for i, r := range rows {
		if i+1 < len(rows) && rows[i+1].id == r.id {
			continue
		}
		ids, pos = append(ids, r.id), append(pos, r.pos)
	}
	shelves, _ := shelve(ids)
	return nodeChunk{pos: pos, shelves: shelves}
}

// finder looks nodes up; it remembers the shelf of the last one, for the nodes of a way mostly follow
// one another. Each goroutine has its own.
type finder struct {
	t       *nodeTable
	shelf   shelf
	pos     []e7 // from the shelf's first on
	touched uint64
}

// find appends the positions of nodes to dst, nowhere for those that the table does not hold. The table is far larger
// than what a processor keeps at hand, and waiting for one part of it after the other would take most of the time: so the
// shelves of a few nodes are asked for together, and then their positions.
func (f *finder) find(dst []e7, ids []int64) []e7 {
	var at [64]*e7
	for len(ids) > 0 {
		part := ids[:min(len(ids), len(at))]
		ids = ids[len(part):]
		if t := f.t; len(t.shelves) > 0 {
			touched := uint64(0)
			for _, id := range part {
				touched ^= t.shelves[t.place(id>>shelfBits)].have
			}
			f.touched = touched // for the compiler, which would leave the loop out
		}
		for i, id := range part {
			at[i] = f.locate(id)
		}
		for i := range part {
			dst = append(dst, *at[i])
		}
	}
	return dst
}

// known reports whether any of the positions is.
func known(pos []e7) bool {
	return slices.ContainsFunc(pos, func(p e7) bool { return p != nowhere })
}

// locate is where the position of a node stands.
func (f *finder) locate(id int64) *e7 {
	key, bit := id>>shelfBits, uint64(1)<<(id&(1<<shelfBits-1))
	if (key != f.shelf.key || f.shelf.have&bit == 0) && !f.seek(key, bit) {
		return &nowhere
	}
	return &f.pos[bits.OnesCount64(f.shelf.have&(bit-1))]
}

// seek goes to the shelf with a key that has the id of the bit.
func (f *finder) seek(key int64, bit uint64) bool {
	t := f.t
	if len(t.shelves) == 0 {
		return f.seekRow(key, bit)
	}
	i := t.place(key)
	for range mostProbes + 1 {
		s := &t.shelves[i]
		if s.key == key && s.have&bit != 0 {
			f.shelf, f.pos = *s, t.pos[s.chunk][s.at:]
			return true
		}
		if s.have == 0 {
			return false
		}
		i = (i + 1) & (len(t.shelves) - 1)
	}
	return false
}

// seekRow is seek where the shelves stand in a row.
func (f *finder) seekRow(key int64, bit uint64) bool {
	t := f.t
	i, _ := slices.BinarySearchFunc(t.row, key, func(s shelf, key int64) int { return cmp.Compare(s.key, key) })
	for ; i < len(t.row) && t.row[i].key == key; i++ {
		if s := &t.row[i]; s.have&bit != 0 {
			f.shelf, f.pos = *s, t.pos[s.chunk][s.at:]
			return true
		}
	}
	return false
}
