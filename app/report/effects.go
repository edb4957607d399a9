package report

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"sort"
	"strings"

	"lastroad/risk"
)

// EffectsText writes what each number of the tables does to readiness, for reading in a terminal: the change
// of the trip and of the three legs that it moves most.
func EffectsText(w io.Writer, name string, list []risk.Effect) error {
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "%s: points of readiness from the low to the high value, all else as it is\n\n  %7s  %s\n", name, "trip", "legs moved most; number (low to high) [provenance]")
	for i := range list {
		e := &list[i]
		title := e.Title
		if title == e.Path {
			title = strings.TrimSuffix(e.Table, ".toml") + ": " + e.Path
		}
		wrap(b, fmt.Sprintf("  %7s  ", change(e.Trip, 2)), "           ", fmt.Sprintf("%s; %s: %g (%g to %g)%s [%s]", legsMoved(e, 3), title, e.Central, e.Low, e.High, UnitAfter(e.Unit), e.From))
	}
	fmt.Fprintf(b, "%d numbers\n", len(list))
	return b.Flush()
}

// UnitAfter is a unit to follow a number; plain ratios have none to show.
func UnitAfter(u string) string {
	if u == "1" || u == "" {
		return ""
	}
	return " " + u
}

// legsMoved names the legs with the largest changes: "leg 5 -2.1, leg 7 -0.4".
func legsMoved(e *risk.Effect, most int) string {
	legs := make([]int, len(e.Legs))
	for i := range legs {
		legs[i] = i
	}
	sort.SliceStable(legs, func(a, b int) bool { return math.Abs(e.Legs[legs[a]]) > math.Abs(e.Legs[legs[b]]) })
	var out []string
	for _, l := range legs {
		if len(out) == most || math.Abs(e.Legs[l]) < 0.005 {
			break
		}
		out = append(out, fmt.Sprintf("leg %d %+.2f", l+1, e.Legs[l]))
	}
	if len(out) == 0 {
		return "no leg by more than 0.005"
	}
	return strings.Join(out, ", ")
}

// EffectsJSON writes the same as JSON in the manner of [JSON].
func EffectsJSON(w io.Writer, name string, list []risk.Effect) error {
	type row struct {
		Table   string `json:"table"`
		Path    string `json:"path"`
		Title   string `json:"title"`
		Low     num    `json:"low"`
		Central num    `json:"central"`
		High    num    `json:"high"`
		Unit    string `json:"unit"`
		From    string `json:"from"`
		Source  string `json:"source"`
		Trip    num    `json:"trip_points"`
		Legs    []num  `json:"leg_points"`
	}
	out := struct {
		Schema  int    `json:"schema"`
		Program string `json:"program"`
		Name    string `json:"name"`
		Numbers []row  `json:"numbers"`
	}{Schema, "lastroad", name, []row{}}
	for _, e := range list {
		r := row{e.Table, e.Path, e.Title, num(e.Low), num(e.Central), num(e.High), e.Unit, string(e.From), e.Source, num(e.Trip), []num{}}
		for _, v := range e.Legs {
			r.Legs = append(r.Legs, num(v))
		}
		out.Numbers = append(out.Numbers, r)
	}
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(out)
}
