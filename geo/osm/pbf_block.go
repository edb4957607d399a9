package osm

import (
	"math"
	"slices"
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

// str is string i.
func (b *block) str(i uint64) string {
	if i >= uint64(len(b.text)) {
		return ""
	}
	if s := b.text[i]; s != "" {
		return s
	}
	s := b.strings[i]
	raw := b.data[s.from:s.to]
	text, ok := b.intern[string(raw)]
	if !ok {
		text = string(raw)
		if len(b.intern) < 1<<16 { // names would fill it without end
			b.intern[text] = text
		}
	}
	b.text[i] = text
	return text
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

// decoder decodes the elements of blocks into batches.
type decoder struct {
	block
	parts  Parts
	kept   *mask
	find   finder
	member map[int64]struct{} // ways that wanted relations are made of
	hull   hullRows

	// For the second look: ascending ids, of which alone the elements are kept; nil = the first look.
	onlyNodes, onlyWays []int64
	nodeIDs, wayIDs     idRange // of the block

	ids  []int64
	pos  []e7
	refs []int64
	tags Tags // arena
}

// decodeNodes decodes all nodes of the block; false when it is garbled.
func (d *decoder) decodeNodes(out *batch) bool {
	d.ids, d.pos = d.ids[:0], d.pos[:0]
	d.nodeIDs, d.wayIDs = noIDs, noIDs
	for _, g := range d.groups {
		w := wire{b: g}
		for w.next() {
			switch {
			case w.bytes(1):
				if !d.plainNode(w.data, out) {
					return false
				}
			case w.bytes(2):
				if !d.dense(w.data, out) {
					return false
				}
			}
		}
		if w.bad {
			return false
		}
	}
	if len(d.ids) > 0 {
		out.nodes = nodeChunk{ids: slices.Clone(d.ids), pos: slices.Clone(d.pos)}
	}
	return true
}

// plainNode decodes a node that stands alone, as few writers make them.
func (d *decoder) plainNode(data []byte, out *batch) bool {
	var id, lat, lon int64
	var ks, vs []byte
	w := wire{b: data}
	for w.next() {
		switch {
		case w.varint(1):
			id = zigzag(w.val)
		case w.bytes(2):
			ks = w.data
		case w.bytes(3):
			vs = w.data
		case w.varint(8):
			lat = zigzag(w.val)
		case w.varint(9):
			lon = zigzag(w.val)
		}
	}
	if w.bad {
		return false
	}
	if !d.node(id, lat, lon, out) {
		return true
	}
	start := len(d.tags)
	if use, ok := d.readTags(ks, vs); !ok {
		return false
	} else if use&nodeKey != 0 {
		d.point(id, start, out)
	} else {
		d.tags = d.tags[:start]
	}
	return true
}

// node counts a node and keeps it when it lies in the corridor, which it reports.
func (d *decoder) node(id, lat, lon int64, out *batch) bool {
	if d.onlyNodes != nil {
		if _, ok := slices.BinarySearch(d.onlyNodes, id); ok {
			if p, ok := d.place(lat, lon); ok {
				d.ids, d.pos = append(d.ids, id), append(d.pos, p)
			}
		}
		return false
	}
	out.counts.Nodes++
	d.nodeIDs.add(id)
	p, ok := d.place(lat, lon)
	if !ok {
		out.badNodes++
		return false
	}
	d.hull.add(p)
	if d.kept != nil && !d.kept.has(float64(p.lon)/1e7, float64(p.lat)/1e7) {
		return false
	}
	d.ids, d.pos = append(d.ids, id), append(d.pos, p)
	return true
}

// point keeps the node just read as a point when its tags, d.tags[start:], stand for something.
func (d *decoder) point(id int64, start int, out *batch) {
	t := d.tags[start:]
	if NodeKindOf(t) == NodeNone && !isPlace(t) {
		d.tags = d.tags[:start]
		return
	}
	out.points = append(out.points, rawNode{id: id, pos: d.pos[len(d.pos)-1], tags: d.takeTags(start)})
}

// takeTags cuts d.tags[start:] off as a value of its own.
func (d *decoder) takeTags(start int) Tags {
	t := slices.Clip(d.tags[start:])
	if cap(d.tags)-len(d.tags) < 64 {
		d.tags = make(Tags, 0, 2048)
	}
	return t
}

// dense decodes a DenseNodes message: ids, latitudes and longitudes as running differences in three
// packed fields, and all tags in a fourth with a 0 after each node's.
func (d *decoder) dense(data []byte, out *batch) bool {
	var ids, lats, lons, kvs []byte
	w := wire{b: data}
	for w.next() {
		switch {
		case w.bytes(1):
			ids = w.data
		case w.bytes(8):
			lats = w.data
		case w.bytes(9):
			lons = w.data
		case w.bytes(10):
			kvs = w.data
		}
	}
	if w.bad {
		return false
	}
	var id, lat, lon int64
	var i, j, k, kv int
	var v uint64
	for i < len(ids) {
		// A varint of one byte is read in place: ids mostly follow one another.
		if c := ids[i]; c < 0x80 {
			id += zigzag(uint64(c))
			i++
		} else if v, i = uvarint(ids, i); i >= 0 {
			id += zigzag(v)
		} else {
			return false
		}
		if v, j = uvarint(lats, j); j < 0 {
			return false
		}
		lat += zigzag(v)
		if v, k = uvarint(lons, k); k < 0 {
			return false
		}
		lon += zigzag(v)
		kept := d.node(id, lat, lon, out)
		if len(kvs) == 0 {
			continue
		}
		if kv >= len(kvs) {
			return false
		}
		if kvs[kv] == 0 { // no tags
			kv++
			continue
		}
		start, use := len(d.tags), keyUse(0)
		for {
			var key, val uint64
			if key, kv = uvarint(kvs, kv); kv < 0 {
				return false
			}
			if key == 0 {
				break
			}
			if val, kv = uvarint(kvs, kv); kv < 0 {
				return false
			}
			if !kept {
				continue
			}
			if u := d.key(key); u != 0 {
				use |= u
				d.tags = append(d.tags, Tag{d.str(key), cleanValue(u, d.str(val))})
			}
		}
		if use&nodeKey != 0 {
			d.point(id, start, out)
		} else {
			d.tags = d.tags[:start]
		}
	}
	return true
}

// readTags appends the tags of two packed fields to d.tags, and reports what their keys are for.
func (d *decoder) readTags(ks, vs []byte) (use keyUse, ok bool) {
	var i, j int
	for i < len(ks) {
		var k, v uint64
		if k, i = uvarint(ks, i); i < 0 {
			return 0, false
		}
		if v, j = uvarint(vs, j); j < 0 {
			return 0, false
		}
		if u := d.key(k); u != 0 {
			use |= u
			d.tags = append(d.tags, Tag{d.str(k), cleanValue(u, d.str(v))})
		}
	}
	return use, true
}

// decodeWays decodes the wanted ways of the block; false when it is garbled.
func (d *decoder) decodeWays(out *batch) bool {
	d.nodeIDs, d.wayIDs = noIDs, noIDs
	for _, g := range d.groups {
		w := wire{b: g}
		for w.next() {
			if w.bytes(3) && !d.way(w.data, out) {
				return false
			}
		}
		if w.bad {
			return false
		}
	}
	return true
}

func (d *decoder) way(data []byte, out *batch) bool {
	out.counts.Ways++
	var id int64
	var ks, vs, refs []byte
	w := wire{b: data}
	for w.next() {
		switch {
		case w.varint(1):
			id = int64(w.val)
		case w.bytes(2):
			ks = w.data
		case w.bytes(3):
			vs = w.data
		case w.bytes(8):
			refs = w.data
		}
	}
	if w.bad {
		return false
	}
	d.wayIDs.add(id)
	if d.onlyWays != nil {
		if _, ok := slices.BinarySearch(d.onlyWays, id); !ok {
			return true
		}
	}
	// Most ways are buildings: look at the keys alone first.
	var want keyUse
	for i := 0; i < len(ks); {
		var k uint64
		if k, i = uvarint(ks, i); i < 0 {
			return false
		}
		want |= d.key(k)
	}
	_, isMember := d.member[id]
	if want&wayKey == 0 && !isMember {
		return true
	}
	start := len(d.tags)
	if _, ok := d.readTags(ks, vs); !ok {
		return false
	}
	use := useOf(d.tags[start:], d.parts)
	if isMember {
		use |= useMember
	}
	if use == 0 {
		d.tags = d.tags[:start]
		return true
	}
	from := len(out.refs)
	var ref int64
	touches := d.kept == nil
	for i := 0; i < len(refs); {
		var v uint64
		if v, i = uvarint(refs, i); i < 0 {
			return false
		}
		ref += zigzag(v)
		p := d.find.find(ref)
		touches = touches || p != nowhere
		out.refs, out.pos = append(out.refs, ref), append(out.pos, p)
	}
	if !touches && d.onlyWays == nil {
		out.refs, out.pos, d.tags = out.refs[:from], out.pos[:from], d.tags[:start]
		return true
	}
	out.ways = append(out.ways, rawWay{id: id, use: use, tags: d.takeTags(start), from: int32(from), to: int32(len(out.refs))})
	return true
}

// decodeRelations decodes the wanted relations of the block; false when it is garbled.
func (d *decoder) decodeRelations(out *batch) bool {
	d.nodeIDs, d.wayIDs = noIDs, noIDs
	for _, g := range d.groups {
		w := wire{b: g}
		for w.next() {
			if w.bytes(4) && !d.relation(w.data, out) {
				return false
			}
		}
		if w.bad {
			return false
		}
	}
	return true
}

func (d *decoder) relation(data []byte, out *batch) bool {
	out.counts.Relations++
	var id int64
	var ks, vs, roles, refs, kinds []byte
	w := wire{b: data}
	for w.next() {
		switch {
		case w.varint(1):
			id = int64(w.val)
		case w.bytes(2):
			ks = w.data
		case w.bytes(3):
			vs = w.data
		case w.bytes(8):
			roles = w.data
		case w.bytes(9):
			refs = w.data
		case w.bytes(10):
			kinds = w.data
		}
	}
	if w.bad {
		return false
	}
	start := len(d.tags)
	if _, ok := d.readTags(ks, vs); !ok {
		return false
	}
	count := 0
	each(ks, func(uint64) { count++ })
	isArea, want := wantRelation(d.tags[start:], count, d.parts)
	if !want {
		d.tags = d.tags[:start]
		return true
	}
	r := rawRelation{id: id, area: isArea}
	var ref int64
	var j, k int
	for i := 0; i < len(refs); {
		var v, role, kind uint64
		if v, i = uvarint(refs, i); i < 0 {
			return false
		}
		if role, j = uvarint(roles, j); j < 0 {
			return false
		}
		if kind, k = uvarint(kinds, k); k < 0 {
			return false
		}
		ref += zigzag(v)
		s := d.str(role)
		r.members = append(r.members, member{ref: ref, kind: memberType(min(kind, 2)), inner: isInner(s)})
	}
	r.tags = d.takeTags(start)
	out.rels = append(out.rels, r)
	return true
}
