package recovery

import (
	"maps"
	"slices"

	"lastroad/geo"
	"lastroad/geo/table"
)

// exactly checks that the named figures and no others are there.
func exactly(d *table.Document, name string, have map[string]geo.Figure, want []string) error {
	for _, k := range want {
		if _, ok := have[k]; !ok {
			return d.Fault(name+"."+k, "is missing")
		}
	}
	for _, k := range sortedKeys(have) {
		if !slices.Contains(want, k) {
			return d.Fault(name+"."+k, "is not a key of this table")
		}
	}
	return nil
}

// sortedKeys lists the keys of a map in order.
func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }

// Figures calls yield with every figure of the tables and its path.
func (t *Tables) Figures(yield func(path string, f geo.Figure)) {
	table.Figures(t, func(path string, f *geo.Figure) { yield(path, *f) })
}

// Figures calls yield with every figure of the tyre tables and its path.
func (t *Tyres) Figures(yield func(path string, f geo.Figure)) {
	table.Figures(t, func(path string, f *geo.Figure) { yield(path, *f) })
}
