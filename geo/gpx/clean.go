package gpx

import (
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// A spike is a run of at most spikeRun points that jumps far off the line and back to where it left. A
// drive to a place and back looks like one if it was drawn with few points, so a run is only taken for a
// spike when it cannot have been driven (faster than spikeSpeed by its own times) or, without times, when
// the jump is out of all proportion to the spacing of the line; and never when a waypoint marks the place.
// The limits are judgement: leaving a spike in is seen at once on the map, taking a real place out is not.
const (
	spikeRun   = 3
	spikeM     = 2000 // shortest jump without times, metres
	spikeTimes = 50   // and in multiples of the median step
	spikeTimed = 200  // shortest jump with times, metres
	spikeSpeed = 70   // metres a second, 252 km/h
	spikeBack  = 0.1  // it comes back to within this share of the jump
	markedM    = 100  // a waypoint within this distance marks the place
)

// clean removes points equal to the one before and spikes, and says so.
func clean(pts []vertex, marks []geo.Waypoint) ([]vertex, []string) {
	var notes []string
	pts, same := distinct(pts)
	if same > 0 {
		notes = append(notes, fmt.Sprintf("%d points equal to the one before were left out.", same))
	}
	out, gone := despike(pts, marks)
	if len(gone) > 0 {
		notes = append(notes, fmt.Sprintf("%d points that jump far off the line and back were left out, the first at %.5f, %.5f (latitude, longitude).",
			len(gone), gone[0][1], gone[0][0]))
		out, _ = distinct(out)
	}
	return out, notes
}

// distinct drops points equal to the one before, keeping the first height and time known.
func distinct(pts []vertex) ([]vertex, int) {
	if len(pts) == 0 {
		return pts, 0
	}
	out := make([]vertex, 1, len(pts))
	out[0] = pts[0]
	for _, p := range pts[1:] {
		if last := &out[len(out)-1]; last.at == p.at {
			if math.IsNaN(last.h) {
				last.h = p.h
			}
			if last.t.IsZero() {
				last.t = p.t
			}
			continue
		}
		out = append(out, p)
	}
	return out, len(pts) - len(out)
}

func despike(pts []vertex, marks []geo.Waypoint) (out []vertex, gone []orb.Point) {
	if len(pts) < 4 {
		return pts, nil
	}
	step := make([]float64, len(pts)-1)
	for i := range step {
		step[i] = geo.Distance(pts[i].at, pts[i+1].at)
	}
	sorted := slices.Clone(step)
	slices.Sort(sorted)
	far := math.Max(spikeM, spikeTimes*sorted[len(sorted)/2])

	out = append(make([]vertex, 0, len(pts)), pts[0])
	for i := 1; i < len(pts); i++ {
		// out's last point is pts[i-1] or the last good one before a spike.
		if n := spikeAt(pts, step, i, far, marks); n > 0 {
			for _, p := range pts[i : i+n] {
				gone = append(gone, p.at)
			}
			i += n - 1
			continue
		}
		out = append(out, pts[i])
	}
	return out, gone
}

// spikeAt gives the number of points of the spike that begins at point i, 0 when none does.
func spikeAt(pts []vertex, step []float64, i int, far float64, marks []geo.Waypoint) int {
	if step[i-1] < spikeTimed {
		return 0
	}
	for n := 1; n <= spikeRun && i+n < len(pts); n++ {
		before, first, last, after := &pts[i-1], &pts[i], &pts[i+n-1], &pts[i+n]
		jump := math.Min(step[i-1], step[i+n-1])
		if jump < spikeTimed || geo.Distance(before.at, after.at) > spikeBack*jump {
			continue
		}
		timed := !before.t.IsZero() && !first.t.IsZero() && !last.t.IsZero() && !after.t.IsZero()
		if timed {
			out, back := first.t.Sub(before.t).Seconds(), after.t.Sub(last.t).Seconds()
			if step[i-1] <= spikeSpeed*math.Max(out, 0) || step[i+n-1] <= spikeSpeed*math.Max(back, 0) {
				continue
			}
		} else if jump < far {
			continue
		}
		if !marked(pts[i:i+n], marks) {
			return n
		}
	}
	return 0
}

func marked(run []vertex, marks []geo.Waypoint) bool {
	for _, p := range run {
		for _, m := range marks {
			if geo.Distance(p.at, m.At) <= markedM {
				return true
			}
		}
	}
	return false
}
