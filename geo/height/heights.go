package height

import "github.com/paulmach/orb"

// Heights reads many places at once: dst[i] is what Height(pts[i]) gives. It grows dst when it is too
// short and returns it. Points that follow one another in one tile cost 5 to 10 ns each
// (BenchmarkHeights), which is why lines should be read this way.
func (m *Model) Heights(dst []float64, pts []orb.Point) []float64 {
	if cap(dst) < len(pts) {
		dst = make([]float64, len(pts))
	}
	dst = dst[:len(pts)]
	var r reader
	for i, p := range pts {
		dst[i] = r.height(m, p[0], p[1])
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

// height is Model.Height by way of the remembered tile. The fast way is taken only for points clearly
// between posts, with four known posts, in a tile that no finer one overlaps; all else goes the slow way.
func (r *reader) height(m *Model, lon, lat float64) float64 {
	x := (lon - r.west) * r.perLon
	y := (r.north - lat) * r.perLat
	if x > 0 && y > 0 && x < r.maxX && y < r.maxY {
		i, j := int(x), int(y)
		fx, fy := x-float64(i), y-float64(j)
		if fx > snap && fx < 1-snap && fy > snap && fy < 1-snap {
			k := j*r.cols + i
			if r.whole != nil {
				n, s := r.whole[k:k+2:k+2], r.whole[k+r.cols:k+r.cols+2]
				a, b, c, d := n[0], n[1], s[0], s[1]
				if a != void16 && b != void16 && c != void16 && d != void16 {
					top := float64(a) + fx*float64(int32(b)-int32(a))
					low := float64(c) + fx*float64(int32(d)-int32(c))
					return top + fy*(low-top)
				}
			} else {
				n, s := r.real[k:k+2:k+2], r.real[k+r.cols:k+r.cols+2]
				a, b, c, d := float64(n[0]), float64(n[1]), float64(s[0]), float64(s[1])
				top := a + fx*(b-a)
				low := c + fx*(d-c)
				if h := top + fy*(low-top); h == h {
					return h
				}
			}
		}
	}
	h := m.Height(lon, lat)
	if t := m.tileAt(lon, lat); t != nil && t.alone && (t.West != r.west || t.North != r.north || t.Cols != r.cols) {
		*r = reader{west: t.West, north: t.North, perLon: t.perLon, perLat: t.perLat,
			maxX: float64(t.Cols - 1), maxY: float64(t.Rows - 1), cols: t.Cols, whole: t.whole, real: t.real}
	}
	return h
}
