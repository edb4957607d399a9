package osm

import (
	"slices"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo/osm/osmtest"
)

// TestAreasAroundTheCorridor: an area that lies all round the corridor, or crosses it by an edge, is kept
// though it has no node there; others like it elsewhere are not.
func TestAreasAroundTheCorridor(t *testing.T) {
	nodes, ways, rels := village()
	id := int64(1000)
	ring := func(x, y, half int64) (refs []int64) { // a square round 1.5+x/1000, 42.5+y/1000 degrees
		first := id
		for _, c := range [][2]int64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
			nodes.Nodes = append(nodes.Nodes, osmtest.Node{ID: id, Lon: 15_000_000 + (x+c[0]*half)*10_000, Lat: 425_000_000 + (y+c[1]*half)*10_000})
			refs = append(refs, id)
			id++
		}
		return append(refs, first)
	}
	tags := func(kv ...string) (t []osmtest.Tag) {
		for i := 0; i < len(kv); i += 2 {
			t = append(t, osmtest.Tag{Key: kv[i], Value: kv[i+1]})
		}
		return t
	}
	way := func(wid int64, refs []int64, kv ...string) {
		ways.Ways = append(ways.Ways, osmtest.Way{ID: wid, Refs: refs, Tags: tags(kv...)})
	}
	way(300, ring(0, 0, 900), "natural", "sand")       // all round
	way(301, ring(3000, 0, 900), "natural", "sand")    // elsewhere
	way(302, ring(900, 0, 898), "natural", "desert")   // an edge passes 2 km beside the village
	way(303, ring(0, 0, 800), "landuse", "industrial") // no kind that is so wide
	around, apart := ring(0, 0, 700), ring(-2000, 0, 300)
	way(310, around[:3])
	way(311, around[2:])
	way(312, apart)
	member := func(ref int64) osmtest.Member { return osmtest.Member{Ref: ref, Type: 1, Role: "outer"} }
	rels.Relations = append(rels.Relations,
		osmtest.Relation{ID: 400, Tags: tags("type", "multipolygon", "natural", "heath"), Members: []osmtest.Member{member(310), member(311)}},
		osmtest.Relation{ID: 401, Tags: tags("type", "multipolygon", "natural", "heath"), Members: []osmtest.Member{member(312)}})
	c := Corridor{Line: orb.LineString{{1.5, 42.5}, {1.503, 42.504}}, RadiusM: 5000}
	xml := villageXML(nodes, ways, rels)
	for name, data := range map[string][]byte{"PBF": osmtest.File(osmtest.Zlib, nodes, ways, rels),
		"PBF, not sorted": osmtest.File(osmtest.Zlib, rels, ways, nodes), "XML": xml} {
		r := mustRead(t, source(name, data), c, Options{})
		var got []int64
		for _, a := range r.Areas {
			got = append(got, a.ID)
		}
		slices.Sort(got)
		if want := []int64{104, 200, 300, 302, 400}; !slices.Equal(got, want) {
			t.Errorf("%s: the areas are %v, want %v", name, got, want)
		}
		if len(r.Ways) != 2 || len(r.Notes) != 0 {
			t.Errorf("%s: %d ways, notes %q; want 2 and none", name, len(r.Ways), r.Notes)
		}
		kinds := NewAreaIndex(r.Areas).Kinds(nil, orb.Point{1.5001, 42.5001})
		if want := []AreaKind{Heath, Sand}; !slices.Equal(kinds, want) {
			t.Errorf("%s: at the village lie %v, want %v", name, kinds, want)
		}
	}
}

// villageXML writes blocks as XML, through the oracle's types.
func villageXML(nodes, ways, rels osmtest.Block) []byte {
	return writeXML(oracleOf(nodes, ways, rels), false)
}
