package catalogue

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"lastroad/assets"
	"lastroad/geo"
	"lastroad/geo/garble"
)

// changed loads the tables with one text replaced in one of them, once.
func changed(table, from, to string) (*Catalogue, error) {
	return Load(func(name string) ([]byte, string) {
		data, file := assets.Table(name)
		if name == table {
			if !bytes.Contains(data, []byte(from)) {
				panic("the text to change is not in " + table + ": " + from)
			}
			data = bytes.Replace(data, []byte(from), []byte(to), 1)
		}
		return data, file
	})
}

func TestLoadRefuses(t *testing.T) {
	rows := []struct {
		name, table, from, to string
		says                  []string
	}{
		{"a missing provenance of an item", "items", "from = \"practice\"\n", "", []string{"items.toml", "line ", "provenance"}},
		{"an unknown provenance of an item", "items", "from = \"practice\"", "from = \"hearsay\"", []string{"hearsay", "line "}},
		{"a missing source of an item", "items", "source = \"mass and size typical of the trade, common practice\"\n", "", []string{"source"}},
		{"a force without rating", "items", "rating_kn = 42.0", "rating_kn = 0.0", []string{"winch", "rating", "line "}},
		{"a mass that cannot be", "items", "mass_kg = 32.0", "mass_kg = -1.0", []string{"mass", "-1"}},
		{"an item twice", "items", "key = \"tube\"", "key = \"spare_tyre\"", []string{"spare_tyre", "twice"}},
		{"an unknown field", "items", "volume_l = 75.0", "volume = 75.0", []string{"line ", "volume"}},
		{"a set with an unknown member", "items", "\"hand_tools\", \"big_tools\"", "\"hand_tools\", \"anvil\"", []string{"anvil", "tool_set_full", "line "}},
		{"a set that contains itself", "items", "key = \"hand_tools\"\ntitle = \"hand tool set\"\ngroup = \"tools\"", "key = \"hand_tools\"\ntitle = \"hand tool set\"\ngroup = \"tools\"\ncontains = [\"tool_set_full\"]", []string{"in turn", "line "}},
		{"a chance above 1", "recipes", "chance = [0.75, 0.88, 0.95]", "chance = [0.75, 0.88, 1.5]", []string{"recipes.toml", "line ", "plug", "0 to 1"}},
		{"a chance below 0", "recipes", "chance = [0.75, 0.88, 0.95]", "chance = [-0.1, 0.88, 0.95]", []string{"line ", "plug"}},
		{"low above central", "recipes", "chance = [0.75, 0.88, 0.95]", "chance = [0.9, 0.88, 0.95]", []string{"line ", "rising order"}},
		{"two numbers for three", "recipes", "chance = [0.75, 0.88, 0.95]", "chance = [0.75, 0.95]", []string{"line ", "2 numbers"}},
		{"an unknown item in a recipe", "recipes", "\"plug_tools\"", "\"plug_tool\"", []string{"recipes.toml", "line ", "plug_tool", "plug"}},
		{"an unknown event", "recipes", "events = [\"tyre/slow\"]", "events = [\"tyre/fast\"]", []string{"tyre/fast"}},
		{"an unknown skill", "recipes", "skill = \"tyre_repair\"", "skill = \"magic\"", []string{"magic"}},
		{"a count of nothing", "recipes", "tyre_plug*2", "tyre_plug*0", []string{"count", "tyre_plug"}},
		{"an unknown method", "recipes", "method = \"dig\"", "method = \"wish\"", []string{"wish"}},
		{"a recipe without provenance", "recipes", "from = \"assumption\"\n", "", []string{"provenance", "line "}},
		{"shares that do not add up", "hazards", "share = [0.82, 0.82, 0.82]", "share = [0.5, 0.5, 0.5]", []string{"hazards.toml", "add up", "tyre"}},
		{"a rate in falling order", "hazards", "median = [0.13, 0.38, 1.1]", "median = [1.1, 0.38, 0.13]", []string{"line ", "rising order"}},
		{"a rate without a ground", "hazards", "ground = \"mud\"", "ground = \"sand\"", []string{"no rate on mud"}},
		{"an unknown factor", "hazards", "factors = [\"wetness\",", "factors = [\"moon\",", []string{"moon"}},
		{"an unbounded factor", "factors", "domain = [-40.0, 55.0]", "domain = [55.0, 55.0]", []string{"domain", "adverse case"}},
		{"a factor that turns", "factors", "most = [1.3, 2.0, 3.0]", "most = [0.5, 2.0, 3.0]", []string{"monotone"}},
		{"a factor without a ground", "factors", "grounds = [\"grass\"]", "grounds = [\"clay\"]", []string{"nothing about grass"}},
		{"a policy figure gone", "policy", "rescue_cost    =", "rescue_price    =", []string{"rescue_cost", "missing"}},
		{"a policy figure outside its range", "policy", "central = 0.30, high = 0.50, unit = \"1\", from = \"assumption\", source = \"omega", "central = 0.30, high = 5.0, unit = \"1\", from = \"assumption\", source = \"omega", []string{"rescue_cost", "0.001 to 1"}},
		{"an anchor chance above 1", "policy", "salt       = { low = 0.0, central = 0.01, high = 0.05", "salt       = { low = 0.0, central = 0.01, high = 2.0", []string{"salt", "0 to 1"}},
		{"no TOML at all", "skills", "[[skill]]", "[[skill", []string{"skills.toml", "line "}},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			_, err := changed(r.table, r.from, r.to)
			var in *geo.InputError
			if !errors.As(err, &in) {
				t.Fatalf("loading gives %v, want an input error", err)
			}
			for _, s := range r.says {
				if !strings.Contains(err.Error(), s) {
					t.Errorf("the error %q does not say %q", err, s)
				}
			}
			if strings.Contains(err.Error(), "\n") {
				t.Errorf("the error is not one line: %q", err)
			}
			// Every refusal names its file and a line of it.
			var line int
			data, _ := assets.Table(r.table)
			if n, _ := fmt.Sscanf(in.Where, "line %d", &line); in.File != r.table+".toml" || n != 1 || line < 1 || line > bytes.Count(data, []byte("\n"))+1 || in.Reason == "" {
				t.Errorf("the error names file %q, place %q and reason %q, want %s.toml, a line of it and a reason", in.File, in.Where, in.Reason, r.table)
			}
		})
	}
}

// The line that is named is the one at fault: for each kind of bad input, the line of the text that was changed
// (for a provenance taken away, that of the block that lacks it).
func TestRefusalsNameTheLineAtFault(t *testing.T) {
	for _, r := range []struct{ name, table, block, from, to string }{
		{"a chance above 1", "recipes", "", "chance = [0.75, 0.88, 0.95]", "chance = [0.75, 0.88, 1.5]"},
		{"a chance below 0", "recipes", "", "chance = [0.75, 0.88, 0.95]", "chance = [-0.1, 0.88, 0.95]"},
		{"low above central", "recipes", "", "chance = [0.75, 0.88, 0.95]", "chance = [0.9, 0.88, 0.95]"},
		{"central above high", "hazards", "", "median = [0.13, 0.38, 1.1]", "median = [0.13, 1.38, 1.1]"},
		{"an unknown item in a recipe", "recipes", "", "\"plug_tools\"", "\"plug_tool\""},
		{"a missing provenance", "items", "[[item]]", "from = \"practice\"\n", ""},
		{"a cycle of sets", "items", "", "contains = [\"hand_tools\", \"big_tools\"", "contains = [\"tool_set_full\", \"big_tools\""},
	} {
		t.Run(r.name, func(t *testing.T) {
			data, _ := assets.Table(r.table)
			at := bytes.Index(data, []byte(r.from))
			if r.block != "" {
				at = bytes.LastIndex(data[:at], []byte(r.block))
			}
			want := fmt.Sprintf("line %d", 1+bytes.Count(data[:at], []byte("\n")))
			_, err := changed(r.table, r.from, r.to)
			var in *geo.InputError
			if !errors.As(err, &in) || in.File != r.table+".toml" || in.Where != want {
				t.Errorf("refused with %v, want %s.toml and %s", err, r.table, want)
			}
		})
	}
}

// A user's figure outside the permitted range is refused for every number that has one, below and above, and the
// refusal names the number and the range.
func TestOverridesOutsideTheRangeAreRefused(t *testing.T) {
	c := load(t)
	n := 0
	for _, e := range c.Register() {
		if e.Least == 0 && e.Most == 0 {
			continue
		}
		n++
		try := []float64{e.Least - 1, e.Most * 1.001}
		if n%17 == 0 {
			try = append(try, math.NaN(), math.Inf(1))
		}
		for _, v := range try {
			_, err := c.With([]Override{{Key: e.Key, Central: v}})
			var in *geo.InputError
			if !errors.As(err, &in) || in.Where != e.Key {
				t.Fatalf("%s at %g gives %v, want a refusal that names it", e.Key, v, err)
			}
			if !math.IsNaN(v) && !math.IsInf(v, 0) && !strings.Contains(in.Reason, fmt.Sprintf("%g to %g", e.Least, e.Most)) {
				t.Errorf("%s at %g is refused with %q, which does not say the range %g to %g", e.Key, v, in.Reason, e.Least, e.Most)
			}
		}
		if n%17 == 0 { // and what lies inside is taken: some of them, since each copies the tables
			if _, err := c.With([]Override{{Key: e.Key, Central: (e.Least + e.Most) / 2}}); err != nil {
				t.Errorf("%s in the middle of its range is refused: %v", e.Key, err)
			}
		}
	}
	if n < 400 {
		t.Errorf("%d numbers have a range, want all rates, factors, chances and policies", n)
	}
}

func TestCatalogueIsComplete(t *testing.T) {
	c := load(t)
	for _, k := range []string{"spare_wheel", "tyre_plug", "tyre_patch", "valve_core", "belt", "hose_set", "hose_clamps", "repair_tape", "engine_oil", "gear_oil",
		"brake_fluid", "steering_fluid", "coolant", "radiator_cap", "thermostat", "air_filter", "fuel_filter", "fuses", "relays", "wire", "jump_pack",
		"second_battery", "bulbs", "wheel_bearing", "u_joint", "cv_joint", "tie_rod_end", "spring_leaf", "stop_leak", "bolts", "tie_wire", "ratchet_straps",
		"jack", "jack_base", "hand_tools", "big_tools", "tool_set_full", "first_aid"} {
		if _, ok := c.Item(k); !ok {
			t.Errorf("the catalogue lacks %s", k)
		}
	}
	groups := map[string]bool{}
	for _, e := range c.Events {
		groups[e.Group] = true
	}
	for _, g := range []string{"tyre", "bogged", "climb", "electrical", "engine", "fuel and air", "cooling", "suspension", "driveline", "impact", "ford", "people", "heat", "way", "brakes"} {
		if !groups[g] {
			t.Errorf("no event is of the class %s", g)
		}
	}
	asked := map[int]bool{}
	for _, r := range c.Recipes {
		if r.Minutes.High <= 0 && r.Method != "walk" {
			t.Errorf("recipe %s takes no time", r.Key)
		}
		for _, n := range r.Needs {
			for _, a := range n {
				asked[a.Item] = true
			}
		}
	}
	if len(asked) < 70 {
		t.Errorf("recipes ask for %d different items, want at least 70", len(asked))
	}
}

// Every factor is monotone in its variable, lies within its value at the worst end, and the adverse case
// is never below the actual one.
func TestFactorsAreMonotoneAndBounded(t *testing.T) {
	c := load(t)
	for i := range c.Factors {
		f := &c.Factors[i]
		for g := geo.Sealed; g < geo.NumGrounds; g++ {
			up, down := true, true
			last := math.NaN()
			worst := f.WorstValue(g)
			for k := -20; k <= 120; k++ {
				x := f.Domain[0] + (f.Domain[1]-f.Domain[0])*float64(k)/100
				v := f.Value(x, g)
				if !(v >= 0 && v <= worst+1e-12) {
					t.Fatalf("%s on %s at %g is %g, outside 0 to its worst %g", f, g, x, v, worst)
				}
				if f.Adverse(x, g) < v-1e-12 {
					t.Fatalf("%s on %s at %g: adverse %g below actual %g", f, g, x, f.Adverse(x, g), v)
				}
				up, down = up && !(v < last-1e-12), down && !(v > last+1e-12)
				last = v
			}
			if !up && !down {
				t.Errorf("%s on %s goes up and down", f, g)
			}
			if v := f.Value(math.NaN(), g); v != worst {
				t.Errorf("%s on %s of an unknown variable is %g, want the worst, %g", f, g, v, worst)
			}
		}
	}
}

// exp(0.05 (age - 10)) clamped to 0.6..2: RAND MR-1789.
func TestAgeFactor(t *testing.T) {
	c := load(t)
	f := &c.Factors[c.factor["age"]]
	for _, r := range [][2]float64{{10, 1}, {0, 0.6065}, {24, 2.0138}, {40, 2.0138}, {14, 1.2214}} {
		if v := f.Value(r[0], geo.FirmTrack); math.Abs(v-r[1]) > 2e-3 {
			t.Errorf("age factor at %g years %.4f, want %.4f", r[0], v, r[1])
		}
	}
}

func TestRegisterListsEveryNumberOnce(t *testing.T) {
	c := load(t)
	seen := map[string]bool{}
	for _, e := range c.Register() {
		if seen[e.Key] {
			t.Errorf("%s is listed twice", e.Key)
		}
		seen[e.Key] = true
		if e.Title == "" || e.File == "" {
			t.Errorf("%s has no title or file", e.Key)
		}
		if err := e.Figure.Check(); err != nil {
			t.Errorf("%s: %v", e.Key, err)
		}
		if (e.Least != 0 || e.Most != 0) && (e.Figure.Low < e.Least || e.Figure.High > e.Most) {
			t.Errorf("%s: the table's own %g to %g lies outside the permitted %g to %g", e.Key, e.Figure.Low, e.Figure.High, e.Least, e.Most)
		}
	}
}

func TestWithOverrides(t *testing.T) {
	c := load(t)
	before := c.Recipes[0].Chance
	n, err := c.With([]Override{{Key: "chance/" + c.Recipes[0].Key, Central: 0.5}, {Key: "policy/rescue_cost", Low: 0.01, Central: 0.05, High: 0.1},
		{Key: "rate/bogged/sand", Low: 0.5, Central: 1, High: 2}, {Key: "item/shovel/mass_kg", Central: 1.5}})
	if err != nil {
		t.Fatal(err)
	}
	if f := n.Recipes[0].Chance; f.Central != 0.5 || f.Low != 0.5 || f.From != geo.FromUser {
		t.Errorf("the chance is %+v, want 0.5 from the user", f)
	}
	if n.Figure("rescue_cost").High != 0.1 {
		t.Errorf("the policy figure is %+v", n.Figure("rescue_cost"))
	}
	if it, _ := n.Item("shovel"); it.MassKg != 1.5 {
		t.Errorf("the shovel weighs %g", it.MassKg)
	}
	if c.Recipes[0].Chance != before || c.Figure("rescue_cost").High == 0.1 {
		t.Error("the catalogue itself was changed")
	}
	for _, bad := range []struct {
		o    Override
		says string
	}{
		{Override{Key: "chance/plug", Central: 1.5}, "0 to 1"}, {Override{Key: "policy/rescue_cost", Central: 2}, "0.001 to 1"},
		{Override{Key: "chance/plug", Low: 0.9, Central: 0.5, High: 0.95}, "rising order"}, {Override{Key: "share/tyre/slow/sand", Central: 0.5}, "adding up"},
		{Override{Key: "chance/nothing", Central: 0.5}, "no number"}, {Override{Key: "chance/plug", Central: math.NaN()}, "finite"},
		{Override{Key: "factor/wetness/clay", Central: 0.5}, "1 to 1000"},
	} {
		if _, err := c.With([]Override{bad.o}); err == nil || !strings.Contains(err.Error(), bad.says) {
			t.Errorf("override %+v gives %v, want a refusal that says %q", bad.o, err, bad.says)
		}
	}
}

// The own log against the worked example: prior mean 0.5 per 100 km with error factor 5, one event in
// 1000 km, gives 0.1443 per 100 km. Here the rate of bogging in sand is set so that its mean is 5 per 1000 km.
func TestLearnFromTheUsersLog(t *testing.T) {
	c := load(t)
	median := 5 / 1.613976
	c, err := c.With([]Override{{Key: "rate/bogged/sand", Low: median / 5, Central: median, High: median * 5}})
	if err != nil {
		t.Fatal(err)
	}
	n, changes, err := c.Learn([]LogEntry{{"bogged", geo.Sand, 600, 1}, {"bogged", geo.Sand, 400, 0}, {"tyre", geo.Sand, 0, 0}})
	if err != nil || len(changes) != 1 {
		t.Fatalf("%d changes, error %v; want one", len(changes), err)
	}
	if got := changes[0].MeanAfter / 10; math.Abs(got-0.1443) > 1e-4 {
		t.Errorf("the mean after the log is %.4f per 100 km, want 0.1443", got)
	}
	if b, a := changes[0].Before, changes[0].After; !(a.High/a.Low < b.High/b.Low) {
		t.Errorf("the band does not narrow: %g to %g before, %g to %g after", b.Low, b.High, a.Low, a.High)
	}
	for i := range n.Hazards {
		if n.Hazards[i].Key == "bogged" && n.Hazards[i].Rate[geo.Sand].From != geo.FromUser {
			t.Error("the new rate is not marked as the user's")
		}
	}
	// A rate that no log touches is still measured by itself when it is changed, and one of the log by what it was before;
	// the catalogue that was changed keeps its own.
	m, err := n.With([]Override{{Key: "rate/bogged/sand", Central: 9}, {Key: "rate/bogged/mud", Central: 9}})
	if err != nil {
		t.Fatal(err)
	}
	for i := range m.Hazards {
		if h, old := &m.Hazards[i], &n.Hazards[i]; h.Key == "bogged" {
			if got := h.Measure(geo.Mud).Central; got != 9 {
				t.Errorf("a rate of 9 in mud is measured by %g", got)
			}
			if got := h.Measure(geo.Sand).Central; got != median {
				t.Errorf("a rate of 9 in sand, where there is a log, is measured by %g, want %g", got, median)
			}
			if old.Measure(geo.Mud) != c.Hazards[i].Rate[geo.Mud] || h.SameRates(old) || !old.SameRates(old) {
				t.Error("changing a copy changes the rates of the first")
			}
		}
	}
	for _, bad := range []LogEntry{{"dragons", geo.Sand, 1, 0}, {"tyre", geo.Unknown, 1, 0}, {"tyre", geo.Sand, -1, 0}, {"tyre", geo.Sand, 0, 1}, {"tyre", geo.Sand, 1, math.NaN()}, {"empty", geo.Sand, 1, 0}} {
		if _, _, err := c.Learn([]LogEntry{bad}); err == nil {
			t.Errorf("log entry %+v is taken, want a refusal", bad)
		}
	}
}

func FuzzLoadRecipes(f *testing.F) {
	data, _ := assets.Table("recipes")
	f.Add(data[:min(len(data), 3000)])
	f.Add([]byte("[[recipe]]\nkey=\"a\"\n"))
	for _, b := range garble.Copies(60, true, data[:min(len(data), 3000)]) {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		c, err := Load(func(name string) ([]byte, string) {
			if name == "recipes" {
				return b, "recipes.toml"
			}
			return assets.Table(name)
		})
		if err == nil && c == nil {
			t.Error("neither a catalogue nor an error")
		}
	})
}

// The other tables of the catalogue, each with the rest as it is built in; copies damages each in turn.
func FuzzLoad(f *testing.F) {
	names := []string{"hazards", "factors", "policy", "items", "skills"}
	for i, n := range names {
		data, _ := assets.Table(n)
		f.Add(data, uint8(i))
		for _, b := range garble.Copies(30, true, data) {
			f.Add(b, uint8(i))
		}
	}
	f.Fuzz(func(t *testing.T, b []byte, which uint8) {
		bad := names[int(which)%len(names)]
		_, err := Load(func(name string) ([]byte, string) {
			if name == bad {
				return b, bad + ".toml"
			}
			return assets.Table(name)
		})
		var refusal *geo.InputError
		if err != nil && !errors.As(err, &refusal) {
			t.Fatalf("error %v is not an input error", err)
		}
	})
}
