package walk

import (
	"cmp"
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// rim is the margin of cells around the grid that saves the search every question about edges: a
// knight's move reaches two cells far.
const rim = 2

// Land is a grid with what the map knows of walking on it: barriers, ways and the roads to reach. The
// order in which they are added does not matter.
//
// Barriers close the steps between middles of cells that cross them, however thin they are next to a
// cell. Ways and roads are no cells but lines of their own laid over the grid (see network): one walks along them at
// their true length and full pace and steps off to, or onto them from, the middles of cells around,
// unless a barrier lies between. So a way crosses a barrier wherever the map lets it (a bridge, a
// ford, a gate), and a path on one bank of a river gives nobody on the other bank a way over it.
//
// Land is not safe for several goroutines while it is built.
type Land struct {
	grid   *Grid
	stride int
	// closed holds for every cell of the grid with its rim which of the sixteen steps out of it a
	// barrier closes; nil when there is none.
	closed []uint16
	// inside marks the cells whose middle lies in a barrier area; nil when there is none.
	inside []bool
	// rough holds for every cell of the grid with its rim which of parts is walked there; nil when all are
	// open ground, which is the first part.
	rough []uint8
	parts []float64
	walls walls
	ways  []way
	cross []crossing // scratch of scan
}

// way is a line to walk along, or a road or single place to reach.
type way struct {
	line orb.LineString
	road bool
	slow float32 // how much longer it takes than at the full pace
}

// crossing is where the side of a polygon meets the middles of a row.
type crossing struct {
	row int
	x   float64
}

// NewLand is open ground without roads on a grid.
func NewLand(g *Grid) *Land { return &Land{grid: g, stride: g.Cols + 2*rim} }

func (l *Land) index(col, row int) int { return (row+rim)*l.stride + col + rim }

func (l *Land) inGrid(col, row int) bool {
	return col >= 0 && row >= 0 && col < l.grid.Cols && row < l.grid.Rows
}

// Barrier closes a line in degrees, such as a cliff, a river or a fence.
func (l *Land) Barrier(line orb.LineString) {
	l.eachPiece(line, func(p piece) {
		if l.closed == nil {
			l.closed = make([]uint16, l.stride*(l.grid.Rows+2*rim))
		}
		l.walls.add(l, p)
		l.closeAcross(p)
	})
}

// Area closes a polygon in degrees with its holes left open, such as a lake: no step may enter it.
func (l *Land) Area(p orb.Polygon) {
	for _, ring := range p {
		l.Barrier(orb.LineString(ring))
	}
	l.fill(p)
}

// Ground says at which part of the speed on a way the land in a polygon in degrees, its holes left out, is walked
// off ways: above 0, at most 1. It counts for the cells whose middles lie inside; where polygons overlap the one
// added last does. It panics for more than 255 different parts, or one out of range.
func (l *Land) Ground(p orb.Polygon, part float64) {
	if !(part > 0 && part <= 1) {
		panic("walk: the speed on a ground must be above 0 and at most that on a way")
	}
	k := slices.Index(l.parts, part)
	if k < 0 {
		k = len(l.parts)
		l.parts = append(l.parts, part)
		if k > 254 {
			panic("walk: too many kinds of ground")
		}
	}
	l.scan(p, func(row, from, to int) {
		if l.rough == nil {
			l.rough = make([]uint8, l.stride*(l.grid.Rows+2*rim))
		}
		cells := l.rough[l.index(from, row):][:to-from]
		for i := range cells {
			cells[i] = uint8(k + 1)
		}
	})
}

// Way adds a line in degrees that is walked at the full pace. Lines that share a point are joined there.
func (l *Land) Way(line orb.LineString) { l.add(line, false, 1) }

// WayAt adds a way that is walked at a part of the full pace, above 0 and at most 1; it panics for any other.
func (l *Land) WayAt(line orb.LineString, part float64) {
	if !(part > 0 && part <= 1) {
		panic("walk: the speed on a way must be above 0 and at most the full one")
	}
	l.add(line, false, float32(1/part))
}

// Road adds a line in degrees as a road to reach. It is a way at the same time.
func (l *Land) Road(line orb.LineString) { l.add(line, true, 1) }

// RoadPoint adds a single place in degrees as one to reach; one outside the grid does nothing.
func (l *Land) RoadPoint(p orb.Point) { l.add(orb.LineString{p}, true, 1) }

// add keeps a line if any of it may lie on the grid.
func (l *Land) add(line orb.LineString, road bool, slow float32) {
	for i := range line {
		ax, ay := l.grid.position(line[max(i-1, 0)])
		bx, by := l.grid.position(line[i])
		if _, _, ok := l.grid.clip(ax, ay, bx, by, 0.5); ok {
			l.ways = append(l.ways, way{line, road, slow})
			return
		}
	}
}

// closeAcross closes every step that meets a piece of barrier.
func (l *Land) closeAcross(p piece) {
	c0, c1 := int(math.Floor(min(p.ax, p.bx)))-1, int(math.Ceil(max(p.ax, p.bx)))+1
	r0, r1 := int(math.Floor(min(p.ay, p.by)))-1, int(math.Ceil(max(p.ay, p.by)))+1
	for r := max(r0, 0); r <= min(r1, l.grid.Rows-1); r++ {
		for c := max(c0, 0); c <= min(c1, l.grid.Cols-1); c++ {
			for d := range sixteen {
				tc, tr := c+stepCol[d], r+stepRow[d]
				if p.meets(piece{float64(c), float64(r), float64(tc), float64(tr)}) {
					l.closed[l.index(c, r)] |= 1 << d
					l.closed[l.index(tc, tr)] |= 1 << (d ^ 4)
				}
			}
		}
	}
}

// scan tells the runs of cells, from the first to before the last of a row, whose middles lie in a polygon, by
// the even-odd rule along rows.
func (l *Land) scan(p orb.Polygon, visit func(row, from, to int)) {
	g := l.grid
	l.cross = l.cross[:0]
	for _, ring := range p {
		if len(ring) == 0 {
			continue
		}
		bx, by := g.position(ring[len(ring)-1])
		for _, q := range ring {
			ax, ay := bx, by
			bx, by = g.position(q)
			if ay == by || ay != ay || by != by || ax != ax || bx != bx {
				continue
			}
			lo, hi := min(ay, by), max(ay, by)
			for r := int(max(math.Ceil(lo), 0)); r < g.Rows && float64(r) < hi; r++ {
				l.cross = append(l.cross, crossing{r, ax + (float64(r)-ay)/(by-ay)*(bx-ax)})
			}
		}
	}
	slices.SortFunc(l.cross, func(a, b crossing) int { return cmp.Or(a.row-b.row, cmp.Compare(a.x, b.x)) })
	for k := 0; k+1 < len(l.cross); k += 2 { // every row is crossed an even number of times
		a, b := l.cross[k], l.cross[k+1]
		from := int(max(math.Ceil(min(a.x, float64(g.Cols))), 0))
		to := int(math.Floor(min(max(b.x, -1), float64(g.Cols-1)))) + 1
		if from < to {
			visit(a.row, from, to)
		}
	}
}

// fill marks the cells whose middles lie in a polygon and closes all steps into and out of them.
func (l *Land) fill(p orb.Polygon) {
	g := l.grid
	l.scan(p, func(row, from, to int) {
		if l.inside == nil {
			l.inside = make([]bool, g.Cols*g.Rows)
		}
		if l.closed == nil {
			l.closed = make([]uint16, l.stride*(g.Rows+2*rim))
		}
		for c := from; c < to; c++ {
			l.inside[row*g.Cols+c] = true
			n := l.index(c, row)
			l.closed[n] = 0xffff
			for d := range sixteen {
				l.closed[n+stepRow[d]*l.stride+stepCol[d]] |= 1 << (d ^ 4)
			}
		}
	})
}

// walls keeps the pieces of barriers by the cells they touch, to ask whether a short line crosses one.
type walls struct {
	pieces []piece
	// head is one more than the first entry of a cell, entries name a piece and one more than the next
	// entry.
	head    []int32
	entries []wallEntry
}

type wallEntry struct{ piece, next int32 }

func (w *walls) add(l *Land, p piece) {
	if w.head == nil {
		w.head = make([]int32, l.stride*(l.grid.Rows+2*rim))
	}
	w.pieces = append(w.pieces, p)
	p.eachCell(func(c, r int) {
		if c < -rim || r < -rim || c >= l.grid.Cols+rim || r >= l.grid.Rows+rim {
			return
		}
		n := l.index(c, r)
		w.entries = append(w.entries, wallEntry{int32(len(w.pieces) - 1), w.head[n]})
		w.head[n] = int32(len(w.entries))
	})
}

// between reports whether a barrier crosses or touches a line no longer than two cells.
func (w *walls) between(l *Land, p piece) (found bool) {
	if w.head == nil {
		return false
	}
	p.eachCell(func(c, r int) {
		if found || c < -rim || r < -rim || c >= l.grid.Cols+rim || r >= l.grid.Rows+rim {
			return
		}
		for e := w.head[l.index(c, r)]; e != 0; e = w.entries[e-1].next {
			if w.pieces[w.entries[e-1].piece].meets(p) {
				found = true
				return
			}
		}
	})
	return found
}
