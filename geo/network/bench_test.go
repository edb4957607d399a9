package network

import (
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
	"gonum.org/v1/gonum/graph/path"
	"gonum.org/v1/gonum/graph/simple"

	"lastroad/geo"
	"lastroad/geo/osm"
)

// streets is a grid of side x side joints, each street a way of two points, one in eight missing.
func streets(side int) []osm.Way {
	rng := rand.New(rand.NewPCG(1, 2))
	var ways []osm.Way
	at := func(x, y int) (int64, orb.Point) {
		return int64(y*side + x), orb.Point{10 + float64(x)*0.001, 45 + float64(y)*0.001}
	}
	add := func(x0, y0, x1, y1 int) {
		if x1 >= side || y1 >= side || rng.IntN(8) == 0 {
			return
		}
		a, p := at(x0, y0)
		b, q := at(x1, y1)
		ways = append(ways, osm.Way{ID: int64(len(ways)), Nodes: []int64{a, b}, Line: orb.LineString{p, q}})
	}
	for y := range side {
		for x := range side {
			add(x, y, x+1, y)
			add(x, y, x, y+1)
		}
	}
	return ways
}

// BenchmarkNetwork: 250 000 joints, from all of them to the nearest of a hundred maintained streets.
func BenchmarkNetwork(b *testing.B) {
	ways := streets(500)
	rng := rand.New(rand.NewPCG(3, 4))
	uses := make([]Use, len(ways))
	for i := range uses {
		v := 3 + 12*rng.Float64()
		uses[i] = Use{Forward: v, Back: v, Kept: i%5000 == 0}
	}
	build := func() *Graph {
		i := -1
		return Build(ways, func(*osm.Way) Use { i++; return uses[i] })
	}
	g := build()
	b.Run("build", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			build()
		}
	})
	b.Run("all to nearest kept", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			g.Kept(ToSeed, false)
		}
	})
	b.Run("path across", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, ok := g.Path(Position{Way: 1000}, Position{Way: int32(len(ways) - 1000)}, false); !ok {
				b.Fatal("no path")
			}
		}
	})
	b.Run("gonum, from one to all", func(b *testing.B) {
		o := simple.NewWeightedUndirectedGraph(0, 1e300)
		for i, w := range ways {
			o.SetWeightedEdge(o.NewWeightedEdge(simple.Node(w.Nodes[0]), simple.Node(w.Nodes[1]), geo.Length(w.Line)/uses[i].Forward))
		}
		b.ReportAllocs()
		for b.Loop() {
			if p := path.DijkstraFrom(simple.Node(ways[1000].Nodes[0]), o); p.WeightTo(ways[len(ways)-1000].Nodes[0]) > 1e9 {
				b.Fatal("no path")
			}
		}
	})
}
