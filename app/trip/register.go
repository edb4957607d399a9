package trip

import (
	"sort"

	"lastroad/geo"
)

// Number is one number of the built-in tables: where it stands, and what it rests on.
type Number struct {
	Table string // file in assets/tables
	Path  string // "hazard.bogged.rate.sand"
	geo.Figure
}

// Figures lists every number of the tables that carries its own band, by table and path.
func (t *Tables) Figures() []Number {
	var out []Number
	add := func(table string) func(path string, f *geo.Figure) {
		return func(path string, f *geo.Figure) { out = append(out, Number{table, path, *f}) }
	}
	t.Survey.Ground.Figures(add("ground.toml"))
	t.Survey.Ways.Figures(add("ways.toml"))
	t.Survey.Pace.Figures(add("pace.toml"))
	value := func(table string) func(path string, f geo.Figure) {
		return func(path string, f geo.Figure) { out = append(out, Number{table, path, f}) }
	}
	t.Catalogue.Supply.Figures(value("supply.toml"))
	t.Catalogue.Recovery.Figures(value("recovery.toml"))
	t.Catalogue.Tyres.Figures(value("tyres.toml"))
	t.Catalogue.Vehicles.Figures(value("vehicles.toml"))
	t.Catalogue.Climates.Figures(value("climate.toml"))
	// The catalogue lists its own tables: hazards, factors, recipes, items, policy.
	listed := map[string]bool{}
	for _, n := range out {
		listed[n.Table] = true
	}
	for _, e := range t.Catalogue.Register() {
		if !listed[e.File] {
			out = append(out, Number{e.File, e.Key, e.Figure})
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		if out[i].Table != out[j].Table {
			return out[i].Table < out[j].Table
		}
		return out[i].Path < out[j].Path
	})
	return out
}
