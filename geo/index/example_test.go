package index_test

import (
	"fmt"

	"lastroad/geo/index"
)

func ExampleTree_Nearest() {
	t := index.Build([]index.Seg{
		{AX: 0, AY: 0, BX: 100, BY: 0},   // a road to the east
		{AX: 0, AY: 50, BX: 100, BY: 50}, // one beside it
	})
	seg, d, px, py := t.Nearest(30, 40, -1)
	fmt.Printf("segment %d, %g m away at (%g, %g)\n", seg, d, px, py)
	t.Within(30, 20, 25, func(seg int, d, _, _ float64) bool {
		fmt.Printf("within 25 m: segment %d at %g m\n", seg, d)
		return true
	})
	// Output:
	// segment 1, 10 m away at (30, 50)
	// within 25 m: segment 0 at 20 m
}
