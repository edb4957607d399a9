package survey

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/height"
	"lastroad/geo/osm"
	"lastroad/geo/split"
)

// sheet draws a little region as OSM XML: places in metres on a plane at an origin.
type sheet struct {
	plane geo.Plane
	nodes map[[2]float64]int
	tags  map[int]string
	body  strings.Builder
	ways  int
}

func newSheet(origin orb.Point) *sheet {
	return &sheet{plane: geo.NewPlane(origin), nodes: map[[2]float64]int{}, tags: map[int]string{}}
}

// node gives the number of the node at a place; ways that pass the same place meet there.
func (s *sheet) node(x, y float64, tags ...string) int {
	k := [2]float64{x, y}
	if s.nodes[k] == 0 {
		s.nodes[k] = len(s.nodes) + 1
	}
	id := s.nodes[k]
	for _, t := range tags {
		key, value, _ := strings.Cut(t, "=")
		s.tags[id] += fmt.Sprintf(`<tag k="%s" v="%s"/>`, key, value)
	}
	return id
}

// way draws a way through places with tags such as "highway=track".
func (s *sheet) way(xy [][2]float64, tags ...string) {
	s.ways++
	fmt.Fprintf(&s.body, `<way id="%d" version="1">`, 100+s.ways)
	for _, p := range xy {
		fmt.Fprintf(&s.body, `<nd ref="%d"/>`, s.node(p[0], p[1]))
	}
	for _, t := range tags {
		key, value, _ := strings.Cut(t, "=")
		fmt.Fprintf(&s.body, `<tag k="%s" v="%s"/>`, key, value)
	}
	s.body.WriteString("</way>\n")
}

func (s *sheet) at(x, y float64) orb.Point { return s.plane.FromXY(x, y) }

func (s *sheet) line(xy ...[2]float64) orb.LineString {
	var l orb.LineString
	for _, p := range xy {
		l = append(l, s.at(p[0], p[1]))
	}
	return l
}

func (s *sheet) region(t testing.TB, c osm.Corridor) *osm.Region {
	var b strings.Builder
	b.WriteString(`<osm version="0.6">` + "\n")
	at := make([][2]float64, len(s.nodes)+1)
	for k, id := range s.nodes {
		at[id] = k
	}
	for id := 1; id < len(at); id++ {
		p := s.at(at[id][0], at[id][1])
		fmt.Fprintf(&b, `<node id="%d" version="1" lat="%.9f" lon="%.9f">%s</node>`+"\n", id, p[1], p[0], s.tags[id])
	}
	b.WriteString(s.body.String() + "</osm>")
	return readOSM(t, []byte(b.String()), c)
}

func readOSM(t testing.TB, data []byte, c osm.Corridor) *osm.Region {
	r, err := osm.Read(context.Background(), osm.Source{Name: "drawn.osm", R: bytes.NewReader(data), Size: int64(len(data))}, c, osm.Options{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// desert is a kept road along the west edge, a track 20 km out of it to the east, and a spur to a second
// road in the north at kilometre 12.
//
//	north road  ---------------------+----------
//	                                 | 5 km track
//	west road | ---- track ----------+------------- end (20, 0)
func desert(origin orb.Point) *sheet {
	s := newSheet(origin)
	s.way([][2]float64{{0, -20000}, {0, 0}, {0, 20000}}, "highway=secondary", "surface=asphalt")
	s.way([][2]float64{{0, 0}, {6000, 0}, {12000, 0}}, "highway=track", "surface=gravel")
	s.way([][2]float64{{12000, 0}, {16000, 0}, {20000, 0}}, "highway=track", "surface=sand")
	s.way([][2]float64{{12000, 0}, {12000, 5000}}, "highway=track", "surface=gravel")
	s.way([][2]float64{{-5000, 5000}, {0, 5000}, {12000, 5000}, {30000, 5000}}, "highway=tertiary", "surface=asphalt")
	s.node(6000, 0, "ford=yes")
	s.node(16000, 0, "barrier=gate", "name=Dune gate")
	s.node(3000, 400, "amenity=fuel", "name=Last drop")
	s.node(19000, -3000, "natural=spring")
	s.node(-20000, -25000)
	s.node(40000, 25000)
	s.node(40000, -25000)
	s.node(-20000, 25000)
	return s
}

// look is the sample nearest to a distance along the route.
func look(s *geo.Survey, m float64) *geo.Sample {
	best := 0
	for i := range s.Samples {
		if math.Abs(s.Samples[i].DistanceM-m) < math.Abs(s.Samples[best].DistanceM-m) {
			best = i
		}
	}
	return &s.Samples[best]
}

// near reports whether two numbers agree within a share of the second and something.
func near(got, want, share, plus float64) bool {
	return math.Abs(got-want) <= share*math.Abs(want)+plus
}

func TestDesert(t *testing.T) {
	for _, origin := range []orb.Point{{15, 24}, {179.9, -24}, {-70, -28.0001}} {
		d := desert(origin)
		route := geo.Route{Line: d.line([2]float64{0, -3000}, [2]float64{0, 0}, [2]float64{20000, 0}, [2]float64{24000, 0})}
		in := inputs{route, d.region(t, osm.Corridor{}), nil, tables(t)}
		s := in.survey(t, Options{})
		if err := check(s); err != nil {
			t.Fatal(err)
		}
		for _, row := range []struct {
			at                              float64
			kept                            bool
			ground                          geo.Ground
			way                             bool
			road, drive, ahead, back, fuelM float64
		}{
			// On the road; then on gravel 5 km in (the road is 5 km west and 5 km north); on sand 14 km in, where
			// the north road is 5 km off in a straight line and 2 + 5 km by the tracks; beyond the track's end.
			{at: 1000, kept: true, ground: geo.Sealed, way: true, fuelM: math.Hypot(3000, 2400)},
			{at: 7000, ground: geo.Gravel, way: true, road: 4000, drive: 4000, ahead: 20000, back: 4000, fuelM: math.Hypot(1000, 400)},
			{at: 17000, ground: geo.Sand, way: true, road: 5000, drive: 7000, ahead: 10000 + 12000 + 5000, back: 14000, fuelM: math.Hypot(11000, 400)},
			{at: 25000, ground: geo.Unknown, road: 5000, drive: 15000, ahead: 2000 + 12000 + 5000, back: 22000, fuelM: math.Hypot(19000, 400)},
		} {
			q := look(s, row.at)
			name := fmt.Sprintf("origin %v, km %.0f", origin, row.at/1000)
			if q.Kept != row.kept || (q.Way >= 0) != row.way || s.Grounds[q.Ground].Main() != row.ground {
				t.Errorf("%s: kept %v, on a way %v, ground %s; want %v, %v, %s", name, q.Kept, q.Way >= 0, s.Grounds[q.Ground].Main(), row.kept, row.way, row.ground)
			}
			// The plane of the drawing is too long by a few millionths here, and ways are matched to a metre.
			for _, v := range []struct {
				what      string
				got, want float64
			}{{"road", q.RoadM, row.road}, {"drive", q.DriveM, row.drive}, {"back", q.BackM, row.back}, {"fuel", q.HelpM[geo.HelpFuel], row.fuelM}} {
				if !near(v.got, v.want, 1e-4, 15) {
					t.Errorf("%s: %s %.1f m, want %.1f", name, v.what, v.got, v.want)
				}
			}
			if row.at == 7000 && !math.IsNaN(q.AheadM) {
				// Ahead the route ends in open ground, from where no way leads out but the one it came by.
				t.Errorf("%s: ahead %.0f m, want unknown: the route ends off the ways", name, q.AheadM)
			}
			if q.WalkEst != !row.kept {
				t.Errorf("%s: walk estimate %v without heights", name, q.WalkEst)
			}
		}
		var marks []string
		for _, m := range s.Marks {
			marks = append(marks, fmt.Sprintf("%s %.0f %s", markKeys[m.Kind], m.DistanceM/100, m.Name))
		}
		if diff := cmp.Diff([]string{"ford 90 ", "gate 190 Dune gate"}, marks); diff != "" {
			t.Errorf("marks (-want +got):\n%s", diff)
		}
		for i := 1; i < len(s.Samples); i++ {
			if !(s.Samples[i].DriveS > s.Samples[i-1].DriveS) {
				t.Fatalf("driving time does not rise at sample %d", i)
			}
		}
		// Sand is slower than gravel, and open ground slower still than both: 20, 35 or 50, below 20 km/h by the table.
		kmh := func(a, b float64) float64 { return (b - a) / (look(s, b).DriveS - look(s, a).DriveS) * 3.6 }
		if g, sand := kmh(5000, 9000), kmh(16000, 22000); !(g > sand) || !near(sand, 20, 0.01, 0.1) {
			t.Errorf("gravel is driven at %.1f km/h, sand at %.1f; want sand at 20 and gravel faster", g, sand)
		}
	}
}

func TestPaceScalesTime(t *testing.T) {
	d := desert(orb.Point{15, 24})
	in := inputs{geo.Route{Line: d.line([2]float64{0, 0}, [2]float64{20000, 0})}, d.region(t, osm.Corridor{}), nil, tables(t)}
	a, b := in.survey(t, Options{}), in.survey(t, Options{Pace: 0.5})
	if x, y := a.Samples[len(a.Samples)-1].DriveS, b.Samples[len(b.Samples)-1].DriveS; !near(y, 2*x, 1e-6, 0.02) {
		t.Errorf("at half the pace the drive takes %.1f s, want twice %.1f", y, x)
	}
}

func TestWithoutRegionOrHeights(t *testing.T) {
	line := orb.LineString{{15, 24}, {15.1, 24.05}}
	s := inputs{geo.Route{Line: line}, nil, nil, tables(t)}.survey(t, Options{})
	for i, q := range s.Samples {
		if q.Way >= 0 || q.InRegion || q.Kept || !math.IsNaN(q.RoadM) || !math.IsNaN(q.DriveM) || !math.IsNaN(q.WalkMin) || !math.IsNaN(q.HeightM) ||
			s.Grounds[q.Ground].Known {
			t.Fatalf("sample %d claims to know something: %+v", i, q)
		}
	}
	if len(s.Legs) != 1 || len(s.Notes) == 0 {
		t.Errorf("%d legs and notes %q, want one leg and a note that nothing is known", len(s.Legs), s.Notes)
	}
	if d := s.Samples[len(s.Samples)-1].DriveS; !(d > 0) {
		t.Errorf("driving time %v, want an estimate from the mixture", d)
	}
	own := geo.Route{Line: line, HeightM: []float64{100, 600}}
	s = inputs{own, nil, nil, tables(t)}.survey(t, Options{})
	if h := look(s, s.LengthM()/2).HeightM; !near(h, 350, 0, 2) {
		t.Errorf("height in the middle %.1f m, want about 350 by the route's own heights", h)
	}
}

// TestEdgeOfRegion: the route leaves the data; what lies beyond is unknown and said, and near the edge a
// road distance is only a bound.
func TestEdgeOfRegion(t *testing.T) {
	d := newSheet(orb.Point{15, 24})
	d.way([][2]float64{{0, -5000}, {0, 5000}}, "highway=secondary")
	d.node(0, 5000)
	d.node(10000, 5000)
	d.node(10000, -5000)
	route := geo.Route{Line: d.line([2]float64{500, 0}, [2]float64{30000, 0})}
	s := inputs{route, d.region(t, osm.Corridor{}), nil, tables(t)}.survey(t, Options{})
	if q := look(s, 1000); !q.InRegion || q.RoadAtMost || !near(q.RoadM, 1500, 1e-3, 1) {
		t.Errorf("near the road: %+v, want 1500 m for certain", q)
	}
	if q := look(s, 8000); !q.InRegion || !q.RoadAtMost || !near(q.RoadM, 8500, 1e-3, 1) {
		t.Errorf("8.5 km from the road and 1.5 km from the edge: road %.0f m, at most %v; want 8500 as a bound", q.RoadM, q.RoadAtMost)
	}
	if q := look(s, 25000); q.InRegion || !math.IsNaN(q.RoadM) {
		t.Errorf("beyond the data: in region %v, road %.0f m, want unknown", q.InRegion, q.RoadM)
	}
	if len(s.Notes) == 0 || !strings.Contains(strings.Join(s.Notes, " "), "outside the region") {
		t.Errorf("notes %q do not say that the route leaves the region", s.Notes)
	}
}

func TestUserChoices(t *testing.T) {
	d := desert(orb.Point{15, 24})
	spring := d.at(19000, -3000)
	in := inputs{geo.Route{Line: d.line([2]float64{0, 0}, [2]float64{20000, 0})}, d.region(t, osm.Corridor{}), nil, tables(t)}
	s := in.survey(t, Options{
		Grounds: []GroundChoice{{FromM: 2000, ToM: 3000, Ground: geo.Mud}, {FromM: 90000, ToM: 91000, Ground: geo.Mud}},
		Stops:   []Stop{{Name: "Camp", AtM: 9000, Night: true}, {Name: "Spring", Place: &spring}, {Name: "Nowhere", AtM: 1e6}},
		Legs:    []split.Edit{{Do: split.Rename, FromM: 10000, Name: "To the spring"}},
	})
	for _, row := range []struct {
		at   float64
		want geo.Ground
	}{{1950, geo.Gravel}, {2000, geo.Mud}, {2975, geo.Mud}, {3000, geo.Gravel}} {
		if g := s.Grounds[look(s, row.at).Ground].Main(); g != row.want {
			t.Errorf("ground at %.0f m is %s, want %s", row.at, g, row.want)
		}
	}
	begins := map[string]float64{}
	for i, l := range s.Legs {
		begins[l.Why] = s.FromM(i)
	}
	if m, ok := begins["your night: Camp"]; !ok || m != 9000 {
		t.Errorf("no leg begins at the camp: %v", begins)
	}
	if m, ok := begins["your stop: Spring"]; !ok || m != 19000 {
		t.Errorf("no leg begins at the spring: %v", begins)
	}
	if notes := strings.Join(s.Notes, " "); !strings.Contains(notes, "Nowhere") || !strings.Contains(notes, "90.0 to 91.0") || !strings.Contains(notes, "Spring") {
		t.Errorf("notes %q do not name the stop and the ground outside the route and the stop beside it", s.Notes)
	}
}

func TestTunnelIsStraight(t *testing.T) {
	d := newSheet(orb.Point{15.5, 24.5})
	d.way([][2]float64{{-2000, 0}, {0, 0}}, "highway=secondary")
	d.way([][2]float64{{0, 0}, {2000, 0}}, "highway=secondary", "tunnel=yes")
	d.way([][2]float64{{2000, 0}, {4000, 0}}, "highway=secondary")
	// A ridge 800 m high over the middle of the tunnel, on ground that rises evenly at 2 % to the east.
	const n = 201
	heights := make([]float32, n*n)
	for row := range n {
		for col := range n {
			lon := 15.4 + 0.001*float64(col)
			x, _ := d.plane.ToXY(orb.Point{lon, 24.5})
			heights[row*n+col] = float32(500 + 0.02*x + 800*math.Exp(-math.Pow((x-1000)/300, 2)))
		}
	}
	tile, err := height.NewTile("ridge", 15.4, 24.6, 0.001, 0.001, n, n, heights)
	if err != nil {
		t.Fatal(err)
	}
	in := inputs{geo.Route{Line: d.line([2]float64{-2000, 0}, [2]float64{4000, 0})}, d.region(t, osm.Corridor{}), height.NewModel(tile), tables(t)}
	s := in.survey(t, Options{})
	for _, m := range []float64{2500, 3000, 3500} {
		q := look(s, m)
		if want := 500 + 0.02*(m-2000); !near(q.HeightM, want, 0, 3) || !near(q.Grade, 0.02, 0, 0.005) || q.GradeBand > 0.05 {
			t.Errorf("in the tunnel at %.0f m: height %.1f m, grade %.3f ± %.3f; want %.1f m and 0.02", m, q.HeightM, q.Grade, q.GradeBand, want)
		}
	}
}
