package trip

import (
	"bytes"
	"compress/gzip"
	"os"
	"path/filepath"
	"testing"

	"lastroad/assets"
)

func TestKindOf(t *testing.T) {
	dir := t.TempDir()
	pack := func(s string) []byte {
		var b bytes.Buffer
		z := gzip.NewWriter(&b)
		z.Write([]byte(s))
		z.Close()
		return b.Bytes()
	}
	for _, c := range []struct {
		file string
		data []byte
		want Kind
	}{
		{"route.gpx", assets.Demo("route.gpx"), KindRoute},
		{"region.osm.gz", assets.Demo("region.osm.gz"), KindRegion},
		{"S32W109.hgt.zip", assets.Demo("S32W109.hgt.zip"), KindHeights},
		{"renamed.dat", assets.Demo("S32W109.hgt.zip"), KindHeights},
		{"renamed.txt", assets.Demo("route.gpx"), KindRoute},
		{"line.geojson", []byte(`{"type":"LineString","coordinates":[[0,0],[1,1]]}`), KindRoute},
		{"roads.geojson", []byte(`{"type":"FeatureCollection","features":[{"properties":{"highway":"track"}}]}`), KindRegion},
		{"roads.geojson.gz", pack(`{"type":"FeatureCollection","features":[{"properties":{"surface":"dirt"}}]}`), KindRegion},
		{"x.osm.pbf", []byte("\x00\x00\x00\x0d\x0a\x09OSMHeader"), KindRegion},
		{"dem.tif", []byte("II*\x00rest"), KindHeights},
		{"cut.gpx", []byte("<?xml version"), KindRoute},
		{"letter.txt", []byte("dear all"), KindUnknown},
		{"photo.zip", []byte("PK\x03\x04garbage"), KindUnknown},
	} {
		path := filepath.Join(dir, c.file)
		if err := os.WriteFile(path, c.data, 0o644); err != nil {
			t.Fatal(err)
		}
		got, err := KindOf(path)
		if err != nil || got != c.want {
			t.Errorf("KindOf(%s) = %d, %v; want %d", c.file, got, err, c.want)
		}
	}
	for _, path := range []string{filepath.Join(dir, "nowhere.gpx"), dir} {
		if _, err := KindOf(path); err == nil {
			t.Errorf("KindOf(%s) gave no error", path)
		}
	}
	empty := filepath.Join(dir, "empty.gpx")
	os.WriteFile(empty, nil, 0o644)
	if _, err := KindOf(empty); err == nil {
		t.Error("KindOf of an empty file gave no error")
	}
}
