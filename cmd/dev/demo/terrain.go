package demo

import "math"

// The region is drawn in kilometres east (x) and north (y) of the south-west corner of its tile.
const (
	south, west = -32.0, -109.0 // degrees, corner of the one-degree tile
	kmPerLat    = 110.9         // mean length of a degree of latitude at 31.5 degrees south (WGS84)
	kmPerLon    = 94.95         // the same for longitude
	posts       = 1201          // posts a side of a 3 arc-second tile
	seed        = 20260101
)

type xy struct{ x, y float64 }

func (p xy) lon() float64 { return west + p.x/kmPerLon }
func (p xy) lat() float64 { return south + p.y/kmPerLat }

func hash(ix, iy, octave int64) float64 {
	z := uint64(ix)*0x9E3779B97F4A7C15 ^ uint64(iy)*0xC2B2AE3D27D4EB4F ^ uint64(octave+seed)*0x165667B19E3779F9
	z ^= z >> 30
	z *= 0xBF58476D1CE4E5B9
	z ^= z >> 27
	z *= 0x94D049BB133111EB
	z ^= z >> 31
	return float64(z>>11)/float64(1<<53)*2 - 1
}

// noise is smooth gradient noise in about -1..1 with features of about wave kilometres.
func noise(x, y, wave float64, octave int64) float64 {
	// Each octave is turned by its own angle, so that no grid shows through.
	sin, cos := math.Sincos(float64(octave) * 0.73)
	fx, fy := (x*cos-y*sin)/wave, (x*sin+y*cos)/wave
	ix, iy := math.Floor(fx), math.Floor(fy)
	dx, dy := fx-ix, fy-iy
	u, v := smooth(dx), smooth(dy)
	i, j := int64(ix), int64(iy)
	corner := func(di, dj int64) float64 {
		gy, gx := math.Sincos(math.Pi * hash(i+di, j+dj, octave))
		return gx*(dx-float64(di)) + gy*(dy-float64(dj))
	}
	a := corner(0, 0)*(1-u) + corner(1, 0)*u
	b := corner(0, 1)*(1-u) + corner(1, 1)*u
	return 1.5 * (a*(1-v) + b*v)
}

// crest is noise folded so that it stands in sharp crests with valleys between them, 0..1.
func crest(x, y, wave float64, octave int64) float64 {
	return 1 - 2*math.Abs(noise(x, y, wave, octave))
}

func smooth(t float64) float64 { return t * t * t * (t*(t*6-15) + 10) }

// ramp rises smoothly from 0 at a to 1 at b.
func ramp(v, a, b float64) float64 { return smooth(math.Max(0, math.Min(1, (v-a)/(b-a)))) }

// away is the distance in kilometres from p to the polyline.
func away(p xy, line []xy) float64 {
	best := math.Inf(1)
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		dx, dy := b.x-a.x, b.y-a.y
		t := math.Max(0, math.Min(1, ((p.x-a.x)*dx+(p.y-a.y)*dy)/(dx*dx+dy*dy)))
		best = math.Min(best, math.Hypot(p.x-a.x-t*dx, p.y-a.y-t*dy))
	}
	return best
}

var (
	marrowRange = []xy{{26, 108}, {29, 95}, {31, 84}, {33, 74}, {40, 66}, {43, 60}}
	cinderHills = []xy{{66, 84}, {74, 76}, {80, 66}, {88, 60}}
	farRange    = []xy{{3, 106}, {7, 92}, {5, 78}}
	veldaRiver  = []xy{{94, 104}, {80, 101}, {68, 97.5}, {58, 95}, {51, 94.2}, {45.5, 92.2}, {41, 94}, {37, 99}, {35.5, 110}}
	lakeCentre  = xy{54, 58.5}
)

// lake is below 1 inside the dry lake, an uneven oval.
func lake(p xy) float64 {
	dx, dy := (p.x-lakeCentre.x)/10.2, (p.y-lakeCentre.y)/6.6
	return math.Hypot(dx, dy) + 0.09*noise(p.x, p.y, 5, 41) + 0.04*noise(p.x, p.y, 1.8, 42)
}

// dunes is 1 in the heart of the dune field and 0 outside it.
func dunes(p xy) float64 {
	d := away(p, []xy{{63, 71}, {60, 79}, {57, 86}})
	return 1 - ramp(d+0.8*noise(p.x, p.y, 4, 51), 3.2, 5.2)
}

// height is the ground in metres above the sea.
func height(p xy) float64 {
	x, y := p.x, p.y
	h := 1095 + 1.1*(y-40) + 60*noise(x, y, 24, 1) + 34*noise(x, y, 9, 2) + 15*noise(x, y, 4.1, 3) + 6*noise(x, y, 1.9, 4)
	ridge := func(line []xy, top, width float64) {
		d := away(p, line)
		rise := math.Exp(-d * d / (width * width))
		rough := 0.55 + 0.30*noise(x, y, 7, 11) + 0.42*crest(x, y, 4.6, 12) + 0.20*crest(x, y, 2.3, 13)
		h += top * rise * rough
		h += 20 * rise * noise(x, y, 1.2, 14)
	}
	ridge(marrowRange, 760, 4.6)
	ridge(cinderHills, 380, 4.2)
	ridge(farRange, 520, 5.0)
	// The gap that the pass track crosses.
	gap := math.Hypot((x-30.6)/2.6, (y-80.6)/3.4)
	h -= 150 * math.Exp(-gap*gap)
	// The river has cut a shallow trough with a flat floor.
	d := away(p, veldaRiver)
	bed := 1052 + 0.35*(x-36)
	h += (bed - h) * (1 - ramp(d, 0.5, 4.2))
	// The dry lake is flat.
	l := lake(p)
	h += (1012 - h) * (1 - ramp(l, 1.0, 1.55))
	// Dunes stand in lines across the wind.
	if s := dunes(p); s > 0 {
		along := x*0.86 + y*0.5 + 0.7*noise(x, y, 3, 61)
		h += s * 13 * (1 + math.Sin(along*2*math.Pi/0.85)) * (0.7 + 0.3*noise(x, y, 1.6, 62))
	}
	return h
}
