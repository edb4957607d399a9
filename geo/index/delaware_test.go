package index

import (
	"context"
	"math"
	"math/rand/v2"
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
	r := rand.New(rand.NewPCG(4, 4))
	// Along roads in their order, 3 m beside them; then a wandering drive of samples 25 m apart that keeps
	// 2 to 30 km from every road.
	near, far := make([][2]float64, 1<<14), make([][2]float64, 1<<14)
	x, y, heading := -60000.0, -20000.0, 1.0
	for i := range near {
		s := segs[20000+i]
		f, dx, dy := r.Float64(), s.BX-s.AX, s.BY-s.AY
		l := math.Hypot(dx, dy) + 1e-9
		near[i] = [2]float64{s.AX + f*dx - 3*dy/l, s.AY + f*dy + 3*dx/l}
		for {
			heading += r.NormFloat64() * 0.05
			x2, y2 := x+25*math.Cos(heading), y+25*math.Sin(heading)
			if _, d, _, _ := tree.Nearest(x2, y2, -1); d > 2000 && d < 30000 {
				x, y = x2, y2
				break
			}
			heading += math.Pi / 3
		}
		far[i] = [2]float64{x, y}
	}
	for _, c := range []struct {
		name string
		q    [][2]float64
	}{{"near", near}, {"far", far}} {
		b.Run(c.name+"/ours", func(b *testing.B) {
			b.ReportAllocs()
			prev := -1
			for i := 0; b.Loop(); i++ {
				q := c.q[i&(len(c.q)-1)]
				prev, _, _, _ = tree.Nearest(q[0], q[1], prev)
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
