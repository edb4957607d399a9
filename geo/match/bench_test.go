package match

import (
	"context"
	"math/rand/v2"
	"testing"

	"lastroad/geo"
)

// BenchmarkMatch matches a made line of 200 km with a point every 25 m, and one of a million points.
func BenchmarkMatch(b *testing.B) {
	l := readLand(b, "andorra-2025-01-19.osm.pbf")
	n := newNet(l)
	tr := n.made(200000, rand.New(rand.NewPCG(5, 5)))
	cum := geo.Cumulative(nil, tr.line)
	line, trueM := noisy(&tr, 50, 8, 1)
	near, _ := pointsOf(line, trueM, 25)
	graph := NewGraph(l.ways, near)
	for _, row := range []struct {
		name string
		opt  Options
	}{{"noisy", Options{}}, {"noisy/settled", Options{Line: line}}} { // what settling costs
		b.Run("match/"+row.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := Match(context.Background(), graph, near, row.opt, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	for _, row := range []struct {
		name string
		step float64
	}{{"25m", 25}, {"million", cum[len(cum)-1] / 1e6}} {
		pts, _ := pointsOf(tr.line, cum, row.step)
		b.Run("graph/"+row.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				NewGraph(l.ways, pts)
			}
		})
		g := NewGraph(l.ways, pts)
		b.Run("match/"+row.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Match(context.Background(), g, pts, Options{}, nil); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(pts)), "ns/point")
		})
	}
}
