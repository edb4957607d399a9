package trip

import (
	"sort"
	"strings"

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
		return before(out[i].Path, out[j].Path)
	})
	return out
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
