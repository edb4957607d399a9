package report

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"math"

	"lastroad/risk"
)

// PackText writes what to add, the best set, the frontier of readiness against kilograms, what may stay at
// home and what hangs on one thing, for reading in a terminal.
func PackText(w io.Writer, name string, v *risk.Advice) error {
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "%s: readiness %.1f of 100, %.0f kg may be added\n", name, v.Readiness, v.PayloadKg)
	suggestions := func(title string, l []risk.Suggestion) {
		if len(l) == 0 {
			return
		}
		fmt.Fprintf(b, "\n%s\n  %7s %7s %9s\n", title, "points", "kg", "per kg")
		for i, x := range l {
			if i == 12 {
				break
			}
			likely := ""
			if x.Likely >= 0.005 { // below it would read as 0 %; NaN where there are no samples
				likely = fmt.Sprintf(" (more than 0.1 points in %.0f %% of the samples)", 100*x.Likely)
			}
			wrap(b, fmt.Sprintf("  %+7.2f %7.1f %9.4f  ", x.Gain, x.Kg, x.PerKg), "                             ", x.Title+likely)
		}
	}
	suggestions("Single things", v.Things)
	suggestions("Whole sets", v.Sets)
	suggestions("Skills (no mass)", v.Skills)
	suggestions(fmt.Sprintf("In the second vehicle, which has %.0f kg left; what it carries serves it first", v.SecondKg), v.Second)
	how := "no other set of these things under the limits is better"
	if !v.Best.Exact {
		how = fmt.Sprintf("the search was cut short; none can exceed %.1f", v.Best.UpTo)
	}
	fmt.Fprintf(b, "\nBest set\n")
	if len(v.Best.Items) == 0 {
		fmt.Fprintf(b, "  nothing more: no set under the limits wins a hundredth of a point on this route\n")
	} else {
		wrap(b, "  ", "  ", v.Best.Title)
		fmt.Fprintf(b, "  %.1f kg, readiness %.1f; %s\n", v.Best.Kg, v.Best.Readiness, how)
	}
	if len(v.Frontier) > 1 {
		fmt.Fprintf(b, "\nReadiness against kilograms (no set is both lighter and better; steps between)\n  %7s %9s  %s\n", "kg", "readiness", "set")
		for i, p := range v.Frontier {
			t := p.Title
			if i == 0 && t == "" {
				t = "as it is"
			}
			wrap(b, fmt.Sprintf("  %7.1f %9.2f  ", p.Kg, p.Readiness), "                     ", t)
		}
	}
	stay := func(title string, pick func(risk.StayHome) bool, most int) {
		n := 0
		for _, x := range v.Stay {
			if !pick(x) || n == most {
				continue
			}
			if n == 0 {
				fmt.Fprintf(b, "\n%s\n", title)
			}
			wrap(b, fmt.Sprintf("  %7.1f kg  %5.2f points lost without it  ", x.Kg, x.Cost), "                                          ", x.Title+": "+x.Why)
			n++
		}
	}
	stay("Keep first (most lost without it for its kilograms)", func(x risk.StayHome) bool { return !x.MayStay && !x.Unvalued }, 10)
	stay("May stay at home as far as this route goes by the model", func(x risk.StayHome) bool { return x.MayStay }, 15)
	stay("Not valued by the model: nothing here says that it may stay", func(x risk.StayHome) bool { return x.Unvalued }, 15)
	if len(v.Single) > 0 {
		b.WriteString("\nHangs on one thing\n")
		for i, p := range v.Single {
			if i == 10 {
				break
			}
			fmt.Fprintf(b, "  %s: %s\n", p.Title, p.Thing)
		}
	}
	b.WriteString("\n")
	wrap(b, "", "", Caution)
	return b.Flush()
}

type packJSON struct {
	Title     string         `json:"title"`
	Items     []loadItemJSON `json:"items"`
	Kg        num            `json:"kg"`
	L         num            `json:"litres"`
	Readiness num            `json:"readiness"`
	Exact     bool           `json:"exact"`
	UpTo      num            `json:"readiness_bound"`
}

func packOf(p risk.Pack) packJSON {
	return packJSON{p.Title, items(p.Items), num(p.Kg), num(p.L), num(p.Readiness), p.Exact, num(p.UpTo)}
}

func items(l []risk.LoadItem) []loadItemJSON {
	out := []loadItemJSON{}
	for _, it := range l {
		out = append(out, loadItemJSON{it.Item, num(it.Count)})
	}
	return out
}

type suggestionJSON struct {
	Title  string         `json:"title"`
	Items  []loadItemJSON `json:"items"`
	Kg     num            `json:"kg"`
	Gain   num            `json:"gain"`
	PerKg  num            `json:"gain_per_kg"`
	Likely num            `json:"share_of_samples_above_0_1"`
}

type stayJSON struct {
	Item     string `json:"item"`
	Title    string `json:"title"`
	Kg       num    `json:"kg"`
	Cost     num    `json:"points_lost_without"`
	RAW      num    `json:"trouble_ratio_without"`
	MayStay  bool   `json:"may_stay"`
	Unvalued bool   `json:"not_valued_by_the_model"`
	Why      string `json:"why"`
}

// PackJSON writes the same advice as JSON in the manner of [JSON].
func PackJSON(w io.Writer, name string, v *risk.Advice) error {
	suggestions := func(l []risk.Suggestion) []suggestionJSON {
		out := []suggestionJSON{}
		for _, x := range l {
			out = append(out, suggestionJSON{x.Title, items(x.Items), num(x.Kg), num(x.Gain), num(x.PerKg), num(x.Likely)})
		}
		return out
	}
	type singleJSON struct {
		Event string `json:"event"`
		Title string `json:"title"`
		Item  string `json:"item"`
		Thing string `json:"thing"`
		Legs  []int  `json:"legs"`
		Mean  num    `json:"expected_count"`
	}
	type shareJSON struct {
		Event string `json:"event"`
		Title string `json:"title"`
		Share num    `json:"share"`
		Legs  []num  `json:"legs"`
	}
	second := num(math.NaN())
	if v.Second != nil { // a second vehicle comes along
		second = num(v.SecondKg)
	}
	out := struct {
		Schema    int              `json:"schema"`
		Program   string           `json:"program"`
		Name      string           `json:"name"`
		Readiness num              `json:"readiness"`
		PayloadKg num              `json:"payload_kg"`
		VolumeL   num              `json:"volume_l"`
		Things    []suggestionJSON `json:"things"`
		Sets      []suggestionJSON `json:"sets"`
		Skills    []suggestionJSON `json:"skills"`
		Second    []suggestionJSON `json:"second_vehicle"`
		SecondKg  num              `json:"second_vehicle_payload_kg"`
		Best      packJSON         `json:"best"`
		Frontier  []packJSON       `json:"frontier"`
		Stay      []stayJSON       `json:"carried"`
		Single    []singleJSON     `json:"single_points"`
		Shares    []shareJSON      `json:"trouble_shares"`
		Caution   string           `json:"caution"`
	}{Schema, "lastroad", name, num(v.Readiness), num(v.PayloadKg), num(v.VolumeL), suggestions(v.Things), suggestions(v.Sets), suggestions(v.Skills), suggestions(v.Second), second,
		packOf(v.Best), []packJSON{}, []stayJSON{}, []singleJSON{}, []shareJSON{}, Caution}
	for _, p := range v.Frontier {
		out.Frontier = append(out.Frontier, packOf(p))
	}
	for _, s := range v.Stay {
		out.Stay = append(out.Stay, stayJSON{s.Item, s.Title, num(s.Kg), num(s.Cost), num(s.RAW), s.MayStay, s.Unvalued, s.Why})
	}
	for _, p := range v.Single {
		q := singleJSON{p.Event, p.Title, p.Item, p.Thing, []int{}, num(p.Mean)}
		for _, l := range p.Legs {
			q.Legs = append(q.Legs, l+1)
		}
		out.Single = append(out.Single, q)
	}
	for _, s := range v.Shares {
		q := shareJSON{s.Event, s.Title, num(s.Share), []num{}}
		for _, l := range s.Legs {
			q.Legs = append(q.Legs, num(l))
		}
		out.Shares = append(out.Shares, q)
	}
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(out)
}
