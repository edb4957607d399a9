package contour

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"
)

// Line is one contour line of one height. Points are in columns and rows of the field, (0, 0) the
// north-west post. Higher ground lies to the right of one who follows the points on a map with north
// up. Closed lines repeat their first point at the end.
type Line struct {
	HeightM float64
	Points  orb.LineString
	Closed  bool
}

// maxLevels bounds the number of heights of one call.
const maxLevels = 10000

// Lines draws contour lines at every multiple of interval metres by marching squares: each cell
// between four posts is cut by straight pieces between linearly interpolated points of its edges,
// and pieces are joined into lines. In a saddle, where two opposite corners stand above and
// the others below, the mean of the corners decides which pair is joined. A post exactly at a contour's height counts
// as above. Cells with an unknown post are left out, so lines end there. The order of lines is
// fixed: by height, then by where they are first met from north-west. An interval that is no
// positive number, or gives more than 10 000 heights, gives an error.
func Lines(f Field, interval float64) ([]Line, error) {
	if !(interval > 0) || math.IsInf(interval, 0) {
		return nil, fmt.Errorf("a contour interval of %g m", interval)
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, h := range f.HeightM {
		if h == h {
			low, high = min(low, float64(h)), max(high, float64(h))
		}
	}
	if low > high {
		return nil, nil
	}
	first, last := math.Ceil(low/interval), math.Floor(high/interval)
	if last-first >= maxLevels {
		return nil, fmt.Errorf("a contour interval of %g m makes %.0f heights; the most is %d", interval, last-first+1, maxLevels)
	}
	if last < first {
		return nil, nil
	}
	t := tracer{f: f, levels: int(last-first) + 1, first: first, interval: interval}
	t.collect()
	return t.join(), nil
}

// piece is a straight cut of a cell: from one edge to another, edges numbered over the whole field.
type piece struct{ from, to int32 }

type tracer struct {
	f               Field
	levels          int
	first, interval float64
	pieces          [][]piece // by level
}

func (t *tracer) height(level int) float64 { return (t.first + float64(level)) * t.interval }

// Edges: 2 x post is the edge east of it, 2 x post + 1 the edge south of it.

// collect cuts every cell at every level that passes it.
func (t *tracer) collect() {
	f := &t.f
	t.pieces = make([][]piece, t.levels)
	for r := range f.Rows - 1 {
		n, s := f.rowAt(r), f.rowAt(r+1)
		for c := range f.Cols - 1 {
			a, b, d, e := n[c], n[c+1], s[c], s[c+1] // nw ne sw se
			lo, hi := min(a, b, d, e), max(a, b, d, e)
			if lo != lo || hi != hi || lo == hi {
				continue
			}
			// Levels in (lo, hi]: a post at the level counts as above.
			k := max(int(math.Floor(float64(lo)/t.interval)-t.first)-1, 0)
			for ; k < t.levels && t.height(k) <= float64(lo); k++ {
			}
			for ; k < t.levels && t.height(k) <= float64(hi); k++ {
				t.cut(k, r*f.Cols+c, a, b, d, e)
			}
		}
	}
}

// cut adds the pieces of one cell at one level, higher ground to the right.
func (t *tracer) cut(level, post int, a, b, d, e float32) {
	h := t.height(level)
	top, left := int32(2*post), int32(2*post+1)
	right, bottom := int32(2*(post+1)+1), int32(2*(post+t.f.Cols))
	kind := 0
	for i, z := range [...]float32{a, b, e, d} { // nw ne se sw
		if float64(z) >= h {
			kind |= 1 << i
		}
	}
	p := t.pieces[level]
	switch kind {
	case 1:
		p = append(p, piece{top, left})
	case 2:
		p = append(p, piece{right, top})
	case 3:
		p = append(p, piece{right, left})
	case 4:
		p = append(p, piece{bottom, right})
	case 6:
		p = append(p, piece{bottom, top})
	case 7:
		p = append(p, piece{bottom, left})
	case 8:
		p = append(p, piece{left, bottom})
	case 9:
		p = append(p, piece{top, bottom})
	case 11:
		p = append(p, piece{right, bottom})
	case 12:
		p = append(p, piece{left, right})
	case 13:
		p = append(p, piece{top, right})
	case 14:
		p = append(p, piece{left, top})
	case 5, 10:
		joined := (float64(a)+float64(b)+float64(d)+float64(e))/4 >= h
		switch {
		case kind == 5 && joined: // nw and se joined, ne and sw cut off
			p = append(p, piece{top, right}, piece{bottom, left})
		case kind == 5:
			p = append(p, piece{top, left}, piece{bottom, right})
		case joined:
			p = append(p, piece{left, top}, piece{right, bottom})
		default:
			p = append(p, piece{right, top}, piece{left, bottom})
		}
	}
	t.pieces[level] = p
}

// join strings the pieces of each level together.
func (t *tracer) join() []Line {
	var out []Line
	edges := 2 * t.f.Cols * t.f.Rows
	// startAt[edge] is one more than the piece that begins at the edge; each edge is begun once and
	// ended once at one level.
	startAt := make([]int32, edges)
	var endsHere []bool
	for level, pieces := range t.pieces {
		if len(pieces) == 0 {
			continue
		}
		if endsHere == nil {
			endsHere = make([]bool, edges)
		}
		for i, p := range pieces {
			startAt[p.from] = int32(i) + 1
			endsHere[p.to] = true
		}
		follow := func(i int) Line {
			line := Line{HeightM: t.height(level)}
			begin := pieces[i].from
			line.add(t.point(begin, line.HeightM))
			for {
				p := pieces[i]
				startAt[p.from] = 0
				line.add(t.point(p.to, line.HeightM))
				if p.to == begin {
					line.Closed = true
					return line
				}
				next := startAt[p.to]
				if next == 0 {
					return line
				}
				i = int(next) - 1
			}
		}
		// Open lines first, from their beginnings, so that none is cut in two; then the closed ones.
		for i, p := range pieces {
			if startAt[p.from] == int32(i)+1 && !endsHere[p.from] {
				if l := follow(i); len(l.Points) > 1 {
					out = append(out, l)
				}
			}
		}
		for i, p := range pieces {
			if startAt[p.from] == int32(i)+1 {
				if l := follow(i); len(l.Points) > 1 {
					out = append(out, l)
				}
			}
		}
		for _, p := range pieces {
			endsHere[p.to] = false
		}
	}
	return out
}

// add appends a point unless it is the last one again, as happens round a post exactly at the height.
func (l *Line) add(p orb.Point) {
	if n := len(l.Points); n == 0 || l.Points[n-1] != p {
		l.Points = append(l.Points, p)
	}
}

// point is where a level crosses an edge, in columns and rows.
func (t *tracer) point(edge int32, h float64) orb.Point {
	post := int(edge / 2)
	c, r := post%t.f.Cols, post/t.f.Cols
	a := float64(t.f.HeightM[post])
	if edge%2 == 0 {
		b := float64(t.f.HeightM[post+1])
		return orb.Point{float64(c) + (h-a)/(b-a), float64(r)}
	}
	b := float64(t.f.HeightM[post+t.f.Cols])
	return orb.Point{float64(c), float64(r) + (h-a)/(b-a)}
}
