package geo

import "math"

// The transverse Mercator projection by the series of Krueger (Konforme Abbildung des Erdellipsoids in
// der Ebene, 1912) to the sixth order in the third flattening n, with the coefficients as given by
// Karney, J. Geodesy 85 (2011), eqs. 35 and 36: a nanometre within a zone.

const kruegerN = earthF / (2 - earthF)

var (
	kruegerA = earthA / (1 + kruegerN) * poly(kruegerN, 1, 0, 1.0/4, 0, 1.0/64, 0, 1.0/256)
	// kruegerTo are alpha_1..6, kruegerBack beta_1..6.
	kruegerTo = [6]float64{
		poly(kruegerN, 0, 1.0/2, -2.0/3, 5.0/16, 41.0/180, -127.0/288, 7891.0/37800),
		poly(kruegerN, 0, 0, 13.0/48, -3.0/5, 557.0/1440, 281.0/630, -1983433.0/1935360),
		poly(kruegerN, 0, 0, 0, 61.0/240, -103.0/140, 15061.0/26880, 167603.0/181440),
		poly(kruegerN, 0, 0, 0, 0, 49561.0/161280, -179.0/168, 6601661.0/7257600),
		poly(kruegerN, 0, 0, 0, 0, 0, 34729.0/80640, -3418889.0/1995840),
		poly(kruegerN, 0, 0, 0, 0, 0, 0, 212378941.0/319334400),
	}
	kruegerBack = [6]float64{
		poly(kruegerN, 0, 1.0/2, -2.0/3, 37.0/96, -1.0/360, -81.0/512, 96199.0/604800),
		poly(kruegerN, 0, 0, 1.0/48, 1.0/15, -437.0/1440, 46.0/105, -1118711.0/3870720),
		poly(kruegerN, 0, 0, 0, 17.0/480, -37.0/840, -209.0/4480, 5569.0/90720),
		poly(kruegerN, 0, 0, 0, 0, 4397.0/161280, -11.0/504, -830251.0/7257600),
		poly(kruegerN, 0, 0, 0, 0, 0, 4583.0/161280, -108847.0/3991680),
		poly(kruegerN, 0, 0, 0, 0, 0, 0, 20648693.0/638668800),
	}
)

// poly is c0 + c1 x + c2 x^2 + ...
func poly(x float64, c ...float64) float64 {
	s := 0.0
	for i := len(c) - 1; i >= 0; i-- {
		s = s*x + c[i]
	}
	return s
}

// transverse projects a latitude and a longitude from the central meridian, both in degrees, to
// metres east of that meridian and north of the equator, scale 1 on the meridian.
func transverse(latDeg, lonDeg float64) (x, y float64) {
	e := math.Sqrt(earthE2)
	sl, cl := math.Sincos(lonDeg * radian)
	tau := math.Tan(latDeg * radian)
	sec := math.Hypot(1, tau)
	sig := math.Sinh(e * math.Atanh(e*tau/sec))
	tp := tau*math.Hypot(1, sig) - sig*sec // tangent of the conformal latitude
	xi, eta := math.Atan2(tp, cl), math.Asinh(sl/math.Hypot(tp, cl))
	x, y = eta, xi
	for i, a := range kruegerTo {
		k := float64(2 * (i + 1))
		s, c := math.Sincos(k * xi)
		y += a * s * math.Cosh(k*eta)
		x += a * c * math.Sinh(k*eta)
	}
	return x * kruegerA, y * kruegerA
}

// untransverse is the inverse of transverse.
func untransverse(x, y float64) (latDeg, lonDeg float64) {
	xi0, eta0 := y/kruegerA, x/kruegerA
	xi, eta := xi0, eta0
	for i, b := range kruegerBack {
		k := float64(2 * (i + 1))
		s, c := math.Sincos(k * xi0)
		xi -= b * s * math.Cosh(k*eta0)
		eta -= b * c * math.Sinh(k*eta0)
	}
	s, c := math.Sincos(xi)
	sh := math.Sinh(eta)
	tp := s / math.Hypot(sh, c)
	// Newton on the tangent of the latitude (Karney 2011, eqs. 19 to 21); two rounds reach full precision.
	e := math.Sqrt(earthE2)
	tau := tp
	for range 5 {
		sec := math.Hypot(1, tau)
		sig := math.Sinh(e * math.Atanh(e*tau/sec))
		t := tau*math.Hypot(1, sig) - sig*sec
		d := (tp - t) / math.Hypot(1, t) * (1 + (1-earthE2)*tau*tau) / ((1 - earthE2) * sec)
		tau += d
		if math.Abs(d) <= 1e-15*math.Max(1, math.Abs(tau)) {
			break
		}
	}
	return math.Atan(tau) / radian, math.Atan2(sh, c) / radian
}
