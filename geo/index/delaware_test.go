package index

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/osm"
	"github.com/paulmach/osm/osmpbf"

	"lastroad/geo"
	"lastroad/geo/index/indextest"
)

// delaware are the road segments of the OpenStreetMap extract that the paulmach/osm module carries
// (Delaware, August 2016, ODbL), in metres on a plane at its middle.
var delaware = sync.OnceValues(func() ([]Seg, error) {
	dir, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/paulmach/osm").Output()
	if err != nil {
		return nil, err
	}
	path := filepath.Join(strings.TrimSpace(string(dir)), "testdata", "delaware-latest.osm.pbf")
	plane := geo.NewPlane(orb.Point{-75.4, 39.1})
	type xy struct{ x, y float64 }
	at := map[osm.NodeID]xy{}
	var segs []Seg
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	s := osmpbf.New(context.Background(), f, runtime.GOMAXPROCS(0))
	defer s.Close()
	for s.Scan() {
		switch o := s.Object().(type) {
		case *osm.Node:
			x, y := plane.ToXY(orb.Point{o.Lon, o.Lat})
			at[o.ID] = xy{x, y}
		case *osm.Way:
			if o.Tags.Find("highway") == "" {
				continue
			}
			for i := 1; i < len(o.Nodes); i++ {
				a, ok1 := at[o.Nodes[i-1].ID]
				b, ok2 := at[o.Nodes[i].ID]
				if ok1 && ok2 {
					segs = append(segs, Seg{a.x, a.y, b.x, b.y})
				}
			}
		}
	}
	return segs, s.Err()
})

func roadsOfDelaware(t testing.TB) []Seg {
	t.Helper()
	segs, err := delaware()
	if err != nil {
		t.Skipf("the extract of Delaware that comes with the paulmach/osm module is not here: %v", err)
	}
	return segs
}

func BenchmarkDelaware(b *testing.B) {
	segs := roadsOfDelaware(b)
	b.Logf("%d segments", len(segs))
	tree, other := Build(segs), boxed(segs)
	near, far := indextest.Places(func(i int) [4]float64 { return [4]float64{segs[i].AX, segs[i].AY, segs[i].BX, segs[i].BY} },
		func(x, y float64) float64 { _, d, _, _ := tree.Nearest(x, y, -1); return d })
	for _, c := range []struct {
		name string
		q    [][2]float64
	}{{"near", near}, {"far", far}} {
		b.Run(c.name+"/ours", func(b *testing.B) {
			b.ReportAllocs()
			f := tree.Follow()
			for i := 0; b.Loop(); i++ {
				q := c.q[i&(len(c.q)-1)]
				f.Nearest(q[0], q[1])
			}
		})
		b.Run(c.name+"/alone", func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				q := c.q[i&(len(c.q)-1)]
				tree.Nearest(q[0], q[1], -1)
			}
		})
		b.Run(c.name+"/tidwall-nearby", func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				q := c.q[i&(len(c.q)-1)]
				tidwallNearest(other, segs, q[0], q[1])
			}
		})
		b.Run(c.name+"/tidwall-growing", func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				q := c.q[i&(len(c.q)-1)]
				tidwallGrowing(other, segs, q[0], q[1], 10)
			}
		})
	}
}

func TestMemoryOfATree(t *testing.T) {
	segs := roadsOfDelaware(t)
	tree := Build(segs)
	n := len(tree.id)*4 + len(tree.node)*64 + (len(tree.grid.start)+len(tree.grid.list))*4
	t.Logf("%d segments: %.1f MB beside the segments' own %.1f", len(segs), float64(n)/1e6, float64(len(segs)*32)/1e6)
	if n > 20*len(segs) {
		t.Errorf("the tree takes %d bytes for %d segments, want at most 20 each", n, len(segs))
	}
}
