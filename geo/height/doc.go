// Package height tells how high the ground is, and how steep a road on it runs.
//
// A [Tile] is one grid of heights as read from a file: SRTM .hgt of one or three arc-seconds, also
// zipped or gzipped ([ReadHGT]), or a GeoTIFF in WGS84 degrees ([ReadGeoTIFF]); [Read] takes
// whichever it is given. A [Model] is several tiles seen as one surface, the finest first, with the
// seams between neighbours closed: [Model.Height], [Model.Heights] and [Model.Gradient].
// [Profile] puts heights, grade and side slope with their bands on the samples of a route, and
// [Ascent] adds up the climbing.
//
//	tile, err := height.ReadHGT(file, size, "N42E001.hgt.zip")
//	model := height.NewModel(tile)
//	h := model.Height(1.6, 42.6) // 2408 m
//
// Unknown is NaN, never zero: zero and negative heights are good data.
//
// # Grade
//
// The raw grade of a height grid under a hillside track is wrong: the grid cuts through spurs and
// gullies that the track goes round, and a line drawn ten metres beside the track lies four metres
// too high on a slope of 40 %. A moving mean treats both as if they were white noise of the same
// size everywhere. Here the profile is estimated instead: the road's grade is taken as a random
// process of stated spread and length (by the class of way, see [GradePrior]), the reading as the
// road's height plus an error that is correlated along the line over about one cell and as large,
// at each sample, as the grid's own noise, the side slope times the position error, and the bend of
// the ground between the posts make it (see [Noise]). For such a pair the Kalman filter followed by
// the Rauch-Tung-Striebel smoother gives the most probable grade and its variance in one pass
// forward and one back; readings that do not fit are weighted down and the pass repeated. So the
// smoothing is long where the grid is coarse and the hillside steep, and short on a plain; and every
// grade comes with its band. How well this does on tracks of known grade is measured by
// TestGradeOfKnownTracks, with the raw grade and the moving mean beside it.
//
// What it does not do: it cannot see steps, ledges and ramps shorter than about a cell, and it knows
// nothing of cuttings, embankments, bridges and tunnels.
package height
