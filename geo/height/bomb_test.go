package height

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// A few kilobytes of archive may claim any number of tiles of sea: only those around the route are unpacked, and no
// more than a stated number of posts.
func TestArchiveOfManyTiles(t *testing.T) {
	sea := make([]byte, 2*side3*side3)
	var files []any
	for lat := 10; lat < 13; lat++ {
		for lon := range 6 {
			files = append(files, fmt.Sprintf("N%02dE%03d.hgt", lat, lon), sea)
		}
	}
	packed := zipped(t, files...)
	if len(packed) > 1<<20 {
		t.Fatalf("the archive has %d bytes, want a small one", len(packed))
	}
	read := func(within orb.Bound) ([]*Tile, error) {
		return Read(bytes.NewReader(packed), int64(len(packed)), "sea.zip", within)
	}
	near := orb.Bound{Min: orb.Point{3.5, 11.5}, Max: orb.Point{4.5, 11.6}}
	tiles, err := read(near)
	if err != nil || len(tiles) != 2 {
		t.Errorf("%d tiles touch the box, %v; want N11E003 and N11E004", len(tiles), err)
	}
	if _, err := read(orb.Bound{Min: orb.Point{100, 50}, Max: orb.Point{101, 51}}); !errors.Is(err, errElsewhere) {
		t.Errorf("far from every tile: %v, want a refusal", err)
	}
	defer func(n int) { maxTogether = n }(maxTogether)
	maxTogether = 4 * side3 * side3
	_, err = read(orb.Bound{})
	var bad *geo.InputError
	if !errors.As(err, &bad) || !strings.Contains(err.Error(), "more than 5769604 posts") {
		t.Errorf("18 tiles together: %v, want the limit named", err)
	}
}

func TestTouches(t *testing.T) {
	box := func(w, s, e, n float64) orb.Bound { return orb.Bound{Min: orb.Point{w, s}, Max: orb.Point{e, n}} }
	for _, c := range []struct {
		name string
		box  orb.Bound
		want bool
	}{
		{"N42E001.hgt", box(1.2, 42.2, 1.3, 42.3), true}, {"N42E001.hgt", box(2.005, 42.2, 2.3, 42.3), true}, {"N42E001.hgt", box(2.1, 42.2, 2.3, 42.3), false},
		{"N42E001.hgt", box(1.2, 43.1, 1.3, 43.3), false}, {"S29W072.hgt", box(-71.5, -28.5, -71.4, -28.4), true}, {"N42E001.hgt", orb.Bound{}, true},
		{"heights.hgt", box(1.2, 42.2, 1.3, 42.3), true}, {"S17E179.hgt", box(-180.5, -16.5, -179.5, -16.4), true}, {"S17W180.hgt", box(179.5, -16.5, 180.5, -16.4), true},
	} {
		if got := touches(c.name, c.box); got != c.want {
			t.Errorf("touches(%s, %v) = %v, want %v", c.name, c.box, got, c.want)
		}
	}
}
