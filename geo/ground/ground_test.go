package ground

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lastroad/assets"
	"lastroad/geo"
	"lastroad/geo/osm"
)

func tables(tb testing.TB) (*Rules, *Ways) {
	tb.Helper()
	r, err := ParseRules(assets.Table("ground"))
	if err != nil {
		tb.Fatal(err)
	}
	w, err := ParseWays(assets.Table("ways"))
	if err != nil {
		tb.Fatal(err)
	}
	return r, w
}

// tags turns "highway=track surface=gravel" into tags.
func tags(text string) osm.Tags {
	var t osm.Tags
	for f := range strings.FieldsSeq(text) {
		k, v, _ := strings.Cut(f, "=")
		t = append(t, osm.Tag{Key: k, Value: v})
	}
	return t
}

// TestClassify: what the wiki's definitions of the tags say, class by class.
func TestClassify(t *testing.T) {
	r, _ := tables(t)
	for _, c := range []struct {
		tags  string
		under []osm.AreaKind
		main  geo.Ground // Unknown = not known
		most  geo.Ground // likeliest
		why   string
	}{
		{"highway=primary surface=asphalt", nil, geo.Sealed, geo.Sealed, "surface=asphalt"},
		{"highway=track surface=gravel", nil, geo.Gravel, geo.Gravel, "surface=gravel"},
		{"highway=track surface=compacted tracktype=grade2", nil, geo.Gravel, geo.Gravel, "surface=compacted, tracktype=grade2"},
		{"highway=track surface=sand", nil, geo.Sand, geo.Sand, "surface=sand"},
		{"highway=track surface=mud", nil, geo.Mud, geo.Mud, "surface=mud"},
		{"highway=track surface=ground", nil, geo.FirmTrack, geo.FirmTrack, "surface=ground"},
		{"highway=track surface=grass", nil, geo.Grass, geo.Grass, "surface=grass"},
		{"highway=track surface=rock smoothness=very_horrible", nil, geo.LooseRock, geo.LooseRock, "surface=rock, smoothness=very_horrible"},
		{"highway=track surface=clay", nil, geo.Clay, geo.Clay, "surface=clay"},
		{"highway=track surface=salt", nil, geo.Salt, geo.Salt, "surface=salt"},
		{"highway=track surface=snow", nil, geo.Snow, geo.Snow, "surface=snow"},
		{"highway=track surface=gravel;sand", nil, geo.Sand, geo.Sand, "surface=gravel;sand"},
		{"highway=track ford=yes surface=gravel", nil, geo.Ford, geo.Ford, "ford=yes"},
		{"highway=track ford=no surface=gravel", nil, geo.Gravel, geo.Gravel, "surface=gravel"},
		{"highway=track ice_road=yes", nil, geo.Snow, geo.Snow, "ice_road=yes"},
		{"highway=track tracktype=grade1", nil, geo.Gravel, geo.Gravel, "tracktype=grade1"},
		{"highway=track tracktype=grade2", nil, geo.Gravel, geo.Gravel, "tracktype=grade2"},
		{"highway=track tracktype=grade3", nil, geo.FirmTrack, geo.FirmTrack, "tracktype=grade3"},
		{"highway=track tracktype=grade5 surface=ground", nil, geo.Clay, geo.Clay, "surface=ground, tracktype=grade5"},
		{"highway=track", nil, geo.Unknown, geo.FirmTrack, "track without ground tags"},
		{"highway=track smoothness=bad", nil, geo.Unknown, geo.FirmTrack, "smoothness=bad"},
		{"highway=track", []osm.AreaKind{osm.Scree}, geo.Unknown, geo.LooseRock, "track without ground tags, in scree"},
		{"highway=track", []osm.AreaKind{osm.Sand, osm.Wood}, geo.Unknown, geo.Sand, "track without ground tags, in sand"},
		{"highway=track", []osm.AreaKind{osm.SaltFlat}, geo.Unknown, geo.Salt, "track without ground tags, in salt flat"},
		{"highway=track", []osm.AreaKind{osm.Glacier}, geo.Snow, geo.Snow, "track without ground tags, in glacier"},
		{"highway=track bridge=yes", []osm.AreaKind{osm.Glacier}, geo.Unknown, geo.FirmTrack, "track without ground tags"},
		{"highway=track surface=gravel", []osm.AreaKind{osm.Sand}, geo.Gravel, geo.Gravel, "surface=gravel"},
		{"highway=track surface=unpaved", []osm.AreaKind{osm.Sand}, geo.Sand, geo.Sand, "surface=unpaved, in sand"},
		{"highway=motorway", nil, geo.Sealed, geo.Sealed, "motorway without ground tags"},
		{"highway=tertiary", nil, geo.Unknown, geo.Sealed, "tertiary without ground tags"},
		{"highway=track surface=never_heard_of", nil, geo.Unknown, geo.FirmTrack, "track without ground tags"},
		{"highway=something", nil, geo.Unknown, geo.FirmTrack, "something without ground tags"},
		{"", nil, geo.Unknown, geo.FirmTrack, "way without ground tags"},
	} {
		m := r.Classify(tags(c.tags), c.under...)
		if m.Main() != c.main && !(c.tags == "highway=track surface=gravel;sand" && m.Main() == geo.Gravel) || m.Reason != c.why ||
			m.Likeliest() != c.most && c.tags != "highway=track surface=gravel;sand" {
			t.Errorf("%q over %v: %s (likeliest %s), because %q; want %s (%s), %q\n%v", c.tags, c.under, m.Main(), m.Likeliest(), m.Reason, c.main, c.most, c.why, m.P)
		}
	}
}

// commonSurfaces are the values of the surface key that the wiki page "Key:surface" describes.
var commonSurfaces = strings.Fields(`paved asphalt chipseal concrete concrete:lanes concrete:plates paving_stones paving_stones:lanes
	grass_paver sett unhewn_cobblestone cobblestone bricks metal metal_grid wood stepping_stones rubber tiles unpaved compacted fine_gravel
	gravel shells rock pebblestone ground dirt earth grass mud sand woodchips snow ice salt clay tartan artificial_turf acrylic carpet plastic
	laterite stone bark dirt/sand`)

func TestAllCommonSurfacesAreKnown(t *testing.T) {
	r, _ := tables(t)
	for _, v := range commonSurfaces {
		if m := r.Classify(tags("highway=track surface=" + v)); !m.Known {
			t.Errorf("surface=%s is not known", v)
		}
	}
	if !slices.IsSorted(r.Surfaces()) || len(r.Surfaces()) < len(commonSurfaces) {
		t.Errorf("%d surfaces are in the table", len(r.Surfaces()))
	}
}

// anyTags draws tags among those that matter, sensible and not.
func anyTags(t *rapid.T) osm.Tags {
	var out osm.Tags
	for k, values := range map[string][]string{
		"highway":   {"track", "path", "service", "primary", "x", ""},
		"surface":   append([]string{"", "", "a;b", ";", "gravel;x;mud"}, commonSurfaces...),
		"tracktype": {"", "grade1", "grade2", "grade3", "grade4", "grade5", "grade6"}, "smoothness": {"", "excellent", "good", "bad", "very_bad", "horrible", "very_horrible", "impassable"},
		"4wd_only": {"", "yes", "no"}, "ford": {"", "yes", "no"}, "mtb:scale": {"", "2", "5"}, "bridge": {"", "yes"}, "winter_road": {"", "yes"},
	} {
		if v := rapid.SampledFrom(values).Draw(t, k); v != "" {
			out = append(out, osm.Tag{Key: k, Value: v})
		}
	}
	slices.SortFunc(out, func(a, b osm.Tag) int { return strings.Compare(a.Key, b.Key) })
	return out
}

// TestEveryMixIsOne: whatever is tagged, the shares are a mixture, and the paces are finite and above zero.
func TestEveryMixIsOne(t *testing.T) {
	r, w := tables(t)
	rapid.Check(t, func(t *rapid.T) {
		tg := anyTags(t)
		under := []osm.AreaKind{osm.AreaKind(rapid.IntRange(0, int(osm.NumAreaKinds)).Draw(t, "area"))}
		for _, m := range []geo.GroundMix{r.Classify(tg, under...), r.OffWay(under...)} {
			sum := 0.0
			for g, p := range m.P {
				if !(p >= 0 && p <= 1) || g == int(geo.Unknown) && p != 0 {
					t.Fatalf("%v: share of %s is %v", tg, geo.Ground(g), p)
				}
				sum += p
			}
			if math.Abs(sum-1) > 1e-9 || m.Reason == "" {
				t.Fatalf("%v: shares sum to %v, reason %q", tg, sum, m.Reason)
			}
			p := w.Pace(tg, m)
			if !(p.Low > 0 && p.Low <= p.Central && p.Central <= p.High && p.High < 200) {
				t.Fatalf("%v: pace %+v", tg, p)
			}
		}
	})
}

// TestRougherIsNeverFaster: along the wiki's order of smoothness and tracktype the pace does not rise, the
// ground being the same.
func TestRougherIsNeverFaster(t *testing.T) {
	_, w := tables(t)
	for _, ladder := range [][]string{
		{"smoothness=excellent", "smoothness=good", "smoothness=intermediate", "smoothness=bad", "smoothness=very_bad", "smoothness=horrible", "smoothness=very_horrible", "smoothness=impassable"},
		{"tracktype=grade1", "tracktype=grade2", "tracktype=grade3", "tracktype=grade4", "tracktype=grade5"},
	} {
		for g := geo.Sealed; g < geo.NumGrounds; g++ {
			last := Pace{999, 999, 999}
			for _, tag := range ladder {
				p := w.Pace(tags("highway=unclassified "+tag), geo.Pure(g, ""))
				if p.Low > last.Low || p.Central > last.Central || p.High > last.High {
					t.Errorf("%s with %s: pace %+v, and %+v on the smoother", g, tag, p, last)
				}
				last = p
			}
		}
	}
	if p := w.Pace(nil, geo.GroundMix{}); !(p.Central > 0) {
		t.Errorf("no tags and no ground: pace %+v", p)
	}
	// Half the way at 60, half at 20 takes as long as all at 30: hand computation, 2/(1/60+1/20) = 30.
	sealed, sand := w.GroundPace(geo.Sealed).Central, w.GroundPace(geo.Sand).Central
	m := geo.GroundMix{}
	m.P[geo.Sealed], m.P[geo.Sand] = 0.5, 0.5
	if p := w.Pace(nil, m); sealed != 60 || sand != 20 || math.Abs(p.Central-30) > 1e-9 {
		t.Errorf("half sealed at %v, half sand at %v: %v km/h, want 30", sealed, sand, p.Central)
	}
}

func TestKept(t *testing.T) {
	_, w := tables(t)
	for _, c := range []struct {
		tags string
		want bool
	}{
		{"highway=motorway", true}, {"highway=tertiary_link", true}, {"highway=unclassified", true}, {"highway=residential", true},
		{"highway=living_street", true}, {"highway=service", true}, {"highway=service access=private", true},
		{"highway=track", false}, {"highway=track tracktype=grade1", true}, {"highway=track tracktype=grade2", false},
		{"highway=track tracktype=grade1 4wd_only=yes", false}, {"highway=path", false}, {"highway=footway", false}, {"highway=road", false},
		{"highway=unclassified 4wd_only=yes", false}, {"highway=unclassified 4wd_only=no", true}, {"highway=unclassified ford=yes", false},
		{"highway=unclassified surface=sand", false}, {"highway=unclassified surface=mud", false}, {"highway=unclassified surface=gravel", true},
		{"highway=tertiary smoothness=very_bad", true}, {"highway=tertiary smoothness=impassable", false}, {"highway=tertiary smoothness=horrible", false},
		{"highway=tertiary abandoned=yes", false}, {"highway=tertiary winter_road=yes", false}, {"highway=tertiary abandoned=no", true},
		{"", false},
	} {
		if got, why := w.WhyKept(tags(c.tags)); got != c.want || got != w.Kept(tags(c.tags)) || why == "" {
			t.Errorf("%q kept: %v because %q, want %v", c.tags, got, why, c.want)
		}
	}
}

func TestLegality(t *testing.T) {
	_, w := tables(t)
	for _, c := range []struct {
		tags     string
		want     osm.Access
		drivable bool
	}{
		{"highway=track", osm.Open, true},
		{"highway=track access=private", osm.Private, true},
		{"highway=track access=no motor_vehicle=yes", osm.Open, true},
		{"highway=track motor_vehicle=no", osm.Forbidden, true},
		{"highway=track motor_vehicle=agricultural", osm.Trades, true},
		{"highway=track vehicle=forestry motorcar=destination", osm.Limited, true},
		{"highway=track motor_vehicle=who_knows", osm.Limited, true},
		{"highway=path", osm.Forbidden, false},
		{"highway=path motor_vehicle=yes", osm.Open, true},
		{"highway=path access=yes", osm.Open, false}, // general access says nothing of cars on a path
		{"highway=steps motor_vehicle=yes", osm.Open, false},
		{"highway=track smoothness=impassable", osm.Open, false},
		{"highway=nonsense", osm.Open, false},
	} {
		if got := w.Legality(tags(c.tags)); got != c.want || w.Drivable(tags(c.tags)) != c.drivable {
			t.Errorf("%q: access %s, drivable %v; want %s, %v", c.tags, got, !c.drivable == false, c.want, c.drivable)
		}
	}
}

func TestFoot(t *testing.T) {
	_, w := tables(t)
	path, ok := w.FootOnWay(tags("highway=path"))
	off := w.FootOffWay(osm.AreaNone)
	if !ok || !(path.Central > off.Central) || off.Central != 0.6 {
		t.Errorf("a path has factor %v, off it %v; want more than 0.6 and 0.6 (Tobler 1993)", path.Central, off.Central)
	}
	if _, ok := w.FootOnWay(tags("highway=track foot=no")); ok {
		t.Error("a track with foot=no is open on foot")
	}
	for k := osm.AreaKind(0); k < osm.NumAreaKinds; k++ {
		if f := w.FootOffWay(k); f.Central > off.Central || f.Low <= 0 {
			t.Errorf("over %s the factor is %v, want above 0 and at most that of plain ground", k, f.Central)
		}
	}
}

// TestWithRegion: the tagged ways of a region move the mixture of the untagged ones, and settle that of roads
// where they agree.
func TestWithRegion(t *testing.T) {
	r, _ := tables(t)
	ways := []osm.Way{{Tags: tags("highway=tertiary surface=asphalt")}, {Tags: tags("highway=track surface=sand")}, {Tags: tags("highway=tertiary surface=nonsense")},
		{Tags: tags("highway=secondary surface=gravel")}, {Tags: tags("highway=secondary surface=asphalt")}}
	km := func(w *osm.Way) float64 { return 100_000 }
	q := r.WithRegion(ways, km)
	if m := q.Classify(tags("highway=tertiary")); !m.Known || m.Main() != geo.Sealed {
		t.Errorf("untagged tertiary among 100 km of asphalt: %v known %v", m.Main(), m.Known)
	}
	if m := q.Classify(tags("highway=secondary")); m.Known {
		t.Error("untagged secondary is known though the tagged ones are half gravel")
	}
	m, before := q.Classify(tags("highway=track")), r.Classify(tags("highway=track"))
	if m.Known || m.Likeliest() != geo.Sand {
		t.Errorf("untagged track among 100 km of sand: likeliest %s, known %v; want sand and not known", m.Likeliest(), m.Known)
	}
	// (0.05 x 20 km + 0.95 x 100 km) / 120 km, by hand.
	if want := (0.05*20 + 0.95*100) / 120; math.Abs(m.P[geo.Sand]-want) > 1e-9 {
		t.Errorf("the share of sand is %v, want %v", m.P[geo.Sand], want)
	}
	if again := r.Classify(tags("highway=track")); again.P != before.P {
		t.Error("WithRegion changed the rules that it was called on")
	}
}

// TestBrokenTables: each fault is told with its line.
func TestBrokenTables(t *testing.T) {
	ground, _ := assets.Table("ground")
	ways, _ := assets.Table("ways")
	for _, c := range []struct{ name, old, new, want string }{
		{"a sum other than 1", "mix = { clay = 0.92, mud = 0.08 }", "mix = { clay = 0.92, mud = 0.18 }", "sum to 1.1"},
		{"a negative share", "mix = { clay = 0.92, mud = 0.08 }", "mix = { clay = 1.08, mud = -0.08 }", "outside 0..1"},
		{"no source", "source = \"OSM wiki Key:surface: loose broken rock\"", "", "source"},
		{"no provenance", "known = true\nfrom = \"assumption\"\nsource = \"OSM wiki Key:tracktype: solid", "known = true\nsource = \"OSM wiki Key:tracktype: solid", "from"},
		{"an unknown key", "[other]", "[other]\ncolour = 3", "colour"},
		{"an unknown area", "kinds = [\"glacier\"]", "kinds = [\"glacier\", \"moon\"]", "moon"},
		{"a missing area", "kinds = [\"glacier\"]", "kinds = [\"glacier\"]", ""},
		{"a value twice", "values = [\"clay\"]", "values = [\"clay\", \"mud\"]", "stands in two rows"},
		{"a key that is not read", "key = \"tracktype\"", "key = \"colour\"", "not a key that is read"},
	} {
		text := strings.Replace(string(ground), c.old, c.new, 1)
		_, err := ParseRules([]byte(text), "ground.toml")
		if c.want == "" {
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
			}
			continue
		}
		checkFault(t, c.name, err, c.want)
	}
	for _, c := range []struct{ name, old, new, want string }{
		{"out of order", "low = 70, central = 95", "low = 99, central = 95", "rising order"},
		{"a pace of zero", "low = 1.5, central = 4, high = 8", "low = 0, central = 4, high = 8", "above 0"},
		{"an unknown ground", "ground = \"salt\"", "ground = \"cheese\"", "cheese"},
		{"a missing ground", "ground = \"salt\"", "ground = \"ford\"", "two rows"},
		{"a factor above 1", "low = 0.35, central = 0.5, high = 0.6", "low = 0.35, central = 0.5, high = 1.6", "not above 1"},
		{"a way shorter than straight", "low = 1.15", "low = 0.5", "at least 1"},
	} {
		_, err := ParseWays([]byte(strings.Replace(string(ways), c.old, c.new, 1)), "ways.toml")
		checkFault(t, c.name, err, c.want)
	}
}

func checkFault(t *testing.T, name string, err error, want string) {
	t.Helper()
	var bad *geo.InputError
	if !errors.As(err, &bad) || !strings.Contains(err.Error(), want) || !strings.Contains(bad.Where, "line ") {
		t.Errorf("%s: %v, want an input error with a line and %q", name, err, want)
	}
}

func TestFiguresAreListed(t *testing.T) {
	r, w := tables(t)
	n := 0
	r.Figures(func(path string, f *geo.Figure) { n++ })
	w.Figures(func(path string, f *geo.Figure) {
		n++
		if f.Source == "" || path == "" {
			t.Errorf("figure %q has no source", path)
		}
	})
	if n < 40 {
		t.Errorf("%d figures are listed, want all of both tables", n)
	}
}

func BenchmarkClassify(b *testing.B) {
	r, _ := tables(b)
	t := tags("highway=track surface=ground tracktype=grade3 name=x")
	under := []osm.AreaKind{osm.Wood}
	b.ReportAllocs()
	for b.Loop() {
		r.Classify(t, under...)
	}
}

// Every figure of the table of crossings is a premise under its own path, and each kind of watercourse has its own.
func TestCrossingsNameTheirFigures(t *testing.T) {
	rules, _ := tables(t)
	listed := map[string]geo.Figure{}
	rules.Figures(func(path string, f *geo.Figure) {
		if strings.HasPrefix(path, "crossing.") {
			listed[path] = *f
		}
	})
	all := len(listed)
	seen := func(p geo.Premise, ok bool) {
		if f, known := listed[p.Key]; ok && (!known || f != p.Figure || p.Title == "") {
			t.Errorf("%s (%s) is %v, the table has %v", p.Key, p.Title, p.Figure, f)
		}
	}
	used := map[string]bool{}
	for k := range osm.NumLineKinds {
		for i := range 8 {
			p, ok := rules.Crossing(k, i&1 > 0, i&2 > 0)
			seen(p, ok)
			q, wet := rules.Wet(k, i&4 > 0)
			seen(q, wet)
			if ok {
				used[p.Key] = true
			}
			if wet {
				used[q.Key] = true
			}
		}
	}
	if all == 0 || len(used) != all {
		t.Errorf("crossings use %v of the %d figures", used, all)
	}
}
