package height

import "github.com/paulmach/orb"

// Heights reads many places at once: dst[i] is what Height(pts[i]) gives. It grows dst when it is too
// short and returns it. Points that follow one another in one tile cost some 5 to 10 ns each
// (BenchmarkHeights), which is why lines should be read this way.
func (m *Model) Heights(dst []float64, pts []orb.Point) []float64 {
	dst = grow(dst, len(pts))
	var r reader
	for i := 0; i < len(pts); {
		if i = r.run(dst, pts, i); i < len(pts) {
			dst[i] = r.ask(m, pts[i][0], pts[i][1])
			i++
		}
	}
	return dst
}

// reader remembers the tile of the last point. Its fields are the tile's, flat, so that the common
// case touches no other memory than the four posts.
type reader struct {
	west, north, perLon, perLat float64
	maxX, maxY                  float64 // a point with 0 <= x < maxX, 0 <= y < maxY has its four posts inside
	cols                        int
	whole                       []int16
	real                        []float32
}

// run reads points from i on as long as the fast way holds, and gives the first for which it does
// not. It holds for points clearly between posts, with four known posts, in a tile that no finer one overlaps.
func (r *reader) run(dst []float64, pts []orb.Point, i int) int {
	west, north, perLon, perLat, maxX, maxY, cols := r.west, r.north, r.perLon, r.perLat, r.maxX, r.maxY, r.cols
	dst = dst[:len(pts)]
	if whole := r.whole; whole != nil {
		for ; i < len(pts); i++ {
			x, y := (pts[i][0]-west)*perLon, (north-pts[i][1])*perLat
			if !(x > 0 && y > 0 && x < maxX && y < maxY) {
				return i
			}
			c, l := int(x), int(y)
			fx, fy := x-float64(c), y-float64(l)
			k := l*cols + c
			n, s := whole[k:k+2:k+2], whole[k+cols:k+cols+2:k+cols+2]
			a, b, d, e := int32(n[0]), int32(n[1]), int32(s[0]), int32(s[1])
			if a == void16 || b == void16 || d == void16 || e == void16 || fx <= snap || fy <= snap || fx >= 1-snap || fy >= 1-snap {
				return i
			}
			top := float64(a) + fx*float64(b-a)
			low := float64(d) + fx*float64(e-d)
			dst[i] = top + fy*(low-top)
		}
		return i
	}
	real := r.real
	for ; i < len(pts); i++ {
		x, y := (pts[i][0]-west)*perLon, (north-pts[i][1])*perLat
		if !(x > 0 && y > 0 && x < maxX && y < maxY) {
			return i
		}
		c, l := int(x), int(y)
		fx, fy := x-float64(c), y-float64(l)
		k := l*cols + c
		n, s := real[k:k+2:k+2], real[k+cols:k+cols+2:k+cols+2]
		a, b, d, e := float64(n[0]), float64(n[1]), float64(s[0]), float64(s[1])
		top := a + fx*(b-a)
		low := d + fx*(e-d)
		h := top + fy*(low-top)
		if h != h || fx <= snap || fy <= snap || fx >= 1-snap || fy >= 1-snap {
			return i
		}
		dst[i] = h
	}
	return i
}

// ask is Model.Height, and remembers the tile that answered.
func (r *reader) ask(m *Model, lon, lat float64) float64 {
	h := m.Height(lon, lat)
	if t := m.tileAt(lon, lat); t != nil && t.alone {
		*r = reader{west: t.West, north: t.North, perLon: t.perLon, perLat: t.perLat,
			maxX: float64(t.Cols - 1), maxY: float64(t.Rows - 1), cols: t.Cols, whole: t.whole, real: t.real}
	}
	return h
}
