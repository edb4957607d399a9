package index

import "testing"

func TestNearestAllocatesNothing(t *testing.T) {
	tree := Build(roads(1, 20000, 30000, 25))
	visit := func(seg int, d, px, py float64) bool { return true }
	prev := -1
	along, x := tree.Follow(), 60000.0
	for name, f := range map[string]func(){
		"beside roads":   func() { prev, _, _, _ = tree.Nearest(15000, 15000, prev) },
		"without a hint": func() { tree.Nearest(15000, 15000, -1) },
		"far from roads": func() { tree.Nearest(60000, -20000, prev) },
		"along a way":    func() { x += 25; along.Nearest(x, -20000) },
		"within":         func() { tree.Within(15000, 15000, 500, visit) },
	} {
		if n := testing.AllocsPerRun(100, f); n != 0 {
			t.Errorf("%s: %g allocations a query, want 0", name, n)
		}
	}
}
