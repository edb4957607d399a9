package supply_test

import (
	"testing"

	"lastroad/risk/supply"
)

func TestWalkingRules(t *testing.T) {
	tab := tables(t)
	const minute = 1.0 / 60
	// A walking site's example: 15 km, 250 m up, 150 m gently down = 180 + 25 - 5 min.
	near(t, "Naismith with Langmuir", supply.LangmuirMin(supply.NaismithMin(15000, 250, 5), 150, 0), 200, 1e-9)
	// An encyclopedia's example of the flat equivalent: 20 km and 1600 m up.
	near(t, "flat equivalent", supply.FlatEquivalentM(20000, 1600), 32800, 1e-9)
	near(t, "at 5 km/h", 32.8/5, 6+34*minute, 0.01)
	near(t, "at 8 km/h", 32.8/8, 4+6*minute, 0.01)
	// The same encyclopedia: 9 h by Naismith, fitness 25.
	h, ok := tab.TranterH(9, 25, 0)
	if !ok {
		t.Error("Tranter refuses 9 h at fitness 25")
	}
	near(t, "Tranter 9 h, 25", h, 11.5, 1e-9)
	if _, ok := tab.TranterH(6, 50, 0); ok {
		t.Error("Tranter lets the least fit row walk 6 h by Naismith")
	}
	if _, ok := tab.TranterH(9, 25, 4); ok {
		t.Error("Tranter lets somebody four rows down from 25 walk at all")
	}
	// DIN 33466: an alpine club's example, a publisher's, the corrected third and one by hand.
	near(t, "DIN 8 km +900", supply.DIN33466H(8000, 900, 0), 4, 1e-9)
	near(t, "DIN 10 km +1200", supply.DIN33466H(10000, 1200, 0), 5.25, 1e-9)
	near(t, "DIN 10 km -1200", supply.DIN33466H(10000, 0, 1200), 3.7, 1e-9)
	near(t, "DIN 8 km +600 -600", supply.DIN33466H(8000, 600, 600), 4.2, 1e-9)
}

func TestLangmuirSortsDescentBySlope(t *testing.T) {
	// 1 km at tan(4), tan(8) and tan(20) degrees down: 69.9, 140.5 and 364.0 m.
	near(t, "flat descent", supply.LangmuirSegmentMin(1000, -69.9, 5), 12, 1e-9)
	near(t, "gentle descent", supply.LangmuirSegmentMin(1000, -140.5, 5), 12-140.5/30, 1e-9)
	near(t, "steep descent", supply.LangmuirSegmentMin(1000, -364, 5), 12+364.0/30, 1e-9)
}

// Tobler 1993, NCGIA report 93-1; rows by hand and from the published table by degrees.
func TestTobler(t *testing.T) {
	for _, c := range []struct{ slope, want, tol float64 }{
		{0, 5.037, 5e-4}, {-0.05, 6, 1e-12}, {0.1, 3.549, 5e-4}, {-0.1, 5.037, 5e-4}, {0.2, 2.501, 5e-4},
		{0.0874887, 3.71, 6e-3}, {0.1763270, 2.72, 6e-3}, {-0.0874887, 5.26, 6e-3}, {0.3639702, 1.41, 6e-3}, {0.5773503, 0.67, 6e-3},
	} {
		near(t, "km/h on a path", supply.ToblerKmh(c.slope, false), c.want, c.tol)
	}
	near(t, "off a path", supply.ToblerKmh(0, true), 3.022, 5e-4)
}

// Swiss trail time, coefficients of the federal map viewer; values by an independent evaluation.
func TestSwissTrailTime(t *testing.T) {
	for _, c := range []struct{ percent, want float64 }{
		{0, 14.271}, {5, 16.631}, {10, 19.999}, {20, 32.326}, {25, 40.236},
		{-5, 13.244}, {-10, 14.209}, {-20, 19.835}, {-25, 23.568}, {-40, 36}, {40, 68}, {50, 85},
	} {
		near(t, "min/km", supply.SwissMinPerKm(c.percent/100), c.want, 6e-4)
	}
	near(t, "level speed", 60/supply.SwissMinPerKm(0), 4.204, 5e-4) // published as about 4.2 km/h
}

// Pandolf, Givoni and Goldman 1977: a load-march page gives about 410 kcal/h for 180 lb with 30 lb at
// 3.5 mph; the others by hand from the equation with grade in percent.
func TestPandolf(t *testing.T) {
	near(t, "180 lb, 30 lb, 3.5 mph", supply.PandolfW(180*0.45359237, 30*0.45359237, 3.5*0.44704, 0, 1), 477.6, 0.1)
	near(t, "the same in kcal/h", supply.KcalPerHour(supply.PandolfW(180*0.45359237, 30*0.45359237, 3.5*0.44704, 0, 1)), 410.9, 0.1)
	near(t, "80, 20, 1.34, 5 %", supply.PandolfW(80, 20, 1.34, 5, 1), 636.3, 0.1)
	near(t, "80, 20, 1.34, 10 %", supply.PandolfW(80, 20, 1.34, 10, 1), 870.8, 0.1)
	near(t, "80, 0, 1.34", supply.PandolfW(80, 0, 1.34, 0, 1), 335.5, 0.1)
}

// Gulf War desert guidance memo: 1 US gal for 20 mi by night, 2 by day.
func TestWaterToWalkOut(t *testing.T) {
	tab := tables(t)
	near(t, "20 mi by night", tab.WalkOutWater(32186.9, true), 3.79, 0.01)
	near(t, "20 mi by day", tab.WalkOutWater(32186.9, false), 7.57, 0.01)
}

// Dent 1894: six signals a minute, a minute of pause; the reply three. ICAO Annex 12 ground signs.
func TestSignals(t *testing.T) {
	for reply, want := range map[bool][]float64{false: {0, 10, 20, 30, 40, 50}, true: {0, 20, 40}} {
		got := supply.SignalMinute(reply)
		if len(got) != len(want) {
			t.Fatalf("reply %v: %v, want %v", reply, got, want)
		}
		for i := range want {
			near(t, "offset", got[i], want[i], 0)
		}
	}
	near(t, "period", supply.SignalPeriod, 120, 0)
	signs := map[string]string{}
	for _, g := range supply.GroundSignals() {
		signs[g.Meaning] = g.Sign
	}
	for meaning, sign := range map[string]string{"require medical assistance": "X", "require assistance": "V", "proceeding in this direction": "arrow"} {
		if signs[meaning] != sign {
			t.Errorf("%s is shown by %q, want %q", meaning, signs[meaning], sign)
		}
	}
}
