package facts

import (
	"math"
	"testing"

	"lastroad/geo"
)

// line makes samples 25 m apart with the given heights and grades by hand.
func line(heights []float64, grade []float64, ground []uint16) *geo.Survey {
	s := &geo.Survey{StepM: 25, Grounds: []geo.GroundMix{geo.Pure(geo.Sealed, "test"), geo.Pure(geo.Sand, "test"), {Reason: "nothing known"}}}
	s.Grounds[2].P[geo.Sand] = 1
	for i := range heights {
		p := geo.Sample{DistanceM: 25 * float64(i), HeightM: heights[i], Grade: grade[i], GradeBand: 0.02, Ground: ground[i], InRegion: true,
			Side: math.NaN(), RoadM: float64(i), WalkMin: math.NaN(), DriveM: math.NaN(), DriveMin: math.NaN(), DriveS: float64(i) * 5}
		for k := range p.HelpM {
			p.HelpM[k], p.HelpAt[k] = math.NaN(), -1
		}
		s.Samples = append(s.Samples, p)
	}
	s.Legs = []geo.Leg{{Name: "1", From: 0, To: len(heights) - 1}}
	return s
}

func TestOf(t *testing.T) {
	n := math.NaN()
	s := line(
		[]float64{100, 108, 120, 119, 121, 100},
		[]float64{0.3, 0.5, 0.02, 0.02, -0.4, n},
		[]uint16{0, 1, 1, 1, 2, 2})
	s.Marks = []geo.Mark{{Kind: geo.MarkFord, DistanceM: 60}, {Kind: geo.MarkGate, DistanceM: 200}, {Kind: geo.MarkWater, DistanceM: 80, Chance: 0.3}}
	f := Of(s, 0)
	check := func(what string, got, want float64) {
		t.Helper()
		if !(math.Abs(got-want) < 1e-9) && !(math.IsNaN(got) && math.IsNaN(want)) {
			t.Errorf("%s = %v, want %v", what, got, want)
		}
	}
	check("length", f.LengthM, 125)
	check("ascent over 10 m steps (100 to 120)", f.AscentM, 20)
	check("descent (120 to 100; the 121 is below the threshold)", f.DescentM, 20)
	check("steepest climb that 50 m hold (one sample has 0.5, the next 0.3)", f.UpGrade, 0.3)
	check("steepest descent (only 25 m: that one)", f.DownGrade, 0.4)
	check("side slope without data", f.SideSlope, n)
	check("furthest road", f.RoadM, 5)
	check("minutes", f.MoveMin, 25.0/60)
	check("walk out without data", f.WalkMin, n)
	if f.Fords != 1 || f.Gates != 0 || len(f.Crossings) != 1 {
		t.Errorf("fords %d gates %d crossings %d, want 1, 0 and 1", f.Fords, f.Gates, len(f.Crossings))
	}
	want := []Share{{geo.Sand, 0.6}, {geo.Unknown, 0.2}, {geo.Sealed, 0.2}}
	for i, w := range want {
		if i >= len(f.Ground) || math.Abs(f.Ground[i].Share-w.Share) > 1e-9 {
			t.Fatalf("ground shares = %v, want %v", f.Ground, want)
		}
	}
	if f.Ground[0].Ground != geo.Sand {
		t.Errorf("main ground = %v, want sand", f.Ground[0].Ground)
	}
}

func TestNothingKnown(t *testing.T) {
	n := math.NaN()
	f := Of(line([]float64{n, n}, []float64{n, n}, []uint16{2, 2}), 0)
	if !math.IsNaN(f.AscentM) || !math.IsNaN(f.UpGrade) || !math.IsNaN(f.HighM) {
		t.Errorf("ascent %v, grade %v, height %v without heights, want NaN", f.AscentM, f.UpGrade, f.HighM)
	}
	if f.Ground[0].Ground != geo.Unknown {
		t.Errorf("ground = %v, want unknown", f.Ground[0].Ground)
	}
}

// A mark on the border of two legs belongs to the leg that ends there, so that sums do not count it twice.
func TestMarkOnTheBorderCountsOnce(t *testing.T) {
	z := make([]float64, 5)
	s := line(z, z, make([]uint16, 5))
	s.Legs = []geo.Leg{{From: 0, To: 2}, {From: 2, To: 4}}
	s.Marks = []geo.Mark{{Kind: geo.MarkFord, DistanceM: 50}}
	if a, b := Of(s, 0).Fords, Of(s, 1).Fords; a != 1 || b != 0 {
		t.Errorf("ford on the border counted %d and %d times, want 1 and 0", a, b)
	}
}

// TestHelp: the leg tells the farthest place from help, whether that is only the most it can be, and the longest of
// the drives there.
func TestHelp(t *testing.T) {
	n := math.NaN()
	s := line([]float64{n, n, n, n, n}, []float64{n, n, n, n, n}, make([]uint16, 5))
	s.Help = []geo.Place{{Kind: geo.HelpFuel}}
	s.Exits = []geo.Exit{{Kind: geo.HelpFuel, Sample: 3, OffM: 1000, OffMin: 2}}
	for i, m := range []float64{900, 1100, 1050, 1000, 990} {
		s.Samples[i].HelpM[geo.HelpFuel], s.Samples[i].HelpAt[geo.HelpFuel] = m, 0
		s.Samples[i].EdgeM = 1060
	}
	f := Of(s, 0)
	if f.HelpM[geo.HelpFuel] != 1100 || !f.HelpAtMost[geo.HelpFuel] {
		t.Errorf("fuel is %g m away (at most: %v), want 1100 and at most", f.HelpM[geo.HelpFuel], f.HelpAtMost[geo.HelpFuel])
	}
	// From the start: 75 m in 15 s of the samples to the exit, then 1000 m in 2 min.
	if d := f.HelpDrive[geo.HelpFuel]; d.M != 1075 || math.Abs(d.Min-2.25) > 1e-9 || d.Place != 0 || d.Exit != 3 || !d.AtMost {
		t.Errorf("the longest drive to fuel is %+v, want 1075 m and 2.25 min by sample 3, at most", d)
	}
	if d := f.HelpDrive[geo.HelpWater]; !math.IsNaN(d.M) || d.Place != -1 || f.HelpAtMost[geo.HelpWater] {
		t.Errorf("water: %+v, want nothing known", d)
	}
}
