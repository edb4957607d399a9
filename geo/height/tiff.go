package height

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
)

// Tags looked at. Sources: TIFF revision 6.0 (1992); Adobe Photoshop TIFF technical notes (2002) for
// predictor 3 and deflate; OGC GeoTIFF 1.1; tags 42112 and 42113 of GDAL.
const (
	tagSubfile        = 254
	tagWidth          = 256
	tagHeight         = 257
	tagBits           = 258
	tagCompression    = 259
	tagFillOrder      = 266
	tagStripOffsets   = 273
	tagOrientation    = 274
	tagSamples        = 277
	tagRowsPerStrip   = 278
	tagStripCounts    = 279
	tagPredictor      = 317
	tagTileWidth      = 322
	tagTileHeight     = 323
	tagTileOffsets    = 324
	tagTileCounts     = 325
	tagSampleFormat   = 339
	tagPixelScale     = 33550
	tagTiePoint       = 33922
	tagTransformation = 34264
	tagGeoKeys        = 34735
	tagMetadata       = 42112
	tagNoData         = 42113
)

// maxValues bounds the values of one tag kept in memory; block lists of the largest files stay far
// below it.
const maxValues = 1 << 24

// tiff is the directory of one image of a file.
type tiff struct {
	r     io.ReaderAt
	size  int64
	order binary.ByteOrder
	tags  map[uint16]entry
}

// entry is one tag: its type, the number of values, and where they begin in the file.
type entry struct {
	kind  uint16
	count uint64
	at    int64
}

// kindSize holds the bytes of one value by type, 0 for types not read here.
var kindSize = [...]uint64{0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8, 4, 0, 0, 8, 8, 8}

// openTIFF finds the first full image of a file.
func openTIFF(r io.ReaderAt, size int64) (*tiff, error) {
	d := &tiff{r: r, size: size}
	head, err := d.bytes(0, 8)
	if err != nil {
		return nil, bad("", "is too short for a TIFF file", "")
	}
	switch string(head[:2]) {
	case "II":
		d.order = binary.LittleEndian
	case "MM":
		d.order = binary.BigEndian
	default:
		return nil, bad("", "is not a TIFF file", "")
	}
	var big bool
	var next uint64
	switch v := d.order.Uint16(head[2:]); v {
	case 42:
		next = uint64(d.order.Uint32(head[4:]))
	case 43:
		if head, err = d.bytes(0, 16); err != nil || d.order.Uint16(head[4:]) != 8 {
			return nil, bad("", "has a BigTIFF header that cannot be read", remedyAgain)
		}
		big, next = true, d.order.Uint64(head[8:])
	default:
		return nil, bad("", fmt.Sprintf("is TIFF of unknown version %d", v), "")
	}
	// Overviews and masks have their own directories; the first that is neither holds the heights.
	for range 64 {
		if next == 0 {
			break
		}
		if next, err = d.directory(next, big); err != nil {
			return nil, err
		}
		kind, err := d.number(tagSubfile, 0)
		if err != nil {
			return nil, err
		}
		if kind&(1|4) == 0 {
			return d, nil
		}
	}
	return nil, bad("", "holds no full image", "")
}

// directory reads the tags at an offset and gives the offset of the next directory.
func (d *tiff) directory(at uint64, big bool) (next uint64, err error) {
	cut := bad(fmt.Sprintf("byte %d", at), "the list of tags lies outside the file", remedyAgain)
	if at > uint64(d.size) {
		return 0, cut
	}
	head, entrySize, word := 2, 12, 4
	if big {
		head, entrySize, word = 8, 20, 8
	}
	b, err := d.bytes(int64(at), head)
	if err != nil {
		return 0, cut
	}
	var n uint64
	if big {
		n = d.order.Uint64(b)
	} else {
		n = uint64(d.order.Uint16(b))
	}
	if n == 0 || n > 4096 {
		return 0, bad(fmt.Sprintf("byte %d", at), fmt.Sprintf("a list of %d tags is not one of a height grid", n), remedyAgain)
	}
	body := int64(at) + int64(head)
	if b, err = d.bytes(body, int(n)*entrySize+word); err != nil {
		return 0, cut
	}
	d.tags = make(map[uint16]entry, n)
	for i := range int(n) {
		e := b[i*entrySize:]
		t := entry{kind: d.order.Uint16(e[2:])}
		valueAt := body + int64(i*entrySize)
		var size uint64
		if int(t.kind) < len(kindSize) {
			size = kindSize[t.kind]
		}
		if big {
			t.count, t.at = d.order.Uint64(e[4:]), valueAt+12
			if size > 0 && t.count > 8/size {
				t.at = int64(min(d.order.Uint64(e[12:]), math.MaxInt64))
			}
		} else {
			t.count, t.at = uint64(d.order.Uint32(e[4:])), valueAt+8
			if size > 0 && t.count > 4/size {
				t.at = int64(d.order.Uint32(e[8:]))
			}
		}
		if _, ok := d.tags[d.order.Uint16(e)]; !ok {
			d.tags[d.order.Uint16(e)] = t
		}
	}
	if e := b[int(n)*entrySize:]; big {
		return d.order.Uint64(e), nil
	} else {
		return uint64(d.order.Uint32(e)), nil
	}
}

var errOutside = errors.New("outside the file")

// bytes reads n bytes at an offset.
func (d *tiff) bytes(at int64, n int) ([]byte, error) {
	if at < 0 || n < 0 || at > d.size-int64(n) {
		return nil, errOutside
	}
	b := make([]byte, n)
	if _, err := d.r.ReadAt(b, at); err != nil && !(errors.Is(err, io.EOF) && at+int64(n) == d.size) {
		return nil, err
	}
	return b, nil
}

// raw reads the values of a tag as bytes; nil when there is none.
func (d *tiff) raw(tag uint16, most uint64) ([]byte, uint16, error) {
	e, ok := d.tags[tag]
	if !ok {
		return nil, 0, nil
	}
	where := fmt.Sprintf("tag %d", tag)
	if int(e.kind) >= len(kindSize) || kindSize[e.kind] == 0 {
		return nil, 0, bad(where, fmt.Sprintf("has values of unknown type %d", e.kind), remedyAgain)
	}
	if e.count > most {
		return nil, 0, bad(where, fmt.Sprintf("%d values are more than can be read", e.count), remedyAgain)
	}
	b, err := d.bytes(e.at, int(e.count*kindSize[e.kind]))
	if err != nil {
		return nil, 0, bad(where, "its values lie outside the file", remedyAgain)
	}
	return b, e.kind, nil
}

// ints reads whole numbers; nil when the tag is absent.
func (d *tiff) ints(tag uint16, most uint64) ([]uint64, error) {
	b, kind, err := d.raw(tag, most)
	if err != nil || b == nil {
		return nil, err
	}
	n := kindSize[kind]
	out := make([]uint64, uint64(len(b))/n)
	for i := range out {
		v := b[uint64(i)*n:]
		switch kind {
		case 1, 7:
			out[i] = uint64(v[0])
		case 3:
			out[i] = uint64(d.order.Uint16(v))
		case 4, 13:
			out[i] = uint64(d.order.Uint32(v))
		case 16, 18:
			out[i] = d.order.Uint64(v)
		default:
			return nil, bad(fmt.Sprintf("tag %d", tag), "does not hold whole numbers", remedyAgain)
		}
	}
	return out, nil
}

// number reads a single whole number, or gives the fallback when the tag is absent or empty.
func (d *tiff) number(tag uint16, fallback uint64) (uint64, error) {
	v, err := d.ints(tag, maxValues)
	if err != nil || len(v) == 0 {
		return fallback, err
	}
	return v[0], nil
}

// floats reads at least n doubles; nil when the tag is absent.
func (d *tiff) floats(tag uint16, n int) ([]float64, error) {
	b, kind, err := d.raw(tag, 1024)
	if err != nil || b == nil {
		return nil, err
	}
	if kind != 12 || len(b) < 8*n {
		return nil, bad(fmt.Sprintf("tag %d", tag), fmt.Sprintf("does not hold %d numbers", n), remedyAgain)
	}
	out := make([]float64, len(b)/8)
	for i := range out {
		out[i] = math.Float64frombits(d.order.Uint64(b[8*i:]))
	}
	return out, nil
}

// text reads a string; "" when the tag is absent.
func (d *tiff) text(tag uint16) (string, error) {
	b, kind, err := d.raw(tag, 1<<20)
	if err != nil || b == nil || kind != 2 {
		return "", err
	}
	return strings.TrimRight(string(b), "\x00"), nil
}
