package geo

import (
	"math"

	"github.com/paulmach/orb"
)

// meter measures the steps of a line one after another. Near the latitude of the last step the lengths of
// a degree are taken to change evenly, which is right to 4e-9 within half a minute of latitude.
type meter struct {
	near                   float64 // the latitude; no step is near NaN
	lon, lonBy, lat, latBy float64 // metres a degree there, and their change a degree of latitude
}

// nearBy is how far from meter.near the even change is used, in degrees of latitude.
const nearBy = 0.005

// length is Distance with the common short step done first.
func (m *meter) length(a, b orb.Point) float64 {
	dlon, dlat, off := b[0]-a[0], b[1]-a[1], (a[1]+b[1])/2-m.near
	// Below 1.1 km the third-order terms are under 1e-7 of the length.
	if math.Abs(dlon) < 0.01 && math.Abs(dlat) < 0.01 && math.Abs(off) < nearBy {
		x, y := (m.lon+m.lonBy*off)*dlon, (m.lat+m.latBy*off)*dlat
		return math.Sqrt(x*x + y*y)
	}
	m.move((a[1] + b[1]) / 2)
	return Distance(a, b)
}

// move lays the even change at another latitude.
func (m *meter) move(lat float64) {
	if !(math.Abs(lat) < nearLat) {
		m.near = math.NaN()
		return
	}
	m.near = lat
	m.lon, m.lat = scales(lat)
	lon1, lat1 := scales(lat + nearBy)
	lon0, lat0 := scales(lat - nearBy)
	m.lonBy, m.latBy = (lon1-lon0)/(2*nearBy), (lat1-lat0)/(2*nearBy)
}

// covers reports whether steps from a point may be measured as they stand.
func (m *meter) covers(p orb.Point) bool {
	return math.Abs(p[1]-m.near) < nearBy && math.Abs(p[0]) < 179
}

// mixed is the number of points for which dense is told to expect two stations a step, after it met one.
const mixed = 128

// dense walks on from point i for as long as each step brings one station or none (with two set: two,
// one or none) and lies where m measures; it returns with the point reached. Stations are written at
// every step and kept or not by arithmetic: where they fall between points is past guessing for a
// processor, and guessing wrong would cost more than the writing.
func (m *meter) dense(dst []Station, line orb.LineString, i int, sum float64, k int, stepM float64, two bool) ([]Station, int, float64, int) {
	n, room := len(dst), dst[:cap(dst)]
	most, here := stepM*(1-1e-9), *m
	if two {
		most *= 2
	}
	next := float64(k) * stepM
	lon, lat := line[i][0], line[i][1]
	for ; i+1 < len(line) && n+1 < len(room); i++ {
		lon2, lat2 := line[i+1][0], line[i+1][1]
		dlon, dlat, off := lon2-lon, lat2-lat, (lat+lat2)/2-here.near
		x, y := (here.lon+here.lonBy*off)*dlon, (here.lat+here.latBy*off)*dlat
		d := math.Sqrt(x*x + y*y)
		if !(d > 0 && d < most && math.Abs(dlon) < 0.01 && math.Abs(dlat) < 0.01 && math.Abs(off) < nearBy && math.Abs(lon2) < 179) {
			break
		}
		per, end := 1/d, sum+d
		t := (next - sum) * per
		room[n].set(next, lon+t*dlon, lat+t*dlat, i, t)
		kept := 0
		if next < end {
			kept = 1
		}
		if two {
			// The second by k as it was, for waiting until the first is known to count takes longest of all.
			after := float64(k+1) * stepM
			t := (after - sum) * per
			room[n+1].set(after, lon+t*dlon, lat+t*dlat, i, t)
			more := 0
			if after < end {
				more = 1
			}
			kept += more
		}
		n, k = n+kept, k+kept
		next = float64(k) * stepM
		sum = end
		lon, lat = lon2, lat2
	}
	return room[:n], i, sum, k
}
