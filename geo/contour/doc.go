// Package contour draws the shape of the ground: [Hillshade] gives shading for a map, [Lines] gives
// contour lines.
//
// Both work on a [Field], a plain rectangle of heights with the size of its cells in metres, which
// [FromModel] reads from a height model for a box and a number of pixels. Unknown heights (NaN) stay unknown:
// transparent in the shading, a gap in the contours.
package contour
