package plot

import (
	"image"
	"math"
)

// ringArea is twice the signed area of a ring, positive when it runs clockwise on the screen.
func ringArea(pts []Pt) float64 {
	var s float64
	for i := range pts {
		a, b := pts[i], pts[(i+1)%len(pts)]
		s += float64(a.X)*float64(b.Y) - float64(b.X)*float64(a.Y)
	}
	return s
}

// boundOf is the bounding box of the points inside window; ok is false when the two do not meet or a
// point is not a number.
func boundOf(pts []Pt, window Rect) (b Rect, ok bool) {
	b = Rect{math.MaxFloat32, math.MaxFloat32, -math.MaxFloat32, -math.MaxFloat32}
	for _, p := range pts {
		if p.X != p.X || p.Y != p.Y {
			return b, false
		}
		b.X0, b.X1 = min(b.X0, p.X), max(b.X1, p.X)
		b.Y0, b.Y1 = min(b.Y0, p.Y), max(b.Y1, p.Y)
	}
	b.X0, b.Y0 = max(b.X0, window.X0), max(b.Y0, window.Y0)
	b.X1, b.Y1 = min(b.X1, window.X1), min(b.Y1, window.Y1)
	return b, b.X0 < b.X1 && b.Y0 < b.Y1
}

// boxOf reports whether the polygon is an upright rectangle given as Box gives it.
func boxOf(rings [][]Pt) (Rect, bool) {
	if len(rings) != 1 || len(rings[0]) != 4 {
		return Rect{}, false
	}
	p := rings[0]
	if p[0].Y == p[1].Y && p[1].X == p[2].X && p[2].Y == p[3].Y && p[3].X == p[0].X && p[0].X < p[1].X && p[0].Y < p[3].Y {
		return Rect{p[0].X, p[0].Y, p[2].X, p[2].Y}, true
	}
	return Rect{}, false
}

// cutRing cuts a ring to a window (Sutherland and Hodgman, one side after the other). The result lies
// in the raster's buffers and holds until the next call.
func (r *Raster) cutRing(ring []Pt, w Rect) []Pt {
	inside := true
	for _, p := range ring {
		if p.X < w.X0 || p.X > w.X1 || p.Y < w.Y0 || p.Y > w.Y1 {
			inside = false
			break
		}
	}
	if inside {
		return ring
	}
	pts := ring
	for side := range 4 {
		out := r.cut[side%2][:0]
		for i := range pts {
			a, b := pts[i], pts[(i+1)%len(pts)]
			da, db := depth(a, w, side), depth(b, w, side)
			if da >= 0 {
				out = append(out, a)
			}
			if (da >= 0) != (db >= 0) {
				t := da / (da - db)
				out = append(out, Pt{a.X + t*(b.X-a.X), a.Y + t*(b.Y-a.Y)})
			}
		}
		r.cut[side%2] = out
		pts = out
	}
	return pts
}

// depth is how far p lies inside the given side of the window.
func depth(p Pt, w Rect, side int) float32 {
	switch side {
	case 0:
		return p.X - w.X0
	case 1:
		return w.X1 - p.X
	case 2:
		return p.Y - w.Y0
	}
	return w.Y1 - p.Y
}

// dashed cuts paths into dashes. Segments outside the clip are skipped, with the pattern running on.
func dashed(dst, paths [][]Pt, dash []float32, clip image.Rectangle, width float32) [][]Pt {
	var total float32
	for _, d := range dash {
		total += d
	}
	if !(total > 0.01) {
		return append(dst, paths...)
	}
	view := Rect{float32(clip.Min.X) - width, float32(clip.Min.Y) - width, float32(clip.Max.X) + width, float32(clip.Max.Y) + width}
	for _, p := range paths {
		k, left, on := 0, dash[0], true
		var cur []Pt
		if len(p) > 0 {
			cur = []Pt{p[0]}
		}
		for i := 1; i < len(p); i++ {
			a, b := p[i-1], p[i]
			length := float32(math.Hypot(float64(b.X-a.X), float64(b.Y-a.Y)))
			seen := Rect{min(a.X, b.X), min(a.Y, b.Y), max(a.X, b.X), max(a.Y, b.Y)}.Meets(view)
			if !seen || length > 20000 {
				// Nothing of it shows (or it is no line of a picture): move the pattern on by its length.
				cur, k, left, on = []Pt{b}, 0, dash[0], true
				continue
			}
			var done float32
			for length-done > left {
				done += left
				t := done / length
				q := Pt{a.X + t*(b.X-a.X), a.Y + t*(b.Y-a.Y)}
				if on {
					dst = append(dst, append(cur, q))
				}
				cur = []Pt{q}
				on = !on
				k = (k + 1) % len(dash)
				left = max(dash[k], 0.01)
			}
			left -= length - done
			if on {
				cur = append(cur, b)
			}
		}
		if on && len(cur) > 1 {
			dst = append(dst, cur)
		}
	}
	return dst
}
