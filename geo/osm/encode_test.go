package osm

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/paulmach/orb"

	"lastroad/geo"
)

func withSum(b []byte) []byte {
	return binary.LittleEndian.AppendUint32(bytes.Clone(b), crc32.Checksum(b, castagnoli))
}

// TestEncode: what is kept comes back, to the last bit of every position.
func TestEncode(t *testing.T) {
	for _, src := range []Source{moduleFile(t, "delaware-latest.osm.pbf"), sharedFile(t, "routt-forest-2024-08.osm.gz"), sharedFile(t, "routt-forest-mvum.geojson.gz")} {
		want := mustRead(t, src, Corridor{Line: orb.LineString{{-75.5, 39.1}, {-75.51, 39.2}, {-106.9, 40.9}}}, Options{})
		got, err := Decode(bytes.NewReader(encoded(t, want)))
		if err != nil {
			t.Fatal(err)
		}
		if len(want.Ways) == 0 {
			t.Errorf("%s: nothing to compare", src.Name)
		}
		if d := cmp.Diff(want, got, cmpopts.IgnoreUnexported(Region{}), cmpopts.EquateNaNs(), cmpopts.EquateEmpty()); d != "" {
			t.Errorf("%s: %s", src.Name, d[:min(len(d), 2000)])
		}
		if !got.kept.has(-75.5, 39.1) || got.kept.has(0, 0) {
			t.Error("the corridor is lost")
		}
	}
}

func TestDecodeRefuses(t *testing.T) {
	n, w, r := village()
	_ = n
	_, _ = w, r
	good := encoded(t, &Region{Sources: []string{"a"}, Corridor: Corridor{RadiusM: 1000, Line: orb.LineString{{1, 2}}}})
	if _, err := Decode(bytes.NewReader(good)); err != nil {
		t.Fatal(err)
	}
	other := bytes.Clone(good[:len(good)-4])
	other[len(cacheMagic)]++
	for name, b := range map[string][]byte{"nothing": nil, "a scrap": good[:5], "cut": good[:len(good)-1], "another version": withSum(other),
		"a flipped bit":   append(append(bytes.Clone(good[:len(cacheMagic)+3]), good[len(cacheMagic)+3]^1), good[len(cacheMagic)+4:]...),
		"more at the end": withSum(append(bytes.Clone(good[:len(good)-4]), 0))} {
		_, err := Decode(bytes.NewReader(b))
		var bad *geo.InputError
		if !errors.As(err, &bad) {
			t.Errorf("%s: error %v, want an input error", name, err)
		}
	}
}

func TestMerge(t *testing.T) {
	src := sharedFile(t, "andorra-2025-01-19.osm.pbf")
	all := mustRead(t, src, Corridor{}, Options{})
	line := all.Ways[10].Line
	a := mustRead(t, src, Corridor{Line: line, RadiusM: 3000}, Options{})
	m := Merge(nil, a, all)
	if len(m.Ways) != len(all.Ways) || len(m.Areas) != len(all.Areas) || len(m.Places) != len(all.Places) || len(m.Nodes) != len(all.Nodes) ||
		len(m.Waterways) != len(all.Waterways) || len(m.Cliffs) != len(all.Cliffs) {
		t.Errorf("a part and the whole merge to %d ways, %d areas, %d places, %d nodes; want %d, %d, %d, %d", len(m.Ways), len(m.Areas), len(m.Places), len(m.Nodes),
			len(all.Ways), len(all.Areas), len(all.Places), len(all.Nodes))
	}
	if len(m.Credit) != 1 || len(m.Sources) != 2 {
		t.Errorf("credit %q, sources %q", m.Credit, m.Sources)
	}
	forest := mustRead(t, sharedFile(t, "routt-forest-mvum.geojson.gz"), Corridor{}, Options{})
	osmForest := mustRead(t, sharedFile(t, "routt-forest-2024-08.osm.gz"), Corridor{}, Options{})
	m = Merge(osmForest, forest)
	if len(m.Ways) != len(forest.Ways)+len(osmForest.Ways) || len(m.Credit) != 2 {
		t.Errorf("two sources of one forest: %d ways, want %d; credit %q", len(m.Ways), len(forest.Ways)+len(osmForest.Ways), m.Credit)
	}
	if Merge() != nil || Merge(nil) != nil || Merge(a) != a {
		t.Error("of no region nil, of one that region")
	}
}
