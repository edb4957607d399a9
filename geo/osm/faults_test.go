package osm

import (
	"bytes"
	"compress/gzip"
	"compress/zlib"
	"context"
	"encoding/binary"
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"

	"lastroad/geo"
	"lastroad/geo/osm/osmtest"
)

func source(name string, data []byte) Source {
	return Source{Name: name, R: bytes.NewReader(data), Size: int64(len(data))}
}

// village is a small land: a road (nodes 1, 2, 3), a track (3, 4), a wood made of two ways with a hole, a
// fuel place and a ford on the track's last node.
func village() (nodes, ways, rels osmtest.Block) {
	at := func(id, x, y int64, tags ...osmtest.Tag) osmtest.Node {
		return osmtest.Node{ID: id, Lon: 15_000_000 + x*1000, Lat: 425_000_000 + y*1000, Tags: tags}
	}
	nodes.Nodes = []osmtest.Node{at(1, 0, 0), at(2, 10, 0), at(3, 20, 5), at(4, 30, 40, osmtest.Tag{Key: "ford", Value: "yes"}),
		at(5, 5, 5, osmtest.Tag{Key: "amenity", Value: "fuel"}, osmtest.Tag{Key: "name", Value: "Pump & Co"}),
		at(10, 0, 100), at(11, 100, 100), at(12, 100, 200), at(13, 0, 200),
		at(20, 40, 140), at(21, 60, 140), at(22, 60, 160), at(23, 40, 160)}
	tag := func(k, v string) []osmtest.Tag { return []osmtest.Tag{{Key: k, Value: v}} }
	ways.Ways = []osmtest.Way{
		{ID: 100, Refs: []int64{1, 2, 3}, Tags: tag("highway", "tertiary")},
		{ID: 101, Refs: []int64{3, 4}, Tags: append(tag("highway", "track"), osmtest.Tag{Key: "smoothness", Value: "Very Bad"})},
		{ID: 102, Refs: []int64{10, 11, 12}},
		{ID: 103, Refs: []int64{10, 13, 12}},
		{ID: 104, Refs: []int64{20, 21, 22, 23, 20}, Tags: tag("natural", "water")},
	}
	rels.Relations = []osmtest.Relation{{ID: 200, Members: []osmtest.Member{{Ref: 102, Type: 1, Role: "outer"}, {Ref: 103, Type: 1, Role: "outer"},
		{Ref: 104, Type: 1, Role: "inner"}}, Tags: append(tag("type", "multipolygon"), osmtest.Tag{Key: "natural", Value: "wood"})}}
	return nodes, ways, rels
}

func checkVillage(t *testing.T, r *Region) {
	t.Helper()
	if len(r.Ways) != 2 || len(r.Areas) != 2 || len(r.Nodes) != 1 || len(r.Places) != 1 {
		t.Fatalf("%d ways, %d areas, %d nodes, %d places; want 2, 2, 1, 1; notes %q", len(r.Ways), len(r.Areas), len(r.Nodes), len(r.Places), r.Notes)
	}
	if v := r.Ways[1].Tags.Get("smoothness"); v != "very_bad" {
		t.Errorf("smoothness %q, want very_bad", v)
	}
	wood := r.Areas[1]
	if wood.Kind != Wood || !wood.Relation || len(wood.Polygons) != 1 || len(wood.Polygons[0]) != 2 {
		t.Errorf("the wood is %+v, want one polygon with a hole", wood)
	}
	if ringArea(wood.Polygons[0][0]) <= 0 || ringArea(wood.Polygons[0][1]) >= 0 {
		t.Error("the outer ring must be anticlockwise and the hole clockwise")
	}
	if p := r.Places[0]; p.Kind != geo.HelpFuel || p.Name != "Pump & Co" || p.At != r.Box.Min && p.OSM != 5 {
		t.Errorf("the place is %+v", p)
	}
	if n := r.Nodes[0]; n.Kind != NodeFord || len(n.Ways) != 1 || r.Ways[n.Ways[0]].ID != 101 {
		t.Errorf("the ford is %+v, want one on way 101", n)
	}
	x := NewAreaIndex(r.Areas)
	if k := x.Kinds(nil, wood.Bound.Center()); len(k) != 1 || k[0] != Water {
		t.Errorf("in the middle of the wood lies %v, want the water in its hole", k)
	}
}

func TestPBFForms(t *testing.T) {
	n, w, r := village()
	plain, scaled := n, n
	plain.Plain = true
	scaled.Granularity, scaled.LatOffset, scaled.LonOffset = 1000, 2_000_000_000, -1_000_000_000
	split := []osmtest.Block{{Nodes: n.Nodes[:4]}, {Nodes: n.Nodes[4:]}, {Ways: w.Ways[:2]}, {}, {Ways: w.Ways[2:]}, r}
	mixed := osmtest.Block{Nodes: n.Nodes, Ways: w.Ways, Relations: r.Relations}
	backward := osmtest.Block{}
	for i := len(n.Nodes) - 1; i >= 0; i-- {
		backward.Nodes = append(backward.Nodes, n.Nodes[i])
	}
	for _, c := range []struct {
		name    string
		packing osmtest.Packing
		blocks  []osmtest.Block
	}{
		{"zlib", osmtest.Zlib, []osmtest.Block{n, w, r}},
		{"not packed", osmtest.Raw, []osmtest.Block{n, w, r}},
		{"zstd", osmtest.Zstd, []osmtest.Block{n, w, r}},
		{"nodes one by one", osmtest.Zlib, []osmtest.Block{plain, w, r}},
		{"granularity and offsets", osmtest.Zlib, []osmtest.Block{scaled, w, r}},
		{"many blobs, one empty", osmtest.Zlib, split},
		{"all in one blob", osmtest.Zlib, []osmtest.Block{mixed}},
		{"relations first", osmtest.Zlib, []osmtest.Block{r, w, n}},
		{"ways before nodes", osmtest.Zlib, []osmtest.Block{w, n, r}},
		{"nodes in falling order", osmtest.Zlib, []osmtest.Block{backward, w, r}},
		{"nodes, ways, nodes, ways", osmtest.Zlib, []osmtest.Block{split[0], split[2], split[1], split[4], r}},
	} {
		t.Run(c.name, func(t *testing.T) {
			data := osmtest.File(c.packing, c.blocks...)
			checkVillage(t, mustRead(t, source("village.pbf", data), Corridor{}, Options{}))
			for _, workers := range []int{1, 3} {
				checkVillage(t, mustRead(t, source("village.pbf", data), Corridor{Line: orb.LineString{{1.5, 42.5}}}, Options{Workers: workers}))
			}
		})
	}
}

// TestCorruptPBF: each fault names the file and the blob.
func TestCorruptPBF(t *testing.T) {
	n, w, r := village()
	good := osmtest.File(osmtest.Zlib, n, w, r)
	build := func(f func(w *osmtest.Writer)) []byte {
		var b bytes.Buffer
		f(osmtest.NewWriter(&b, osmtest.Zlib, 0))
		return b.Bytes()
	}
	zipped := func(p []byte) []byte {
		var z bytes.Buffer
		zw := zlib.NewWriter(&z)
		zw.Write(p)
		zw.Close()
		return z.Bytes()
	}
	blob := func(rawSize uint64, zlibData []byte) []byte {
		b := binary.AppendUvarint([]byte{2 << 3}, rawSize)
		b = append(b, 3<<3|2)
		b = binary.AppendUvarint(b, uint64(len(zlibData)))
		return append(b, zlibData...)
	}
	flipped := bytes.Clone(good)
	flipped[len(flipped)/2] ^= 0x55
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"cut inside a blob", good[:len(good)-10], "ends inside the blob"},
		{"cut inside a header", good[:len(good)-len(good)+100+3], "ends inside"},
		{"a flipped byte", flipped, "blob "},
		{"a header of 100 MB", append(bytes.Clone(good), 0x06, 0, 0, 0, 1, 2, 3, 4), "the header claims"},
		{"a blob of 33 MB", build(func(w *osmtest.Writer) { w.Blob("OSMData", make([]byte, 33<<20)) }), "at most"},
		{"claims 65 MB unpacked", build(func(w *osmtest.Writer) { w.Blob("OSMData", blob(65<<20, zipped([]byte("x")))) }), "refused"},
		{"claims far more than it can hold", build(func(w *osmtest.Writer) { w.Blob("OSMData", blob(60<<20, zipped([]byte("x")))) }), "refused"},
		{"unpacks to more than it claims", build(func(w *osmtest.Writer) { w.Blob("OSMData", blob(10, zipped(make([]byte, 1<<20)))) }), "more than they claim"},
		{"unpacks to less than it claims", build(func(w *osmtest.Writer) { w.Blob("OSMData", blob(100, zipped(make([]byte, 50)))) }), "less than they claim"},
		{"lzma", build(func(w *osmtest.Writer) { w.Blob("OSMData", []byte{4<<3 | 2, 1, 0}) }), "lzma"},
		{"garbled block", build(func(w *osmtest.Writer) { w.Blob("OSMData", w.Pack([]byte{0xff, 0xff, 0xff})) }), "garbled"},
		{"no header block", good[bytes.Index(good, []byte("OSMData"))-6:], "neither OpenStreetMap"},
		{"empty", nil, "empty"},
		{"a picture", []byte("\x89PNG\r\n\x1a\n0000000000000000"), "neither OpenStreetMap"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Read(context.Background(), source("land.osm.pbf", c.data), Corridor{}, Options{}, nil)
			var bad *geo.InputError
			if !errors.As(err, &bad) || !strings.Contains(err.Error(), c.want) || bad.File != "land.osm.pbf" {
				t.Errorf("error %v, want an input error of land.osm.pbf with %q", err, c.want)
			}
		})
	}
}

// TestBrokenElements: what lacks nodes or members is shortened or left out, counted and noted.
func TestBrokenElements(t *testing.T) {
	n, w, r := village()
	w.Ways[0].Refs = []int64{1, 2, 99, 3, 4} // 99 is not in the file: two pieces
	w.Ways = append(w.Ways, osmtest.Way{ID: 105, Refs: []int64{1, 98}, Tags: w.Ways[1].Tags}, osmtest.Way{ID: 106, Refs: nil, Tags: w.Ways[1].Tags},
		osmtest.Way{ID: 107, Refs: []int64{1, 2, 3}, Tags: []osmtest.Tag{{Key: "landuse", Value: "forest"}}})
	r.Relations = append(r.Relations, osmtest.Relation{ID: 201, Tags: r.Relations[0].Tags, Members: []osmtest.Member{{Ref: 555, Type: 1, Role: "outer"}}},
		osmtest.Relation{ID: 202, Tags: r.Relations[0].Tags, Members: []osmtest.Member{{Ref: 102, Type: 1, Role: "outer"}}},
		osmtest.Relation{ID: 203, Tags: r.Relations[0].Tags, Members: []osmtest.Member{{Ref: 203, Type: 2, Role: "outer"}}})
	n.Nodes = append(n.Nodes, osmtest.Node{ID: 500, Lon: 2_000_000_000, Lat: 0})
	reg := mustRead(t, source("x.pbf", osmtest.File(osmtest.Zlib, n, w, r)), Corridor{}, Options{})
	var lens []int
	for _, x := range reg.Ways {
		lens = append(lens, len(x.Line))
	}
	if len(lens) != 3 || lens[0] != 2 || lens[1] != 2 || lens[2] != 2 || reg.Ways[0].ID != 100 || reg.Ways[1].ID != 100 {
		t.Errorf("ways of %v points, want way 100 in two pieces and way 101", lens)
	}
	if f := reg.File; f.BrokenWays != 4 || f.BrokenRelations != 3 {
		t.Errorf("%d ways and %d relations are broken, want 4 and 3", f.BrokenWays, f.BrokenRelations)
	}
	if len(reg.Notes) != 3 {
		t.Errorf("notes %q, want one on nodes, one on ways, one on relations", reg.Notes)
	}
}

func TestCorruptText(t *testing.T) {
	gz := func(s string) []byte {
		var b bytes.Buffer
		w := gzip.NewWriter(&b)
		w.Write([]byte(s))
		w.Close()
		return b.Bytes()
	}
	whole := gz(strings.Repeat("<osm></osm>", 1000))
	for _, c := range []struct{ name, data, want string }{
		{"another root", "<?xml version='1.0'?>\n<gpx></gpx>", "line 2: the root is <gpx>"},
		{"cut off", "<osm>\n<node id='1' lat='1' lon='2'/>\n<way id='3'>\n", "cut off"},
		{"cut off in a tag", "<osm>\n<node id='1' lat='1'", "line 2"},
		{"no position", "<osm>\n\n<node id='1' lat='x' lon='2'/></osm>", "line 3: node 1 has no position"},
		{"no id", "<osm><node lat='1' lon='2'/></osm>", "no whole number as id"},
		{"bad ref", "<osm><way id='1'><nd ref='a'/></way></osm>", "no whole number as ref"},
		{"an entity bomb", "<!DOCTYPE osm [<!ENTITY a 'aaaa'>]><osm/>", "document type"},
		{"Latin-1", "<?xml version='1.0' encoding='ISO-8859-1'?><osm/>", "encoding"},
		{"a change file", "<osmChange></osmChange>", "changes"},
		{"an unquoted attribute", "<osm><node id=1/></osm>", "without quotes"},
		{"a wrong end", "<osm></node>", "closes what is not open"},
		{"cut gzip", string(whole[:len(whole)-9]), "does not unpack"},
		{"gzip of nothing", string(gz("")), "empty"},
		{"JSON that is broken", `{"type":"FeatureCollection","features":[{"type":"Feature",]}`, "feature 1"},
		{"JSON cut off", `{"type":"FeatureCollection","features":[{"type":"Feature"`, "cut off"},
		{"JSON of another kind", `{"type":"Topology"}`, "Topology"},
		{"features are no list", `{"features":3}`, "not a list"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Read(context.Background(), source("land.osm", []byte(c.data)), Corridor{}, Options{}, nil)
			var bad *geo.InputError
			if !errors.As(err, &bad) || !strings.Contains(err.Error(), c.want) {
				t.Errorf("error %v, want an input error with %q", err, c.want)
			}
		})
	}
}

// TestGzipBomb: a small file that unpacks to far more than any honest one is refused soon.
func TestGzipBomb(t *testing.T) {
	if testing.Short() {
		t.Skip("unpacks 80 MB")
	}
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	w.Write([]byte("<osm>"))
	blank := bytes.Repeat([]byte(" "), 1<<20)
	for range 110 {
		w.Write(blank)
	}
	w.Write([]byte("</osm>"))
	w.Close()
	_, err := Read(context.Background(), source("bomb.osm.gz", b.Bytes()), Corridor{}, Options{}, nil)
	if err == nil || !strings.Contains(err.Error(), "unpacks to more") {
		t.Errorf("%d bytes that unpack to 110 MB: error %v, want a refusal", b.Len(), err)
	}
}

func TestXMLText(t *testing.T) {
	data := "\xef\xbb\xbf<?xml version=\"1.0\" encoding=\"utf-8\"?>\n<!-- <node> -->\n<osm version='0.6'><note>a > b</note>\n" +
		"<meta osm_base=\"x\"/><bounds minlat='42' minlon='1' maxlat='43' maxlon='2'/>\n" +
		"<node id='1' lat='42.5' lon='1.5' visible='true'><tag k='amenity' v='fuel'/><tag k=\"name\" v='A &quot;b&quot; &#228; &#x263A; &unknown; &amp;&lt;c > d'/></node>" +
		"<node id='2' lat='42.50000014' lon='-1.5e0'/><node id='3' lat='42' lon='1' action='delete'/>" +
		"<way id='7'><tag k='highway' v=' Track '/><nd ref='1'/><nd ref='2'/></way><![CDATA[ <way> ]]></osm>"
	r := mustRead(t, source("a.osm", []byte(data)), Corridor{}, Options{})
	if len(r.Places) != 1 || r.Places[0].Name != "A \"b\" ä ☺ &unknown; &<c > d" {
		t.Errorf("places %+v", r.Places)
	}
	if r.File.Nodes != 2 || len(r.Ways) != 1 || r.Ways[0].Highway() != "track" || r.Ways[0].Line[1] != [2]float64{-1.5, 42.5000001} {
		t.Errorf("counts %+v, ways %+v", r.File, r.Ways)
	}
	if r.Declared.Min != [2]float64{1, 42} || r.Declared.Max != [2]float64{2, 43} {
		t.Errorf("declared box %v", r.Declared)
	}
}

// An element of a broken file may carry a tag a hundred thousand times; looking for what it means takes no longer for
// it than the tags are many.
func TestFloodOfTags(t *testing.T) {
	tags := make(Tags, 300_000)
	for i := range tags {
		tags[i] = Tag{"amenity", "fuel"}
	}
	calls := 0
	placesOf(tags, func(kind geo.HelpKind, tag string) {
		if calls++; kind != geo.HelpFuel || tag != "amenity=fuel" {
			t.Errorf("the tags stand for %v by %s, want fuel", kind, tag)
		}
	})
	if calls != 1 || !isPlace(tags) {
		t.Errorf("%d kinds of help, want one", calls)
	}
	if tags = append(tags, Tag{"disused", "yes"}); isPlace(tags) {
		t.Error("a station shut for good is a place of help")
	}
}

// TestCutAndLostWays: ways that lack nodes are cut into what is known, those without any are left out, and what comes of
// several blocks stands in file order, each point with its node.
func TestCutAndLostWays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var nodes osmtest.Block
		there := map[int64]bool{}
		for id := range int64(60) {
			if there[id] = rapid.IntRange(0, 3).Draw(t, "there") > 0; there[id] {
				nodes.Nodes = append(nodes.Nodes, osmtest.Node{ID: id, Lon: 15_000_000 + id*1000, Lat: 425_000_000})
			}
		}
		blocks := []osmtest.Block{nodes}
		type run struct {
			way   int64
			nodes []int64
		}
		var want []run
		id := int64(100)
		for range rapid.IntRange(1, 5).Draw(t, "blocks") {
			var b osmtest.Block
			for range rapid.IntRange(1, 4).Draw(t, "ways") {
				id++
				from, n := rapid.Int64Range(0, 50).Draw(t, "from"), rapid.Int64Range(2, 9).Draw(t, "nodes")
				w := osmtest.Way{ID: id, Tags: []osmtest.Tag{{Key: "highway", Value: "track"}}}
				var known []int64
				for k := from; k <= from+n; k++ { // one beyond the end ends the last run
					if k < from+n {
						w.Refs = append(w.Refs, k)
						if there[k] {
							known = append(known, k)
							continue
						}
					}
					if len(known) > 1 {
						want = append(want, run{id, known})
					}
					known = nil
				}
				b.Ways = append(b.Ways, w)
			}
			blocks = append(blocks, b)
		}
		src := source("cut.osm.pbf", osmtest.File(osmtest.Zlib, blocks...))
		r, err := Read(context.Background(), src, Corridor{}, Options{}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Ways) != len(want) {
			t.Fatalf("%d ways, want %d", len(r.Ways), len(want))
		}
		for i, w := range r.Ways {
			if w.ID != want[i].way || !slices.Equal(w.Nodes, want[i].nodes) || len(w.Line) != len(w.Nodes) {
				t.Fatalf("way %d has nodes %v and %d points, want way %d with %v", w.ID, w.Nodes, len(w.Line), want[i].way, want[i].nodes)
			}
			for k, p := range w.Line {
				if x := float64(15_000_000+w.Nodes[k]*1000) / 1e7; p[0] != x {
					t.Fatalf("node %d of way %d is at %v, want %v", w.Nodes[k], w.ID, p[0], x)
				}
			}
		}
	})
}
