// Package match finds the way under each point of a route.
//
// A route is drawn or recorded beside the ways it follows, not on them, and the
// nearest way is often the wrong one: a parallel road, a crossing, a footpath.
// So the whole sequence is judged at once. Every point may lie on one of several
// ways near it or on none; [Match] finds the sequence with the greatest
// probability (a hidden Markov model solved by Viterbi's algorithm, in the manner
// of Newson and Krumm, "Hidden Markov map matching through noise and sparseness",
// ACM SIGSPATIAL 2009), where
//
//   - a point speaks for a way by its distance, in units of the line's own
//     measured scatter, and by the agreement of the two directions;
//   - a step speaks for two ways if the distance along the network is that along
//     the line, and, of a line recorded at even steps, if it keeps the pace of
//     those before;
//   - lying on no way is a state like any other, which is dear to enter and to
//     leave, so that a crossing or a near pass does not break it.
//
// The places along the ways found are then drawn towards even steps, as far as the
// line itself is even, which tells best where one way ends and the next begins.
//
// Give [NewGraph] the ways and the points, [Match] the graph; each point gets a
// way and a place on it, or -1.
//
//	g := match.NewGraph(ways, points)
//	found, err := match.Match(ctx, g, points, match.Options{}, nil)
//
// The package knows ways only as lines with node ids; what a way is made of, or
// whether it may be driven, is for others to say (by [Way.Doubt]).
package match

import "github.com/paulmach/orb"

// Way is a line that a route can follow.
type Way struct {
	// Line has at least two points, degrees.
	Line orb.LineString
	// Nodes are the ids of the points; ways meet where they share an id. Its length is that of Line.
	Nodes []int64
	// OneWay is 1 where only the direction of Line may be driven, -1 where only the other, else 0.
	OneWay int8
	// Doubt is how unlikely a vehicle follows such a way at all, as the negative natural logarithm
	// of its share against a plain road: 0 for roads and tracks, more for footpaths. Range 0 to 5.
	Doubt float64
}

// Point is a point of the route.
type Point struct {
	At orb.Point // degrees
	// AlongM is its distance along the route in metres, not falling.
	AlongM float64
	// GapM is how far along the line the nearest point lies that was really given (0 on such a
	// point): in the middle of a long straight step the line is only a guess.
	GapM float64
}

// Found is where a point lies.
type Found struct {
	Way int32 // index into the ways given to NewGraph, -1 = on none
	// Seg and T place it on the way: between points Seg and Seg+1 of its line, share T of the way.
	Seg int32
	T   float64
	// AlongM is the same place as metres from the start of the way's line.
	AlongM float64
	// OffM is the distance of the point from that place in metres; NaN when Way is -1.
	OffM float64
}

// Options tune the matching; the zero value is right for routes on open map data.
type Options struct {
	// ScatterM is the standard deviation of the line beside the ways in metres (one axis);
	// 0 = measured from the line itself.
	ScatterM float64
	// Line is the route as it was really given, along which AlongM of the points is measured. With it the places along
	// the ways of a noisy line recorded at even steps are told more closely; nil leaves them as they are.
	Line orb.LineString
}
