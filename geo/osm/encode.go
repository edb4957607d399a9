package osm

import (
	"encoding/binary"
	"hash/crc32"
	"io"
	"math"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// A region is kept between two runs in a form of our own: a magic text and version, then a table of all
// strings and the parts of the region as varints, positions as differences in units of 1e-7 degree, and a
// CRC-32C of it all at the end. Positions finer than 1e-7 degree (1 cm) are rounded.

const (
	cacheMagic   = "lastroad region\n"
	cacheVersion = 2 // since 2 the outline ends at the declared box
)

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// Encode writes the region so that [Decode] gives it back. The same region gives the same bytes.
func (r *Region) Encode(w io.Writer) error {
	e := &encoder{index: map[string]uint64{}}
	e.region(r)
	head := append([]byte(cacheMagic), cacheVersion)
	head = binary.AppendUvarint(head, uint64(len(e.strings)))
	for _, s := range e.strings {
		head = binary.AppendUvarint(head, uint64(len(s)))
		head = append(head, s...)
	}
	sum := crc32.Update(crc32.Checksum(head, castagnoli), castagnoli, e.b)
	for _, b := range [][]byte{head, e.b, binary.LittleEndian.AppendUint32(nil, sum)} {
		if _, err := w.Write(b); err != nil {
			return err
		}
	}
	return nil
}

type encoder struct {
	b        []byte
	strings  []string
	index    map[string]uint64
	lon, lat int64 // last position
}

func (e *encoder) uint(v int)   { e.b = binary.AppendUvarint(e.b, uint64(v)) }
func (e *encoder) int(v int64)  { e.b = binary.AppendVarint(e.b, v) }
func (e *encoder) byte(v uint8) { e.b = append(e.b, v) }
func (e *encoder) float(v float64) {
	e.b = binary.LittleEndian.AppendUint64(e.b, math.Float64bits(v))
}

func (e *encoder) bool(v bool) {
	if v {
		e.byte(1)
	} else {
		e.byte(0)
	}
}

func (e *encoder) str(s string) {
	i, ok := e.index[s]
	if !ok {
		i = uint64(len(e.strings))
		e.strings = append(e.strings, s)
		e.index[s] = i
	}
	e.b = binary.AppendUvarint(e.b, i)
}

func (e *encoder) strs(s []string) {
	e.uint(len(s))
	for _, v := range s {
		e.str(v)
	}
}

func (e *encoder) tags(t Tags) {
	e.uint(len(t))
	for _, x := range t {
		e.str(x.Key)
		e.str(x.Value)
	}
}

func (e *encoder) point(p orb.Point) {
	lon, lat := int64(math.Round(p[0]*1e7)), int64(math.Round(p[1]*1e7))
	e.int(lon - e.lon)
	e.int(lat - e.lat)
	e.lon, e.lat = lon, lat
}

func (e *encoder) points(l []orb.Point) {
	e.uint(len(l))
	for _, p := range l {
		e.point(p)
	}
}

func (e *encoder) bound(b orb.Bound) {
	for _, v := range [...]float64{b.Min[0], b.Min[1], b.Max[0], b.Max[1]} {
		e.float(v)
	}
}

func (e *encoder) region(r *Region) {
	e.strs(r.Sources)
	e.strs(r.Credit)
	e.strs(r.Notes)
	f := r.File
	for _, v := range [...]int64{f.Nodes, f.Ways, f.Relations, f.BrokenWays, f.BrokenRelations} {
		e.int(v)
	}
	e.str(f.Timestamp)
	e.bound(r.Box)
	e.bound(r.Declared)
	e.uint(len(r.Outline))
	for _, ring := range r.Outline {
		e.points(ring)
	}
	// The corridor exactly: the mask is made anew from it.
	e.float(r.Corridor.RadiusM)
	e.uint(len(r.Corridor.Line))
	for _, p := range r.Corridor.Line {
		e.float(p[0])
		e.float(p[1])
	}
	e.uint(len(r.Ways))
	last := int64(0)
	for i := range r.Ways {
		w := &r.Ways[i]
		e.int(w.ID)
		e.tags(w.Tags)
		e.points(w.Line)
		for _, id := range w.Nodes {
			e.int(id - last)
			last = id
		}
	}
	e.uint(len(r.Areas))
	for i := range r.Areas {
		a := &r.Areas[i]
		e.int(a.ID)
		e.bool(a.Relation)
		e.byte(uint8(a.Kind))
		e.tags(a.Tags)
		e.uint(len(a.Polygons))
		for _, p := range a.Polygons {
			e.uint(len(p))
			for _, ring := range p {
				e.points(ring)
			}
		}
	}
	for _, lines := range [][]Line{r.Waterways, r.Cliffs} {
		e.uint(len(lines))
		for i := range lines {
			l := &lines[i]
			e.int(l.ID)
			e.byte(uint8(l.Kind))
			e.bool(l.Intermittent)
			e.tags(l.Tags)
			e.points(l.Line)
		}
	}
	e.uint(len(r.Nodes))
	for i := range r.Nodes {
		n := &r.Nodes[i]
		e.int(n.ID)
		e.byte(uint8(n.Kind))
		e.tags(n.Tags)
		e.point(n.At)
	}
	e.uint(len(r.Places))
	for i := range r.Places {
		p := &r.Places[i]
		e.byte(uint8(p.Kind))
		e.str(p.Name)
		e.str(p.Tag)
		e.int(p.OSM)
		e.float(p.At[0]) // centroids are finer than 1e-7
		e.float(p.At[1])
		e.float(p.OffM)
		e.float(p.RouteM)
	}
}

// decodedKinds are the limits of the kinds in a file.
const (
	maxAreaKind = uint64(NumAreaKinds)
	maxLineKind = uint64(NumLineKinds)
	maxNodeKind = uint64(NumNodeKinds)
	maxHelpKind = uint64(geo.NumHelp)
)
