package osm

import (
	"math"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// hullRows keeps, for every twentieth of a degree of latitude, the westernmost and easternmost node:
// enough for the convex outline of a file at the cost of two comparisons a node.
type hullRows struct {
	rows   []hullRow // nil until the first node
	lo, hi int       // rows in use, lo > hi when none
}

type hullRow struct {
	used               bool
	west, east         int32 // 1e-7 degree
	westLat, eastLat   int32
	south, north       int32 // lowest and highest latitude of the row
	southLon, northLon int32
}

// hullStep is the height of a row in 1e-7 degree.
const hullStep = 500_000

const hullCount = 1_800_000_000/hullStep + 1

func (h *hullRows) add(p e7) {
	if h.rows == nil {
		h.rows = make([]hullRow, hullCount)
		h.lo, h.hi = hullCount, -1
	}
	k := int(uint32(p.lat+900_000_000) / hullStep)
	r := &h.rows[k]
	if r.used {
		// Ties go to the lower number, so that the order of the nodes does not matter.
		if p.lon < r.west || p.lon == r.west && p.lat < r.westLat {
			r.west, r.westLat = p.lon, p.lat
		}
		if p.lon > r.east || p.lon == r.east && p.lat < r.eastLat {
			r.east, r.eastLat = p.lon, p.lat
		}
		if p.lat < r.south || p.lat == r.south && p.lon < r.southLon {
			r.south, r.southLon = p.lat, p.lon
		}
		if p.lat > r.north || p.lat == r.north && p.lon < r.northLon {
			r.north, r.northLon = p.lat, p.lon
		}
		return
	}
	h.lo, h.hi = min(h.lo, k), max(h.hi, k)
	*r = hullRow{true, p.lon, p.lon, p.lat, p.lat, p.lat, p.lat, p.lon, p.lon}
}

// join adds the extremes of another set of rows.
func (h *hullRows) join(o *hullRows) {
	for k := o.lo; k <= o.hi && o.rows != nil; k++ {
		if r := o.rows[k]; r.used {
			h.add(e7{r.west, r.westLat})
			h.add(e7{r.east, r.eastLat})
			h.add(e7{r.southLon, r.south})
			h.add(e7{r.northLon, r.north})
		}
	}
}

// box is the extent of the nodes, empty when there was none.
func (h *hullRows) box() orb.Bound {
	b := orb.Bound{Min: orb.Point{1, 1}, Max: orb.Point{-1, -1}}
	for k := h.lo; k <= h.hi && h.rows != nil; k++ {
		if r := h.rows[k]; r.used {
			for _, p := range [...]e7{{r.west, r.westLat}, {r.east, r.eastLat}, {r.southLon, r.south}, {r.northLon, r.north}} {
				if q := p.point(); b.IsEmpty() {
					b = orb.Bound{Min: q, Max: q}
				} else {
					b = b.Extend(q)
				}
			}
		}
	}
	return b
}

// ring is the convex outline, closed and anticlockwise; nil when there were no three corners.
// Andrew's monotone chain over the extremes of the rows.
func (h *hullRows) ring() orb.Ring {
	var pts []orb.Point // by latitude, then longitude
	for k := h.lo; k <= h.hi && h.rows != nil; k++ {
		if r := h.rows[k]; r.used {
			pts = append(pts, e7{r.west, r.westLat}.point(), e7{r.east, r.eastLat}.point(),
				e7{r.southLon, r.south}.point(), e7{r.northLon, r.north}.point())
		}
	}
	return convexHull(pts)
}

// Covers reports whether the data of the region reach p: it lies within the corridor, the box and
// the convex outline of the file's nodes, or within a kilometre of that outline. Where an extract's
// border is not convex it may say yes for a place just beyond the border.
func (r *Region) Covers(p orb.Point) bool {
	if len(r.Outline) == 0 || !(math.Abs(p[1]) <= geo.MaxLat && math.Abs(p[0]) <= 360) || !r.kept.has(p[0], p[1]) {
		return false
	}
	const slackM = 1000 // judgement: nodes lie closer than this along any mapped border
	for _, ring := range r.Outline {
		if inOrNear(ring, p, slackM) {
			return true
		}
	}
	return false
}

// inOrNear reports whether p lies within a convex anticlockwise ring or at most slack metres out.
func inOrNear(ring orb.Ring, p orb.Point, slackM float64) bool {
	plane := geo.NewPlane(p)
	for i := 1; i < len(ring); i++ {
		ax, ay := plane.ToXY(ring[i-1])
		bx, by := plane.ToXY(ring[i])
		l := math.Hypot(bx-ax, by-ay)
		if l > 0 && ((bx-ax)*-ay-(by-ay)*-ax)/l < -slackM {
			return false
		}
	}
	return true
}
