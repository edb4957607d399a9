// Package plot draws the pictures of a judged trip: the map (the ground and, over it, the route) and
// the strip of bands on the same kilometres. It knows nothing of windows: everything is drawn on a
// [Canvas], of which there are two here, [Raster] (pixels for the screen and for PNG files) and [SVG];
// a package that writes another format implements the same few methods.
//
// A [Scene] is made once for a survey and its region: it holds projected lines at several levels of
// detail, so that a picture costs what can be seen in it and not what is in the file. [DrawGround]
// draws what only depends on the view, [DrawRoute] the route and its judgement over it, and
// [DrawStrip] the bands below. All three take the picture's [View] or [Range] and a [Palette], read no
// clock and keep no state, so that the same input gives the same picture.
//
// Sizes are pixels of the canvas. A picture for a dense screen is drawn with [View.Scale] above one,
// which scales line widths, symbols and texts but not the ground.
package plot
