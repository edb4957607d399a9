// Package sun tells where the sun stands and when it rises and sets: what is left of the day at a place.
//
//	day := sun.On(2025, time.June, 21, zone, orb.Point{-0.1278, 51.5074})
//	fmt.Println(day.Rise.Time, day.Dusk.Time)
//
// The position follows the solar calculator of the US National Oceanic and Atmospheric Administration
// (NOAA), which rests on chapter 25 of Meeus, Astronomical Algorithms: a hundredth of a degree for
// centuries around now. What limits rise and set is the air: its bending of light at the horizon differs
// from the conventional 34 minutes of arc by several minutes from day to day, half a minute of time in
// the tropics and several minutes beyond 60 degrees of latitude. Hills are not taken into account: in a
// valley the light goes earlier.
package sun

import (
	"math"
	"time"

	"github.com/paulmach/orb"
)

const radian = math.Pi / 180

// Altitudes of the centre of the disc at which days begin and end, in degrees, without bending by the
// air: US Naval Observatory, "Rise, Set, and Twilight Definitions".
const (
	Horizon  = -0.8333 // upper edge on the horizon: 34' of refraction and 16' of radius
	Civil    = -6      // civil twilight: outdoor work needs lamps beyond it
	Nautical = -12
)

// coordinates are what the position rests on, in degrees but for the eccentricity.
type coordinates struct {
	meanLon, anomaly   float64
	eccentricity       float64
	centre             float64 // equation of the centre
	lon                float64 // apparent longitude
	obliquity, declin  float64
	equationOfTimeMins float64 // apparent less mean solar time, minutes
}

// at computes the sun's coordinates at a time in Julian centuries from 2000 January 1, 12 h (Meeus,
// chapters 22 and 25; the equation of time after Smart as in chapter 28).
func at(t float64) (c coordinates) {
	c.meanLon = math.Mod(280.46646+t*(36000.76983+0.0003032*t), 360)
	c.anomaly = math.Mod(357.52911+t*(35999.05029-0.0001537*t), 360)
	c.eccentricity = 0.016708634 - t*(0.000042037+0.0000001267*t)
	sm, s2m, s3m := math.Sin(c.anomaly*radian), math.Sin(2*c.anomaly*radian), math.Sin(3*c.anomaly*radian)
	c.centre = sm*(1.914602-t*(0.004817+0.000014*t)) + s2m*(0.019993-0.000101*t) + 0.000289*s3m
	node := (125.04 - 1934.136*t) * radian
	c.lon = c.meanLon + c.centre - 0.00569 - 0.00478*math.Sin(node)
	c.obliquity = 23 + (26+(21.448-t*(46.815+t*(0.00059-0.001813*t)))/60)/60 + 0.00256*math.Cos(node)
	c.declin = math.Asin(math.Sin(c.obliquity*radian)*math.Sin(c.lon*radian)) / radian
	y := math.Tan(c.obliquity * radian / 2)
	y *= y
	e, l := c.eccentricity, c.meanLon*radian
	c.equationOfTimeMins = 4 / radian * (y*math.Sin(2*l) - 2*e*sm + 4*e*y*sm*math.Cos(2*l) -
		0.5*y*y*math.Sin(4*l) - 1.25*e*e*s2m)
	return c
}

// centuries are Julian centuries from 2000 January 1, 12 h. The minute between the scales of civil and of
// ephemeris time moves the sun by a twenty-thousandth of a degree and is left out.
func centuries(t time.Time) float64 {
	days := float64(t.Unix()-946728000)/86400 + float64(t.Nanosecond())/86400e9
	return days / 36525
}

// hourAngle is the sun's hour angle at a place, in degrees -180..180, 0 at its noon.
func hourAngle(t time.Time, lon, equationMins float64) float64 {
	day := t.Unix() % 86400
	if day < 0 {
		day += 86400
	}
	m := float64(day)/60 + float64(t.Nanosecond())/60e9
	return math.Remainder((m+equationMins)/4+lon-180, 360)
}

// Position is the sun's altitude over the horizon, without bending by the air, and its azimuth clockwise
// from north (0..360), both in degrees, at a place given in degrees. NaN for a place with NaN or a
// latitude beyond the poles.
func Position(t time.Time, place orb.Point) (altitude, azimuth float64) {
	if !(math.Abs(place[1]) <= 90) || math.IsInf(place[0], 0) {
		return math.NaN(), math.NaN()
	}
	c := at(centuries(t))
	h := hourAngle(t, place[0], c.equationOfTimeMins) * radian
	sl, cl := math.Sincos(place[1] * radian)
	sd, cd := math.Sincos(c.declin * radian)
	sh, ch := math.Sincos(h)
	// By the sides of the triangle, good near the zenith too.
	up, south, west := sl*sd+cl*cd*ch, cd*ch*sl-sd*cl, cd*sh
	altitude = math.Atan2(up, math.Hypot(south, west)) / radian
	azimuth = 180 + math.Atan2(west, south)/radian
	if azimuth >= 360 {
		azimuth -= 360
	}
	return altitude, azimuth
}

// Altitude is the first result of [Position].
func Altitude(t time.Time, place orb.Point) float64 {
	a, _ := Position(t, place)
	return a
}

// EquationOfTime is by how many minutes a sundial is ahead of mean solar time, -14.3 to +16.5.
func EquationOfTime(t time.Time) float64 { return at(centuries(t)).equationOfTimeMins }
