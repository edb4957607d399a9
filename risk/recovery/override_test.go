package recovery

import (
	"testing"

	"lastroad/geo"
)

// Every figure can be overridden one by one, the copy has it, and the original keeps its own.
func TestOverrideEveryFigure(t *testing.T) {
	tab := tables(t)
	at := func(tab *Tables, path string) (out geo.Figure) {
		tab.Figures(func(p string, f geo.Figure) {
			if p == path {
				out = f
			}
		})
		return out
	}
	n := 0
	tab.Figures(func(path string, f geo.Figure) {
		n++
		g := f
		g.High, g.Source = f.High*2+1, "another"
		c, err := tab.Override(path, g)
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		if at(c, path) != g || at(tab, path) != f {
			t.Errorf("%s: the copy has %+v, the original %+v", path, at(c, path), at(tab, path))
		}
	})
	if n < 50 {
		t.Errorf("%d figures are listed, want all of the tables", n)
	}
	f := at(tab, "mire.hub")
	f.Unit = "kg"
	if _, err := tab.Override("mire.hub", f); err == nil {
		t.Error("another unit is taken, want a refusal")
	}
	f.Unit, f.From = at(tab, "mire.hub").Unit, ""
	if _, err := tab.Override("mire.hub", f); err == nil {
		t.Error("a figure without provenance is taken, want a refusal")
	}
	if _, err := tab.Override("mire.knee", at(tab, "mire.hub")); err == nil {
		t.Error("an unknown path is taken, want a refusal")
	}
}
