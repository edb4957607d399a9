package geo

import (
	"math"

	"github.com/paulmach/orb"
)

// Distances are lengths of geodesics on the WGS84 ellipsoid, found in three ways by the length at hand:
//
//   - up to about 20 km by the mid-latitude formula of Gauss: the two radii of curvature at the middle
//     latitude with the third-order terms that the identities of Delambre give on the sphere; what is
//     left is of the order of flattening times length cubed (below 2e-8 of the length up to 75 degrees
//     of latitude, and 2e-7 up to 85);
//   - beyond by Vincenty's iteration (Survey Review 23, no. 176, 1975), good to 0.1 mm;
//   - between nearly opposite points, where that iteration does not settle, by bisection on the azimuth
//     with the longitude and length integrals done by quadrature (antipode.go).

// nearDeg is the largest difference of latitude, and of longitude seen along the parallel, for the
// mid-latitude formula, in degrees; nearLat the highest latitude for it.
const (
	nearDeg = 0.15
	nearLat = 85
)

// Distance is the length of the geodesic between two points on the WGS84 ellipsoid in metres, within
// 1e-6 of the truth relatively (in practice within a millimetre), for any two points, opposite ones
// included. NaN when a coordinate is NaN or infinite or a latitude lies outside -90..90 degrees.
func Distance(a, b orb.Point) float64 {
	dlon, dlat, mid := LonDiff(a[0], b[0]), b[1]-a[1], (a[1]+b[1])/2
	if math.Abs(dlat) <= nearDeg && math.Abs(mid) < nearLat {
		if mx, my := scales(mid); math.Abs(dlon)*mx <= nearDeg*my {
			return midLatitude(dlon, dlat, mx, my)
		}
	}
	s, _, _ := inverse(a, b)
	return s
}

// Bearing is the direction in which the geodesic from a to b leaves a, in degrees clockwise from
// north, 0 <= bearing < 360. It is 0 for two equal points, and NaN as for [Distance].
func Bearing(a, b orb.Point) float64 {
	_, az, _ := inverse(a, b)
	return compass(az)
}

// compass brings an azimuth in radians to 0 <= degrees < 360.
func compass(az float64) float64 {
	d := az / radian
	if d < 0 {
		d += 360
	}
	if d >= 360 {
		d = 0
	}
	return d
}

// Length is the length of a line on the WGS84 ellipsoid in metres, the sum of [Distance] over its
// steps; 0 for a line of fewer than two points.
func Length(line orb.LineString) float64 {
	sum := 0.0
	for i := 1; i < len(line); i++ {
		sum += Distance(line[i-1], line[i])
	}
	return sum
}

// Cumulative gives for every point of a line its distance in metres along the line from its first
// point. It appends to dst, which may be nil.
func Cumulative(dst []float64, line orb.LineString) []float64 {
	if len(line) == 0 {
		return dst
	}
	sum := 0.0
	dst = append(dst, 0)
	for i := 1; i < len(line); i++ {
		sum += Distance(line[i-1], line[i])
		dst = append(dst, sum)
	}
	return dst
}

// midLatitude is the length of a short geodesic from its differences of longitude and latitude in
// degrees and the metres a degree at its middle latitude.
func midLatitude(dlon, dlat, mx, my float64) float64 {
	// On the sphere sin^2(s/2) = cos^2(mid) sin^2(dlon/2) + sin^2(dlat/2) cos^2(dlon/2) exactly;
	// the sines are developed to third order and the radii of the ellipsoid put in.
	u, v := dlon*dlon*(radian*radian), dlat*dlat*(radian*radian)
	x := mx * dlon * (1 - u*(1.0/24))
	y := my * dlat * (1 - v*(1.0/24) - u*(1.0/8))
	d2 := x*x + y*y
	return math.Sqrt(d2) * (1 + d2*(1/(24*earthR*earthR)))
}

// inverse solves the inverse problem: length in metres and the azimuths in radians (-pi..pi) at both
// ends, both pointing from a to b. All NaN for coordinates that are none.
func inverse(a, b orb.Point) (s, az1, az2 float64) {
	nan := math.NaN()
	if !(math.Abs(a[1]) <= 90 && math.Abs(b[1]) <= 90) {
		return nan, nan, nan
	}
	dlon := LonDiff(a[0], b[0])
	if math.IsNaN(dlon) {
		return nan, nan, nan
	}
	su1, cu1 := reduced(a[1])
	su2, cu2 := reduced(b[1])
	s, az1, az2, ok := vincenty(su1, cu1, su2, cu2, dlon*radian)
	if !ok {
		s, az1, az2 = opposite(su1, cu1, su2, cu2, dlon*radian)
	}
	return s, az1, az2
}

// reduced gives sine and cosine of the reduced latitude.
func reduced(latDeg float64) (sin, cos float64) {
	s, c := math.Sincos(latDeg * radian)
	if math.Abs(latDeg) == 90 {
		c = 0
	}
	s *= 1 - earthF
	h := math.Hypot(s, c)
	return s / h, c / h
}

// vincenty iterates the longitude on the auxiliary sphere. ok is false where the points are so nearly
// opposite (within about 3 degrees) that the iteration may wander.
func vincenty(su1, cu1, su2, cu2, dlon float64) (s, az1, az2 float64, ok bool) {
	lambda := dlon
	for range 100 {
		sl, cl := math.Sincos(lambda)
		p, q := cu2*sl, cu1*su2-su1*cu2*cl
		sinS, cosS := math.Hypot(p, q), su1*su2+cu1*cu2*cl
		if sinS == 0 && cosS > 0 {
			return 0, 0, 0, true
		}
		if cosS < -0.9986 { // cosine of 177 degrees
			return 0, 0, 0, false
		}
		sigma := math.Atan2(sinS, cosS)
		sinA := cu1 * cu2 * sl / sinS
		cos2A := 1 - sinA*sinA
		cos2M := 0.0 // along the equator
		if cos2A > 1e-15 {
			cos2M = cosS - 2*su1*su2/cos2A
		}
		c := earthF / 16 * cos2A * (4 + earthF*(4-3*cos2A))
		next := dlon + (1-c)*earthF*sinA*(sigma+c*sinS*(cos2M+c*cosS*(2*cos2M*cos2M-1)))
		if done := math.Abs(next-lambda) < 1e-14; !done {
			lambda = next
			continue
		}
		u2 := cos2A * earthP2
		ka := 1 + u2/16384*(4096+u2*(-768+u2*(320-175*u2)))
		kb := u2 / 1024 * (256 + u2*(-128+u2*(74-47*u2)))
		ds := kb * sinS * (cos2M + kb/4*(cosS*(2*cos2M*cos2M-1)-
			kb/6*cos2M*(4*sinS*sinS-3)*(4*cos2M*cos2M-3)))
		return earthB * ka * (sigma - ds), math.Atan2(p, q), math.Atan2(cu1*sl, cu1*su2*cl-su1*cu2), true
	}
	return 0, 0, 0, false
}
