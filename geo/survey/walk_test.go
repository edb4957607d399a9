package survey

import (
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/height"
	"lastroad/geo/osm"
	"lastroad/geo/walk"
)

// levelHeights is ground 100 m high all over a degree around a place.
func levelHeights(t testing.TB, at orb.Point) *height.Model {
	t.Helper()
	const n, step = 101, 0.01
	z := make([]float32, n*n)
	for i := range z {
		z[i] = 100
	}
	tile, err := height.NewTile("level", at[0]-0.5, at[1]+0.5, step, step, n, n, z)
	if err != nil {
		t.Fatal(err)
	}
	return height.NewModel(tile)
}

// TestWalkByGround: 3 km from a road on level ground, of which a belt of 2 km is of one kind. Over open ground one
// walks at 0.6 of Tobler's pace, over the belt at the factor of the table, and round it where it is water or ice:
// the belt reaches 6 km to both sides, so that the way round its corner is hypot(6, 0.5) + 2.5 km.
func TestWalkByGround(t *testing.T) {
	minute := walk.Tobler(0) / 60
	tab := tables(t)
	for _, c := range []struct {
		tag  string
		kind osm.AreaKind
		path bool // a path leads over it
	}{
		{"natural=grassland", osm.Grassland, false}, {"natural=sand", osm.Sand, false}, {"natural=wetland", osm.Wetland, false},
		{"natural=scree", osm.Scree, false}, {"natural=scrub", osm.Scrub, false}, {"natural=snowfield", osm.Glacier, false},
		{"natural=water", osm.AreaNone, false}, {"natural=glacier", osm.AreaNone, false}, {"natural=glacier", osm.AreaNone, true},
	} {
		origin := orb.Point{15, 24}
		d := newSheet(origin)
		d.way([][2]float64{{0, -20000}, {0, 0}, {0, 20000}}, "highway=secondary", "surface=asphalt")
		d.way([][2]float64{{500, -6000}, {2500, -6000}, {2500, 6000}, {500, 6000}, {500, -6000}}, c.tag)
		d.way([][2]float64{{-9000, -9000}, {9000, -9000}, {9000, 9000}, {-9000, 9000}, {-9000, -9000}}, "natural=grassland")
		if c.path {
			d.way([][2]float64{{0, 0}, {3000, 0}}, "highway=path")
		}
		d.node(-20000, -25000)
		d.node(20000, 25000)
		route := geo.Route{Line: d.line([2]float64{3000, -1000}, [2]float64{3000, 1000})}
		s := inputs{route, d.region(t, osm.Corridor{}), levelHeights(t, origin), tab}.survey(t, Options{})
		got := look(s, 1000)
		if got.WalkEst {
			t.Fatalf("%s: the walk is an estimate", c.tag)
		}
		open := tab.Ways.FootOffWay(osm.AreaNone).Central
		switch {
		case c.path: // 3 km of path, at the factor of paths
			path, _ := tab.Ways.FootOnWay(osm.Tags{{Key: "highway", Value: "path"}})
			if want := 3000 * minute / path.Central; !near(got.WalkMin, want, 0.02, 0) {
				t.Errorf("over the path: %.1f min, want %.1f", got.WalkMin, want)
			}
		case c.kind == osm.AreaNone:
			if least := (math.Hypot(6000, 500) + 2500) * minute / open; !(got.WalkMin > least) {
				t.Errorf("%s: %.1f min, want more than %.1f, round it", c.tag, got.WalkMin, least)
			}
		default:
			// The borders lie between middles of cells of 60 m, so up to a cell more or less is of the belt.
			part := tab.Ways.FootOffWay(c.kind).Central
			want := (1000/open + 2000/part) * minute
			if !near(got.WalkMin, want, 0, 60*(1/part-1/open)*minute+0.01*want) {
				t.Errorf("%s: %.1f min, want %.1f", c.tag, got.WalkMin, want)
			}
		}
	}
}

// TestStraightWalkIsSaid: without heights the walk out knows no barriers, which is said with its kilometres; with them it
// goes round the lake and nothing is said.
func TestStraightWalkIsSaid(t *testing.T) {
	origin := orb.Point{15, 24}
	d := newSheet(origin)
	d.way([][2]float64{{0, -20000}, {0, 0}, {0, 20000}}, "highway=secondary", "surface=asphalt")
	d.way([][2]float64{{500, -6000}, {2500, -6000}, {2500, 6000}, {500, 6000}, {500, -6000}}, "natural=water")
	d.node(-20000, -25000)
	d.node(20000, 25000)
	route := geo.Route{Line: d.line([2]float64{3000, -1000}, [2]float64{3000, 1000})}
	for _, row := range []struct {
		name    string
		heights *height.Model
		said    bool
	}{{"without heights", nil, true}, {"with heights", levelHeights(t, origin), false}} {
		s := inputs{route, d.region(t, osm.Corridor{}), row.heights, tables(t)}.survey(t, Options{})
		notes := strings.Join(s.Notes, " ")
		if got := strings.Contains(notes, "Over 2.0 km the walk out is reckoned along a straight line"); got != row.said {
			t.Errorf("%s the notes %q tell of a straight walk: %v, want %v", row.name, notes, got, row.said)
		}
	}
}
