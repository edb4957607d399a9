package papers

import (
	"fmt"
	"slices"
	"sort"

	"lastroad/app/plot"
	"lastroad/app/trip"
	"lastroad/app/units"
	"lastroad/geo"
	"lastroad/risk"
	"lastroad/risk/catalogue"
	"lastroad/risk/recovery"
)

// state is one way to stick on this trip, with the legs on which it is the one to reckon with.
type state struct {
	stuck recovery.Stuck
	need  *risk.PullNeed // of the leg that asks for most
	legs  []int
}

// statesOf gathers the ways to stick by ground and grade, in the order of the legs.
func statesOf(j *risk.Judgement) []state {
	type kind struct {
		ground geo.Ground
		grade  float64
	}
	at := map[kind]int{}
	var out []state
	for i := range j.Legs {
		p := j.Legs[i].Needs.Pull
		if p == nil || p.Stuck.MassKg == 0 {
			continue
		}
		k := kind{p.Stuck.Ground, p.Stuck.Grade}
		n, ok := at[k]
		if !ok {
			n = len(out)
			at[k], out = n, append(out, state{stuck: p.Stuck, need: p})
		}
		out[n].legs = append(out[n].legs, i+1)
		if p.RequiredKN.Central > out[n].need.RequiredKN.Central {
			out[n].need = p
		}
	}
	return out
}

// hardest is the state that asks for the greatest pull.
func hardest(states []state) state {
	best := states[0]
	for _, s := range states {
		if s.need.RequiredKN.Central > best.need.RequiredKN.Central {
			best = s
		}
	}
	return best
}

// cardMaker makes the cards of one trip.
type cardMaker struct {
	t      *recovery.Tables
	w      Words
	states []state
	own    risk.Gear
	second *risk.Gear // nil alone
	rows   []recovery.Gear
}

// cardsOf makes the recovery cards: for every rig that the legs call for, and for the means beside the winch
// that the party carries.
func cardsOf(d *trip.Document, cat *catalogue.Catalogue, w Words) ([]Card, error) {
	states := statesOf(d.Judgement)
	if len(states) == 0 {
		return nil, nil
	}
	m := cardMaker{t: cat.Recovery, w: w, states: states}
	judged := d.Plan.Judged(d.Plan.Trip)
	var err error
	if m.own, err = risk.GearOf(cat, judged.Party, false); err != nil {
		return nil, err
	}
	m.rows = m.own.Kit.Gear
	if p := judged.Partner; p != nil && judged.Together {
		g, err := risk.GearOf(cat, *p, true)
		if err != nil {
			return nil, err
		}
		m.second, m.rows = &g, append(append([]recovery.Gear(nil), m.rows...), g.Kit.Gear...)
	}
	var out []Card
	for _, make := range []func() ([]Card, error){m.dig, m.winch, m.turn, m.buried, m.kinetic, m.static, m.tow} {
		c, err := make()
		if err != nil {
			return nil, err
		}
		out = append(out, c...)
	}
	return out, nil
}

func (w Words) cautionTexts(list []recovery.Caution) []string {
	var out []string
	for _, c := range list {
		out = append(out, w.say(c.Text))
	}
	return out
}

func (m cardMaker) groundOf(s state) string {
	t := m.w.ground(s.stuck.Ground)
	if s.stuck.Grade >= 0.005 {
		t += fmt.Sprintf(", %.0f %%", 100*s.stuck.Grade)
	}
	return t
}

func (m cardMaker) count(item string) float64 {
	n := m.own.Count(item)
	if m.second != nil {
		n += m.second.Count(item)
	}
	return n
}

func (m cardMaker) able() int {
	n := m.own.Able
	if m.second != nil {
		n += m.second.Able
	}
	return n
}

// diggable reports whether a spade does anything in a state: in bare rock it does not.
func diggable(s recovery.Stuck) bool { return s.Ground != geo.LedgeRock }

// freed is the state after digging to the side wall, where digging is of use.
func freed(s recovery.Stuck) recovery.Stuck {
	if diggable(s) {
		s.Depth = recovery.Sidewall
	}
	return s
}

// dig is digging and driving out on boards: minutes, and the pull that is left.
func (m cardMaker) dig() ([]Card, error) {
	spades, boards := int(m.count("shovel")), m.count("boards")
	if spades < 1 || !slices.ContainsFunc(m.states, func(s state) bool { return diggable(s.stuck) }) {
		return nil, nil
	}
	w := m.w
	c := Card{Title: w.T("card_dig"), State: w.T("dig_state", m.able(), spades, dec(boards, 0)), Draw: func(c plot.Canvas) { drawBoards(c, w) }, DrawH: 128,
		Head: []string{w.T("ground"), w.T("legs_head"), w.T("t_pull_hub", w.unit(units.Force)), w.T("t_dig_min"), w.T("t_pull_after", w.unit(units.Force)), w.T("t_pairs")}}
	rock := false
	for _, s := range m.states {
		if !diggable(s.stuck) {
			rock = true
			c.Rows = append(c.Rows, []string{m.groundOf(s), numbers(s.legs), w.number(units.Force, s.need.RequiredKN.Central, 0), "–", "–", "–"})
			continue
		}
		d, err := m.t.Dig(s.stuck, recovery.Sidewall, max(1, m.able()), spades)
		if err != nil {
			return nil, err
		}
		use, err := m.t.Boards(freed(s.stuck), int(boards/2), 1e6)
		if err != nil {
			return nil, err
		}
		pairs := fmt.Sprint(use.NeedPairs)
		if int(boards/2) < use.NeedPairs {
			pairs += " (" + w.T("have_only", fmt.Sprint(int(boards/2))) + ")"
		}
		c.Rows = append(c.Rows, []string{m.groundOf(s), numbers(s.legs), w.number(units.Force, d.Before.CentralKN, 0), fmt.Sprintf("%s (%s–%s)", dec(d.CentralMin, 0), dec(d.LowMin, 0), dec(d.HighMin, 0)), w.number(units.Force, d.After.CentralKN, 0), pairs})
	}
	wheel := hardest(m.states).stuck.MassKg * m.t.Jacking["wheel_share"].Central
	c.Steps = []string{w.T("dig_1"), w.T("dig_2"), w.T("dig_3", w.kg(wheel)), w.T("dig_4")}
	if rock {
		c.Steps = append(c.Steps, w.T("dig_rock"))
	}
	c.Cautions = w.cautionTexts(m.t.Cautions("dig", "boards"))
	return []Card{c}, nil
}

// winch is one card for each different rig, for the hardest state that it is planned for. A rig that does
// not hold is shown too, and says so: it is the one that comes nearest, with what would mend it.
func (m cardMaker) winch() ([]Card, error) {
	at := map[string]int{}
	var groups []state
	for _, s := range m.states {
		p := s.need
		if p.Working == nil || p.Working.Rig.Key == "" {
			continue
		}
		k := fmt.Sprint(p.Working.Rig.Key, p.Working.Rig.Helper, p.Working.Rig.Manual, p.Working.Anchor.Kind, p.Rig != "")
		n, ok := at[k]
		if !ok {
			at[k], groups = len(groups), append(groups, s)
			continue
		}
		g := &groups[n]
		g.legs = append(append([]int(nil), g.legs...), s.legs...)
		if p.RequiredKN.Central > g.need.RequiredKN.Central {
			g.need = p
		}
	}
	var out []Card
	for _, g := range groups {
		sort.Ints(g.legs)
		p := g.need
		c := Card{Title: capital(m.w.say(p.Working.Rig.Title)), State: fmt.Sprintf("%s: %s. %s.", m.w.say(p.State), m.w.band(units.Force, p.RequiredKN, 1), m.w.legs(g.legs)), Steps: m.w.sayAll(p.Steps), Cautions: m.w.sayAll(p.Cautions), DrawH: 140}
		if p.Rig == "" {
			c.Title += " – " + m.w.T("fails")
			c.Alarm = []string{m.w.T("pull_none", m.w.say(p.Fails))}
			for _, x := range p.Working.Cures {
				c.Alarm = append(c.Alarm, "• "+m.w.say(x.Text))
			}
		}
		if d := p.Working.Diagram(); len(d.Nodes) > 0 {
			c.Draw = func(c plot.Canvas) { m.w.drawRig(c, d) }
		}
		out = append(out, c)
	}
	return out, nil
}

// kit is the gear with a winch that can be used: the own one, else the second vehicle's.
func (m cardMaker) kit() (k recovery.Kit, ok bool) {
	k = m.own.Kit
	k.Gear = m.rows
	if k.Winch == nil && m.second != nil {
		k.Winch = m.second.Kit.Winch
	}
	if k.HandWinch == nil && m.second != nil {
		k.HandWinch = m.second.Kit.HandWinch
	}
	return k, k.Winch != nil || k.HandWinch != nil
}

// turn is a single line round a turning block, and what the block and its anchor bear by the angle.
func (m cardMaker) turn() ([]Card, error) {
	kit, ok := m.kit()
	if !ok || m.count("block") < 1 {
		return nil, nil
	}
	w := m.w
	s := hardest(m.states)
	const angle = 120
	site := recovery.Site{Anchors: []recovery.Anchor{{Kind: recovery.Tree}}, Turn: &recovery.Turn{AngleDeg: angle, DistanceM: 10, Anchor: recovery.Anchor{Kind: recovery.Tree}}}
	work, err := m.t.Plan(freed(s.stuck), kit, site)
	if err != nil {
		return nil, err
	}
	fall := work.Tackle.FallLineKN
	c := Card{Title: w.T("card_turn"), State: w.T("turn_state", w.kN(fall, 0), angle), Head: []string{w.T("t_angle"), "180°", "150°", "120°", "90°", "60°", "30°"}, DrawH: 140}
	row := []string{w.T("t_block")}
	for _, a := range []float64{180, 150, 120, 90, 60, 30} {
		row = append(row, w.kN(recovery.BlockLoad(fall, a), 0))
	}
	c.Rows = [][]string{row}
	if d := work.Diagram(); len(d.Nodes) > 0 {
		c.Draw = func(c plot.Canvas) { m.w.drawRig(c, d) }
	}
	c.Steps = []string{w.T("turn_1"), w.T("turn_2"), w.T("turn_3")}
	c.Cautions = w.cautionTexts(m.t.Cautions("line", "winch", "anchor"))
	return []Card{c}, nil
}

// buried is the buried anchor: what a wheel and a log hold by depth and soil.
func (m cardMaker) buried() ([]Card, error) {
	if _, ok := m.kit(); !ok {
		return nil, nil
	}
	w := m.w
	// What the anchor has to hold: the load on it after digging to the side wall (not in bare rock), by the rig that is planned
	// for that, else the pull itself.
	pull, err := m.t.RequiredPull(freed(hardest(m.states).stuck))
	if err != nil {
		return nil, err
	}
	const slope, face, long, wheel = 0.5, 0.25, 1.25, 0.75
	c := Card{Title: w.T("card_buried"), State: w.T("buried_state", w.metres(wheel, 2), w.metres(face, 2), w.metres(long, 2), w.kN(pull.CentralKN, 0)), Draw: func(c plot.Canvas) { drawBuried(c, w) }, DrawH: 150,
		Head: []string{w.T("t_depth")}}
	soils := []string{"loam", "sand", "wet"}
	for _, s := range soils {
		c.Head = append(c.Head, w.T("t_wheel", w.T("soil_"+s)))
	}
	for _, s := range soils {
		c.Head = append(c.Head, w.T("t_log", w.T("soil_"+s)))
	}
	for _, depth := range []float64{0.91, 1.22, 1.52, 1.83} { // the rows of TM 5-5420-278-10: 3, 4, 5, 6 ft
		row := []string{w.metres(depth, 2)}
		for _, a := range []recovery.Anchor{{Kind: recovery.SpareWheel, FaceM: wheel}, {Kind: recovery.Deadman, FaceM: face, LengthM: long, Log: true}} {
			for _, s := range soils {
				a.DepthM, a.Slope, a.Soil = depth, slope, s
				h, err := m.t.AnchorHold(a)
				if err != nil {
					return nil, err
				}
				row = append(row, w.kN(h.KN, 0))
			}
		}
		c.Rows = append(c.Rows, row)
	}
	low, mid, high := m.t.DeadmanDigMin(1.2, "loam", max(1, m.able()))
	c.Steps = []string{w.T("buried_1"), w.T("buried_2"), w.T("buried_3", w.metres(1.2, 1), dec(mid, 0), dec(low, 0), dec(high, 0)), w.T("buried_4")}
	c.Cautions = w.cautionTexts(m.t.Cautions("buried", "anchor"))
	return []Card{c}, nil
}

// numbers writes leg numbers with runs as "3–5".
func numbers(n []int) string {
	t := english.legs(n)
	if len(n) == 1 {
		return fmt.Sprint(n[0])
	}
	return t[len("Legs "):]
}
