package survey

import (
	"math"

	"lastroad/geo"
)

// field is a number of a sample that is unknown where it is NaN: its name in the saved survey, the units a
// metre (or other SI unit) it is kept in, and where it stands.
type field struct {
	key   string
	scale float64
	at    func(s *geo.Sample) *float64
	// later fields may be missing in a saved survey and are then unknown.
	later bool
}

// fields are in the order of the file. The steps are far below what any of the numbers is good for:
// 1 mm along the route, 1 cm on the ground, 1e-5 of grade, 0.1 s.
var fields = []field{
	{"distance_mm", 1e3, func(s *geo.Sample) *float64 { return &s.DistanceM }, false},
	{"lon_e7", 1e7, func(s *geo.Sample) *float64 { return &s.Lon }, false},
	{"lat_e7", 1e7, func(s *geo.Sample) *float64 { return &s.Lat }, false},
	{"height_cm", 1e2, func(s *geo.Sample) *float64 { return &s.HeightM }, false},
	{"grade_e5", 1e5, func(s *geo.Sample) *float64 { return &s.Grade }, false},
	{"grade_band_e5", 1e5, func(s *geo.Sample) *float64 { return &s.GradeBand }, false},
	{"side_e5", 1e5, func(s *geo.Sample) *float64 { return &s.Side }, false},
	{"side_band_e5", 1e5, func(s *geo.Sample) *float64 { return &s.SideBand }, false},
	{"road_cm", 1e2, func(s *geo.Sample) *float64 { return &s.RoadM }, false},
	{"road_lon_e7", 1e7, func(s *geo.Sample) *float64 { return &s.RoadAt[0] }, false},
	{"road_lat_e7", 1e7, func(s *geo.Sample) *float64 { return &s.RoadAt[1] }, false},
	{"drive_dm", 1e1, func(s *geo.Sample) *float64 { return &s.DriveM }, false},
	{"drive_e3min", 1e3, func(s *geo.Sample) *float64 { return &s.DriveMin }, false},
	{"ahead_dm", 1e1, func(s *geo.Sample) *float64 { return &s.AheadM }, false},
	{"ahead_e3min", 1e3, func(s *geo.Sample) *float64 { return &s.AheadMin }, false},
	{"back_dm", 1e1, func(s *geo.Sample) *float64 { return &s.BackM }, false},
	{"back_e3min", 1e3, func(s *geo.Sample) *float64 { return &s.BackMin }, false},
	{"walk_e2min", 1e2, func(s *geo.Sample) *float64 { return &s.WalkMin }, false},
	{"drive_time_cs", 1e2, func(s *geo.Sample) *float64 { return &s.DriveS }, false},
	{"edge_m", 1, func(s *geo.Sample) *float64 { return &s.EdgeM }, true},
}

// helpScale keeps distances to places of help in centimetres.
const helpScale = 1e2

// flags of a sample as bits of one number.
const (
	flagRegion = 1 << iota
	flagKept
	flagWalkEst
	flagRoadAtMost
	flagsEnd
)

func flagsOf(s *geo.Sample) (f int64) {
	if s.InRegion {
		f |= flagRegion
	}
	if s.Kept {
		f |= flagKept
	}
	if s.WalkEst {
		f |= flagWalkEst
	}
	if s.RoadAtMost {
		f |= flagRoadAtMost
	}
	return f
}

func setFlags(s *geo.Sample, f int64) {
	s.InRegion, s.Kept = f&flagRegion != 0, f&flagKept != 0
	s.WalkEst, s.RoadAtMost = f&flagWalkEst != 0, f&flagRoadAtMost != 0
}

// round brings every number of the samples to the units in which a survey is saved, so that a survey
// read back is equal to the one that was measured.
func round(samples []geo.Sample) {
	for i := range samples {
		s := &samples[i]
		for k := range fields {
			v := fields[k].at(s)
			*v = toUnits(*v, fields[k].scale)
		}
		for k := range s.HelpM {
			s.HelpM[k] = toUnits(s.HelpM[k], helpScale)
		}
	}
}

// toUnits rounds to whole units; an infinite number, which would mean "cannot be reached", becomes unknown.
func toUnits(v, scale float64) float64 {
	if math.IsInf(v, 0) {
		return math.NaN()
	}
	u := math.Round(v * scale)
	if u == 0 {
		return 0 // no negative zero
	}
	return u / scale
}
