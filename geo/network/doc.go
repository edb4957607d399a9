// Package network is the ways of a region as a network to drive on: how far and how long it is from
// any place on it to a maintained road or a place of help, and the quickest way between two places.
//
//	g := network.Build(region.Ways, func(w *osm.Way) network.Use { ... })
//	out := g.Kept(network.ToSeed, false)
//	reach, ok := out.At(network.Position{Way: 12, Seg: 3, T: 0.5})
//
// How fast a way is driven, whether it is maintained and whether the law bars it is told by the
// caller; the package knows no tags. The network is cut into edges at the joints of ways only, so that
// a long bent track is one edge. Everything is deterministic: ties go to the lower number.
package network
