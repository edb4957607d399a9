package osm

import (
	"slices"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// Merge joins the regions of several files into one. What two files both hold comes once: of a way or
// area with the same id the version with more points, of those alike the one from the earlier region.
// Corridor is that of the first region. Merge does not change its arguments; of one region it gives that
// region, of none nil.
func Merge(regions ...*Region) *Region {
	regions = slices.DeleteFunc(slices.Clone(regions), func(r *Region) bool { return r == nil })
	switch len(regions) {
	case 0:
		return nil
	case 1:
		return regions[0]
	}
	out := &Region{Corridor: regions[0].Corridor, kept: regions[0].kept}
	out.Box = orb.Bound{Min: orb.Point{1, 1}, Max: orb.Point{-1, -1}}
	out.Declared = out.Box
	ways, areas, lines, cliffs := winners{}, winners{}, winners{}, winners{}
	for k, r := range regions {
		for i := range r.Ways {
			ways.bid(r.Ways[i].ID, k, len(r.Ways[i].Line))
		}
		for i := range r.Areas {
			areas.bid(areaKey(&r.Areas[i]), k, areaPoints(&r.Areas[i]))
		}
		for i := range r.Waterways {
			lines.bid(r.Waterways[i].ID, k, len(r.Waterways[i].Line))
		}
		for i := range r.Cliffs {
			cliffs.bid(r.Cliffs[i].ID, k, len(r.Cliffs[i].Line))
		}
	}
	type placeKey struct {
		id   int64
		kind geo.HelpKind
		at   orb.Point
	}
	nodes, places := map[int64]bool{}, map[placeKey]bool{}
	all := true // regions declare a box
	for k, r := range regions {
		for _, w := range r.Ways {
			if ways.won(w.ID, k) {
				out.Ways = append(out.Ways, w)
			}
		}
		for i := range r.Areas {
			if areas.won(areaKey(&r.Areas[i]), k) {
				out.Areas = append(out.Areas, r.Areas[i])
			}
		}
		for _, l := range r.Waterways {
			if lines.won(l.ID, k) {
				out.Waterways = append(out.Waterways, l)
			}
		}
		for _, l := range r.Cliffs {
			if cliffs.won(l.ID, k) {
				out.Cliffs = append(out.Cliffs, l)
			}
		}
		for _, n := range r.Nodes {
			if !nodes[n.ID] {
				nodes[n.ID] = true
				out.Nodes = append(out.Nodes, n)
			}
		}
		for _, p := range r.Places {
			if key := (placeKey{p.OSM, p.Kind, p.At}); !places[key] {
				places[key] = true
				out.Places = append(out.Places, p)
			}
		}
		out.Box, out.Declared = union(out.Box, r.Box), union(out.Declared, r.Declared)
		all = all && !r.Declared.IsEmpty()
		out.Outline = append(out.Outline, r.Outline...)
		out.File = out.File.plus(r.File)
		out.Sources = append(out.Sources, r.Sources...)
		for _, c := range r.Credit {
			if !slices.Contains(out.Credit, c) {
				out.Credit = append(out.Credit, c)
			}
		}
		for _, n := range r.Notes {
			if len(r.Sources) == 1 {
				n = r.Sources[0] + ": " + n
			}
			out.Notes = append(out.Notes, n)
		}
	}
	if !all { // what the others declare says nothing of the one that does not
		out.Declared = orb.Bound{Min: orb.Point{1, 1}, Max: orb.Point{-1, -1}}
	}
	linkNodes(out)
	return out
}

// winners finds for every id the region that has the most points of it. Ids made for features without one
// (negative) belong to their own file and never clash.
type winners map[int64]map[int]int

func (w winners) bid(id int64, region, points int) {
	if id < 0 {
		return
	}
	if w[id] == nil {
		w[id] = map[int]int{}
	}
	w[id][region] += points
}

func (w winners) won(id int64, region int) bool {
	if id < 0 {
		return true
	}
	for k, n := range w[id] {
		if mine := w[id][region]; n > mine || n == mine && k < region {
			return false
		}
	}
	return true
}

// areaKey tells the ids of ways and relations apart; features without an id (negative) stay negative.
func areaKey(a *Area) int64 {
	if a.ID < 0 {
		return a.ID
	}
	if a.Relation {
		return a.ID<<1 | 1
	}
	return a.ID << 1
}

func areaPoints(a *Area) int {
	n := 0
	for _, p := range a.Polygons {
		for _, r := range p {
			n += len(r)
		}
	}
	return n
}

func union(a, b orb.Bound) orb.Bound {
	switch {
	case a.IsEmpty():
		return b
	case b.IsEmpty():
		return a
	}
	return a.Union(b)
}

// plus adds counts up; of two time stamps the older is kept, as the state that all data have.
func (f FileCounts) plus(g FileCounts) FileCounts {
	f.Nodes, f.Ways, f.Relations = f.Nodes+g.Nodes, f.Ways+g.Ways, f.Relations+g.Relations
	f.BrokenWays, f.BrokenRelations = f.BrokenWays+g.BrokenWays, f.BrokenRelations+g.BrokenRelations
	if f.Timestamp == "" || g.Timestamp != "" && g.Timestamp < f.Timestamp {
		f.Timestamp = g.Timestamp
	}
	return f
}
