package risk

import (
	"strings"
	"testing"

	"lastroad/geo"
)

// A track that is firm with 0.9 and mud with 0.1 is not said to ask for a recovery from mud, although mud, which
// bogs 75 times as often, holds most of the bogging; with 0.25 it is, and the chance is said. Known mud on a part of
// the leg counts however short, as long as it holds a twentieth of the bogging.
func TestDesignRecoveryTakesLikelyGround(t *testing.T) {
	mix := func(firm, mud float64) geo.GroundMix {
		m := geo.GroundMix{Reason: "track without tags"}
		m.P[geo.FirmTrack], m.P[geo.Mud] = firm, mud
		return m
	}
	whole := func(parts ...stretch) *geo.Survey {
		s := made(parts...)
		s.Legs = []geo.Leg{{From: 0, To: len(s.Samples) - 1}}
		return s
	}
	for _, r := range []struct {
		name   string
		survey *geo.Survey
		ground geo.Ground
		chance float64
	}{
		{"mud with one in ten", whole(stretch{20, mix(0.9, 0.1), 0, 20}), geo.FirmTrack, 0.9},
		{"mud with one in four", whole(stretch{20, mix(0.75, 0.25), 0, 20}), geo.Mud, 0.25},
		{"known ground", whole(stretch{20, pure(geo.Sand), 0, 20}), geo.Sand, 1},
		{"a kilometre of known mud", whole(stretch{20, pure(geo.FirmTrack), 0, 20}, stretch{1, pure(geo.Mud), 0, 20}), geo.Mud, 1},
	} {
		j := judge(t, r.survey, usualTrip(), Options{Quick: true})
		p := j.Legs[0].Needs.Pull
		if p == nil || p.Ground != r.ground || p.GroundChance != r.chance {
			t.Fatalf("%s: the design recovery is %+v, want %s with %g", r.name, p, r.ground, r.chance)
		}
		if p.Stuck.Ground != r.ground || !strings.Contains(p.State, r.ground.String()) {
			t.Errorf("%s: the state is %q in %s, want %s", r.name, p.State, p.Stuck.Ground, r.ground)
		}
		if (p.GroundNote == "") != (r.chance == 1) || r.chance < 1 && !strings.Contains(p.GroundNote, r.ground.String()) {
			t.Errorf("%s: the note is %q", r.name, p.GroundNote)
		}
	}
}
