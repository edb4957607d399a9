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

	mu   sync.Mutex
	held map[int][]byte // unpacked blobs that a later pass will ask for: at most one of each goroutine and one more
}

// plain is the content of a blob, valid until the next call with the same unpacker.
func (r *pbfReader) plain(u *unpacker, n int) ([]byte, error) {
	r.mu.Lock()
	data, ok := r.held[n]
	delete(r.held, n)
	r.mu.Unlock()
	if ok {
		return data, nil
	}
	return u.unpack(r.pbfFile, n, r.blobs[n])
}

// hold keeps the content of a blob, just got with u, for the next pass.
func (r *pbfReader) hold(u *unpacker, n int, data []byte) {
	u.packed, u.plain = nil, nil
	r.mu.Lock()
	r.held[n] = data
	r.mu.Unlock()
}

// readPBF reads all of a file into a collection of raw elements.
func readPBF(ctx context.Context, src Source, kept *mask, opts Options, p *progress) (*collection, error) {
	f, err := openPBF(src)
	if err != nil {
		return nil, err
	}
	r := &pbfReader{pbfFile: f, ctx: ctx, opts: opts, kept: kept, progress: p, held: map[int][]byte{}}
	left := budgetOf(src.Size)
	for range min(opts.workers(), max(1, runtime.GOMAXPROCS(0))) {
		r.decoders = append(r.decoders, &decoder{budget: left, parts: opts.parts(), kept: kept, leastFar: leastFar(src.Size),
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
	end, mixed, err := r.relationsFromEnd(c)
	if err != nil {
		return nil, err
	}
	members := c.memberWays()
	for _, d := range r.decoders {
		d.member = members
	}
	// Nodes, until a blob with ways comes up; each worker may hold one such blob.
	rest, err := r.pass(c, 0, end, func(d *decoder, out *batch) (verdict, error) {
		nodes, ways, rels := d.kinds()
		switch {
		case rels && !(mixed && d.n == end-1):
			return refuse, errUnsorted
		case !nodes && (ways || rels):
			return refuse, nil
		case !d.decodeNodes(out):
			return refuse, errWire
		case ways || rels:
			return takeAndStop, nil
		}
		return take, nil
	})
	if err != nil {
		return nil, err
	}
	if err := r.seal(c); err != nil {
		return nil, err
	}
	_, err = r.pass(c, rest, end, func(d *decoder, out *batch) (verdict, error) {
		// The first of these blobs may have the last nodes, the last the first relations.
		if nodes, _, rels := d.kinds(); nodes && d.n != rest || rels && !(mixed && d.n == end-1) {
			return refuse, errUnsorted
		}
		if !d.decodeWays(out) {
			return refuse, errWire
		}
		return take, nil
	})
	if err != nil {
		return nil, err
	}
	return c, r.complete(c)
}

// anyFile reads a file in whatever order, in three passes.
func (r *pbfReader) anyFile() (*collection, error) {
	c := &collection{}
	left := budgetOf(r.src.Size)
	for _, d := range r.decoders {
		d.budget, d.flood = left, false
		d.hull, d.member, d.find = hullRows{}, nil, finder{}
	}
	run := func(decode func(d *decoder, out *batch) bool) error {
		_, err := r.pass(c, 0, len(r.blobs), func(d *decoder, out *batch) (verdict, error) {
			if !decode(d, out) {
				return refuse, errWire
			}
			return take, nil
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

// relationsFromEnd decodes the relations at the end of the file, and gives the number of blobs that may
// hold anything else; mixed says that the last of those holds relations too.
func (r *pbfReader) relationsFromEnd(c *collection) (end int, mixed bool, err error) {
	d, u := r.decoders[0], r.unpack[0]
	var found []batch
	n := len(r.blobs)
	for ; n > 0 && !mixed; n-- {
		ref := &r.blobs[n-1]
		if ref.header {
			continue
		}
		if err := r.ctx.Err(); err != nil {
			return 0, false, err
		}
		data, err := r.plain(u, n-1)
		if err != nil {
			return 0, false, err
		}
		if !d.open(data) {
			return 0, false, r.fail(n-1, "the block is garbled", errWire)
		}
		nodes, ways, rels := d.kinds()
		if !rels {
			if !nodes && !ways {
				continue // an empty block
			}
			r.hold(u, n-1, data)
			break
		}
		mixed = nodes || ways
		var b batch
		if !d.decodeRelations(&b) {
			return 0, false, r.garbled(n-1, d)
		}
		found = append(found, b)
		if !mixed {
			r.progress.add(int64(ref.size))
		} else {
			r.hold(u, n-1, data)
		}
	}
	if mixed {
		n++ // it comes again for its ways
	}
	for i := len(found) - 1; i >= 0; i-- {
		c.add(&found[i])
	}
	return n, mixed, nil
}

// verdict is what comes of a blob.
type verdict uint8

const (
	take        verdict = iota // its elements are taken
	refuse                     // they are for a later pass: no further blob is begun
	takeAndStop                // they are taken, and a later pass begins with this blob again
)

// pass runs decode over the data blobs from..to, several at a time, and adds their batches to c in
// file order. When decode's verdict ends the pass, no further blob is begun, and pass returns the number of
// the first with such a verdict. The error is that of the earliest blob that has one.
func (r *pbfReader) pass(c *collection, from, to int, decode func(d *decoder, out *batch) (verdict, error)) (int, error) {
	out := make([]batch, to-from)
	taken := make([]bool, to-from)
	var (
		mu      sync.Mutex
		next    = from
		refused = to // first blob that ends the pass
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

			v, err := r.one(d, u, n, &out[n-from], decode)

			mu.Lock()
			switch {
			case err != nil && n < failed:
				failed, failure = n, err
			case err == nil && v != take:
				refused = min(refused, n)
			}
			taken[n-from] = v != refuse
			kept += len(out[n-from].nodes.pos)
			if kept > r.opts.maxNodes() && failure == nil {
				failed, failure = n, tooMuch(r.src.Name, r.opts.maxNodes())
			}
			if err == nil && v == take {
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
		if from+i > refused { // a later blob, unpacked meanwhile, will come again
			break
		}
		if taken[i] {
			c.add(&out[i])
		}
	}
	return refused, nil
}

// garbled says why the elements of a blob could not be decoded.
func (r *pbfReader) garbled(n int, d *decoder) error {
	if d.flood {
		return r.fail(n, "its ways, relations and tags are far more than a file of this size can hold", nil)
	}
	return r.fail(n, "the elements are garbled", errWire)
}

// one unpacks and decodes one blob.
func (r *pbfReader) one(d *decoder, u *unpacker, n int, out *batch, decode func(d *decoder, out *batch) (verdict, error)) (verdict, error) {
	if err := r.ctx.Err(); err != nil {
		return refuse, err
	}
	ref := &r.blobs[n]
	data, err := r.plain(u, n)
	if err != nil {
		return refuse, err
	}
	if !d.open(data) {
		return refuse, r.fail(n, "the block is garbled", errWire)
	}
	d.n = n
	v, err := decode(d, out)
	if errors.Is(err, errWire) {
		err = r.garbled(n, d)
	}
	if err == nil && v != refuse {
		if d.nodeIDs != noIDs {
			ref.node = d.nodeIDs
		}
		if d.wayIDs != noIDs {
			ref.way = d.wayIDs
		}
	}
	if err == nil && v != take {
		r.hold(u, n, data)
	}
	return v, err
}
