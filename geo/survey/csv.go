package survey

import (
	"bufio"
	"encoding/csv"
	"io"
	"math"
	"strconv"

	"lastroad/geo"
)

// Columns are the columns that WriteCSV writes, in order; units are in the names, an empty cell is unknown.
//
//	distance_m      along the route from its start
//	lat, lon        degrees, WGS84
//	way_id          the OpenStreetMap way that is followed; empty off the ways
//	highway         its class
//	ground          the ground class by key; "unknown" where nothing says
//	ground_reason   what that rests on
//	kept            1 on a maintained road, else 0; empty where the ground data do not reach
//	height_m        above the geoid
//	grade           rise over run in driving direction, and grade_band the half-width of its 95 % band
//	side_slope      across the line, rise over run, and side_band likewise
//	road_m          straight to the nearest maintained road; road_at_most is 1 where a nearer one may lie beyond the data
//	drive_m         driving to a maintained road the quicker way, drive_min the minutes
//	ahead_min       the same along the route itself going on, back_min turning back
//	walk_min        on foot to a maintained road; walk_estimate is 1 where it is the straight distance with a detour factor
//	edge_m          how far from here the ground data surely reach, straight
//	fuel_m ...      straight to the nearest place of each kind of help; fuel_at_most is 1 where a nearer one may lie beyond the data
//	fuel_ahead_m    driving to the quickest place of the kind when going on along the route, fuel_ahead_min the minutes,
//	fuel_back_m     and the same when turning back; each for every kind
//	drive_time_s    driving time from the start, without stops
//	leg             number of the leg, from 1
var Columns = append(append([]string{"distance_m", "lat", "lon", "way_id", "highway", "ground", "ground_reason", "kept", "height_m",
	"grade", "grade_band", "side_slope", "side_band", "road_m", "road_at_most", "drive_m", "drive_min", "ahead_min", "back_min",
	"walk_min", "walk_estimate", "edge_m"}, helpColumns()...), "drive_time_s", "leg")

func helpColumns() []string {
	var out []string
	for k := geo.HelpKind(0); k < geo.NumHelp; k++ {
		out = append(out, k.Key()+"_m", k.Key()+"_at_most", k.Key()+"_ahead_m", k.Key()+"_ahead_min", k.Key()+"_back_m", k.Key()+"_back_min")
	}
	return out
}

// WriteCSV writes the samples of a survey as comma-separated values (RFC 4180 with LF), one row a sample
// below a row of the names in [Columns]. A sample that two legs share belongs to the later one.
func WriteCSV(w io.Writer, s *geo.Survey) error {
	buf := bufio.NewWriter(w)
	c := csv.NewWriter(buf)
	if err := c.Write(Columns); err != nil {
		return err
	}
	row := make([]string, 0, len(Columns))
	leg := 0
	for i := range s.Samples {
		q := &s.Samples[i]
		for leg+1 < len(s.Legs) && s.Legs[leg+1].From <= i {
			leg++
		}
		row = append(row[:0], num(q.DistanceM, 3), num(q.Lat, 7), num(q.Lon, 7))
		if q.Way >= 0 && int(q.Way) < len(s.Ways) {
			row = append(row, strconv.FormatInt(s.Ways[q.Way].ID, 10), s.Ways[q.Way].Highway)
		} else {
			row = append(row, "", "")
		}
		if int(q.Ground) < len(s.Grounds) {
			row = append(row, s.Grounds[q.Ground].Main().Key(), s.Grounds[q.Ground].Reason)
		} else {
			row = append(row, geo.Unknown.Key(), "")
		}
		kept := ""
		if q.InRegion || q.Way >= 0 {
			kept = flag(q.Kept)
		}
		row = append(row, kept, num(q.HeightM, 2), num(q.Grade, 5), num(q.GradeBand, 5), num(q.Side, 5), num(q.SideBand, 5), num(q.RoadM, 2))
		row = append(row, flagIf(!math.IsNaN(q.RoadM), q.RoadAtMost), num(q.DriveM, 1), num(q.DriveMin, 3), num(q.AheadMin, 3), num(q.BackMin, 3))
		row = append(row, num(q.WalkMin, 2), flagIf(!math.IsNaN(q.WalkMin), q.WalkEst), num(q.EdgeM, 0))
		for k := geo.HelpKind(0); k < geo.NumHelp; k++ {
			row = append(row, num(q.HelpM[k], 2), flagIf(!math.IsNaN(q.HelpM[k]), q.HelpAtMost(k)))
			for _, to := range [2]func(int, geo.HelpKind) (geo.Drive, bool){s.HelpAhead, s.HelpBack} {
				if d, ok := to(i, k); ok {
					row = append(row, num(d.M, 0), num(d.Min, 2))
				} else {
					row = append(row, "", "")
				}
			}
		}
		row = append(row, num(q.DriveS, 2))
		if len(s.Legs) > 0 {
			row = append(row, strconv.Itoa(leg+1))
		} else {
			row = append(row, "")
		}
		if err := c.Write(row); err != nil {
			return err
		}
	}
	c.Flush()
	if err := c.Error(); err != nil {
		return err
	}
	return buf.Flush()
}

func num(v float64, digits int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return ""
	}
	return strconv.FormatFloat(v, 'f', digits, 64)
}

func flag(b bool) string {
	if b {
		return "1"
	}
	return "0"
}

func flagIf(known, b bool) string {
	if !known {
		return ""
	}
	return flag(b)
}
