package recovery

import (
	"fmt"
	"math"
	"math/bits"
	"slices"
)

// slot adds a place in the chain. Its key and title are made only where texts are wanted. The pointer is good until
// the next one is added.
func (j *job) slot(c class, force float64, name func() (key, title string)) *slot {
	s := slot{class: c, force: force, factor: 1}
	if j.say {
		s.key, s.title = name()
	}
	j.slots = append(j.slots, s)
	return &j.slots[len(j.slots)-1]
}

// link lists the slots of a rig, fills them, and adds the winch line and the extensions ext.
func (j *job) link(a *attempt, ext uint, useHook, useBridle bool) error {
	t, r, T := j.t, a.rig, a.tackle.FallLineKN
	j.slots = j.slots[:0]
	farName, nearName := "anchor", "vehicle"
	farPoint, nearPoint := "", a.winch.Place
	if nearPoint == "" {
		nearPoint = "front"
	}
	if r.Helper {
		farName, nearName = "stuck vehicle", "winch vehicle"
		farPoint, nearPoint = "own", "partner"
	}
	if r.Turn {
		j.slot(classBlock, a.turn.NeedKN, func() (string, string) { return "block_turn", "turning block" })
		j.slot(classConnector, a.turn.NeedKN, func() (string, string) { return "turn_connector", "connector of the turning block" })
		j.anchorSlots("turn", "turning block's anchor", AnchorKind(a.turn.Kind), a.turn.NeedKN)
	}
	side := func(key, name string, lines, blocks int, end bool) {
		for i := range blocks {
			j.slot(classBlock, 2*T, func() (string, string) { return fmt.Sprintf("block_%s_%d", key, i+1), "block at the " + name })
			j.slot(classConnector, 2*T, func() (string, string) {
				return fmt.Sprintf("block_%s_%d_connector", key, i+1), "connector of the block at the " + name
			})
		}
		if end {
			c := classConnector
			if useHook {
				c = classHook
			}
			j.slot(c, T, func() (string, string) { return "line_end", "line end at the " + name })
		}
	}
	lines, blocks, end := r.far()
	side("far", farName, lines, blocks, end)
	if farPoint != "" {
		j.pointSlots("far", farName, farPoint, float64(lines)*T, useBridle)
	} else {
		j.anchorSlots("anchor", "anchor", a.kind, float64(lines)*T)
	}
	nl, nb, ne := r.near()
	side("near", nearName, nl, nb, ne)
	if nl > 0 {
		j.pointSlots("near", nearName, nearPoint, float64(nl)*T, useBridle)
	}
	extension := float64(lines) * T
	for range bits.OnesCount(ext) {
		j.slot(classConnector, extension, func() (string, string) { return "extension_connector", "connector of the extension" })
	}
	rank := func(u *unit) float64 {
		if u.gear.Kind != Block || u.gear.SheaveMM == 0 {
			return u.limit
		}
		// A small sheave weakens the line: rank the block by the weaker of the two.
		l, _, err := t.ropeLimit(a.winch.Rope, true, u.gear.SheaveMM, false)
		if err != nil {
			return u.limit
		}
		return min(u.limit, 2*l)
	}
	ahead := 1 + bits.OnesCount(ext) // the winch line and its extensions
	a.links = slices.Grow(a.links, ahead+len(j.slots))[:ahead+len(j.slots)]
	links := a.links[ahead:]
	j.pool.fill(links, j.slots, ext, rank, j.say)
	sheave, bent := 0.0, r.Sheaves > 0
	if bent {
		sheave = smallestSheave(links)
	}
	limit, how, err := t.ropeLimit(a.winch.Rope, bent, sheave, j.say)
	if err != nil {
		return err
	}
	line := Link{Slot: "winch_line", Title: "winch line", ForceKN: T, LimitKN: limit, How: how, Margin: ratio(limit, T)}
	if mbs, _, err := t.breaking(a.winch.Rope, false); err == nil && limit > 0 {
		line.rope = mbs / limit
	}
	line.Gear = "rope"
	if j.say {
		line.Gear = fmt.Sprintf("%g mm %s rope", a.winch.Rope.DiameterMM, a.winch.Rope.Material)
	}
	chain := append(a.links[:0], line)
	straps := j.pool.units[classStrap]
	for i := range straps {
		if extends(ext, i) {
			u := straps[i]
			chain = append(chain, Link{Slot: "extension", Title: "extension of the line", Gear: u.gear.Title(), ForceKN: extension, LimitKN: u.limit, How: u.how, Margin: ratio(u.limit, extension)})
		}
	}
	return nil
}

// MostMargin is the largest margin that is told: a link without force has no use for more.
const MostMargin = 1000

// ratio is limit over force, at most MostMargin.
func ratio(limit, force float64) float64 {
	if force <= 0 || limit > MostMargin*force {
		return MostMargin
	}
	return limit / force
}

// anchorSlots adds what ties the line to an anchor of the given kind.
func (j *job) anchorSlots(key, name string, kind AnchorKind, force float64) {
	switch kind {
	case Tree, Rock:
		s := j.slot(classStrap, force, func() (string, string) { return key + "_strap", "strap round the " + name })
		s.forTrunk, s.factor, s.note = true, j.t.Rope["basket"].Central, "both eyes in one connector, legs opening by at most 60°"
	case Vehicle:
		j.slot(classPoint, force, func() (string, string) { return key + "_point", "point on the " + name }).place = "partner"
	case EarthHook:
	default:
		j.slot(classStrap, force, func() (string, string) { return key + "_strap", "strap on the " + name })
	}
}

// pointSlots adds the recovery point that holds so much, or two points under a bridle.
func (j *job) pointSlots(key, name, place string, force float64, bridle bool) {
	if !bridle || place == "partner" {
		j.slot(classPoint, force, func() (string, string) { return key + "_point", "recovery point of the " + name }).place = place
		return
	}
	deg := j.t.SiteRule["bridle_deg"].Central
	leg := BridleLeg(force, deg)
	for i := range 2 {
		j.slot(classPoint, leg, func() (string, string) {
			return fmt.Sprintf("%s_point_%d", key, i+1), fmt.Sprintf("recovery point %d of the %s", i+1, name)
		}).place = place
		j.slot(classConnector, leg, func() (string, string) {
			return fmt.Sprintf("%s_point_%d_connector", key, i+1), fmt.Sprintf("connector of the bridle at point %d", i+1)
		})
	}
	j.slot(classBridle, leg, func() (string, string) {
		return key + "_bridle", fmt.Sprintf("bridle at the %s, each leg at %.0f°", name, deg)
	}).note = "per leg"
}

// smallestSheave is the smallest sheave among the blocks used, 0 when one of them is not known.
func smallestSheave(links []Link) float64 {
	least := math.Inf(1)
	for _, l := range links {
		if l.piece != nil && l.piece.Kind == Block {
			least = min(least, l.piece.SheaveMM)
		}
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return least
}
