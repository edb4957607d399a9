package osm

import (
	"bytes"
	"context"

	"lastroad/geo"
)

// Read reads from a file what lies in a corridor. The format is told by the content: OSM PBF, OSM XML
// (plain, gzip or bzip2) or GeoJSON (plain, gzip or bzip2).
//
// report, which may be nil, is called from one goroutine at a time with the work done and the
// total, in bytes read. Reading stops soon after ctx is cancelled, with ctx's error. Memory is bounded
// by what lies in the corridor (some 11 to 16 bytes a node of any kind, 24 a point of a kept way), not by the
// size of the file: of that follows only how many elements it is believed to hold, so that a file made to swell takes at
// worst some 50 times its size. Bad input gives a [geo.InputError]; broken ways and relations are counted and noted
// instead.
//
// The table in the README measures it beside other programs. A corridor of 100 km in a file of 750 MB (120 million
// nodes) takes 320 MB of memory at the peak (TestHugeFile). bzip2 is unpacked by the standard library at some 15 MB of
// text a second and bounds the reading of .bz2 files.
func Read(ctx context.Context, src Source, corridor Corridor, opts Options, report func(done, total int64)) (*Region, error) {
	head := make([]byte, min(src.Size, 1024))
	if err := readAt(src.R, head, 0); err != nil && src.Size > 0 {
		return nil, &geo.InputError{File: src.Name, Reason: "cannot be read", Err: err}
	}
	kept := newMask(corridor)
	p := &progress{f: report, total: max(src.Size, 1)}
	var c *collection
	var err error
	switch sniff(head) {
	case formatEmpty:
		err = &geo.InputError{File: src.Name, Reason: "the file is empty", Remedy: "choose an OpenStreetMap extract (.osm.pbf, .osm, .osm.bz2, .osm.gz) or GeoJSON"}
	case formatPBF:
		if kept != nil {
			p.total *= 2 // node blobs at the corridor's edge come twice
		}
		c, err = readPBF(ctx, src, kept, opts, p)
	case formatText, formatGzip, formatBzip2:
		c, err = readText(ctx, src, kept, opts, p)
	default:
		err = &geo.InputError{File: src.Name, Reason: "is neither OpenStreetMap data (PBF or XML) nor GeoJSON",
			Remedy: "choose an OpenStreetMap extract (.osm.pbf, .osm, .osm.bz2, .osm.gz) or GeoJSON"}
	}
	if err != nil {
		return nil, err
	}
	r := c.region(opts.parts(), kept, opts.workers())
	r.Sources, r.Credit = []string{src.Name}, []string{c.credit(src.Name)}
	r.Corridor, r.kept = corridor, kept
	p.end()
	return r, nil
}

// format is what a file looks like from its first bytes.
type format uint8

const (
	formatUnknown format = iota
	formatEmpty
	formatPBF
	formatText // XML or JSON
	formatGzip
	formatBzip2
)

// sniff tells the format of a file by its first bytes.
func sniff(head []byte) format {
	switch {
	case len(head) == 0:
		return formatEmpty
	case bytes.HasPrefix(head, []byte{0x1f, 0x8b}):
		return formatGzip
	case bytes.HasPrefix(head, []byte("BZh")):
		return formatBzip2
	case len(head) > 16 && bytes.Contains(head[:min(len(head), 64)], []byte("OSMHeader")):
		return formatPBF
	case bytes.HasPrefix(head, []byte{0xff, 0xfe}), bytes.HasPrefix(head, []byte{0xfe, 0xff}):
		return formatUnknown // UTF-16
	}
	text := bytes.TrimLeft(bytes.TrimPrefix(head, []byte("\xef\xbb\xbf")), " \t\r\n")
	if len(text) > 0 && (text[0] == '<' || text[0] == '{') {
		return formatText
	}
	if len(text) == 0 {
		return formatEmpty
	}
	return formatUnknown
}
