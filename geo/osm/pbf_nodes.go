package osm

import "slices"

// decodeNodes decodes all nodes of the block; false when it is garbled.
func (d *decoder) decodeNodes(out *batch) bool {
	d.ids, d.pos = d.ids[:0], d.pos[:0]
	d.nodeIDs, d.wayIDs = noIDs, noIDs
	for _, g := range d.groups {
		w := wire{b: g}
		for w.next() {
			switch {
			case w.bytes(1):
				if d.onlyNodes == nil && out.counts.Nodes > d.budget.nodes.Load() {
					d.flood = true
				}
				if d.flood || !d.plainNode(w.data, out) {
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
	if d.onlyNodes == nil && !d.budget.spendNodes(int(out.counts.Nodes)) {
		d.flood = true
		return false
	}
	if len(d.ids) > 0 {
		out.nodes = newChunk(d.ids, d.pos)
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
		return d.point(id, start, out)
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

// point keeps the node just read as a point when its tags, d.tags[start:], stand for something; false when the file holds
// too many of them.
func (d *decoder) point(id int64, start int, out *batch) bool {
	t := d.tags[start:]
	if NodeKindOf(t) == NodeNone && !isPlace(t) {
		d.tags = d.tags[:start]
		return true
	}
	if !d.spend(len(t)) {
		return false
	}
	out.points = append(out.points, rawNode{id: id, pos: d.pos[len(d.pos)-1], tags: d.takeTags(start)})
	return true
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
	// Counting takes longer than being content with how long the field is.
	if left := d.budget.nodes.Load(); d.onlyNodes == nil && int64(len(ids)) > left && int64(numbers(ids)) > left {
		d.flood = true
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
		} else if v, i = packedVarint(ids, i); i >= 0 {
			id += zigzag(v)
		} else {
			return false
		}
		if v, j = packedVarint(lats, j); j < 0 {
			return false
		}
		lat += zigzag(v)
		if v, k = packedVarint(lons, k); k < 0 {
			return false
		}
		lon += zigzag(v)
		kept := d.node(id, lat, lon, out)
		if len(kvs) == 0 || d.parts&(Points|Places) == 0 {
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
			if u := d.key(key); u != 0 && len(d.tags)-start < mostTags {
				use |= u
				d.tags = append(d.tags, Tag{d.str(key, true), cleanValue(u, d.str(val, u&plainWord != 0))})
			}
		}
		if use&nodeKey != 0 {
			if !d.point(id, start, out) {
				return false
			}
		} else {
			d.tags = d.tags[:start]
		}
	}
	return true
}
