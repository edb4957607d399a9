package osm

import (
	"fmt"
	"math"
	"slices"
	"sync"
	"sync/atomic"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// region makes a region of the collected elements, with the given number of goroutines.
func (c *collection) region(parts Parts, kept *mask, workers int) *Region {
	a := assembler{collection: c, parts: parts, kept: kept, r: &Region{}, brokenWays: c.counts.BrokenWays, brokenRelations: c.counts.BrokenRelations}
	replaced := a.relations()
	a.join(a.batchwise(replaced, workers))
	a.r.Areas = append(a.r.Areas, c.areas...)
	a.r.Areas = append(a.r.Areas, a.fromRelations...)
	a.points()
	a.r.Box, a.r.Outline = c.hull.box(), c.hull.rings()
	a.r.Declared = orb.Bound{Min: orb.Point{1, 1}, Max: orb.Point{-1, -1}}
	if c.hasBox {
		a.r.Declared = c.box
		a.r.Outline = declaredPart(a.r.Outline, c.box)
	}
	a.r.File = c.counts
	a.r.File.BrokenWays, a.r.File.BrokenRelations = a.brokenWays, a.brokenRelations
	a.notes()
	return a.r
}

// assembler builds a region, or the part of one that comes of one batch.
type assembler struct {
	*collection
	parts         Parts
	kept          *mask
	r             *Region
	line          []orb.Point // slab that lines are cut from
	ids           []int64     // slab that node ids are cut from; nil when they stay where they were read to
	ofRow         int         // how many ways the part of the row takes
	fromRelations []Area

	brokenWays, brokenRelations, lostNodes int64
}

// batchwise makes ways, lines, areas and places of each batch, several batches at a time.
func (a *assembler) batchwise(replaced map[int64]bool, workers int) []assembler {
	out := make([]assembler, len(a.batches))
	ways := make([]int, len(a.batches)+1) // of all batches before
	for i := range a.batches {
		ways[i+1] = ways[i] + a.batches[i].count(useWay)
	}
	// One row for all, of which each batch fills its part.
	a.r.Ways = make([]Way, ways[len(a.batches)])
	var next atomic.Int64
	var wait sync.WaitGroup
	for range max(1, min(workers, len(out))) {
		wait.Go(func() {
			for {
				i := int(next.Add(1)) - 1
				if i >= len(out) {
					return
				}
				out[i] = assembler{collection: a.collection, parts: a.parts, kept: a.kept, r: &Region{}, ofRow: ways[i+1] - ways[i]}
				out[i].r.Ways = a.r.Ways[ways[i]:ways[i]:ways[i+1]]
				out[i].room(&a.batches[i])
				out[i].ways(&a.batches[i], replaced)
				b := &a.batches[i]
				b.ways, b.refs, b.pos = nil, nil, nil // the memory is wanted
			}
		})
	}
	wait.Wait()
	return out
}

// joinWays closes the gaps that dropped ways left in the row, and makes a new one when a batch, whose ways were cut, did
// not fit into its part.
func (a *assembler) joinWays(parts []assembler) {
	n, fits := 0, true
	for i := range parts {
		n += len(parts[i].r.Ways)
		fits = fits && len(parts[i].r.Ways) <= parts[i].ofRow
	}
	to := a.r.Ways[:0]
	if !fits {
		to = make([]Way, 0, n)
	}
	for i := range parts {
		to = append(to, parts[i].r.Ways...)
	}
	if fits {
		clear(a.r.Ways[n:]) // their tags would be held
	}
	if 2*n < cap(to) { // more than half of it would be held for nothing
		to = slices.Clone(to)
	}
	a.r.Ways = slices.Clip(to)
}

// join puts what was made of the batches together, in file order.
func (a *assembler) join(parts []assembler) {
	var areas, wet, cliffs int
	for i := range parts {
		p := parts[i].r
		areas, wet, cliffs = areas+len(p.Areas), wet+len(p.Waterways), cliffs+len(p.Cliffs)
	}
	r := a.r
	a.joinWays(parts)
	r.Areas = make([]Area, 0, areas+len(a.areas)+len(a.fromRelations))
	r.Waterways, r.Cliffs = make([]Line, 0, wet), make([]Line, 0, cliffs)
	for i := range parts {
		p := &parts[i]
		r.Areas = append(r.Areas, p.r.Areas...)
		r.Waterways, r.Cliffs = append(r.Waterways, p.r.Waterways...), append(r.Cliffs, p.r.Cliffs...)
		r.Places = append(r.Places, p.r.Places...)
		p.r = nil
		a.brokenWays += p.brokenWays
		a.lostNodes += p.lostNodes
	}
}

// room counts what will come and makes the slabs, so that ten thousand lines cost a handful of allocations.
func (a *assembler) room(b *batch) {
	var lines, areas, points, ids int
	for i := range b.ways {
		w := &b.ways[i]
		n := int(w.to - w.from)
		if w.use&useWay != 0 {
			points, ids = points+n, ids+n
		}
		if w.use&useLine != 0 {
			lines++
			points += n
		}
		if w.use&useArea != 0 {
			areas++
		}
	}
	a.r.Waterways, a.r.Areas = make([]Line, 0, lines), make([]Area, 0, areas)
	a.line = make([]orb.Point, 0, points)
	if 4*ids < 3*cap(b.refs) { // a quarter or more is of areas and lines, and would be held with the ids of ways
		a.ids = make([]int64, 0, ids)
	}
}

// ways turns the ways of a batch into ways, lines, areas and places. Areas of ways in replaced come
// from a relation.
func (a *assembler) ways(b *batch, replaced map[int64]bool) {
	for i := range b.ways {
		w := &b.ways[i]
		if w.use&^useMember == 0 {
			continue
		}
		p := piece{ids: b.refs[w.from:w.to], pos: b.pos[w.from:w.to]}
		lost := 0
		for _, q := range p.pos {
			if q == nowhere {
				lost++
			}
		}
		if (lost > 0 || len(p.ids) < 2) && w.use&useFar == 0 {
			a.brokenWays++
			a.lostNodes += int64(lost)
			if lost == len(p.pos) {
				continue
			}
		}
		if w.use&useWay != 0 {
			a.eachRun(p, func(ids []int64, pos []e7) {
				a.r.Ways = append(a.r.Ways, Way{ID: w.id, Tags: w.tags, Line: a.cut(pos), Nodes: a.nodes(ids)})
			})
		}
		if w.use&useLine != 0 {
			kind := LineKindOf(w.tags)
			a.eachRun(p, func(_ []int64, pos []e7) {
				l := Line{ID: w.id, Kind: kind, Tags: w.tags, Line: a.cut(pos), Intermittent: w.tags.Yes("intermittent") || w.tags.Yes("seasonal") || kind == Wadi}
				if kind.Wet() {
					a.r.Waterways = append(a.r.Waterways, l)
				} else {
					a.r.Cliffs = append(a.r.Cliffs, l)
				}
			})
		}
		if w.use&useFar != 0 {
			if ring, _, ok := ringOf(p); ok && !replaced[w.id] && around(orb.MultiPolygon{{ring}}, a.kept) {
				a.area(w, p)
			}
		}
		if w.use&useArea != 0 && !replaced[w.id] {
			a.area(w, p)
		}
		if w.use&usePlace != 0 {
			if at, ok := middle(p); ok {
				a.place(w.id, w.tags, at)
			}
		}
	}
}

// area adds the area of a closed way.
func (a *assembler) area(w *rawWay, p piece) {
	if p.ids[0] != p.ids[len(p.ids)-1] {
		// A member of a multipolygon may repeat its tags; a road with landuse is no area either.
		if w.use&(useMember|useWay) == 0 {
			a.brokenWays++
		}
		return
	}
	if w.use&useWay != 0 && !w.tags.Yes("area") {
		return // a ring road
	}
	ring, _, ok := ringOf(p)
	if !ok {
		a.brokenWays++
		return
	}
	orient(ring, true)
	a.r.Areas = append(a.r.Areas, Area{ID: w.id, Kind: AreaKindOf(w.tags), Tags: w.tags,
		Polygons: orb.MultiPolygon{{ring}}, Bound: ring.Bound()})
}

// eachRun calls f for every stretch of at least two known nodes.
func (a *assembler) eachRun(p piece, f func(ids []int64, pos []e7)) {
	for i := 0; i < len(p.pos); {
		j := i
		for j < len(p.pos) && p.pos[j] != nowhere {
			j++
		}
		if j-i >= 2 {
			f(p.ids[i:j], p.pos[i:j])
		}
		i = j + 1
	}
}

// nodes are the node ids of a way, out of those that were read.
func (a *assembler) nodes(ids []int64) []int64 {
	if a.ids == nil {
		return slices.Clip(ids)
	}
	from := len(a.ids)
	a.ids = append(a.ids, ids...)
	return slices.Clip(a.ids[from:])
}

// cut copies positions into the slab.
func (a *assembler) cut(pos []e7) orb.LineString {
	from := len(a.line)
	for _, q := range pos {
		a.line = append(a.line, q.point())
	}
	return orb.LineString(slices.Clip(a.line[from:]))
}

// relations assembles the multipolygons. It returns the ways whose own area is to be left out, since a
// relation has it, perhaps with holes.
func (a *assembler) relations() (replaced map[int64]bool) {
	replaced = map[int64]bool{}
	if len(a.rels) == 0 {
		return replaced
	}
	type place struct{ batch, way int32 }
	members := a.memberWays()
	at := make(map[int64]place, len(members))
	for i, b := range a.batches {
		for j, w := range b.ways {
			if w.use&useMember != 0 {
				at[w.id] = place{int32(i), int32(j)}
			}
		}
	}
	left := a.relationRefs()
	for _, r := range a.rels {
		var pieces []piece
		var outer []*rawWay
		seen := map[int64]bool{}
		absent := 0
		for _, m := range r.members {
			if m.kind != memberWay || seen[m.ref] {
				continue
			}
			seen[m.ref] = true
			p, ok := at[m.ref]
			if !ok {
				absent++
				continue
			}
			b := &a.batches[p.batch]
			w := &b.ways[p.way]
			pieces = append(pieces, piece{ids: b.refs[w.from:w.to], pos: b.pos[w.from:w.to]})
			left -= int(w.to - w.from)
			if !m.inner {
				outer = append(outer, w)
			}
		}
		if left < 0 {
			a.brokenRelations++
			continue
		}
		if r.area && a.parts&Areas != 0 {
			a.multipolygon(r, pieces, outer, absent, replaced)
		}
		if a.parts&Places != 0 && isPlace(r.tags) {
			if at, ok := middleOfAll(pieces); ok {
				a.place(r.id, r.tags, at)
			}
		}
	}
	return replaced
}

// relationRefs is how many nodes the ways of all relations together may have: a way seldom belongs to more than two or
// three, and thousands that name the same long one would else make thousands of areas of its size.
func (a *assembler) relationRefs() int {
	all := 1 << 20
	for i := range a.batches {
		all += 8 * len(a.batches[i].refs)
	}
	return all
}

// multipolygon adds the area of a relation.
func (a *assembler) multipolygon(r rawRelation, pieces []piece, outer []*rawWay, absent int, replaced map[int64]bool) {
	tags, kind := r.tags, AreaKindOf(r.tags)
	if kind == AreaNone { // the old style: the outer ways have the tags
		for _, w := range outer {
			if k := AreaKindOf(w.tags); k != AreaNone {
				if kind != AreaNone && k != kind {
					return // outer ways of different kinds are areas of their own
				}
				tags, kind = w.tags, k
			}
		}
		if kind == AreaNone {
			return // buildings and the like
		}
	}
	if len(pieces) == 0 {
		a.brokenRelations++
		return
	}
	closed, open := rings(pieces)
	var all []orb.Ring
	lost := 0
	for _, p := range closed {
		ring, n, ok := ringOf(p)
		lost += n
		if ok {
			all = append(all, ring)
		} else {
			open++
		}
	}
	var polygons orb.MultiPolygon
	if len(all) > 0 {
		polygons = nest(all)
	}
	if r.far && !around(polygons, a.kept) {
		return
	}
	if absent > 0 || open > 0 || lost > 0 {
		a.brokenRelations++
	}
	if len(all) == 0 {
		return
	}
	a.fromRelations = append(a.fromRelations, Area{ID: r.id, Relation: true, Kind: kind, Tags: tags,
		Polygons: polygons, Bound: polygons.Bound()})
	for _, w := range outer {
		if AreaKindOf(w.tags) == kind {
			replaced[w.id] = true
		}
	}
}

// points adds the nodes that are places of help or points on the way, and finds the ways they lie on.
func (a *assembler) points() {
	for _, b := range a.batches {
		for _, n := range b.points {
			if kind := NodeKindOf(n.tags); kind != NodeNone && a.parts&Points != 0 {
				a.r.Nodes = append(a.r.Nodes, Node{ID: n.id, Kind: kind, At: n.pos.point(), Tags: n.tags})
			}
			if a.parts&Places != 0 {
				a.place(n.id, n.tags, n.pos.point())
			}
		}
	}
	linkNodes(a.r)
}

// linkNodes finds for every node the ways that it lies on.
func linkNodes(r *Region) {
	if len(r.Nodes) == 0 {
		return
	}
	on := make(map[int64][]int32, len(r.Nodes))
	var sieve [1 << 10]uint64 // lets most nodes of ways pass without a look into the map
	for _, n := range r.Nodes {
		on[n.ID] = nil
		sieve[uint16(n.ID)>>6] |= 1 << (n.ID & 63)
	}
	for i, w := range r.Ways {
		for _, id := range w.Nodes {
			if sieve[uint16(id)>>6]>>(id&63)&1 == 0 {
				continue
			}
			if s, ok := on[id]; ok && (len(s) == 0 || s[len(s)-1] != int32(i)) {
				on[id] = append(s, int32(i))
			}
		}
	}
	for i := range r.Nodes {
		r.Nodes[i].Ways = on[r.Nodes[i].ID]
	}
}

// place adds the places of help that an element is.
func (a *assembler) place(id int64, t Tags, at orb.Point) {
	placesOf(t, func(kind geo.HelpKind, tag string) {
		a.r.Places = append(a.r.Places, geo.Place{Kind: kind, At: at, OSM: id, Tag: tag,
			Name: firstOf(t.Get("name"), t.Get("name:en"), t.Get("ref")), OffM: math.NaN(), RouteM: math.NaN()})
	})
}

// middle is the centroid of a closed way and the middle of the box of an open one.
func middle(p piece) (at orb.Point, ok bool) {
	if ring, _, closed := ringOf(p); closed && p.ids[0] == p.ids[len(p.ids)-1] {
		return centroid(ring), true
	}
	return middleOfAll([]piece{p})
}

// middleOfAll is the middle of the box of all known nodes.
func middleOfAll(pieces []piece) (at orb.Point, ok bool) {
	var box orb.Bound
	for _, p := range pieces {
		for _, q := range p.pos {
			if q == nowhere {
				continue
			}
			if !ok {
				box, ok = orb.Bound{Min: q.point(), Max: q.point()}, true
			}
			box = box.Extend(q.point())
		}
	}
	return box.Center(), ok
}

// centroid is the centre of gravity of a ring that has an area.
func centroid(r orb.Ring) orb.Point {
	var x, y, sum float64
	for i := 1; i < len(r); i++ {
		ax, ay, bx, by := r[i-1][0]-r[0][0], r[i-1][1]-r[0][1], r[i][0]-r[0][0], r[i][1]-r[0][1]
		c := ax*by - bx*ay
		x, y, sum = x+(ax+bx)*c, y+(ay+by)*c, sum+c
	}
	return orb.Point{r[0][0] + x/(3*sum), r[0][1] + y/(3*sum)}
}

// notes says what was left out.
func (a *assembler) notes() {
	n := &a.r.Notes
	*n = append(*n, a.collection.notes...)
	if a.badNodes > 0 {
		*n = append(*n, fmt.Sprintf("%d nodes lie outside the range of coordinates and were left out.", a.badNodes))
	}
	if a.brokenWays > 0 {
		*n = append(*n, fmt.Sprintf("%d ways lack nodes, have far too many or do not close and were shortened or left out.", a.brokenWays))
	}
	if a.brokenRelations > 0 {
		*n = append(*n, fmt.Sprintf("%d areas made of several ways lack members, have far too many or do not close and are incomplete or left out.", a.brokenRelations))
	}
	if a.counts.Nodes == 0 {
		*n = append(*n, "The file holds no nodes.")
	}
}

// credit is the line to show for the data of a file. What a GeoJSON file rests on is not known.
func (c *collection) credit(file string) string {
	if c.foreign {
		return file + ": see the source of this file for its terms"
	}
	return Credit
}
