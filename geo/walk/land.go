package walk

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// rim is the margin of cells around the grid that saves the search every question about edges: a
// knight's move reaches two cells far.
const rim = 2

// Land is a grid with what the map knows of walking on it: barriers, ways and the roads to reach. The
// order in which they are added does not matter. A way opens a barrier where it crosses it (a bridge,
// a ford, a gate), but only along the way. Land is not safe for several goroutines while it is built.
type Land struct {
	grid   *Grid
	stride int
	// edges holds for every cell of the grid with its rim which of the sixteen steps out of it a
	// barrier closes (low half) and which a way follows (high half). nil when there is neither.
	edges []uint32
	// inside marks the cells whose middle lies in a barrier area.
	inside []bool
	roads  []seed
	hasWay bool
}

// seed is a cell that touches a road to reach, with the metres from its middle to the road.
type seed struct {
	cell   int32
	metres float32
}

// NewLand is open ground without roads on a grid.
func NewLand(g *Grid) *Land { return &Land{grid: g, stride: g.Cols + 2*rim} }

func (l *Land) index(col, row int) int { return (row+rim)*l.stride + col + rim }

func (l *Land) inGrid(col, row int) bool {
	return col >= 0 && row >= 0 && col < l.grid.Cols && row < l.grid.Rows
}

func (l *Land) open() {
	if l.edges == nil {
		l.edges = make([]uint32, l.stride*(l.grid.Rows+2*rim))
	}
}

// Barrier closes a line in degrees, such as a cliff, a river or a fence: no step may cross it, however
// thin it is next to a cell.
func (l *Land) Barrier(line orb.LineString) {
	l.eachPiece(line, func(ax, ay, bx, by float64) { l.closeAcross(ax, ay, bx, by) })
}

// Area closes a polygon in degrees with its holes left open, such as a lake: no step may enter it.
func (l *Land) Area(p orb.Polygon) {
	for _, ring := range p {
		l.Barrier(orb.LineString(ring))
	}
	l.fill(p)
}

// Way marks a line in degrees that is walked at the full pace, and opens barriers along it.
func (l *Land) Way(line orb.LineString) {
	l.eachRun(line, func(cells []cellAt) {
		for i := 1; i < len(cells); i++ {
			l.follow(cells[i-1], cells[i])
			if i >= 2 {
				l.follow(cells[i-2], cells[i])
			}
		}
	})
}

// Road marks a line in degrees as a road to reach. It is a way at the same time.
func (l *Land) Road(line orb.LineString) {
	l.Way(line)
	if len(line) == 1 {
		l.RoadPoint(line[0])
		return
	}
	l.eachPiece(line, func(ax, ay, bx, by float64) {
		c0, c1 := int(math.Round(min(ax, bx))), int(math.Round(max(ax, bx)))
		r0, r1 := int(math.Round(min(ay, by))), int(math.Round(max(ay, by)))
		for r := r0; r <= r1; r++ {
			for c := c0; c <= c1; c++ {
				if !l.inGrid(c, r) || !crossesCell(ax, ay, bx, by, float64(c), float64(r)) {
					continue
				}
				l.roads = append(l.roads, seed{int32(l.index(c, r)), float32(l.metresTo(ax, ay, bx, by, c, r))})
			}
		}
	})
}

// RoadPoint marks a single place in degrees as one to reach; one outside the grid does nothing.
func (l *Land) RoadPoint(p orb.Point) {
	c, r, ok := l.grid.Cell(p)
	if !ok {
		return
	}
	x, y := l.grid.position(p)
	l.roads = append(l.roads, seed{int32(l.index(c, r)), float32(l.metresTo(x, y, x, y, c, r))})
}

// RoadCells is the number of cells that touch a road to reach; a cell that several touch counts once.
func (l *Land) RoadCells() int {
	ids := make([]int32, len(l.roads))
	for i, s := range l.roads {
		ids[i] = s.cell
	}
	slices.Sort(ids)
	return len(slices.Compact(ids))
}

// metresTo is the distance in metres from the middle of a cell to a piece of line in cells.
func (l *Land) metresTo(ax, ay, bx, by float64, c, r int) float64 {
	ex, ny := l.grid.eastM[r], l.grid.northM
	px, py := (float64(c)-ax)*ex, (float64(r)-ay)*ny
	dx, dy := (bx-ax)*ex, (by-ay)*ny
	t := 0.0
	if q := dx*dx + dy*dy; q > 0 {
		t = min(max((px*dx+py*dy)/q, 0), 1)
	}
	return math.Hypot(px-t*dx, py-t*dy)
}

// follow marks the step between two cells, both ways, as one along a way.
func (l *Land) follow(a, b cellAt) {
	for d := range sixteen {
		if a.col+stepCol[d] == b.col && a.row+stepRow[d] == b.row {
			l.open()
			l.hasWay = true
			if l.inGrid(a.col, a.row) && l.inGrid(b.col, b.row) {
				l.edges[l.index(a.col, a.row)] |= 1 << (16 + d)
				l.edges[l.index(b.col, b.row)] |= 1 << (16 + d ^ 4)
			}
			return
		}
	}
}

// closeAcross closes every step that meets a piece of line no longer than a cell, given in cells.
func (l *Land) closeAcross(ax, ay, bx, by float64) {
	l.open()
	c0, c1 := int(math.Floor(min(ax, bx)))-1, int(math.Ceil(max(ax, bx)))+1
	r0, r1 := int(math.Floor(min(ay, by)))-1, int(math.Ceil(max(ay, by)))+1
	for r := max(r0, 0); r <= min(r1, l.grid.Rows-1); r++ {
		for c := max(c0, 0); c <= min(c1, l.grid.Cols-1); c++ {
			for d := range sixteen {
				// One of the two directions of a step finds the other end too.
				if d&4 != 0 {
					continue
				}
				tc, tr := c+stepCol[d], r+stepRow[d]
				if meets(ax, ay, bx, by, float64(c), float64(r), float64(tc), float64(tr)) {
					l.edges[l.index(c, r)] |= 1 << d
					l.edges[l.index(tc, tr)] |= 1 << (d ^ 4)
				}
				bc, br := c-stepCol[d], r-stepRow[d]
				if meets(ax, ay, bx, by, float64(c), float64(r), float64(bc), float64(br)) {
					l.edges[l.index(c, r)] |= 1 << (d ^ 4)
					l.edges[l.index(bc, br)] |= 1 << d
				}
			}
		}
	}
}

// fill marks the cells whose middles lie in a polygon, by the even-odd rule along rows.
func (l *Land) fill(p orb.Polygon) {
	g := l.grid
	var rows [][]float64 // crossings by row
	first := g.Rows
	last := -1
	cross := func(visit func(row int, x float64)) {
		for _, ring := range p {
			for i := range ring {
				ax, ay := g.position(ring[i])
				bx, by := g.position(ring[(i+1)%len(ring)])
				if ay == by || ay != ay || by != by || ax != ax || bx != bx {
					continue
				}
				lo, hi := min(ay, by), max(ay, by)
				for r := max(int(math.Ceil(lo)), 0); r < g.Rows && float64(r) < hi; r++ {
					visit(r, ax+(float64(r)-ay)/(by-ay)*(bx-ax))
				}
			}
		}
	}
	cross(func(r int, _ float64) { first, last = min(first, r), max(last, r) })
	if last < first {
		return
	}
	rows = make([][]float64, last-first+1)
	cross(func(r int, x float64) { rows[r-first] = append(rows[r-first], x) })
	if l.inside == nil {
		l.inside = make([]bool, g.Cols*g.Rows)
	}
	l.open()
	for i, xs := range rows {
		slices.Sort(xs)
		for k := 0; k+1 < len(xs); k += 2 {
			for c := max(int(math.Ceil(min(xs[k], float64(g.Cols)))), 0); c < g.Cols && float64(c) <= xs[k+1]; c++ {
				l.inside[(first+i)*g.Cols+c] = true
			}
		}
	}
}

// settled gives the edges with the steps into and out of barrier areas closed and those along ways open.
func (l *Land) settledEdges() []uint32 {
	if l.edges == nil {
		return nil
	}
	e := slices.Clone(l.edges)
	for i, in := range l.inside {
		if !in {
			continue
		}
		k := l.index(i%l.grid.Cols, i/l.grid.Cols)
		e[k] |= 0xffff
		for d := range sixteen {
			e[k+stepRow[d]*l.stride+stepCol[d]] |= 1 << (d ^ 4)
		}
	}
	for i, v := range e {
		e[i] = v &^ (v >> 16)
	}
	return e
}
