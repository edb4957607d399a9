package osm

import (
	"context"
	"errors"
	"runtime"
	"sync"
	"time"

	"lastroad/geo"
)

// A PBF file is read in passes over its blobs, each blob unpacked by one of a few goroutines:
//
//  1. From the end backwards while blobs hold relations: the wanted relations and the ids of the ways
//     that they are made of. In a file sorted by type, as nearly all are, this touches a blob or two.
//  2. Forwards over the nodes: those in the corridor go into a table. The first blob with ways ends it.
//  3. On over the ways: the wanted ones get their positions from the table; those with no node in the
//     corridor are dropped.
//  4. With a corridor only: over those node blobs that can hold a missing node of a kept way, so that
//     no way or ring is cut off at the corridor's edge.
//
// So each blob is unpacked once, and node blobs twice at the most. A file that is not sorted by type
// turns up as a blob of the wrong kind; then the relations, nodes and ways each get a pass of their own.

// errUnsorted says that a blob holds elements where a sorted file has none.
var errUnsorted = errors.New("osm: not sorted by type")

// pbfReader reads one file.
type pbfReader struct {
	*pbfFile
	ctx      context.Context
	opts     Options
	kept     *mask
	progress *progress
	decoders []*decoder
	unpack   []*unpacker
}

// readPBF reads all of a file into a collection of raw elements.
func readPBF(ctx context.Context, src Source, kept *mask, opts Options, p *progress) (*collection, error) {
	f, err := openPBF(src)
	if err != nil {
		return nil, err
	}
	r := &pbfReader{pbfFile: f, ctx: ctx, opts: opts, kept: kept, progress: p}
	for range min(opts.workers(), max(1, runtime.GOMAXPROCS(0))) {
		r.decoders = append(r.decoders, &decoder{parts: opts.parts(), kept: kept, leastFar: leastFar(src.Size),
			block: block{intern: map[string]string{}}})
		r.unpack = append(r.unpack, &unpacker{})
	}
	defer func() {
		for _, u := range r.unpack {
			u.close()
		}
	}()
	c, err := r.sortedFile()
	if errors.Is(err, errUnsorted) {
		c, err = r.anyFile()
	}
	if err != nil {
		return nil, err
	}
	if f.hasBox {
		c.box, c.hasBox = headerBox(f.box), true
	}
	if f.timestamp > 0 {
		c.counts.Timestamp = time.Unix(f.timestamp, 0).UTC().Format(time.RFC3339)
	}
	for _, d := range r.decoders {
		c.hull.join(&d.hull)
	}
	return c, nil
}

// sortedFile reads a file sorted by type.
func (r *pbfReader) sortedFile() (*collection, error) {
	c := &collection{}
	first, err := r.relationsFromEnd(c)
	if err != nil {
		return nil, err
	}
	members := c.memberWays()
	for _, d := range r.decoders {
		d.member = members
	}
	// Nodes, until a blob with ways comes up; each worker may hold one such blob.
	rest, err := r.pass(c, 0, first, func(d *decoder, out *batch) (bool, error) {
		nodes, ways, rels := d.kinds()
		switch {
		case rels || nodes && ways:
			return false, errUnsorted
		case ways:
			return false, nil
		case !d.decodeNodes(out):
			return false, errWire
		}
		return true, nil
	})
	if err != nil {
		return nil, err
	}
	if err := r.seal(c); err != nil {
		return nil, err
	}
	_, err = r.pass(c, rest, first, func(d *decoder, out *batch) (bool, error) {
		if nodes, _, rels := d.kinds(); nodes || rels {
			return false, errUnsorted
		}
		if !d.decodeWays(out) {
			return false, errWire
		}
		return true, nil
	})
	if err != nil {
		return nil, err
	}
	return c, r.complete(c)
}

// anyFile reads a file in whatever order, in three passes.
func (r *pbfReader) anyFile() (*collection, error) {
	c := &collection{}
	for _, d := range r.decoders {
		d.hull, d.member, d.find = hullRows{}, nil, finder{}
	}
	run := func(decode func(d *decoder, out *batch) bool) error {
		_, err := r.pass(c, 0, len(r.blobs), func(d *decoder, out *batch) (bool, error) {
			if !decode(d, out) {
				return false, errWire
			}
			return true, nil
		})
		return err
	}
	if err := run((*decoder).decodeRelations); err != nil {
		return nil, err
	}
	members := c.memberWays()
	for _, d := range r.decoders {
		d.member = members
	}
	if err := run((*decoder).decodeNodes); err != nil {
		return nil, err
	}
	if err := r.seal(c); err != nil {
		return nil, err
	}
	if err := run((*decoder).decodeWays); err != nil {
		return nil, err
	}
	return c, r.complete(c)
}

func (r *pbfReader) seal(c *collection) error {
	c.table = seal(c.chunks)
	c.chunks = nil
	if c.table.size > r.opts.maxNodes() {
		return tooMuch(r.src.Name, r.opts.maxNodes())
	}
	for _, d := range r.decoders {
		d.find = finder{t: c.table}
	}
	return nil
}

func tooMuch(file string, limit int) error {
	return &geo.InputError{File: file, Reason: "more ground lies in the corridor than fits into memory",
		Remedy: "make the corridor narrower or cut the route into several trips"}
}

// relationsFromEnd decodes the blobs at the end that hold relations, and gives the number of blobs
// before them.
func (r *pbfReader) relationsFromEnd(c *collection) (first int, err error) {
	d, u := r.decoders[0], r.unpack[0]
	var found []batch
	n := len(r.blobs)
	for ; n > 0; n-- {
		ref := &r.blobs[n-1]
		if ref.header {
			continue
		}
		if err := r.ctx.Err(); err != nil {
			return 0, err
		}
		data, err := u.unpack(r.pbfFile, n-1, *ref)
		if err != nil {
			return 0, err
		}
		if !d.open(data) {
			return 0, r.fail(n-1, "the block is garbled", errWire)
		}
		nodes, ways, rels := d.kinds()
		if !rels {
			if !nodes && !ways {
				continue // an empty block
			}
			break
		}
		if nodes || ways {
			return 0, errUnsorted
		}
		var b batch
		if !d.decodeRelations(&b) {
			return 0, r.fail(n-1, "the relations are garbled", errWire)
		}
		found = append(found, b)
		r.progress.add(int64(ref.size))
	}
	for i := len(found) - 1; i >= 0; i-- {
		c.add(&found[i])
	}
	return n, nil
}

// pass runs decode over the data blobs from..to, several at a time, and adds their batches to c in
// file order. decode may refuse a blob by returning false without an error: then no further blob is
// begun, and pass returns the number of the first that was refused. The error is that of the earliest
// blob that has one.
func (r *pbfReader) pass(c *collection, from, to int, decode func(d *decoder, out *batch) (bool, error)) (int, error) {
	out := make([]batch, to-from)
	var (
		mu      sync.Mutex
		next    = from
		refused = to // first blob that was refused
		failed  = to // first blob with an error
		failure error
		kept    int
		wait    sync.WaitGroup
	)
	work := func(d *decoder, u *unpacker) {
		defer wait.Done()
		for {
			mu.Lock()
			for next < to && r.blobs[next].header {
				next++
			}
			n := next
			if n >= to || n >= refused || failure != nil {
				mu.Unlock()
				return
			}
			next++
			mu.Unlock()

			ok, err := r.one(d, u, n, &out[n-from], decode)

			mu.Lock()
			switch {
			case err != nil && n < failed:
				failed, failure = n, err
			case err == nil && !ok:
				refused = min(refused, n)
			}
			kept += len(out[n-from].nodes.ids)
			if kept > r.opts.maxNodes() && failure == nil {
				failed, failure = n, tooMuch(r.src.Name, r.opts.maxNodes())
			}
			if err == nil && ok {
				r.progress.add(int64(r.blobs[n].size))
			}
			mu.Unlock()
		}
	}
	wait.Add(len(r.decoders))
	for i, d := range r.decoders[1:] {
		go work(d, r.unpack[i+1])
	}
	work(r.decoders[0], r.unpack[0])
	wait.Wait()
	if failure != nil {
		return 0, failure
	}
	for i := range out {
		if from+i >= refused { // a later blob of the same kind, unpacked meanwhile, will come again
			break
		}
		c.add(&out[i])
	}
	return refused, nil
}

// one unpacks and decodes one blob.
func (r *pbfReader) one(d *decoder, u *unpacker, n int, out *batch, decode func(d *decoder, out *batch) (bool, error)) (bool, error) {
	if err := r.ctx.Err(); err != nil {
		return false, err
	}
	ref := &r.blobs[n]
	data, err := u.unpack(r.pbfFile, n, *ref)
	if err != nil {
		return false, err
	}
	if !d.open(data) {
		return false, r.fail(n, "the block is garbled", errWire)
	}
	ok, err := decode(d, out)
	if errors.Is(err, errWire) {
		err = r.fail(n, "the elements are garbled", err)
	}
	if err == nil && ok {
		if d.nodeIDs != noIDs {
			ref.node = d.nodeIDs
		}
		if d.wayIDs != noIDs {
			ref.way = d.wayIDs
		}
	}
	return ok, err
}
