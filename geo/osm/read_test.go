package osm

import (
	"context"
	"testing"
)

func mustRead(tb testing.TB, src Source, c Corridor, o Options) *Region {
	tb.Helper()
	r, err := Read(context.Background(), src, c, o, nil)
	if err != nil {
		tb.Fatalf("Read(%s): %v", src.Name, err)
	}
	return r
}

func TestFirst(t *testing.T) {
	for _, src := range []Source{sharedFile(t, "andorra-2025-01-19.osm.pbf"), moduleFile(t, "delaware-latest.osm.pbf")} {
		r := mustRead(t, src, Corridor{}, Options{})
		t.Log(r.File, len(r.Ways), len(r.Areas), len(r.Waterways), len(r.Cliffs), len(r.Nodes), len(r.Places), r.Box, r.Notes)
	}
}

func BenchmarkReadDelaware(b *testing.B) {
	src := moduleFile(b, "delaware-latest.osm.pbf")
	for _, c := range []struct {
		name  string
		parts Parts
	}{{"network", Roads}, {"all", All}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				mustRead(b, src, Corridor{}, Options{Parts: c.parts})
			}
		})
	}
}

func BenchmarkReadAndorra(b *testing.B) {
	src := sharedFile(b, "andorra-2025-01-19.osm.pbf")
	b.ReportAllocs()
	for b.Loop() {
		mustRead(b, src, Corridor{}, Options{})
	}
}
