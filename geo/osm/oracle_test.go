package osm

import (
	"bytes"
	"context"
	"io"
	"slices"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	posm "github.com/paulmach/osm"
	"github.com/paulmach/osm/osmpbf"
	"github.com/paulmach/osm/osmxml"
)

// The readers of github.com/paulmach/osm are the oracle: another implementation, which keeps everything
// and knows no corridor.

type oracle struct {
	nodes map[posm.NodeID]*posm.Node
	ways  []*posm.Way
	rels  []*posm.Relation
}

func readOracle(tb testing.TB, src Source) oracle {
	tb.Helper()
	o := oracle{nodes: map[posm.NodeID]*posm.Node{}}
	r := io.NewSectionReader(src.R, 0, src.Size)
	var scan interface {
		Scan() bool
		Object() posm.Object
		Err() error
	}
	if strings.HasSuffix(src.Name, ".pbf") {
		scan = osmpbf.New(context.Background(), r, 2)
	} else {
		s, err := openText(context.Background(), src, nil)
		if err != nil {
			tb.Fatal(err)
		}
		scan = osmxml.New(context.Background(), s)
	}
	for scan.Scan() {
		switch x := scan.Object().(type) {
		case *posm.Node:
			o.nodes[x.ID] = x
		case *posm.Way:
			o.ways = append(o.ways, x)
		case *posm.Relation:
			o.rels = append(o.rels, x)
		}
	}
	if err := scan.Err(); err != nil {
		tb.Fatal(err)
	}
	return o
}

// TestAgainstOtherReader compares every way, place and point on the way with what the other reader gives.
func TestAgainstOtherReader(t *testing.T) {
	if testing.Short() {
		t.Skip("takes some seconds")
	}
	for _, src := range []Source{moduleFile(t, "delaware-latest.osm.pbf"), sharedFile(t, "routt-forest-2024-08.osm.gz"),
		sharedFile(t, "andorra-2025-01-19.osm.pbf")} {
		t.Run(src.Name, func(t *testing.T) { compareWithOracle(t, src) })
	}
}

func compareWithOracle(t *testing.T, src Source) {
	r := mustRead(t, src, Corridor{}, Options{})
	o := readOracle(t, src)
	byID := map[int64]*Way{}
	for i := range r.Ways {
		byID[r.Ways[i].ID] = &r.Ways[i]
	}
	n := 0
	for _, w := range o.ways {
		tags := oracleTags(w.Tags)
		if tags.Get("highway") == "" || !isWay(tags) {
			if byID[int64(w.ID)] != nil {
				t.Errorf("way %d is no way", w.ID)
			}
			continue
		}
		n++
		got := byID[int64(w.ID)]
		var line orb.LineString
		var ids []int64
		for _, x := range w.Nodes {
			if p := o.nodes[x.ID]; p != nil {
				line = append(line, orb.Point{p.Lon, p.Lat})
				ids = append(ids, int64(x.ID))
			}
		}
		if len(line) != len(w.Nodes) || len(line) < 2 { // broken: shortened, in pieces or left out
			n--
			delete(byID, int64(w.ID))
			continue
		}
		if got == nil {
			t.Fatalf("way %d is missing", w.ID)
		}
		if !slices.Equal(got.Nodes, ids) || !near(got.Line, line) || !slices.Equal(got.Tags, tags) {
			t.Fatalf("way %d: %v %v, want %v %v", w.ID, got.Tags, got.Line, tags, line)
		}
	}
	if n == 0 {
		t.Error("no way was compared")
	}
	for _, w := range o.ways {
		delete(byID, int64(w.ID))
	}
	for id := range byID {
		t.Errorf("way %d is not in the file", id)
	}
	// Nodes of interest.
	points := map[int64]NodeKind{}
	for _, p := range r.Nodes {
		points[p.ID] = p.Kind
	}
	places := 0
	for id, x := range o.nodes {
		tags := oracleTags(x.Tags)
		if k := NodeKindOf(tags); points[int64(id)] != k {
			t.Errorf("node %d is of kind %s, want %s", id, points[int64(id)], k)
		}
		if isPlace(tags) {
			places++
		}
	}
	if len(r.Places) < places {
		t.Errorf("%d places, want at least the %d nodes that are", len(r.Places), places)
	}
}

// oracleTags keeps of tags what a region keeps.
func oracleTags(tags posm.Tags) Tags {
	var t Tags
	for _, x := range tags {
		if u := keys[x.Key]; u != 0 {
			t = append(t, Tag{x.Key, cleanValue(u, x.Value)})
		}
	}
	return t
}

// near reports whether two lines are the same within 1e-9 degree: the other reader multiplies by 1e-9
// where this one divides by 1e7, which is the exact decimal number.
func near(a, b orb.LineString) bool {
	return slices.EqualFunc(a, b, func(p, q orb.Point) bool {
		return max(p[0]-q[0], q[0]-p[0], p[1]-q[1], q[1]-p[1]) < 1e-9
	})
}

// TestPBFAndXMLAgree: the same data in both formats give the same region. The XML is written from what the
// other reader read.
func TestPBFAndXMLAgree(t *testing.T) {
	if testing.Short() {
		t.Skip("takes some seconds")
	}
	src := sharedFile(t, "andorra-2025-01-19.osm.pbf")
	o := readOracle(t, src)
	for _, c := range []struct {
		name     string
		shuffled bool
	}{{"nodes first", false}, {"nodes last", true}} {
		t.Run(c.name, func(t *testing.T) {
			xml := writeXML(o, c.shuffled)
			got := mustRead(t, Source{Name: src.Name, R: bytes.NewReader(xml), Size: int64(len(xml))}, Corridor{}, Options{})
			want := mustRead(t, src, Corridor{}, Options{})
			got.File.Timestamp, got.Declared = want.File.Timestamp, want.Declared // neither stands in the XML
			got.Outline = declaredPart(got.Outline, want.Declared)
			if a, b := encoded(t, got), encoded(t, want); !bytes.Equal(a, b) {
				t.Errorf("the regions differ: %d and %d bytes; %d and %d ways, %d and %d areas", len(a), len(b), len(got.Ways), len(want.Ways), len(got.Areas), len(want.Areas))
			}
		})
	}
}

func encoded(tb testing.TB, r *Region) []byte {
	tb.Helper()
	var b bytes.Buffer
	if err := r.Encode(&b); err != nil {
		tb.Fatal(err)
	}
	return b.Bytes()
}
