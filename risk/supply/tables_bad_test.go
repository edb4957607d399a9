package supply_test

import (
	"errors"
	"strings"
	"testing"

	"lastroad/assets"
	"lastroad/geo"
	"lastroad/geo/garble"
	"lastroad/risk/supply"
)

// Each row breaks the built-in file in one place and tells what the error must say.
func TestBadTablesAreRefusedWithLineAndReason(t *testing.T) {
	data, file := assets.Table("supply")
	good := string(data)
	for _, c := range []struct{ name, old, new, says string }{
		{"missing provenance", `unusable = {low = 0.03, central = 0.10, high = 0.15, unit = "1", from = "practice"`, `unusable = {low = 0.03, central = 0.10, high = 0.15, unit = "1"`, "fuel.unusable: has no provenance"},
		{"low above central", `unusable = {low = 0.03`, `unusable = {low = 0.3`, "rising order"},
		{"unknown key", "[fuel]\n", "[fuel]\nusable = 3\n", "not a key"},
		{"unknown provenance", `from = "memory"`, `from = "hearsay"`, "hearsay"},
		{"a column that falls with heat", "rest_shade = [1.8, 2.4,", "rest_shade = [2.8, 2.4,", "daily.rest_shade: values must not fall"},
		{"a column too short", "rest_shade = [1.8, 2.4,", "rest_shade = [2.4,", "has 7 values, want 8"},
		{"hard work below moderate", "hard_sun = [3.9", "hard_sun = [2.0", "needs less than lighter work"},
		{"a ground left out", `ground = "salt"`, `ground = "sand"`, "is there twice"},
		{"no such ground", `ground = "salt"`, `ground = "lava"`, "not a ground class"},
		{"two defaults", "default = true", "default = true\nreturn = true\n", "return"},
		{"no default", "default = true", "default = false", "marked default"},
		{"a place left out", `key = "roof"`, `key = "ceiling"`, "place \"roof\" is missing"},
		{"not a number", "mean_degc = [15,", "mean_degc = [nan,", "finite"},
		{"hotter lives longer", "[3, 3, 3.5, 4, 5, 7]", "[8, 8, 8, 8, 10, 14]", "live longer"},
		{"broken syntax", "[daily]\n", "[daily\n", "line"},
		{"no source for cells", "source = \"EFSA Panel", "source = \"\" # \"EFSA Panel", "source: is missing"},
	} {
		bad := strings.Replace(good, c.old, c.new, 1)
		if bad == good {
			t.Fatalf("%s: the text to break is not in the file", c.name)
		}
		_, err := supply.ParseTables([]byte(bad), file)
		var e *geo.InputError
		switch {
		case err == nil:
			t.Errorf("%s: accepted", c.name)
		case !errors.As(err, &e) || e.File != file || !strings.HasPrefix(e.Where, "line "):
			t.Errorf("%s: error %v does not name file and line", c.name, err)
		case !strings.Contains(err.Error(), c.says):
			t.Errorf("%s: error %v does not say %q", c.name, err, c.says)
		}
	}
}

func TestBadVehiclesAndClimatesAreRefused(t *testing.T) {
	data, file := assets.Table("vehicles")
	for _, c := range []struct{ name, old, new, says string }{
		{"another fuel", `fuel = "diesel"`, `fuel = "steam"`, "steam"},
		{"heavier empty than full", `kerb_kg = {low = 1980, central = 2200, high = 2460`, `kerb_kg = {low = 1980, central = 3200, high = 3460`, "kerb mass"},
		{"the same key twice", `key = "wagon_mid_petrol"`, `key = "wagon_mid_diesel"`, "twice"},
		{"a missing figure", `wheelbase_m = `, `# `, "wheelbase_m"},
	} {
		bad := strings.Replace(string(data), c.old, c.new, 1)
		if _, err := supply.ParseVehicles([]byte(bad), file); err == nil || bad == string(data) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("vehicles, %s: %v, want an error with %q", c.name, err, c.says)
		}
	}
	data, file = assets.Table("climate")
	for _, c := range []struct{ name, old, new, says string }{
		{"eleven months", "mean = [14, 16,", "mean = [14,", "twelve"},
		{"nights hotter than days", "night_min = [6,", "night_min = [26,", "rising order"},
		{"a gap of latitude", "latitude_to = 8\n", "latitude_to = 5\n", "0 default classes"},
	} {
		bad := strings.Replace(string(data), c.old, c.new, 1)
		if _, err := supply.ParseClimate([]byte(bad), file); err == nil || bad == string(data) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("climates, %s: %v, want an error with %q", c.name, err, c.says)
		}
	}
}

func TestOverrideChangesACopyOnly(t *testing.T) {
	tab := tables(t)
	f := geo.Figure{Low: 0, Central: 0, High: 0, Unit: "1", From: geo.FromUser, Source: "typed"}
	changed, err := tab.Override("fuel.unusable", f)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "usable of 100 L as typed", changed.FuelOnBoard(100, 0, 0).Central, 100, 1e-12)
	near(t, "usable of 100 L before", tab.FuelOnBoard(100, 0, 0).Central, 90, 1e-12)
	crr := geo.Figure{Low: 0.5, Central: 0.5, High: 0.5, Unit: "1", From: geo.FromUser, Source: "typed"}
	if changed, err = tab.Override("rolling.6.crr", crr); err != nil {
		t.Fatal(err)
	}
	sand := func(tab *supply.Tables) float64 {
		m, err := tab.Fuel(wagon)
		if err != nil {
			t.Fatal(err)
		}
		return m.Use(supply.Segment{LengthM: 1000, Seconds: 100, MassKg: 2500, Ground: m.OnGround(geo.Pure(geo.Sand, ""))}).Central
	}
	if a, b := sand(tab), sand(changed); b < 3*a {
		t.Errorf("sand with a resistance of 0.5 takes %g L, before %g", b, a)
	}
	for path, f := range map[string]geo.Figure{"fuel.nothing": f, "fuel.unusable": {Unit: "L", From: geo.FromUser, Source: "typed"}, "fuel.cda": {Unit: "m2", Source: "typed"}} {
		if _, err := tab.Override(path, f); err == nil {
			t.Errorf("override of %s with %+v is accepted", path, f)
		}
	}
	n := 0
	tab.Figures(func(path string, f geo.Figure) {
		n++
		if err := f.Check(); err != nil {
			t.Errorf("%s %v", path, err)
		}
	})
	if n < 120 {
		t.Errorf("only %d figures are listed", n)
	}
}

func TestFuelRefusesAbsurdVehicles(t *testing.T) {
	tab := tables(t)
	nan := zero() / zero()
	for name, v := range map[string]supply.FuelVehicle{
		"no consumption": {MassKg: 2000, EngineL: 2}, "a consumption of NaN": {SealedLPer100: nan, MassKg: 2000, EngineL: 2},
		"900 t": {SealedLPer100: 12, MassKg: 900e3, EngineL: 2}, "no engine": {SealedLPer100: 12, MassKg: 2000},
		"less than idling": {SealedLPer100: 4, MassKg: 2000, EngineL: 14}, "negative drag": {SealedLPer100: 12, MassKg: 2000, EngineL: 2, CdA: -1},
	} {
		if _, err := tab.Fuel(v); err == nil {
			t.Errorf("%s is accepted", name)
		}
	}
	m := model(t, supply.FuelVehicle{Fuel: supply.Diesel, SealedLPer100: 4, MassKg: 3500, EngineL: 1})
	if m.Warning() == "" {
		t.Error("3.5 t on 4 L/100 km raise no doubt")
	}
}

func zero() float64 { return 0 }

func FuzzParseTables(f *testing.F) {
	data, _ := assets.Table("supply")
	f.Add(data)
	f.Add([]byte("[daily]\nmean_degc = [1,2"))
	f.Add([]byte("[[rolling]]\nground = \"sand\"\n"))
	for _, b := range garble.Copies(100, true, data) {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if tab, err := supply.ParseTables(b, "x.toml"); err == nil {
			tab.Water(supply.WaterInput{People: []supply.Person{{}}})
		} else if e := (*geo.InputError)(nil); !errors.As(err, &e) {
			t.Fatalf("error %v is not an input error", err)
		}
	})
}
