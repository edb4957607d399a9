package osm

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// TestNodeTable: whatever the order and spread of the ids, each is found with its position and no other is.
func TestNodeTable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		id := rapid.OneOf(rapid.Int64Range(-5, 60), rapid.Int64Range(0, 1<<34), rapid.Int64Range(math.MinInt64, math.MaxInt64))
		var chunks []nodeChunk
		want := map[int64]e7{}
		sorted := rapid.Bool().Draw(t, "sorted")
		ids := rapid.SliceOfNDistinct(id, 0, 300, rapid.ID[int64]).Draw(t, "ids") // a file that names an id twice keeps either
		if sorted {
			slices.Sort(ids)
		}
		for i := 0; i < len(ids); {
			n := min(len(ids)-i, rapid.IntRange(0, 100).Draw(t, "chunk"))
			var part []int64
			var pos []e7
			for _, v := range ids[i : i+n] {
				p := e7{int32(len(want)), int32(i)}
				part, pos = append(part, v), append(pos, p)
				want[v] = p
			}
			if len(part) > 0 {
				chunks = append(chunks, newChunk(part, pos))
			}
			i += max(n, 1)
			if n == 0 && i <= len(ids) {
				// the one passed over is not in the table
				if _, ok := want[ids[i-1]]; !ok {
					continue
				}
			}
		}
		f := finder{t: seal(chunks)}
		asked := append(rapid.SliceOfN(id, 0, 50).Draw(t, "other"), ids...)
		all := f.find(nil, asked)
		for i, q := range asked {
			p, ok := want[q]
			if !ok {
				p = nowhere
			}
			if got := *f.locate(q); got != p || all[i] != p {
				t.Fatalf("node %d is at %v, and among others at %v, want %v", q, got, all[i], p)
			}
		}
	})
}

// chosenIDs are ascending ids whose shelves begin at step, 2*step, ... of what the hash of a key is before it is cut to a place.
func chosenIDs(n int, step uint64) []int64 {
	inverse := uint64(1) // of the factor, modulo 2^64: each round doubles the number of right bits (Newton)
	for range 6 {
		inverse *= 2 - inverse*0x9e3779b97f4a7c15
	}
	var ids []int64
	for h := step; len(ids) < n; h += step {
		if key := int64(h * inverse); key >= -1<<(63-shelfBits) && key < 1<<(63-shelfBits) {
			ids = append(ids, key<<shelfBits+int64(len(ids)&63))
		}
	}
	slices.Sort(ids)
	return ids
}

// TestChosenIDs: ids chosen so that all have the same place in the table, or even steps apart, are found
// with no more than a few looks each, and so are those that it does not hold.
func TestChosenIDs(t *testing.T) {
	for _, c := range []struct {
		name string
		n    int
		step uint64
		row  bool
	}{{"one place", 20000, 1, true}, {"every second place", 20000, 1 << 43, false}, {"few", mostProbes / 2, 1, false}} {
		ids := chosenIDs(c.n, c.step)
		var chunks []nodeChunk
		for i := 0; i < len(ids); i += 7000 {
			part := ids[i:min(i+7000, len(ids))]
			var pos []e7
			for k := range part {
				pos = append(pos, e7{int32(i + k), 1})
			}
			chunks = append(chunks, newChunk(part, pos))
		}
		table := seal(chunks)
		if (table.row != nil) != c.row {
			t.Errorf("%s: a row is %v, want %v", c.name, table.row != nil, c.row)
		}
		f := finder{t: table}
		for i, id := range ids {
			if got := *f.locate(id); got != (e7{int32(i), 1}) {
				t.Fatalf("%s: node %d is at %v, want number %d", c.name, id, got, i)
			}
			if got := *f.locate(id ^ 1); got != nowhere && !slices.Contains(ids, id^1) {
				t.Fatalf("%s: node %d is at %v and is not in the table", c.name, id^1, got)
			}
		}
	}
}
