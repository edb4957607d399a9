package papers

import (
	"fmt"

	"lastroad/app/plot"
	"lastroad/app/units"
	"lastroad/geo"
	"lastroad/risk/recovery"
)

// points are the strongest recovery points with a rating of the own and of the second vehicle, and whether
// both are there.
func (m cardMaker) points() (own, theirs recovery.Gear, ok bool) {
	best := func(partner bool) (g recovery.Gear) {
		kn := 0.0
		for _, x := range m.rows {
			switch x.Kind {
			case recovery.FramePoint, recovery.BoltedPoint, recovery.Receiver:
				if b := m.t.Bears(x); (x.Place == "partner") == partner && b.Refused == "" && b.KN > kn {
					g, kn = x, b.KN
				}
			}
		}
		return g
	}
	own, theirs = best(false), best(true)
	return own, theirs, own.Kind != "" && theirs.Kind != ""
}

// links are the connectors with a rating of which there are two.
func (m cardMaker) links() []recovery.Gear {
	var out []recovery.Gear
	for _, x := range m.rows {
		if (x.Kind == recovery.Shackle || x.Kind == recovery.SoftShackle) && x.Count >= 2 && m.t.Bears(x).Refused == "" {
			out = append(out, x)
		}
	}
	return out
}

func (m cardMaker) ofKind(kinds ...recovery.Kind) []recovery.Gear {
	var out []recovery.Gear
	for _, x := range m.rows {
		for _, k := range kinds {
			if x.Kind == k {
				out = append(out, x)
			}
		}
	}
	return out
}

// kinetic is the pull on a stretching line, after digging to the side wall.
func (m cardMaker) kinetic() ([]Card, error) {
	lines := m.ofKind(recovery.KineticStrap, recovery.KineticRope)
	if m.second == nil || len(lines) == 0 {
		return nil, nil
	}
	w := m.w
	own, theirs, both := m.points()
	// best is the pull with the best margin of all lines and connectors; without points and connectors it
	// still tells the peak force, and which check fails.
	best := func(s state) (k recovery.KineticPull, g recovery.Gear, err error) {
		stuck := freed(s.stuck)
		first := true
		for _, line := range lines {
			for _, link := range append(m.links(), recovery.Gear{}) {
				ask := recovery.KineticAsk{Stuck: stuck, StuckGVMKg: m.own.GVMKg, TugKg: m.second.MassKg, TugGVMKg: m.second.GVMKg, Gear: line}
				if both {
					ask.Points = append(ask.Points, own, theirs)
				}
				if link.Kind != "" {
					ask.Points = append(ask.Points, link)
				} else if len(m.links()) > 0 {
					continue // there are connectors: one is used
				}
				got, err := m.t.Kinetic(ask)
				if err != nil {
					return k, g, err
				}
				if first || got.Holds && !k.Holds || got.Holds == k.Holds && got.Margin > k.Margin {
					k, g, first = got, line, false
				}
			}
		}
		return k, g, nil
	}
	worst := hardest(m.states)
	k, line, err := best(worst)
	if err != nil {
		return nil, err
	}
	c := Card{Title: w.T("card_kinetic"), State: w.T("kinetic_state", w.say(line.Title()), w.metres(line.LengthM, 0), w.kg(m.second.MassKg)), DrawH: 120,
		Draw: func(c plot.Canvas) { drawPull(c, w, true, k.ClearM) },
		Head: []string{w.T("ground"), w.T("legs_head"), w.T("t_pull_after", w.unit(units.Force)), w.T("t_peak", w.unit(units.Force)), w.T("t_safe", w.unit(units.Speed)), w.T("t_does")}}
	for _, s := range m.states {
		k, _, err := best(s)
		if err != nil {
			return nil, err
		}
		does, safe := w.T("yes"), w.most(units.Speed, k.SafeKmh, 1)
		if !k.Holds {
			does, safe = w.T("no"), "–"
		}
		c.Rows = append(c.Rows, []string{m.groundOf(s), numbers(s.legs), w.number(units.Force, k.Pull.CentralKN, 0), fmt.Sprintf("%s–%s", w.number(units.Force, k.Peak[0], 0), w.number(units.Force, k.Peak[2], 0)), safe, does})
	}
	for _, x := range k.Checks {
		mark := w.T("holds")
		if !x.OK {
			mark = w.T("fails")
		}
		c.Checks = append(c.Checks, fmt.Sprintf("%s: %s (%s)", w.say(x.Title), w.say(x.Text), mark))
	}
	c.Steps = append(c.Steps, w.T("kinetic_1", w.metres(k.SlackM, 1)), w.T("kinetic_2", w.least(units.Length, k.ClearM, 0)))
	c.Cautions = w.cautionTexts(k.Cautions)
	return []Card{c}, nil
}

// static is the steady pull on a static strap by the second vehicle's wheels.
func (m cardMaker) static() ([]Card, error) {
	straps := m.ofKind(recovery.Strap, recovery.ExtRope)
	if m.second == nil || len(straps) == 0 {
		return nil, nil
	}
	w := m.w
	own, theirs, both := m.points()
	best := func(s state) (k recovery.StrapPull, g recovery.Gear, err error) {
		stuck := freed(s.stuck)
		first := true
		for _, strap := range straps {
			for _, link := range append(m.links(), recovery.Gear{}) {
				gear := []recovery.Gear{strap}
				if both {
					gear = append(gear, own, theirs)
				}
				if link.Kind != "" {
					gear = append(gear, link)
				} else if len(m.links()) > 0 {
					continue
				}
				got, err := m.t.StrapTow(stuck, m.second.MassKg, stuck.Ground, m.second.DrivenShare, gear)
				if err != nil {
					return k, g, err
				}
				if first || got.Margin > k.Margin {
					k, g, first = got, strap, false
				}
			}
		}
		return k, g, nil
	}
	_, strap, err := best(hardest(m.states))
	if err != nil {
		return nil, err
	}
	c := Card{Title: w.T("card_static"), State: w.T("static_state", w.say(strap.Title()), w.metres(strap.LengthM, 0), w.kg(m.second.MassKg)), DrawH: 100,
		Draw: func(c plot.Canvas) { drawPull(c, w, false, m.t.ClearDistanceM(strap.LengthM, 0)) },
		Head: []string{w.T("ground"), w.T("legs_head"), w.T("t_pull_after", w.unit(units.Force)), w.T("t_tug", w.unit(units.Force)), w.T("t_weak"), w.T("t_does")}, Wide: 4}
	for _, s := range m.states {
		k, _, err := best(s)
		if err != nil {
			return nil, err
		}
		does := w.T("yes")
		if !k.Holds || !both {
			does = w.T("no")
		}
		c.Rows = append(c.Rows, []string{m.groundOf(s), numbers(s.legs), w.number(units.Force, k.Pull.CentralKN, 0), fmt.Sprintf("%s (%s–%s)", w.number(units.Force, k.Tug.CentralKN, 0), w.number(units.Force, k.Tug.LowKN, 0), w.number(units.Force, k.Tug.HighKN, 0)), w.say(k.WeakLink), does})
		c.Cautions = w.cautionTexts(k.Cautions)
	}
	c.Steps = []string{w.T("static_1"), w.T("static_2"), w.T("static_3")}
	if !both {
		c.Steps = append(c.Steps, w.T("static_no_points"))
	}
	return []Card{c}, nil
}

// tow is towing a vehicle that rolls, over the grounds of the trip.
func (m cardMaker) tow() ([]Card, error) {
	if m.second == nil || len(m.ofKind(recovery.Strap, recovery.ExtRope)) == 0 {
		return nil, nil
	}
	w := m.w
	c := Card{Title: w.T("card_tow"), DrawH: 100, Head: []string{w.T("ground"), w.T("t_start", w.unit(units.Force)), w.T("t_roll", w.unit(units.Force)), w.T("t_tug", w.unit(units.Force)), w.T("t_does")}}
	seen := map[string]bool{}
	var strap [2]float64
	speed := 0.0
	add := func(g geo.Ground, grade float64, name string) error {
		if seen[name] {
			return nil
		}
		seen[name] = true
		k, err := m.t.Tow(recovery.TowAsk{MassKg: m.own.MassKg, Ground: g, Grade: grade, TugKg: m.second.MassKg, Brakes: true})
		if err != nil {
			return err
		}
		does := w.T("yes")
		if !k.Holds {
			does = w.T("no")
		}
		strap, speed = k.StrapM, k.SpeedKmh
		c.Rows = append(c.Rows, []string{name, w.number(units.Force, k.StartKN, 1), w.number(units.Force, k.SteadyKN, 1), w.number(units.Force, k.TugKN, 1), does})
		c.Cautions = w.cautionTexts(k.Cautions)
		return nil
	}
	if err := add(geo.Gravel, 0, w.ground(geo.Gravel)+", 0 %"); err != nil {
		return nil, err
	}
	for _, s := range m.states {
		if err := add(s.stuck.Ground, s.stuck.Grade, m.groundOf(s)); err != nil {
			return nil, err
		}
	}
	c.State = w.T("tow_state", w.kg(m.own.MassKg), w.kg(m.second.MassKg), w.metres(strap[0], 1), w.metres(strap[1], 1), w.most(units.Speed, speed, 0)+nbsp+w.unit(units.Speed))
	c.Steps = []string{w.T("tow_1"), w.T("tow_2"), w.T("tow_3")}
	return []Card{c}, nil
}
