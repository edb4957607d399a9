package osm

import (
	"bytes"
	"context"
	"encoding/xml"
	"io"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo/garble"
	"lastroad/geo/osm/osmtest"
)

// checkSound reports what no region may have, whatever the file was.
func checkSound(t *testing.T, r *Region) {
	t.Helper()
	for i := range r.Ways {
		if w := &r.Ways[i]; len(w.Line) < 2 || len(w.Line) != len(w.Nodes) || w.Highway() == "" {
			t.Fatalf("way %+v", w)
		}
	}
	for _, lines := range [][]Line{r.Waterways, r.Cliffs} {
		for _, l := range lines {
			if len(l.Line) < 2 || l.Kind == LineNone {
				t.Fatalf("line %+v", l)
			}
		}
	}
	for _, a := range r.Areas {
		if a.Kind == AreaNone || len(a.Polygons) == 0 {
			t.Fatalf("area %+v", a)
		}
		for _, p := range a.Polygons {
			for k, ring := range p {
				if len(ring) < 4 || ring[0] != ring[len(ring)-1] || ringArea(ring) > 0 != (k == 0) {
					t.Fatalf("area %d has ring %v", a.ID, ring)
				}
			}
		}
	}
	// Kept and opened again it is the same.
	first := encoded(t, r)
	again, err := Decode(bytes.NewReader(first))
	if err != nil {
		t.Fatalf("Decode(Encode): %v", err)
	}
	if !bytes.Equal(first, encoded(t, again)) {
		t.Fatal("the kept region differs after opening")
	}
	x := NewAreaIndex(r.Areas)
	for _, p := range r.Places {
		x.At(nil, p.At)
		r.Covers(p.At)
	}
	r.Stats()
}

func FuzzPBF(f *testing.F) {
	n, w, r := village()
	for _, p := range []osmtest.Packing{osmtest.Raw, osmtest.Zlib, osmtest.Zstd} {
		f.Add(osmtest.File(p, n, w, r))
	}
	f.Add(osmtest.File(osmtest.Raw, r, w, n))
	plain := n
	plain.Plain = true
	f.Add(osmtest.File(osmtest.Raw, plain, w, r))
	for _, b := range garble.Copies(300, false, osmtest.File(osmtest.Raw, n, w, r), osmtest.File(osmtest.Zlib, n, w, r)) {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, c := range []Corridor{{}, {Line: orb.LineString{{1.5, 42.5}}, RadiusM: 500}} {
			r, err := Read(context.Background(), source("fuzz.pbf", data), c, Options{MaxNodes: 100_000}, nil)
			if err == nil {
				checkSound(t, r)
			}
		}
	})
}

// FuzzBlock goes past the packing, straight to the block of elements.
func FuzzBlock(f *testing.F) {
	n, w, r := village()
	f.Add(osmtest.Encode(n), osmtest.Encode(w))
	f.Add(osmtest.Encode(osmtest.Block{Nodes: n.Nodes, Ways: w.Ways, Relations: r.Relations}), []byte{})
	for _, b := range garble.Copies(300, false, osmtest.Encode(n), osmtest.Encode(w), osmtest.Encode(r)) {
		f.Add(osmtest.Encode(n), b)
		f.Add(b, osmtest.Encode(w))
	}
	f.Fuzz(func(t *testing.T, a, b []byte) {
		var out bytes.Buffer
		pw := osmtest.NewWriter(&out, osmtest.Raw, 0)
		pw.Blob("OSMData", pw.Pack(a))
		pw.Blob("OSMData", pw.Pack(b))
		reg, err := Read(context.Background(), source("fuzz.pbf", out.Bytes()), Corridor{}, Options{MaxNodes: 100_000}, nil)
		if err == nil {
			checkSound(t, reg)
		}
	})
}

const roadsText = "<osm><bounds minlat='1' minlon='2' maxlat='3' maxlon='4'/><node id='1' lat='1' lon='2'><tag k='ford' v='yes'/></node><node id='2' lat='1.5' lon='2'/>" +
	"<way id='3'><nd ref='1'/><nd ref='2'/><tag k='highway' v='track'/></way></osm>"

const collectionText = `{"type":"FeatureCollection","features":[{"type":"Feature","id":"way/7","properties":{"highway":"track","width":2.5,"oneway":true},"geometry":{"type":"LineString","coordinates":[[1,2],[1.5,2,700]]}},` +
	`{"type":"Feature","properties":{"natural":"sand"},"geometry":{"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1],[0,0]]]}},` +
	`{"type":"Feature","properties":{"tags":{"amenity":"fuel"}},"geometry":{"type":"GeometryCollection","geometries":[{"type":"Point","coordinates":[1,2]}]}}]}`

func FuzzXML(f *testing.F) {
	f.Add([]byte(roadsText))
	f.Add([]byte("<?xml version='1.0'?><!-- c --><osm><relation id='1'><member type='way' ref='2' role='outer'/><tag k='type' v='multipolygon'/><tag k='natural' v='sand'/></relation>" +
		"<way id='2'><nd ref='1'/><nd ref='2'/><nd ref='3'/><nd ref='1'/></way><node id='1' lat='1' lon='2'/><node id='2' lat='1' lon='3'/><node id='3' lat='2' lon='2'/></osm>"))
	f.Add([]byte("{\"type\":\"FeatureCollection\",\"features\":[]}"))
	for _, b := range garble.Copies(300, true, []byte(roadsText)) {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := Read(context.Background(), source("fuzz.osm", data), Corridor{}, Options{MaxNodes: 100_000}, nil)
		if err == nil {
			checkSound(t, r)
		}
	})
}

// FuzzXMLScanner holds the scanner against encoding/xml: where that accepts a document of the plain kind
// that OSM uses, both see the same elements and attributes.
func FuzzXMLScanner(f *testing.F) {
	f.Add("<osm a='1' b=\"x &amp; y\"><node/> text <!-- c --><x>\n</x></osm>")
	for _, b := range garble.Copies(300, true, []byte("<osm a='1' b=\"x &amp; y\"><node/> text <!-- c --><x>\n</x></osm>")) {
		f.Add(string(b))
	}
	f.Fuzz(func(t *testing.T, text string) {
		type event struct {
			name  string
			open  bool
			attrs []xml.Attr
		}
		var want []event
		d := xml.NewDecoder(bytes.NewReader([]byte(text)))
		for {
			tok, err := d.RawToken()
			if err == io.EOF {
				break
			}
			if err != nil {
				return
			}
			switch x := tok.(type) {
			case xml.StartElement:
				if x.Name.Space != "" {
					return
				}
				for _, a := range x.Attr {
					if a.Name.Space != "" {
						return
					}
				}
				want = append(want, event{x.Name.Local, true, append([]xml.Attr(nil), x.Attr...)})
			case xml.EndElement:
				if x.Name.Space != "" {
					return
				}
				want = append(want, event{name: x.Name.Local})
			case xml.Directive:
				return
			case xml.ProcInst:
				if x.Target == "xml" {
					return
				}
			}
		}
		s := newXMLScanner(bytes.NewReader([]byte(text)))
		i := 0
		for s.next() {
			if i >= len(want) {
				t.Fatalf("more tags than the %d of encoding/xml: %q", len(want), s.name)
			}
			if w := want[i]; string(s.name) != w.name || s.open != w.open || len(s.attrs) != len(w.attrs) {
				t.Fatalf("tag %d is %q open %v with %d attributes, encoding/xml has %+v", i, s.name, s.open, len(s.attrs), w)
			}
			for k, a := range want[i].attrs {
				// encoding/xml turns line ends into \n, which no OSM value holds.
				if got := unescape(s.attrs[k].value); got != a.Value && !bytes.ContainsAny([]byte(text), "\r") {
					t.Fatalf("attribute %s is %q, encoding/xml has %q", a.Name.Local, got, a.Value)
				}
			}
			i++
			if s.empty {
				i++ // encoding/xml gives the end as well
			}
		}
		if s.err != nil {
			return // stricter is allowed: the error is told
		}
		if i != len(want) {
			t.Fatalf("%d tags, encoding/xml has %d", i, len(want))
		}
	})
}

func FuzzGeoJSON(f *testing.F) {
	f.Add([]byte(collectionText))
	f.Add([]byte(`{"type":"Feature","properties":null,"geometry":null}`))
	for _, b := range garble.Copies(300, true, []byte(collectionText)) {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := Read(context.Background(), source("fuzz.geojson", data), Corridor{}, Options{MaxNodes: 100_000}, nil)
		if err == nil {
			checkSound(t, r)
		}
	})
}

func FuzzDecode(f *testing.F) {
	n, w, r := village()
	reg, err := Read(context.Background(), source("x.pbf", osmtest.File(osmtest.Zlib, n, w, r)), Corridor{Line: orb.LineString{{1.5, 42.5}}}, Options{}, nil)
	if err != nil {
		f.Fatal(err)
	}
	var b bytes.Buffer
	reg.Encode(&b)
	f.Add(b.Bytes()[:b.Len()-4])
	for _, b := range garble.Copies(200, false, b.Bytes()[:b.Len()-4]) {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		// With the right check sum, else nothing gets past it.
		if r, err := Decode(bytes.NewReader(withSum(data))); err == nil {
			encoded(t, r)
		}
		if _, err := Decode(bytes.NewReader(data)); err == nil && len(data) < 20 {
			t.Fatal("a scrap is taken")
		}
	})
}
