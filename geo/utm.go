package geo

import (
	"fmt"
	"math"

	"github.com/paulmach/orb"
)

// UTM is a place in the Universal Transverse Mercator grid (NGA.SIG.0012), used on maps and by rescue
// services. It covers latitudes -80 up to 84 degrees.
type UTM struct {
	Zone     int     // 1..60
	Band     byte    // latitude band C..X without I and O
	Easting  float64 // metres, 500 000 on the zone's central meridian
	Northing float64 // metres from the equator; 10 000 000 is added south of it
}

const (
	utmScale = 0.9996
	utmEast  = 500000
	utmSouth = 10000000
	// utmBands are the latitude bands from 80 degrees south, 8 degrees each, the last one 12.
	utmBands = "CDEFGHJKLMNPQRSTUVWX"
)

// ToUTM gives the grid place of a point, with the wider zones of south-west Norway and Svalbard. ok is
// false outside -80 <= latitude < 84 (where the polar grids begin) and for NaN. Good to a micrometre.
func ToUTM(p orb.Point) (u UTM, ok bool) {
	lon, lat := WrapLon(p[0]), p[1]
	if !(lat >= -80 && lat < 84) || math.IsNaN(lon) {
		return UTM{}, false
	}
	band := min(int((lat+80)/8), len(utmBands)-1)
	if lat < 0 {
		band = min(band, 9) // a hair south of the equator the sum rounds to 80
	}
	u.Band = utmBands[band]
	u.Zone = int((lon+180)/6) + 1
	switch {
	case u.Band == 'V' && lon >= 3 && lon < 12:
		u.Zone = 32
	case u.Band == 'X' && lon >= 0 && lon < 42:
		u.Zone = 31 + 2*int((lon+3)/12)
	}
	x, y := transverse(lat, LonDiff(u.meridian(), lon))
	u.Easting, u.Northing = utmEast+utmScale*x, utmScale*y
	if lat < 0 {
		// Likewise the northing stays below the equator's own.
		u.Northing = math.Min(u.Northing+utmSouth, math.Nextafter(utmSouth, 0))
	}
	return u, true
}

func (u UTM) meridian() float64 { return float64(6*u.Zone - 183) }

// Point is the inverse of [ToUTM].
func (u UTM) Point() orb.Point {
	y := u.Northing
	if u.Band < 'N' {
		y -= utmSouth
	}
	lat, lon := untransverse((u.Easting-utmEast)/utmScale, y/utmScale)
	return orb.Point{WrapLon(u.meridian() + lon), lat}
}

// String writes zone, band, easting and northing in whole metres, cut and not rounded as is the custom
// of the grid: "31T 386124 4713632".
func (u UTM) String() string {
	return fmt.Sprintf("%d%c %06.0f %07.0f", u.Zone, u.Band, math.Floor(u.Easting), math.Floor(u.Northing))
}

// MGRS writes the place in the Military Grid Reference System (NGA.SIG.0012): zone, band, the letters of
// the 100 km square, then digits (1..5) figures each of easting and northing, cut and not rounded, so that
// the reference names the square that holds the point: five figures are metres. It panics for other digits.
func (u UTM) MGRS(digits int) string {
	if digits < 1 || digits > 5 {
		panic("geo: a grid reference has one to five figures")
	}
	const columns, rows = "ABCDEFGHJKLMNPQRSTUVWXYZ", "ABCDEFGHJKLMNPQRSTUV"
	e, n := int64(math.Floor(u.Easting)), int64(math.Floor(u.Northing))
	col := columns[(int64(u.Zone-1)%3*8+e/100000-1)%24]
	row := rows[(n/100000+int64((u.Zone-1)%2*5))%20]
	cut := int64(math.Pow10(5 - digits))
	return fmt.Sprintf("%d%c%c%c %0*d %0*d", u.Zone, u.Band, col, row, digits, e%100000/cut, digits, n%100000/cut)
}
