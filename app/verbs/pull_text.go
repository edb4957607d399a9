package verbs

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"lastroad/app/bench"
)

const pullWidth = 88

// writePull prints a working for a person: the verdict first, then each part, the chain as a table.
func writePull(out io.Writer, r *PullReport, sources bool) {
	p := printer{out}
	p.line("RECOVERY of %s", r.State)
	p.line("")
	_, verdict := r.Verdict()
	p.wrap("  ", verdict)
	if n := r.Nearest(); n != "" {
		p.wrap("  ", n)
	}
	for _, part := range r.Parts() {
		p.head(part.Title)
		if part.Key == "chain" {
			p.chain(part.Rows, r.Weakest())
			continue
		}
		for _, row := range part.Rows {
			switch {
			case part.Key == "checks":
				mark := "ok"
				if row.Mark == bench.Fails {
					mark = "NO"
				}
				p.wrap2("  "+mark+"  ", "      ", row.Title+": "+row.Text)
			case row.Title != "":
				p.item(row.Title, row.Text)
			case sources && row.Source != "":
				p.bullet(row.Text + " [" + row.Source + "]")
			default:
				p.bullet(row.Text)
			}
		}
	}
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
func (p printer) chain(rows []bench.Row, weakest string) {
	wide := 0
	for _, row := range rows {
		wide = max(wide, utf8.RuneCountInString(row.Title))
	}
	p.line("  %-*s  %8s  %8s  %8s", wide, "", "force", "limit", "margin")
	for _, row := range rows {
		l := row.Link
		limit, margin, mark := fmt.Sprintf("%.1f", l.LimitKN), fmt.Sprintf("%.2f", l.Margin), ""
		if l.Gear == "" {
			limit, margin = "none", "-"
		}
		switch {
		case row.Mark == bench.Fails:
			mark = "  NO"
		case l.Title == weakest:
			mark = "  weakest"
		}
		p.line("  %-*s  %8.1f  %8s  %8s%s", wide, l.Title, l.ForceKN, limit, margin, mark)
		p.wrap2("      ", "      ", row.Text)
	}
}
