package coverage

import (
	"math"
	"testing"
)

// near fails unless got is want to half of the last printed digit.
func near(t *testing.T, what string, got, want, digit float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 0.51*digit) {
		t.Errorf("%s = %.9g, want %.9g", what, got, want)
	}
}

// Poisson tables: exact values of P(N <= k), as in any table of the distribution.
func TestPoissonProtection(t *testing.T) {
	rows := []struct {
		m float64
		p []float64
	}{
		{0.1, []float64{0.904837, 0.995321, 0.999845, 0.999996}},
		{0.2, []float64{0.818731, 0.982477, 0.998852, 0.999943}},
		{0.5, []float64{0.606531, 0.909796, 0.985612, 0.998248, 0.999828, 0.999986}},
		{1, []float64{0.367879, 0.735759, 0.919699, 0.981012, 0.996340, 0.999406}},
		{2, []float64{0.135335, 0.406006, 0.676676, 0.857123, 0.947347, 0.983436}},
		{3, []float64{0.049787, 0.199148, 0.423190, 0.647232, 0.815263, 0.916082}},
		{5, []float64{0.006738, 0.040428, 0.124652, 0.265026, 0.440493, 0.615961}},
	}
	for _, r := range rows {
		for k, want := range r.p {
			near(t, "P(N<=k)", PoissonAtMost(r.m, k), want, 1e-6)
			near(t, "P(N>k)", PoissonAtLeast(r.m, k+1), 1-want, 1e-6)
		}
	}
}

// Smallest stock for a protection of 0.80, 0.90, 0.95 and 0.99.
func TestSparesForProtection(t *testing.T) {
	rows := []struct {
		m float64
		s [4]int
	}{{0.1, [4]int{0, 0, 1, 1}}, {0.25, [4]int{1, 1, 1, 2}}, {0.5, [4]int{1, 1, 2, 3}}, {1, [4]int{2, 2, 3, 4}}, {2, [4]int{3, 4, 5, 6}},
		{3, [4]int{4, 5, 6, 8}}, {5, [4]int{7, 8, 9, 11}}, {10, [4]int{13, 14, 15, 18}}}
	for _, r := range rows {
		for i, p := range []float64{0.80, 0.90, 0.95, 0.99} {
			if s, ok := Spares(r.m, p); !ok || s != r.s[i] {
				t.Errorf("mean %g needs %d spares for %g, want %d", r.m, s, p, r.s[i])
			}
		}
	}
	if _, ok := Spares(1, 1); ok {
		t.Error("a finite stock protects for certain, want no answer")
	}
}

// Expected shortage (METRIC backorders), and the identity Shortage(m,s) - Shortage(m,s+1) = P(N > s).
func TestExpectedShortage(t *testing.T) {
	rows := []struct {
		m float64
		e [5]float64
	}{
		{0.2, [5]float64{0.2, 0.018731, 0.001208, 0.000059, 0.000002}}, {0.5, [5]float64{0.5, 0.106531, 0.016327, 0.001939, 0.000187}},
		{1, [5]float64{1, 0.367879, 0.103638, 0.023337, 0.004349}}, {2, [5]float64{2, 1.135335, 0.541341, 0.218018, 0.075141}},
		{4, [5]float64{4, 3.018316, 2.109894, 1.347997, 0.781467}},
	}
	for _, r := range rows {
		for s, want := range r.e {
			near(t, "shortage", Shortage(r.m, s), want, 1e-6)
			if d := Shortage(r.m, s) - Shortage(r.m, s+1) - PoissonAtLeast(r.m, s+1); math.Abs(d) > 1e-13 {
				t.Errorf("mean %g, stock %d: identity off by %g", r.m, s, d)
			}
		}
	}
}

// One stock over three legs with mean needs 0.3, 0.2 and 0.5.
func TestOneStockOverThreeLegs(t *testing.T) {
	m := []float64{0, 0.3, 0.5, 1.0}
	want := [][4]float64{{0.3, 0.2, 0.5, 1.0}, {0.040818, 0.065712, 0.261349, 0.367879}, {0.003882, 0.012445, 0.087312, 0.103638}, {0.000282, 0.001657, 0.021398, 0.023337}}
	for s, row := range want {
		sum := 0.0
		for leg := 1; leg <= 3; leg++ {
			short := (1 - StockLeft(m[leg-1], m[leg], s)) * (m[leg] - m[leg-1])
			near(t, "shortage on a leg", short, row[leg-1], 1e-6)
			sum += short
		}
		near(t, "shortage in all", sum, row[3], 1e-6)
	}
	for leg, u := range []float64{0.136061, 0.328562, 0.522698} {
		near(t, "uncovered fraction with one spare", 1-StockLeft(m[leg], m[leg+1], 1), u, 1e-6)
	}
	if a, b := StockLeft(0.3, 0.3, 2), PoissonAtMost(0.3, 1); math.Abs(a-b) > 1e-15 {
		t.Errorf("on a stretch without need the stock is there with %g, want P(N <= 1) = %g", a, b)
	}
}

// Cut sets {a,b}, {a,c}, {d} with 0.01, 0.02, 0.005, 0.003, as in a published tutorial on Fussell-Vesely importance.
func TestCutSets(t *testing.T) {
	p := []float64{0.01, 0.02, 0.005, 0.003}
	cuts := [][]int{{0, 1}, {0, 2}, {3}}
	near(t, "rare-event sum", RareSum(p, cuts), 0.00325, 1e-8)
	near(t, "min-cut bound", MinCutBound(p, cuts), 0.0032492400, 1e-10)
	near(t, "exact", Union(p, cuts), 0.0032482530, 1e-10)
	near(t, "share of a on the sum", FussellVesely(0.01*0.02+0.01*0.005, 0.00325), 0.0769231, 1e-7)
	near(t, "share of d on the sum", FussellVesely(0.003, 0.00325), 0.9230769, 1e-7)
	near(t, "union form for a", ImportanceOf(p, cuts, 0).FussellVesely, 0.0766565, 2e-7) // printed cut short
	rows := []struct{ b, raw, rrw, share float64 }{{0.0248253, 8.56624, 1.082751, 0.076427}, {0.00992015, 3.99292, 1.065053, 0.061080},
		{0.0097706, 3.99292, 1.015269, 0.015040}, {0.999751, 307.85779, 13.045193, 0.923343}}
	for e, r := range rows {
		i := ImportanceOf(p, cuts, e)
		near(t, "Birnbaum", i.Birnbaum, r.b, 1e-6)
		near(t, "RAW", i.RAW, r.raw, 1e-5)
		near(t, "RRW", i.RRW, r.rrw, 1e-6)
		near(t, "1 - P0/P", i.Share, r.share, 1e-6)
	}
}

// Top = (a and b) or c with 0.01, 0.02, 0.005, and top = A or B with 0.1 and 0.2: published examples of
// Birnbaum importance.
func TestBirnbaum(t *testing.T) {
	p, cuts := []float64{0.01, 0.02, 0.005}, [][]int{{0, 1}, {2}}
	near(t, "top", Union(p, cuts), 0.005199, 1e-6)
	for e, want := range []float64{0.0199, 0.00995, 0.9998} {
		near(t, "Birnbaum", ImportanceOf(p, cuts, e).Birnbaum, want, 1e-6)
	}
	p, cuts = []float64{0.1, 0.2}, [][]int{{0}, {1}}
	near(t, "top", Union(p, cuts), 0.28, 1e-9)
	near(t, "Birnbaum of A", ImportanceOf(p, cuts, 0).Birnbaum, 0.8, 1e-9)
	near(t, "Birnbaum of B", ImportanceOf(p, cuts, 1).Birnbaum, 0.9, 1e-9)
}

func TestErrorFactors(t *testing.T) {
	rows := []struct{ ef, sigma, mean, cv, pct, a float64 }{
		{2, 0.421404, 1.092852, 0.440823, 0.583440, 5.1460}, {3, 0.667909, 1.249884, 0.749807, 0.630793, 1.7787},
		{5, 0.978469, 1.613976, 1.266854, 0.687662, 0.6231}, {10, 1.399872, 2.663980, 2.469168, 0.758016, 0.1640},
		{30, 2.067781, 8.481264, 8.422104, 0.849406, 0.0141},
	}
	for _, r := range rows {
		s := SigmaOf(r.ef)
		near(t, "sigma", s, r.sigma, 1e-6)
		near(t, "mean over median", MeanOverMedian(s), r.mean, 1e-6)
		near(t, "coefficient of variation", VariationOf(s), r.cv, 1e-6)
		near(t, "percentile of the mean", Phi(s/2), r.pct, 1e-6)
		near(t, "gamma shape", 1/math.Expm1(s*s), r.a, 1e-4)
	}
	// With the usual rounding of the 95 % point to 1.645 (NUREG/CR-2815).
	for ef, want := range map[float64]float64{3: 1.249835, 5: 1.613838, 10: 2.663516} {
		near(t, "mean over median with 1.645", MeanOverMedian(math.Log(ef)/1.645), want, 1e-6)
	}
	near(t, "product of error factors 3 and 5", ErrorFactorOfProduct(3, 5), 7.019210, 1e-6)
	near(t, "error factor of the band 0.1-1.1", ErrorFactorOf(0.1, 1.1), 3.316625, 1e-6)
	near(t, "median by that band", math.Sqrt(0.1*1.1), 0.331662, 1e-6)
	got, _ := RateLog(0.5/100, SigmaOf(5), 1, 1000)
	near(t, "own log, per 100 km", 100*got, 0.1443, 1e-4)
}

// Common cause: three units of which two are needed (published: about 3.0e-4 and 5.0e-4), the same on demand with
// p = 1e-3 and beta 0.05 (published: about 5.3e-5), and two vehicles.
func TestCommonCause(t *testing.T) {
	ind, com := TwoOfThree(1e-5, 1000, 0.05)
	near(t, "two of three, independent", ind, 2.95047e-4, 1e-9)
	near(t, "two of three, common", com, 4.99875e-4, 1e-9)
	formula, exact := TwoOfThreeOnDemand(1e-3, 0.05)
	near(t, "two of three on demand", formula, 5.27075e-5, 1e-10)
	near(t, "exactly", exact, 5.27056e-5, 1e-10)
	_, alone := TwoOfThreeOnDemand(1e-3, 0)
	near(t, "without common cause", alone, 2.998e-6, 1e-9)
	rows := []struct {
		p    float64
		beta []float64
		both []float64
	}{
		{0.1, []float64{0, 0.02, 0.1, 0.3, 1}, []float64{0.01, 0.011604, 0.0181, 0.0349, 0.1}},
		{0.05, []float64{0, 0.02, 0.1, 0.3, 1}, []float64{0.0025, 0.003401, 0.007025, 0.016225, 0.05}},
	}
	for _, r := range rows {
		for i, b := range r.beta {
			near(t, "both out", BothOut(r.p, b), r.both[i], 1e-6)
		}
	}
	for i, want := range []float64{0.9, 0.88396, 0.819, 0.651, 0} {
		near(t, "partner fit", PartnerFit(0.1, rows[0].beta[i]), want, 1e-6)
	}
}

func TestStandby(t *testing.T) {
	rows := []struct{ x, single, active, cold float64 }{{0.05, 0.951229, 0.997621, 0.998791}, {0.1, 0.904837, 0.990944, 0.995321},
		{0.2, 0.818731, 0.967141, 0.982477}, {0.5, 0.606531, 0.845182, 0.909796}, {1, 0.367879, 0.600424, 0.735759}}
	for _, r := range rows {
		near(t, "single", math.Exp(-r.x), r.single, 1e-6)
		near(t, "two active", ActivePair(r.x), r.active, 1e-6)
		near(t, "cold standby", ColdPair(r.x), r.cold, 1e-6)
	}
	// Mean lives in units of 1/lambda: 1, 1.5 and 2, by the trapezium rule.
	var single, active, cold float64
	const h = 1e-3
	for x := h / 2; x < 60; x += h {
		single, active, cold = single+h*math.Exp(-x), active+h*ActivePair(x), cold+h*ColdPair(x)
	}
	near(t, "mean life of one", single, 1, 1e-5)
	near(t, "mean life of an active pair", active, 1.5, 1e-5)
	near(t, "mean life of a cold pair", cold, 2, 1e-5)
}

func TestHelpInTime(t *testing.T) {
	near(t, "beacon", HelpInTime(72, 1, 24, 3), 0.947803, 1e-6)
	near(t, "overdue only", HelpInTime(72, 48, 24, 3), 0.5, 1e-9)
	for _, d := range []float64{72, 80, math.Inf(1)} {
		if p := HelpInTime(72, d, 24, 3); p != 0 {
			t.Errorf("noticed after %g h help is in time with %g, want 0", d, p)
		}
	}
	for _, row := range [][4]float64{{math.NaN(), 1, 24, 3}, {72, math.NaN(), 24, 3}, {72, 1, math.NaN(), 3}} {
		if p := HelpInTime(row[0], row[1], row[2], row[3]); p != 0 {
			t.Errorf("HelpInTime(%v) = %g, want 0: unknown is not good", row, p)
		}
	}
}

// Why the denominator must not move: compared with the bare party in the same conditions readiness would rise
// when light bogging becomes five times as frequent; with the wet case as the fixed denominator it falls.
func TestMovingDenominatorIsNotMonotone(t *testing.T) {
	self := []float64{0.97, 0.97, 0.912, 0, 0, 0}
	in := HelpInTime(72, 1, 24, 3)
	u := func(m []float64) (u, total float64) {
		for i := range m {
			u += m[i] * (1 - self[i]) * (0.3 + 0.7*(1-in))
			total += m[i]
		}
		return u, total
	}
	dry, dryT := u([]float64{.03, .004, .10, .02, .01, .006})
	wet, wetT := u([]float64{.03, .004, .50, .02, .01, .006})
	near(t, "dry U", dry, 0.015420, 1e-6)
	near(t, "wet U", wet, 0.027266, 1e-6)
	near(t, "dry, moving", 100*(1-dry/dryT), 90.93, 1e-2)
	near(t, "wet, moving", 100*(1-wet/wetT), 95.22, 1e-2)
	near(t, "dry, fixed", 100*(1-dry/wetT), 97.2947, 1e-4) // 1 - 0.0154202/0.57 by hand
	near(t, "wet, fixed", 100*(1-wet/wetT), 95.22, 1e-2)
}
