package index

import "math"

// grid lists, for each square of a plain grid over the extent, the segments that pass through it. Beside
// roads it answers with one look into a list; in open country, where it would have to look into many
// empty squares, the tree takes over. It is left out when long segments would make the lists long.
type grid struct {
	minX, minY float64
	side       float64 // of a square, metres
	perM       float64 // 1/side
	cols, rows int32
	slack      float64 // m^2 by which squared distances are told apart only exactly; far more than they are rounded by
	start      []int32 // start[c]..start[c+1] is the part of list of square c
	list       []int32 // numbers of segments
}

// perSquare is the wanted number of segments for each square of the grid, empty ones counted.
const perSquare = 1

// newGrid makes the grid, empty when it would not pay.
func newGrid(segs []Seg, minX, minY, maxX, maxY float64) (g grid) {
	n := len(segs)
	w, h := maxX-minX, maxY-minY
	side := math.Sqrt(w * h * perSquare / float64(n))
	// A thin extent: as many squares along it as segments.
	side = math.Max(side, math.Max(w, h)*perSquare/float64(n))
	if n < 16 || !(side > 1e-3) || math.IsInf(side, 0) {
		return grid{}
	}
	g = grid{minX: minX, minY: minY, side: side, perM: 1 / side, cols: int32(w/side) + 1, rows: int32(h/side) + 1}
	size := 1e-7 * max(-minX, maxX, -minY, maxY)
	g.slack = 1e-6 * max(1, size*size)
	g.start = make([]int32, int(g.cols)*int(g.rows)+1)
	total := 0
	for i := range segs {
		g.squares(&segs[i], func(c int32) { g.start[c]++; total++ })
		if total > 4*n+1000 {
			return grid{}
		}
	}
	sum := int32(0)
	for c, k := range g.start {
		sum += k
		g.start[c] = sum // the end of the square's part; filling from the back brings it to the start
	}
	g.list = make([]int32, total)
	for i := n - 1; i >= 0; i-- {
		g.squares(&segs[i], func(c int32) { g.start[c]--; g.list[g.start[c]] = int32(i) })
	}
	return g
}

// rim widens a segment by this part of a square's side in all directions before its squares are taken, so
// that rounding never hides one.
const rim = 1e-6

// squares calls put for every square that a segment passes through or touches, row by row.
func (g *grid) squares(s *Seg, put func(c int32)) {
	ax, ay, bx, by := (s.AX-g.minX)*g.perM, (s.AY-g.minY)*g.perM, (s.BX-g.minX)*g.perM, (s.BY-g.minY)*g.perM
	if ay > by {
		ax, ay, bx, by = bx, by, ax, ay
	}
	r0, r1 := max(0, int32(ay-rim)), min(g.rows-1, int32(by+rim))
	slope := 0.0
	if by > ay {
		slope = (bx - ax) / (by - ay)
	}
	lo, hi := min(ax, bx), max(ax, bx)
	for r := r0; r <= r1; r++ {
		x0, x1 := lo, hi
		if r1 > r0 && by > ay {
			// Where the line enters and leaves the row, kept within the segment.
			f := ax + (max(ay, float64(r)-rim)-ay)*slope
			t := ax + (min(by, float64(r)+1+rim)-ay)*slope
			x0, x1 = max(lo, min(f, t)), min(hi, max(f, t))
		}
		for c := max(0, int32(x0-rim)); c <= min(g.cols-1, int32(x1+rim)); c++ {
			put(r*g.cols + c)
		}
	}
}

// nearest looks for the nearest segment in the square of the place and those that a circle through the
// best so far reaches into. It reports whether the answer is the nearest of all; best and id hold the
// best seen in either case.
func (g *grid) nearest(segs []Seg, x, y float64, best *float64, id *int32) bool {
	fx, fy := (x-g.minX)*g.perM, (y-g.minY)*g.perM
	if !(fx >= 0 && fy >= 0 && fx < float64(g.cols) && fy < float64(g.rows)) {
		return false
	}
	cx, cy := int32(fx), int32(fy)
	g.look(segs, cx, cy, x, y, best, id)
	// The circle in squares, a little wider for rounding and ties.
	r := math.Sqrt(*best)*g.perM + 4*rim
	if !(r < 1) {
		return false
	}
	x0, x1, y0, y1 := cx, cx, cy, cy
	if fx-r < float64(cx) {
		x0--
	}
	if fx+r > float64(cx+1) {
		x1++
	}
	if fy-r < float64(cy) {
		y0--
	}
	if fy+r > float64(cy+1) {
		y1++
	}
	if x0 == x1 && y0 == y1 {
		return true
	}
	for r := max(y0, 0); r <= min(y1, g.rows-1); r++ {
		for c := max(x0, 0); c <= min(x1, g.cols-1); c++ {
			if c != cx || r != cy {
				g.look(segs, c, r, x, y, best, id)
			}
		}
	}
	return true
}

// look considers the segments of a square. Those whose straight line passes farther off than the best so far, which are
// most of them beside a road, are told from the others without a division.
func (g *grid) look(segs []Seg, cx, cy int32, x, y float64, best *float64, id *int32) {
	c := cy*g.cols + cx
	limit := *best*(1+1e-7) + g.slack
	for _, i := range g.list[g.start[c]:g.start[c+1]] {
		s := &segs[i]
		dx, dy := s.BX-s.AX, s.BY-s.AY
		if cross := dx*(y-s.AY) - dy*(x-s.AX); cross*cross > limit*(dx*dx+dy*dy) {
			continue
		}
		consider(segs, i, x, y, best, id)
		limit = *best*(1+1e-7) + g.slack
	}
}
