package osm

import (
	"encoding/binary"
	"errors"
	"math/bits"
)

// The protobuf wire format, as far as OSM PBF uses it (protobuf.dev, "Encoding"): varints, zigzag
// varints, length-delimited fields; 32- and 64-bit fields only to pass over them. Written by hand
// because the reading of a region spends its time here and in inflating.

var errWire = errors.New("the protobuf data are cut off or garbled")

// uvarint reads a varint of b from i; n is the index after it, -1 when it is cut off or longer than
// 64 bits.
func uvarint(b []byte, i int) (v uint64, n int) {
	for shift := uint(0); i < len(b) && shift < 64; shift += 7 {
		c := b[i]
		i++
		v |= uint64(c&0x7f) << shift
		if c < 0x80 {
			return v, i
		}
	}
	return 0, -1
}

// packedVarint is uvarint where many follow one another, of lengths that cannot be foreseen: eight bytes are taken together,
// and their sevens of bits pushed together by halves, without asking at each byte whether it is the last.
func packedVarint(b []byte, i int) (v uint64, n int) {
	if i+8 > len(b) {
		return uvarint(b, i)
	}
	v = binary.LittleEndian.Uint64(b[i:])
	last := ^v & 0x8080808080808080
	if last == 0 { // longer than eight bytes
		return uvarint(b, i)
	}
	v &= last ^ (last - 1) // up to the highest bit of the last byte, which is 0
	v &= 0x7f7f7f7f7f7f7f7f
	v = v&0x007f007f007f007f | v&0x7f007f007f007f00>>1
	v = v&0x00003fff00003fff | v&0x3fff00003fff0000>>2
	v = v&0x000000000fffffff | v&0x0fffffff00000000>>4
	return v, i + bits.TrailingZeros64(last)>>3 + 1
}

// zigzag undoes the folding of signed numbers.
func zigzag(v uint64) int64 { return int64(v>>1) ^ -int64(v&1) }

// wire walks over the fields of one message.
type wire struct {
	b    []byte
	i    int
	num  uint64 // of the current field
	kind uint8  // wire type of the current field: 0 varint, 1 64 bit, 2 bytes, 5 32 bit
	val  uint64 // of a varint
	data []byte // of a bytes field
	bad  bool
}

// next steps to the next field; false at the end or when the data are bad.
func (w *wire) next() bool {
	if w.i >= len(w.b) || w.bad {
		return false
	}
	tag, i := uvarint(w.b, w.i)
	if i < 0 || tag>>3 == 0 {
		w.bad = true
		return false
	}
	w.num, w.kind = tag>>3, uint8(tag&7)
	switch w.kind {
	case 0:
		if w.val, i = uvarint(w.b, i); i < 0 {
			w.bad = true
			return false
		}
	case 1:
		i += 8
	case 2:
		n, j := uvarint(w.b, i)
		if j < 0 || n > uint64(len(w.b)-j) {
			w.bad = true
			return false
		}
		w.data = w.b[j : j+int(n)]
		i = j + int(n)
	case 5:
		i += 4
	default: // groups, which OSM PBF does not have
		w.bad = true
		return false
	}
	if i > len(w.b) {
		w.bad = true
		return false
	}
	w.i = i
	return true
}

// bytes reports whether the current field is number n with bytes.
func (w *wire) bytes(n uint64) bool { return w.num == n && w.kind == 2 }

// varint reports whether the current field is number n with a varint.
func (w *wire) varint(n uint64) bool { return w.num == n && w.kind == 0 }

// each calls f for every varint of a packed field; it reports false when the data are bad.
func each(packed []byte, f func(v uint64)) bool {
	for i := 0; i < len(packed); {
		v, n := uvarint(packed, i)
		if n < 0 {
			return false
		}
		f(v)
		i = n
	}
	return true
}
