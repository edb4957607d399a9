package osm

import (
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/clip"

	"lastroad/geo"
)

// hullRows keeps, for every twentieth of a degree of latitude and each side of the meridian of Greenwich,
// the westernmost and easternmost node: enough for the convex outline of a file, whether it lies across
// Greenwich, across the antimeridian or neither, at the cost of two comparisons a node.
type hullRows struct{ west, east hullHalf }

func (h *hullRows) add(p e7) {
	if p.lon < 0 {
		h.west.add(p)
	} else {
		h.east.add(p)
	}
}

func (h *hullRows) join(o *hullRows) {
	h.west.join(&o.west)
	h.east.join(&o.east)
}

// box is the extent of the nodes, empty when there was none. Across the antimeridian it spans the globe.
func (h *hullRows) box() orb.Bound {
	w, e := h.west.box(), h.east.box()
	switch {
	case w.IsEmpty():
		return e
	case e.IsEmpty():
		return w
	}
	return w.Union(e)
}

// rings is the convex outline of the nodes; in two parts that meet on the antimeridian for a file that
// lies across it.
func (h *hullRows) rings() []orb.Ring {
	west, east := h.west.points(), h.east.points()
	if w, e := h.west.box(), h.east.box(); !w.IsEmpty() && !e.IsEmpty() && 360-e.Max[0]+w.Min[0] < e.Min[0]-w.Max[0] {
		// The two parts reach to the antimeridian wherever one of them has nodes.
		south, north := min(w.Min[1], e.Min[1]), max(w.Max[1], e.Max[1])
		west = append(west, orb.Point{-180, south}, orb.Point{-180, north})
		east = append(east, orb.Point{180, south}, orb.Point{180, north})
	} else {
		west, east = append(west, east...), nil
	}
	var out []orb.Ring
	for _, pts := range [...][]orb.Point{west, east} {
		if ring := convexHull(pts); ring != nil {
			out = append(out, ring)
		}
	}
	return out
}

// hullHalf is one side of hullRows.
type hullHalf struct {
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

func (h *hullHalf) add(p e7) {
	if h.rows == nil {
		h.rows = make([]hullRow, hullCount)
		h.lo, h.hi = hullCount, -1
	}
	k := int(uint32(p.lat+900_000_000) / hullStep)
	r := &h.rows[k]
	if p.lon > r.west && p.lon < r.east && p.lat > r.south && p.lat < r.north { // nearly always, and never in an unused row
		return
	}
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
func (h *hullHalf) join(o *hullHalf) {
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
func (h *hullHalf) box() orb.Bound {
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

// points are the extremes of the rows.
func (h *hullHalf) points() []orb.Point {
	var pts []orb.Point // by latitude, then longitude
	for k := h.lo; k <= h.hi && h.rows != nil; k++ {
		if r := h.rows[k]; r.used {
			pts = append(pts, e7{r.west, r.westLat}.point(), e7{r.east, r.eastLat}.point(),
				e7{r.southLon, r.south}.point(), e7{r.northLon, r.north}.point())
		}
	}
	return pts
}

// declaredPart cuts the outline to the box that a file declares: most extracts keep ways whole, so that their nodes
// reach far beyond the land that was cut out. A box that holds none of the outline is an error of the file and
// changes nothing.
func declaredPart(rings []orb.Ring, box orb.Bound) []orb.Ring {
	var out []orb.Ring
	for _, ring := range rings {
		part := clip.Ring(box, ring.Clone())
		for i, p := range part { // to the places that a file can hold
			part[i] = orb.Point{math.Round(p[0]*1e7) / 1e7, math.Round(p[1]*1e7) / 1e7}
		}
		if part = convexHull(part); part != nil {
			out = append(out, part)
		}
	}
	if out == nil {
		return rings
	}
	return out
}

// Covers reports whether the data of the region reach p: it lies within the corridor, the box that the file
// declares and the convex outline of the file's nodes, or within a kilometre of that outline. Where an extract's
// border is not convex it may say yes for a place just beyond the border.
func (r *Region) Covers(p orb.Point) bool {
	if len(r.Outline) == 0 || !(math.Abs(p[1]) <= geo.MaxLat && math.Abs(p[0]) <= 360) || !r.kept.has(p[0], p[1]) {
		return false
	}
	if d := r.Declared; d.Max[0] > d.Min[0] && d.Max[1] > d.Min[1] && d.Intersects(r.Box) && !d.Contains(orb.Point{geo.WrapLon(p[0]), p[1]}) {
		return false // the data were cut there
	}
	const slackM = 1000 // judgement: nodes lie closer than this along any mapped border
	for _, ring := range r.Outline {
		if inOrNear(ring, p, slackM) {
			return true
		}
	}
	return false
}

// inOrNear reports whether p lies within a convex anticlockwise ring or at most slack metres out. Within is
// told in degrees, in which the ring is convex however large it is; the distance beside p.
func inOrNear(ring orb.Ring, p orb.Point, slackM float64) bool {
	p[0] = geo.WrapLon(p[0])
	within := true
	for i := 1; i < len(ring) && within; i++ {
		a, b := ring[i-1], ring[i]
		within = (b[0]-a[0])*(p[1]-a[1])-(b[1]-a[1])*(p[0]-a[0]) >= 0
	}
	if within {
		return true
	}
	m, n := geo.Radii(p[1])
	my := m * math.Pi / 180
	mx := n * math.Pi / 180 * math.Cos(p[1]*math.Pi/180)
	for i := 1; i < len(ring); i++ {
		ax, ay := (ring[i-1][0]-p[0])*mx, (ring[i-1][1]-p[1])*my
		dx, dy := (ring[i][0]-ring[i-1][0])*mx, (ring[i][1]-ring[i-1][1])*my
		t := 0.0
		if l2 := dx*dx + dy*dy; l2 > 0 {
			t = math.Min(1, math.Max(0, -(ax*dx+ay*dy)/l2))
		}
		if math.Hypot(ax+t*dx, ay+t*dy) <= slackM {
			return true
		}
	}
	return false
}
