package survey

import (
	"lastroad/geo/network"
	"lastroad/geo/osm"
)

// Network is the ways of a region joined as one drives them, with the speeds of the tables: the network on
// which a survey looks for ways out, for those who draw a route.
func Network(region *osm.Region, t Tables) *network.Graph {
	w := &work{region: region, tables: t, opts: Options{Pace: 1}, kept: make([]bool, len(region.Ways))}
	for i := range region.Ways {
		w.kept[i] = t.Ways.Kept(region.Ways[i].Tags)
	}
	return network.Build(region.Ways, w.use())
}
