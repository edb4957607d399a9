package trip

import (
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
	}
	for _, want := range []string{"ground.toml", "ways.toml", "pace.toml", "supply.toml", "recovery.toml", "tyres.toml", "vehicles.toml",
		"hazards.toml", "factors.toml", "recipes.toml", "items.toml", "policy.toml"} {
		if tables[want] == 0 {
			t.Errorf("no number of %s is listed", want)
		}
	}
	t.Log(tables)
}
