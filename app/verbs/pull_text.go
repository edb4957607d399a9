package verbs

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"lastroad/risk/recovery"
)

const pullWidth = 88

// writePull prints a working for a person: the verdict first, then each step with its sum, the chain as
// a table, what would cure a failing check, and the cautions.
func writePull(out io.Writer, r *PullReport, sources bool) {
	w := r.Working
	p := printer{out}
	p.line("RECOVERY of %s", w.State)
	p.line("")
	if w.Holds {
		pull := fmt.Sprintf("Pull %.1f kN", w.Pull.CentralKN)
		if w.Pull.CentralKN == 0 {
			pull = fmt.Sprintf("To be held back with %.1f kN", w.Pull.HoldBackKN)
		}
		p.wrap("  ", fmt.Sprintf("HOLDS: %s. %s, fall line %.1f kN, weakest link %s with %.2f times what it must bear.%s",
			w.Rig.Title, pull, w.Tackle.FallLineKN, w.Weakest(), w.Margin, judged(w)))
	} else {
		p.wrap("  ", "DOES NOT HOLD: "+sentence(w.Fails))
		if w.Rig.Title != "" {
			p.wrap("  ", fmt.Sprintf("Shown below is the rig that comes nearest: %s.", w.Rig.Title))
		}
	}
	steps := func(title string, keys string) {
		first := true
		for _, s := range w.Steps {
			if !strings.Contains(" "+keys+" ", " "+s.Key+" ") {
				continue
			}
			if first {
				p.head(title)
				first = false
			}
			p.item(s.Title, s.Text)
		}
	}
	steps("What it asks for", "weight resistance grade pull hold_back own_wheels")
	steps("Rig", "winch advantage tackle fall_line dead_line turn line spool after stall")
	if w.Rig.Key != "" {
		p.item("Current", w.Winch.Duty.Text)
		if !w.Rig.Manual {
			p.item("Usual", fmt.Sprintf("For this mass a winch rated about %.1f kN (%.0f kg) is usual.", w.Winch.FitKN, recovery.Kg(w.Winch.FitKN)))
		}
		p.head("Chain (force and limit in kN)")
		p.chain(w)
	}
	steps("Anchor", "anchor")
	if w.TurnHold != nil {
		p.item("Of the turn", sentence(w.Checks[len(w.Checks)-1].Text))
	}
	p.head("Checks")
	for _, c := range w.Checks {
		mark := "ok"
		if !c.OK {
			mark = "NO"
		}
		p.wrap2("  "+mark+"  ", "      ", c.Title+": "+sentence(c.Text))
	}
	if len(w.Cures) > 0 {
		p.head("What would cure it")
		for _, c := range w.Cures {
			p.bullet(c.Text)
		}
	}
	if r.Digging != nil || r.Tug != nil {
		p.head("Beside the winch")
	}
	if d := r.Digging; d != nil {
		p.item("Digging", fmt.Sprintf("%d people with %d spade%s free it to where it stands as if sunk %s in about %s (%s to %s); it then asks for %.1f kN.",
			d.People, d.Spades, plural(d.Spades), d.To, minutes(d.CentralMin), minutes(d.LowMin), minutes(d.HighMin), d.AfterKN))
	}
	if t := r.Tug; t != nil {
		verdict := "not enough"
		if t.Enough {
			verdict = "enough, if strap and points bear it"
		}
		p.item("Second car", fmt.Sprintf("%.0f kg on %s pull about %.1f kN by their grip (%.1f to %.1f): %s.", t.MassKg, t.Ground, t.CentralKN, t.LowKN, t.HighKN, verdict))
	}
	if len(w.Tried) > 1 {
		p.head("Rigs tried, simplest first")
		for _, t := range w.Tried {
			switch {
			case t.Holds:
				p.bullet(fmt.Sprintf("%s: holds, margin %.2f.", capital(t.Rig.Title), t.Margin))
			default:
				p.bullet(fmt.Sprintf("%s: %s", capital(t.Rig.Title), sentence(t.Fails)))
			}
		}
	}
	if len(w.Notes)+len(w.LeftOut) > 0 {
		p.head("Assumed and left out")
		for _, n := range w.Notes {
			p.bullet(n)
		}
		for _, l := range w.LeftOut {
			p.bullet(fmt.Sprintf("Not used: %s. %s", l.Gear, sentence(l.Reason)))
		}
	}
	p.head("Cautions")
	for _, c := range w.Cautions {
		text := c.Text
		if sources {
			text += " [" + c.Source + "]"
		}
		p.bullet(text)
	}
}

func judged(w *recovery.Working) string {
	if w.Anchor.Hold.Judged {
		return fmt.Sprintf(" No figure exists for the %s, which must hold %.1f kN.", w.Anchor.Title, w.Anchor.NeedKN)
	}
	return ""
}

type printer struct{ out io.Writer }

func (p printer) line(format string, a ...any) { fmt.Fprintf(p.out, format+"\n", a...) }

func (p printer) head(title string) { p.line("\n%s", title) }

// item is a short title in a column of its own and a wrapped text beside it.
func (p printer) item(title, text string) {
	const col = 18
	p.wrap2(fmt.Sprintf("  %-*s", col, title), strings.Repeat(" ", col+2), text)
}

func (p printer) bullet(text string) { p.wrap2("  - ", "    ", text) }

func (p printer) wrap(indent, text string) { p.wrap2(indent, indent, text) }

// wrap2 breaks text at blanks so that no line is wider than pullWidth where a blank allows it.
func (p printer) wrap2(first, next, text string) {
	line := first
	n := utf8.RuneCountInString(first)
	start := true
	for _, word := range strings.Fields(text) {
		k := utf8.RuneCountInString(word)
		if !start && n+1+k > pullWidth {
			p.line("%s", line)
			line, n, start = next, utf8.RuneCountInString(next), true
		}
		if !start {
			line += " "
			n++
		}
		line += word
		n += k
		start = false
	}
	p.line("%s", line)
}

// chain prints the links as a table and how each limit was found beneath.
func (p printer) chain(w *recovery.Working) {
	wide := 0
	for _, l := range w.Chain {
		wide = max(wide, utf8.RuneCountInString(l.Title))
	}
	p.line("  %-*s  %8s  %8s  %8s", wide, "", "force", "limit", "margin")
	for _, l := range w.Chain {
		limit, margin, mark := fmt.Sprintf("%.1f", l.LimitKN), fmt.Sprintf("%.2f", l.Margin), ""
		if l.Gear == "" {
			limit, margin = "none", "-"
		}
		switch {
		case l.Margin < 1:
			mark = "  NO"
		case l.Title == w.Weakest():
			mark = "  weakest"
		}
		p.line("  %-*s  %8.1f  %8s  %8s%s", wide, l.Title, l.ForceKN, limit, margin, mark)
		how := l.How
		if l.Gear != "" {
			how = l.Gear + ", " + l.How
		}
		p.wrap2("      ", "      ", how)
	}
}

func sentence(s string) string {
	if s == "" {
		return s
	}
	s = capital(s)
	if !strings.HasSuffix(s, ".") {
		s += "."
	}
	return s
}

func capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return strings.ToUpper(string(r)) + s[n:]
}

func plural(n int) string {
	if n == 1 {
		return ""
	}
	return "s"
}

// minutes writes a time as minutes below two hours, as hours above.
func minutes(m float64) string {
	if m < 120 {
		return fmt.Sprintf("%.0f min", m)
	}
	return fmt.Sprintf("%.1f h", m/60)
}
