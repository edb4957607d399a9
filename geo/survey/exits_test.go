package survey

import (
	"math"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/osm"
)

// TestExits: drives to help in the desert, whose lengths are read off its drawing. The route begins 3 km south of
// the crossing of west road and track, so that x metres along the track are at 3000 + x.
func TestExits(t *testing.T) {
	for _, origin := range []orb.Point{{15, 24}, {179.9, -24}} {
		d := desert(origin)
		d.way([][2]float64{{0, 0}, {0, 5000}}, "highway=secondary", "surface=asphalt") // joins west and north road
		d.node(12000, 5000, "place=village", "name=Northwell")
		d.node(-5000, 5000, "amenity=hospital")
		route := geo.Route{Line: d.line([2]float64{0, -3000}, [2]float64{0, 0}, [2]float64{20000, 0}, [2]float64{24000, 0})}
		s := inputs{route, d.region(t, osm.Corridor{}), nil, tables(t)}.survey(t, Options{})
		if err := check(s); err != nil {
			t.Fatal(err)
		}
		at := func(x float64) int {
			for i := range s.Samples {
				if s.Samples[i].DistanceM >= 3000+x-1 {
					return i
				}
			}
			t.Fatal("the route is too short")
			return 0
		}
		const never = -1
		for _, c := range []struct {
			kind        geo.HelpKind
			x           float64
			ahead, back float64
		}{
			// On to the spur at 12 km and up it, or back to the west road and round by the north road.
			{geo.HelpSettlement, 2000, 10000 + 5000, 2000 + 5000 + 12000},
			{geo.HelpSettlement, 11000, 1000 + 5000, 11000 + 5000 + 12000},
			{geo.HelpSettlement, 17000, never, 5000 + 5000},
			// 400 m beside the track at 3 km, and nowhere else.
			{geo.HelpFuel, 1000, 2000 + 400, never},
			{geo.HelpFuel, 9000, never, 6000 + 400},
			// On the north road, 5 km west of the west road.
			{geo.HelpMedical, 1000, 11000 + 5000 + 17000, 1000 + 5000 + 5000},
			{geo.HelpMedical, 16000, never, 4000 + 5000 + 17000},
			// 3 km beside the way: a walk, not a drive.
			{geo.HelpSpring, 16000, never, never},
		} {
			i := at(c.x)
			for _, w := range []struct {
				name string
				to   func(int, geo.HelpKind) (geo.Drive, bool)
				want float64
			}{{"ahead", s.HelpAhead, c.ahead}, {"back", s.HelpBack, c.back}} {
				got, ok := w.to(i, c.kind)
				if ok != (w.want != never) || ok && !near(got.M, w.want, 0.002, 60) {
					t.Errorf("%s at %g m, %s: %v m (%v), want %g", c.kind.Key(), c.x, w.name, got.M, ok, w.want)
				}
				if ok && s.Help[got.Place].Kind != c.kind {
					t.Errorf("%s at %g m leads to %v", c.kind.Key(), c.x, s.Help[got.Place])
				}
			}
		}
		// Times: 2 km of the track at its own pace. The exit is the sample before or behind the pump, 25 m apart.
		i, j := at(1000), at(3000)
		a, _ := s.HelpAhead(i, geo.HelpFuel)
		b, _ := s.HelpAhead(j, geo.HelpFuel)
		if want := (s.Samples[j].DriveS - s.Samples[i].DriveS) / 60; !near(a.Min-b.Min, want, 0, 0.15) {
			t.Errorf("2 km of track take %.2f min to fuel, want %.2f as along the route", a.Min-b.Min, want)
		}
		if d, ahead, ok := s.HelpDrive(i, geo.HelpFuel); !ok || !ahead || d != a {
			t.Errorf("the quickest drive to fuel is %v (%v, %v), want %v ahead", d, ahead, ok, a)
		}
		// At 20 km the data reach 20 km east and the hospital is 25.5 km away: another may be nearer. The village
		// is not: it lies 9.4 km away.
		q := s.Samples[at(19900)]
		if !near(q.EdgeM, 20100, 0.01, 150) {
			t.Errorf("the data reach %.0f m, want 20 100", q.EdgeM)
		}
		drive, _ := s.HelpBack(at(19900), geo.HelpMedical)
		if !q.HelpAtMost(geo.HelpMedical) || !drive.AtMost || q.HelpAtMost(geo.HelpSettlement) {
			t.Errorf("nearer help may lie beyond the data: medical %v (drive %v), settlement %v; want true, true, false",
				q.HelpAtMost(geo.HelpMedical), drive.AtMost, q.HelpAtMost(geo.HelpSettlement))
		}
	}
}

// TestExitsAreNoShortcuts: no drive is shorter than the straight line to the nearest place, going on by one sample
// gains no more than the time of the step, and every exit serves somebody.
func TestExitsAreNoShortcuts(t *testing.T) {
	s := andorra(t).survey(t, Options{})
	served := make([]bool, len(s.Exits))
	known := 0
	for i := range s.Samples {
		for k := geo.HelpKind(0); k < geo.NumHelp; k++ {
			for _, to := range []func(int, geo.HelpKind) (geo.Drive, bool){s.HelpAhead, s.HelpBack} {
				d, ok := to(i, k)
				if !ok {
					continue
				}
				known++
				// A way may be drawn up to 60 m beside the route, and chords cut its bends.
				if d.M < s.Samples[i].HelpM[k]-120 {
					t.Fatalf("%s from sample %d is a drive of %.0f m, but the nearest place lies %.0f m away", k.Key(), i, d.M, s.Samples[i].HelpM[k])
				}
				for n, e := range s.Exits {
					served[n] = served[n] || e.Kind == k && e.Sample == d.Exit
				}
			}
			a, okA := s.HelpAhead(i, k)
			if i+1 < len(s.Samples) {
				if b, ok := s.HelpAhead(i+1, k); ok && (!okA || a.Min > b.Min+(s.Samples[i+1].DriveS-s.Samples[i].DriveS)/60+1e-9) {
					t.Fatalf("%s from sample %d takes %v min, from the next one %v", k.Key(), i, a.Min, b.Min)
				}
			}
		}
	}
	if known < len(s.Samples)*int(geo.NumHelp) {
		t.Errorf("only %d drives are known for %d samples", known, len(s.Samples))
	}
	for n, ok := range served {
		if !ok {
			t.Errorf("nobody leaves by exit %+v", s.Exits[n])
		}
	}
	if len(s.Exits) > 0 && math.IsNaN(s.Samples[0].EdgeM) {
		t.Error("the edge of the data is unknown")
	}
}
