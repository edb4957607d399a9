package survey

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/osm"
)

// TestWaterCrossings: a watercourse that crosses the line is marked where no tag says how, and only there. Metres
// along the track are 3000 less than along the route.
func TestWaterCrossings(t *testing.T) {
	for _, origin := range []orb.Point{{15, 24}, {179.9, -24}} {
		d := desert(origin)
		stream := func(x, fromY, toY float64, tags ...string) {
			d.way([][2]float64{{x + 7, fromY}, {x - 7, toY}}, append([]string{"waterway=stream"}, tags...)...)
		}
		stream(2000, 800, -800, "name=Thin Creek")
		stream(3000, 800, 20, "layer=0")
		stream(3000, 20, -20, "tunnel=culvert")
		stream(4000, 800, -800, "layer=-1")
		stream(6020, 800, -800) // the ford's own, drawn 20 m beside its node
		d.way([][2]float64{{9000, 800}, {9007, -800}}, "waterway=wadi", "intermittent=yes")
		d.way([][2]float64{{10000, 800}, {10000, 3}, {14000, 3}, {14000, 800}}, "waterway=river") // runs beside the track
		stream(15000, 800, -800)
		d.way([][2]float64{{22000, 800}, {22000, -800}}, "waterway=river")
		d.way([][2]float64{{-800, -1500}, {800, -1500}}, "waterway=river") // below the paved west road
		route := geo.Route{Line: d.line([2]float64{0, -3000}, [2]float64{0, 0}, [2]float64{20000, 0}, [2]float64{24000, 0})}
		in := inputs{route, d.region(t, osm.Corridor{}), nil, tables(t)}
		s := in.survey(t, Options{})
		var got []geo.Mark
		for _, m := range s.Marks {
			if m.Kind == geo.MarkWater {
				got = append(got, m)
			}
		}
		want := []struct{ m, chance float64 }{{5000, 0.27}, {12000, 0.9 * 0.15}, {18000, 0.27}, {25000, 1}}
		if len(got) != len(want) {
			t.Fatalf("crossings are %v, want %d", got, len(want))
		}
		for i, w := range want {
			m := got[i]
			if !near(m.DistanceM, w.m, 0.001, 30) || m.Chance != w.chance {
				t.Errorf("crossing %d is at %.0f m with chance %g, want %.0f m and %g", i, m.DistanceM, m.Chance, w.m, w.chance)
			}
			mix := s.Grounds[over(s, m.DistanceM).Ground]
			if math.Abs(mix.P[geo.Ford]-w.chance) > 1e-9 || !strings.Contains(mix.Reason, "may be a ford") {
				t.Errorf("the ground at crossing %d is a ford with %g because of %q, want %g", i, mix.P[geo.Ford], mix.Reason, w.chance)
			}
			beside := s.Grounds[look(s, m.DistanceM+60).Ground]
			if beside.P[geo.Ford] != 0 {
				t.Errorf("60 m behind crossing %d the ground is a ford with %g", i, beside.P[geo.Ford])
			}
		}
		premises := func(m geo.Mark) (keys []string) {
			for _, k := range m.Rests {
				if k > 0 {
					keys = append(keys, s.Premises[k-1].Key)
				}
			}
			return keys
		}
		for i, want := range [][]string{{"crossing.stream"}, {"crossing.wadi", "crossing.wadi_wet"}, {"crossing.stream"}, {"crossing.off_way"}} {
			if keys := premises(got[i]); !slices.Equal(keys, want) {
				t.Errorf("crossing %d rests on %v, want %v", i, keys, want)
			}
		}
		if p := s.Premises[got[0].Rests[0]-1]; p.Low != 0.1 || p.High != 0.7 || p.From != geo.FromDerived { // the table's
			t.Errorf("the chance of a stream is kept as %v", p)
		}
		if got[0].Name != "Thin Creek" || !strings.Contains(got[1].Detail, "dry at times") {
			t.Errorf("marks do not tell name and kind: %v", got[:2])
		}
		fordAt := math.NaN()
		for _, m := range s.Marks {
			if m.Kind == geo.MarkFord {
				fordAt = m.DistanceM
			}
		}
		if g := s.Grounds[over(s, fordAt).Ground]; g.Main() != geo.Ford {
			t.Errorf("the ground at the tagged ford is %v", g)
		}
		// Who names the ground of a stretch has seen its crossings.
		s = in.survey(t, Options{Grounds: []GroundChoice{{FromM: 4500, ToM: 5500, Ground: geo.Gravel}}})
		for _, m := range s.Marks {
			if m.Kind == geo.MarkWater && m.DistanceM < 6000 {
				t.Errorf("a crossing is left at %.0f m, where the user named the ground", m.DistanceM)
			}
		}
	}
}

// over is the sample whose step holds a distance.
func over(s *geo.Survey, m float64) *geo.Sample {
	k := 0
	for k+1 < len(s.Samples) && s.Samples[k+1].DistanceM <= m {
		k++
	}
	return &s.Samples[k]
}
