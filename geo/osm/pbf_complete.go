package osm

import "slices"

// complete fetches what lies outside the corridor and yet belongs to something in it: member ways of
// relations that reach into it, and missing nodes of all kept ways. Only blobs that can hold one of the
// wanted ids are unpacked again.
func (r *pbfReader) complete(c *collection) error {
	if r.kept == nil {
		return nil
	}
	c.chooseFar(leastFar(r.src.Size))
	if ids := c.absentWays(); len(ids) > 0 {
		for _, d := range r.decoders {
			d.onlyWays = ids
		}
		err := r.again(c, ids, func(ref *blobRef) idRange { return ref.way }, (*decoder).decodeWays)
		if err != nil {
			return err
		}
	}
	if ids := c.absentNodes(); len(ids) > 0 {
		for _, d := range r.decoders {
			d.onlyNodes = ids
		}
		err := r.again(c, ids, func(ref *blobRef) idRange { return ref.node }, (*decoder).decodeNodes)
		if err != nil {
			return err
		}
		c.fill(seal(c.chunks))
		c.chunks = nil
	}
	return nil
}

// again runs decode over the blobs whose range of ids holds one of ids, which are ascending.
func (r *pbfReader) again(c *collection, ids []int64, of func(*blobRef) idRange, decode func(d *decoder, out *batch) bool) error {
	counts, bad := c.counts, c.badNodes
	for from := 0; from < len(r.blobs); {
		if !of(&r.blobs[from]).holdsOne(ids) {
			from++
			continue
		}
		to := from + 1
		for to < len(r.blobs) && of(&r.blobs[to]).holdsOne(ids) {
			to++
		}
		_, err := r.pass(c, from, to, func(d *decoder, out *batch) (verdict, error) {
			if !decode(d, out) {
				return refuse, errWire
			}
			return take, nil
		})
		if err != nil {
			return err
		}
		from = to
	}
	c.counts, c.badNodes = counts, bad // they were counted the first time
	return nil
}

// idRange is the lowest and highest id of the elements of one kind in a blob; empty when low > high.
type idRange struct{ low, high int64 }

var noIDs = idRange{1, 0}

func (r *idRange) add(id int64) {
	if r.low > r.high {
		r.low, r.high = id, id
		return
	}
	r.low, r.high = min(r.low, id), max(r.high, id)
}

// holdsOne reports whether one of the ascending ids lies in the range.
func (r idRange) holdsOne(ids []int64) bool {
	if r.low > r.high {
		return false
	}
	i, _ := slices.BinarySearch(ids, r.low)
	return i < len(ids) && ids[i] <= r.high
}
