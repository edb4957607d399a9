package osm

import (
	"slices"

	"github.com/paulmach/orb"
)

// collection gathers the batches of a file in file order until a region is made of them.
type collection struct {
	chunks   []nodeChunk // nodes, until sealed
	table    *nodeTable
	batches  []batch // without their nodes
	rels     []rawRelation
	far      map[int64]int // nodes of member ways outside the corridor
	counts   FileCounts
	badNodes int64
	hull     hullRows
	box      orb.Bound
	hasBox   bool
	notes    []string
	areas    []Area // made already, by GeoJSON
	foreign  bool   // not from OpenStreetMap
}

// add takes a batch over.
func (c *collection) add(b *batch) {
	c.counts.Nodes += b.counts.Nodes
	c.counts.Ways += b.counts.Ways
	c.counts.Relations += b.counts.Relations
	c.badNodes += b.badNodes
	if len(b.nodes.ids) > 0 {
		c.chunks = append(c.chunks, b.nodes)
		b.nodes = nodeChunk{}
	}
	c.rels = append(c.rels, b.rels...)
	b.rels = nil
	for _, f := range b.far {
		if c.far == nil {
			c.far = map[int64]int{}
		}
		c.far[f.id] = f.refs
	}
	b.far = nil
	if len(b.points) > 0 || len(b.ways) > 0 {
		c.batches = append(c.batches, *b)
	}
}

// memberWays are the ids of all ways that the relations are made of.
func (c *collection) memberWays() map[int64]struct{} {
	m := map[int64]struct{}{}
	for _, r := range c.rels {
		for _, x := range r.members {
			if x.kind == memberWay {
				m[x.ref] = struct{}{}
			}
		}
	}
	return m
}

// keptWays are the ids of the kept ways that are members of relations.
func (c *collection) keptMembers() map[int64]struct{} {
	m := map[int64]struct{}{}
	for _, b := range c.batches {
		for _, w := range b.ways {
			if w.use&useMember != 0 {
				m[w.id] = struct{}{}
			}
		}
	}
	return m
}

// dropFarRelations takes out the relations of which no member way was kept, but for those that may be
// areas all round the corridor; those whose members are nodes or relations stay, for they may be places.
func (c *collection) dropFarRelations(least int) {
	have := c.keptMembers()
	for i := range c.rels {
		r := &c.rels[i]
		ways, near, refs := 0, false, 0
		for _, x := range r.members {
			if x.kind != memberWay {
				continue
			}
			ways++
			if _, ok := have[x.ref]; ok {
				near = true
				break
			}
			refs += c.far[x.ref]
		}
		r.far = ways > 0 && !near
		if r.far && !(r.area && isWide(AreaKindOf(r.tags)) && refs >= least && refs <= maxFarRefs) {
			r.members = nil
		}
	}
	c.rels = slices.DeleteFunc(c.rels, func(r rawRelation) bool { return r.far && r.members == nil })
	c.far = nil
}

// absentMembers are the ids of member ways that the relations lack, ascending.
func (c *collection) absentMembers() []int64 {
	have := c.keptMembers()
	var ids []int64
	for _, r := range c.rels {
		for _, x := range r.members {
			if _, ok := have[x.ref]; x.kind == memberWay && !ok {
				ids = append(ids, x.ref)
			}
		}
	}
	slices.Sort(ids)
	return slices.Compact(ids)
}

// absentNodes are the ids of the nodes of kept ways whose position is not known, ascending.
func (c *collection) absentNodes() []int64 {
	var ids []int64
	for _, b := range c.batches {
		for i, p := range b.pos {
			if p == nowhere {
				ids = append(ids, b.refs[i])
			}
		}
	}
	slices.Sort(ids)
	return slices.Compact(ids)
}

// fill puts positions found later into the ways.
func (c *collection) fill(t *nodeTable) {
	f := finder{t: t}
	for _, b := range c.batches {
		for i, p := range b.pos {
			if p == nowhere {
				b.pos[i] = f.find(b.refs[i])
			}
		}
	}
}

// headerBox turns the box of a PBF header, in 1e-9 degree, into degrees.
func headerBox(b [4]int64) orb.Bound {
	return orb.Bound{Min: orb.Point{float64(b[0]) / 1e9, float64(b[3]) / 1e9},
		Max: orb.Point{float64(b[1]) / 1e9, float64(b[2]) / 1e9}}
}
