package geo

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/paulmach/orb"
	orbgeo "github.com/paulmach/orb/geo"
	orbresample "github.com/paulmach/orb/resample"
	"pgregory.net/rapid"
)

func TestStationsAreEvenlySpaced(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		n := rapid.IntRange(2, 60).Draw(t, "points")
		reach := rapid.SampledFrom([]float64{1, 100, 2000, 60000}).Draw(t, "reach")
		stepM := reach / rapid.Float64Range(0.3, 30).Draw(t, "steps")
		line := orb.LineString{{rapid.Float64Range(-180, 180).Draw(t, "lon"), rapid.Float64Range(-70, 70).Draw(t, "lat")}}
		for len(line) < n {
			p := Destination(line[len(line)-1], r.Float64()*360, r.Float64()*reach)
			if math.Abs(p[1]) > MaxLat {
				p = line[0]
			}
			line = append(line, p)
		}
		st := Stations(nil, line, stepM)
		cum := Cumulative(nil, line)
		total := cum[len(cum)-1]
		if last := st[len(st)-1]; math.Abs(last.DistanceM-total) > 1e-7*total+1e-9 || last.At() != (orb.Point{WrapLon(line[n-1][0]), line[n-1][1]}) {
			t.Fatalf("the last station is %+v, want %v m at %v", last, total, line[n-1])
		}
		for i, s := range st {
			if i < len(st)-1 && s.DistanceM != float64(i)*stepM {
				t.Fatalf("station %d is at %v m, want %v exactly", i, s.DistanceM, float64(i)*stepM)
			}
			a, b := line[s.Seg], line[s.Seg+1]
			if !(s.T >= 0 && s.T <= 1) || i > 0 && s.Seg < st[i-1].Seg {
				t.Fatalf("station %d lies at share %v of step %d, after step %d", i, s.T, s.Seg, st[max(i-1, 0)].Seg)
			}
			// The place is on the step, as far along it as it says. Even spacing in degrees is not quite
			// even in metres: on a step of 5 km by (5/6371)^2/8 tan 85 of its length at the worst.
			d := Distance(a, b)
			along := cum[s.Seg] + Distance(a, s.At())
			if math.Abs(along-s.DistanceM) > 1e-7*total+3e-4*math.Min(d, longStep) {
				t.Fatalf("station %d says %v m and measures %v m, on a step of %v m", i, s.DistanceM, along, d)
			}
			if off := d - Distance(a, s.At()) - Distance(s.At(), b); math.Abs(off) > 1e-3+1e-7*d {
				t.Fatalf("station %d lies off the step from %v to %v", i, a, b)
			}
		}
	})
}

// On steps about as long as those between stations, which bring none, one or two each, every station lies where the
// lengths of the steps alone put it.
func TestStationsOnShortSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 3))
		stepM, longest := rapid.Float64Range(1, 40).Draw(t, "step"), rapid.Float64Range(0.5, 2.5).Draw(t, "longest")
		line := orb.LineString{{r.Float64()*300 - 150, r.Float64()*120 - 60}}
		for len(line) < 600 {
			line = append(line, Destination(line[len(line)-1], r.Float64()*360, r.Float64()*longest*stepM))
		}
		cum := Cumulative(nil, line)
		total := cum[len(cum)-1]
		st := Stations(nil, line, stepM)
		if want := int(total/stepM) + 2; math.Abs(float64(len(st)-want)) > 1 {
			t.Fatalf("%d stations every %v m on %v m, want %d", len(st), stepM, total, want)
		}
		for k, s := range st {
			if k < len(st)-1 && s.DistanceM != float64(k)*stepM {
				t.Fatalf("station %d is at %v m, want %v exactly", k, s.DistanceM, float64(k)*stepM)
			}
			a, b := line[s.Seg], line[s.Seg+1]
			from, to := cum[s.Seg], cum[s.Seg+1]
			if s.DistanceM < from-1e-4 || s.DistanceM > to+1e-4 {
				t.Fatalf("station %d at %v m lies on step %d from %v to %v m", k, s.DistanceM, s.Seg, from, to)
			}
			share := math.Max(0, math.Min(1, (s.DistanceM-from)/math.Max(to-from, 1e-9)))
			if off := Distance(s.At(), orb.Point{a[0] + share*(b[0]-a[0]), a[1] + share*(b[1]-a[1])}); off > 1e-3 {
				t.Fatalf("station %d lies %v m from its place", k, off)
			}
		}
	})
}

func TestStationsOnOddLines(t *testing.T) {
	for _, c := range []struct {
		name  string
		line  orb.LineString
		step  float64
		want  int
		total float64
	}{
		{"no point", nil, 25, 0, 0},
		{"one point", orb.LineString{{1, 2}}, 25, 1, 0},
		{"no length", orb.LineString{{1, 2}, {1, 2}}, 25, 1, 0},
		{"two points", orb.LineString{{35.5, 31.5}, {35.5, 31.50009}}, 25, 2, 9.979029},
		{"two points, many stations", orb.LineString{{30, 0}, {30.05, 0.05}}, 25, 315, 7845.173109},
		{"over the antimeridian", orb.LineString{{179.995, -16.5}, {-179.98, -16.51}}, 25, 117, 2889.359866},
		{"5 000 km in one step", orb.LineString{{10, 60}, {110, 60}}, 1000, 5028, 5026644.058678},
	} {
		st := Stations(nil, c.line, c.step)
		if len(st) != c.want {
			t.Errorf("%s: %d stations, want %d", c.name, len(st), c.want)
			continue
		}
		if c.want > 0 && math.Abs(st[len(st)-1].DistanceM-c.total) > 2e-4 {
			t.Errorf("%s: %v m long, want %v", c.name, st[len(st)-1].DistanceM, c.total)
		}
		for i := 1; i < len(st)-1; i++ {
			if d := Distance(st[i-1].At(), st[i].At()); math.Abs(d-c.step) > 1e-3 {
				t.Errorf("%s: stations %d and %d are %v m apart, want %v", c.name, i-1, i, d, c.step)
				break
			}
		}
		for _, s := range st {
			if !(s.Lon >= -180 && s.Lon < 180) {
				t.Errorf("%s: longitude %v", c.name, s.Lon)
			}
		}
	}
	// The great circle from 60 N over 100 degrees of longitude climbs to 70 degrees or so:
	// cot(middle latitude) = cot(60) cos(50), 69.64 degrees on the sphere.
	st := Stations(nil, orb.LineString{{10, 60}, {110, 60}}, 1000)
	if lat := st[2513].Lat; math.Abs(lat-69.64) > 0.1 {
		t.Errorf("the middle of a 5 000 km step lies at latitude %v, want 69.6", lat)
	}
}

func TestALastStationIsKeptOnce(t *testing.T) {
	line := orb.LineString{{30, 0}, {30.05, 0.05}}
	total := Length(line)
	st := Stations(nil, line, total/10)
	if len(st) != 11 {
		t.Errorf("a line of ten steps has %d stations, want 11", len(st))
	}
	defer func() {
		if recover() == nil {
			t.Error("a step of NaN does not panic")
		}
	}()
	Stations(nil, line, math.NaN())
}

func TestResample(t *testing.T) {
	r := Route{Line: orb.LineString{{30, 0}, {30.001, 0}, {30.002, 0}}, HeightM: []float64{100, 200, math.NaN()}}
	s := Resample(r, 50)
	// 0.002 degrees of the equator: 6378137 m x 0.002 x pi/180 = 222.639 m.
	if len(s) != 6 || math.Abs(s[5].DistanceM-222.6390) > 1e-4 {
		t.Fatalf("%d samples, the last at %v m; want 6 and 222.639", len(s), s[len(s)-1].DistanceM)
	}
	for i, v := range s {
		if v.Way != -1 || v.HelpAt[HelpHut] != -1 || v.InRegion || v.Kept {
			t.Errorf("sample %d claims a way, help or region: %+v", i, v)
		}
		for _, f := range []float64{v.HeightM, v.Grade, v.GradeBand, v.Side, v.SideBand, v.RoadM, v.RoadAt[0], v.DriveM, v.DriveMin, v.WalkMin, v.HelpM[0], v.DriveS} {
			if !math.IsNaN(f) {
				t.Errorf("sample %d has a number %v that nobody measured", i, f)
			}
		}
	}
	h := ResampleHeights(r, Stations(nil, r.Line, 50))
	// Station 1 lies 50 m into a step of 111.3195 m: 100 + 100 x 0.44916.
	if h[0] != 100 || math.Abs(h[1]-144.916) > 1e-3 || !math.IsNaN(h[3]) || !math.IsNaN(h[5]) {
		t.Errorf("heights are %v, want 100, 144.916, ..., NaN in the second step", h)
	}
	if ResampleHeights(Route{Line: r.Line}, Stations(nil, r.Line, 50)) != nil {
		t.Error("a route without heights gets heights")
	}
}

// wiggle is a recorded line: a point every 10 m or so.
func wiggle(n int) orb.LineString {
	line := make(orb.LineString, n)
	for i := range line {
		f := float64(i)
		line[i] = orb.Point{1 + f*1e-4 + 2e-5*math.Sin(f/7), 42 + 3e-3*math.Sin(f/900)}
	}
	return line
}

func TestAMillionPoints(t *testing.T) {
	line := wiggle(1_000_000)
	st := Stations(nil, line, 25) // how long it takes is for BenchmarkStations
	if total := Length(line); math.Abs(st[len(st)-1].DistanceM-total) > 1e-8*total {
		t.Errorf("the stations end at %v m, the line is %v m long", st[len(st)-1].DistanceM, total)
	}
}

func ExampleResample() {
	route := Route{Line: orb.LineString{{1.6004708, 42.5668986}, {1.6654, 42.5567}, {1.7306002, 42.5466861}}}
	samples := Resample(route, 2500)
	for _, s := range samples {
		fmt.Printf("%7.1f m at %.4f, %.4f\n", s.DistanceM, s.Lat, s.Lon)
	}
	// Output:
	//     0.0 m at 42.5669, 1.6005
	//  2500.0 m at 42.5622, 1.6303
	//  5000.0 m at 42.5575, 1.6600
	//  7500.0 m at 42.5530, 1.6898
	// 10000.0 m at 42.5484, 1.7196
	// 10920.2 m at 42.5467, 1.7306
}

// The peer is orb's resampling to an interval, by the measure that goes with it: from a million points
// to more and to fewer, and from fewer to a million. Figures are a point of the larger side.
func BenchmarkStations(b *testing.B) {
	for _, c := range []struct {
		name string
		in   int
		step float64
	}{{"1M-to-1.1M", 1_000_000, 7.4}, {"1M-to-330k", 1_000_000, 25}, {"100k-to-1M", 100_000, 0.823}} {
		line := wiggle(c.in)
		n := float64(max(c.in, len(Stations(nil, line, c.step))))
		perPoint := func(b *testing.B) { b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/n, "ns/point") }
		b.Run(c.name+"/ours", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Stations(nil, line, c.step)
			}
			perPoint(b)
		})
		b.Run(c.name+"/ours-into-same", func(b *testing.B) {
			b.ReportAllocs()
			dst := Stations(nil, line, c.step)
			for b.Loop() {
				dst = Stations(dst[:0], line, c.step)
			}
			perPoint(b)
		})
		b.Run(c.name+"/orb", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				orbresample.ToInterval(line, orbgeo.Distance, c.step)
			}
			perPoint(b)
		})
	}
	line := wiggle(1_000_000)
	b.Run("samples-25m", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			Resample(Route{Line: line}, 25)
		}
	})
}
