package osm

import "slices"

// decodeWays decodes the wanted ways of the block; false when it is garbled.
func (d *decoder) decodeWays(out *batch) bool {
	d.nodeIDs, d.wayIDs = noIDs, noIDs
	// Memory of our own, until it is known how much is kept.
	out.ways, out.refs, out.pos = d.ways[:0], d.refs[:0], d.pos[:0]
	defer func() {
		d.ways, d.refs, d.pos = out.ways, out.refs, out.pos
		out.ways, out.refs, out.pos = slices.Clone(out.ways), slices.Clone(out.refs), slices.Clone(out.pos)
	}()
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
	d.locate(out)
	return true
}

// locate finds the nodes that were added since the last time: of a whole file those of all ways of a block together, for
// most of that time is spent waiting for memory, and many can be waited for at once.
func (d *decoder) locate(out *batch) {
	from := len(out.pos)
	out.pos = d.find.find(grown(out.pos, len(out.refs)-from), out.refs[from:])
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
	count := len(refs) // an upper bound, good enough where it is small
	if count > 1<<10 {
		count = numbers(refs)
	}
	if count > mostRefs {
		out.counts.BrokenWays++
		return true
	}
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
	if d.onlyWays != nil { // for the sake of a relation, or to see whether it lies round the corridor
		use = farUse(use)
	}
	if use == 0 {
		d.tags = d.tags[:start]
		return true
	}
	from := len(out.refs)
	out.refs = grown(out.refs, count)
	var ref int64
	for i := 0; i < len(refs); {
		var v uint64
		if v, i = packedVarint(refs, i); i < 0 {
			return false
		}
		ref += zigzag(v)
		out.refs = append(out.refs, ref)
	}
	if d.kept != nil {
		d.locate(out)
	}
	if d.kept != nil && d.onlyWays == nil && !known(out.pos[from:]) {
		n := len(out.refs) - from
		wide := use&useArea != 0 && n >= d.leastFar && out.refs[from] == out.refs[from+n-1] && isWide(AreaKindOf(d.tags[start:]))
		if isMember || wide {
			out.far = append(out.far, farWay{id: id, refs: int32(n), wide: wide})
		}
		out.refs, out.pos, d.tags = out.refs[:from], out.pos[:from], d.tags[:start]
		return true
	}
	if !d.spend(len(out.refs) - from + len(d.tags) - start) {
		return false
	}
	out.ways = append(grown(out.ways, 1), rawWay{id: id, use: use, tags: d.takeTags(start), from: int32(from), to: int32(len(out.refs))})
	return true
}

// grown makes room for n more, at once for twice as much as before: by append the memory of a blob of a million ways
// would be moved a dozen times.
func grown[T any](list []T, n int) []T {
	if len(list)+n <= cap(list) {
		return list
	}
	return slices.Grow(list, max(n, len(list)))
}
