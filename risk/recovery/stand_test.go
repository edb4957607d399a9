package recovery

import (
	"math"
	"testing"

	"lastroad/geo"

	"pgregory.net/rapid"
)

func wagon() Frame {
	return Frame{MassKg: 2400, WheelbaseM: 2.85, TrackM: 1.6, CGHeightM: 0.75, FrontShare: 0.5, ClearanceM: 0.22, WheelRadiusM: 0.4, ApproachDeg: 32, BreakoverDeg: 22, DepartureDeg: 25}
}

func TestWorkedMass(t *testing.T) {
	tab := tables(t)
	load := func(m ...Mass) Balance {
		b, err := tab.Load(wagon(), m...)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	bare, ball := load(), load(Mass{150, 2.85 + 1.14, 0.5})
	roof := func(kg float64) Balance { return load(Mass{kg, 1.4, 2.0}) }
	compare(t, []row{
		{"M3 ball of 150 kg 1.14 m behind: rear axle", ball.RearKg - bare.RearKg, 210, 1e-9}, {"M3 front axle", ball.FrontKg - bare.FrontKg, -60, 1e-9},
		{"M4 bare SSF", bare.SSF, 1.067, 0.0005}, {"M4 100 kg on the roof: height", roof(100).CGHeightM, 0.800, 1e-9}, {"M4 SSF", roof(100).SSF, 1.000, 1e-9},
		{"M5 50 kg: height", roof(50).CGHeightM, 0.7755, 0.00006}, {"M5 150 kg: height", roof(150).CGHeightM, 0.8235, 0.00006},
		{"M5 50 kg: SSF", roof(50).SSF, 1.032, 0.0005}, {"M5 150 kg: SSF", roof(150).SSF, 0.971, 0.0006},
	})
}

// Hand sums for the wagon above on dry earth: CG 1.425 m from either axle and 0.75 m up tips at
// 1.425/0.75 = 1.9 both ways, so grip governs.
func TestStand(t *testing.T) {
	tab := tables(t)
	b, _ := tab.Load(wagon())
	s, err := tab.Stand(b, geo.FirmTrack, 1)
	if err != nil {
		t.Fatal(err)
	}
	mu, cr := tab.Traction.Of(geo.FirmTrack).Low, tab.Rolling.Of(geo.FirmTrack).Central
	compare(t, []row{{"climb by tipping", s.ClimbTip, 1.9, 1e-9}, {"descend by tipping", s.DescendTip, 1.9, 1e-9}, {"climb by grip", s.Climb, mu - cr, 1e-12}, {"descend by grip", s.Descend, mu, 1e-12},
		{"side tip", s.SideTipDeg, degrees(1.6 / 1.5), 1e-9}, {"side with reserve", s.SideUseDeg, degrees(0.85 * 1.6 / 1.5), 1e-9}})
	if s.Governs[0] != "grip" || len(s.Cautions) == 0 {
		t.Errorf("climbing is governed by %q with %d cautions, want grip and some", s.Governs[0], len(s.Cautions))
	}
}

// A higher load never stands better.
func TestHigherLoadNeverSteadier(t *testing.T) {
	tab := tables(t)
	rapid.Check(t, func(rt *rapid.T) {
		kg, h := rapid.Float64Range(0, 300).Draw(rt, "kg"), rapid.Float64Range(0.8, 2.2).Draw(rt, "h")
		more := rapid.Float64Range(0, 0.5).Draw(rt, "higher")
		a, _ := tab.Load(wagon(), Mass{kg, 1, h})
		b, _ := tab.Load(wagon(), Mass{kg, 1, h + more})
		if b.SSF > a.SSF+1e-12 || b.TipDeg > a.TipDeg+1e-9 {
			rt.Fatalf("lifting %.0f kg by %.2f m raises the SSF from %.4f to %.4f", kg, more, a.SSF, b.SSF)
		}
		if math.Abs(a.FrontKg+a.RearKg-a.MassKg) > 1e-9*a.MassKg {
			rt.Fatalf("axles carry %.3f of %.3f kg", a.FrontKg+a.RearKg, a.MassKg)
		}
	})
}

func TestLedge(t *testing.T) {
	tab := tables(t)
	f := wagon()
	l, err := tab.Ledge(f)
	if err != nil {
		t.Fatal(err)
	}
	// Hand sums: without overhangs the body begins at the tyre, r (1 - cos 32) = 0.0608 m at the front,
	// r (1 - cos 25) = 0.0375 m at the rear.
	compare(t, []row{{"front", l.ApproachM, 0.0608, 0.0001}, {"rear", l.DepartureM, 0.0375, 0.0001}})
	f.FrontOverhangM, f.RearOverhangM = 0.85, 1.0
	l, _ = tab.Ledge(f)
	// tan 32 (0.85 - 0.4 tan 16) = 0.4594; tan 25 (1.0 - 0.4 tan 12.5) = 0.4250.
	compare(t, []row{{"front with overhang", l.ApproachM, 0.4594, 0.0001}, {"rear with overhang", l.DepartureM, 0.4250, 0.0001}})
	if !(l.BellyM > 0.22 && l.BellyM < 0.4) || l.Governs != "belly" || l.MaxM != l.BellyM {
		t.Errorf("belly clears %.3f m and %q governs at %.3f m, want a little more than the clearance of 0.22 m to govern", l.BellyM, l.Governs, l.MaxM)
	}
	if l, _ := tab.Ledge(Frame{MassKg: 2400, WheelbaseM: 2.85, TrackM: 1.6, CGHeightM: 0.75, FrontShare: 0.5, WheelRadiusM: 0.4}); !math.IsNaN(l.MaxM) {
		t.Errorf("without angles and clearance the ledge is %.2f m, want unknown", l.MaxM)
	}
}

func TestFord(t *testing.T) {
	tab := tables(t)
	ask := FordAsk{LengthM: 4.8, KerbKg: 2300, ClearanceM: 0.23, WadingM: 0.7, DepthM: 0.35, VelocityMS: 1}
	for _, r := range []struct {
		name  string
		edit  func(*FordAsk)
		class string
		ok    bool
	}{
		{"large 4x4", func(*FordAsk) {}, "large_4wd", true},
		{"faster", func(a *FordAsk) { a.VelocityMS = 2 }, "large_4wd", false},
		{"in flood", func(a *FordAsk) { a.VelocityMS = 3.5 }, "large_4wd", false},
		{"wading depth below", func(a *FordAsk) { a.WadingM = 0.3 }, "large_4wd", false},
		{"steep bank", func(a *FordAsk) { a.EntryGrade = 0.2 }, "large_4wd", false},
		{"short car", func(a *FordAsk) { a.LengthM = 4.0 }, "small", true},
		{"light 4x4", func(a *FordAsk) { a.KerbKg = 1900 }, "large", true},
	} {
		a := ask
		r.edit(&a)
		if r.name == "short car" {
			a.DepthM = 0.30
		}
		o, err := tab.Ford(a)
		if err != nil || o.Class != r.class || o.OK != r.ok || len(o.Cautions) < 3 {
			t.Errorf("%s: class %s, ok %v, %d cautions (%v), want %s, %v and the water cautions", r.name, o.Class, o.OK, len(o.Cautions), err, r.class, r.ok)
		}
	}
	rapid.Check(t, func(rt *rapid.T) {
		class := rapid.SampledFrom([]string{"small", "large", "large_4wd"}).Draw(rt, "class")
		v, dv := rapid.Float64Range(0, 4).Draw(rt, "v"), rapid.Float64Range(0, 1).Draw(rt, "faster")
		a, _ := tab.FordDepthM(class, v)
		b, _ := tab.FordDepthM(class, v+dv)
		if b > a {
			rt.Fatalf("%s: faster water raises the limit from %.3f to %.3f m", class, a, b)
		}
	})
}

func TestSpareRides(t *testing.T) {
	tab := tables(t)
	rides, err := tab.SpareRides(wagon(), 0.84, 38, []SparePlace{
		{Key: "under", XM: 3.4, HM: 0.6, MaxDiaM: 0.78},
		{Key: "rear_bar", XM: 3.9, HM: 1.0, MaxKg: 45},
		{Key: "rear_door", XM: 3.9, HM: 1.1, OriginalM: 0.77},
		{Key: "roof", XM: 1.6, HM: 2.0, MaxKg: 60},
	})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []bool{false, true, false, true} {
		if rides[i].Fits != want {
			t.Errorf("a spare of 840 mm and 38 kg on %s fits = %v (%s), want %v", rides[i].Place.Key, rides[i].Fits, rides[i].Reason, want)
		}
	}
	// By moments: on the roof (2400 x 0.75 + 38 x 2)/2438 = 0.7695 m, on the bar 0.7539 m.
	compare(t, []row{{"roof", rides[3].Balance.CGHeightM, 0.7695, 0.0001}, {"bar", rides[1].Balance.CGHeightM, 0.7539, 0.0001}})
}
