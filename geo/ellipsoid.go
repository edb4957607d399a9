package geo

import "math"

// The WGS84 ellipsoid (NGA.STND.0036, table 3.1): semi-major axis in metres and flattening.
const (
	earthA  = 6378137.0
	earthF  = 1 / 298.257223563
	earthB  = earthA * (1 - earthF)
	earthE2 = earthF * (2 - earthF)                   // first eccentricity squared
	earthP2 = earthE2 / ((1 - earthF) * (1 - earthF)) // second eccentricity squared
	// earthR is the mean radius (2a+b)/3, used only in correction terms where its choice does not matter.
	earthR = (2*earthA + earthB) / 3

	radian = math.Pi / 180
)

// Radii gives the two radii of curvature of the WGS84 ellipsoid at a latitude in degrees, in metres:
// meridian along the north-south line, normal across it. NaN for NaN.
func Radii(latDeg float64) (meridian, normal float64) {
	s := math.Sin(latDeg * radian)
	w2 := 1 - earthE2*s*s
	normal = earthA / math.Sqrt(w2)
	return normal * (1 - earthE2) / w2, normal
}

// WrapLon brings a longitude in degrees into [-180, 180). NaN and infinities give NaN.
func WrapLon(lon float64) float64 {
	if lon >= -180 && lon < 180 {
		return lon
	}
	l := math.Mod(lon+180, 360)
	if l < 0 {
		l += 360
	}
	if l >= 360 { // a tiny negative remainder rounds up to 360
		l = 0
	}
	return l - 180
}

// LonDiff is the longitude of b minus that of a in degrees by the shorter way round, in [-180, 180]:
// LonDiff(179, -179) is 2. It is exact where the plain difference already lies in that range.
func LonDiff(a, b float64) float64 {
	d := b - a
	if d >= -180 && d <= 180 {
		return d
	}
	return WrapLon(d)
}

// A degree of longitude and of latitude shrink and grow with latitude. The table below holds both,
// in metres a degree, as cubics over steps of half a degree of latitude (Hermite form, from the
// exact value and slope at both ends), so that a long line costs no sine or cosine a point. The
// error of a cubic is at most h^4/384 times the fourth derivative: 2e-11 of a degree's length.
const (
	scaleStep = 0.5
	scaleRows = int(90/scaleStep) + 1
)

// scaleRow is a cubic in t = 0..1 over the step: lon and lat in metres a degree.
type scaleRow struct{ lon, lat [4]float64 }

var scaleTable = buildScaleTable()

func buildScaleTable() *[scaleRows]scaleRow {
	// at returns metres a degree of longitude and latitude, and their change a step of latitude.
	at := func(latDeg float64) (lon, dlon, lat, dlat float64) {
		s, c := math.Sincos(latDeg * radian)
		m, n := Radii(latDeg)
		step := scaleStep * radian
		w2 := 1 - earthE2*s*s
		return n * c * radian, -m * s * radian * step, m * radian, 3 * m * earthE2 * s * c / w2 * radian * step
	}
	hermite := func(p0, d0, p1, d1 float64) [4]float64 {
		return [4]float64{p0, d0, 3*(p1-p0) - 2*d0 - d1, 2*(p0-p1) + d0 + d1}
	}
	var t [scaleRows]scaleRow
	for i := range t {
		x0, dx0, y0, dy0 := at(float64(i) * scaleStep)
		x1, dx1, y1, dy1 := at(float64(i+1) * scaleStep)
		t[i] = scaleRow{hermite(x0, dx0, x1, dx1), hermite(y0, dy0, y1, dy1)}
	}
	return &t
}

// scales gives metres a degree of longitude and of latitude at a latitude of -90..90 degrees.
func scales(latDeg float64) (lon, lat float64) {
	u := math.Abs(latDeg) * (1 / scaleStep)
	i := int(u)
	if uint(i) >= uint(scaleRows) { // beyond the pole or NaN
		return math.NaN(), math.NaN()
	}
	t := u - float64(i)
	r := &scaleTable[i]
	lon = r.lon[0] + t*(r.lon[1]+t*(r.lon[2]+t*r.lon[3]))
	lat = r.lat[0] + t*(r.lat[1]+t*(r.lat[2]+t*r.lat[3]))
	return lon, lat
}
