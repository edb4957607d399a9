package plot

import (
	"image"
	"image/color"
)

// Pt is a point of a picture in pixels, x to the right and y down, the upper left corner at 0, 0.
type Pt struct{ X, Y float32 }

// Rect is an upright rectangle of a picture, from X0, Y0 (included) to X1, Y1.
type Rect struct{ X0, Y0, X1, Y1 float32 }

// W is the width of r.
func (r Rect) W() float32 { return r.X1 - r.X0 }

// H is the height of r.
func (r Rect) H() float32 { return r.Y1 - r.Y0 }

// Inset is r made smaller by d on each side.
func (r Rect) Inset(d float32) Rect { return Rect{r.X0 + d, r.Y0 + d, r.X1 - d, r.Y1 - d} }

// Meets reports whether r and o have a point in common.
func (r Rect) Meets(o Rect) bool {
	return r.X0 <= o.X1 && o.X0 <= r.X1 && r.Y0 <= o.Y1 && o.Y0 <= r.Y1
}

// Holds reports whether p lies in r.
func (r Rect) Holds(p Pt) bool { return p.X >= r.X0 && p.X < r.X1 && p.Y >= r.Y0 && p.Y < r.Y1 }

// Stroke is how a line is drawn. Ends and joins are round.
type Stroke struct {
	Width float32 // pixels; a width of zero or less draws nothing
	Color color.NRGBA
	// Dash are the lengths of dashes and gaps in turn, beginning with a dash; empty for a solid line.
	// Round ends add half a width to each end of a dash.
	Dash []float32
}

// TextStyle is how a text is drawn.
type TextStyle struct {
	Size  float32 // pixels of the em square
	Bold  bool
	Color color.NRGBA
	Halo  color.NRGBA // drawn round the letters when HaloPx > 0
	// HaloPx is the width of the halo on each side of a letter's edge.
	HaloPx float32
	// Align says which part of the text lies at the point: 0 its left end, 0.5 its middle, 1 its right end.
	Align float32
	// Turn is the direction of writing in radians, clockwise from rightwards.
	Turn float32
}

// Canvas is what pictures are drawn on. Later drawing covers earlier drawing. A colour's alpha is the
// share of what it covers: a line that crosses itself or others of the same call is not darker there.
type Canvas interface {
	// Size is the size of the picture in pixels.
	Size() (w, h float32)
	// Lines strokes all paths as one figure. Paths of fewer than two points are a dot or nothing.
	Lines(paths [][]Pt, s Stroke)
	// Fill fills a polygon: the first ring less the others. Rings need not be closed.
	Fill(rings [][]Pt, c color.NRGBA)
	// Text writes s with its base line at p and gives nothing for an empty text.
	Text(p Pt, s string, t TextStyle)
	// TextWidth is the length of s along its base line in pixels.
	TextWidth(s string, t TextStyle) float32
	// PushClip limits drawing to r (and to the clips pushed before) until the matching PopClip.
	PushClip(r Rect)
	PopClip()
	// Image draws img into r, stretched to fit.
	Image(r Rect, img *image.RGBA)
}

// Line strokes one path.
func Line(c Canvas, s Stroke, pts ...Pt) { c.Lines([][]Pt{pts}, s) }

// Box fills a rectangle.
func Box(c Canvas, r Rect, col color.NRGBA) {
	c.Fill([][]Pt{{{r.X0, r.Y0}, {r.X1, r.Y0}, {r.X1, r.Y1}, {r.X0, r.Y1}}}, col)
}

// Disc fills a circle.
func Disc(c Canvas, p Pt, radius float32, col color.NRGBA) {
	c.Lines([][]Pt{{p, p}}, Stroke{Width: 2 * radius, Color: col})
}

// fade is c with its alpha multiplied by a.
func fade(c color.NRGBA, a float64) color.NRGBA {
	c.A = uint8(float64(c.A)*a + 0.5)
	return c
}

// blend is the mix of a and b, all a at t = 0 and all b at t = 1, in the coded values.
func blend(a, b color.NRGBA, t float64) color.NRGBA {
	m := func(x, y uint8) uint8 { return uint8(float64(x)*(1-t) + float64(y)*t + 0.5) }
	return color.NRGBA{m(a.R, b.R), m(a.G, b.G), m(a.B, b.B), m(a.A, b.A)}
}
