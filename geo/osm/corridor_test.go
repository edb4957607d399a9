package osm

import (
	"bytes"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"

	"lastroad/geo"
)

// distanceToLine is the distance of a point from a line in metres, by steps of the line so short that
// their corners will do.
func distanceToLine(p orb.Point, line orb.LineString) float64 {
	best := math.Inf(1)
	for i := range line {
		best = min(best, geo.Distance(p, line[i]))
		if i == 0 {
			continue
		}
		n := math.Ceil(geo.Distance(line[i-1], line[i]) / 100)
		for k := 1.0; k < n; k++ {
			d := geo.LonDiff(line[i-1][0], line[i][0])
			best = min(best, geo.Distance(p, orb.Point{geo.WrapLon(line[i-1][0] + d*k/n), line[i-1][1] + k/n*(line[i][1]-line[i-1][1])}))
		}
	}
	return best
}

// TestMask: what lies within the radius is in, what lies a tenth of the radius further out is not.
func TestMask(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lat := rapid.Float64Range(-75, 75).Draw(t, "lat")
		lon := rapid.Float64Range(-180, 180).Draw(t, "lon")
		radius := rapid.Float64Range(500, 40_000).Draw(t, "radius")
		line := orb.LineString{{lon, lat}}
		for range rapid.IntRange(0, 4).Draw(t, "steps") {
			last := line[len(line)-1]
			line = append(line, geo.Destination(last, rapid.Float64Range(0, 360).Draw(t, "bearing"), rapid.Float64Range(1, 30_000).Draw(t, "length")))
		}
		m := newMask(Corridor{Line: line, RadiusM: radius})
		base := line[rapid.IntRange(0, len(line)-1).Draw(t, "from")]
		p := geo.Destination(base, rapid.Float64Range(0, 360).Draw(t, "direction"), rapid.Float64Range(0, 1.6*radius).Draw(t, "out"))
		d := distanceToLine(p, line)
		switch in := m.has(p[0], p[1]); {
		case d < radius*0.999-60 && !in: // the steps above are 100 m long
			t.Fatalf("a point %.0f m from the line is out of a corridor of %.0f m", d, radius)
		case d > radius*1.25+60 && in: // two cells of a 24th, their diagonal, and what a degree shrinks
			t.Fatalf("a point %.0f m from the line is in a corridor of %.0f m", d, radius)
		}
	})
}

func TestMaskEdges(t *testing.T) {
	if newMask(Corridor{}) != nil {
		t.Error("a corridor without a line must keep everything")
	}
	if !(*mask)(nil).has(12, 34) {
		t.Error("everything holds every point")
	}
	nan := newMask(Corridor{Line: orb.LineString{{math.NaN(), 1}, {10, math.NaN()}}})
	if nan != nil {
		t.Error("a line without a known point gives no mask")
	}
	far := newMask(Corridor{Line: orb.LineString{{-179.9, -17}, {179.9, -17}}, RadiusM: 5000}) // 43 km across the antimeridian
	for _, c := range []struct {
		lon float64
		in  bool
	}{{-179.95, true}, {180, true}, {-180, true}, {179.95, true}, {0, false}, {179, false}, {-179, false}} {
		if far.has(c.lon, -17) != c.in {
			t.Errorf("longitude %v: in %v, want %v", c.lon, !c.in, c.in)
		}
	}
	if len(far.bits) > 1<<16 {
		t.Errorf("the mask across the antimeridian has %d words: it was drawn the long way round", len(far.bits))
	}
	if m := newMask(Corridor{Line: orb.LineString{{0, 0}}, RadiusM: 1000}); m.has(math.NaN(), 0) || m.has(0, math.NaN()) {
		t.Error("an unknown position is not in the corridor")
	}
}

// TestCorridorKeepsWhole: reading with a corridor gives the same elements, whole, as reading all and
// choosing those with a node in the corridor.
func TestCorridorKeepsWhole(t *testing.T) {
	src := sharedFile(t, "andorra-2025-01-19.osm.pbf")
	all := mustRead(t, src, Corridor{}, Options{})
	rng := rand.New(rand.NewPCG(7, 7))
	for range 6 {
		w := all.Ways[rng.IntN(len(all.Ways))]
		c := Corridor{Line: w.Line, RadiusM: 300 + 3000*rng.Float64()}
		m := newMask(c)
		got := mustRead(t, src, c, Options{})
		touches := func(l orb.LineString) bool {
			return slices.ContainsFunc(l, func(p orb.Point) bool { return m.has(p[0], p[1]) })
		}
		want := *all
		want.Ways, want.Areas, want.Waterways, want.Cliffs, want.Nodes, want.Places = nil, nil, nil, nil, nil, nil
		for _, x := range all.Ways {
			if touches(x.Line) {
				want.Ways = append(want.Ways, x)
			}
		}
		for _, x := range all.Areas {
			in := false
			for _, p := range x.Polygons {
				for _, r := range p {
					in = in || touches(orb.LineString(r))
				}
			}
			if in {
				want.Areas = append(want.Areas, x)
			}
		}
		for _, x := range all.Waterways {
			if touches(x.Line) {
				want.Waterways = append(want.Waterways, x)
			}
		}
		for _, x := range all.Cliffs {
			if touches(x.Line) {
				want.Cliffs = append(want.Cliffs, x)
			}
		}
		for _, x := range all.Nodes {
			if m.has(x.At[0], x.At[1]) {
				want.Nodes = append(want.Nodes, x)
			}
		}
		// Places of ways and relations may lie outside while a corner lies inside: only the nodes can be compared.
		want.Places, got.Places = nil, nil
		want.Corridor, want.kept = got.Corridor, got.kept
		// An area whose ring goes round the corridor without a corner in it may be there as well.
		got.Areas = slices.DeleteFunc(got.Areas, func(a Area) bool {
			return !slices.ContainsFunc(want.Areas, func(b Area) bool { return a.ID == b.ID && a.Relation == b.Relation })
		})
		if a, b := encoded(t, got), encoded(t, &want); !bytes.Equal(a, b) {
			t.Errorf("corridor of %.0f m round way %d: %d, %d, %d, %d, %d ways, areas, waterways, cliffs, nodes; want %d, %d, %d, %d, %d", c.RadiusM, w.ID,
				len(got.Ways), len(got.Areas), len(got.Waterways), len(got.Cliffs), len(got.Nodes),
				len(want.Ways), len(want.Areas), len(want.Waterways), len(want.Cliffs), len(want.Nodes))
		}
	}
}

func TestCovers(t *testing.T) {
	src := sharedFile(t, "andorra-2025-01-19.osm.pbf")
	r := mustRead(t, src, Corridor{}, Options{})
	for _, c := range []struct {
		name string
		at   orb.Point
		want bool
	}{
		{"Andorra la Vella", orb.Point{1.5218, 42.5063}, true},
		{"Pas de la Casa", orb.Point{1.7336, 42.5425}, true},
		{"a corner of the box, in France", orb.Point{1.30, 42.77}, false},
		{"far away", orb.Point{2.5, 42.5}, false},
		{"nowhere", orb.Point{math.NaN(), 42.5}, false},
	} {
		if r.Covers(c.at) != c.want {
			t.Errorf("%s: covered %v, want %v", c.name, !c.want, c.want)
		}
	}
	narrow := mustRead(t, src, Corridor{Line: orb.LineString{{1.5218, 42.5063}}, RadiusM: 2000}, Options{})
	if !narrow.Covers(orb.Point{1.5218, 42.5063}) || narrow.Covers(orb.Point{1.7336, 42.5425}) {
		t.Error("a narrow corridor covers its middle and not a place 18 km away")
	}
}
