package contour_test

import (
	"fmt"

	"lastroad/geo/contour"
)

// A hill of three by three posts with one contour at 50 m round its top, clockwise on the map; the top itself,
// exactly at 100 m, has none.
func ExampleLines() {
	f := contour.Field{Cols: 3, Rows: 3, EastM: 30, NorthM: 30, HeightM: []float32{
		0, 0, 0,
		0, 100, 0,
		0, 0, 0}}
	lines, err := contour.Lines(f, 50)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range lines {
		fmt.Println(l.HeightM, l.Closed, l.Points)
	}
	// Output:
	// 50 true [[0.5 1] [1 0.5] [1.5 1] [1 1.5] [0.5 1]]
}

func ExampleHillshade() {
	level := contour.Field{Cols: 2, Rows: 2, EastM: 30, NorthM: 30, HeightM: []float32{5, 5, 5, 5}}
	s := contour.Hillshade(contour.Shade{}, level, nil, 1)
	fmt.Println(s.Grey, s.Known)
	// Output: [180 180 180 180] [true true true true]
}
