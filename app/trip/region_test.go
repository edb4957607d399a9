package trip

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/paulmach/orb"

	"lastroad/geo/osm"
)

// madeRegion is a road of one kind by the equator, invented.
func madeRegion(highway string) []byte {
	return fmt.Appendf(nil, `<osm version="0.6"><node id="1" lat="0" lon="0"/><node id="2" lat="0" lon="0.01"/><node id="3" lat="0.01" lon="0.005"/>
<way id="5"><nd ref="1"/><nd ref="2"/><nd ref="3"/><tag k="highway" v="%s"/></way></osm>`, highway)
}

// put writes a file with the time given.
func put(t *testing.T, path string, data []byte, at time.Time) {
	t.Helper()
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Chtimes(path, at, at); err != nil {
		t.Fatal(err)
	}
}

// readMade reads the made region and tells the kind of its road and whether it came from the cache.
func readMade(t *testing.T, path string) (r *osm.Region, road string, hit bool) {
	t.Helper()
	c := osm.Corridor{Line: orb.LineString{{0, 0}, {0.01, 0}}, RadiusM: 5000}
	r, _, err := readRegion(context.Background(), path, c, func(stage string, _ float64) {
		hit = strings.Contains(stage, "from the cache") // reading the file is told after it
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Ways) != 1 {
		t.Fatalf("%d ways, want 1", len(r.Ways))
	}
	return r, r.Ways[0].Tags.Get("highway"), hit
}

func TestCacheGoesByContent(t *testing.T) {
	state(t)
	path := filepath.Join(t.TempDir(), "made.osm")
	noon := time.Date(2025, 6, 1, 12, 0, 0, 0, time.UTC)
	put(t, path, madeRegion("track"), noon)
	for _, c := range []struct {
		name    string
		prepare func()
		road    string
		hit     bool
	}{
		{"first", func() {}, "track", false},
		{"again", func() {}, "track", true},
		{"touched", func() { put(t, path, madeRegion("track"), noon.Add(time.Hour)) }, "track", true},
		{"other content of the same size and time", func() { put(t, path, madeRegion("trunk"), noon.Add(time.Hour)) }, "trunk", false},
		{"the first content again", func() { put(t, path, madeRegion("track"), noon) }, "track", true},
		{"longer", func() { put(t, path, madeRegion("tertiary"), noon) }, "tertiary", false},
	} {
		c.prepare()
		if _, road, hit := readMade(t, path); road != c.road || hit != c.hit {
			t.Errorf("%s: road %s, from the cache %v; want %s, %v", c.name, road, hit, c.road, c.hit)
		}
	}
}

func TestADamagedCacheIsWrittenAnew(t *testing.T) {
	state(t)
	path := filepath.Join(t.TempDir(), "made.osm")
	put(t, path, madeRegion("track"), time.Now())
	whole, _, _ := readMade(t, path)
	names, err := filepath.Glob(filepath.Join(CacheDir(), "regions", "*"))
	if err != nil || len(names) != 1 {
		t.Fatalf("the cache holds %v (%v), want one file", names, err)
	}
	good, err := os.ReadFile(names[0])
	if err != nil {
		t.Fatal(err)
	}
	flipped := append([]byte(nil), good...)
	flipped[len(flipped)/2] ^= 1
	for name, bad := range map[string][]byte{"empty": {}, "cut off": good[:len(good)/2], "one bit": flipped, "no cache": madeRegion("track")} {
		if err := os.WriteFile(names[0], bad, 0o600); err != nil {
			t.Fatal(err)
		}
		r, _, hit := readMade(t, path)
		if hit || !reflect.DeepEqual(r.Ways, whole.Ways) {
			t.Errorf("%s: said to come from the cache %v, ways %v; want it read from the file", name, hit, r.Ways)
		}
		if now, err := os.ReadFile(names[0]); err != nil || string(now) != string(good) {
			t.Errorf("%s: the damaged file was not replaced (%v)", name, err)
		}
	}
}

func TestACacheThatCannotBeWrittenIsPassedOver(t *testing.T) {
	path := filepath.Join(t.TempDir(), "made.osm")
	put(t, path, madeRegion("track"), time.Now())
	for name, prepare := range map[string]func(cache string) error{
		"a file for the folder":         func(c string) error { return os.WriteFile(c, []byte("x"), 0o600) },
		"a file for the inner folder":   func(c string) error { os.MkdirAll(c, 0o700); return os.WriteFile(c+"/regions", nil, 0o600) },
		"a folder that may not be used": func(c string) error { return os.MkdirAll(c, 0o500) },
	} {
		state(t)
		if err := prepare(CacheDir()); err != nil {
			t.Fatal(err)
		}
		if name == "a folder that may not be used" && os.Geteuid() == 0 {
			continue // root may write everywhere
		}
		for range 2 {
			if _, road, hit := readMade(t, path); road != "track" || hit {
				t.Errorf("%s: road %q, from the cache %v; want the file read", name, road, hit)
			}
		}
	}
}

func TestReadingARegionCanBeCancelled(t *testing.T) {
	state(t)
	path := filepath.Join(t.TempDir(), "made.osm")
	put(t, path, madeRegion("track"), time.Now())
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, _, err := readRegion(ctx, path, osm.Corridor{}, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("a cancelled reading gave %v", err)
	}
}

// A file that was only touched or copied back is no changed file; one of other content under the old time is.
func TestWhetherARegionChangedGoesByContent(t *testing.T) {
	state(t)
	path := filepath.Join(t.TempDir(), "made.osm")
	noon := time.Date(2025, 6, 1, 12, 0, 0, 0, time.UTC)
	put(t, path, madeRegion("track"), noon)
	d := &Document{Plan: Plan{}}
	d.Route.Line = orb.LineString{{0, 0}, {0.01, 0}}
	if err := d.load(context.Background(), []string{path}, nil, nil); err != nil {
		t.Fatal(err)
	}
	told := func() bool {
		n := &Document{Plan: d.Plan, Route: d.Route}
		var region, heights []string
		n.missing(&region, &heights)
		if err := n.load(context.Background(), region, heights, nil); err != nil {
			t.Fatal(err)
		}
		return strings.Contains(strings.Join(n.Notes, " "), "has changed")
	}
	put(t, path, madeRegion("track"), noon.Add(time.Hour))
	if told() {
		t.Error("a touched file is said to have changed")
	}
	put(t, path, madeRegion("trunk"), noon)
	if !told() {
		t.Error("nothing was said of other content under the old size and time")
	}
}

func TestTheCacheIsBounded(t *testing.T) {
	dir := t.TempDir()
	noon := time.Date(2025, 6, 1, 12, 0, 0, 0, time.UTC)
	for i, name := range []string{"c", "a", "b", "d"} { // in the order of their use
		put(t, filepath.Join(dir, name), make([]byte, 100), noon.Add(time.Duration(i)*time.Minute))
	}
	if err := os.Mkdir(filepath.Join(dir, "folder"), 0o700); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		most int64
		want string
	}{{400, "a b c d folder"}, {399, "a b d folder"}, {100, "d folder"}, {0, "folder"}} {
		trimCache(dir, c.most)
		var left []string
		entries, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			left = append(left, e.Name())
		}
		if got := strings.Join(left, " "); got != c.want {
			t.Errorf("at most %d bytes: %s is left, want %s", c.most, got, c.want)
		}
	}
}

// BenchmarkReadRegion reads a corridor of 30 km round a route in Andorra, from the file and from the cache.
func BenchmarkReadRegion(b *testing.B) {
	dir := os.Getenv("LASTROAD_SHARED")
	if dir == "" {
		dir = "../../../shared"
	}
	path := filepath.Join(dir, "data", "andorra-2025-01-19.osm.pbf")
	if _, err := os.Stat(path); err != nil {
		b.Skipf("the shared test data are not at hand (set LASTROAD_SHARED): %v", err)
	}
	b.Setenv("LASTROAD_CACHE", b.TempDir())
	read := func(b *testing.B) {
		c := osm.Corridor{Line: orb.LineString{{1.45, 42.5}, {1.7, 42.6}}}
		if _, _, err := readRegion(context.Background(), path, c, nil); err != nil {
			b.Fatal(err)
		}
	}
	b.Run("from the file", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			os.RemoveAll(CacheDir())
			b.StartTimer()
			read(b)
		}
	})
	b.Run("from the cache", func(b *testing.B) {
		read(b)
		b.ResetTimer()
		for b.Loop() {
			read(b)
		}
	})
}
