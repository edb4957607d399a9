package recovery

import (
	"errors"
	"strings"
	"testing"

	"lastroad/assets"
	"lastroad/geo"
	"lastroad/geo/garble"
)

// tables reads the built-in numbers.
func tables(t testing.TB) *Tables {
	t.Helper()
	tab, err := ParseTables(assets.Table("recovery"))
	if err != nil {
		t.Fatalf("the built-in table cannot be read: %v", err)
	}
	return tab
}

func TestTablesRefuseFaults(t *testing.T) {
	good, _ := assets.Table("recovery")
	tests := []struct{ name, old, new, want string }{
		{"unknown key", `[tackle]`, "[tackle]\nper_shave = { low = 1, central = 1, high = 1, unit = \"1\", from = \"memory\", source = \"x\" }", "tackle.per_shave: is not a key"},
		{"unknown table", `[tackle]`, "[tackel]\nx = 1\n[tackle]", "is not a key of this table"},
		{"band out of order", `mud        = { low = 0.50, central = 0.75`, `mud        = { low = 0.90, central = 0.75`, "surface.mud: low 0.9, central 0.75, high 1 are not in rising order"},
		{"no source", `source = "TM 5-5420-278-10 table 9"`, `source = ""`, "deadman.source: is missing"},
		{"provenance", `from = "standard"
source = "TM 5-5420-278-10 table 9"`, `from = "hearsay"
source = "TM 5-5420-278-10 table 9"`, `deadman.from: provenance "hearsay" is not known`},
		{"missing figure", `locked       =`, `lockt       =`, "state.locked: is missing"},
		{"missing ground", `salt       = { low = 0.50`, `sault      = { low = 0.50`, "surface.salt: is missing"},
		{"depth table falls", `[950, 1300, 1450, 1500]`, `[950, 1300, 1250, 1500]`, "deadman.power_psf row 1: entry 3 (1250) does not rise"},
		{"hub below side wall", `hub      = { low = 1.00, central = 2.0, high = 2.0`, `hub      = { low = 0.10, central = 0.2, high = 2.0`, "mire.hub: asks for less"},
		{"caution without home", `on = ["puncture"]`, `on = ["punctures"]`, "the matter punctures is not known"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			if !strings.Contains(string(good), test.old) {
				t.Fatalf("the built-in table has no %q to spoil", test.old)
			}
			bad := strings.Replace(string(good), test.old, test.new, 1)
			_, err := ParseTables([]byte(bad), "recovery.toml")
			var in *geo.InputError
			if !errors.As(err, &in) {
				t.Fatalf("ParseTables = %v, want a geo.InputError", err)
			}
			if in.File != "recovery.toml" || !strings.HasPrefix(in.Where, "line ") || !strings.Contains(err.Error(), test.want) {
				t.Errorf("ParseTables = %q, want the file, a line and %q", err, test.want)
			}
		})
	}
}

// The line in an error of meaning is the line of the key, counted here by hand.
func TestFaultNamesTheLine(t *testing.T) {
	_, err := ParseTables([]byte("# one\n\n[surface]\nmud = { low = 2, central = 1, high = 1, unit = \"1\", from = \"memory\", source = \"x\" }\n"), "t.toml")
	if err == nil || !strings.HasPrefix(err.Error(), "t.toml: line 4: surface.mud: ") {
		t.Errorf("ParseTables = %v, want it to point at line 4", err)
	}
}

func FuzzParseTables(f *testing.F) {
	data, _ := assets.Table("recovery")
	f.Add(data[:4000])
	f.Add([]byte("[surface]\nmud = 3"))
	f.Add([]byte("[[caution]]\nid = 1"))
	for _, b := range garble.Copies(100, true, data[:4000]) {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if tab, err := ParseTables(b, "f"); err == nil && tab == nil {
			t.Error("ParseTables gave neither tables nor an error")
		}
	})
}
