package survey

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// byGeodesic is the distance from a place to a segment by ternary search over the geodesics to it, the
// reference for toSegment and nearest. The segment is straight in longitude and latitude, as map lines are.
func byGeodesic(p, a, b orb.Point) float64 {
	at := func(t float64) float64 {
		return geo.Distance(p, orb.Point{geo.WrapLon(a[0] + t*geo.LonDiff(a[0], b[0])), a[1] + t*(b[1]-a[1])})
	}
	lo, hi := 0.0, 1.0
	for range 60 {
		m1, m2 := lo+(hi-lo)/3, hi-(hi-lo)/3
		if at(m1) < at(m2) {
			hi = m2
		} else {
			lo = m1
		}
	}
	return math.Min(at(lo), math.Min(at(0), at(1)))
}

func TestNearestAgainstGeodesics(t *testing.T) {
	for _, row := range []struct {
		name   string
		start  orb.Point
		spread float64 // degrees round the route in which the segments lie
	}{
		{"near, 42 north", orb.Point{1.5, 42.5}, 0.1},
		{"far, 42 north", orb.Point{1.5, 42.5}, 0.6},
		{"far, 65 north", orb.Point{-150, 65}, 0.9},
		{"across the antimeridian", orb.Point{179.95, -17}, 0.4},
		{"on the equator", orb.Point{37, 0.01}, 0.5},
	} {
		r := rand.New(rand.NewPCG(7, uint64(len(row.name))))
		line := orb.LineString{row.start}
		for i := 0; i < 60; i++ {
			line = append(line, geo.Destination(line[i], 40+100*r.Float64(), 1000))
		}
		samples := geo.Resample(geo.Route{Line: line}, 1500)
		var set things
		for i := 0; i < 150; i++ {
			o := line[r.IntN(len(line))]
			a := orb.Point{geo.WrapLon(o[0] + row.spread*r.NormFloat64()), o[1] + row.spread*r.NormFloat64()}
			b := geo.Destination(a, 360*r.Float64(), 3000*r.Float64())
			if i%10 == 0 {
				b = a
			}
			set.add(a, b, int32(i))
		}
		const reach = 100e3
		got := make([]float64, len(samples))
		for i := range got {
			got[i] = math.NaN()
		}
		err := nearest(context.Background(), samples, chunksOf(samples, reach), &set, reach, func(i int, _ int32, m float64, at orb.Point) {
			got[i] = m
			if d := geo.Distance(orb.Point{samples[i].Lon, samples[i].Lat}, at); math.Abs(d-m) > 1e-6*m+0.001 {
				t.Errorf("%s: sample %d is said to be %.3f m from a place that is %.3f m away", row.name, i, m, d)
			}
		})
		if err != nil {
			t.Fatal(err)
		}
		worst := 0.0
		for i, s := range samples {
			want := math.Inf(1)
			for k := range set.a {
				want = math.Min(want, byGeodesic(orb.Point{s.Lon, s.Lat}, set.a[k], set.b[k]))
			}
			worst = math.Max(worst, math.Abs(got[i]-want)/want)
			// A millionth, the aim for every distance that is shown, and a millimetre for the very near.
			if !(math.Abs(got[i]-want) <= 1e-6*want+0.001) {
				t.Errorf("%s: sample %d: nearest at %.4f m, by geodesics %.4f m", row.name, i, got[i], want)
			}
		}
		t.Logf("%s: worst relative error %.1e", row.name, worst)
	}
}

// A bundle of thousands of segments that all lie about as near, as no map has but a hostile file may, is measured within
// the error of the plane.
func TestNearestOfABundle(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 1))
	line := orb.LineString{{1.5, 42.5}, {1.51, 42.52}}
	samples := geo.Resample(geo.Route{Line: line}, 500)
	var set things
	for i := range int32(10 * mostExact) {
		a := orb.Point{1.9 + 1e-6*r.Float64(), 42.5 + 1e-6*r.Float64()}
		set.add(a, orb.Point{a[0], a[1] + 0.001}, i)
	}
	const reach = 100e3
	chunks := chunksOf(samples, reach)
	told := 0
	err := nearest(context.Background(), samples, chunks, &set, reach, func(i int, _ int32, m float64, _ orb.Point) {
		told++
		p, want := orb.Point{samples[i].Lon, samples[i].Lat}, math.Inf(1)
		for k := 0; k < len(set.a); k += 100 {
			want = math.Min(want, byGeodesic(p, set.a[k], set.b[k])) // of some: the bundle is 12 cm wide
		}
		if math.Abs(m-want) > 0.2 {
			t.Errorf("sample %d: %.3f m to the bundle, want %.3f", i, m, want)
		}
	})
	if err != nil || told != len(samples) {
		t.Fatalf("%d of %d samples were told of, %v", told, len(samples), err)
	}
}

func TestNearestOfNothing(t *testing.T) {
	samples := geo.Resample(geo.Route{Line: orb.LineString{{1, 42}, {1.1, 42}}}, 100)
	called := false
	tell := func(int, int32, float64, orb.Point) { called = true }
	if err := nearest(context.Background(), samples, chunksOf(samples, 1000), &things{}, 1000, tell); err != nil || called {
		t.Errorf("of no things the nearest is told, or an error: %v", err)
	}
	var far things
	far.add(orb.Point{5, 42}, orb.Point{5, 43}, 0)
	if err := nearest(context.Background(), samples, chunksOf(samples, 1000), &far, 1000, tell); err != nil || called {
		t.Errorf("a thing beyond reach is told, or an error: %v", err)
	}
}
