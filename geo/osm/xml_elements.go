package osm

import (
	"strconv"

	"github.com/paulmach/orb"
)

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
	if u == 0 || len(x.tags) >= mostTags {
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
	if err := x.children(s, func() error {
		if string(s.name) == "tag" {
			x.tag(s)
		}
		return nil
	}); err != nil {
		return err
	}
	if !x.takeNode(id, lat, lon) {
		return x.flood(s)
	}
	if n := x.size; n > x.opts.maxNodes() {
		return tooMuch(x.src.Name, x.opts.maxNodes())
	}
	return nil
}

// takeNode takes the node just read; false when the file holds too many.
func (x *xmlReader) takeNode(id, lat, lon int64) bool {
	inRange := lat >= -900_000_000 && lat <= 900_000_000 && lon >= -1_800_000_000 && lon <= 1_800_000_000
	p := e7{int32(lon), int32(lat)}
	if x.onlyNodes != nil {
		if _, ok := x.onlyNodes[id]; ok && inRange {
			x.keepNode(id, p)
		}
		return true
	}
	x.out.counts.Nodes++
	if !x.budget.spendNodes(1) {
		return false
	}
	if !inRange {
		x.out.badNodes++
		return true
	}
	x.c.hull.add(p)
	if x.kept != nil && !x.kept.has(float64(p.lon)/1e7, float64(p.lat)/1e7) {
		return true
	}
	x.keepNode(id, p)
	if x.use&nodeKey != 0 && (NodeKindOf(x.tags) != NodeNone || isPlace(x.tags)) {
		x.out.points = append(x.out.points, rawNode{id: id, pos: p, tags: x.takeTags()})
		return x.budget.spend(len(x.tags))
	}
	return true
}

func (x *xmlReader) keepNode(id int64, p e7) {
	x.size++
	x.ids, x.pos = append(x.ids, id), append(x.pos, p)
	if len(x.ids) == chunkNodes {
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
			if len(x.refs) <= mostRefs {
				x.refs = append(x.refs, ref)
			}
		case "tag":
			x.tag(s)
		}
		return nil
	}); err != nil {
		return err
	}
	if !x.takeWay(id) {
		return x.flood(s)
	}
	return nil
}

// takeWay takes the way just read; false when the file holds too much.
func (x *xmlReader) takeWay(id int64) bool {
	x.out.counts.Ways++
	if len(x.refs) > mostRefs {
		x.out.counts.BrokenWays++
		return true
	}
	if x.onlyWays != nil {
		if _, ok := x.onlyWays[id]; !ok {
			return true
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
	if x.onlyWays != nil { // for the sake of a relation, or to see whether it lies round the corridor
		use = farUse(use)
	}
	if use == 0 && !loose {
		return true
	}
	if !x.budget.spend(len(x.refs) + len(x.tags)) {
		return false
	}
	from := len(x.out.refs)
	x.out.refs, x.out.pos = append(x.out.refs, x.refs...), x.find.find(x.out.pos, x.refs)
	touches := x.kept == nil || x.onlyWays != nil || known(x.out.pos[from:])
	if use == 0 {
		if x.loose += len(x.refs); x.loose > looseRefs {
			x.overflow, touches = true, false
		}
	}
	if !touches {
		n := len(x.out.refs) - from
		wide := use&useArea != 0 && n >= leastFar(x.src.Size) && x.refs[0] == x.refs[n-1] && isWide(AreaKindOf(x.tags))
		if isMember || wide || x.members == nil {
			x.out.far = append(x.out.far, farWay{id: id, refs: int32(n), wide: wide})
		}
		x.out.refs, x.out.pos = x.out.refs[:from], x.out.pos[:from]
		return true
	}
	w := rawWay{id: id, use: use, from: int32(from), to: int32(len(x.out.refs))}
	if use&^useMember != 0 || len(x.tags) > 0 {
		w.tags = x.takeTags()
	}
	x.out.ways = append(x.out.ways, w)
	if len(x.out.refs) > 1<<20 {
		x.flush()
	}
	return true
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
			if len(x.mem) <= mostMembers {
				x.mem = append(x.mem, m)
			}
		case "tag":
			x.tag(s)
		}
		return nil
	}); err != nil {
		return err
	}
	x.out.counts.Relations++
	if len(x.mem) > mostMembers {
		x.out.counts.BrokenRelations++
		return nil
	}
	if isArea, want := wantRelation(x.tags, x.count, x.parts); want {
		if !x.budget.spend(len(x.mem) + len(x.tags)) {
			return x.flood(s)
		}
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
		box := orb.Bound{Min: orb.Point{float64(v[0]) / 1e7, float64(v[1]) / 1e7},
			Max: orb.Point{float64(v[2]) / 1e7, float64(v[3]) / 1e7}}
		if x.c.hasBox { // some editors write one for each piece that was fetched
			box = box.Union(x.c.box)
		}
		x.c.box, x.c.hasBox = box, true
	}
	return x.children(s, nil)
}
