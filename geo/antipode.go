package geo

import "math"

// opposite solves the inverse problem where Vincenty's iteration fails: between points nearly on
// opposite sides of the earth. Bring the points into the order |lat1| >= |lat2|, lat1 <= 0, longitude
// difference 0..pi; then the difference in longitude reached at the second latitude grows with the
// azimuth at the first (Karney, J. Geodesy 87, 2013, section 4), so the azimuth is found by bisection.
// Longitude and length are the integrals of Bessel over the arc of the auxiliary sphere, done with
// Gauss's rule, so nothing is truncated. It takes some tens of microseconds.
func opposite(su1, cu1, su2, cu2, dlon float64) (s, az1, az2 float64) {
	west := dlon < 0
	dlon = math.Abs(dlon)
	swap := math.Abs(su1) < math.Abs(su2)
	if swap {
		su1, cu1, su2, cu2 = su2, cu2, su1, cu1
	}
	flip := su1 > 0
	if flip {
		su1, su2 = -su1, -su2
	}
	su1 = -math.Abs(su1) // makes a zero negative: the start is on the southern side of the equator
	if su1 == 0 {
		su2 = math.Abs(su2)
	}

	lo, hi := 0.0, math.Pi
	if su1 == 0 && su2 == 0 {
		if dlon <= math.Pi*(1-earthF) { // the equator itself is the shortest path
			az := math.Pi / 2
			if west {
				az = -az
			}
			return earthA * dlon, az, az
		}
		// Beyond its reach the path leaves it, southward for the search; of the two mirrored answers the
		// northern one is given, as GeographicLib does.
		lo, flip = math.Pi/2, true
	}
	for range 64 {
		mid := (lo + hi) / 2
		if mid == lo || mid == hi {
			break
		}
		if g := arcFrom(mid, su1, cu1, su2, cu2); g.dlon < dlon {
			lo = mid
		} else {
			hi = mid
		}
	}
	g := arcFrom((lo+hi)/2, su1, cu1, su2, cu2)
	s, az1, az2 = g.s, (lo+hi)/2, g.az2

	// The order of the points is undone backwards.
	if flip {
		az1, az2 = math.Pi-az1, math.Pi-az2
	}
	if swap {
		az1, az2 = math.Pi-az2, math.Pi-az1
	}
	if west {
		az1, az2 = -az1, -az2
	}
	return s, az1, az2
}

// arc is what a geodesic reaches: its longitude difference and end azimuth in radians and its length in metres.
type arc struct{ dlon, az2, s float64 }

// arcFrom follows the geodesic that leaves the first reduced latitude with azimuth az to where it
// meets the second northward.
func arcFrom(az, su1, cu1, su2, cu2 float64) arc {
	sa1, ca1 := math.Sincos(az)
	sa0, ca0 := sa1*cu1, math.Hypot(ca1, sa1*su1)
	sa2, ca2 := 1.0, 0.0
	if cu2 > 0 {
		sa2 = math.Min(sa0/cu2, 1)
		ca2 = math.Sqrt(math.Max(0, ca1*ca1*cu1*cu1+(su1-su2)*(su1+su2))) / cu2
	}
	sig1, sig2 := math.Atan2(su1, ca1*cu1), math.Atan2(su2, ca2*cu2)
	om1, om2 := math.Atan2(sa0*su1, ca1*cu1), math.Atan2(sa0*su2, ca2*cu2)
	k2 := earthP2 * ca0 * ca0
	var is, il float64
	half, mid := (sig2-sig1)/2, (sig2+sig1)/2
	for i, x := range gaussX {
		for _, t := range [2]float64{mid - half*x, mid + half*x} {
			sn := math.Sin(t)
			r := math.Sqrt(1 + k2*sn*sn)
			is += gaussW[i] * r
			il += gaussW[i] * (2 - earthF) / (1 + (1-earthF)*r)
		}
	}
	return arc{dlon: (om2 - om1) - earthF*sa0*half*il, az2: math.Atan2(sa2, ca2), s: earthB * half * is}
}

// gaussX and gaussW are the positive nodes and weights of the 20-point rule of Gauss and Legendre,
// computed by Newton's method on the Legendre recurrence.
var gaussX, gaussW = gauss20()

func gauss20() (x, w [10]float64) {
	const n = 20
	for i := range x {
		z := math.Cos(math.Pi * (float64(i) + 0.75) / (n + 0.5))
		var slope float64
		for range 10 {
			p0, p1 := 1.0, z
			for k := 2; k <= n; k++ {
				p0, p1 = p1, (float64(2*k-1)*z*p1-float64(k-1)*p0)/float64(k)
			}
			slope = n * (z*p1 - p0) / (z*z - 1)
			z -= p1 / slope
		}
		x[i], w[i] = z, 2/((1-z*z)*slope*slope)
	}
	return x, w
}
