package height

import (
	"math"

	"lastroad/geo"
)

// Slope is the tilt of the ground at a place, read from a height grid.
type Slope struct {
	// East and North are the rise of the ground towards the east and the north, rise over run;
	// NaN when unknown.
	East, North float64
	// Spread is the root-mean-square difference of the four grid nodes around the place from their
	// mean, rise over run: how much the slope changes within a cell.
	Spread float64
	// BendM is how far the ground bends away from a straight line between neighbouring posts, in
	// metres: half the root-mean-square second difference of the posts around the place.
	BendM float64
	// CellM is the spacing of the posts in metres, the longer side.
	CellM float64
}

// Across is the slope across a line that runs at the given bearing in degrees, rise over run,
// positive when the ground rises to the right.
func (s Slope) Across(bearing float64) float64 {
	sin, cos := math.Sincos(bearing * math.Pi / 180)
	return s.East*cos - s.North*sin
}

// Along is the slope along a line that runs at the given bearing in degrees, rise over run.
func (s Slope) Along(bearing float64) float64 {
	sin, cos := math.Sincos(bearing * math.Pi / 180)
	return s.East*sin + s.North*cos
}

// Steepness is the greatest slope at the place in any direction, rise over run.
func (s Slope) Steepness() float64 { return math.Hypot(s.East, s.North) }

// Slope measures the tilt of the ground at a place in degrees: Horn's weighted differences over the
// three by three posts round each of the four nodes of the cell, then bilinear between the nodes
// (B.K.P. Horn, "Hill shading and the reflectance map", Proceedings of the IEEE 69, 1981). All is
// NaN when one of those sixteen posts is void or outside.
func (m *Model) Slope(lon, lat float64) Slope {
	unknown := Slope{East: math.NaN(), North: math.NaN(), Spread: math.NaN(), BendM: math.NaN(), CellM: math.NaN()}
	lon = geo.WrapLon(lon)
	for _, t := range m.at(lon, lat) {
		if s, ok := m.slopeIn(t, lon, lat); ok {
			return s
		}
	}
	return unknown
}

func (m *Model) slopeIn(t *tileIn, lon, lat float64) (Slope, bool) {
	x, y := t.place(lon, lat)
	if x < -0.5-snap || y < -0.5-snap || x > float64(t.Cols)-0.5+snap || y > float64(t.Rows)-0.5+snap {
		return Slope{}, false
	}
	i, fx := floorSnap(x)
	j, fy := floorSnap(y)
	// z[r][c] holds columns i-1..i+2, rows j-1..j+2.
	var z [4][4]float64
	inside := i >= 1 && j >= 1 && i+2 < t.Cols && j+2 < t.Rows
	for r := range z {
		for c := range z[r] {
			if inside {
				z[r][c] = t.At(i-1+c, j-1+r)
			} else {
				z[r][c] = m.post(t, i-1+c, j-1+r)
			}
		}
	}
	dx, dy := t.cellM(lat)
	var east, north [4]float64
	for k := range east {
		r, c := 1+k/2, 1+k%2
		east[k] = (z[r-1][c+1] + 2*z[r][c+1] + z[r+1][c+1] - z[r-1][c-1] - 2*z[r][c-1] - z[r+1][c-1]) / (8 * dx)
		north[k] = (z[r-1][c-1] + 2*z[r-1][c] + z[r-1][c+1] - z[r+1][c-1] - 2*z[r+1][c] - z[r+1][c+1]) / (8 * dy)
	}
	w := [4]float64{(1 - fx) * (1 - fy), fx * (1 - fy), (1 - fx) * fy, fx * fy}
	s := Slope{CellM: max(dx, dy)}
	for k := range w {
		s.East += w[k] * east[k]
		s.North += w[k] * north[k]
	}
	var meanE, meanN, spread float64
	for k := range w {
		meanE += east[k] / 4
		meanN += north[k] / 4
	}
	for k := range w {
		spread += (east[k]-meanE)*(east[k]-meanE) + (north[k]-meanN)*(north[k]-meanN)
	}
	s.Spread = math.Sqrt(spread / 8) // two directions, four nodes
	var bend float64
	for k := 1; k <= 2; k++ {
		for _, d := range [...]float64{
			z[k][0] - 2*z[k][1] + z[k][2], z[k][1] - 2*z[k][2] + z[k][3],
			z[0][k] - 2*z[1][k] + z[2][k], z[1][k] - 2*z[2][k] + z[3][k]} {
			bend += d * d
		}
	}
	s.BendM = math.Sqrt(bend/8) / 2
	return s, s.East == s.East && s.North == s.North && s.Spread == s.Spread && bend == bend
}
