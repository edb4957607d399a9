package osm

import (
	"context"
	"errors"
	"fmt"

	"lastroad/geo"
)

// An XML file mostly holds its nodes first, then ways, then relations, and is read in one pass: each way
// finds its nodes in the table of those read before. Which ways the relations need is known only at the
// end, so ways without a use of their own are kept for the while, up to looseRefs nodes of them. Further
// passes are made when they are needed: for the ways, when nodes came after them or the loose ways were too
// many; with a corridor, for what lies outside it and belongs to something inside (as for PBF).

// looseRefs bounds the nodes of ways that are kept only because a relation might need them: 16 bytes each.
const looseRefs = 6_000_000

// chunkNodes is the number of nodes put into one chunk of the table.
const chunkNodes = 1 << 16

// xmlReader reads one XML file.
type xmlReader struct {
	ctx      context.Context
	src      Source
	kept     *mask
	opts     Options
	parts    Parts
	progress *progress
	c        *collection
	find     finder
	out      batch

	// What the current pass does.
	nodes, ways, rels   bool
	members             map[int64]struct{} // nil until the relations are known
	onlyNodes, onlyWays map[int64]struct{}

	sawWay   bool // in this pass
	disorder bool // a node came after a way
	loose    int  // nodes of loose ways
	overflow bool // some were dropped
	size     int  // nodes kept
	budget   *budget
	ids      []int64 // of nodes not handed over yet
	pos      []e7
	refs     []int64
	mem      []member
	tags     Tags
	count    int // all tags of the current element
	use      keyUse
}

func readXML(ctx context.Context, src Source, kept *mask, opts Options, p *progress) (*collection, error) {
	x := &xmlReader{ctx: ctx, src: src, kept: kept, opts: opts, parts: opts.parts(), progress: p, c: &collection{}}
	x.nodes, x.ways, x.rels = true, true, true
	if err := x.pass(); err != nil {
		return nil, err
	}
	x.members = x.c.memberWays()
	if x.disorder {
		x.seal()
		x.c.batches = pointsOnly(x.c.batches)
		counts := x.c.counts
		x.nodes, x.rels = false, false
		if err := x.pass(); err != nil {
			return nil, err
		}
		x.c.counts = counts
	} else {
		x.markMembers()
	}
	if kept != nil {
		x.c.chooseFar(leastFar(x.src.Size))
	}
	if kept != nil || x.overflow && !x.disorder {
		if err := x.complete(); err != nil {
			return nil, err
		}
	}
	return x.c, nil
}

// pointsOnly takes the ways out of batches.
func pointsOnly(b []batch) []batch {
	for i := range b {
		b[i].ways, b[i].refs, b[i].pos = nil, nil, nil
	}
	return b
}

// markMembers tells the ways that relations need from those that turned out to be loose.
func (x *xmlReader) markMembers() {
	for i := range x.c.batches {
		b := &x.c.batches[i]
		for k := range b.ways {
			w := &b.ways[k]
			w.use &^= useMember
			if _, ok := x.members[w.id]; ok {
				w.use |= useMember
			}
			if w.use == 0 { // its nodes are of no interest any more
				for n := w.from; n < w.to; n++ {
					if b.pos[n] == nowhere {
						b.pos[n] = e7{}
					}
				}
			}
		}
	}
}

// complete makes the passes for members and nodes that are not there yet.
func (x *xmlReader) complete() error {
	counts, bad := x.c.counts, x.c.badNodes
	if ids := x.c.absentWays(); len(ids) > 0 {
		x.onlyWays = set(ids)
		x.nodes, x.ways, x.rels = false, true, false
		if err := x.pass(); err != nil {
			return err
		}
	}
	if ids := x.c.absentNodes(); len(ids) > 0 && x.kept != nil {
		x.onlyNodes, x.onlyWays = set(ids), nil
		x.nodes, x.ways, x.rels = true, false, false
		x.c.chunks = nil
		if err := x.pass(); err != nil {
			return err
		}
		x.c.fill(seal(x.c.chunks))
		x.c.chunks = nil
	}
	x.c.counts, x.c.badNodes = counts, bad
	return nil
}

func set(ids []int64) map[int64]struct{} {
	m := make(map[int64]struct{}, len(ids))
	for _, id := range ids {
		m[id] = struct{}{}
	}
	return m
}

// seal closes the table of nodes.
func (x *xmlReader) seal() {
	x.flush()
	x.c.table = seal(x.c.chunks)
	x.find = finder{t: x.c.table}
}

// flush hands the current batch over.
func (x *xmlReader) flush() {
	if len(x.ids) > 0 {
		x.out.nodes = newChunk(x.ids, x.pos)
		x.ids, x.pos = x.ids[:0], x.pos[:0]
	}
	x.c.add(&x.out)
	x.out = batch{}
}

// pass reads the file once.
func (x *xmlReader) pass() error {
	s, err := openText(x.ctx, x.src, x.progress)
	if err != nil {
		return err
	}
	defer s.close()
	x.sawWay, x.budget = false, budgetOf(x.src.Size)
	err = x.document(newXMLScanner(s))
	x.flush()
	return err
}

// fault is an error at a line.
func (x *xmlReader) fault(s *xmlScanner, format string, args ...any) error {
	return &geo.InputError{File: x.src.Name, Where: fmt.Sprintf("line %d", s.line), Reason: fmt.Sprintf(format, args...)}
}

// flood is the error of a file that holds more than the budget allows, which only packed text can.
func (x *xmlReader) flood(s *xmlScanner) error {
	return &geo.InputError{File: x.src.Name, Where: fmt.Sprintf("line %d", s.line),
		Reason: "the file holds far more nodes, ways, relations and tags than one of its size can", Remedy: "download the file again or take another extract"}
}

// scanError is the error with which a scanner stopped.
func (x *xmlReader) scanError(s *xmlScanner) error {
	var text *xmlError
	switch {
	case s.err == nil:
		return nil
	case errors.As(s.err, &text):
		return x.fault(s, "%s", text.text)
	}
	return packedError(x.src, s.err)
}

// document reads all elements.
func (x *xmlReader) document(s *xmlScanner) error {
	if !s.next() {
		if err := x.scanError(s); err != nil {
			return err
		}
		return x.fault(s, "no element is in the file")
	}
	switch name := string(s.name); {
	case name == "osmChange":
		return x.fault(s, "this is a file of changes, not of data")
	case name != "osm" || !s.open:
		return x.fault(s, "the root is <%s>, and OpenStreetMap data have <osm>", name)
	}
	if s.empty {
		return nil
	}
	for n := 0; s.next(); n++ {
		if n%4096 == 0 && x.ctx.Err() != nil {
			return x.ctx.Err()
		}
		if !s.open {
			if string(s.name) != "osm" {
				return x.fault(s, "</%s> closes what is not open", s.name)
			}
			return nil
		}
		var err error
		switch string(s.name) {
		case "node":
			err = x.node(s)
		case "way":
			err = x.way(s)
		case "relation":
			err = x.relation(s)
		case "bounds":
			err = x.bounds(s)
		default:
			err = x.children(s, nil)
		}
		if err != nil {
			return err
		}
	}
	if err := x.scanError(s); err != nil {
		return err
	}
	return x.fault(s, "the file ends before </osm>; it is cut off")
}

// children reads up to the end of the element just opened and hands each child that is opened to child.
func (x *xmlReader) children(s *xmlScanner, child func() error) error {
	if s.empty {
		return nil
	}
	for depth := 1; s.next(); {
		switch {
		case !s.open:
			if depth--; depth == 0 {
				return nil
			}
			continue
		case child != nil && depth == 1:
			if err := child(); err != nil {
				return err
			}
		}
		if !s.empty {
			depth++
		}
	}
	if err := x.scanError(s); err != nil {
		return err
	}
	return x.fault(s, "the file ends inside an element; it is cut off")
}
