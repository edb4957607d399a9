package index

import "testing"

// The curve of Hilbert visits every cell once and goes from each to one beside it.
func TestHilbertGoesFromCellToCell(t *testing.T) {
	const side = 64 // the coarse corner of the grid, by its first six bits
	at := make([][2]int, side*side)
	seen := make([]bool, side*side)
	for x := range side {
		for y := range side {
			d := hilbert(uint32(x)<<9, uint32(y)<<9) >> 18
			if seen[d] {
				t.Fatalf("the curve passes its place %d twice", d)
			}
			seen[d], at[d] = true, [2]int{x, y}
		}
	}
	for i := 1; i < len(at); i++ {
		dx, dy := at[i][0]-at[i-1][0], at[i][1]-at[i-1][1]
		if dx*dx+dy*dy != 1 {
			t.Fatalf("the curve jumps from %v to %v", at[i-1], at[i])
		}
	}
}
