package osm

import (
	"cmp"
	"slices"

	"lastroad/geo"
)

// Stats say what a region holds, for a person who wonders whether it is good enough for a route.
type Stats struct {
	File     FileCounts
	Highways []HighwayStats // longest first
	Areas    []Count        // by kind, most first
	Lines    []Count        // watercourses and cliffs by kind
	Nodes    []Count        // fords, gates, passes by kind
	Help     []Count        // by tag ("amenity=fuel"), most first
	// HelpKinds counts the places by kind of help.
	HelpKinds [geo.NumHelp]int
}

// Count is a number of things of one kind.
type Count struct {
	Key string
	N   int
}

// HighwayStats say how much a region holds of one type of way, and how much of it carries tags of the
// ground.
type HighwayStats struct {
	Highway string
	Ways    int
	Metres  float64
	// Tagged counts, for each tag that tells of the ground, the ways that have it and their length.
	Tagged []TagStats
	// BareWays and BareM have neither surface nor tracktype nor smoothness.
	BareWays int
	BareM    float64
}

// TagStats are the ways with a tag.
type TagStats struct {
	Key    string
	Ways   int
	Metres float64
	Values []Count // ways by value, most first
}

// groundKeys are the tags of which the coverage is counted.
var groundKeys = []string{"tracktype", "surface", "smoothness", "width", "incline", "mtb:scale", "bridge", "tunnel", "ford",
	"4wd_only", "access", "motor_vehicle", "vehicle", "oneway", "seasonal", "winter_road"}

// Stats counts what the region holds. Ways that the corridor cuts into several pieces count once a piece.
func (r *Region) Stats() Stats {
	s := Stats{File: r.File}
	type tally struct {
		HighwayStats
		tag  []TagStats
		vals []map[string]int
	}
	by := map[string]*tally{}
	for i := range r.Ways {
		w := &r.Ways[i]
		h := w.Highway()
		t := by[h]
		if t == nil {
			t = &tally{tag: make([]TagStats, len(groundKeys)), vals: make([]map[string]int, len(groundKeys))}
			t.Highway = h
			by[h] = t
		}
		l := geo.Length(w.Line)
		t.Ways++
		t.Metres += l
		for k, key := range groundKeys {
			if v := w.Tags.Get(key); v != "" {
				t.tag[k].Ways++
				t.tag[k].Metres += l
				if t.vals[k] == nil {
					t.vals[k] = map[string]int{}
				}
				t.vals[k][v]++
			}
		}
		if w.Tags.Get("surface") == "" && w.Tags.Get("tracktype") == "" && w.Tags.Get("smoothness") == "" {
			t.BareWays++
			t.BareM += l
		}
	}
	for _, t := range by {
		for k, key := range groundKeys {
			if t.tag[k].Ways > 0 {
				t.tag[k].Key, t.tag[k].Values = key, counts(t.vals[k])
				t.Tagged = append(t.Tagged, t.tag[k])
			}
		}
		s.Highways = append(s.Highways, t.HighwayStats)
	}
	slices.SortFunc(s.Highways, func(a, b HighwayStats) int {
		return cmp.Or(cmp.Compare(b.Metres, a.Metres), cmp.Compare(a.Highway, b.Highway))
	})
	areas, lines, nodes, help := map[string]int{}, map[string]int{}, map[string]int{}, map[string]int{}
	for i := range r.Areas {
		areas[r.Areas[i].Kind.Key()]++
	}
	for i := range r.Waterways {
		lines[r.Waterways[i].Kind.Key()]++
	}
	for i := range r.Cliffs {
		lines[r.Cliffs[i].Kind.Key()]++
	}
	for i := range r.Nodes {
		nodes[r.Nodes[i].Kind.Key()]++
	}
	for i := range r.Places {
		help[r.Places[i].Tag]++
		s.HelpKinds[r.Places[i].Kind]++
	}
	s.Areas, s.Lines, s.Nodes, s.Help = counts(areas), counts(lines), counts(nodes), counts(help)
	return s
}

// counts sorts a tally, most first, equal ones by key.
func counts(m map[string]int) []Count {
	var c []Count
	for k, n := range m {
		c = append(c, Count{k, n})
	}
	slices.SortFunc(c, func(a, b Count) int { return cmp.Or(cmp.Compare(b.N, a.N), cmp.Compare(a.Key, b.Key)) })
	return c
}
