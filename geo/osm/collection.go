package osm

import (
	"cmp"
	"slices"

	"github.com/paulmach/orb"
)

// collection gathers the batches of a file in file order until a region is made of them.
type collection struct {
	chunks   []nodeChunk // nodes, until sealed
	table    *nodeTable
	batches  []batch // without their nodes
	rels     []rawRelation
	far      []farWay // ways outside the corridor, for the choice of what to look at
	farWays  []int64  // those chosen that are areas of their own, ascending
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
	c.counts.BrokenWays += b.counts.BrokenWays
	c.counts.BrokenRelations += b.counts.BrokenRelations
	if len(b.nodes.pos) > 0 {
		c.chunks = append(c.chunks, b.nodes)
		b.nodes = nodeChunk{}
	}
	c.rels = append(c.rels, b.rels...)
	b.rels = nil
	c.far = append(c.far, b.far...)
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

// chooseFar decides what outside the corridor is looked at: of the relations without a kept member way, and of
// the areas without a node in the corridor, those of wide kinds with the most nodes, until maxFarRefs nodes
// are spent. All other relations of ways are dropped; those whose members are nodes or relations stay, for they
// may be places.
func (c *collection) chooseFar(least int) {
	have := c.keptMembers()
	slices.SortFunc(c.far, func(a, b farWay) int { return cmp.Compare(a.id, b.id) })
	size := func(way int64) int {
		if i, ok := slices.BinarySearchFunc(c.far, way, func(f farWay, id int64) int { return cmp.Compare(f.id, id) }); ok {
			return int(c.far[i].refs)
		}
		return 0
	}
	type candidate struct {
		refs     int
		relation int // index, -1 for a way
		way      int64
	}
	var all []candidate
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
			refs += size(x.ref)
		}
		r.far = ways > 0 && !near
		if r.far && r.area && isWide(AreaKindOf(r.tags)) && refs >= least {
			all = append(all, candidate{refs: refs, relation: i})
		}
	}
	for _, f := range c.far {
		if f.wide {
			all = append(all, candidate{refs: int(f.refs), relation: -1, way: f.id})
		}
	}
	c.far = nil
	slices.SortFunc(all, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(b.refs, a.refs), cmp.Compare(a.relation, b.relation), cmp.Compare(a.way, b.way))
	})
	chosen := map[int]bool{}
	spent := 0
	for _, x := range all {
		if spent+x.refs > maxFarRefs {
			continue
		}
		spent += x.refs
		if x.relation >= 0 {
			chosen[x.relation] = true
		} else {
			c.farWays = append(c.farWays, x.way)
		}
	}
	slices.Sort(c.farWays)
	kept := c.rels[:0]
	for i, r := range c.rels {
		if !r.far || chosen[i] {
			kept = append(kept, r)
		}
	}
	clear(c.rels[len(kept):])
	c.rels = slices.Clone(kept)
}

// absentWays are the ids, ascending, of the member ways that the relations lack, and of the chosen areas
// outside the corridor.
func (c *collection) absentWays() []int64 {
	have := c.keptMembers()
	ids := slices.Clone(c.farWays)
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
				b.pos[i] = *f.locate(b.refs[i])
			}
		}
	}
}

// headerBox turns the box of a PBF header, in 1e-9 degree, into degrees.
func headerBox(b [4]int64) orb.Bound {
	return orb.Bound{Min: orb.Point{float64(b[0]) / 1e9, float64(b[3]) / 1e9},
		Max: orb.Point{float64(b[1]) / 1e9, float64(b[2]) / 1e9}}
}
