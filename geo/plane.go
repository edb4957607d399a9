package geo

import (
	"math"

	"github.com/paulmach/orb"
)

// Plane is a local plane in metres touching the ellipsoid at an origin, x to the east and y to the
// north, with the ellipsoid's two radii of curvature there. It crosses the antimeridian without a
// seam. The zero value is not usable.
type Plane struct {
	origin orb.Point
	mx, my float64 // metres a degree
}

// NewPlane lays a plane at an origin within 85 degrees of the equator; it panics beyond or for NaN,
// since routes there are refused on reading.
func NewPlane(origin orb.Point) Plane {
	if !(math.Abs(origin[1]) <= MaxLat) || math.IsNaN(origin[0]) {
		panic("geo: no local plane at the poles or for an unknown origin")
	}
	mx, my := scales(origin[1])
	return Plane{origin: origin, mx: mx, my: my}
}

// MaxLat is the highest latitude, north or south, in which routes are measured, in degrees: nearer to
// the poles no road leads, and local planes and grids of longitude and latitude lose their sense.
const MaxLat = 85.0

// Origin is the point at which the plane touches.
func (p Plane) Origin() orb.Point { return p.origin }

// ToXY gives the place of a point on the plane in metres.
func (p Plane) ToXY(q orb.Point) (x, y float64) {
	return LonDiff(p.origin[0], q[0]) * p.mx, (q[1] - p.origin[1]) * p.my
}

// FromXY is the inverse of ToXY.
func (p Plane) FromXY(x, y float64) orb.Point {
	return orb.Point{WrapLon(p.origin[0] + x/p.mx), p.origin[1] + y/p.my}
}
