package height_test

import (
	"fmt"
	"strings"

	"lastroad/geo"
	"lastroad/geo/height"
)

// A tile of three by three posts, one degree apart, with a hole in the south-east.
func Example() {
	tile, err := height.NewTile("made.tif", 10, 52, 1, 1, 3, 3, []float32{
		100, 120, 140,
		-20, 0, 20,
		-40, -20, -9999,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	m := height.NewModel(tile)
	fmt.Println(m.Height(11, 51), m.Height(10.5, 51.5), m.Height(11.5, 50.5))
	// Output: 0 50 NaN
}

func ExampleReadHGT() {
	_, err := height.ReadHGT(strings.NewReader("too short"), 9, "heights/N42E001.hgt")
	fmt.Println(err)
	// Output: N42E001.hgt: 9 bytes is not the length of a tile of 1201 x 1201 (2884802 bytes) or 3601 x 3601 (25934402 bytes); the file is cut or of another format; download it again
}

func ExampleProfile() {
	samples := []geo.Sample{{DistanceM: 0, Way: -1}, {DistanceM: 25, Way: -1}, {DistanceM: 50, Way: -1}}
	m := height.Profile(samples, nil, height.Options{})
	fmt.Println(samples[1].Grade, m.Notes[0])
	// Output: NaN No heights are known: there is no height grid under the route and the route file has none. Grades and side slopes are unknown.
}

func ExampleAscent() {
	up, down := height.Ascent([]float64{100, 103, 99, 130, 128, 90}, 5)
	fmt.Println(up, down)
	// Output: 30 40
}
