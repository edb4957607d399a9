package supply_test

import (
	"testing"

	"lastroad/geo"
	"lastroad/risk/supply"
)

const (
	quart  = 0.946353 // litres, US liquid quart
	gallon = 3.785412 // litres, US gallon
)

type example struct {
	name           string
	got, want, tol float64
}

func examples(t *testing.T, list []example) {
	t.Helper()
	for _, e := range list {
		t.Run(e.name, func(t *testing.T) { near(t, e.name, e.got, e.want, e.tol) })
	}
}

// Published and hand-worked examples of water, each under the name of its source.
func TestWorkedWater(t *testing.T) {
	tab := tables(t)
	hour := func(degF float64, w supply.Work) supply.HourlyWater {
		return tab.Hourly(celsius(degF), w, supply.Mixed, true)
	}
	four, _ := tab.DayOfHours(hour(86, supply.Moderate).LitresPerHour.Central, 4)
	day, _ := tab.DayOfHours(quart, 13)
	rule, _ := tab.RuleWater("desert_parks", 2, 5)
	loss, _ := supply.BodyWaterLoss(80, 5)
	examples(t, []example{
		{"W1 US Army work and rest table: 86 F, moderate, category", float64(hour(86, supply.Moderate).Category), 3, 0},
		{"W1 minutes of work", hour(86, supply.Moderate).WorkMin, 40, 0},
		{"W1 litres an hour (3/4 qt)", hour(86, supply.Moderate).LitresPerHour.Central, 0.75 * quart, 0.001},
		{"W1 four hours (3 qt)", four, 3 * quart, 0.005},
		{"W2 US Army table: 90 F, hard, category", float64(hour(90, supply.Hard).Category), 5, 0},
		{"W2 minutes of work", hour(90, supply.Hard).WorkMin, 10, 0},
		{"W2 litres an hour (1 qt)", hour(90, supply.Hard).LitresPerHour.Central, quart, 0.004},
		{"W3 US Army table: 84.9 F, easy (1/2 qt)", hour(84.9, supply.Easy).LitresPerHour.Central, 0.5 * quart, 0.004},
		{"W3 85.0 F, easy (3/4 qt)", hour(85, supply.Easy).LitresPerHour.Central, 0.75 * quart, 0.001},
		{"W4 US Army table: 13 h at 1 qt/h, capped at 12 qt", day, 12 * quart, 0.005},
		{"W5 FM 3-05.70 figure 13-2: mean 30, rest", tab.Daily(30, supply.RestShade), 5.6, 0.15},
		{"W5 moderate work", tab.Daily(30, supply.ModerateSun), 7.3, 0.15},
		{"W5 hard work", tab.Daily(30, supply.HardSun), 9.2, 0.15},
		{"W6 FM 3-05.70 figure 13-2, caption: mean 50, hard work", tab.Daily(50, supply.HardSun), 25, 0},
		{"W7 South Australia DEWNR: two people, five days and three in reserve", rule, 96, 0},
		{"W8 Gulf War memo: 20 mi by night, 1 US gal", tab.WalkOutWater(32187, true), gallon, 0.02},
		{"W8 by day, 2 US gal", tab.WalkOutWater(32187, false), 2 * gallon, 0.03},
		{"W10 FM 3-05.70 chapter 4: 5 % of 80 kg", loss, 4, 1e-12},
		// FM 3-05.70 para 13-30 says 5 gal for hard work at 109 F; it rounds up what the figure gives.
		{"W11 FM 3-05.70 para 13-30: 109 F, hard work, rounded up to 5 gal", tab.Daily(celsius(109), supply.HardSun), 5 * gallon, 1.5},
	})
}

// Every cell of the work and rest table as Fort Irwin's medical department prints it: WBGT by its lower bound,
// minutes of work in an hour (60 = no limit) and quarts an hour for easy, moderate and hard work.
func TestWorkedArmyTableWhole(t *testing.T) {
	tab := tables(t)
	for _, row := range []struct {
		degF           float64
		work, quarters [3]float64
	}{
		{78, [3]float64{60, 60, 40}, [3]float64{2, 3, 3}}, {82, [3]float64{60, 50, 30}, [3]float64{2, 3, 4}},
		{85, [3]float64{60, 40, 30}, [3]float64{3, 3, 4}}, {88, [3]float64{60, 30, 20}, [3]float64{3, 3, 4}},
		{90, [3]float64{50, 20, 10}, [3]float64{4, 4, 4}},
	} {
		for k, w := range []supply.Work{supply.Easy, supply.Moderate, supply.Hard} {
			h := tab.Hourly(celsius(row.degF), w, supply.Mixed, true)
			near(t, "minutes of work", h.WorkMin, row.work[k], 0)
			near(t, "litres an hour", h.LitresPerHour.Central, row.quarters[k]/4*quart, 0.004)
		}
	}
}

// Maintenance water after Holliday and Segar (1957) as the University of Texas Medical Branch teaches it: 100
// mL/kg for the first 10 kg, 50 for the next, 20 above; its example of 30 kg takes 70 mL/h by the rounded hourly
// rule, 1700 mL a day, and the usual tables give 1200 mL at 14 kg and 1600 mL at 25 kg. Only ratios to an adult
// of 75 kg (2600 mL) are used here; the children are taken young enough that the ratio by age is the smaller.
func TestWorkedMaintenanceWater(t *testing.T) {
	tab := tables(t)
	for _, c := range []struct{ age, kg, ml float64 }{{0.5, 14, 1200}, {1.5, 25, 1600}, {3, 30, 1700}} {
		near(t, "maintenance water", 2600*tab.Share(supply.Person{AgeY: c.age, MassKg: c.kg}), c.ml, 1e-6)
	}
}

// Published and hand-worked examples of walking.
func TestWorkedWalking(t *testing.T) {
	tab := tables(t)
	const minute = 1.0 / 60
	march := supply.PandolfW(180*0.45359237, 30*0.45359237, 3.5*0.44704, 0, 1)
	tranter, _ := tab.TranterH(9, 25, 0)
	examples(t, []example{
		{"H1 walking site: 15 km, 250 m up, 150 m gently down", supply.LangmuirMin(supply.NaismithMin(15000, 250, 5), 150, 0), 200, 1e-9},
		{"H2 encyclopedia: 20 km and 1600 m as level metres", supply.FlatEquivalentM(20000, 1600), 32800, 1e-9},
		{"H2 at 5 km/h", supply.FlatEquivalentM(20000, 1600) / 5000, 6 + 34*minute, 0.01},
		{"H2 at 8 km/h", supply.FlatEquivalentM(20000, 1600) / 8000, 4 + 6*minute, 0.01},
		{"H3 encyclopedia: 9 h by Naismith, fitness 25", tranter, 11.5, 1e-9},
		{"H4 alpine club: DIN 33466, 8 km, 900 m up", supply.DIN33466H(8000, 900, 0), 4, 1e-9},
		{"H5 publisher: DIN 33466, 10 km, 1200 m up", supply.DIN33466H(10000, 1200, 0), 5.25, 1e-9},
		{"H6 publisher, its sum put right: 10 km, 1200 m down", supply.DIN33466H(10000, 0, 1200), 3.7, 1e-9},
		{"H7 by hand: 8 km, 600 m up and down", supply.DIN33466H(8000, 600, 600), 4.2, 1e-9},
		{"H8 Tobler 1993: level", supply.ToblerKmh(0, false), 5.037, 5e-4}, {"H8 -5 %", supply.ToblerKmh(-0.05, false), 6, 1e-12},
		{"H8 10 %", supply.ToblerKmh(0.1, false), 3.549, 5e-4}, {"H8 -10 %", supply.ToblerKmh(-0.1, false), 5.037, 5e-4},
		{"H8 20 %", supply.ToblerKmh(0.2, false), 2.501, 5e-4}, {"H8 off the path", supply.ToblerKmh(0, true), 3.022, 5e-4},
		{"H9 Swiss trails: level", supply.SwissMinPerKm(0), 14.271, 5e-4}, {"H9 5 %", supply.SwissMinPerKm(0.05), 16.631, 1e-3},
		{"H9 10 %", supply.SwissMinPerKm(0.1), 19.999, 1e-3}, {"H9 20 %", supply.SwissMinPerKm(0.2), 32.326, 1e-3}, {"H9 25 %", supply.SwissMinPerKm(0.25), 40.236, 1e-3},
		{"H10 -5 %", supply.SwissMinPerKm(-0.05), 13.244, 1e-3}, {"H10 -10 %", supply.SwissMinPerKm(-0.1), 14.209, 1e-3}, {"H10 -20 %", supply.SwissMinPerKm(-0.2), 19.835, 1e-3},
		{"H10 -25 %", supply.SwissMinPerKm(-0.25), 23.568, 1e-3}, {"H10 -40 %", supply.SwissMinPerKm(-0.4), 36, 1e-3}, {"H10 40 %", supply.SwissMinPerKm(0.4), 68, 1e-3}, {"H10 50 %", supply.SwissMinPerKm(0.5), 85, 1e-9},
		{"H11 Swiss trails: level km/h", 60 / supply.SwissMinPerKm(0), 4.204, 1e-3},
		{"H12 load-march page: 180 lb with 30 lb at 3.5 mph", march, 477.6, 0.1}, {"H12 in kcal/h", supply.KcalPerHour(march), 410.9, 0.1},
		{"H14 by hand: 80 kg with 20 kg at 1.34 m/s, 5 %", supply.PandolfW(80, 20, 1.34, 5, 1), 636.3, 0.1}, {"H14 10 %", supply.PandolfW(80, 20, 1.34, 10, 1), 870.8, 0.1},
		{"H15 by hand: 80 kg at 1.34 m/s", supply.PandolfW(80, 0, 1.34, 0, 1), 335.5, 0.1},
	})
}

// Published and hand-worked examples of fuel.
func TestWorkedFuel(t *testing.T) {
	tab := tables(t)
	const btu = 1055.056e-6 // MJ
	n := func(crr, grade, kmh float64) float64 { return supply.RoadLoadN(2800, crr, grade, 1.2, 1.2, kmh/3.6) }
	l := func(crr, grade, kmh, eta float64) float64 { return supply.LPer100Of(n(crr, grade, kmh), eta, 35.8) }
	simple := func(feet float64) float64 { return 100 * (1 - 0.03*feet/1000) } // the rule of a turbocharger maker, from sea level
	examples(t, []example{
		{"F1 AFDC: diesel, 128,488 Btu/gal", 128488 * btu / gallon, 35.81, 0.005}, {"F1 petrol, 112,114 Btu/gal", 112114 * btu / gallon, 31.25, 0.005},
		{"F1 diesel of the tables", tab.EnergyMJ(supply.Diesel), 35.81, 0.02},
		{"F2 label of a body-on-frame 4x4: 17 mpg", 100 / (17 * 1.609344 / gallon), 13.8, 0.05},
		{"F3 DOE Fact 861: 8 h at 0.39 gal/h", 8 * 0.39 * gallon, 11.8, 0.02},
		{"F4 agricultural engineering text: 225 hp at 4500 ft", 225 * tab.PowerShare(4500*0.3048, false), 198, 0.01},
		{"F5 turbocharger maker's rule: 100 hp at 5000 ft", simple(5000), 85, 1e-9}, {"F5 10,000 ft", simple(10000), 70, 1e-9}, {"F5 15,000 ft", simple(15000), 55, 1e-9},
		// The tables begin at 500 ft, so they stand half a point above that rule everywhere.
		{"F5 the tables beside it at 10,000 ft", 100 * tab.PowerShare(10000*0.3048, false), 71.5, 0.01},
		{"F6 by hand: 90 km/h, N", n(0.015, 0, 90), 861.9, 0.06}, {"F6 kW", n(0.015, 0, 90) * 25 / 1000, 21.55, 0.005}, {"F6 L/100 km", l(0.015, 0, 90, 0.25), 9.63, 0.006},
		{"F7 by hand: 60 km/h, N", n(0.015, 0, 60), 611.9, 0.06}, {"F7 L/100 km", l(0.015, 0, 60, 0.25), 6.84, 0.006},
		{"F8 by hand: 5 % up, N", n(0.015, 0.05, 60), 1982.6, 0.06}, {"F8 L/100 km", l(0.015, 0.05, 60, 0.25), 22.15, 0.006},
		{"F9 by hand: soft ground, N", n(0.06, 0, 30), 1697.5, 0.06}, {"F9 L/100 km", l(0.06, 0, 30, 0.2), 23.71, 0.006},
		{"F11 by hand: climbing 100 m", 2800 * supply.Gravity * 100 / 1e6 / (0.25 * 35.8), 0.307, 5e-4},
		{"F12 dune crossing of 530 km on 110 L", 110.0 / 530 * 100, 20.8, 0.05},
		{"F13 ORNL roof box: 24.9 to 22.9 mpg, more per km", 100 * (24.9/22.9 - 1), 8.7, 0.05},
		{"F13 the tables' drag makes the same of it at 97 km/h, percent", roofBox(t), 8.7, 0.3},
	})
}

// roofBox is what the tables' roof drag adds to a 4x4 wagon at 97 km/h (60 mph) on the level, in percent.
func roofBox(t *testing.T) float64 {
	seg := supply.Segment{LengthM: 1e5, Seconds: 1e5 / (97 / 3.6), MassKg: 2000, Ground: supply.GroundLoad{}}
	litres := func(roof bool) float64 {
		m := model(t, supply.FuelVehicle{Fuel: supply.Petrol, SealedLPer100: 9.45, MassKg: 2000, EngineL: 3, RoofLoad: roof})
		s := seg
		s.Ground = m.OnGround(sealed())
		return m.Use(s).Central
	}
	return 100 * (litres(true)/litres(false) - 1)
}

// Published and hand-worked examples of mass; those of the ball and the roof stand in package recovery too.
func TestWorkedMass(t *testing.T) {
	tab := tables(t)
	budget := tab.Load(supply.LoadInput{Vehicle: supply.LoadVehicle{KerbKg: 2400, GVMKg: 3200}, People: []supply.Person{{MassKg: 75}, {MassKg: 75}},
		Items: []supply.LoadItem{{Kg: 200, Place: "floor"}}})
	ball := func(kg float64) supply.LoadReport {
		return tab.Load(supply.LoadInput{Vehicle: supply.LoadVehicle{KerbKg: 2400, WheelbaseM: 2.85, BallBehindM: 1.14}, Items: []supply.LoadItem{{Kg: kg, Place: "ball"}}})
	}
	roof := func(kg float64) supply.LoadReport {
		return tab.Load(supply.LoadInput{Vehicle: supply.LoadVehicle{KerbKg: 2400, CGHeightM: 0.75, TrackM: 1.6}, Items: []supply.LoadItem{{Kg: kg, Place: "roof", HeightM: 2}}})
	}
	fluids := tab.Load(supply.LoadInput{Vehicle: supply.LoadVehicle{KerbKg: 2000, Fuel: supply.Diesel}, FuelL: 80, WaterL: 60})
	examples(t, []example{
		{"M1 by hand: 3200 less 2400, two people and 200 of options", budget.PayloadLeftKg, 450, 1e-9},
		{"M3 by moments: rear axle", ball(150).RearKg - ball(0).RearKg, 210, 1e-9}, {"M3 front axle", ball(150).FrontKg - ball(0).FrontKg, -60, 1e-9},
		{"M4 NHTSA static stability, bare", roof(0).SSF, 1.067, 5e-4}, {"M4 100 kg on the roof, height", roof(100).CGHeightM, 0.8, 1e-9}, {"M4 factor", roof(100).SSF, 1, 1e-9},
		{"M5 50 kg, height", roof(50).CGHeightM, 0.7755, 6e-5}, {"M5 150 kg, height", roof(150).CGHeightM, 0.8235, 6e-5}, {"M5 50 kg, factor", roof(50).SSF, 1.032, 5e-4}, {"M5 150 kg, factor", roof(150).SSF, 0.971, 6e-4},
		{"M6 80 L of diesel and 60 L of water", fluids.FuelKg + fluids.WaterKg, 126.8, 0.05},
		{"M7 towing guide: ball load of a 3500 kg trailer", tab.BallLoad(3500).Central, 350, 1e-9},
	})
}

func sealed() geo.GroundMix { return geo.Pure(geo.Sealed, "") }
