package osm

import (
	"bufio"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"sync/atomic"
	"testing"
	"time"

	"github.com/paulmach/orb"

	"lastroad/geo/osm/osmtest"
)

// TestHugeFile reads a file of more than 500 MB, made of some two hundred copies of Andorra side by side,
// with a route of 100 km across the middle, and bounds the memory it takes. It runs when LASTROAD_HUGE is set
// to a folder with 1 GB to spare, for it takes some minutes; the file stays there.
func TestHugeFile(t *testing.T) {
	dir := os.Getenv("LASTROAD_HUGE")
	if dir == "" {
		t.Skip("set LASTROAD_HUGE to a folder with 1 GB to spare")
	}
	path := filepath.Join(dir, "copies.osm.pbf")
	const side = 16
	if _, err := os.Stat(path); err != nil {
		writeCopies(t, path, side)
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	st, err := f.Stat()
	if err != nil {
		t.Fatal(err)
	}
	if st.Size() < 500<<20 {
		t.Fatalf("the file has %d bytes, want at least 500 MB", st.Size())
	}
	// Andorra's box is 0.54 by 0.46 degrees; 100 km through the middle of the copies.
	mid := orb.Point{1.29 + side/2*copyLon/1e7, 42.32 + 0.23}
	line := orb.LineString{{mid[0] - 0.6, mid[1]}, {mid[0] + 0.6, mid[1] + 0.1}}
	debug.FreeOSMemory()
	var peak atomic.Uint64
	stop := make(chan struct{})
	go func() {
		var m runtime.MemStats
		for {
			select {
			case <-stop:
				return
			case <-time.After(10 * time.Millisecond):
				runtime.ReadMemStats(&m)
				peak.Store(max(peak.Load(), m.Sys-m.HeapReleased))
			}
		}
	}()
	start := time.Now()
	r := mustRead(t, Source{Name: "copies.osm.pbf", R: f, Size: st.Size()}, Corridor{Line: line}, Options{})
	took := time.Since(start)
	close(stop)
	t.Logf("%d bytes, %d nodes, %d ways: kept %d ways, %d areas, %d places in %v; peak of %d MB held by the process",
		st.Size(), r.File.Nodes, r.File.Ways, len(r.Ways), len(r.Areas), len(r.Places), took, peak.Load()>>20)
	if peak.Load() > 600<<20 {
		t.Errorf("the peak is %d MB, want at most 600", peak.Load()>>20)
	}
	if len(r.Ways) < 20_000 {
		t.Errorf("%d ways are kept, want some three Andorras of 7749 each", len(r.Ways))
	}
}

// The shift of a copy, 1e-7 degree, and of its ids.
const (
	copyLon, copyLat = 5_400_000, 4_600_000
	copyID           = 20_000_000_000
)

// writeCopies writes side x side copies of Andorra, sorted by type and id.
func writeCopies(t *testing.T, path string, side int64) {
	o := readOracle(t, sharedFile(t, "andorra-2025-01-19.osm.pbf"))
	nodes, ways, rels := blocksOf(o)
	out, err := os.Create(path + ".part")
	if err != nil {
		t.Fatal(err)
	}
	defer out.Close()
	buf := bufio.NewWriterSize(out, 1<<20)
	w := osmtest.NewWriter(buf, osmtest.Zlib, 6)
	each := func(f func(dx, dy, id int64)) {
		for k := range side * side {
			f(k%side*copyLon, k/side*copyLat, k*copyID)
		}
	}
	each(func(dx, dy, id int64) {
		for i := 0; i < len(nodes); i += 8000 {
			b := osmtest.Block{Nodes: append([]osmtest.Node(nil), nodes[i:min(i+8000, len(nodes))]...)}
			for k := range b.Nodes {
				n := &b.Nodes[k]
				n.ID, n.Lon, n.Lat = n.ID+id, n.Lon+dx, n.Lat+dy-int64(side)*copyLat/2 // the middle stays in Andorra's latitude
			}
			w.Block(b)
		}
	})
	each(func(dx, dy, id int64) {
		for i := 0; i < len(ways); i += 8000 {
			b := osmtest.Block{}
			for _, x := range ways[i:min(i+8000, len(ways))] {
				refs := make([]int64, len(x.Refs))
				for k, r := range x.Refs {
					refs[k] = r + id
				}
				b.Ways = append(b.Ways, osmtest.Way{ID: x.ID + id, Refs: refs, Tags: x.Tags})
			}
			w.Block(b)
		}
	})
	each(func(dx, dy, id int64) {
		b := osmtest.Block{}
		for _, x := range rels {
			m := append([]osmtest.Member(nil), x.Members...)
			for k := range m {
				m[k].Ref += id
			}
			b.Relations = append(b.Relations, osmtest.Relation{ID: x.ID + id, Members: m, Tags: x.Tags})
		}
		w.Block(b)
	})
	if err := w.Err(); err != nil {
		t.Fatal(err)
	}
	if err := buf.Flush(); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(path+".part", path); err != nil {
		t.Fatal(err)
	}
}
