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

// The mass that recoveries are reckoned with is said where it is assumed: the permitted one, heavy or light as the load may
// be; a laden mass that is given goes before it and needs no words.
func TestTheMassOfRecoveriesIsSaid(t *testing.T) {
	s := made(stretch{20, pure(geo.Sand), 0, 20})
	for _, c := range []struct {
		water, laden, massKg float64
		said                 int
	}{{60, 0, 2950, 2}, {200, 0, 2950, 2}, {60, 2700, 2700, 1}} { // 2950 kg: permitted mass of the class in vehicles.toml
		tr := usualTrip()
		tr.Party.Load = append(tr.Party.Load, load("water", c.water)...)
		tr.Party.Vehicle.LadenKg = c.laden
		j := judge(t, s, tr, Options{Quick: true})
		if got := j.Legs[0].Needs.Pull.Stuck.MassKg; got != c.massKg {
			t.Errorf("with %g L of water and %g kg given: reckoned with %g kg, want %g", c.water, c.laden, got, c.massKg)
		}
		said := 0
		for _, n := range j.Notes {
			if strings.Contains(n, "are reckoned at its permitted mass, 2950 kg, whatever the load adds up to") {
				said++
			}
		}
		if said != c.said { // of both vehicles, or of the second alone
			t.Errorf("with %g L of water and %g kg given it is said %d times, want %d: %q", c.water, c.laden, said, c.said, j.Notes)
		}
	}
}
