package table_test

import (
	"errors"
	"strings"
	"testing"

	"lastroad/geo"
	"lastroad/geo/garble"
	"lastroad/geo/table"
)

type file struct {
	Depth geo.Figure `toml:"depth"`
	Rows  []row      `toml:"rows"`
	Cells struct {
		From   geo.Provenance `toml:"from"`
		Source string         `toml:"source"`
		V      []float64      `toml:"v"`
	} `toml:"cells"`
}

type row struct {
	Key  string     `toml:"key"`
	Pull geo.Figure `toml:"pull"`
}

const good = `depth = {low = 1, central = 2, high = 3, unit = "m", from = "data", source = "counted"}

[cells]
from = "standard"
source = "a table"
v = [1, 2]

[[rows]]
key = "a"
pull = {low = 1, central = 2, high = 3, unit = "kN", from = "practice", source = "usual"}

[[rows]]
key = "b"
pull = {low = 1, central = 2, high = 3, unit = "kN", from = "practice", source = "usual"}
`

func TestDecodeKnowsTheLineOfEachFault(t *testing.T) {
	var v file
	doc, err := table.Decode([]byte(good), "good.toml", &v)
	if err != nil {
		t.Fatal(err)
	}
	for path, where := range map[string]string{"rows.2.pull": "line 14", "rows.2.other": "line 12", "cells.v": "line 6", "rows": "line 8", "nothing": ""} {
		var e *geo.InputError
		if !errors.As(doc.Fault(path, "bad"), &e) || e.Where != where || e.File != "good.toml" {
			t.Errorf("a fault at %s is placed at %q, want %q", path, e.Where, where)
		}
	}
	for _, c := range []struct{ name, old, new, where, says string }{
		{"missing figure", `depth = `, `# `, "", "depth: has no provenance"},
		{"unknown key", `[cells]`, "[cells]\nfoo = 1", "line 4", "not a key"},
		{"unknown key inside a figure", `high = 3, unit = "m"`, `high = 3, hihg = 4, unit = "m"`, "line 1", "not a key"},
		{"wrong order in the second row", "key = \"b\"\npull = {low = 1", "key = \"b\"\npull = {low = 9", "line 14", "rows.2.pull"},
		{"infinite cell", `v = [1, 2]`, `v = [1, inf]`, "line 6", "finite"},
		{"cells without provenance", "from = \"standard\"\n", "", "line 3", "cells.from: is missing"},
		{"cells of hearsay", `from = "standard"`, `from = "hearsay"`, "line 4", "not known"},
		{"text for a number", `v = [1, 2]`, `v = ["one", 2]`, "line 6", ""},
		{"a key twice", "v = [1, 2]", "v = [1, 2]\nv = [3]", "line 7", ""},
		{"open bracket", "v = [1, 2]", "v = [1, 2", "line", ""},
	} {
		var v file
		bad := strings.Replace(good, c.old, c.new, 1)
		_, err := table.Decode([]byte(bad), "bad.toml", &v)
		var e *geo.InputError
		if !errors.As(err, &e) {
			t.Errorf("%s: %v is not an input error", c.name, err)
		} else if !strings.HasPrefix(e.Where, c.where) || !strings.Contains(e.Error(), c.says) {
			t.Errorf("%s: %v, want it at %q saying %q", c.name, err, c.where, c.says)
		}
	}
}

func TestFiguresCanBeWrittenThrough(t *testing.T) {
	var v file
	if _, err := table.Decode([]byte(good), "good.toml", &v); err != nil {
		t.Fatal(err)
	}
	var paths []string
	table.Figures(&v, func(path string, f *geo.Figure) {
		paths = append(paths, path)
		f.Central = 2.5
	})
	if got := strings.Join(paths, " "); got != "depth rows.1.pull rows.2.pull" {
		t.Errorf("figures are %s", got)
	}
	if v.Rows[1].Pull.Central != 2.5 {
		t.Error("the second row was not changed")
	}
}

func FuzzDecode(f *testing.F) {
	f.Add([]byte(good))
	f.Add([]byte("[[rows]]\n[rows.pull]\nlow = 1"))
	f.Add([]byte("\"a b\".c = 1\n[x]\ny = {z = 1}"))
	for _, b := range garble.Copies(200, true, []byte(good)) {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		var v file
		_, err := table.Decode(b, "x", &v)
		if e := (*geo.InputError)(nil); err != nil && !errors.As(err, &e) {
			t.Fatalf("error %v is not an input error", err)
		}
	})
}

func TestFiguresInMapsAreCheckedAndCanBeWrittenThrough(t *testing.T) {
	type named struct {
		Rope map[string]geo.Figure `toml:"rope"`
	}
	const fig = ` = {low = 1, central = 2, high = 3, unit = "kN", from = "practice", source = "made up"}` + "\n"
	var v named
	if _, err := table.Decode([]byte("[rope]\nb"+fig+"a"+fig), "m.toml", &v); err != nil {
		t.Fatal(err)
	}
	var paths []string
	table.Figures(&v, func(path string, f *geo.Figure) {
		paths = append(paths, path)
		f.Central = 2.5
	})
	if got := strings.Join(paths, " "); got != "rope.a rope.b" {
		t.Errorf("figures are %q, want rope.a rope.b", got)
	}
	if v.Rope["a"].Central != 2.5 || v.Rope["b"].Central != 2.5 {
		t.Errorf("after writing through, the map holds %v", v.Rope)
	}
	_, err := table.Decode([]byte("[rope]\na"+fig+strings.Replace("b"+fig, "low = 1", "low = 9", 1)), "m.toml", &v)
	if err == nil || !strings.Contains(err.Error(), "line 3") || !strings.Contains(err.Error(), "rope.b") {
		t.Errorf("a band out of order in a map gave %v, want line 3 and rope.b", err)
	}
}
