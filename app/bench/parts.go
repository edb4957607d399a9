package bench

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"lastroad/risk/recovery"
)

// Part is a titled part of a report, in the order in which a person reads it.
type Part struct {
	Key   string // asks, rig, chain, anchor, checks, cures, beside, tried, assumed, cautions
	Title string
	Rows  []Row
}

// Row is one line of a part.
type Row struct {
	Key    string // of a step, check or caution; "" for others
	Title  string // short, in a column of its own; "" for running text
	Text   string // a sentence
	Mark   Mark
	Source string         // of a caution
	Link   *recovery.Link // of the chain, whose text is how its limit was found
	Value  float64        // of a step, in Unit; 0 for others
	Unit   string         // "kN", "m" or "1"
}

// Mark is whether a row is a check, and how it came out.
type Mark uint8

// The marks.
const (
	NoMark Mark = iota
	OK
	Fails
)

// Verdict is the answer in a sentence, and whether the recovery holds.
func (r *Report) Verdict() (holds bool, text string) {
	w := r.Working
	if !w.Holds {
		return false, "DOES NOT HOLD: " + Sentence(w.Fails)
	}
	pull := fmt.Sprintf("Pull %.1f kN", w.Pull.CentralKN)
	if w.Pull.CentralKN == 0 {
		pull = fmt.Sprintf("To be held back with %.1f kN", w.Pull.HoldBackKN)
	}
	return true, fmt.Sprintf("HOLDS: %s. %s, fall line %.1f kN, weakest link %s with %.2f times what it must bear.%s",
		w.Rig.Title, pull, w.Tackle.FallLineKN, w.Weakest(), w.Margin, judged(w))
}

// Nearest names the rig that is shown when none holds, "" else.
func (r *Report) Nearest() string {
	if r.Holds || r.Rig.Title == "" {
		return ""
	}
	return fmt.Sprintf("Shown below is the rig that comes nearest: %s.", r.Rig.Title)
}

func judged(w *recovery.Working) string {
	if w.Anchor.Hold.Judged {
		return fmt.Sprintf(" No figure exists for the %s, which must hold %.1f kN.", w.Anchor.Title, w.Anchor.NeedKN)
	}
	return ""
}

// stepsOf are the keys of the steps of each part.
var stepsOf = map[string]string{
	"asks":   " weight resistance grade pull hold_back own_wheels ",
	"rig":    " winch advantage tackle fall_line dead_line turn line spool after stall ",
	"anchor": " anchor ",
}

// Parts arranges the report: what the vehicle asks for, the rig, the chain, the anchor, the checks, what
// would cure those that fail, other means, rigs tried, what was assumed, and the cautions. Parts without
// rows are left out; the cautions never are.
func (r *Report) Parts() []Part {
	var out []Part
	add := func(key, title string, rows []Row) {
		if len(rows) > 0 {
			out = append(out, Part{key, title, rows})
		}
	}
	add("asks", "What it asks for", r.steps("asks"))
	rig := r.steps("rig")
	w := r.Working
	if w.Rig.Key != "" {
		rig = append(rig, Row{Key: "current", Title: "Current", Text: w.Winch.Duty.Text})
		if !w.Rig.Manual {
			rig = append(rig, Row{Key: "usual", Title: "Usual", Text: fmt.Sprintf("For this mass a winch rated about %.1f kN (%.0f kg) is usual.", w.Winch.FitKN, recovery.Kg(w.Winch.FitKN))})
		}
	}
	add("rig", "Rig", rig)
	var chain []Row
	for i := range w.Chain {
		l := &w.Chain[i]
		row := Row{Title: l.Title, Text: l.How, Link: l}
		if l.Gear != "" {
			row.Text = l.Gear + ", " + l.How
		}
		if l.Margin < 1 {
			row.Mark = Fails
		}
		chain = append(chain, row)
	}
	add("chain", "Chain (force and limit in kN)", chain)
	anchor := r.steps("anchor")
	if w.TurnHold != nil {
		anchor = append(anchor, Row{Key: "turn_anchor", Title: "Of the turn", Text: Sentence(w.Checks[len(w.Checks)-1].Text)})
	}
	add("anchor", "Anchor", anchor)
	var checks, cures, beside, tried, assumed, cautions []Row
	for _, c := range w.Checks {
		row := Row{Key: c.Key, Title: c.Title, Text: Sentence(c.Text), Mark: Fails}
		if c.OK {
			row.Mark = OK
		}
		checks = append(checks, row)
	}
	add("checks", "Checks", checks)
	for _, c := range w.Cures {
		cures = append(cures, Row{Key: c.Check, Text: c.Text})
	}
	add("cures", "What would cure it", cures)
	if d := r.Digging; d != nil {
		beside = append(beside, Row{Key: "digging", Title: "Digging", Text: fmt.Sprintf("%d people with %d spade%s free it to where it stands as if sunk %s in about %s (%s to %s); it then asks for %.1f kN.",
			d.People, d.Spades, plural(d.Spades), d.To, Minutes(d.CentralMin), Minutes(d.LowMin), Minutes(d.HighMin), d.AfterKN)})
	}
	if t := r.Tug; t != nil {
		verdict := "not enough"
		if t.Enough {
			verdict = "enough, if strap and points bear it"
		}
		beside = append(beside, Row{Key: "tug", Title: "Second car", Text: fmt.Sprintf("%.0f kg on %s pull about %.1f kN by their grip (%.1f to %.1f): %s.", t.MassKg, t.Ground, t.CentralKN, t.LowKN, t.HighKN, verdict)})
	}
	add("beside", "Beside the winch", beside)
	if len(w.Tried) > 1 {
		for _, t := range w.Tried {
			row := Row{Text: fmt.Sprintf("%s: %s", Capital(t.Rig.Title), Sentence(t.Fails)), Mark: Fails}
			if t.Holds {
				row = Row{Text: fmt.Sprintf("%s: holds, margin %.2f.", Capital(t.Rig.Title), t.Margin), Mark: OK}
			}
			tried = append(tried, row)
		}
	}
	add("tried", "Rigs tried, simplest first", tried)
	for _, n := range w.Notes {
		assumed = append(assumed, Row{Text: n})
	}
	for _, l := range w.LeftOut {
		assumed = append(assumed, Row{Text: fmt.Sprintf("Not used: %s. %s", l.Gear, Sentence(l.Reason))})
	}
	add("assumed", "Assumed and left out", assumed)
	for _, c := range w.Cautions {
		cautions = append(cautions, Row{Key: c.ID, Text: c.Text, Source: c.Source})
	}
	return append(out, Part{"cautions", "Cautions", cautions})
}

func (r *Report) steps(part string) (rows []Row) {
	for _, s := range r.Steps {
		if strings.Contains(stepsOf[part], " "+s.Key+" ") {
			rows = append(rows, Row{Key: s.Key, Title: s.Title, Text: s.Text, Value: s.Value, Unit: s.Unit})
		}
	}
	return rows
}

// Sentence gives a text a capital letter and a full stop; "" stays "".
func Sentence(s string) string {
	if s == "" {
		return s
	}
	s = Capital(s)
	if !strings.HasSuffix(s, ".") {
		s += "."
	}
	return s
}

// Capital makes the first letter a capital.
func Capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return strings.ToUpper(string(r)) + s[n:]
}

func plural(n int) string {
	if n == 1 {
		return ""
	}
	return "s"
}

// Minutes writes a time as minutes below two hours, as hours above.
func Minutes(m float64) string {
	if m < 120 {
		return fmt.Sprintf("%.0f min", m)
	}
	return fmt.Sprintf("%.1f h", m/60)
}
