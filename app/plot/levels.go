package plot

import "math"

// levelTolM are the largest distances in metres of a left-out vertex from the line that stays, level by
// level; level 0 keeps every vertex. A picture uses the coarsest level whose error is below half a pixel.
var levelTolM = [...]float32{0, 2, 8, 30, 110, 400}

const numLevels = len(levelTolM)

// levelFor picks the level for a zoom.
func levelFor(metresPerPx float64) int {
	k := 0
	for i, t := range levelTolM {
		if float64(t) <= metresPerPx/2 {
			k = i
		}
	}
	return k
}

// plane points are metres from the scene's origin in float32: the step of a float32 is 8 mm at 100 km.
type shape struct {
	box    Extent
	levels [numLevels][]Pt // Y north; a coarser level that saves nothing shares its points with the finer
}

func newShape(pts []Pt, ring bool) shape {
	s := shape{box: NoExtent}
	for _, p := range pts {
		s.box = s.box.Add(float64(p.X), float64(p.Y))
	}
	s.levels[0] = pts
	for k := 1; k < numLevels; k++ {
		s.levels[k] = simplify(s.levels[k-1], levelTolM[k], ring)
	}
	return s
}

// simplify is the Douglas-Peucker reduction: no left-out vertex is further than tol from the line. The
// ends stay; of a ring also the vertex farthest from its first, and at least four points.
func simplify(pts []Pt, tol float32, ring bool) []Pt {
	n := len(pts)
	if n <= 2 || ring && n <= 4 {
		return pts
	}
	keep := make([]bool, n)
	keep[0], keep[n-1] = true, true
	count := 2
	type span struct{ a, b int }
	stack := []span{{0, n - 1}}
	if ring {
		far, best := 0, float32(-1)
		for i, p := range pts {
			dx, dy := p.X-pts[0].X, p.Y-pts[0].Y
			if d := dx*dx + dy*dy; d > best {
				far, best = i, d
			}
		}
		if far > 0 && far < n-1 {
			keep[far] = true
			count++
			stack = []span{{0, far}, {far, n - 1}}
		}
	}
	for len(stack) > 0 {
		s := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		far, best := 0, tol*tol
		for i := s.a + 1; i < s.b; i++ {
			if d := segDist2(pts[i], pts[s.a], pts[s.b]); d > best {
				far, best = i, d
			}
		}
		if far > 0 {
			keep[far] = true
			count++
			stack = append(stack, span{s.a, far}, span{far, s.b})
		}
	}
	// Sharing saves memory where there is little to gain.
	if count*10 > n*9 || ring && count < 4 {
		return pts
	}
	out := make([]Pt, 0, count)
	for i, p := range pts {
		if keep[i] {
			out = append(out, p)
		}
	}
	return out
}

// segDist2 is the squared distance of p from the segment a-b.
func segDist2(p, a, b Pt) float32 {
	dx, dy := b.X-a.X, b.Y-a.Y
	px, py := p.X-a.X, p.Y-a.Y
	if l := dx*dx + dy*dy; l > 0 {
		t := max(0, min(1, (px*dx+py*dy)/l))
		px, py = px-t*dx, py-t*dy
	}
	return px*px + py*py
}

// toScreen appends the screen points of plane points to dst.
func (v View) toScreen(dst, pts []Pt) []Pt {
	k := float32(1 / v.MetresPerPx)
	// The view's middle is subtracted before scaling, both near in size, so that nothing is lost.
	cx, cy := float32(v.X), float32(v.Y)
	rx, ry := float32((v.X-float64(cx))/v.MetresPerPx), float32((v.Y-float64(cy))/v.MetresPerPx)
	ox, oy := float32(v.W)/2-rx, float32(v.H)/2+ry
	for _, p := range pts {
		dst = append(dst, Pt{(p.X-cx)*k + ox, (cy-p.Y)*k + oy})
	}
	return dst
}

func hypot32(dx, dy float32) float32 { return float32(math.Hypot(float64(dx), float64(dy))) }
