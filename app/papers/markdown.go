package papers

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"

	"lastroad/app/trip"
	"lastroad/app/units"
	"lastroad/geo/facts"
)

// Markdown writes the needs leg by leg as Markdown, for notes and messages, in the reader's language and units.
func Markdown(w io.Writer, d *trip.Document, words Words) error {
	b := bufio.NewWriter(w)
	j := d.Judgement
	fmt.Fprintf(b, "# %s\n\n%s, %s, %s. %s: **%s**.\n\n> %s\n\n", plain(d.Name()), words.road(d.Survey.LengthM(), 1), words.T("n_legs", len(j.Legs)), words.variant(j.Variant),
		capital(words.T("readiness_of", words.dec(j.Trip.Readiness, 0))), words.verdict(j.Trip.Word), plain(words.T("caution")))
	for _, f := range j.Findings {
		fmt.Fprintf(b, "- %s\n", plain(words.say(f.Text)))
	}
	km, kN, m, l := words.unit(units.Distance), words.unit(units.Force), words.unit(units.Length), words.unit(units.Volume)
	fmt.Fprintf(b, "\n| %s | %s | %s | %s | %s | %s | %s | %s | %s | %s |\n| --- | --- | --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: |\n",
		words.T("leg"), km, words.T("ground"), words.T("pull_kn", kN), words.T("line_m", m), words.T("water_l", l), words.T("fuel_l", l),
		words.T("driving")+", min", words.T("on_foot")+", min", words.T("readiness"))
	for i, l := range j.Legs {
		f := facts.Of(d.Survey, l.Leg)
		p, line := "", ""
		if l.Needs.Pull != nil {
			p, line = words.number(units.Force, l.Needs.Pull.RequiredKN.Central, 1), words.number(units.Length, planned(l.Needs.Pull.LineM), 0)
		}
		fmt.Fprintf(b, "| %d %s | %s–%s | %s | %s | %s | %s | %s | %s | %s | %s |\n", i+1, plain(f.Name), words.number(units.Distance, f.FromM, 1), words.number(units.Distance, f.ToM, 1), plain(words.groundShares(f)), p, line,
			words.number(units.Volume, l.Needs.WaterL.Central, 1), words.number(units.Volume, l.Needs.FuelL.Central, 1), words.dec(l.Needs.MoveMin.Central, 0), words.dec(f.WalkMin, 0), words.dec(l.Score.Readiness, 0))
	}
	for i, l := range j.Legs {
		f := facts.Of(d.Survey, l.Leg)
		fmt.Fprintf(b, "\n## %s\n\n", plain(words.legTitle(i, f)))
		for _, x := range l.Findings {
			fmt.Fprintf(b, "- %s\n", plain(words.say(x.Text)))
		}
		for _, p := range l.Needs.Parts {
			if !p.Missing && p.Chance < 0.001 {
				continue
			}
			mark := "x"
			if p.Missing {
				mark = " "
			}
			fmt.Fprintf(b, "- [%s] %s: %s\n", mark, plain(words.say(p.Title)), words.T("part_have", words.dec(p.Have, 0), words.dec(p.Want, 0), words.oneIn(p.Chance)))
		}
		for k, x := range l.Score.Lost {
			if k >= 5 || x.Points < 0.05 {
				break
			}
			fmt.Fprintf(b, "- %s\n", plain(words.say(x.Text)))
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
