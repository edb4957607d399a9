package window

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"lastroad/app/bench"
	"lastroad/app/units"
	"lastroad/geo"
	"lastroad/risk/recovery"
)

// depthText is how far a vehicle has sunk.
func depthText(d recovery.Depth) string { return tr(d.String()) }

// stuckText is how far it has sunk on a ground. Nothing sinks into bare rock: there a wheel has dropped between steps.
func stuckText(d recovery.Depth, g geo.Ground) string {
	if g == geo.LedgeRock && d > recovery.Tread && d < recovery.Body {
		return tr("wedged, {{.D}}", with("D", depthText(d)))
	}
	return depthText(d)
}

func soilText(key string) string {
	switch key {
	case "loam":
		return tr("loam")
	case "clay":
		return tr("clay soil")
	case "sand":
		return tr("sandy soil")
	case "wet":
		return tr("wet or boggy soil")
	case "hard":
		return tr("hard soil")
	}
	return key
}

func picketText(key string) string {
	switch key {
	case "1":
		return tr("one wooden picket")
	case "1-1-1":
		return tr("three in line")
	case "3-2-1":
		return tr("three, two and one in line")
	case "steel":
		return tr("steel pins")
	case "75mm":
		return tr("pins of 75 mm")
	}
	return key
}

// partTitle is the title of a part of a working; other is the English one.
func partTitle(key, other string) string {
	switch key {
	case "asks":
		return tr("What it asks for")
	case "rig":
		return tr("The rig")
	case "chain":
		return tr("The chain, link by link")
	case "anchor":
		return tr("The anchor")
	case "checks":
		return tr("Checks")
	case "cures":
		return tr("What would cure it")
	case "beside":
		return tr("Beside the winch")
	case "tried":
		return tr("Rigs tried, simplest first")
	case "assumed":
		return tr("Assumed and left out")
	}
	return other
}

// rowTitle is the title of a step or check.
func rowTitle(row bench.Row) string {
	switch row.Key {
	case "weight":
		return tr("Weight")
	case "resistance":
		return tr("Resistance")
	case "grade":
		return tr("Grade")
	case "pull":
		return tr("Pull asked for")
	case "hold_back":
		return tr("Hold back")
	case "own_wheels":
		return tr("Own wheels")
	case "winch":
		if row.Mark != bench.NoMark {
			return tr("Fall line against winch")
		}
		return tr("Winch")
	case "advantage":
		return tr("Parts of line")
	case "tackle":
		return tr("Tackle resistance")
	case "fall_line":
		return tr("Fall line")
	case "dead_line":
		return tr("Dead line")
	case "turn":
		return tr("Turning block")
	case "line":
		return tr("Length of line")
	case "spool":
		return tr("Paying out")
	case "after":
		return tr("After the pull")
	case "stall":
		return tr("At a stall")
	case "anchor":
		return tr("Anchor")
	case "turn_anchor":
		return tr("Anchor of the turn")
	case "chain":
		return tr("Chain")
	case "current":
		return tr("Current")
	case "usual":
		return tr("Usual")
	case "digging":
		return tr("Digging")
	case "tug":
		return tr("Second vehicle")
	}
	return row.Title
}

// stepText is a row in the user's language and units, made from the figures of the working; "" where the
// row's own text has to do. dead counts the dead lines told before.
func (s *benchScreen) stepText(r *bench.Report, row bench.Row, dead int) string {
	if row.Mark != bench.NoMark {
		return ""
	}
	w, f := r.Working, s.p.format()
	kN := func(v float64) string { return f.Format(units.Force, v) }
	m := func(v float64) string { return f.Format(units.Length, v) }
	all := func(kv ...any) map[string]any {
		out := map[string]any{}
		for i := 0; i+1 < len(kv); i += 2 {
			out[kv[i].(string)] = kv[i+1]
		}
		return out
	}
	sp := w.Winch.Spool
	switch row.Key {
	case "weight":
		return tr("{{.M}} weigh {{.F}}.", all("M", f.Format(units.Mass, w.Stuck.MassKg), "F", kN(row.Value)))
	case "resistance":
		return tr("{{.N}} times the weight for this ground, depth and state: {{.F}}. The largest of them counts; they are not added.", all("N", point(fmt.Sprintf("%.2f", w.Pull.Factor)), "F", kN(row.Value)))
	case "grade":
		deg := point(fmt.Sprintf("%.1f", math.Abs(math.Atan(w.Stuck.Grade)*180/math.Pi)))
		switch {
		case w.Stuck.Grade > 0:
			return tr("Uphill at {{.D}}°: the weight times the sine adds {{.F}}.", all("D", deg, "F", kN(row.Value)))
		case w.Stuck.Grade < 0:
			return tr("Downhill at {{.D}}°: the weight times the sine takes {{.F}} off.", all("D", deg, "F", kN(-row.Value)))
		}
		return tr("Level: nothing is added.")
	case "pull":
		return tr("{{.F}}; by other sources {{.A}} to {{.B}}. The conservative figure is used.", all("F", kN(w.Pull.CentralKN), "A", kN(w.Pull.LowKN), "B", kN(w.Pull.HighKN)))
	case "hold_back":
		return tr("Once free it can roll down with up to {{.F}}: chock or hold it.", all("F", kN(w.Pull.HoldBackKN)))
	case "own_wheels":
		return tr("All wheels driving might add {{.A}} to {{.B}} on this ground; not counted.", all("A", kN(w.Pull.OwnLowKN), "B", kN(w.Pull.OwnHighKN)))
	case "winch":
		if w.Rig.Manual {
			return tr("Rated {{.R}}, the same at any length of rope.", all("R", kN(w.Winch.RatedKN)))
		}
		return tr("Rated {{.R}} on the first layer. With {{.D}} off the drum it pulls from layer {{.N}} of {{.All}}: {{.F}}.",
			all("R", kN(w.Winch.RatedKN), "D", m(sp.PaidOutM), "N", sp.Layer, "All", sp.Layers, "F", kN(sp.PullKN)))
	case "advantage":
		return tr("The load over the winch's pull, rounded up, asks for {{.N}}; the rig has {{.K}}: {{.Rig}}.", all("N", recovery.Advantage(load(w), sp.PullKN), "K", w.Tackle.Advantage, "Rig", tr(w.Rig.Title)))
	case "tackle":
		if w.Tackle.Sheaves == 0 {
			return tr("No sheave, no loss.")
		}
		return tr("Sheaves in the line: {{.N}}. They take {{.L}}; total {{.F}}.", all("N", w.Tackle.Sheaves, "L", kN(w.Tackle.LossKN), "F", kN(w.Tackle.TotalKN)))
	case "fall_line":
		return tr("{{.T}} over {{.N}} = {{.F}} in the line at the winch, against {{.W}} it can pull.", all("T", kN(w.Tackle.TotalKN), "N", w.Tackle.Advantage, "F", kN(w.Tackle.FallLineKN), "W", kN(sp.PullKN)))
	case "dead_line":
		if dead < len(w.DeadLines) {
			d := w.DeadLines[dead]
			return tr("{{.Where}}, parts of line: {{.N}}, {{.F}}.", all("Where", capital(tr(d.Where)), "N", d.Lines, "F", kN(d.KN)))
		}
	case "line":
		t := tr("{{.D}} to the anchor: {{.N}} of line are needed, {{.U}} may leave the drum.", all("D", m(w.Line.DistanceM), "N", m(w.Line.NeededM), "U", m(w.Line.UsableM)))
		if w.Line.ExtensionM > 0 {
			t += " " + tr("{{.E}} of the way is extension.", all("E", m(w.Line.ExtensionM)))
		}
		return t
	case "spool":
		return tr("By hand with the drum free; not more than {{.D}} under power. Wind it back tight, under load.", all("D", m(row.Value)))
	case "after":
		t := tr("When the vehicle has moved its way the line lies on layer {{.N}} and the winch pulls {{.F}}.", all("N", w.Winch.AfterLayer, "F", kN(w.Winch.AfterKN)))
		if w.Winch.AfterKN > w.Tackle.FallLineKN {
			return t + " " + tr("That is still enough.")
		}
		return t + " " + tr("That is no longer enough: if it is not free by then, anchor the vehicle, pull line out and begin again, or add a block.")
	case "stall":
		for _, l := range w.Chain {
			if at := l.ForceKN * sp.PullKN / w.Tackle.FallLineKN; l.Gear != "" && l.Margin >= 1 && l.LimitKN < at {
				return tr("Pulled to a stall the winch puts {{.F}} on the {{.Link}}, which bears {{.L}}: stop before that.", all("F", kN(at), "Link", tr(l.Title), "L", kN(l.LimitKN)))
			}
		}
	case "anchor":
		return s.anchorText(&w.Anchor)
	case "turn_anchor":
		if w.TurnHold != nil {
			return s.anchorText(w.TurnHold)
		}
	case "turn":
		if w.TurnHold != nil {
			return tr("Legs opening by {{.A}}°: {{.F}} on the block.", all("A", f0(r.Site.Turn.AngleDeg), "F", kN(w.TurnHold.NeedKN)))
		}
	case "usual":
		return tr("For this mass a winch rated about {{.F}} is usual.", all("F", kN(w.Winch.FitKN)))
	case "digging":
		d := r.Digging
		return tr("To where it stands as if sunk {{.To}}: about {{.T}} ({{.A}} to {{.B}}) with people {{.P}}, spades {{.S}}. It then asks for {{.F}}.",
			all("P", d.People, "S", d.Spades, "To", depthText(d.To), "T", minutes(d.CentralMin), "A", minutes(d.LowMin), "B", minutes(d.HighMin), "F", kN(d.AfterKN)))
	case "tug":
		t := r.Tug
		end := tr("That is not enough.")
		if t.Enough {
			end = tr("That is enough, if strap and points bear it.")
		}
		return tr("{{.M}} on {{.G}} pull about {{.F}} by their grip ({{.A}} to {{.B}}).", all("M", f.Format(units.Mass, t.MassKg), "G", groundText(t.Ground), "F", kN(t.CentralKN), "A", kN(t.LowKN), "B", kN(t.HighKN))) + " " + end
	}
	return ""
}

func load(w *recovery.Working) float64 {
	if w.Pull.CentralKN == 0 {
		return w.Pull.HoldBackKN
	}
	return w.Pull.CentralKN
}

func (s *benchScreen) anchorText(u *recovery.AnchorUse) string {
	f := s.p.format()
	data := map[string]any{"A": capital(tr(u.Title)), "F": f.Format(units.Force, u.NeedKN), "H": f.Format(units.Force, u.Hold.KN), "How": s.p.both(spoken(u.Hold.How))}
	switch {
	case u.Hold.Refused != "":
		data["How"] = s.p.both(spoken(u.Hold.Refused))
		return tr("{{.A}}: {{.How}}. It must hold {{.F}}.", data)
	case u.Hold.Judged:
		return tr("{{.A}}: must hold {{.F}}. No figure exists; it is accepted by rule and must be watched: {{.How}}.", data)
	case u.Hold.KN < u.NeedKN:
		return tr("{{.A}}: holds {{.H}}, below the {{.F}} needed ({{.How}}).", data)
	}
	return tr("{{.A}}: holds {{.H}}, {{.F}} needed ({{.How}}).", data)
}

// inText are figures in a sentence that is written in base units.
var inText = regexp.MustCompile(`(\d+(?:[.,]\d+)?) (kN|kg|mm|m)\b`)

// both adds the user's units behind each figure of a sentence written in kilonewtons, metres and kilograms.
// Where those are the user's own the sentence stays as it is.
func (p *Presenter) both(text string) string {
	f := p.format()
	if f.System == units.Metric {
		return text
	}
	return inText.ReplaceAllStringFunc(text, func(m string) string {
		p := inText.FindStringSubmatch(m)
		v, err := strconv.ParseFloat(strings.Replace(p[1], ",", ".", 1), 64)
		if err != nil {
			return m
		}
		switch p[2] {
		case "kN":
			return m + " (" + f.Format(units.Force, v) + ")"
		case "kg":
			return m + " (" + f.Format(units.Mass, v) + ")"
		case "mm":
			return m + " (" + f.Format(units.Small, v/1000) + ")"
		}
		return m + " (" + f.Format(units.Length, v) + ")"
	})
}
