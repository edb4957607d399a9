package walk

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/height"
)

// DefaultMaxCells bounds a grid to some 60 MB of working memory with its surface (about 16 bytes a cell).
const DefaultMaxCells = 4_000_000

// Grid is the ground in cells, on longitude and latitude, with the height at the middle of each. Cell
// (0, 0) is the north-west one; columns run east, rows south.
type Grid struct {
	Cols, Rows int
	// HeightM holds the heights in metres row by row, NaN where unknown.
	HeightM []float32
	// CellM is the north-south side of a cell in metres; the east-west side is the same at the middle
	// latitude and varies a little from row to row.
	CellM float64
	// KnownShare is the part of the cells with a known height, 0..1.
	KnownShare float64

	west, north float64   // middle of cell (0, 0) in degrees
	dLon, dLat  float64   // steps in degrees
	eastM       []float64 // east-west side in metres by row
	northM      float64   // north-south side in metres
}

// NewGrid lays cells of about cellM metres over a box in degrees and reads their heights from a
// model, which may be nil. When that makes more than maxCells, the cells are made larger to fit; see
// Grid.CellM. The box may cross the antimeridian with Max[0] above 180. An empty or polar box, or a
// cell size that is no positive number, gives an error.
func NewGrid(box orb.Bound, cellM float64, maxCells int, m *height.Model) (*Grid, error) {
	w, s, e, n := box.Min[0], box.Min[1], box.Max[0], box.Max[1]
	switch {
	case !(cellM > 0) || math.IsInf(cellM, 0):
		return nil, fmt.Errorf("a cell of %g m", cellM)
	case maxCells < 4:
		return nil, fmt.Errorf("room for %d cells; at least four are needed", maxCells)
	case !(w <= e && s <= n) || e-w > 360 || math.IsInf(w, 0) || math.IsInf(e, 0):
		return nil, fmt.Errorf("the box from %g, %g to %g, %g is empty", w, s, e, n)
	case s < -geo.MaxLat || n > geo.MaxLat:
		return nil, fmt.Errorf("latitudes %g to %g lie beyond %g degrees", s, n, geo.MaxLat)
	}
	mid := (s + n) / 2
	mer, nor := geo.Radii(mid)
	perLon, perLat := nor*math.Cos(mid*math.Pi/180)*math.Pi/180, mer*math.Pi/180
	var cols, rows int
	for {
		cf, rf := math.Ceil((e-w)*perLon/cellM)+1, math.Ceil((n-s)*perLat/cellM)+1
		if cf*rf <= float64(maxCells) {
			cols, rows = max(int(cf), 2), max(int(rf), 2)
			break
		}
		cellM *= max(math.Sqrt(cf*rf/float64(maxCells)), 1.001)
	}
	g := &Grid{Cols: cols, Rows: rows, CellM: cellM, west: w, north: n, dLon: cellM / perLon, dLat: cellM / perLat, northM: cellM}
	g.eastM = make([]float64, rows)
	for r := range g.eastM {
		lat := g.north - float64(r)*g.dLat
		_, nor := geo.Radii(lat)
		g.eastM[r] = nor * math.Cos(lat*math.Pi/180) * math.Pi / 180 * g.dLon
	}
	g.read(m)
	return g, nil
}

func (g *Grid) read(m *height.Model) {
	g.HeightM = make([]float32, g.Cols*g.Rows)
	pts, dst := make([]orb.Point, g.Cols), make([]float64, g.Cols)
	known := 0
	for r := range g.Rows {
		for c := range pts {
			pts[c] = g.Middle(c, r)
		}
		for c, h := range m.Heights(dst, pts) {
			if h == h {
				known++
			}
			g.HeightM[r*g.Cols+c] = float32(h)
		}
	}
	g.KnownShare = float64(known) / float64(len(g.HeightM))
}

// PlaneGrid is a grid on a plane with square cells of cellM metres, for made ground: heights row by
// row from the north-west. Its positions are taken as degrees at the equator, one cell to 1e-4
// degree. It panics when heights do not fill the grid or there are fewer than two columns or rows.
func PlaneGrid(cols, rows int, cellM float64, heights []float32) *Grid {
	if cols < 2 || rows < 2 || len(heights) != cols*rows || !(cellM > 0) {
		panic("walk: a plane grid needs two columns and rows and a height for each cell")
	}
	g := &Grid{Cols: cols, Rows: rows, HeightM: heights, CellM: cellM, northM: cellM, dLon: 1e-4, dLat: 1e-4,
		eastM: make([]float64, rows)}
	known := 0
	for _, h := range heights {
		if h == h {
			known++
		}
	}
	g.KnownShare = float64(known) / float64(len(heights))
	for r := range g.eastM {
		g.eastM[r] = cellM
	}
	return g
}

// Middle is the place of the middle of a cell in degrees.
func (g *Grid) Middle(col, row int) orb.Point {
	return orb.Point{geo.WrapLon(g.west + float64(col)*g.dLon), g.north - float64(row)*g.dLat}
}

// place is the place in degrees of a position in cells.
func (g *Grid) place(x, y float64) orb.Point {
	return orb.Point{geo.WrapLon(g.west + x*g.dLon), g.north - y*g.dLat}
}

// position gives the place of a point in cells, whole numbers at the middles of cells.
func (g *Grid) position(p orb.Point) (x, y float64) {
	// The shorter way round from the middle column, so that a box across the antimeridian holds together.
	half := float64(g.Cols-1) / 2
	return half + geo.LonDiff(g.west+half*g.dLon, p[0])/g.dLon, (g.north - p[1]) / g.dLat
}

// Cell is the cell that holds a point in degrees; ok is false outside the grid.
func (g *Grid) Cell(p orb.Point) (col, row int, ok bool) {
	x, y := g.position(p)
	if !(x >= -0.5 && y >= -0.5 && x < float64(g.Cols)-0.5 && y < float64(g.Rows)-0.5) {
		return 0, 0, false
	}
	return int(math.Round(x)), int(math.Round(y)), true
}
