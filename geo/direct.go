package geo

import (
	"math"

	"github.com/paulmach/orb"
)

// Destination is the point reached from a by following the geodesic that leaves with the given
// bearing (degrees clockwise from north) for the given length in metres, by Vincenty's direct formula
// (Survey Review 23, no. 176, 1975; 0.1 mm). The longitude lies in [-180, 180). A negative length goes
// backwards; NaN in gives NaN out.
func Destination(a orb.Point, bearingDeg, lengthM float64) orb.Point {
	if !(math.Abs(a[1]) <= 90) || math.IsInf(bearingDeg, 0) || math.IsInf(lengthM, 0) {
		return orb.Point{math.NaN(), math.NaN()}
	}
	sa1, ca1 := math.Sincos(math.Mod(bearingDeg, 360) * radian)
	su1, cu1 := reduced(a[1])
	sigma1 := math.Atan2(su1, cu1*ca1)
	sinA := cu1 * sa1
	cos2A := (1 - sinA) * (1 + sinA)
	u2 := cos2A * earthP2
	ka := 1 + u2/16384*(4096+u2*(-768+u2*(320-175*u2)))
	kb := u2 / 1024 * (256 + u2*(-128+u2*(74-47*u2)))
	base := lengthM / (earthB * ka)
	sigma := base
	var sinS, cosS, cos2M float64
	for range 20 {
		sinS, cosS = math.Sincos(sigma)
		cos2M = math.Cos(2*sigma1 + sigma)
		ds := kb * sinS * (cos2M + kb/4*(cosS*(2*cos2M*cos2M-1)-
			kb/6*cos2M*(4*sinS*sinS-3)*(4*cos2M*cos2M-3)))
		if next := base + ds; math.Abs(next-sigma) < 1e-15 {
			break
		} else {
			sigma = next
		}
	}
	q := su1*sinS - cu1*cosS*ca1
	lat := math.Atan2(su1*cosS+cu1*sinS*ca1, (1-earthF)*math.Hypot(sinA, q))
	lambda := math.Atan2(sinS*sa1, cu1*cosS-su1*sinS*ca1)
	c := earthF / 16 * cos2A * (4 + earthF*(4-3*cos2A))
	l := lambda - (1-c)*earthF*sinA*(sigma+c*sinS*(cos2M+c*cosS*(2*cos2M*cos2M-1)))
	return orb.Point{WrapLon(a[0] + l/radian), lat / radian}
}
