package sun

import (
	"math"
	"time"

	"github.com/paulmach/orb"
)

// Event is a moment that a day may lack: OK is false and Time zero when the sun does not pass the
// altitude in question in that direction on that day.
type Event struct {
	Time time.Time
	OK   bool
}

// Day is one civil day at a place. Each event is found on its own and may be absent: near the polar
// circles a day can have a rise and no set. Where a day has two of a kind it is the first.
type Day struct {
	Dawn Event // begin of civil twilight
	Rise Event
	Noon time.Time // the sun's highest
	Set  Event
	Dusk Event // end of civil twilight
	// Up tells of a day without rise and set whether the sun is up through it (or else down); on other
	// days it is true. Lit is the same for civil twilight: true when it is never darker than that.
	Up, Lit bool
	// NoonAltitude is the altitude at Noon in degrees.
	NoonAltitude float64
}

// On gives the events of a date at a place (degrees) in the zone in which the date is meant. Days of 23 or
// 25 hours, where clocks change, are taken as they are. It panics for a nil zone; a place with NaN or a
// latitude beyond the poles gives a day without events.
func On(year int, month time.Month, day int, zone *time.Location, place orb.Point) Day {
	from, to := time.Date(year, month, day, 0, 0, 0, 0, zone), time.Date(year, month, day+1, 0, 0, 0, 0, zone)
	noon := culmination(from.Add(to.Sub(from)/2), place[0])
	d := Day{Noon: noon, NoonAltitude: Altitude(noon, place)}
	if math.IsNaN(d.NoonAltitude) {
		return Day{NoonAltitude: math.NaN()}
	}
	d.Rise, d.Set = crossings(from, to, place, Horizon)
	d.Dawn, d.Dusk = crossings(from, to, place, Civil)
	d.Up = d.Rise.OK || d.Set.OK || d.NoonAltitude > Horizon
	d.Lit = d.Dawn.OK || d.Dusk.OK || d.NoonAltitude > Civil
	return d
}

// culmination is the sun's noon nearest to a time.
func culmination(t time.Time, lon float64) time.Time {
	if math.IsNaN(lon) || math.IsInf(lon, 0) {
		return t
	}
	for range 3 { // the equation of time changes by half a minute a day: the second round is exact
		h := hourAngle(t, lon, EquationOfTime(t))
		t = t.Add(-time.Duration(h * 4 * float64(time.Minute)))
	}
	return t
}

// step is how far apart altitudes are looked at. Between two of them the sun could only rise and set again
// unseen around its highest and lowest stand, so those are looked at too.
const step = 10 * time.Minute

// crossings finds the first time in from..to at which the sun rises through an altitude and the first at
// which it sets through it.
func crossings(from, to time.Time, place orb.Point, altitude float64) (up, down Event) {
	above := func(t time.Time) bool { return Altitude(t, place) > altitude }
	noon := culmination(from.Add(to.Sub(from)/2), place[0])
	turns := [...]time.Time{noon.Add(-24 * time.Hour), noon.Add(-12 * time.Hour), noon, noon.Add(12 * time.Hour), noon.Add(24 * time.Hour)}
	t, was := from, above(from)
	for t.Before(to) {
		next := t.Add(step)
		for _, c := range turns {
			if c.After(t) && c.Before(next) {
				next = c
			}
		}
		if next.After(to) {
			next = to
		}
		is := above(next)
		if is != was {
			e := Event{Time: pass(t, next, above), OK: true}
			if is && !up.OK {
				up = e
			} else if !is && !down.OK {
				down = e
			}
		}
		t, was = next, is
	}
	return up, down
}

// pass halves from..to, between which above changes once, down to a millisecond.
func pass(from, to time.Time, above func(time.Time) bool) time.Time {
	was := above(from)
	for to.Sub(from) > time.Millisecond {
		mid := from.Add(to.Sub(from) / 2)
		if above(mid) == was {
			from = mid
		} else {
			to = mid
		}
	}
	return to
}

// Until gives the first time from t on at which the sun is no higher than an altitude in degrees (such as
// [Civil]), t itself when it is already so. ok is false when that does not happen within the given span, or
// for a place with NaN.
func Until(t time.Time, place orb.Point, altitude float64, span time.Duration) (dark time.Time, ok bool) {
	switch a := Altitude(t, place); {
	case math.IsNaN(a):
		return time.Time{}, false
	case a <= altitude:
		return t, true
	}
	for end := t.Add(span); t.Before(end); {
		to := t.Add(24 * time.Hour)
		if to.After(end) {
			to = end
		}
		if _, down := crossings(t, to, place, altitude); down.OK {
			return down.Time, true
		}
		t = to
	}
	return time.Time{}, false
}

// Dark reports whether it is darker than civil twilight, when driving means driving by lamps.
func Dark(t time.Time, place orb.Point) bool { return Altitude(t, place) <= Civil }
