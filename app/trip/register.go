package trip

import (
	"context"
	"fmt"
	"slices"
	"sort"
	"strings"

	"lastroad/geo"
	"lastroad/geo/ground"
	"lastroad/geo/survey"
	"lastroad/risk"
)

// Number is one number of the built-in tables: where it stands, and what it rests on.
type Number struct {
	Table string // file in assets/tables
	Path  string // "hazard.bogged.rate.sand"
	Title string // in words, "" where the path has to do
	geo.Figure
}

// Figures lists every number of the tables that carries its own band, by table and path.
func (t *Tables) Figures() []Number {
	var out []Number
	add := func(table string, list []ground.Number) {
		for _, n := range list {
			out = append(out, Number{table, n.Path, n.Title, n.Figure})
		}
	}
	add("ground.toml", t.Survey.Ground.Numbers())
	add("ground.toml", t.Survey.Ground.Weights())
	add("ways.toml", t.Survey.Ways.Numbers())
	add("pace.toml", t.Survey.Pace.Numbers())
	value := func(table string) func(path string, f geo.Figure) {
		return func(path string, f geo.Figure) { out = append(out, Number{table, path, "", f}) }
	}
	t.Catalogue.Supply.Figures(value("supply.toml"))
	t.Catalogue.Recovery.Figures(value("recovery.toml"))
	t.Catalogue.Tyres.Figures(value("tyres.toml"))
	t.Catalogue.Vehicles.Figures(value("vehicles.toml"))
	months := map[string]string{}
	for _, c := range t.Catalogue.Climates.List {
		for m := 1; m <= 12; m++ {
			at := func(col string) string { return fmt.Sprintf("climates.%s.%s.%d", c.Key, col, m) }
			months[at("mean")] = fmt.Sprintf("mean temperature, %s, month %d", c.Title, m)
			months[at("max")] = fmt.Sprintf("highest temperature of the day, %s, month %d", c.Title, m)
			months[at("night_min")] = fmt.Sprintf("lowest temperature of the night, %s, month %d", c.Title, m)
		}
	}
	t.Catalogue.Climates.Figures(func(path string, f geo.Figure) { out = append(out, Number{"climate.toml", path, months[path], f}) })
	// The catalogue lists its own tables: hazards, factors, recipes, items, policy.
	listed := map[string]bool{}
	for _, n := range out {
		listed[n.Table] = true
	}
	for _, e := range t.Catalogue.Register() {
		if !listed[e.File] {
			out = append(out, Number{e.File, e.Key, e.Title, e.Figure})
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		if out[i].Table != out[j].Table {
			return out[i].Table < out[j].Table
		}
		return before(out[i].Path, out[j].Path)
	})
	return out
}

// measuring are the numbers by which the document's route was measured, with the way to measure it with others. There are
// none where its files are not at hand, or do not give the legs that the document has.
func (d *Document) measuring(ctx context.Context, t survey.Tables) ([]risk.Measuring, error) {
	if d.Region == nil && len(d.Plan.Region) > 0 || d.Heights == nil && len(d.Plan.Heights) > 0 {
		return nil, nil
	}
	base, err := survey.NewBase(ctx, d.Route, d.Region, d.Heights, t, d.Plan.options(), nil)
	if err != nil {
		return nil, err
	}
	if !slices.Equal(base.Survey().Legs, d.Survey.Legs) {
		return nil, nil
	}
	var out []risk.Measuring
	for _, n := range base.Trials() {
		out = append(out, risk.Measuring{Table: n.Table, Path: n.Path, Title: n.Title, Figure: n.Figure, Again: n.Again})
	}
	return out, nil
}

// before orders paths as a person would: runs of digits by their number, so that month 2 comes before month 10.
func before(a, b string) bool {
	for a != "" && b != "" {
		x, y := digits(a), digits(b)
		if x == 0 || y == 0 {
			if a[0] != b[0] {
				return a[0] < b[0]
			}
			a, b = a[1:], b[1:]
			continue
		}
		p, q := strings.TrimLeft(a[:x], "0"), strings.TrimLeft(b[:y], "0")
		if len(p) != len(q) {
			return len(p) < len(q)
		}
		if p != q {
			return p < q
		}
		a, b = a[x:], b[y:]
	}
	return len(a) < len(b)
}

// digits is how many digits a text begins with.
func digits(s string) int { return len(s) - len(strings.TrimLeft(s, "0123456789")) }
