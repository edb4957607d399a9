package recovery

import (
	"fmt"
	"math"

	"lastroad/geo"
)

// working turns the chosen attempt into a Working; nil means that there is no winch at all.
func (j *job) working(a *attempt) *Working {
	w := &Working{Schema: 1, State: j.stuck.String(), Stuck: j.stuck, Pull: j.pull, LeftOut: j.pool.leftOut}
	w.Steps = append(w.Steps, j.pull.Steps...)
	if j.pull.CentralKN == 0 {
		w.Notes = append(w.Notes, "It rolls down by itself: the line is reckoned to hold it back from an anchor uphill, paid out under power.")
	}
	if a == nil {
		w.Checks = []Check{{"winch", "Winch", false, noWinch}}
		w.Fails = w.Checks[0].Text
		cure := fmt.Sprintf("A winch rated %s or more, or a little over half of that with a block; %s is usual for this mass.", force(j.load), force(j.t.WinchFitKN(j.stuck.MassKg)))
		if j.stuck.Ground == geo.LedgeRock {
			cure += " Otherwise jack the wheels up and fill stones under them, or get a second vehicle."
		} else {
			cure += " Otherwise dig, lower the pressures, use boards, or get a second vehicle."
		}
		w.Cures = []Cure{{Check: "winch", Kind: "winch", NeedKN: j.load, Text: cure}}
		w.ClearM = j.t.ClearDistanceM(0, 0)
		w.Cautions = j.cautions(nil)
		return w
	}
	w.Holds, w.Rig, w.Margin = a.holds(), a.rig, a.margin()
	w.Tackle, w.Line, w.Chain, w.Anchor, w.TurnHold = a.tackle, a.line, a.links, a.anchor, a.turn
	w.Checks, w.Fails = a.checks, a.fails()
	w.Winch = j.winchUse(a)
	w.DeadLines = deadLines(a)
	if j.site.DistanceM == 0 {
		w.Notes = append(w.Notes, fmt.Sprintf("The distance to the anchor is not given: %.1f m is taken.", a.line.DistanceM))
	}
	if a.spool.Assumed && !a.rig.Manual {
		w.Notes = append(w.Notes, fmt.Sprintf("The winch drum is not given: a typical 12 V drum of %.0f mm by %.0f mm is taken.", a.spool.DrumMM, a.spool.WidthMM))
	}
	if a.missing == 0 {
		weak := -1
		for i, l := range a.links {
			if weak < 0 || l.Margin < a.links[weak].Margin {
				weak = i
			}
		}
		w.WeakLink = a.links[weak].Title
	}
	if a.missing == 0 && a.line.ShortM == 0 && a.anchor.Hold.Refused == "" && (a.turn == nil || a.turn.Hold.Refused == "") {
		w.HoldsUpToKN = j.load * a.margin()
	}
	w.ClearM = j.t.ClearDistanceM(a.line.ExtensionM, a.line.NeededM)
	j.steps(w, a)
	w.Cures = j.cures(w, a)
	w.Cautions = j.cautions(a)
	if !j.pool.damper {
		w.Notes = append(w.Notes, "No line damper is listed: take a heavy blanket or bag.")
	}
	return w
}

func (j *job) winchUse(a *attempt) WinchUse {
	u := WinchUse{Name: a.winch.Name, RatedKN: a.winch.RatedKN, Spool: a.spool, Duty: j.t.Duty(*a.winch, a.tackle.FallLineKN), FitKN: j.t.WinchFitKN(j.stuck.MassKg)}
	if u.Name == "" {
		u.Name = "winch"
		if a.winch.Manual {
			u.Name = "hand winch"
		}
	}
	out := max(0, a.spool.PaidOutM-j.site.TravelM*float64(a.rig.Advantage))
	if after, err := j.t.Spool(*a.winch, out); err == nil {
		u.AfterKN, u.AfterLayer = after.PullKN, after.Layer
	}
	return u
}

// deadLines lists what stands still and how many parts of the winch line it holds.
func deadLines(a *attempt) []DeadLine {
	var out []DeadLine
	far, near := "at the anchor", "at the vehicle's own points"
	if a.rig.Helper {
		far, near = "at the stuck vehicle", "at the winch vehicle's points"
	}
	n, _, _ := a.rig.far()
	out = append(out, DeadLine{far, n, a.tackle.DeadLineKN(n)})
	if m, _, _ := a.rig.near(); m > 0 {
		out = append(out, DeadLine{near, m, a.tackle.DeadLineKN(m)})
	}
	return out
}

// steps writes the working in the order a person would do the sums.
func (j *job) steps(w *Working, a *attempt) {
	say := func(key, title, text string, v float64, unit string) {
		w.Steps = append(w.Steps, Step{key, title, text, v, unit})
	}
	k := a.tackle
	if a.rig.Manual {
		say("winch", "Winch", fmt.Sprintf("%s rated %s, the same at any length of rope.", capital(w.Winch.Name), force(a.winch.RatedKN)), a.spool.PullKN, "kN")
	} else {
		say("winch", "Winch", fmt.Sprintf("%s rated %s on the first layer. With %.1f m off the drum it pulls from layer %d of %d: %s.", capital(w.Winch.Name), force(a.winch.RatedKN), a.spool.PaidOutM, a.spool.Layer, a.spool.Layers, force(a.spool.PullKN)), a.spool.PullKN, "kN")
	}
	n := Advantage(j.load, a.spool.PullKN)
	say("advantage", "Advantage", fmt.Sprintf("%.1f / %.1f, rounded up, asks for %d part%s of line; the rig has %d: %s.", j.load, a.spool.PullKN, n, plural(n), k.Advantage, a.rig.Title), float64(k.Advantage), "1")
	loss := "no sheave, no loss"
	switch {
	case k.Sheaves > 0 && j.site.Tackle.Efficiency > 0:
		loss = fmt.Sprintf("%d sheave%s, each passing on %.0f %% of the tension", k.Sheaves, plural(k.Sheaves), 100*j.site.Tackle.Efficiency)
	case k.Sheaves > 0:
		rate := j.site.Tackle.PerSheave
		if rate == 0 {
			rate = j.t.Sheave["per_sheave"].Central
		}
		loss = fmt.Sprintf("%.0f %% of the load for each of %d sheave%s", 100*rate, k.Sheaves, plural(k.Sheaves))
	}
	say("tackle", "Tackle resistance", fmt.Sprintf("%s: %.1f kN; total %s.", capital(loss), k.LossKN, force(k.TotalKN)), k.LossKN, "kN")
	say("fall_line", "Fall line", fmt.Sprintf("%.1f / %d = %s in the line at the winch, against %.1f kN it can pull.", k.TotalKN, k.Advantage, force(k.FallLineKN), a.spool.PullKN), k.FallLineKN, "kN")
	for _, d := range w.DeadLines {
		say("dead_line", "Dead line", fmt.Sprintf("%s %d part%s of line: %s.", capital(d.Where), d.Lines, plural(d.Lines), force(d.KN)), d.KN, "kN")
	}
	if a.turn != nil {
		say("turn", "Turning block", fmt.Sprintf("Legs opening by %.0f°: %.1f kN × 2 cos(%.0f°) = %s on the block.", j.site.Turn.AngleDeg, k.FallLineKN, j.site.Turn.AngleDeg/2, force(a.turn.NeedKN)), a.turn.NeedKN, "kN")
	}
	text := fmt.Sprintf("%.1f m to the anchor", a.line.DistanceM)
	switch {
	case a.rig.Turn:
		text = fmt.Sprintf("%.1f m to the turning block and %.1f m on", a.line.DistanceM, j.site.Turn.DistanceM)
	case a.rig.Helper:
		text = fmt.Sprintf("%.1f m between the vehicles", a.line.DistanceM)
	}
	if a.line.ExtensionM > 0 {
		text += fmt.Sprintf(", less %.1f m of extension", a.line.ExtensionM)
	}
	wraps := fmt.Sprintf("%.1f m may leave the drum (%d wraps stay)", a.line.UsableM, a.spool.Wraps)
	if a.rig.Manual {
		wraps = fmt.Sprintf("%.1f m of rope are there", a.line.UsableM)
	}
	say("line", "Line", fmt.Sprintf("%s: %.1f m of line for %d part%s; %s.", capital(text), a.line.NeededM, k.Advantage, plural(k.Advantage), wraps), a.line.NeededM, "m")
	if !a.rig.Manual {
		say("spool", "Paying out", fmt.Sprintf("By hand with the drum free; not more than %.0f m under power. Wind it back tight, under at least %s.", j.t.Winch["power_out_m"].Central, force(j.t.Winch["respool_kn"].Central)), j.t.Winch["power_out_m"].Central, "m")
		then := "still above the fall line"
		if w.Winch.AfterKN <= k.FallLineKN {
			then = "below the fall line: if it has not come free by then, anchor the vehicle, pull line out and begin again, or add a block"
		}
		say("after", "After the pull", fmt.Sprintf("When the vehicle has moved %.1f m the line lies on layer %d and the winch pulls %.1f kN, %s.", j.site.TravelM, w.Winch.AfterLayer, w.Winch.AfterKN, then), w.Winch.AfterKN, "kN")
	}
	if stall := a.spool.PullKN; k.FallLineKN > 0 {
		for _, l := range a.links {
			if at := l.ForceKN * stall / k.FallLineKN; l.Gear != "" && l.Margin >= 1 && l.LimitKN < at {
				say("stall", "At a stall", fmt.Sprintf("Pulled to a stall the winch puts %.1f kN on the %s (%s), which bears %.1f kN: stop before that.", at, l.Title, l.Gear, l.LimitKN), at, "kN")
				break
			}
		}
	}
	say("anchor", "Anchor", capital(a.anchor.text())+".", a.anchor.NeedKN, "kN")
}

func plural(n int) string {
	if n == 1 {
		return ""
	}
	return "s"
}

// cures says what would mend each failing check of the shown rig.
func (j *job) cures(w *Working, a *attempt) []Cure {
	var out []Cure
	for _, c := range a.checks {
		if c.OK {
			continue
		}
		switch c.Key {
		case "winch":
			out = append(out, Cure{Check: "winch", Kind: "winch", NeedKN: a.tackle.FallLineKN * a.winch.RatedKN / a.spool.PullKN,
				Text: fmt.Sprintf("A winch rated above %s, another block, or more line off the drum (a lower layer).", force(a.tackle.FallLineKN*a.winch.RatedKN/a.spool.PullKN))})
		case "line":
			short := a.line.ShortM / float64(a.rig.Advantage)
			need := a.anchor.NeedKN
			out = append(out, Cure{Check: "line", Kind: string(Strap), NeedKN: need, NeedM: a.line.ExtensionM + short,
				Text: fmt.Sprintf("An extension of %.1f m with a working load of %s, or an anchor %.1f m nearer.", a.line.ExtensionM+short, force(need), short)})
		case "chain":
			for _, l := range a.links {
				if l.Margin >= 1 {
					continue
				}
				per := l.per
				if per == 0 {
					per = 1
				}
				s := slot{class: l.class, forTrunk: l.trunk}
				name := s.name()
				if l.Slot == "winch_line" {
					name = "winch line"
				} else if l.Slot == "extension" {
					name = "strap or rope"
				}
				what := fmt.Sprintf("For the %s: a %s with a working load of %s", l.Title, name, force(l.ForceKN/per))
				switch l.Slot {
				case "winch_line":
					what = fmt.Sprintf("A winch line of %s minimum breaking strength, or another block", force(l.ForceKN*l.rope))
				}
				out = append(out, Cure{Check: "chain", Slot: l.Slot, Kind: j.cureKind(l), NeedKN: l.ForceKN / per, Text: what + "."})
			}
		case "anchor":
			out = append(out, j.anchorCure("anchor", a.anchor))
		case "turn_anchor":
			out = append(out, j.anchorCure("turn_anchor", *a.turn))
		}
	}
	if len(out) > 0 {
		if c, ok := j.lessLoad(w); ok {
			out = append(out, c)
		}
	}
	return out
}

// cureKind is a kind of gear that fits the slot.
func (j *job) cureKind(l Link) string {
	switch l.class {
	case classConnector:
		return string(Shackle)
	case classHook:
		return string(Hook)
	case classBlock:
		return string(Block)
	case classStrap:
		if l.trunk {
			return string(TreeStrap)
		}
		return string(Strap)
	case classPoint:
		return string(FramePoint)
	case classBridle:
		return string(Bridle)
	}
	return "winch_line"
}

// anchorCure names what would hold the needed force.
func (j *job) anchorCure(check string, u AnchorUse) Cure {
	c := Cure{Check: check, Kind: "anchor", NeedKN: u.NeedKN}
	c.Text = fmt.Sprintf("An anchor that holds %s", force(u.NeedKN))
	c.Text += ": a sound tree, or " + j.logFor(u.NeedKN)
	if u.Kind == string(Vehicle) {
		c.Text += "; or chock the wheels, stand it on firmer ground, or tie it back to a second anchor"
	}
	c.Text += "."
	return c
}

// logFor finds a buried log in loam for a force: the thinnest log, then the shallowest trench, that does
// not bend, with the rope at 1:2.
func (j *job) logFor(kN float64) string {
	for _, depth := range []float64{1.2192, 1.524} {
		for _, face := range []float64{0.15, 0.2, 0.25, 0.3, 0.35, 0.4} {
			if n, err := j.t.DeadmanLength(clamp(kN, 0.2, 1999), depth, 0.5, face, true, "loam"); err == nil && n.OK {
				return fmt.Sprintf("in loam a buried log %.2f m thick and %.1f m long, its middle %.1f m deep, the rope at 1:2; in sand it holds half", face, math.Ceil(n.LengthM*10)/10, depth)
			}
		}
	}
	return "two anchors that share the load"
}

// lessLoad says how far the load must come down, and the depth that gives it.
func (j *job) lessLoad(w *Working) (Cure, bool) {
	up := w.HoldsUpToKN
	if up <= 0 || up >= j.load || j.pull.CentralKN == 0 {
		return Cure{}, false
	}
	c := Cure{Check: "load", Kind: "dig", NeedKN: up, Text: fmt.Sprintf("Bring the pull down to %s", force(up))}
	s := j.stuck
	for d := int(j.stuck.Depth) - 1; d >= 0; d-- {
		s.Depth, s.Hung = Depth(d), false
		if p, err := j.t.PullKN(s); err == nil && p.CentralKN < up {
			c.Text += fmt.Sprintf(": dug free until it stands as if sunk %s it asks for %.1f kN", s.Depth, p.CentralKN)
			break
		}
	}
	c.Text += "."
	return c, true
}

func clamp(v, lo, hi float64) float64 { return math.Max(lo, math.Min(hi, v)) }

// cautions gathers those of every matter the working touches, the clear distance first.
func (j *job) cautions(a *attempt) []Caution {
	on := []string{"line"}
	if a != nil {
		if !a.rig.Manual {
			on = append(on, "winch")
		}
		for _, u := range []*AnchorUse{&a.anchor, a.turn} {
			if u != nil && u.Hold.matter != "" {
				on = append(on, "anchor", u.Hold.matter)
			}
		}
	}
	if math.Abs(j.stuck.Grade) >= 0.03 || j.pull.HoldBackKN > 0 {
		on = append(on, "slope")
	}
	if j.stuck.OnSide {
		on = append(on, "on_side")
	}
	if j.stuck.InWater {
		on = append(on, "in_water")
	}
	strap, out := 0.0, 0.0
	if a != nil {
		strap, out = a.line.ExtensionM, a.line.NeededM
	}
	return append([]Caution{j.t.clearCaution(j.t.ClearDistanceM(strap, out))}, j.t.Cautions(on...)...)
}
