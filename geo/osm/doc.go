// Package osm reads the ground data around a route from OpenStreetMap files: ways, areas, watercourses,
// gates and fords, and the places of help.
//
// Give [Read] a [Source] and a [Corridor]; it returns a [Region] that holds only what lies within the
// corridor, whatever the size of the file. PBF, XML (also .bz2 and .gz) and GeoJSON with the same tag
// names are told apart by their content. [Merge] joins the regions of several files, [AreaIndex] says
// which areas lie under a point, [Region.Encode] and [Decode] keep a region between two runs, and
// [Region.Stats] counts what a region holds.
//
// A way or relation that lacks nodes or members is left out or shortened, counted, and told in
// [Region.Notes]; it never stops the reading. Only a damaged file does, with a [geo.InputError] that
// names the blob, line or feature.
//
// The package does not judge: which surface means which ground is package ground's business, and how
// one drives from way to way package network's.
package osm
