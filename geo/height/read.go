package height

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// maxPacked bounds a GeoTIFF taken from an archive, which must be held in memory unpacked.
const maxPacked = 1 << 29

// maxTogether bounds the posts of all grids of one archive, as many as twenty tiles of one arc-second: a few
// kilobytes of archive may claim any number of tiles of sea.
var maxTogether = 2 * MaxPosts // a test sets it lower

// Read reads every height grid of a file, whichever kind it is: .hgt, GeoTIFF, a .gz of either, or
// a .zip of any number of them. GeoTIFFs are read within a box as by [ReadGeoTIFF]; grids of an
// archive that do not touch it are left out, and those that do may have 2^28 posts together. The kind is told by content, not by name, except that an
// .hgt is known by its length and name only. It gives a [geo.InputError] when there is no grid or
// one is bad.
func Read(r io.ReaderAt, size int64, name string, within orb.Bound) ([]*Tile, error) {
	var magic [4]byte
	if _, err := r.ReadAt(magic[:], 0); err != nil && !errors.Is(err, io.EOF) {
		return nil, &geo.InputError{File: base(name), Reason: "cannot be read", Err: err}
	}
	one := func(t *Tile, err error) ([]*Tile, error) {
		if err != nil {
			return nil, err
		}
		return []*Tile{t}, nil
	}
	switch {
	case size == 2*side3*side3 || size == 2*side1*side1:
		return one(ReadHGT(r, size, name))
	case isTIFF(magic[:]):
		return one(ReadGeoTIFF(r, size, name, within))
	case string(magic[:]) == "PK\x03\x04":
		return readArchive(r, size, name, within)
	case magic[0] == 0x1f && magic[1] == 0x8b && isTIFFName(strings.TrimSuffix(strings.ToLower(name), ".gz")):
		return one(readPackedTIFF(r, size, name, within))
	}
	return one(ReadHGT(r, size, name))
}

func isTIFF(magic []byte) bool {
	switch string(magic[:4]) {
	case "II*\x00", "MM\x00*", "II+\x00", "MM\x00+":
		return true
	}
	return false
}

func isTIFFName(name string) bool {
	return strings.HasSuffix(name, ".tif") || strings.HasSuffix(name, ".tiff")
}

func readPackedTIFF(r io.ReaderAt, size int64, name string, within orb.Bound) (*Tile, error) {
	z, err := openGzip(r, size, name)
	if err != nil {
		return nil, err
	}
	return readHeld(z, name, name, within)
}

// readHeld unpacks a GeoTIFF into memory and reads it.
func readHeld(z io.Reader, inner, name string, within orb.Bound) (*Tile, error) {
	b, err := io.ReadAll(io.LimitReader(z, maxPacked+1))
	if err != nil {
		return nil, &geo.InputError{File: base(name), Where: fmt.Sprintf("byte %d", len(b)), Reason: "is damaged or cut", Remedy: remedyAgain, Err: err}
	}
	if len(b) > maxPacked {
		return nil, &geo.InputError{File: base(name), Reason: fmt.Sprintf("unpacks to more than %d MB", maxPacked>>20), Remedy: "unpack it first"}
	}
	t, err := ReadGeoTIFF(bytes.NewReader(b), int64(len(b)), inner, within)
	if err != nil {
		var e *geo.InputError
		if errors.As(err, &e) && base(inner) != base(name) {
			e.File = base(name) + ": " + base(inner)
		}
		return nil, err
	}
	t.Name = base(name)
	return t, nil
}

func readArchive(r io.ReaderAt, size int64, name string, within orb.Bound) ([]*Tile, error) {
	entries, err := zipEntries(r, size, name)
	if err != nil {
		return nil, err
	}
	var tiles []*Tile
	var elsewhere error
	found, posts := 0, 0
	for _, e := range entries {
		if posts > maxTogether {
			return nil, &geo.InputError{File: base(name), Reason: fmt.Sprintf("holds heights of more than %d posts", maxTogether), Remedy: "take only the tiles around the route"}
		}
		switch n := strings.ToLower(e.Name); {
		case strings.HasSuffix(n, ".hgt"):
			found++
			if !touches(base(e.Name), within) {
				elsewhere = &geo.InputError{File: base(name), Reason: "holds no tile of the land around the route", Err: errElsewhere}
				continue
			}
			t, err := readZipped(e, name)
			if err != nil {
				return nil, err
			}
			tiles, posts = append(tiles, t), posts+t.Cols*t.Rows
		case isTIFFName(n):
			found++
			z, err := e.Open()
			if err != nil {
				return nil, &geo.InputError{File: base(name), Where: base(e.Name), Reason: "cannot be unpacked", Err: err}
			}
			t, err := readHeld(z, e.Name, name, within)
			z.Close()
			if errors.Is(err, errElsewhere) {
				elsewhere = err
				continue
			}
			if err != nil {
				return nil, err
			}
			tiles, posts = append(tiles, t), posts+t.Cols*t.Rows
		}
	}
	if found == 0 {
		return nil, &geo.InputError{File: base(name), Reason: "holds no height grid (.hgt or .tif)"}
	}
	if len(tiles) == 0 {
		return nil, elsewhere
	}
	return tiles, nil
}

// touches reports whether the tile that a name stands for may touch a box; true for a name without a corner and for
// the zero box, which stands for everything.
func touches(name string, within orb.Bound) bool {
	lon, lat, ok := cornerOf(name)
	if !ok || within == (orb.Bound{}) {
		return true
	}
	const margin = 0.01 // more than two posts
	if float64(lat) > within.Max[1]+margin || float64(lat+1) < within.Min[1]-margin {
		return false
	}
	for _, turn := range []float64{-360, 0, 360} {
		if w := float64(lon) + turn; w <= within.Max[0]+margin && w+1 >= within.Min[0]-margin {
			return true
		}
	}
	return false
}
