package trip

import (
	"os"
	"path/filepath"
	"testing"

	"lastroad/assets"
	"lastroad/geo/garble"
)

// FuzzKindOf looks at files of any content under any name: it must answer, and by content alone give the same answer
// again.
func FuzzKindOf(f *testing.F) {
	names := []string{"a.gpx", "a.osm.pbf", "a.osm.gz", "N42E001.hgt.zip", "N42E001.hgt", "a.tif", "a.trip", "a.geojson", "a.bz2", "a"}
	good := [][]byte{[]byte("<gpx/>"), assets.Demo("region.osm.gz")[:4000], assets.Demo("S32W109.hgt.zip")[:3000], []byte("II*\x00"), []byte("BZh91AY&SY"), []byte(`{"type":"Feature","highway":1}`),
		encoded(f, Saved{Route: []byte("<gpx/>")})}
	for i, g := range good {
		f.Add(g, names[i])
	}
	for i, b := range garble.Copies(200, false, good...) {
		f.Add(b, names[i%len(names)])
	}
	f.Fuzz(func(t *testing.T, data []byte, name string) {
		if name == "" || filepath.Base(name) != name || len(name) > 100 || name == "." || name == ".." {
			return
		}
		file := filepath.Join(t.TempDir(), name)
		if os.WriteFile(file, data, 0o644) != nil {
			return // no name of a file
		}
		a, errA := KindOf(file)
		b, errB := KindOf(file)
		if a != b || (errA == nil) != (errB == nil) {
			t.Fatalf("first %v, %v, then %v, %v", a, errA, b, errB)
		}
		if len(data) > 0 && errA != nil {
			t.Fatalf("a file that can be read: %v", errA)
		}
	})
}
