package osm

import (
	"bytes"
	"context"
	"math"
	"slices"
	"testing"

	"lastroad/geo"
)

func mustRead(tb testing.TB, src Source, c Corridor, o Options) *Region {
	tb.Helper()
	r, err := Read(context.Background(), src, c, o, nil)
	if err != nil {
		tb.Fatalf("Read(%s): %v", src.Name, err)
	}
	return r
}

// TestReadRealFiles holds what is read of public extracts against counts made by other programs: osmium
// tags-filter and the reader of paulmach/osm.
func TestReadRealFiles(t *testing.T) {
	type tagged struct {
		key string
		n   int
	}
	for _, c := range []struct {
		name                   string
		open                   func(testing.TB, string) Source
		nodes, ways, relations int64
		tracks                 int
		trackKm                float64
		trackTags              []tagged
		help                   []tagged
		nodeKinds              []tagged
	}{
		{name: "andorra-2025-01-19.osm.pbf", open: sharedFile, nodes: 471_006, ways: 24_607, relations: 614,
			tracks: 719, trackKm: 326.5,
			trackTags: []tagged{{"tracktype", 218}, {"surface", 94}, {"smoothness", 10}, {"width", 22}, {"incline", 14},
				{"mtb:scale", 30}, {"bridge", 42}, {"ford", 2}, {"motor_vehicle", 19}, {"access", 13}, {"vehicle", 2}, {"4wd_only", 0}},
			help: []tagged{{"amenity=fuel", 59}, {"amenity=drinking_water", 53}, {"natural=spring", 40}, {"amenity=water_point", 5},
				{"amenity=hospital", 10}, {"amenity=clinic", 5}, {"amenity=doctors", 4}, {"amenity=pharmacy", 33}, {"amenity=police", 8},
				{"amenity=fire_station", 4}, {"tourism=wilderness_hut", 29}, {"tourism=alpine_hut", 5}, {"shop=car_repair", 18},
				{"shop=car_parts", 2}, {"shop=tyres", 3}},
			nodeKinds: []tagged{{"ford", 220}, {"pass", 109}, {"peak", 212}}},
		{name: "andorra-latest.osm.bz2", open: moduleFile, nodes: 203_265, ways: 9080, relations: 233, tracks: 559, trackKm: 302.1,
			trackTags: []tagged{{"tracktype", 123}, {"surface", 42}, {"smoothness", 0}},
			help:      []tagged{{"amenity=fuel", 38}, {"amenity=drinking_water", 17}, {"natural=spring", 16}},
			nodeKinds: []tagged{{"ford", 5}}},
		{name: "delaware-latest.osm.pbf", open: moduleFile, nodes: 723_870, ways: 73_144, relations: 1644, tracks: 982, trackKm: math.NaN(),
			trackTags: []tagged{{"tracktype", 69}}},
		{name: "routt-forest-2024-08.osm.gz", open: sharedFile, nodes: 5013, ways: 87, relations: 10, tracks: 47, trackKm: 70.5,
			trackTags: []tagged{{"surface", 17}, {"motor_vehicle", 2}, {"tracktype", 0}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := mustRead(t, c.open(t, c.name), Corridor{}, Options{})
			s := r.Stats()
			if f := s.File; f.Nodes != c.nodes || f.Ways != c.ways || f.Relations != c.relations {
				t.Errorf("the file holds %d nodes, %d ways, %d relations, want %d, %d, %d", f.Nodes, f.Ways, f.Relations, c.nodes, c.ways, c.relations)
			}
			i := slices.IndexFunc(s.Highways, func(h HighwayStats) bool { return h.Highway == "track" })
			if i < 0 {
				t.Fatal("no tracks")
			}
			track := s.Highways[i]
			if track.Ways != c.tracks {
				t.Errorf("%d tracks, want %d", track.Ways, c.tracks)
			}
			// The lengths to compare with were summed on a sphere, which is off by up to 0.2 %.
			if km := track.Metres / 1000; !math.IsNaN(c.trackKm) && math.Abs(km-c.trackKm) > 0.002*c.trackKm+0.05 {
				t.Errorf("%.1f km of tracks, want %.1f", km, c.trackKm)
			}
			for _, w := range c.trackTags {
				n := 0
				for _, x := range track.Tagged {
					if x.Key == w.key {
						n = x.Ways
					}
				}
				if n != w.n {
					t.Errorf("%d tracks have %s, want %d", n, w.key, w.n)
				}
			}
			find := func(list []Count, key string) int {
				for _, x := range list {
					if x.Key == key {
						return x.N
					}
				}
				return 0
			}
			for _, w := range c.help {
				if n := find(s.Help, w.key); n != w.n {
					t.Errorf("%d places with %s, want %d", n, w.key, w.n)
				}
			}
			for _, w := range c.nodeKinds {
				if n := find(s.Nodes, w.key); n != w.n {
					t.Errorf("%d nodes of kind %s, want %d", n, w.key, w.n)
				}
			}
		})
	}
}

// TestReadAndorraAreas: osmium counts 792 ways and 39 relations of natural=scree, and so on.
func TestReadAndorraAreas(t *testing.T) {
	r := mustRead(t, sharedFile(t, "andorra-2025-01-19.osm.pbf"), Corridor{}, Options{})
	type row struct{ ways, relations int }
	got := map[string]row{}
	for _, a := range r.Areas {
		for _, k := range []string{"natural", "landuse"} {
			if v := a.Tags.Get(k); v != "" {
				x := got[k+"="+v]
				if a.Relation {
					x.relations++
				} else {
					x.ways++
				}
				got[k+"="+v] = x
			}
		}
		if len(a.Polygons) == 0 || a.Bound.IsEmpty() {
			t.Fatalf("area %d has no polygon", a.ID)
		}
	}
	for tag, want := range map[string]row{"natural=scree": {792, 39}, "natural=heath": {625, 50}, "natural=bare_rock": {621, 21},
		"natural=wood": {568, 24}, "natural=grassland": {284, 25}, "natural=water": {278, 14}, "natural=scrub": {172, 11},
		"natural=wetland": {32, 0}, "natural=sand": {10, 0}, "landuse=forest": {271, 74}, "landuse=farmland": {339, 0}, "landuse=meadow": {227, 6}} {
		// A way that is the outer ring of a relation of the same kind comes once, as the relation: up to 15 of
		// the 625 heaths here.
		if g := got[tag]; g.relations != want.relations || g.ways > want.ways || g.ways < want.ways-15 {
			t.Errorf("%s: %+v, want %+v", tag, got[tag], want)
		}
	}
	n := 0
	for _, l := range r.Waterways {
		if l.Intermittent {
			n++
		}
	}
	if n == 0 || n > 159 {
		t.Errorf("%d watercourses are intermittent, want some and at most the 159 ways that have the tag", n)
	}
	box := r.Box
	for i, want := range []float64{1.2912, 42.3238, 1.8247, 42.7822} {
		if got := []float64{box.Min[0], box.Min[1], box.Max[0], box.Max[1]}[i]; math.Abs(got-want) > 6e-5 {
			t.Errorf("side %d of the box is %.5f, want %.4f", i, got, want)
		}
	}
	if r.File.Timestamp != "2025-01-19T21:21:36Z" {
		t.Errorf("the data are of %s, want 2025-01-19T21:21:36Z", r.File.Timestamp)
	}
}

func TestReadGeoJSON(t *testing.T) {
	r := mustRead(t, sharedFile(t, "routt-forest-mvum.geojson.gz"), Corridor{}, Options{})
	if len(r.Ways) != 10 {
		t.Fatalf("%d ways, want 10", len(r.Ways))
	}
	n := map[string]int{}
	for _, w := range r.Ways {
		n["surface="+w.Tags.Get("surface")]++
		n["smoothness="+w.Tags.Get("smoothness")]++
		n["access="+w.Tags.Get("access")]++
		n["highway="+w.Highway()]++
	}
	for k, want := range map[string]int{"surface=dirt": 8, "surface=gravel": 2, "smoothness=very_bad": 7, "smoothness=good": 2,
		"smoothness=bad": 1, "access=no": 1, "highway=road": 10} {
		if n[k] != want {
			t.Errorf("%d ways with %s, want %d", n[k], k, want)
		}
	}
	if len(r.Notes) != 1 || len(r.Credit) != 1 || r.Credit[0] == Credit {
		t.Errorf("notes %q, credit %q: want a note on the class of the lines and no credit to OpenStreetMap", r.Notes, r.Credit)
	}
}

// TestReadIsDeterministic: the number of goroutines must not show.
func TestReadIsDeterministic(t *testing.T) {
	src := moduleFile(t, "delaware-latest.osm.pbf")
	var want []byte
	for _, workers := range []int{1, 2, 3, 2} {
		var b bytes.Buffer
		if err := mustRead(t, src, Corridor{}, Options{Workers: workers}).Encode(&b); err != nil {
			t.Fatal(err)
		}
		if want == nil {
			want = b.Bytes()
		} else if !bytes.Equal(want, b.Bytes()) {
			t.Fatalf("with %d workers the region differs", workers)
		}
	}
}

func TestReadCancelAndProgress(t *testing.T) {
	src := moduleFile(t, "delaware-latest.osm.pbf")
	ctx, cancel := context.WithCancel(context.Background())
	calls := 0
	_, err := Read(ctx, src, Corridor{}, Options{}, func(done, total int64) {
		if calls++; calls == 3 {
			cancel()
		}
	})
	if err != context.Canceled {
		t.Errorf("after cancelling: %v, want %v", err, context.Canceled)
	}
	if calls > 8 {
		t.Errorf("%d more steps after cancelling, want at most one a goroutine", calls-3)
	}
	last := int64(-1)
	var end int64
	if _, err := Read(context.Background(), src, Corridor{}, Options{}, func(done, total int64) {
		if done < last || done > total {
			t.Errorf("progress goes from %d to %d of %d", last, done, total)
		}
		last, end = done, total
	}); err != nil {
		t.Fatal(err)
	}
	if last != end {
		t.Errorf("progress ends at %d of %d", last, end)
	}
}

// TestNodesLieOnWays: fords and gates know their ways.
func TestNodesLieOnWays(t *testing.T) {
	r := mustRead(t, sharedFile(t, "andorra-2025-01-19.osm.pbf"), Corridor{}, Options{})
	on := 0
	for _, n := range r.Nodes {
		for _, w := range n.Ways {
			if !slices.Contains(r.Ways[w].Nodes, n.ID) {
				t.Fatalf("node %d is said to lie on way %d and does not", n.ID, r.Ways[w].ID)
			}
		}
		if n.Kind == NodeFord && len(n.Ways) > 0 {
			on++
		}
		if n.ID == 7840512190 && (n.Kind != NodeFord || len(n.Ways) == 0) {
			t.Errorf("node 7840512190 is a %s on %d ways, want a ford on a way", n.Kind, len(n.Ways))
		}
	}
	if on < 200 {
		t.Errorf("%d fords lie on ways, want nearly all of 220", on)
	}
}

func TestPlacesAreInTheBox(t *testing.T) {
	r := mustRead(t, moduleFile(t, "delaware-latest.osm.pbf"), Corridor{}, Options{})
	for _, p := range r.Places {
		if !r.Box.Contains(p.At) || p.Tag == "" || p.OSM == 0 || !math.IsNaN(p.OffM) || p.Kind >= geo.NumHelp {
			t.Fatalf("place %+v", p)
		}
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

func BenchmarkReadXML(b *testing.B) {
	src := moduleFile(b, "andorra-latest.osm.bz2")
	b.ReportAllocs()
	for b.Loop() {
		mustRead(b, src, Corridor{}, Options{})
	}
}

// TestNoProgressAfterReturn: whatever ends a reading, the caller hears nothing of it afterwards.
func TestNoProgressAfterReturn(t *testing.T) {
	src := moduleFile(t, "andorra-latest.osm.bz2")
	for stopAt := 1; stopAt < 40; stopAt += 6 {
		ctx, cancel := context.WithCancel(context.Background())
		calls := 0 // not guarded: the race detector would see a call from elsewhere
		_, err := Read(ctx, src, Corridor{}, Options{}, func(done, total int64) {
			if calls++; calls == stopAt {
				cancel()
			}
		})
		before := calls
		cancel()
		if err == nil || calls != before {
			t.Errorf("stopped at call %d: error %v, %d calls", stopAt, err, calls)
		}
	}
}
