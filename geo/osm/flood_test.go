package osm

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/hex"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo/garble"
	"lastroad/geo/osm/osmtest"
)

// A blob may not unpack to more than a hundred times its size, whatever it is packed with.
func TestSwellingBlobs(t *testing.T) {
	for _, c := range []struct {
		name    string
		packing osmtest.Packing
		refused bool
	}{{"zlib", osmtest.Zlib, true}, {"zstd", osmtest.Zstd, true}, {"not packed", osmtest.Raw, false}} {
		t.Run(c.name, func(t *testing.T) {
			n, w, r := village()
			n.Nodes = append(n.Nodes, osmtest.Node{ID: 600, Lon: 15_000_000, Lat: 425_000_000, Tags: []osmtest.Tag{{Key: "note", Value: strings.Repeat("a", 8<<20)}}})
			data := osmtest.File(c.packing, n, w, r)
			garble.Bounded(t, len(data), func() {
				reg, err := Read(context.Background(), source("land.osm.pbf", data), Corridor{}, Options{}, nil)
				if !c.refused {
					if err != nil {
						t.Fatal(err)
					}
					checkVillage(t, reg)
					return
				}
				if err == nil || !strings.Contains(err.Error(), "claims to unpack from") {
					t.Fatalf("%d bytes that unpack to 8 MB: %v, want a refusal", len(data), err)
				}
				garble.Refused(t, err, "land.osm.pbf")
			})
		})
	}
}

// flooded is the village with one element of each kind that holds far more than any in order.
func flooded() (nodes, ways, rels osmtest.Block) {
	nodes, ways, rels = village()
	fuel := slices.Repeat([]osmtest.Tag{{Key: "amenity", Value: "fuel"}}, 1_000_000)
	nodes.Nodes[4].Tags = append(fuel, nodes.Nodes[4].Tags[1])
	long := osmtest.Way{ID: 105, Refs: slices.Repeat([]int64{1, 2}, 1_000_000), Tags: ways.Ways[0].Tags}
	ways.Ways = append(ways.Ways, long)
	rels.Relations = append(rels.Relations, osmtest.Relation{ID: 201, Tags: rels.Relations[0].Tags, Members: slices.Repeat(rels.Relations[0].Members, 200_000)})
	return nodes, ways, rels
}

// An element with tags, nodes or members without end costs little and spoils nothing else: it is counted as broken, and of
// equal tags the first holds.
func TestFloodedElements(t *testing.T) {
	n, w, r := flooded()
	plain := n
	plain.Plain = true
	for _, c := range []struct {
		name string
		data []byte
	}{{"dense.osm.pbf", osmtest.File(osmtest.Raw, n, w, r)}, {"plain.osm.pbf", osmtest.File(osmtest.Raw, plain, w, r)}, {"a.osm", villageXML(n, w, r)}, {"falling.osm.pbf", osmtest.File(osmtest.Raw, w, n, r)}} {
		for _, corridor := range []Corridor{{}, {Line: orb.LineString{{1.5, 42.5}}}} {
			garble.Bounded(t, len(c.data), func() {
				reg := mustRead(t, source(c.name, c.data), corridor, Options{})
				if len(reg.Ways) != 2 || len(reg.Areas) != 2 || len(reg.Places) != 1 || len(reg.Places[0].Tag) == 0 {
					t.Errorf("%s: %d ways, %d areas, places %v; want those of the village", c.name, len(reg.Ways), len(reg.Areas), reg.Places)
				}
				if f := reg.File; f.BrokenWays != 1 || f.BrokenRelations != 1 || f.Ways != 6 || f.Relations != 2 {
					t.Errorf("%s: counts %+v, want one broken way of 6 and one broken relation of 2", c.name, f)
				}
			})
		}
	}
}

// Many elements that are each within their limits are refused together, when there are more than the file can hold.
func TestFloodOfElements(t *testing.T) {
	n, w, r := village()
	ways := osmtest.Block{}
	for i := range int64(300) {
		ways.Ways = append(ways.Ways, osmtest.Way{ID: 1000 + i, Refs: slices.Repeat([]int64{1}, mostRefs), Tags: w.Ways[0].Tags})
	}
	// Zeros behind another way's noise: packed some fiftyfold.
	noise := osmtest.Way{ID: 999}
	for i := range int64(120_000) {
		noise.Refs = append(noise.Refs, i*i*7919%1_000_003)
	}
	ways.Ways = append(ways.Ways, noise)
	data := osmtest.File(osmtest.Zlib, n, ways, r)
	_, err := Read(context.Background(), source("land.osm.pbf", data), Corridor{}, Options{}, nil)
	if err == nil || !strings.Contains(err.Error(), "than a file of this size can hold") {
		t.Fatalf("a file of %d bytes with 30 million nodes of ways: %v, want a refusal", len(data), err)
	}
	garble.Refused(t, err, "land.osm.pbf")
}

// So are many small ones, however they are packed, before they take much memory.
func TestFloodOfSmallElements(t *testing.T) {
	n, w, r := village()
	small := osmtest.Block{}
	for i := range int64(200_000) {
		small.Ways = append(small.Ways, osmtest.Way{ID: 1000 + i, Refs: []int64{1, 2}, Tags: w.Ways[0].Tags})
	}
	nodes := osmtest.Block{Nodes: slices.Repeat(n.Nodes[:1], 500_000)}
	alone := osmtest.Block{Nodes: nodes.Nodes, Plain: true}
	noise := osmtest.Way{ID: 999}
	for i := range int64(120_000) {
		noise.Refs = append(noise.Refs, i*i*7919%1_000_003)
	}
	for _, b := range []*osmtest.Block{&small, &nodes, &alone} {
		b.Ways = append(b.Ways, noise)
	}
	noisy := make([]byte, 80_000)
	rand.NewChaCha8([32]byte{}).Read(noisy)
	way := "<way id='1'><nd ref='1'/><nd ref='2'/><tag k='highway' v='track'/></way>"
	node := "<node id='1' lat='1' lon='1'/>"
	feature := `{"type":"Feature","properties":{"highway":"track"},"geometry":{"type":"LineString","coordinates":[[1,2],[1,3]]}},`
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"ways.osm.pbf", osmtest.File(osmtest.Zlib, n, small, r), "than a file of this size can hold"},
		{"nodes.osm.pbf", osmtest.File(osmtest.Zlib, nodes), "than a file of this size can hold"},
		{"alone.osm.pbf", osmtest.File(osmtest.Zlib, alone), "than a file of this size can hold"},
		{"ways.osm.gz", gzipped("<osm>", node, strings.Repeat(way, 100_000), "</osm>"), "than one of its size can"},
		{"nodes.osm.gz", gzipped("<osm>", strings.Repeat(node, 200_000), "<!--"+hex.EncodeToString(noisy)+"--></osm>"), "than one of its size can"},
		{"long.osm.gz", gzipped("<osm>", node, "<way id='1'>", strings.Repeat("<nd ref='1'/>", 2_000_000), "</way></osm>"), "unpacks to more"},
		{"many.geojson.gz", gzipped(`{"type":"FeatureCollection","features":[`, strings.Repeat(feature, 50_000), strings.TrimSuffix(feature, ","), "]}"), "than one of its size can"},
	} {
		garble.Bounded(t, len(c.data), func() {
			_, err := Read(context.Background(), source(c.name, c.data), Corridor{}, Options{}, nil)
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Fatalf("%s of %d bytes: %v, want a refusal", c.name, len(c.data), err)
			}
			garble.Refused(t, err, c.name)
		})
	}
}

func gzipped(parts ...string) []byte {
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	for _, p := range parts {
		w.Write([]byte(p))
	}
	w.Close()
	return b.Bytes()
}

// Thousands of relations that name the same long way do not make thousands of areas of its size.
func TestFloodOfAreas(t *testing.T) {
	nodes, ways, rels := osmtest.Block{}, osmtest.Block{}, osmtest.Block{}
	ring := osmtest.Way{ID: 500}
	const round = 10_000
	for i := range int64(round) {
		a := 2 * math.Pi * float64(i) / round
		nodes.Nodes = append(nodes.Nodes, osmtest.Node{ID: i + 1, Lon: 15_000_000 + int64(1e6*math.Cos(a)), Lat: 425_000_000 + int64(1e6*math.Sin(a))})
		ring.Refs = append(ring.Refs, i+1)
	}
	ring.Refs = append(ring.Refs, 1)
	ways.Ways = append(ways.Ways, ring)
	const many = 2000
	for i := range int64(many) {
		rels.Relations = append(rels.Relations, osmtest.Relation{ID: 1000 + i, Tags: []osmtest.Tag{{Key: "type", Value: "multipolygon"}, {Key: "landuse", Value: "forest"}},
			Members: []osmtest.Member{{Ref: 500, Type: 1, Role: "outer"}}})
	}
	data := osmtest.File(osmtest.Raw, nodes, ways, rels)
	garble.Bounded(t, len(data), func() {
		r := mustRead(t, source("areas.osm.pbf", data), Corridor{}, Options{})
		if n := len(r.Areas); n < 8 || n >= many || n+int(r.File.BrokenRelations) != many {
			t.Errorf("%d areas and %d broken relations, want together %d, of them some areas", n, r.File.BrokenRelations, many)
		}
	})
}

func TestTextLimit(t *testing.T) {
	for _, c := range []struct {
		size, want int64
		err        error
	}{{0, 1 << 20, errBomb}, {1000, 1<<20 + 100_000, errBomb}, {1 << 30, 100<<30 + 1<<20, errBomb}, {3 << 30, 256 << 30, errTooLong}, {1 << 60, 256 << 30, errTooLong}} {
		if got, err := textLimit(c.size); got != c.want || err != c.err {
			t.Errorf("%d packed bytes may hold %d, else %v; want %d, else %v", c.size, got, err, c.want, c.err)
		}
	}
}

// An element in order never comes to the limit of tags.
func TestLimitOfTagsIsBeyondTheKeys(t *testing.T) {
	if len(keys) > mostTags {
		t.Errorf("%d keys are kept and %d tags are read of one element", len(keys), mostTags)
	}
}
