// Package gpx reads the planned line of a drive from GPX 1.0 and 1.1 (tracks, routes, waypoints) or
// GeoJSON (lines and points), and writes GPX 1.1.
//
// [Read] gives a checked [geo.Route]: every coordinate is a finite number in range, neighbouring points
// differ, and whatever was joined, chosen or left out is said in Route.Notes. What cannot be used is
// refused with a [geo.InputError] that names line and element. [List] tells which lines a file holds.
//
// GPX goes through two hands. A scanner of this package walks over the bytes first (scan.go): size, root,
// nesting, document types, truncation, and the coordinates of every point, none of which gpxgo looks at.
// Only then gpxgo reads the document.
//
// Out of scope: other file formats, recorded sensor values, extensions of other programs.
package gpx
