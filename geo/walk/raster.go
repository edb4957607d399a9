package walk

import (
	"math"

	"github.com/paulmach/orb"
)

type cellAt struct{ col, row int }

// eachPiece cuts the part of a line on or near the grid into pieces no longer than a cell and
// gives their ends in cells, whole numbers at middles. Points that are no numbers are left out.
func (l *Land) eachPiece(line orb.LineString, visit func(ax, ay, bx, by float64)) {
	g := l.grid
	for i := 1; i < len(line); i++ {
		ax, ay := g.position(line[i-1])
		bx, by := g.position(line[i])
		ax, ay, bx, by, ok := g.clip(ax, ay, bx, by)
		if !ok {
			continue
		}
		n := max(int(math.Ceil(max(math.Abs(bx-ax), math.Abs(by-ay)))), 1)
		px, py := ax, ay
		for k := 1; k <= n; k++ {
			t := float64(k) / float64(n)
			qx, qy := ax+t*(bx-ax), ay+t*(by-ay)
			if k == n {
				qx, qy = bx, by
			}
			visit(px, py, qx, qy)
			px, py = qx, qy
		}
	}
}

// clip cuts a segment in cells to the grid and its rim (Liang and Barsky); ok is false when nothing is left.
func (g *Grid) clip(ax, ay, bx, by float64) (float64, float64, float64, float64, bool) {
	t0, t1 := 0.0, 1.0
	dx, dy := bx-ax, by-ay
	for _, e := range [...][2]float64{
		{-dx, ax + rim}, {dx, float64(g.Cols-1+rim) - ax},
		{-dy, ay + rim}, {dy, float64(g.Rows-1+rim) - ay}} {
		p, q := e[0], e[1]
		switch {
		case p != p || q != q:
			return 0, 0, 0, 0, false
		case p == 0 && q < 0:
			return 0, 0, 0, 0, false
		case p < 0:
			t0 = max(t0, q/p)
		case p > 0:
			t1 = min(t1, q/p)
		}
	}
	if t0 > t1 {
		return 0, 0, 0, 0, false
	}
	return ax + t0*dx, ay + t0*dy, ax + t1*dx, ay + t1*dy, true
}

// eachRun gives the cells that a line passes, each a neighbour of the one before, without the corner
// cells that a diagonal step saves. A line that leaves the grid and comes back gives several runs.
func (l *Land) eachRun(line orb.LineString, visit func([]cellAt)) {
	var run []cellAt
	flush := func() {
		if len(run) > 1 {
			visit(straighten(run))
		}
		run = run[:0]
	}
	add := func(c cellAt) {
		if n := len(run); n > 0 && run[n-1] == c {
			return
		} else if n > 0 && (abs(run[n-1].col-c.col) > 1 || abs(run[n-1].row-c.row) > 1) {
			flush()
		}
		run = append(run, c)
	}
	l.eachPiece(line, func(ax, ay, bx, by float64) {
		a := cellAt{int(math.Round(ax)), int(math.Round(ay))}
		b := cellAt{int(math.Round(bx)), int(math.Round(by))}
		add(a)
		if a.col != b.col && a.row != b.row {
			// Which of the two corners does the piece pass? The one whose cell it crosses for longer.
			mx, my := (ax+bx)/2, (ay+by)/2
			m := cellAt{int(math.Round(mx)), int(math.Round(my))}
			if m != a && m != b {
				add(m)
			}
		}
		add(b)
	})
	flush()
}

// straighten drops the cells of a run that lie in the corner between two diagonal neighbours.
func straighten(run []cellAt) []cellAt {
	out := append([]cellAt(nil), run[0])
	for i := 1; i < len(run); i++ {
		if i+1 < len(run) {
			a, c := out[len(out)-1], run[i+1]
			if abs(a.col-c.col) == 1 && abs(a.row-c.row) == 1 {
				continue
			}
		}
		out = append(out, run[i])
	}
	return out
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}

// meets reports whether two segments share a point, touching included, so that a barrier has no gap
// where two of its pieces join.
func meets(ax, ay, bx, by, cx, cy, dx, dy float64) bool {
	side := func(px, py, qx, qy, rx, ry float64) float64 { return (qx-px)*(ry-py) - (qy-py)*(rx-px) }
	if max(ax, bx) < min(cx, dx) || max(cx, dx) < min(ax, bx) || max(ay, by) < min(cy, dy) || max(cy, dy) < min(ay, by) {
		return false
	}
	s1, s2 := side(ax, ay, bx, by, cx, cy), side(ax, ay, bx, by, dx, dy)
	s3, s4 := side(cx, cy, dx, dy, ax, ay), side(cx, cy, dx, dy, bx, by)
	return s1*s2 <= 0 && s3*s4 <= 0
}

// crossesCell reports whether a piece of line passes the square of half a cell round a middle.
func crossesCell(ax, ay, bx, by, c, r float64) bool {
	t0, t1 := 0.0, 1.0
	dx, dy := bx-ax, by-ay
	for _, e := range [...][2]float64{{-dx, ax - (c - 0.5)}, {dx, c + 0.5 - ax}, {-dy, ay - (r - 0.5)}, {dy, r + 0.5 - ay}} {
		switch p, q := e[0], e[1]; {
		case p == 0 && q < 0:
			return false
		case p < 0:
			t0 = max(t0, q/p)
		case p > 0:
			t1 = min(t1, q/p)
		}
	}
	return t0 <= t1
}
