package osm

import (
	"cmp"
	"slices"
	"sort"

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
	chunks []nodeChunk // not empty, ids ascending within and across
	first  []int64     // first id of each chunk
	size   int
}

// seal makes the table of chunks in file order. Chunks out of order, as in files that are not sorted,
// are sorted into one.
func seal(chunks []nodeChunk) *nodeTable {
	t := &nodeTable{}
	sorted := true
	last := int64(-1 << 63)
	for _, c := range chunks {
		if len(c.ids) == 0 {
			continue
		}
		if c.ids[0] < last || !slices.IsSorted(c.ids) {
			sorted = false
		}
		last = c.ids[len(c.ids)-1]
		t.chunks = append(t.chunks, c)
		t.size += len(c.ids)
	}
	if !sorted {
		t.chunks = []nodeChunk{mergeChunks(t.chunks, t.size)}
		t.size = len(t.chunks[0].ids)
	}
	t.first = make([]int64, len(t.chunks))
	for i, c := range t.chunks {
		t.first[i] = c.ids[0]
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
	if n := len(c.ids); id < c.ids[0] || id > c.ids[n-1] {
		k := sort.Search(len(t.first), func(i int) bool { return t.first[i] > id }) - 1
		if k < 0 {
			return nowhere
		}
		f.chunk, f.i = k, 0
		c = &t.chunks[k]
		if id > c.ids[len(c.ids)-1] {
			return nowhere
		}
	}
	ids := c.ids
	i := f.i
	if next := i + 1; next < len(ids) && ids[next] == id {
		f.i = next
		return c.pos[next]
	}
	// Gallop from the last place, then halve.
	lo, hi := 0, len(ids)
	if ids[i] <= id {
		lo = i
		for step := 1; ; step <<= 1 {
			if i+step >= len(ids) {
				break
			}
			if ids[i+step] > id {
				hi = i + step
				break
			}
			lo = i + step
		}
	} else {
		hi = i
		for step := 1; ; step <<= 1 {
			if i-step < 0 {
				break
			}
			if ids[i-step] <= id {
				lo = i - step
				break
			}
			hi = i - step
		}
	}
	for hi-lo > 1 {
		if m := int(uint(lo+hi) >> 1); ids[m] <= id {
			lo = m
		} else {
			hi = m
		}
	}
	f.i = lo
	if ids[lo] == id {
		return c.pos[lo]
	}
	return nowhere
}
