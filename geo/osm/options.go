package osm

import "io"

// Source is a file to read a region from.
type Source struct {
	Name string // as the user knows it, for messages
	R    io.ReaderAt
	Size int64 // bytes
}

// Parts says what of a region is wanted.
type Parts uint8

// The parts of a region.
const (
	Roads  Parts = 1 << iota // ways
	Areas                    // ground cover
	Lines                    // watercourses and cliffs
	Points                   // fords, gates, passes, peaks
	Places                   // places of help
	All    = Roads | Areas | Lines | Points | Places
)

// Options change how a region is read. The zero value is right for most uses.
type Options struct {
	Parts   Parts // what is wanted; 0 = All
	Workers int   // goroutines that decode a PBF file; 0 = 2
	// MaxNodes bounds the nodes kept while reading, and with them the memory (some 20 bytes each); a
	// corridor that holds more is refused. 0 = 200 million.
	MaxNodes int
}

func (o Options) parts() Parts {
	if o.Parts == 0 {
		return All
	}
	return o.Parts
}

func (o Options) workers() int {
	if o.Workers <= 0 {
		return 2
	}
	return min(o.Workers, 64)
}

func (o Options) maxNodes() int {
	if o.MaxNodes <= 0 {
		return 200_000_000
	}
	return o.MaxNodes
}
