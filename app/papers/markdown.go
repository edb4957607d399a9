package papers

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"

	"lastroad/app/report"
	"lastroad/app/trip"
	"lastroad/geo/facts"
)

// Markdown writes the needs leg by leg as Markdown, for notes and messages.
func Markdown(w io.Writer, d *trip.Document) error {
	b := bufio.NewWriter(w)
	j := d.Judgement
	fmt.Fprintf(b, "# %s\n\n%s km in %d legs, %s. Readiness %s of 100: **%s**.\n\n> %s\n\n", plain(d.Name()), dec(d.Survey.LengthM()/1000, 1), len(j.Legs), plain(j.Variant),
		dec(j.Trip.Readiness, 0), plain(j.Trip.Word), report.Caution)
	for _, f := range j.Findings {
		fmt.Fprintf(b, "- %s\n", plain(f.Text))
	}
	b.WriteString("\n| leg | km | ground | pull kN | line m | water L | fuel L | driving min | walk out min | readiness |\n| --- | --- | --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: |\n")
	for i, l := range j.Legs {
		f := facts.Of(d.Survey, l.Leg)
		p, line := "", ""
		if l.Needs.Pull != nil {
			p, line = dec(l.Needs.Pull.RequiredKN.Central, 1), dec(l.Needs.Pull.LineM, 0)
		}
		fmt.Fprintf(b, "| %d %s | %s to %s | %s | %s | %s | %s | %s | %s | %s | %s |\n", i+1, plain(f.Name), dec(f.FromM/1000, 1), dec(f.ToM/1000, 1), plain(groundWords(f)), p, line,
			dec(l.Needs.WaterL.Central, 1), dec(l.Needs.FuelL.Central, 1), dec(l.Needs.MoveMin.Central, 0), dec(f.WalkMin, 0), dec(l.Score.Readiness, 0))
	}
	for i, l := range j.Legs {
		f := facts.Of(d.Survey, l.Leg)
		fmt.Fprintf(b, "\n## Leg %d %s\n\n", i+1, plain(f.Name))
		for _, x := range l.Findings {
			fmt.Fprintf(b, "- %s\n", plain(x.Text))
		}
		for _, p := range l.Needs.Parts {
			if !p.Missing && p.Chance < 0.001 {
				continue
			}
			mark := "x"
			if p.Missing {
				mark = " "
			}
			fmt.Fprintf(b, "- [%s] %s: %s of %s (asked for with chance %s)\n", mark, plain(p.Title), dec(p.Have, 0), dec(p.Want, 0), dec(p.Chance, 4))
		}
		for k, x := range l.Score.Lost {
			if k >= 5 || x.Points < 0.05 {
				break
			}
			fmt.Fprintf(b, "- %s\n", plain(x.Text))
		}
	}
	return b.Flush()
}

// plain keeps user text from being read as Markdown or HTML.
func plain(s string) string {
	return strings.NewReplacer("\\", "\\\\", "|", "\\|", "*", "\\*", "_", "\\_", "`", "\\`", "<", "&lt;", "[", "\\[", "]", "\\]", "#", "\\#", "\n", " ", "\r", " ").Replace(s)
}

func dec(v float64, n int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "?"
	}
	return fmt.Sprintf("%.*f", n, v)
}
