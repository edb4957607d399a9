package network_test

import (
	"fmt"

	"github.com/paulmach/orb"

	"lastroad/geo/network"
	"lastroad/geo/osm"
)

func Example() {
	ways := []osm.Way{
		{ID: 1, Nodes: []int64{1, 2}, Line: orb.LineString{{10, 45}, {10.1, 45}}, Tags: osm.Tags{{Key: "highway", Value: "tertiary"}}},
		{ID: 2, Nodes: []int64{2, 3}, Line: orb.LineString{{10.1, 45}, {10.1, 45.1}}, Tags: osm.Tags{{Key: "highway", Value: "track"}}},
	}
	g := network.Build(ways, func(w *osm.Way) network.Use {
		if w.Highway() == "track" {
			return network.Use{Forward: 5, Back: 5} // m/s
		}
		return network.Use{Forward: 15, Back: 15, Kept: true}
	})
	half := network.Position{Way: 1, Seg: 0, T: 0.5}
	r, ok := g.Kept(network.ToSeed, false).At(half)
	fmt.Printf("%.0f m, %.0f min to a maintained road (%v)\n", r.Metres, r.Seconds/60, ok)
	at, off, ok := g.Snap(orb.Point{10.05, 45.001}, 500)
	fmt.Printf("way %d is %.0f m away (%v)\n", ways[at.Way].ID, off, ok)
	p, ok := g.Path(at, half, false)
	fmt.Printf("%.1f km from there (%v)\n", p.Metres/1000, ok)
	// Output:
	// 5557 m, 19 min to a maintained road (true)
	// way 1 is 111 m away (true)
	// 9.5 km from there (true)
}
