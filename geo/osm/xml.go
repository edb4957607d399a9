package osm

import (
	"context"
	"errors"
	"fmt"
	"strconv"

	"github.com/paulmach/orb"

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
		x.c.dropFarRelations()
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
	if ids := x.c.absentMembers(); len(ids) > 0 {
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
	x.sawWay = false
	err = x.document(newXMLScanner(s))
	x.flush()
	return err
}

// fault is an error at a line.
func (x *xmlReader) fault(s *xmlScanner, format string, args ...any) error {
	return &geo.InputError{File: x.src.Name, Where: fmt.Sprintf("line %d", s.line), Reason: fmt.Sprintf(format, args...)}
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

func (x *xmlReader) id(s *xmlScanner, name string) (int64, error) {
	v := s.attr(name)
	id, err := strconv.ParseInt(string(v), 10, 64)
	if err != nil {
		return 0, x.fault(s, "<%s> has no whole number as %s but %q", s.name, name, v)
	}
	return id, nil
}

// gone reports whether an element is marked as deleted.
func gone(s *xmlScanner) bool {
	return string(s.attr("visible")) == "false" || string(s.attr("action")) == "delete"
}

// tag keeps the tag of a <tag> child.
func (x *xmlReader) tag(s *xmlScanner) {
	x.count++
	u := keys[string(s.attr("k"))]
	if u == 0 {
		return
	}
	x.use |= u
	x.tags = append(x.tags, Tag{unescape(s.attr("k")), cleanValue(u, unescape(s.attr("v")))})
}

// takeTags gives the tags of the current element as a value of its own.
func (x *xmlReader) takeTags() Tags { return append(Tags(nil), x.tags...) }

func (x *xmlReader) begin() {
	x.tags, x.refs, x.mem, x.count, x.use = x.tags[:0], x.refs[:0], x.mem[:0], 0, 0
}

func (x *xmlReader) node(s *xmlScanner) error {
	if !x.nodes || gone(s) {
		return x.children(s, nil)
	}
	id, err := x.id(s, "id")
	if err != nil {
		return err
	}
	if x.onlyNodes == nil && x.sawWay {
		x.disorder = true
	}
	lat, ok1 := degrees(s.attr("lat"))
	lon, ok2 := degrees(s.attr("lon"))
	if !ok1 || !ok2 {
		return x.fault(s, "node %d has no position but lat=%q lon=%q", id, s.attr("lat"), s.attr("lon"))
	}
	x.begin()
	if s.empty {
		x.takeNode(id, lat, lon)
		return nil
	}
	if err := x.children(s, func() error {
		if string(s.name) == "tag" {
			x.tag(s)
		}
		return nil
	}); err != nil {
		return err
	}
	x.takeNode(id, lat, lon)
	if n := x.size; n > x.opts.maxNodes() {
		return tooMuch(x.src.Name, x.opts.maxNodes())
	}
	return nil
}

func (x *xmlReader) takeNode(id, lat, lon int64) {
	inRange := lat >= -900_000_000 && lat <= 900_000_000 && lon >= -1_800_000_000 && lon <= 1_800_000_000
	p := e7{int32(lon), int32(lat)}
	if x.onlyNodes != nil {
		if _, ok := x.onlyNodes[id]; ok && inRange {
			x.keepNode(id, p)
		}
		return
	}
	x.out.counts.Nodes++
	if !inRange {
		x.out.badNodes++
		return
	}
	x.c.hull.add(p)
	if x.kept != nil && !x.kept.has(float64(p.lon)/1e7, float64(p.lat)/1e7) {
		return
	}
	x.keepNode(id, p)
	if x.use&nodeKey != 0 && (NodeKindOf(x.tags) != NodeNone || isPlace(x.tags)) {
		x.out.points = append(x.out.points, rawNode{id: id, pos: p, tags: x.takeTags()})
	}
}

func (x *xmlReader) keepNode(id int64, p e7) {
	x.size++
	x.out.nodes.ids, x.out.nodes.pos = append(x.out.nodes.ids, id), append(x.out.nodes.pos, p)
	if len(x.out.nodes.ids) == chunkNodes {
		x.flush()
	}
}

func (x *xmlReader) way(s *xmlScanner) error {
	if !x.sawWay {
		x.sawWay = true
		if x.ways && x.find.t == nil {
			x.seal()
		}
	}
	if !x.ways || gone(s) {
		return x.children(s, nil)
	}
	id, err := x.id(s, "id")
	if err != nil {
		return err
	}
	x.begin()
	if err := x.children(s, func() error {
		switch string(s.name) {
		case "nd":
			ref, err := x.id(s, "ref")
			if err != nil {
				return err
			}
			x.refs = append(x.refs, ref)
		case "tag":
			x.tag(s)
		}
		return nil
	}); err != nil {
		return err
	}
	x.takeWay(id)
	return nil
}

func (x *xmlReader) takeWay(id int64) {
	x.out.counts.Ways++
	if x.onlyWays != nil {
		if _, ok := x.onlyWays[id]; !ok {
			return
		}
	}
	use := wayUse(0)
	if x.use&wayKey != 0 {
		use = useOf(x.tags, x.parts)
	}
	_, isMember := x.members[id]
	loose := x.members == nil && x.parts&(Areas|Places) != 0
	if isMember {
		use |= useMember
	}
	if use == 0 && !loose {
		return
	}
	from := len(x.out.refs)
	touches := x.kept == nil || x.onlyWays != nil
	for _, ref := range x.refs {
		p := x.find.find(ref)
		touches = touches || p != nowhere
		x.out.refs, x.out.pos = append(x.out.refs, ref), append(x.out.pos, p)
	}
	if use == 0 {
		if x.loose += len(x.refs); x.loose > looseRefs {
			x.overflow, touches = true, false
		}
	}
	if !touches {
		x.out.refs, x.out.pos = x.out.refs[:from], x.out.pos[:from]
		return
	}
	w := rawWay{id: id, use: use, from: int32(from), to: int32(len(x.out.refs))}
	if use&^useMember != 0 || len(x.tags) > 0 {
		w.tags = x.takeTags()
	}
	x.out.ways = append(x.out.ways, w)
	if len(x.out.refs) > 1<<20 {
		x.flush()
	}
}

func (x *xmlReader) relation(s *xmlScanner) error {
	if !x.rels || gone(s) {
		return x.children(s, nil)
	}
	id, err := x.id(s, "id")
	if err != nil {
		return err
	}
	x.begin()
	if err := x.children(s, func() error {
		switch string(s.name) {
		case "member":
			m := member{kind: memberRelation, inner: isInner(string(s.attr("role")))}
			switch string(s.attr("type")) {
			case "node":
				m.kind = memberNode
			case "way":
				m.kind = memberWay
			}
			ref, err := x.id(s, "ref")
			if err != nil {
				return err
			}
			m.ref = ref
			x.mem = append(x.mem, m)
		case "tag":
			x.tag(s)
		}
		return nil
	}); err != nil {
		return err
	}
	x.out.counts.Relations++
	if isArea, want := wantRelation(x.tags, x.count, x.parts); want {
		x.out.rels = append(x.out.rels, rawRelation{id: id, area: isArea, tags: x.takeTags(), members: append([]member(nil), x.mem...)})
	}
	return nil
}

func (x *xmlReader) bounds(s *xmlScanner) error {
	var v [4]int64
	good := true
	for i, name := range [4]string{"minlon", "minlat", "maxlon", "maxlat"} {
		d, ok := degrees(s.attr(name))
		v[i], good = d, good && ok
	}
	if good && v[0] <= v[2] && v[1] <= v[3] {
		x.c.box, x.c.hasBox = orb.Bound{Min: orb.Point{float64(v[0]) / 1e7, float64(v[1]) / 1e7},
			Max: orb.Point{float64(v[2]) / 1e7, float64(v[3]) / 1e7}}, true
	}
	return x.children(s, nil)
}
