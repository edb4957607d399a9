package risk

import (
	"strings"
	"testing"

	"lastroad/geo"
)

// A leg's tyres are set for what is likely and long enough there: the rocks that a gravel road may hold in one place
// out of twenty do not bind a whole leg to walking pace, and two kilometres of certain sand do ask for
// the pressure of sand.
func TestTyresAreSetForLikelyGround(t *testing.T) {
	road := geo.GroundMix{Known: true, Reason: "surface=gravel"}
	road.P[geo.Gravel], road.P[geo.FirmTrack], road.P[geo.LooseRock] = 0.8, 0.15, 0.05
	vague := geo.GroundMix{Reason: "track without tags"}
	vague.P[geo.FirmTrack], vague.P[geo.Sand] = 0.75, 0.25
	for _, r := range []struct {
		name   string
		parts  []stretch
		ground geo.Ground
	}{
		{"gravel with a few rocks", []stretch{{20, road, 0, 20}}, geo.Gravel},
		{"sand with one in four", []stretch{{20, vague, 0, 20}}, geo.Sand},
		{"two kilometres of sand in fourteen", []stretch{{12, pure(geo.Gravel), 0, 20}, {2, pure(geo.Sand), 0, 20}}, geo.Sand},
		{"a hundred metres of sand in twenty kilometres", []stretch{{20, pure(geo.Gravel), 0, 20}, {0.1, pure(geo.Sand), 0, 20}}, geo.Gravel},
		{"sealed", []stretch{{20, pure(geo.Sealed), 0, 20}}, geo.Sealed},
	} {
		s := made(r.parts...)
		s.Legs = []geo.Leg{{From: 0, To: len(s.Samples) - 1}}
		n := judge(t, s, usualTrip(), Options{Quick: true}).Legs[0].Needs
		if !strings.HasPrefix(n.PressureReason, r.ground.String()+":") {
			t.Errorf("%s: the tyres are set for %q, want %s", r.name, n.PressureReason, r.ground)
		}
	}
}
