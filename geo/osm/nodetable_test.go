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
			c := nodeChunk{}
			for _, v := range ids[i : i+n] {
				p := e7{int32(len(want)), int32(i)}
				c.ids, c.pos = append(c.ids, v), append(c.pos, p)
				want[v] = p
			}
			chunks = append(chunks, c)
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
