package geo

import (
	"math"

	"github.com/paulmach/orb"
)

// MaxLat is the highest latitude, north or south, in which routes are measured, in degrees: nearer to
// the poles no road leads, and local planes and grids of longitude and latitude lose their sense.
const MaxLat = 85.0

// Plane is a local plane in metres that touches the ellipsoid at an origin, x to the east and y to the
// north there. It keeps angles: around any place it is a true picture, only enlarged by [Plane.Scale],
// which grows with the square of the distance r from the origin, the same in all directions:
// 1 + r^2/(4 M N) with the two radii of curvature M and N of the ellipsoid at the origin. So the
// nearest of several roads on the plane is the nearest on the ground, and a distance d on the plane is
// d/Scale(middle) on the ground. Measured against geodesics (see the tests), pairs up to 50 km apart:
//
//	distance from the origin      50 km    100 km    300 km   1000 km
//	plane distance too long by    16 ppm    61 ppm   560 ppm  0.75 %
//	left after dividing by Scale   2 ppm     2 ppm     4 ppm  0.25 %
//
// It crosses the antimeridian without a seam and is meant for up to 2 500 km around the origin. The
// shown figure of a long distance should be [Distance]'s. The zero value is not usable.
type Plane struct {
	origin orb.Point
	q0     float64    // isometric latitude of the origin
	c      [4]float64 // metres; see ToXY
	curve  float64    // 1/(4 M N)
}

// NewPlane lays a plane at an origin within [MaxLat] of the equator; it panics beyond or for NaN, since
// routes there are refused on reading.
func NewPlane(origin orb.Point) Plane {
	if !(math.Abs(origin[1]) <= MaxLat) || math.IsNaN(origin[0]) {
		panic("geo: no local plane at the poles or for an unknown origin")
	}
	// With q the isometric latitude, dq = M dphi / (N cos phi), and l the longitude from the origin, every
	// analytic function f of q + i l keeps angles (Gauss). Its derivative along the meridian must be the
	// radius P = N cos phi of the parallel times the wanted enlargement 1 + y^2/(4 M N), y being the
	// meridian arc. The first four coefficients of f follow by differentiating that product at the
	// origin with dP/dq = -P sin phi, dphi/dq = P/M, dy/dq = P.
	s, c := math.Sincos(origin[1] * radian)
	m, n := Radii(origin[1])
	w2 := 1 - earthE2*s*s
	p := n * c
	p1 := -p * s
	p2 := p*s*s - p*p*c/m
	mq := 3 * m * earthE2 * s * c / w2 * p / m // dM/dq
	p3 := p1*s*s + 2*p*p*s*c/m - 2*p*p1*c/m + p*p*p*s/(m*m) + p*p*c*mq/(m*m)
	return Plane{origin: origin, q0: isometric(s), curve: 1 / (4 * m * n), c: [4]float64{
		p, p1 / 2, (p2 + p*p*p/(2*m*n)) / 6, (p3 + 3*p*p*p1/(m*n)) / 24}}
}

// isometric is the isometric latitude of the latitude with the given sine.
func isometric(s float64) float64 {
	// The second term is e atanh(e s) as a series; e^10 / 9 is 4e-12.
	v := earthE2 * s * s
	return 0.5*math.Log((1+s)/(1-s)) - earthE2*s*(1+v*(1.0/3+v*(1.0/5+v*(1.0/7))))
}

// Origin is the point at which the plane touches.
func (p Plane) Origin() orb.Point { return p.origin }

// ToXY gives the place of a point on the plane in metres; NaN for NaN.
func (p Plane) ToXY(q orb.Point) (x, y float64) {
	u := isometric(math.Sin(q[1]*radian)) - p.q0
	v := LonDiff(p.origin[0], q[0]) * radian
	// y + i x = c0 z + c1 z^2 + c2 z^3 + c3 z^4 with z = u + i v, by Horner.
	re, im := p.c[3], 0.0
	for k := 2; k >= 0; k-- {
		re, im = re*u-im*v+p.c[k], re*v+im*u
	}
	return re*v + im*u, re*u - im*v
}

// FromXY is the inverse of ToXY, within a micrometre up to 2 500 km from the origin. The longitude lies
// in [-180, 180).
func (p Plane) FromXY(x, y float64) orb.Point {
	z, want := complex(y/p.c[0], x/p.c[0]), complex(y, x)
	c0, c1, c2, c3 := complex(p.c[0], 0), complex(p.c[1], 0), complex(p.c[2], 0), complex(p.c[3], 0)
	for range 12 {
		f := ((c3*z+c2)*z+c1)*z + c0
		d := ((4*c3*z+3*c2)*z+2*c1)*z + c0
		step := (f*z - want) / d
		z -= step
		if a := math.Abs(real(step)) + math.Abs(imag(step)); !(a > 1e-15) {
			break
		}
	}
	q := real(z) + p.q0
	// The latitude whose isometric latitude is q: the sphere's, then Newton.
	s := math.Tanh(q)
	for range 5 {
		d := (isometric(s) - q) * (1 - s*s) * (1 - earthE2*s*s) / (1 - earthE2)
		s -= d
		if !(math.Abs(d) > 1e-16) {
			break
		}
	}
	return orb.Point{WrapLon(p.origin[0] + imag(z)/radian), math.Asin(s) / radian}
}

// Scale is the enlargement of the plane at a place on it.
func (p Plane) Scale(x, y float64) float64 { return 1 + (x*x+y*y)*p.curve }
