package verbs

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"lastroad/app/report"
	"lastroad/app/trip"
	"lastroad/risk"
)

type compareArgs struct {
	source
	With  []string `help:"A saved trip whose party, load and season are set beside FILE's on the same route; may be given several times." placeholder:"F" sep:"none"`
	Month []int    `help:"FILE's trip in another month (1 to 12), with the usual weather of the place; may be given several times." placeholder:"M" sep:"none"`
	JSON  bool     `help:"Write the comparison as JSON."`
}

func compare(ctx context.Context, args []string, s Streams) int {
	var a compareArgs
	if status, done := parse("compare", "Judge two to four variants on the same route with the same samples, and say how sure the difference is. Without --with and --month: alone, together with the second vehicle, and the variants kept in the trip.", &a, args, s); done {
		return status
	}
	if err := a.check(); err != nil {
		return fail(s, fmt.Errorf("compare: %w", err))
	}
	samples := a.Samples
	a.Samples = 0
	d, err := a.openQuick(ctx)
	if err != nil {
		return fail(s, err)
	}
	plan := d.Plan.Clone()
	columns, err := a.columns(&plan)
	if err != nil {
		return fail(s, err)
	}
	t, err := trip.Builtin()
	if err != nil {
		return fail(s, err)
	}
	cat, err := plan.Catalogue(t.Catalogue)
	if err != nil {
		return fail(s, err)
	}
	c, err := risk.Compare(ctx, d.Survey, columns, cat, risk.Options{Samples: samples, Memo: d.Memo()})
	if err != nil {
		return fail(s, err)
	}
	out := bufio.NewWriter(s.Out)
	if a.JSON {
		err = report.CompareJSON(out, d.Name(), c)
	} else {
		err = report.CompareText(out, d.Name(), d.Survey, c)
	}
	if err == nil {
		err = out.Flush()
	}
	if err != nil {
		return fail(s, err)
	}
	return Done
}

// check refuses what is known to be wrong before anything is opened.
func (a *compareArgs) check() error {
	if n := 1 + len(a.With) + len(a.Month); n > risk.MostVariants {
		return fmt.Errorf("%d variants are named, at most %d can be set side by side", n, risk.MostVariants)
	}
	for _, m := range a.Month {
		if m < 1 || m > 12 {
			return fmt.Errorf("--month %d is not 1 to 12", m)
		}
	}
	return a.source.check()
}

// columns are the variants that the arguments name.
func (a *compareArgs) columns(plan *trip.Plan) ([]risk.Variant, error) {
	if len(a.With)+len(a.Month) == 0 {
		c := plan.Columns("solo", "together")
		if len(c) < 2 {
			return nil, errors.New("compare: this trip names no second vehicle and keeps no variant; add one in the window, or give --with OTHER.trip or --month M")
		}
		return c, nil
	}
	own := "this trip"
	if a.Solo {
		own = "solo"
	}
	if a.Together {
		own = "together"
	}
	out := []risk.Variant{{Name: own, Trip: plan.Judged(plan.Trip)}}
	for _, f := range a.With {
		saved, err := trip.ReadSaved(f)
		if err != nil {
			return nil, err
		}
		v, err := plan.TakeVariant(saved.Plan, strings.TrimSuffix(filepath.Base(f), filepath.Ext(f)))
		if err != nil {
			return nil, err
		}
		for _, have := range out {
			if have.Name == v.Name {
				v.Name = f
			}
		}
		out = append(out, risk.Variant{Name: v.Name, Trip: plan.Judged(v.Trip)})
	}
	for _, m := range a.Month {
		out = append(out, risk.Variant{Name: time.Month(m).String(), Trip: inMonth(plan.Judged(plan.Trip), time.Month(m))})
	}
	return out, nil
}

// inMonth is a trip in another month of the same year: same day of the month and hour where there is a start, and
// the weather usual there then in the place of the trip's own temperatures.
func inMonth(t risk.Trip, m time.Month) risk.Trip {
	c := &t.Conditions
	c.Month = int(m)
	if s := c.Start; !s.IsZero() {
		last := time.Date(s.Year(), m+1, 0, 0, 0, 0, 0, s.Location()).Day()
		c.Start = time.Date(s.Year(), m, min(s.Day(), last), s.Hour(), s.Minute(), s.Second(), 0, s.Location())
	}
	c.DayMeanC, c.DayMaxC, c.NightMinC = 0, 0, 0
	return t
}
