package walk

import (
	"math"

	"github.com/paulmach/orb"
)

// Result is the time to walk out from every cell of a grid.
type Result struct {
	Grid   *Grid
	stride int
	cells  []cell
	from   []uint8
	net    *network
	nodes  int32           // the number of cells with the rim; cells and from hold nodes from there on
	parent []int32         // of nodes: the node or cell next on the way out, -1 on a road
	via    map[int32]int32 // of cells from which the way out goes on along a way: the node
}

func (r *Result) index(col, row int) int { return (row+rim)*r.stride + col + rim }

// CellMinutes is the time in minutes from the middle of a cell to the road soonest reached; NaN
// outside the grid and where no road can be reached.
func (r *Result) CellMinutes(col, row int) float64 {
	if col < 0 || row < 0 || col >= r.Grid.Cols || row >= r.Grid.Rows {
		return math.NaN()
	}
	t := float64(r.cells[r.index(col, row)].secs)
	if math.IsInf(t, 0) {
		return math.NaN()
	}
	return t / 60
}

// Minutes is the time in minutes from a place in degrees to the road soonest reached, bilinear
// between the four cells around it; where some of those reach no road (water, cliffs), the
// nearest one that does. NaN outside the grid and where none does.
func (r *Result) Minutes(lon, lat float64) float64 {
	i, j, fx, fy, ok := r.Grid.around(orb.Point{lon, lat})
	if !ok {
		return math.NaN()
	}
	w := [4]float64{(1 - fx) * (1 - fy), fx * (1 - fy), (1 - fx) * fy, fx * fy}
	sum, best, most := 0.0, math.NaN(), -1.0
	for k, w := range w {
		m := r.CellMinutes(i+k%2, j+k/2)
		sum += w * m
		if m == m && w > most {
			best, most = m, w
		}
	}
	if sum == sum {
		return sum
	}
	return best
}

// around is the first of the four cells around a place in degrees and the shares of the way to the next ones;
// ok is false outside the grid.
func (g *Grid) around(p orb.Point) (col, row int, fx, fy float64, ok bool) {
	x, y := g.position(p)
	if !(x >= -0.5 && y >= -0.5 && x <= float64(g.Cols)-0.5 && y <= float64(g.Rows)-0.5) {
		return 0, 0, 0, 0, false
	}
	x = min(max(x, 0), float64(g.Cols-1))
	y = min(max(y, 0), float64(g.Rows-1))
	col, row = min(int(x), g.Cols-2), min(int(y), g.Rows-2)
	return col, row, x - float64(col), y - float64(row), true
}

// Estimate reports whether the way out from a place passes ground without heights, where the pace is
// that of UnknownSlope.
func (r *Result) Estimate(lon, lat float64) bool {
	c, row, ok := r.Grid.Cell(orb.Point{lon, lat})
	return ok && r.from[r.index(c, row)]&estimateBit != 0
}

// Path is the way out from the cell of a place to the road soonest reached, through the middles of
// cells and along ways; nil outside the grid and where no road can be reached.
func (r *Result) Path(lon, lat float64) orb.LineString {
	c, row, ok := r.Grid.Cell(orb.Point{lon, lat})
	if !ok || math.IsNaN(r.CellMinutes(c, row)) {
		return nil
	}
	line := orb.LineString{r.Grid.Middle(c, row)}
	i := int32(r.index(c, row))
	for {
		if i >= r.nodes {
			if i = r.parent[i-r.nodes]; i < 0 {
				return line
			}
		} else if d := r.from[i] & dirBits; d < sixteen {
			i += int32(stepRow[d]*r.stride + stepCol[d])
		} else {
			i = r.via[i] // only a node brings time to a cell otherwise
		}
		// A node may lie in the middle of a cell, up to rounding.
		p, last := r.placeOf(i), line[len(line)-1]
		if math.Abs(p[0]-last[0]) > 1e-9 || math.Abs(p[1]-last[1]) > 1e-9 {
			line = append(line, p)
		}
	}
}

// placeOf is the place of a cell or node in degrees.
func (r *Result) placeOf(i int32) orb.Point {
	if i < r.nodes {
		return r.Grid.Middle(int(i)%r.stride-rim, int(i)/r.stride-rim)
	}
	k := i - r.nodes
	return r.Grid.place(r.net.x[k], r.net.y[k])
}
