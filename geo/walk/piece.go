package walk

import (
	"math"

	"github.com/paulmach/orb"
)

// piece is a short straight line in cells, whole numbers at the middles of cells.
type piece struct{ ax, ay, bx, by float64 }

// eachPiece cuts the part of a line on or near the grid into pieces no longer than a cell in either
// direction. Points that are no numbers are left out.
func (l *Land) eachPiece(line orb.LineString, visit func(piece)) {
	g := l.grid
	for i := 1; i < len(line); i++ {
		ax, ay := g.position(line[i-1])
		bx, by := g.position(line[i])
		t0, t1, ok := g.clip(ax, ay, bx, by, rim)
		if !ok {
			continue
		}
		dx, dy := bx-ax, by-ay
		n := int(max(math.Ceil((t1-t0)*max(math.Abs(dx), math.Abs(dy))), 1))
		p := piece{bx: ax + t0*dx, by: ay + t0*dy}
		for k := 1; k <= n; k++ {
			t := t0 + (t1-t0)*float64(k)/float64(n)
			p = piece{p.bx, p.by, ax + t*dx, ay + t*dy}
			if t == 1 {
				p.bx, p.by = bx, by // so that the pieces of a line meet in its points
			}
			visit(p)
		}
	}
}

// clip gives the part t0..t1 of a segment in cells that lies on the grid and a margin around it (Liang
// and Barsky); ok is false when nothing does.
func (g *Grid) clip(ax, ay, bx, by, margin float64) (t0, t1 float64, ok bool) {
	t1 = 1
	dx, dy := bx-ax, by-ay
	for _, e := range [...][2]float64{
		{-dx, ax + margin}, {dx, float64(g.Cols-1) + margin - ax},
		{-dy, ay + margin}, {dy, float64(g.Rows-1) + margin - ay}} {
		switch p, q := e[0], e[1]; {
		case p != p || q != q, p == 0 && q < 0:
			return 0, 0, false
		case p < 0:
			t0 = max(t0, q/p)
		case p > 0:
			t1 = min(t1, q/p)
		}
	}
	return t0, t1, t0 <= t1
}

// meets reports whether two pieces share a point, touching included, so that a barrier has no gap
// where two of its pieces join.
func (p piece) meets(q piece) bool {
	if max(p.ax, p.bx) < min(q.ax, q.bx) || max(q.ax, q.bx) < min(p.ax, p.bx) ||
		max(p.ay, p.by) < min(q.ay, q.by) || max(q.ay, q.by) < min(p.ay, p.by) {
		return false
	}
	side := func(s piece, x, y float64) float64 { return (s.bx-s.ax)*(y-s.ay) - (s.by-s.ay)*(x-s.ax) }
	return side(p, q.ax, q.ay)*side(p, q.bx, q.by) <= 0 && side(q, p.ax, p.ay)*side(q, p.bx, p.by) <= 0
}

// eachCell visits the cells that the box of a piece touches.
func (p piece) eachCell(visit func(col, row int)) {
	for r := int(math.Round(min(p.ay, p.by))); r <= int(math.Round(max(p.ay, p.by))); r++ {
		for c := int(math.Round(min(p.ax, p.bx))); c <= int(math.Round(max(p.ax, p.bx))); c++ {
			visit(c, r)
		}
	}
}
