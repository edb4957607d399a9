package recovery

import (
	"fmt"
	"maps"
	"math"
)

// link lists the slots of a rig, fills them, and adds the winch line and the extensions.
func (j *job) link(a *attempt, taken map[int]bool, useHook, useBridle bool) error {
	t, r, T := j.t, a.rig, a.tackle.FallLineKN
	var slots []slot
	add := func(key, title string, c class, force float64) *slot {
		slots = append(slots, slot{key: key, title: title, class: c, force: force, factor: 1})
		return &slots[len(slots)-1]
	}
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
		add("block_turn", "turning block", classBlock, a.turn.NeedKN)
		add("turn_connector", "connector of the turning block", classConnector, a.turn.NeedKN)
		j.anchorSlots(add, "turn", "turning block's anchor", AnchorKind(a.turn.Kind), a.turn.NeedKN)
	}
	side := func(key, name string, lines, blocks int, end bool) {
		for i := range blocks {
			add(fmt.Sprintf("block_%s_%d", key, i+1), "block at the "+name, classBlock, 2*T)
			add(fmt.Sprintf("block_%s_%d_connector", key, i+1), "connector of the block at the "+name, classConnector, 2*T)
		}
		if end {
			c := classConnector
			if useHook {
				c = classHook
			}
			add("line_end", "line end at the "+name, c, T)
		}
	}
	lines, blocks, end := r.far()
	side("far", farName, lines, blocks, end)
	if farPoint != "" {
		j.pointSlots(add, "far", farName, farPoint, float64(lines)*T, useBridle)
	} else {
		j.anchorSlots(add, "anchor", "anchor", a.kind, float64(lines)*T)
	}
	nl, nb, ne := r.near()
	side("near", nearName, nl, nb, ne)
	if nl > 0 {
		j.pointSlots(add, "near", nearName, nearPoint, float64(nl)*T, useBridle)
	}
	extension := float64(lines) * T
	for range taken {
		add("extension_connector", "connector of the extension", classConnector, extension)
	}
	rank := func(u unit) float64 {
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
	links := j.pool.fill(slots, maps.Clone(taken), rank, j.say)
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
	out := []Link{line}
	straps := j.pool.units[classStrap]
	for i := range straps {
		if taken[i] {
			u := straps[i]
			out = append(out, Link{Slot: "extension", Title: "extension of the line", Gear: u.gear.Title(), ForceKN: extension, LimitKN: u.limit, How: u.how, Margin: ratio(u.limit, extension)})
		}
	}
	a.links = append(out, links...)
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
func (j *job) anchorSlots(add func(string, string, class, float64) *slot, key, name string, kind AnchorKind, force float64) {
	switch kind {
	case Tree, Rock:
		s := add(key+"_strap", "strap round the "+name, classStrap, force)
		s.forTrunk, s.factor, s.note = true, j.t.Rope["basket"].Central, "both eyes in one connector, legs opening by at most 60°"
	case Vehicle:
		s := add(key+"_point", "point on the "+name, classPoint, force)
		s.place = "partner"
	case EarthHook:
	default:
		add(key+"_strap", "strap on the "+name, classStrap, force)
	}
}

// pointSlots adds the recovery point that holds so much, or two points under a bridle.
func (j *job) pointSlots(add func(string, string, class, float64) *slot, key, name, place string, force float64, bridle bool) {
	if !bridle || place == "partner" {
		add(key+"_point", "recovery point of the "+name, classPoint, force).place = place
		return
	}
	deg := j.t.SiteRule["bridle_deg"].Central
	leg := BridleLeg(force, deg)
	for i := range 2 {
		add(fmt.Sprintf("%s_point_%d", key, i+1), fmt.Sprintf("recovery point %d of the %s", i+1, name), classPoint, leg).place = place
		add(fmt.Sprintf("%s_point_%d_connector", key, i+1), fmt.Sprintf("connector of the bridle at point %d", i+1), classConnector, leg)
	}
	s := add(key+"_bridle", fmt.Sprintf("bridle at the %s, each leg at %.0f°", name, deg), classBridle, leg)
	s.note = "per leg"
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
