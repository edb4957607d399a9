package trip

import (
	"context"
	"strings"
	"testing"
)

// Every number that is used can be looked up with its band and what it rests on, each once.
func TestRegisterHoldsEveryTable(t *testing.T) {
	b, err := Builtin()
	if err != nil {
		t.Fatal(err)
	}
	tables := map[string]int{}
	seen := map[string]bool{}
	for _, n := range b.Figures() {
		tables[n.Table]++
		key := n.Table + " " + n.Path
		if seen[key] {
			t.Errorf("%s is listed twice", key)
		}
		seen[key] = true
		if err := n.Check(); err != nil {
			t.Errorf("%s %v", key, err)
		}
		if strings.HasPrefix(n.Path, "climates.") && n.Title == "" {
			t.Errorf("%s has no title", key)
		}
	}
	for _, want := range []string{"ground.toml", "ways.toml", "pace.toml", "supply.toml", "recovery.toml", "tyres.toml", "vehicles.toml",
		"hazards.toml", "factors.toml", "recipes.toml", "items.toml", "policy.toml"} {
		if tables[want] == 0 {
			t.Errorf("no number of %s is listed", want)
		}
	}
	t.Log(tables)
}

// The numbers by which the route was measured are tried while its files are at hand, and only then.
func TestEffectsOfTheMeasuring(t *testing.T) {
	ctx := context.Background()
	d, err := Demo(ctx, Request{Quick: true}, nil)
	if err != nil {
		t.Fatal(err)
	}
	b, err := Builtin()
	if err != nil {
		t.Fatal(err)
	}
	list, err := d.measuring(ctx, b.Survey)
	if err != nil {
		t.Fatal(err)
	}
	listed := map[string]bool{}
	for _, n := range b.Figures() {
		listed[n.Table+" "+n.Path] = true
	}
	tables := map[string]int{}
	for _, m := range list {
		tables[m.Table]++
		if !listed[m.Table+" "+m.Path] {
			t.Errorf("%s %s is tried and stands in no register", m.Table, m.Path)
		}
	}
	if tables["ground.toml"] < 100 || tables["ways.toml"] < 30 || tables["pace.toml"] < 6 {
		t.Errorf("numbers to try: %v", tables)
	}
	n := *d
	n.Region, n.Plan.Region = nil, []FileRef{{Path: "gone.osm.pbf"}}
	if list, err := n.measuring(ctx, b.Survey); err != nil || len(list) > 0 {
		t.Errorf("without its region %d numbers are tried, %v", len(list), err)
	}
	n = *d
	s := *d.Survey
	s.Legs = s.Legs[1:]
	if n.Survey = &s; len(s.Legs) > 0 {
		if list, err := n.measuring(ctx, b.Survey); err != nil || len(list) > 0 {
			t.Errorf("with other legs %d numbers are tried, %v", len(list), err)
		}
	}
}

// Months and other numbered parts come in the order of their numbers.
func TestPathsInTheOrderOfTheirNumbers(t *testing.T) {
	for _, c := range []struct{ a, b string }{
		{"climates.x.max.2", "climates.x.max.10"}, {"climates.x.max.9", "climates.x.max.10"}, {"climates.x.max.10", "climates.x.mean.1"},
		{"a.2", "a.2.b"}, {"rate.mud", "rate.sand"}, {"r.09", "r.10"}, {"", "a"}, {"8b", "8c"},
	} {
		if !before(c.a, c.b) || before(c.b, c.a) {
			t.Errorf("%q does not stand before %q, or also behind it", c.a, c.b)
		}
	}
	if before("a.1", "a.1") {
		t.Error("a path stands before itself")
	}
}
