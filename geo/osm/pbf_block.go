package osm

import (
	"math"
	"strings"
)

// block is one PrimitiveBlock: its strings and groups, not yet decoded. A decoder is re-used from
// block to block by one goroutine.
type block struct {
	n       int // number of the blob, for errors
	strings []span
	data    []byte // what the spans point into
	groups  [][]byte
	gran    int64
	latOff  int64
	lonOff  int64
	use     []uint8  // of each string as a key; 255 = not looked up yet
	text    []string // of each string, made on first use; "" = not made yet
	intern  map[string]string
	slab    strings.Builder
}

// span is a string of the table.
type span struct{ from, to int32 }

const notLookedUp = 255

// open takes a PrimitiveBlock apart; false when it is garbled.
func (b *block) open(data []byte) bool {
	b.data, b.strings, b.groups = data, b.strings[:0], b.groups[:0]
	b.gran, b.latOff, b.lonOff = 100, 0, 0
	w := wire{b: data}
	for w.next() {
		switch {
		case w.bytes(1):
			base := w.i - len(w.data)
			s := wire{b: w.data}
			for s.next() {
				if s.bytes(1) {
					end := base + s.i
					b.strings = append(b.strings, span{int32(end - len(s.data)), int32(end)})
				}
			}
			if s.bad {
				return false
			}
		case w.bytes(2):
			b.groups = append(b.groups, w.data)
		case w.varint(17):
			b.gran = int64(w.val)
		case w.varint(19):
			b.latOff = int64(w.val)
		case w.varint(20):
			b.lonOff = int64(w.val)
		}
	}
	n := len(b.strings)
	if cap(b.use) < n {
		b.use = make([]uint8, n+n/2)
		b.text = make([]string, n+n/2)
	}
	b.use, b.text = b.use[:n], b.text[:n]
	for i := range b.use {
		b.use[i] = notLookedUp
	}
	clear(b.text)
	return !w.bad && b.gran > 0 && b.gran < 1<<31 && inDegrees(b.latOff) && inDegrees(b.lonOff)
}

// inDegrees reports whether nano degrees lie on the globe.
func inDegrees(nano int64) bool { return nano >= -360e9 && nano <= 360e9 }

// key is what string i as a key is kept for; 0 for a string that is not in the table.
func (b *block) key(i uint64) keyUse {
	if i >= uint64(len(b.use)) {
		return 0
	}
	if u := b.use[i]; u != notLookedUp {
		return keyUse(u)
	}
	s := b.strings[i]
	u := keys[string(b.data[s.from:s.to])]
	b.use[i] = uint8(u)
	return u
}

// str is string i. With shared set it is the same in all blocks, for words that come again and again; names are too many
// for that to pay, and are cut from a slab.
func (b *block) str(i uint64, shared bool) string {
	if i >= uint64(len(b.text)) {
		return ""
	}
	if s := b.text[i]; s != "" {
		return s
	}
	s := b.strings[i]
	raw := b.data[s.from:s.to]
	text, ok := "", false
	if shared {
		text, ok = b.intern[string(raw)]
	}
	if !ok {
		text = b.cut(raw)
		if shared && len(b.intern) < 1<<16 { // a garbled file would fill it without end
			b.intern[text] = text
		}
	}
	b.text[i] = text
	return text
}

// cut copies a string into the slab.
func (b *block) cut(raw []byte) string {
	if b.slab.Cap()-b.slab.Len() < len(raw) {
		b.slab = strings.Builder{}
		b.slab.Grow(max(len(raw), 1<<13))
	}
	from := b.slab.Len()
	b.slab.Write(raw)
	return b.slab.String()[from:]
}

// place turns a position in units of the block into 1e-7 degree; ok is false off the globe.
func (b *block) place(lat, lon int64) (p e7, ok bool) {
	if b.gran == 100 && b.latOff == 0 && b.lonOff == 0 {
		if lat < -900_000_000 || lat > 900_000_000 || lon < -1_800_000_000 || lon > 1_800_000_000 {
			return nowhere, false
		}
		return e7{int32(lon), int32(lat)}, true
	}
	y, x := (float64(b.latOff)+float64(b.gran)*float64(lat))/100, (float64(b.lonOff)+float64(b.gran)*float64(lon))/100
	if !(math.Abs(y) <= 900_000_000 && math.Abs(x) <= 1_800_000_000) {
		return nowhere, false
	}
	return e7{int32(math.Round(x)), int32(math.Round(y))}, true
}

// kinds tells which elements the block holds without decoding them.
func (b *block) kinds() (nodes, ways, rels bool) {
	for _, g := range b.groups {
		w := wire{b: g}
		if w.next() { // a group holds elements of one kind
			switch w.num {
			case 1, 2:
				nodes = true
			case 3:
				ways = true
			case 4:
				rels = true
			}
		}
	}
	return nodes, ways, rels
}
