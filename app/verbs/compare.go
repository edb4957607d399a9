package verbs

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"

	"lastroad/app/report"
	"lastroad/app/trip"
	"lastroad/risk"
)

type compareArgs struct {
	source
	JSON bool `help:"Write the comparison as JSON."`
}

// fin is v, or nil when it is no number, for JSON.
func fin(v float64) any {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return v
}

func compare(ctx context.Context, args []string, s Streams) int {
	var a compareArgs
	if status, done := parse("compare", "Judge the vehicle alone and with the second vehicle on the same samples, and say how sure the difference is.", &a, args, s); done {
		return status
	}
	samples := a.Samples
	a.Samples = 0
	d, err := a.open(ctx)
	if err != nil {
		return fail(s, err)
	}
	if d.Plan.Trip.Partner == nil {
		return fail(s, errors.New("compare: this trip names no second vehicle; add one in the window, or to the trip's plan"))
	}
	t, err := trip.Builtin()
	if err != nil {
		return fail(s, err)
	}
	c, err := risk.Compare(ctx, d.Survey, risk.SoloAndTogether(d.Plan.Trip), t.Catalogue, risk.Options{Samples: samples})
	if err != nil {
		return fail(s, err)
	}
	p, out := c.Pairs[0], bufio.NewWriter(s.Out)
	if a.JSON {
		flips := []map[string]any{}
		for _, f := range p.Flips {
			flips = append(flips, map[string]any{"leg": f.Leg + 1, "alone": f.From, "together": f.To})
		}
		e := json.NewEncoder(out)
		e.SetEscapeHTML(false)
		e.SetIndent("", "  ")
		err = e.Encode(map[string]any{"schema": report.Schema, "name": d.Name(),
			"alone":         map[string]any{"readiness": c.Judgements[0].Trip.Readiness, "word": c.Judgements[0].Trip.Word, "not_out_unaided": c.Judgements[0].Trip.NotUnaided.P},
			"together":      map[string]any{"readiness": c.Judgements[1].Trip.Readiness, "word": c.Judgements[1].Trip.Word, "not_out_unaided": c.Judgements[1].Trip.NotUnaided.P},
			"gain":          fin(p.Gain),
			"gain_5_50_95":  []any{fin(p.GainBand[0]), fin(p.GainBand[1]), fin(p.GainBand[2])},
			"better_share":  fin(p.Better),
			"same_share":    fin(p.Same),
			"unaided_gain":  fin(p.Unaided),
			"flips":         flips,
			"delayed_alone": fin(p.Delayed[0]), "delayed_together": fin(p.Delayed[1]),
			"common_cause": p.Common, "answer": p.Text, "caution": report.Caution})
	} else {
		fmt.Fprintf(out, "%s\n\n%s\n\n", d.Name(), p.Text)
		for i, j := range c.Judgements {
			fmt.Fprintf(out, "  %-9s readiness %3.0f  %-10s stopped %s, not out by own means %s, no help in time %s\n", c.Judgements[i].Variant, j.Trip.Readiness, j.Trip.Word,
				report.OneIn(j.Trip.Stopped.P), report.OneIn(j.Trip.NotUnaided.P), report.OneIn(j.Trip.NoHelp.P))
		}
		fmt.Fprintf(out, "\n  gain in readiness %.1f (5 to 95 %%: %.1f to %.1f); better in %.0f %% of samples\n", p.Gain, p.GainBand[0], p.GainBand[2], 100*p.Better)
		for _, f := range p.Flips {
			fmt.Fprintf(out, "  leg %d %s: %s alone, %s together\n", f.Leg+1, d.Survey.Legs[f.Leg].Name, f.From, f.To)
		}
		fmt.Fprintf(out, "  any vehicle of the party stopped: %s alone, %s together\n\n%s\n\n%s\n", report.OneIn(p.Delayed[0]), report.OneIn(p.Delayed[1]), p.Common, report.Caution)
	}
	if err == nil {
		err = out.Flush()
	}
	if err != nil {
		return fail(s, err)
	}
	return Done
}

type packArgs struct {
	source
	Payload float64 `help:"Kilograms that may still be added; 0 = what the vehicle's limits leave." placeholder:"KG"`
	Volume  float64 `help:"Litres of room that are left; 0 = no limit." placeholder:"L"`
}

func pack(ctx context.Context, args []string, s Streams) int {
	var a packArgs
	if status, done := parse("pack", "What to add next for its kilograms, the best set under the payload, and what may stay at home.", &a, args, s); done {
		return status
	}
	if !(a.Payload >= 0 && a.Payload <= 20000) || !(a.Volume >= 0 && a.Volume <= 20000) {
		return fail(s, errors.New("pack: --payload and --volume must lie between 0 and 20000"))
	}
	a.Samples = 0
	d, err := a.open(ctx)
	if err != nil {
		return fail(s, err)
	}
	t, err := trip.Builtin()
	if err != nil {
		return fail(s, err)
	}
	v, err := risk.Advise(ctx, d.Survey, d.Plan.Trip, t.Catalogue, risk.PackLimit{PayloadKg: a.Payload, VolumeL: a.Volume}, risk.Options{})
	if err != nil {
		return fail(s, err)
	}
	out := bufio.NewWriter(s.Out)
	fmt.Fprintf(out, "%s: readiness %.1f of 100, %.0f kg may be added\n", d.Name(), v.Readiness, v.PayloadKg)
	list := func(title string, l []risk.Suggestion) {
		if len(l) == 0 {
			return
		}
		fmt.Fprintf(out, "\n%s\n  %7s %7s %9s\n", title, "points", "kg", "per kg")
		for i, x := range l {
			if i == 12 {
				break
			}
			fmt.Fprintf(out, "  %+7.2f %7.1f %9.4f  %s\n", x.Gain, x.Kg, x.PerKg, x.Title)
		}
	}
	list("Single things", v.Things)
	list("Whole sets", v.Sets)
	list("Skills (no mass)", v.Skills)
	how := "no set under the limits is better"
	if !v.Best.Exact {
		how = fmt.Sprintf("none can exceed %.1f", v.Best.UpTo)
	}
	fmt.Fprintf(out, "\nBest set: %s\n  %.1f kg, readiness %.1f; %s\n", v.Best.Title, v.Best.Kg, v.Best.Readiness, how)
	stay := func(title string, may bool, most int) {
		n := 0
		for _, x := range v.Stay {
			if x.MayStay != may || n == most {
				continue
			}
			if n == 0 {
				fmt.Fprintf(out, "\n%s\n", title)
			}
			fmt.Fprintf(out, "  %7.1f kg  %.2f points lost without it  %s\n", x.Kg, x.Cost, x.Title)
			n++
		}
	}
	stay("Keep first (most lost without it for its kilograms)", false, 10)
	stay("May stay at home (nothing is lost on this route by the model; comfort, custom and law are yours to weigh)", true, 15)
	fmt.Fprintf(out, "\n%s\n", report.Caution)
	if err := out.Flush(); err != nil {
		return fail(s, err)
	}
	return Done
}
