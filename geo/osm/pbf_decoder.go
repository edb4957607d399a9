package osm

// decoder decodes the elements of blocks into batches.
type decoder struct {
	block
	parts  Parts
	kept   *mask
	find   finder
	member map[int64]struct{} // ways that wanted relations are made of
	// leastFar is how many nodes an area outside the corridor must have to be kept for a closer look.
	leastFar int
	hull     hullRows

	// For the second look: ascending ids, of which alone the elements are kept; nil = the first look.
	onlyNodes, onlyWays []int64
	nodeIDs, wayIDs     idRange // of the block

	ids  []int64
	pos  []e7
	refs []int64
	ways []rawWay
	tags Tags // arena
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
			d.tags = append(d.tags, Tag{d.str(k, true), cleanValue(u, d.str(v, u&plainWord != 0))})
		}
	}
	return use, true
}
