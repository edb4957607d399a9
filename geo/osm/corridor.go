package osm

import (
	"math"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// DefaultRadiusM is the half-width of the corridor where none is given, in metres. Judgement: a day's
// walk for a fit person is about 30 km, so help beyond it cannot be reached on foot in a day.
const DefaultRadiusM = 30_000

// Corridor is the strip of land round a line that is kept. The zero value keeps everything.
type Corridor struct {
	Line    orb.LineString // empty = keep everything
	RadiusM float64        // half-width in metres; 0 or less = DefaultRadiusM
}

// Radius is the half-width in metres that holds for the corridor.
func (c Corridor) Radius() float64 {
	if c.RadiusM > 0 {
		return c.RadiusM
	}
	return DefaultRadiusM
}

// mask is a corridor as a grid of cells over longitude and latitude, each in or out. It holds every
// point within the radius and some up to a cell's diagonal beyond, so that a test costs a few
// nanoseconds. A nil mask holds everything.
type mask struct {
	lon0, lat0     float64 // south-west corner, degrees
	perLon, perLat float64 // cells a degree
	cols, rows     int
	bits           []uint64
	somewhere      orb.Point // a point of the line
}

// maskCells bounds the size of a mask: 2^26 cells are 8 MB.
const maskCells = 1 << 26

// maskDiscs bounds the discs of which a mask is drawn.
const maskDiscs = 100_000

// newMask makes the mask of a corridor, nil for one without a line.
func newMask(c Corridor) *mask {
	if len(c.Line) == 0 {
		return nil
	}
	r := c.Radius()
	// The line unrolled across the antimeridian, so that its box is honest.
	line := make(orb.LineString, 0, len(c.Line))
	length := 0.0
	box := orb.Bound{Min: orb.Point{math.Inf(1), math.Inf(1)}, Max: orb.Point{math.Inf(-1), math.Inf(-1)}}
	for _, p := range c.Line {
		if !(math.Abs(p[1]) <= 90) || math.IsNaN(p[0]) || math.IsInf(p[0], 0) {
			continue
		}
		if n := len(line); n > 0 {
			p[0] = line[n-1][0] + geo.LonDiff(line[n-1][0], p[0])
			length += geo.Distance(line[n-1], p)
		}
		line = append(line, p)
		box = box.Extend(p)
	}
	if len(line) == 0 {
		return nil
	}
	const perDegree = 111_000 // metres a degree of latitude, a little less than the true figure
	top := math.Max(math.Abs(box.Min[1]), math.Abs(box.Max[1])) + r/perDegree
	shrink := math.Cos(math.Min(top, 85) * math.Pi / 180) // metres a degree of longitude at the far edge, as a share
	padLat, padLon := r/perDegree, r/perDegree/shrink
	m := &mask{somewhere: line[0], lon0: box.Min[0] - padLon, lat0: math.Max(box.Min[1]-padLat, -90)}
	width, height := box.Max[0]+padLon-m.lon0, math.Min(box.Max[1]+padLat, 90)-m.lat0
	width = math.Min(width, 360)
	// Degrees of latitude; coarser for a line of more than a hundred thousand cells, to bound the work.
	cell := math.Max(r/24, length/maskDiscs) / perDegree
	for {
		m.perLat, m.perLon = 1/cell, shrink/cell
		m.cols, m.rows = int(width*m.perLon)+1, int(height*m.perLat)+1
		if m.cols*m.rows <= maskCells {
			break
		}
		cell *= 1.5
	}
	m.bits = make([]uint64, (m.cols*m.rows+63)/64)
	step := cell * perDegree // metres
	m.disc(line[0], r+step)
	last := line[0]
	for i := 1; i < len(line); i++ {
		d := geo.Distance(last, line[i])
		if d < step/2 && i < len(line)-1 {
			continue // a dense line: its next points lie in the disc just drawn, by less than half a cell
		}
		n := math.Ceil(d / step)
		for k := 1.0; k <= n; k++ {
			t := k / n
			m.disc(orb.Point{last[0] + t*(line[i][0]-last[0]), last[1] + t*(line[i][1]-last[1])}, r+step)
		}
		last = line[i]
	}
	return m
}

// disc marks every cell whose middle lies within radius metres and a cell's diagonal of p.
func (m *mask) disc(p orb.Point, radius float64) {
	lonM := geo.Distance(p, orb.Point{p[0] + 0.01, p[1]}) * 100 // metres a degree here
	const latM = 110_574                                        // at the equator, the least
	ry := radius/latM + 1/m.perLat
	j0, j1 := int((p[1]-ry-m.lat0)*m.perLat), int((p[1]+ry-m.lat0)*m.perLat)
	for j := max(j0, 0); j <= min(j1, m.rows-1); j++ {
		dy := (m.lat0 + (float64(j)+0.5)/m.perLat - p[1]) / ry
		if math.Abs(dy) > 1 {
			continue
		}
		rx := radius/lonM*math.Sqrt(1-dy*dy) + 1/m.perLon
		i0, i1 := int((p[0]-rx-m.lon0)*m.perLon), int((p[0]+rx-m.lon0)*m.perLon)
		for i := max(i0, 0); i <= min(i1, m.cols-1); i++ {
			k := j*m.cols + i
			m.bits[k>>6] |= 1 << (k & 63)
		}
	}
}

// has reports whether a point lies in the corridor.
func (m *mask) has(lon, lat float64) bool {
	if m == nil {
		return true
	}
	x := lon - m.lon0
	if x < 0 {
		x += 360
	} else if x >= 360 {
		x -= 360
	}
	y := (lat - m.lat0) * m.perLat
	x *= m.perLon
	if !(x >= 0 && y >= 0) {
		return false
	}
	i, j := int(x), int(y)
	if i >= m.cols || j >= m.rows {
		return false
	}
	k := j*m.cols + i
	return m.bits[k>>6]>>(k&63)&1 != 0
}

// Has reports whether p lies within the corridor (or up to a tenth of its radius beyond). It builds
// the grid anew on every call: use it for a few points only.
func (c Corridor) Has(p orb.Point) bool { return newMask(c).has(p[0], p[1]) }
