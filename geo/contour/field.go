package contour

import (
	"math"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/height"
)

// Field is a rectangle of heights. Post (0, 0) is the north-west one; columns run east, rows south.
type Field struct {
	Cols, Rows int
	// HeightM holds the heights in metres row by row, NaN where unknown.
	HeightM []float32
	// EastM and NorthM are the distances between posts in metres.
	EastM, NorthM float64
	// Box is the box of the posts in degrees; zero for a field that lies nowhere.
	Box orb.Bound
}

// FromModel reads a field of cols by rows posts over a box in degrees, the outer posts on its edges.
// Distances between posts are those at the middle latitude. It panics for fewer than two columns or
// rows; a nil model and a box beyond the tiles give unknown heights.
func FromModel(m *height.Model, box orb.Bound, cols, rows int) Field {
	if cols < 2 || rows < 2 {
		panic("contour: a field needs two columns and two rows")
	}
	dLon, dLat := (box.Max[0]-box.Min[0])/float64(cols-1), (box.Max[1]-box.Min[1])/float64(rows-1)
	mid := (box.Min[1] + box.Max[1]) / 2
	mer, nor := geo.Radii(mid)
	f := Field{Cols: cols, Rows: rows, HeightM: make([]float32, cols*rows), Box: box,
		EastM:  dLon * math.Pi / 180 * nor * math.Cos(mid*math.Pi/180),
		NorthM: dLat * math.Pi / 180 * mer}
	pts, dst := make([]orb.Point, cols), make([]float64, cols)
	for r := range rows {
		for c := range pts {
			pts[c] = orb.Point{box.Min[0] + float64(c)*dLon, box.Max[1] - float64(r)*dLat}
		}
		for c, h := range m.Heights(dst, pts) {
			f.HeightM[r*cols+c] = float32(h)
		}
	}
	return f
}

// Place turns a position in columns and rows, such as those of [Lines], into degrees.
func (f *Field) Place(p orb.Point) orb.Point {
	return orb.Point{
		f.Box.Min[0] + p[0]/float64(f.Cols-1)*(f.Box.Max[0]-f.Box.Min[0]),
		f.Box.Max[1] - p[1]/float64(f.Rows-1)*(f.Box.Max[1]-f.Box.Min[1])}
}
