// Package osmtest writes OpenStreetMap PBF files for tests: small ones with the faults that a reader must
// survive, and large ones made of shifted copies. It is not part of the program.
package osmtest

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"io"

	"github.com/klauspost/compress/zstd"
)

// Tag is a key and a value.
type Tag struct{ Key, Value string }

// Node is a node; its position is in units of 1e-7 degree.
type Node struct {
	ID       int64
	Lon, Lat int64
	Tags     []Tag
}

// Way is a way.
type Way struct {
	ID   int64
	Refs []int64
	Tags []Tag
}

// Member is a member of a relation; Type is 0 for nodes, 1 for ways, 2 for relations.
type Member struct {
	Ref  int64
	Type int
	Role string
}

// Relation is a relation.
type Relation struct {
	ID      int64
	Members []Member
	Tags    []Tag
}

// Block is what one blob holds.
type Block struct {
	Nodes     []Node
	Ways      []Way
	Relations []Relation
	// Plain writes nodes one by one instead of densely.
	Plain bool
	// Granularity and the offsets are those of the format; 0 = 100 nanodegrees. Positions must fit.
	Granularity, LatOffset, LonOffset int64
}

// Packing is how blobs are packed.
type Packing int

// The packings.
const (
	Zlib Packing = iota
	Raw
	Zstd
)

// Writer writes a file blob by blob.
type Writer struct {
	w       io.Writer
	packing Packing
	level   int
	err     error
}

// NewWriter writes the header block. level is that of zlib; 0 = the default.
func NewWriter(w io.Writer, packing Packing, level int) *Writer {
	if level == 0 {
		level = zlib.DefaultCompression
	}
	out := &Writer{w: w, packing: packing, level: level}
	var h []byte
	h = field(h, 4, []byte("OsmSchema-V0.6"))
	h = field(h, 4, []byte("DenseNodes"))
	out.Blob("OSMHeader", out.Pack(h))
	return out
}

// Err is the first error of writing.
func (w *Writer) Err() error { return w.err }

// Blob writes a blob as it is given: a Blob message under a header of the given type.
func (w *Writer) Blob(kind string, blob []byte) {
	var h []byte
	h = field(h, 1, []byte(kind))
	h = varint(h, 3, uint64(len(blob)))
	var size [4]byte
	binary.BigEndian.PutUint32(size[:], uint32(len(h)))
	for _, b := range [][]byte{size[:], h, blob} {
		if _, err := w.w.Write(b); err != nil && w.err == nil {
			w.err = err
		}
	}
}

// Pack makes a Blob message of the bytes of a block.
func (w *Writer) Pack(plain []byte) []byte {
	var blob []byte
	switch w.packing {
	case Raw:
		return field(blob, 1, plain)
	case Zstd:
		e, err := zstd.NewWriter(nil)
		if err != nil {
			panic(err)
		}
		defer e.Close()
		blob = varint(blob, 2, uint64(len(plain)))
		return field(blob, 7, e.EncodeAll(plain, nil))
	}
	var z bytes.Buffer
	zw, err := zlib.NewWriterLevel(&z, w.level)
	if err != nil {
		panic(err)
	}
	zw.Write(plain)
	zw.Close()
	blob = varint(blob, 2, uint64(len(plain)))
	return field(blob, 3, z.Bytes())
}

// Block writes a block.
func (w *Writer) Block(b Block) { w.Blob("OSMData", w.Pack(Encode(b))) }

// File gives the bytes of a file of blocks.
func File(packing Packing, blocks ...Block) []byte {
	var out bytes.Buffer
	w := NewWriter(&out, packing, 0)
	for _, b := range blocks {
		w.Block(b)
	}
	return out.Bytes()
}

// Encode gives the bytes of a PrimitiveBlock.
func Encode(b Block) []byte {
	s := &strs{index: map[string]uint64{"": 0}, list: []string{""}}
	gran := b.Granularity
	if gran == 0 {
		gran = 100
	}
	unit := func(e7, offset int64) int64 { return (e7*100 - offset) / gran }
	var groups [][]byte
	if len(b.Nodes) > 0 && b.Plain {
		var g []byte
		for _, n := range b.Nodes {
			var m []byte
			m = varint(m, 1, zigzag(n.ID))
			m = s.tags(m, n.Tags)
			m = varint(m, 8, zigzag(unit(n.Lat, b.LatOffset)))
			m = varint(m, 9, zigzag(unit(n.Lon, b.LonOffset)))
			g = field(g, 1, m)
		}
		groups = append(groups, g)
	} else if len(b.Nodes) > 0 {
		var ids, lats, lons, kvs []byte
		var id, lat, lon int64
		tagged := false
		for _, n := range b.Nodes {
			y, x := unit(n.Lat, b.LatOffset), unit(n.Lon, b.LonOffset)
			ids = binary.AppendUvarint(ids, zigzag(n.ID-id))
			lats = binary.AppendUvarint(lats, zigzag(y-lat))
			lons = binary.AppendUvarint(lons, zigzag(x-lon))
			id, lat, lon = n.ID, y, x
			for _, t := range n.Tags {
				tagged = true
				kvs = binary.AppendUvarint(kvs, s.of(t.Key))
				kvs = binary.AppendUvarint(kvs, s.of(t.Value))
			}
			kvs = append(kvs, 0)
		}
		var d []byte
		d = field(d, 1, ids)
		d = field(d, 8, lats)
		d = field(d, 9, lons)
		if tagged {
			d = field(d, 10, kvs)
		}
		groups = append(groups, field(nil, 2, d))
	}
	if len(b.Ways) > 0 {
		var g []byte
		for _, w := range b.Ways {
			var m []byte
			m = varint(m, 1, uint64(w.ID))
			m = s.tags(m, w.Tags)
			var refs []byte
			last := int64(0)
			for _, r := range w.Refs {
				refs = binary.AppendUvarint(refs, zigzag(r-last))
				last = r
			}
			m = field(m, 8, refs)
			g = field(g, 3, m)
		}
		groups = append(groups, g)
	}
	if len(b.Relations) > 0 {
		var g []byte
		for _, r := range b.Relations {
			var m []byte
			m = varint(m, 1, uint64(r.ID))
			m = s.tags(m, r.Tags)
			var roles, refs, kinds []byte
			last := int64(0)
			for _, x := range r.Members {
				roles = binary.AppendUvarint(roles, s.of(x.Role))
				refs = binary.AppendUvarint(refs, zigzag(x.Ref-last))
				kinds = binary.AppendUvarint(kinds, uint64(x.Type))
				last = x.Ref
			}
			m = field(m, 8, roles)
			m = field(m, 9, refs)
			m = field(m, 10, kinds)
			g = field(g, 4, m)
		}
		groups = append(groups, g)
	}
	var table []byte
	for _, v := range s.list {
		table = field(table, 1, []byte(v))
	}
	out := field(nil, 1, table)
	for _, g := range groups {
		out = field(out, 2, g)
	}
	if gran != 100 {
		out = varint(out, 17, uint64(gran))
	}
	if b.LatOffset != 0 {
		out = varint(out, 19, uint64(b.LatOffset))
	}
	if b.LonOffset != 0 {
		out = varint(out, 20, uint64(b.LonOffset))
	}
	return out
}

type strs struct {
	index map[string]uint64
	list  []string
}

func (s *strs) of(v string) uint64 {
	i, ok := s.index[v]
	if !ok || v == "" && len(s.list) == 0 {
		i = uint64(len(s.list))
		s.list = append(s.list, v)
		s.index[v] = i
	}
	return i
}

func (s *strs) tags(m []byte, tags []Tag) []byte {
	var ks, vs []byte
	for _, t := range tags {
		ks, vs = binary.AppendUvarint(ks, s.of(t.Key)), binary.AppendUvarint(vs, s.of(t.Value))
	}
	if len(tags) == 0 {
		return m
	}
	return field(field(m, 2, ks), 3, vs)
}

func zigzag(v int64) uint64 { return uint64(v<<1) ^ uint64(v>>63) }

func field(b []byte, n int, data []byte) []byte {
	b = binary.AppendUvarint(b, uint64(n)<<3|2)
	b = binary.AppendUvarint(b, uint64(len(data)))
	return append(b, data...)
}

func varint(b []byte, n int, v uint64) []byte {
	b = binary.AppendUvarint(b, uint64(n)<<3)
	return binary.AppendUvarint(b, v)
}
