package osm

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
	if numbers(refs) > mostMembers {
		out.counts.BrokenRelations++
		d.tags = d.tags[:start]
		return true
	}
	if !d.spend(numbers(refs) + len(d.tags) - start) {
		return false
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
		s := d.str(role, true)
		r.members = append(r.members, member{ref: ref, kind: memberType(min(kind, 2)), inner: isInner(s)})
	}
	r.tags = d.takeTags(start)
	out.rels = append(out.rels, r)
	return true
}
