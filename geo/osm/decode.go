package osm

import (
	"encoding/binary"
	"hash/crc32"
	"io"
	"math"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// maxCache is the largest kept region that is read, in bytes.
const maxCache = 2 << 30

// Decode reads a region that [Region.Encode] wrote. Anything else, another version of the form included, is
// a [geo.InputError]: then the region must be read from its sources again.
func Decode(r io.Reader) (*Region, error) {
	b, err := io.ReadAll(io.LimitReader(r, maxCache+1))
	if err != nil {
		return nil, &geo.InputError{Reason: "the kept region cannot be read", Err: err}
	}
	bad := func(reason string) (*Region, error) {
		return nil, &geo.InputError{Reason: "the kept region " + reason, Remedy: "read the region file again"}
	}
	switch n := len(cacheMagic); {
	case len(b) > maxCache:
		return bad("is too large")
	case len(b) < n+1+4 || string(b[:n]) != cacheMagic:
		return bad("is not one")
	case b[n] != cacheVersion:
		return bad("was written by another version of the program")
	}
	body, sum := b[:len(b)-4], binary.LittleEndian.Uint32(b[len(b)-4:])
	if crc32.Checksum(body, castagnoli) != sum {
		return bad("is damaged: its check sum is wrong")
	}
	d := &decoderOf{b: body[len(cacheMagic)+1:]}
	d.table()
	out := d.region()
	if d.bad || len(d.b) != 0 {
		return bad("is damaged")
	}
	out.kept = newMask(out.Corridor)
	linkNodes(out)
	return out, nil
}

// decoderOf takes a kept region apart. After a fault all reads give zero values and bad is set.
type decoderOf struct {
	b        []byte
	strings  []string
	lon, lat int64
	bad      bool
}

func (d *decoderOf) fault() { d.bad, d.b = true, nil }

func (d *decoderOf) uvarint() uint64 {
	v, n := binary.Uvarint(d.b)
	if n <= 0 {
		d.fault()
		return 0
	}
	d.b = d.b[n:]
	return v
}

// count reads a number of things of which each takes at least size bytes.
func (d *decoderOf) count(size int) int {
	v := d.uvarint()
	if v > uint64(len(d.b)/size) {
		d.fault()
		return 0
	}
	return int(v)
}

func (d *decoderOf) int() int64 {
	v, n := binary.Varint(d.b)
	if n <= 0 {
		d.fault()
		return 0
	}
	d.b = d.b[n:]
	return v
}

func (d *decoderOf) byte(limit uint64) uint8 {
	if len(d.b) == 0 || uint64(d.b[0]) >= limit {
		d.fault()
		return 0
	}
	v := d.b[0]
	d.b = d.b[1:]
	return v
}

func (d *decoderOf) float() float64 {
	if len(d.b) < 8 {
		d.fault()
		return 0
	}
	v := math.Float64frombits(binary.LittleEndian.Uint64(d.b))
	d.b = d.b[8:]
	return v
}

// table reads the strings.
func (d *decoderOf) table() {
	n := d.count(1)
	d.strings = make([]string, 0, n)
	for range n {
		l := d.count(1)
		d.strings = append(d.strings, string(d.b[:l]))
		d.b = d.b[l:]
	}
}

func (d *decoderOf) str() string {
	i := d.uvarint()
	if i >= uint64(len(d.strings)) {
		d.fault()
		return ""
	}
	return d.strings[i]
}

func (d *decoderOf) strs() []string {
	n := d.count(1)
	if n == 0 {
		return nil
	}
	s := make([]string, n)
	for i := range s {
		s[i] = d.str()
	}
	return s
}

func (d *decoderOf) tags() Tags {
	n := d.count(2)
	if n == 0 {
		return nil
	}
	t := make(Tags, n)
	for i := range t {
		t[i] = Tag{d.str(), d.str()}
	}
	return t
}

func (d *decoderOf) point() orb.Point {
	d.lon += d.int()
	d.lat += d.int()
	if d.lon < -1_800_000_000 || d.lon > 1_800_000_000 || d.lat < -900_000_000 || d.lat > 900_000_000 {
		d.fault()
		return orb.Point{}
	}
	return orb.Point{float64(d.lon) / 1e7, float64(d.lat) / 1e7}
}

// points reads a list of at least least positions.
func (d *decoderOf) points(least int) []orb.Point {
	n := d.count(2)
	if n < least {
		d.fault()
		return nil
	}
	l := make([]orb.Point, n)
	for i := range l {
		l[i] = d.point()
	}
	return l
}

func (d *decoderOf) bound() orb.Bound {
	return orb.Bound{Min: orb.Point{d.float(), d.float()}, Max: orb.Point{d.float(), d.float()}}
}

// degrees reads a position of full precision.
func (d *decoderOf) degrees() orb.Point {
	p := orb.Point{d.float(), d.float()}
	if !(math.Abs(p[0]) <= 360 && math.Abs(p[1]) <= 90) {
		d.fault()
	}
	return p
}

func (d *decoderOf) region() *Region {
	r := &Region{}
	r.Sources, r.Credit, r.Notes = d.strs(), d.strs(), d.strs()
	f := &r.File
	for _, v := range [...]*int64{&f.Nodes, &f.Ways, &f.Relations, &f.BrokenWays, &f.BrokenRelations} {
		*v = d.int()
	}
	f.Timestamp = d.str()
	r.Box, r.Declared = d.bound(), d.bound()
	for range d.count(2) {
		r.Outline = append(r.Outline, d.points(4))
	}
	r.Corridor.RadiusM = d.float()
	for range d.count(16) {
		r.Corridor.Line = append(r.Corridor.Line, d.degrees())
	}
	if rad := r.Corridor.RadiusM; !(rad >= 0 && rad < 1e7) || len(r.Corridor.Line) > 0 && rad > 0 && rad < 1 {
		d.fault()
	}
	last := int64(0)
	if n := d.count(8); n > 0 {
		r.Ways = make([]Way, 0, n)
		for range n {
			w := Way{ID: d.int(), Tags: d.tags(), Line: d.points(2)}
			w.Nodes = make([]int64, len(w.Line))
			for i := range w.Nodes {
				last += d.int()
				w.Nodes[i] = last
			}
			if d.bad {
				return r
			}
			r.Ways = append(r.Ways, w)
		}
	}
	if n := d.count(5); n > 0 {
		r.Areas = make([]Area, 0, n)
		for range n {
			a := Area{ID: d.int(), Relation: d.byte(2) == 1, Kind: AreaKind(d.byte(maxAreaKind)), Tags: d.tags()}
			for range d.count(1) {
				var p orb.Polygon
				for range d.count(1) {
					p = append(p, d.points(4))
				}
				if len(p) == 0 {
					d.fault()
				}
				a.Polygons = append(a.Polygons, p)
			}
			if d.bad || len(a.Polygons) == 0 {
				d.fault()
				return r
			}
			a.Bound = a.Polygons.Bound()
			r.Areas = append(r.Areas, a)
		}
	}
	for _, lines := range [...]*[]Line{&r.Waterways, &r.Cliffs} {
		n := d.count(8)
		if n == 0 {
			continue
		}
		*lines = make([]Line, 0, n)
		for range n {
			*lines = append(*lines, Line{ID: d.int(), Kind: LineKind(d.byte(maxLineKind)), Intermittent: d.byte(2) == 1, Tags: d.tags(), Line: d.points(2)})
			if d.bad {
				return r
			}
		}
	}
	for range d.count(5) {
		n := Node{ID: d.int(), Kind: NodeKind(d.byte(maxNodeKind)), Tags: d.tags(), At: d.point()}
		if d.bad {
			return r
		}
		r.Nodes = append(r.Nodes, n)
	}
	for range d.count(36) {
		p := geo.Place{Kind: geo.HelpKind(d.byte(maxHelpKind)), Name: d.str(), Tag: d.str(), OSM: d.int(), At: d.degrees(), OffM: d.float(), RouteM: d.float()}
		if d.bad {
			return r
		}
		r.Places = append(r.Places, p)
	}
	return r
}
