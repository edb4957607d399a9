package trip

import (
	"time"

	"github.com/paulmach/orb"

	"lastroad/app/plot"
	"lastroad/geo/sun"
)

// LightAlong is the light along the route by the planned times: the arrival at the end of each leg, and within
// the leg the driving times stretched to the leg's own. It is empty without a start time; a leg without a
// planned arrival leaves a gap.
func LightAlong(d *Document) (out []plot.Daylight) {
	s, j := d.Survey, d.Judgement
	if s == nil || j == nil || d.Plan.Trip.Conditions.Start.IsZero() || len(j.Legs) < len(s.Legs) {
		return nil
	}
	for i, l := range s.Legs {
		n := &j.Legs[i].Needs
		// A time from before the satellites is a time that was not planned.
		if n.ArriveUnix <= 0 || !(n.MoveMin.Central > 0) {
			continue
		}
		end := time.Unix(n.ArriveUnix, 0)
		drive := s.Samples[l.To].DriveS - s.Samples[l.From].DriveS
		stretch := 1.0
		if drive > 0 {
			stretch = n.MoveMin.Central * 60 / drive
		}
		for k := l.From; k < l.To; k++ {
			p := &s.Samples[k]
			at := end.Add(-time.Duration((s.Samples[l.To].DriveS - p.DriveS) * stretch * float64(time.Second)))
			sky := skyAt(at, orb.Point{p.Lon, p.Lat})
			if m := len(out); m > 0 && out[m-1].Sky == sky && out[m-1].ToM == p.DistanceM {
				out[m-1].ToM = s.Samples[k+1].DistanceM
			} else {
				out = append(out, plot.Daylight{FromM: p.DistanceM, ToM: s.Samples[k+1].DistanceM, Sky: sky})
			}
		}
	}
	return out
}

// skyAt is day while the sun's upper edge is over the horizon, twilight down to 6 degrees below it.
func skyAt(t time.Time, at orb.Point) plot.Sky {
	switch a := sun.Altitude(t, at); {
	case a > sun.Horizon:
		return plot.Day
	case a > sun.Civil:
		return plot.Twilight
	}
	return plot.Night
}
