package geo

import (
	"math"

	"github.com/paulmach/orb"
)

// Station is a place on a line: its distance from the start and where between two points of the line it lies.
type Station struct {
	DistanceM float64 // along the line from its first point, metres
	Lon, Lat  float64 // degrees, longitude in [-180, 180)
	Seg       int32   // the station lies between points Seg and Seg+1 of the line
	T         float32 // share of the way from point Seg to point Seg+1, 0..1
}

// At is the place as a point.
func (s Station) At() orb.Point { return orb.Point{s.Lon, s.Lat} }

// set fills a station in place, field by field: a whole one is put together elsewhere and copied, which
// costs as much as the rest of the work.
func (s *Station) set(m, lon, lat float64, seg int, t float64) {
	s.DistanceM, s.Lon, s.Lat, s.Seg, s.T = m, lon, lat, int32(seg), float32(t)
}

// longStep is the length in metres from which a step of a line is followed as a geodesic instead of
// evenly in longitude and latitude: at 5 km the two differ by 0.9 m in the middle at 60 degrees of latitude.
const longStep = 5000

// Stations places stations stepM metres apart along a line, measured on the ellipsoid: the first on its
// first point, every other exactly a multiple of stepM from it, the last on its last point whatever
// remains. A remainder below a millionth of stepM makes no station of its own. It appends to dst, which
// may be nil; a line of one point or without length gives one station, an empty line none.
// It panics for a step that is not positive.
func Stations(dst []Station, line orb.LineString, stepM float64) []Station {
	if !(stepM > 0) {
		panic("geo: stations need a positive step")
	}
	if len(line) == 0 {
		return dst
	}
	if dst == nil {
		dst = make([]Station, 0, stationCount(line, stepM))
	}
	base := len(dst)
	dst = append(dst, Station{Lon: WrapLon(line[0][0]), Lat: line[0][1]})
	sum, k, lastSeg := 0.0, 1, 0
	m := meter{near: math.NaN()}
	for i := 0; i+1 < len(line); i++ {
		if m.covers(line[i]) {
			from := i
			dst, i, sum, k = m.dense(dst, line, i, sum, k, stepM, false)
			if i+1 < len(line) && i-from < mixed {
				dst, i, sum, k = m.dense(dst, line[:min(len(line), i+mixed)], i, sum, k, stepM, true)
			}
			if i > from {
				lastSeg = i - 1
			}
			if i+1 == len(line) {
				break
			}
		}
		a, b := line[i], line[i+1]
		d := m.length(a, b)
		end := sum + d
		switch next := float64(k) * stepM; {
		case next >= end:
		case d <= longStep && math.Abs(a[0]) < 179 && math.Abs(b[0]) < 179:
			lon, lat, dlon, dlat, per := a[0], a[1], b[0]-a[0], b[1]-a[1], 1/d
			for next < end {
				t := (next - sum) * per
				dst = append(dst, Station{})
				dst[len(dst)-1].set(next, lon+t*dlon, lat+t*dlat, i, t)
				k++
				next = float64(k) * stepM
			}
		default:
			w := newWalker(a, b, d)
			for next < end {
				lon, lat, t := w.at(next - sum)
				dst = append(dst, Station{})
				dst[len(dst)-1].set(next, lon, lat, i, t)
				k++
				next = float64(k) * stepM
			}
		}
		if d > 0 {
			lastSeg = i
		}
		sum = end
	}
	if sum == 0 {
		return dst
	}
	last := Station{DistanceM: sum, Lon: WrapLon(line[len(line)-1][0]), Lat: line[len(line)-1][1], Seg: int32(lastSeg), T: 1}
	if n := len(dst) - 1; n > base && sum-dst[n].DistanceM < stepM*1e-6 {
		dst[n] = last
		return dst
	}
	return append(dst, last)
}

// stationCount is about how many stations a line takes: of a long line only every sixteenth step is
// measured, with some room added; if that is too few the result grows once more.
func stationCount(line orb.LineString, stepM float64) int {
	stride, room := 1, 1.0
	if len(line) > 1<<12 {
		stride, room = 16, 1.02
	}
	sum := 0.0
	m := meter{near: math.NaN()}
	for i := 1; i < len(line); i += stride {
		sum += m.length(line[i-1], line[i])
	}
	if n := sum * float64(stride) * room / stepM; n < 1<<30 {
		return int(n) + 3
	}
	return 0
}

// walker finds places between two points of a line: evenly in longitude and latitude when they are near
// each other, along the geodesic when they are not.
type walker struct {
	a          orb.Point
	dlon, dlat float64
	length     float64
	bearing    float64 // degrees; used when long
	long       bool
}

func newWalker(a, b orb.Point, length float64) walker {
	w := walker{a: a, dlon: LonDiff(a[0], b[0]), dlat: b[1] - a[1], length: length}
	if length > longStep {
		w.long, w.bearing = true, Bearing(a, b)
	}
	return w
}

func (w *walker) at(m float64) (lon, lat, t float64) {
	t = m / w.length
	if w.long {
		p := Destination(w.a, w.bearing, m)
		return p[0], p[1], t
	}
	return WrapLon(w.a[0] + t*w.dlon), w.a[1] + t*w.dlat, t
}

// Resample lays samples stepM metres apart along a route, as [Stations] does, with place and distance
// filled and everything else unknown: NaN, Way and HelpAt -1.
func Resample(r Route, stepM float64) []Sample {
	return BlankSamples(Stations(nil, r.Line, stepM))
}

// BlankSamples makes a sample of every station, with place and distance filled and everything else unknown.
func BlankSamples(st []Station) []Sample {
	nan := math.NaN()
	blank := Sample{Way: -1, HeightM: nan, Grade: nan, GradeBand: nan, Side: nan, SideBand: nan,
		RoadM: nan, RoadAt: orb.Point{nan, nan}, DriveM: nan, DriveMin: nan,
		AheadM: nan, AheadMin: nan, BackM: nan, BackMin: nan, WalkMin: nan, EdgeM: nan, DriveS: nan}
	for k := range blank.HelpM {
		blank.HelpM[k], blank.HelpAt[k] = nan, -1
	}
	out := make([]Sample, len(st))
	for i := range st {
		out[i] = blank
		out[i].DistanceM, out[i].Lon, out[i].Lat = st[i].DistanceM, st[i].Lon, st[i].Lat
	}
	return out
}

// ResampleHeights interpolates the file's own heights of a route at the stations on it, linearly
// between the two points around each; NaN where a point needed has no height. nil when the route has none.
func ResampleHeights(r Route, st []Station) []float64 {
	if len(r.HeightM) == 0 {
		return nil
	}
	out := make([]float64, len(st))
	for i, s := range st {
		switch a := r.HeightM[s.Seg]; s.T {
		case 0:
			out[i] = a
		case 1:
			out[i] = r.HeightM[s.Seg+1]
		default:
			out[i] = a + float64(s.T)*(r.HeightM[s.Seg+1]-a)
		}
	}
	return out
}
