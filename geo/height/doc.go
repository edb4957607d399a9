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
// size everywhere. Here the profile is estimated instead. The road's grade is taken as a random
// process of stated spread and length by the class of way ([GradePrior]), never more than the ground's own
// steepness allows; the reading as the road's height plus an error that is smooth along the line
// over about half a cell, and at each sample as large as the grid's noise, the side slope times the
// position error, and the bend of the ground between posts make it ([Noise]). For such a pair a
// Kalman filter forward and a smoother back give the most probable grade and its variance;
// readings that do not fit are weighted down and the passes repeated. So the smoothing is long
// where the grid is coarse and the hillside steep and short where readings are good, and every
// grade comes with a band.
//
// How well this does was measured on made tracks of known grade seen through made grids
// (TestGradeOfKnownTracks), root-mean-square error of the grade in hundredths:
//
//	ground                        true grade   raw, 100 m   mean of 300 m   here
//	mountain, 3 arc-seconds              8.6          7.1             6.1    5.2
//	steep hillside, 3 arc-seconds        6.8          5.6             4.9    4.0
//	steep hillside, 1 arc-second         6.8          5.6             4.7    3.5
//	rolling ground, 3 arc-seconds        4.2          3.7             3.2    2.9
//	plain, 3 arc-seconds                 0.7          3.0             1.4    1.0
//
// and 97 % or more of the true grades lay in the 95 % band. Bands of some 10 % on mountain tracks
// are what a 90 m grid is worth; a single grade from it decides nothing.
//
// What it does not do: it cannot see steps, ledges and ramps shorter than about a cell, it knows
// nothing of cuttings, embankments, bridges and tunnels, and where a line really runs down a steep
// slope for hundreds of metres it says so.
package height
