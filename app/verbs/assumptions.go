package verbs

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"lastroad/app/report"
	"lastroad/app/trip"
)

type assumptionsArgs struct {
	Search string `arg:"" optional:"" help:"Only numbers whose path, unit or source holds this text."`
	From   string `help:"Only numbers of this provenance: standard, data, derived, practice, memory, assumption." enum:",standard,data,derived,practice,memory,assumption" default:""`
	On     string `help:"Only numbers that the judging of this trip rests on, with what each does to readiness between its low and its high value, most first: a .gpx, a .trip, or the word demo. Takes some ten seconds, longer on a long route." placeholder:"FILE"`
	JSON   bool   `help:"Write them as JSON."`
	// For a route that is no saved trip.
	Region  []string `help:"With --on: region file; may be given several times." placeholder:"F" sep:"none"`
	Heights []string `help:"With --on: height tile; may be given several times." placeholder:"F" sep:"none"`
}

func assumptions(ctx context.Context, args []string, s Streams) int {
	var a assumptionsArgs
	if status, done := parse("assumptions", "List every number of the built-in tables with its band, its unit, and what it rests on.", &a, args, s); done {
		return status
	}
	if a.On != "" {
		return effects(ctx, a, s)
	}
	if len(a.Region)+len(a.Heights) > 0 {
		return fail(s, errors.New("--region and --heights go with --on"))
	}
	t, err := trip.Builtin()
	if err != nil {
		return fail(s, err)
	}
	var list []trip.Number
	find := strings.ToLower(a.Search)
	for _, n := range t.Figures() {
		if a.From != "" && string(n.From) != a.From {
			continue
		}
		if find == "" || strings.Contains(strings.ToLower(n.Table+" "+n.Path+" "+n.Unit+" "+n.Source), find) {
			list = append(list, n)
		}
	}
	out := bufio.NewWriter(s.Out)
	if a.JSON {
		type row struct {
			Table   string  `json:"table"`
			Path    string  `json:"path"`
			Low     float64 `json:"low"`
			Central float64 `json:"central"`
			High    float64 `json:"high"`
			Unit    string  `json:"unit"`
			From    string  `json:"from"`
			Source  string  `json:"source"`
		}
		rows := []row{}
		for _, n := range list {
			rows = append(rows, row{n.Table, n.Path, n.Low, n.Central, n.High, n.Unit, string(n.From), n.Source})
		}
		e := json.NewEncoder(out)
		e.SetEscapeHTML(false)
		e.SetIndent("", " ")
		err = e.Encode(rows)
	} else {
		for _, n := range list {
			fmt.Fprintf(out, "%s %s: %g (%g to %g)%s [%s] %s\n", n.Table, n.Path, n.Central, n.Low, n.High, report.UnitAfter(n.Unit), n.From, n.Source)
		}
		fmt.Fprintf(out, "%d numbers\n", len(list))
	}
	if err == nil {
		err = out.Flush()
	}
	if err != nil {
		return fail(s, err)
	}
	return Done
}
