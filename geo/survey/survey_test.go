package survey

import (
	"context"
	"errors"
	"math"
	"slices"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"

	"lastroad/geo"
	"lastroad/geo/osm"
)

func TestProgressAndCancel(t *testing.T) {
	d := desert(orb.Point{15, 24})
	route := geo.Route{Line: d.line([2]float64{0, 0}, [2]float64{20000, 0})}
	region, tab := d.region(t, osm.Corridor{}), tables(t)
	var stages []string
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	_, err := Survey(ctx, route, region, nil, tab, Options{}, func(stage string, done float64) {
		if !(done >= 0 && done <= 1) {
			t.Errorf("stage %q is %v done", stage, done)
		}
		if n := len(stages); n == 0 || stages[n-1] != stage {
			stages = append(stages, stage)
		}
	})
	if err != nil || !slices.Equal(stages, Stages) {
		t.Errorf("stages %q, error %v; want %q", stages, err, Stages)
	}
	for _, at := range Stages {
		ctx, stop := context.WithCancel(context.Background())
		s, err := Survey(ctx, route, region, nil, tab, Options{}, func(stage string, _ float64) {
			if stage == at {
				stop()
			}
		})
		stop()
		if at != Stages[len(Stages)-1] && (s != nil || !errors.Is(err, context.Canceled)) {
			t.Errorf("cancelled at %q: error %v, want cancelled", at, err)
		}
	}
}

func TestRoutesThatCannotBeMeasured(t *testing.T) {
	for name, line := range map[string]orb.LineString{
		"empty":        nil,
		"one point":    {{15, 24}},
		"polar":        {{15, 89}, {16, 89}},
		"not a number": {{15, 24}, {math.NaN(), 24}},
		"no length":    {{15, 24}, {15, 24}},
		"too long":     {{0, 0}, {100, 10}, {-100, -20}},
	} {
		_, err := Survey(context.Background(), geo.Route{Line: line}, nil, nil, tables(t), Options{}, nil)
		var bad *geo.InputError
		if !errors.As(err, &bad) {
			t.Errorf("a route that is %s gives %v, want an input error", name, err)
		}
	}
	s, err := Survey(context.Background(), geo.Route{Line: orb.LineString{{15, 24}, {15, 24.00001}}}, nil, nil, tables(t), Options{}, nil)
	if err != nil || len(s.Samples) != 2 || len(s.Legs) != 1 {
		t.Errorf("a route of one metre gives %v, want two samples and a leg", err)
	}
}

// TestRemainder: a route that ends a fraction of a millimetre behind a sample is surveyed like any other.
func TestRemainder(t *testing.T) {
	at := orb.Point{15, 24}
	for _, more := range []float64{0, 1e-5, 3e-5, 4e-4, 6e-4, 2e-3, 0.02, 1} {
		for _, whole := range []float64{25, 1000} {
			s, err := Survey(context.Background(), geo.Route{Line: orb.LineString{at, geo.Destination(at, 90, whole+more)}}, nil, nil, tables(t), Options{StepM: 25}, nil)
			if err != nil {
				t.Errorf("a route of %g m and %g more: %v", whole, more, err)
				continue
			}
			if err := check(s); err != nil {
				t.Errorf("a route of %g m and %g more: %v", whole, more, err)
			}
			if last := s.Samples[len(s.Samples)-1].DistanceM; last < whole+more-1e-3 || last > whole+more+1e-3 {
				t.Errorf("a route of %g m and %g more ends at %g", whole, more, last)
			}
		}
	}
}

// TestAnyRoute: whatever is driven over the drawn desert, and however the user cuts in, the survey is sound
// and survives being written and read.
func TestAnyRoute(t *testing.T) {
	tab := tables(t)
	d := desert(orb.Point{15, 24})
	region := d.region(t, osm.Corridor{})
	rapid.Check(t, func(t *rapid.T) {
		var xy [][2]float64
		for k := rapid.IntRange(2, 8).Draw(t, "points"); k > 0; k-- {
			xy = append(xy, [2]float64{rapid.Float64Range(-30000, 60000).Draw(t, "x"), rapid.Float64Range(-30000, 30000).Draw(t, "y")})
		}
		o := Options{StepM: rapid.Float64Range(20, 3000).Draw(t, "step"), Pace: rapid.Float64Range(-1, 5).Draw(t, "pace"),
			Stops:   []Stop{{Name: "s", AtM: rapid.Float64Range(-10, 2e5).Draw(t, "stop")}},
			Grounds: []GroundChoice{{FromM: rapid.Float64Range(0, 1e5).Draw(t, "from"), ToM: rapid.Float64Range(0, 1e5).Draw(t, "to"), Ground: geo.Sand}}}
		line := d.line(xy...)
		s, err := Survey(context.Background(), geo.Route{Line: line}, region, nil, tab, o, nil)
		if geo.Length(line) < leastM { // all points drawn alike, or nearly so
			var bad *geo.InputError
			if !errors.As(err, &bad) {
				t.Fatalf("a route without length gives %v, want an input error", err)
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		if err := check(s); err != nil {
			t.Fatal(err)
		}
		b, err := Encode(s)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := Decode(b); err != nil {
			t.Fatal(err)
		}
		for i, q := range s.Samples {
			switch {
			case q.Kept && q.RoadM != 0, q.RoadM < 0, q.DriveM < 0, q.AheadMin < q.DriveMin-0.01, q.BackMin < q.DriveMin-0.01, !q.InRegion && q.Way >= 0:
				t.Fatalf("sample %d contradicts itself: %+v", i, q)
			}
		}
	})
}
