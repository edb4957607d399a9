package report

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"math"

	"lastroad/geo"
	"lastroad/risk"
)

// CompareText writes a comparison for reading in a terminal: the answer first, then every variant on a line,
// then leg by leg what changes and why.
func CompareText(w io.Writer, name string, s *geo.Survey, c *risk.Comparison) error {
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "%s: %d variants on the same %d samples\n", name, len(c.Judgements), c.Samples)
	width := 0
	for _, j := range c.Judgements {
		width = max(width, len([]rune(j.Variant)))
	}
	b.WriteString("\n")
	for _, j := range c.Judgements {
		t := j.Trip
		fmt.Fprintf(b, "  %-*s  readiness %3.0f (%3.0f to %3.0f)  %-9s  stopped %s, not out by own means %s, no help in time %s\n", width, j.Variant, t.Readiness, t.Band[0], t.Band[2], t.Word,
			risk.OneIn(t.Stopped.P), risk.OneIn(t.NotUnaided.P), risk.OneIn(t.NoHelp.P))
	}
	for _, j := range c.Judgements {
		if j.Trip.Why != "" {
			wrap(b, "  "+j.Variant+": ", "    ", j.Trip.Why)
		}
	}
	for _, p := range c.Pairs {
		x, y := c.Judgements[p.A].Variant, c.Judgements[p.B].Variant
		fmt.Fprintf(b, "\n%s against %s\n", y, x)
		wrap(b, "  ", "  ", p.Text)
		fmt.Fprintf(b, "  better in %.0f %%, the same in %.0f %% of the samples\n", 100*p.Better, 100*p.Same)
		fmt.Fprintf(b, "  not out by own means: %s in 100 (5 to 95 %%: %s to %s); no help in time: %s in 100 (%s to %s)\n",
			change(100*p.Unaided, 2), change(100*p.UnaidedBand[0], 2), change(100*p.UnaidedBand[2], 2), change(100*p.NoHelp, 3), change(100*p.NoHelpBand[0], 3), change(100*p.NoHelpBand[2], 3))
		fmt.Fprintf(b, "  any vehicle of the party stopped: %s (%s to %s) against %s (%s to %s)\n", risk.OneIn(p.DelayedOdds[1].P), risk.OneIn(p.DelayedOdds[1].High), risk.OneIn(p.DelayedOdds[1].Low),
			risk.OneIn(p.DelayedOdds[0].P), risk.OneIn(p.DelayedOdds[0].High), risk.OneIn(p.DelayedOdds[0].Low))
		for _, f := range p.Flips {
			wrap(b, fmt.Sprintf("  leg %d %s: %s, then %s. ", f.Leg+1, s.Legs[f.Leg].Name, f.From, f.To), "    ", f.Why)
		}
		n := 0
		for _, l := range p.Legs {
			if math.Abs(l.Gain) < 0.05 {
				continue
			}
			if n++; n == 1 {
				b.WriteString("  leg by leg, points of readiness\n")
			}
			fmt.Fprintf(b, "  %4d  %+6.1f (%+.1f to %+.1f)  %s\n", l.Leg+1, l.Gain, l.GainBand[0], l.GainBand[2], l.Why)
		}
		if p.Common != "" {
			wrap(b, "  ", "  ", p.Common)
		}
	}
	for _, j := range c.Judgements {
		if p := j.Partner; p != nil {
			wrap(b, "\n"+j.Variant+": ", "  ", fmt.Sprintf("the second vehicle alone has a readiness of %.0f; seats if one vehicle is left: %d needed, %d there", p.TheirReadiness, p.SeatsNeeded, p.SeatsHave))
			if len(p.MustCarry) > 0 {
				wrap(b, "  it should carry: ", "    ", listed(p.MustCarry))
			}
		}
	}
	b.WriteString("\n")
	wrap(b, "", "", Caution)
	return b.Flush()
}

func listed(s []string) string {
	t := ""
	for i, x := range s {
		if i > 0 {
			t += ", "
		}
		t += x
	}
	return t
}

type variantJSON struct {
	Name     string        `json:"name"`
	Score    scoreJSON     `json:"score"`
	Findings []findingJSON `json:"findings"`
	Partner  *partnerJSON  `json:"partner"`
	Legs     []scoreJSON   `json:"legs"`
}

type changeJSON struct {
	Leg     int    `json:"leg"`
	Gain    num    `json:"gain"`
	Band    []num  `json:"gain_5_50_95"`
	Better  num    `json:"better_share"`
	Same    num    `json:"same_share"`
	Unaided num    `json:"not_out_unaided_change"`
	Why     string `json:"why"`
}

type flipJSON struct {
	Leg  int    `json:"leg"`
	From string `json:"from"`
	To   string `json:"to"`
	Why  string `json:"why"`
}

type pairJSON struct {
	A           string       `json:"a"`
	B           string       `json:"b"`
	Gain        num          `json:"gain"`
	GainBand    []num        `json:"gain_5_50_95"`
	Better      num          `json:"better_share"`
	Same        num          `json:"same_share"`
	Unaided     num          `json:"not_out_unaided_change"`
	UnaidedBand []num        `json:"not_out_unaided_change_5_50_95"`
	NoHelp      num          `json:"no_help_in_time_change"`
	NoHelpBand  []num        `json:"no_help_in_time_change_5_50_95"`
	DelayedA    oddsJSON     `json:"party_delayed_a"`
	DelayedB    oddsJSON     `json:"party_delayed_b"`
	Flips       []flipJSON   `json:"flips"`
	Legs        []changeJSON `json:"legs"`
	Common      string       `json:"common_cause"`
	Measure     string       `json:"different_measure"`
	Answer      string       `json:"answer"`
}

func three(v [3]float64) []num { return []num{num(v[0]), num(v[1]), num(v[2])} }

// CompareJSON writes a comparison as JSON in the manner of [JSON]. Variants come in their order; every later
// one is compared with the first; beats[a][b] is the share of samples in which variant a has the higher readiness.
func CompareJSON(w io.Writer, name string, c *risk.Comparison) error {
	out := struct {
		Schema   int           `json:"schema"`
		Program  string        `json:"program"`
		Name     string        `json:"name"`
		Samples  int           `json:"samples"`
		Variants []variantJSON `json:"variants"`
		Pairs    []pairJSON    `json:"pairs"`
		Beats    [][]num       `json:"beats"`
		Caution  string        `json:"caution"`
	}{Schema: Schema, Program: "lastroad", Name: name, Samples: c.Samples, Variants: []variantJSON{}, Pairs: []pairJSON{}, Beats: [][]num{}, Caution: Caution}
	for _, j := range c.Judgements {
		v := variantJSON{Name: j.Variant, Score: score(j.Trip), Findings: findings(j.Findings), Partner: partner(j.Partner), Legs: []scoreJSON{}}
		for i := range j.Legs {
			v.Legs = append(v.Legs, score(j.Legs[i].Score))
		}
		out.Variants = append(out.Variants, v)
	}
	for _, p := range c.Pairs {
		q := pairJSON{A: c.Judgements[p.A].Variant, B: c.Judgements[p.B].Variant, Gain: num(p.Gain), GainBand: three(p.GainBand), Better: num(p.Better), Same: num(p.Same),
			Unaided: num(p.Unaided), UnaidedBand: three(p.UnaidedBand), NoHelp: num(p.NoHelp), NoHelpBand: three(p.NoHelpBand),
			DelayedA: odds(p.DelayedOdds[0]), DelayedB: odds(p.DelayedOdds[1]), Flips: []flipJSON{}, Legs: []changeJSON{}, Common: p.Common, Measure: p.Measure, Answer: p.Text}
		for _, f := range p.Flips {
			q.Flips = append(q.Flips, flipJSON{f.Leg + 1, f.From, f.To, f.Why})
		}
		for _, l := range p.Legs {
			q.Legs = append(q.Legs, changeJSON{l.Leg + 1, num(l.Gain), three(l.GainBand), num(l.Better), num(l.Same), num(l.Unaided), l.Why})
		}
		out.Pairs = append(out.Pairs, q)
	}
	for _, row := range c.Beats {
		r := []num{}
		for _, v := range row {
			r = append(r, num(v))
		}
		out.Beats = append(out.Beats, r)
	}
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(out)
}

// change is a difference with its sign and so many decimals, and what shows none of them as 0 without one.
func change(v float64, decimals int) string {
	if math.Abs(v) < 0.5*math.Pow10(-decimals) {
		return "0"
	}
	return fmt.Sprintf("%+.*f", decimals, v)
}
