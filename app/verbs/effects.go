package verbs

import (
	"bufio"
	"context"
	"strings"

	"lastroad/app/report"
	"lastroad/app/trip"
	"lastroad/risk"
)

// effects lists the numbers that a trip rests on by what they move.
func effects(ctx context.Context, a assumptionsArgs, s Streams) int {
	d, err := source{File: a.On, Region: a.Region, Heights: a.Heights}.open(ctx)
	if err != nil {
		return fail(s, err)
	}
	desk, err := trip.NewDesk()
	if err != nil {
		return fail(s, err)
	}
	all, err := desk.Effects(ctx, d, nil)
	if err != nil {
		return fail(s, err)
	}
	var list []risk.Effect
	find := strings.ToLower(a.Search)
	for _, e := range all {
		if a.From != "" && string(e.From) != a.From {
			continue
		}
		if find == "" || strings.Contains(strings.ToLower(e.Table+" "+e.Path+" "+e.Title+" "+e.Unit+" "+e.Source), find) {
			list = append(list, e)
		}
	}
	out := bufio.NewWriter(s.Out)
	if a.JSON {
		err = report.EffectsJSON(out, d.Name(), list)
	} else {
		err = report.EffectsText(out, d.Name(), list)
	}
	if err == nil {
		err = out.Flush()
	}
	if err != nil {
		return fail(s, err)
	}
	return Done
}
