package osm

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
	"sync"
	"sync/atomic"

	"github.com/paulmach/orb"
)

// e7 is a position in units of 1e-7 degree, as OpenStreetMap keeps it.
type e7 struct{ lon, lat int32 }

// nowhere marks the position of a node that is not known.
var nowhere = e7{lon: -1 << 31}

// point is the position in degrees, the nearest float64 to the decimal number.
func (p e7) point() orb.Point { return orb.Point{float64(p.lon) / 1e7, float64(p.lat) / 1e7} }

// nodeChunk holds the kept nodes of one blob.
type nodeChunk struct {
	ids []int64
	pos []e7
}

// nodeTable finds the position of a node by its id. It is made of chunks in ascending order, and is
// read by several goroutines once sealed.
type nodeTable struct {
	chunks []shelf // not empty, ids ascending within and across
	first  []int64 // first id of each chunk
	size   int
}

// shelf is a chunk with a coarse index: the ids whose distance from the first, shifted right, is k stand
// at start[k]..start[k+1].
type shelf struct {
	nodeChunk
	low, high int64
	shift     uint
	start     []int32
}

// shelfBits is the width of the coarse index: 1024 entries for the usual 8000 nodes of a blob.
const shelfBits = 10

func newShelf(c nodeChunk) shelf {
	s := shelf{nodeChunk: c, low: c.ids[0], high: c.ids[len(c.ids)-1]}
	width := uint64(s.high) - uint64(s.low)
	s.shift = uint(max(0, bits.Len64(width)-shelfBits))
	s.start = make([]int32, width>>s.shift+2)
	k := uint64(0)
	for i, id := range c.ids {
		for b := (uint64(id) - uint64(s.low)) >> s.shift; k <= b; k++ {
			s.start[k] = int32(i)
		}
	}
	for ; k < uint64(len(s.start)); k++ {
		s.start[k] = int32(len(c.ids))
	}
	return s
}

// seal makes the table of chunks in file order. Chunks out of order, as in files that are not sorted,
// are sorted into one.
func seal(chunks []nodeChunk) *nodeTable {
	chunks = slices.DeleteFunc(chunks, func(c nodeChunk) bool { return len(c.ids) == 0 })
	t := &nodeTable{chunks: make([]shelf, len(chunks))}
	// The order inside each chunk is looked at, and its index made, by two goroutines.
	var disorder atomic.Bool
	var wait sync.WaitGroup
	for k := range 2 {
		wait.Go(func() {
			for i := k; i < len(chunks); i += 2 {
				if slices.IsSorted(chunks[i].ids) {
					t.chunks[i] = newShelf(chunks[i])
				} else {
					disorder.Store(true)
				}
			}
		})
	}
	wait.Wait()
	last := int64(math.MinInt64)
	sorted := !disorder.Load()
	for _, c := range chunks {
		sorted = sorted && c.ids[0] >= last
		last = c.ids[len(c.ids)-1]
		t.size += len(c.ids)
	}
	if !sorted {
		one := mergeChunks(chunks, t.size)
		t.chunks, t.size = []shelf{newShelf(one)}, len(one.ids)
	}
	for i := range t.chunks {
		t.first = append(t.first, t.chunks[i].low)
	}
	return t
}

// mergeChunks sorts all nodes by id; of two with the same id the later in the file holds.
func mergeChunks(chunks []nodeChunk, size int) nodeChunk {
	type row struct {
		id  int64
		pos e7
	}
	rows := make([]row, 0, size)
	for _, c := range chunks {
		for i, id := range c.ids {
			rows = append(rows, row{id, c.pos[i]})
		}
	}
	slices.SortStableFunc(rows, func(a, b row) int { return cmp.Compare(a.id, b.id) })
	out := nodeChunk{ids: make([]int64, 0, len(rows)), pos: make([]e7, 0, len(rows))}
	for i, r := range rows {
		if i+1 < len(rows) && rows[i+1].id == r.id {
			continue
		}
		out.ids, out.pos = append(out.ids, r.id), append(out.pos, r.pos)
	}
	return out
}

// finder looks nodes up; it remembers where the last one was, for the nodes of a way mostly follow
// one another. Each goroutine has its own.
type finder struct {
	t        *nodeTable
	chunk, i int
}

// find gives the position of a node, nowhere when the table does not hold it.
func (f *finder) find(id int64) e7 {
	t := f.t
	if len(t.chunks) == 0 {
		return nowhere
	}
	c := &t.chunks[f.chunk]
	if id < c.low || id > c.high {
		lo, hi := 0, len(t.first) // the last chunk that begins at or before id
		for lo < hi {
			if m := int(uint(lo+hi) >> 1); t.first[m] <= id {
				lo = m + 1
			} else {
				hi = m
			}
		}
		if lo == 0 {
			return nowhere
		}
		f.chunk, f.i = lo-1, 0
		if c = &t.chunks[lo-1]; id > c.high {
			return nowhere
		}
	} else if next := f.i + 1; next < len(c.ids) && c.ids[next] == id {
		f.i = next
		return c.pos[next]
	}
	k := (uint64(id) - uint64(c.low)) >> c.shift
	lo, hi := int(c.start[k]), int(c.start[k+1])
	for lo < hi {
		if m := int(uint(lo+hi) >> 1); c.ids[m] < id {
			lo = m + 1
		} else {
			hi = m
		}
	}
	if lo < len(c.ids) && c.ids[lo] == id {
		f.i = lo
		return c.pos[lo]
	}
	return nowhere
}
