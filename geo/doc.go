// Package geo holds the words in which the ground along a route is described:
// a [Route] as it was read, a [Survey] of measured [Sample]s cut into [Leg]s,
// the [Ground] classes, the places of [Help], and the geodesy they all rest on.
//
// The packages below it do the measuring: gpx reads lines, osm reads regions,
// match finds the way under each sample, height reads elevation tiles, walk
// finds the way out on foot, sun the daylight, split the legs; survey runs them
// in order. None of them knows vehicles, people or windows, opens a path or
// reads a clock: they take readers and values and return values.
//
// Units are SI throughout (metres, seconds, radians where an angle is not said
// to be in degrees); positions are WGS84 degrees, longitude first as in
// [github.com/paulmach/orb]. An unknown number is NaN, never zero.
package geo
