package height

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"
)

// void16 marks an unknown post in tiles kept as whole metres; it is SRTM's own mark.
const void16 = math.MinInt16

// Heights outside this range are taken for unknown whatever the file says of them: no land lies
// there, and grids without a no-data tag use -9999 or -32767 for holes. The highest ground is
// 8849 m, the lowest dry shore about -430 m; the margin below is for flooded and sea-bed grids.
const (
	lowestM  = -9000
	highestM = 9000
)

// MaxPosts is the largest number of posts a tile may have (0.5 GB as float32). Larger files are
// read through a window.
const MaxPosts = 1 << 27

// Tile is one grid of heights in metres on WGS84 longitude and latitude, as read from one file.
// Post (0, 0) is the north-west one; columns run east, rows south. It is never changed once made
// and may be used from several goroutines.
type Tile struct {
	// Name is the file the tile came from, for messages and credits.
	Name string
	// Cols and Rows count the posts, at least two each.
	Cols, Rows int
	// West and North are the position of post (0, 0) in degrees.
	West, North float64
	// DLon and DLat are the steps between posts in degrees, both positive.
	DLon, DLat float64
	// Voids counts the posts without a height.
	Voids int

	// Exactly one of the two holds the posts, row by row.
	whole []int16   // void16 = unknown
	real  []float32 // NaN = unknown
}

// NewTile makes a tile of heights given row by row from the north-west corner; NaN, and anything
// outside -9000..9000 m, is unknown. Heights that are all whole metres are kept in half the space.
// It keeps no reference to heights. Steps must be positive, both counts two or more, and the grid
// must lie between the poles and be no wider than the globe.
func NewTile(name string, west, north, dLon, dLat float64, cols, rows int, heights []float32) (*Tile, error) {
	t := &Tile{Name: name, Cols: cols, Rows: rows, West: west, North: north, DLon: dLon, DLat: dLat}
	if err := t.check(); err != nil {
		return nil, err
	}
	if len(heights) != cols*rows {
		return nil, fmt.Errorf("%d heights for %d columns and %d rows", len(heights), cols, rows)
	}
	t.real = make([]float32, len(heights))
	copy(t.real, heights)
	t.settle()
	return t, nil
}

// check says what is wrong with the frame of the grid.
func (t *Tile) check() error {
	const slack = 0.51 // cells: half a cell beyond the pole or the globe is the rim of a pixel
	switch {
	case t.Cols < 2 || t.Rows < 2:
		return fmt.Errorf("%d columns and %d rows; a height grid needs two of each", t.Cols, t.Rows)
	case t.Cols > MaxPosts/t.Rows:
		return fmt.Errorf("%d columns and %d rows are more than %d posts", t.Cols, t.Rows, MaxPosts)
	case !(t.DLon > 0 && t.DLat > 0) || math.IsInf(t.DLon, 0) || math.IsInf(t.DLat, 0):
		return fmt.Errorf("steps of %g and %g degrees", t.DLon, t.DLat)
	case !(t.North <= 90+slack*t.DLat && t.South() >= -90-slack*t.DLat):
		return fmt.Errorf("latitudes %g to %g lie beyond a pole", t.South(), t.North)
	case !(t.West >= -180-slack*t.DLon && t.West <= 360 && t.East()-t.West <= 360*(1+1e-9)):
		return fmt.Errorf("longitudes %g to %g are not on the globe", t.West, t.East())
	}
	return nil
}

// settle counts the voids, clears what cannot be a height and packs whole metres into int16.
func (t *Tile) settle() {
	t.Voids = 0
	whole := true
	for i, h := range t.real {
		if !(h > lowestM && h < highestM) {
			t.real[i] = float32(math.NaN())
			t.Voids++
		} else if h != float32(int16(h)) {
			whole = false
		}
	}
	if !whole {
		return
	}
	t.whole = make([]int16, len(t.real))
	for i, h := range t.real {
		if h != h {
			t.whole[i] = void16
		} else {
			t.whole[i] = int16(h)
		}
	}
	t.real = nil
}

// East is the longitude of the last column in degrees; it may exceed 180 for a grid that begins
// west of the antimeridian and goes on beyond it.
func (t *Tile) East() float64 { return t.West + float64(t.Cols-1)*t.DLon }

// South is the latitude of the last row in degrees.
func (t *Tile) South() float64 { return t.North - float64(t.Rows-1)*t.DLat }

// Bound is the box of the posts in degrees.
func (t *Tile) Bound() orb.Bound {
	return orb.Bound{Min: orb.Point{t.West, t.South()}, Max: orb.Point{t.East(), t.North}}
}

// At is the height of one post in metres; NaN when it is void or lies outside the grid.
func (t *Tile) At(col, row int) float64 {
	if col < 0 || row < 0 || col >= t.Cols || row >= t.Rows {
		return math.NaN()
	}
	i := row*t.Cols + col
	if t.whole != nil {
		if h := t.whole[i]; h != void16 {
			return float64(h)
		}
		return math.NaN()
	}
	return float64(t.real[i])
}

// Range is the lowest and highest height of the tile; ok is false when every post is void.
func (t *Tile) Range() (lowest, highest float64, ok bool) {
	lowest, highest = math.Inf(1), math.Inf(-1)
	for _, h := range t.whole {
		if h != void16 {
			lowest, highest, ok = min(lowest, float64(h)), max(highest, float64(h)), true
		}
	}
	for _, h := range t.real {
		if h == h {
			lowest, highest, ok = min(lowest, float64(h)), max(highest, float64(h)), true
		}
	}
	if !ok {
		return math.NaN(), math.NaN(), false
	}
	return lowest, highest, true
}

// snap is the part of a cell within which a position counts as lying on a post: 1e-8 of a 90 m
// cell is a micrometre, and the rounding of (lon - west) / step stays a hundred times below it.
const snap = 1e-8

// bilinear reads the tile at column x and row y (not whole); both must lie within the posts. A void
// post of no weight does not matter; any other gives NaN.
func (t *Tile) bilinear(x, y float64) float64 {
	i, fx := cellOf(x, t.Cols)
	j, fy := cellOf(y, t.Rows)
	a, b := t.At(i, j), t.At(i+1, j)
	c, d := t.At(i, j+1), t.At(i+1, j+1)
	return blend(a, b, c, d, fx, fy)
}

// cellOf splits a position into the number of the cell, 0..n-2, and the part of it, 0..1, snapped.
func cellOf(x float64, n int) (int, float64) {
	i := min(max(int(math.Floor(x+snap)), 0), n-2)
	f := x - float64(i)
	switch {
	case f < snap:
		f = 0
	case f > 1-snap:
		f = 1
	}
	return i, f
}

// blend is the bilinear mean of the posts a b (north) and c d (south). Posts of weight zero are left out,
// so that they may be NaN.
func blend(a, b, c, d, fx, fy float64) float64 {
	switch {
	case fx == 0:
		b, d = a, c
	case fx == 1:
		a, c = b, d
	}
	switch {
	case fy == 0:
		c, d = a, b
	case fy == 1:
		a, b = c, d
	}
	n := a + fx*(b-a)
	s := c + fx*(d-c)
	return n + fy*(s-n)
}
