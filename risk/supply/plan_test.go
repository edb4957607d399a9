package supply_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"lastroad/assets"
	"lastroad/risk/supply"
)

// By hand at a mean of 30 degC (rest 5.6, moderate 7.3 L a day): two adults of 75 kg in 10 h of which 6
// are driven drink 2 x (10 x 5.6/24 + 6 x 0.5 x 1.7/8) = 5.94 L; waiting 72 h 2 x 3 x 5.6 = 33.6 L.
func TestWaterOfALegByHand(t *testing.T) {
	tab := tables(t)
	two := []supply.Person{{MassKg: 75, Acclimatised: true}, {MassKg: 75, Acclimatised: true}}
	n := tab.Water(supply.WaterInput{People: two, Climate: supply.Climate{MeanC: 30, MaxC: 37, NightMinC: 22},
		ElapsedH: 10, DriveH: 6, StrandedH: supply.Band{Low: 8, Central: 24, High: 72}})
	near(t, "travel", n.Travel.Central, 2*(10*5.6/24+6*0.5*1.7/8), 1e-9)
	near(t, "waiting at the usual time", n.Stranded.Central, 2*5.6, 1e-9)
	near(t, "per day of waiting", n.PerDay.Central, 11.2, 1e-9)
	travel := 2 * (10*5.6/24 + 6*0.5*1.7/8)
	near(t, "design: travel, 72 h of waiting, a tenth", n.Design, 1.1*(travel+33.6), 1e-9)
	near(t, "adults", n.Adults, 2, 1e-12)
	// Without shade the wait is read on curve B: 7.3 L a day.
	open := tab.Water(supply.WaterInput{People: two, Climate: supply.Climate{MeanC: 30, MaxC: 37, NightMinC: 22}, StrandedH: supply.Exactly(24), NoShade: true})
	near(t, "a day without shade", open.PerDay.Central, 2*7.3, 1e-9)
}

// EFSA intakes: 1.6 of 2.5 L at 4 to 8 years, 2.1 at 9 to 13; maintenance by mass (Holliday and Segar):
// 20 kg 1500 mL, 75 kg 2600 mL, 120 kg 3500 mL.
func TestSharesOfPeopleByHand(t *testing.T) {
	tab := tables(t)
	for _, c := range []struct {
		name string
		p    supply.Person
		want float64
	}{
		{"nobody in particular", supply.Person{}, 1},
		{"six years, 20 kg", supply.Person{AgeY: 6, MassKg: 20}, 1.6 / 2.5},
		{"eleven years, 35 kg", supply.Person{AgeY: 11, MassKg: 35}, 2.1 / 2.5},
		{"eleven years, 70 kg", supply.Person{AgeY: 11, MassKg: 70}, 2500.0 / 2600},
		{"small adult", supply.Person{AgeY: 30, MassKg: 50}, 1},
		{"heavy adult", supply.Person{AgeY: 30, MassKg: 120}, 3500.0 / 2600},
		{"baby", supply.Person{AgeY: 0.5, MassKg: 7}, 1.0 / 2.5},
	} {
		near(t, c.name, tab.Share(c.p), c.want, 1e-9)
	}
	if kg, estimated := tab.Mass(supply.Person{AgeY: 6}); kg != 21 || !estimated {
		t.Errorf("a child of six weighs %g kg, estimated %v", kg, estimated)
	}
}

func TestPeopleNewToTheHeatGetMoreForHardWork(t *testing.T) {
	tab := tables(t)
	in := supply.WaterInput{Climate: supply.Climate{MeanC: 32, MaxC: 39, NightMinC: 25}, DigH: 2, ElapsedH: 2}
	in.People = []supply.Person{{MassKg: 75, Acclimatised: true}}
	used := tab.Water(in).Travel.Central
	in.People[0].Acclimatised = false
	near(t, "two hours of digging, new to the heat", tab.Water(in).Travel.Central-used, 2*0.24, 1e-9)
	in.Climate = supply.Climate{MeanC: 38, MaxC: 45, NightMinC: 30}
	if n := tab.Water(in); !n.OverCap || len(n.Cautions) < 3 {
		t.Errorf("digging at a mean of 38 degC (14 L a day) carries no warning of the daily cap")
	}
}

// 0.567 x 35 + 0.393 e + 3.94 with the dew point at 20 - 2.5 degC: e = 6.105 exp(17.27 x 17.5/255.2) =
// 19.95 hPa, 31.63 degC.
func TestWBGTByHand(t *testing.T) {
	tab := tables(t)
	near(t, "vapour at 17.5 degC", supply.VapourHPa(17.5), 19.95, 0.01)
	near(t, "wet-bulb globe temperature", tab.WBGT(supply.Climate{MeanC: 28, MaxC: 35, NightMinC: 20}), 31.63, 0.01)
	if dry, humid := tab.WBGT(supply.Climate{MeanC: 28, MaxC: 35, NightMinC: 20}), tab.WBGT(supply.Climate{MeanC: 28, MaxC: 35, NightMinC: 20, Humid: true}); humid <= dry {
		t.Errorf("humid air reads %g, dry %g", humid, dry)
	}
}

func TestMissingWeatherIsFilledNotZero(t *testing.T) {
	nan := math.NaN()
	c := supply.Climate{MeanC: nan, MaxC: 40, NightMinC: nan}.Filled()
	near(t, "mean from the maximum", c.MeanC, 33, 0)
	c = supply.Climate{MeanC: nan, MaxC: nan, NightMinC: nan}.Filled()
	near(t, "mean of nothing", c.MeanC, 20, 0)
	tab := tables(t)
	if n := tab.Water(supply.WaterInput{People: []supply.Person{{}}, Climate: supply.Climate{MeanC: nan, MaxC: nan, NightMinC: nan}, ElapsedH: nan, StrandedH: supply.Band{Low: nan, Central: nan, High: nan}}); math.IsNaN(n.Design) {
		t.Error("missing numbers make the water unknown")
	}
}

func TestOneLeakingContainer(t *testing.T) {
	for _, c := range []struct {
		name  string
		list  []supply.Container
		total float64
		keep  float64
		ok    bool
		left  float64
	}{
		{"one tank", []supply.Container{{HoldsL: 60}}, 60, 20, false, 0},
		{"tank and two cans", []supply.Container{{HoldsL: 40}, {HoldsL: 10}, {HoldsL: 10}}, 60, 20, true, 20},
		{"tank and two cans, more needed", []supply.Container{{HoldsL: 40}, {HoldsL: 10}, {HoldsL: 10}}, 60, 21, false, 20},
		{"half-empty tank", []supply.Container{{HoldsL: 40, FilledL: 15}, {HoldsL: 10}, {HoldsL: 10}}, 35, 20, true, 20},
		{"water without a list", nil, 50, 10, false, 0},
		{"nothing", nil, 0, 10, false, 0},
	} {
		got := supply.Containers(c.list, c.total, c.keep)
		if got.OK != c.ok || got.LeftL != c.left || got.Text == "" {
			t.Errorf("%s: %+v, want ok %v, %g L left", c.name, got, c.ok, c.left)
		}
	}
}

func TestRadiatorWaterIsCountedTwice(t *testing.T) {
	tab := tables(t)
	n := tab.Cooling(supply.CoolingInput{EngineL: 2.5, CoolantHaveL: 2, WaterHaveL: 1, DrinkingHaveL: 30, DrinkingNeedL: 28, HeightM: 3000})
	near(t, "filling of a 2.5 L engine (8 L at least)", n.FillingL, 8, 1e-9)
	near(t, "to carry", n.CarryL.Central, 7.5, 1e-9) // common practice, 5 to 10 L
	near(t, "short", n.ShortL, 4.5, 1e-9)
	near(t, "left to drink", n.DrinkingLeftL, 25.5, 1e-9)
	if !n.DrinkingShort || !n.Defaulted || len(n.Reminders) == 0 || !strings.Contains(n.Cautions[0], "Never open") {
		t.Errorf("%+v lacks the shortage, the mark of the default, the flush or the caution", n)
	}
	near(t, "boiling point in the open at 3000 m", n.OpenBoilsC, 96, 1e-9)
	// 129 to 131 degC under a cap of 97 to 103 kPa at sea level (published); 106 + 0.246 x 100 = 130.6.
	near(t, "boiling point under the cap", tab.Cooling(supply.CoolingInput{EngineL: 2.5}).BoilsC, 130, 1.01)
	// A 1999 workshop manual: 13 L dry fill of a 2.5 L diesel; a 2010 owner's manual 17.1 L for 6.2 L.
	near(t, "filling of a 6.2 L engine", tab.Cooling(supply.CoolingInput{EngineL: 6.2}).FillingL, 17.1, 0.1)
}

func TestFuelReserveRules(t *testing.T) {
	tab, m := tables(t), model(t, wagon)
	in := supply.FuelInput{Use: supply.Exactly(40), DistanceM: 200e3, BackL: 35, NoIdle: true}
	for _, c := range []struct {
		rule    string
		reserve float64
	}{
		{"", 35}, {"no such rule", 35}, {"largest", 35}, {"quarter", 10}, {"third", 20}, {"hundred_km", 20}, {"return", 35},
	} {
		in.Rule = c.rule
		near(t, "reserve by rule "+c.rule, tab.FuelPlan(m, in).Reserve.Central, c.reserve, 1e-9)
	}
	in = supply.FuelInput{Use: supply.Exactly(40), DistanceM: 200e3, Rule: "quarter", DetourM: 20e3, StrandedH: supply.Exactly(48), IdleH: 2}
	n := tab.FuelPlan(m, in)
	near(t, "detour", n.Detour.Central, 4, 1e-9)
	near(t, "two days of two hours at idle", n.Stranded.Central, 4*m.IdleLh(), 1e-9)
	near(t, "total", n.Total.Central, 40+4+4*m.IdleLh()+10, 1e-9)
	b := tab.FuelOnBoard(80, 0, 20)
	near(t, "usable of 80 L and a can", b.Central, 92, 1e-9)
	near(t, "usable as typed", tab.FuelOnBoard(80, 0.95, 20).Low, 96, 1e-9)
	near(t, "chance of running short at even odds", supply.ShortOf(supply.Band{Low: 40, Central: 50, High: 60}, supply.Exactly(50)), 0.5, 1e-12)
	// The need's 95 % point is just carried: 5 %.
	near(t, "chance of running short at the upper point", supply.ShortOf(supply.Band{Low: 40, Central: 50, High: 60}, supply.Exactly(60)), 0.05, 1e-9)
}

// By hand: 300 km at 0.1 L/km with fuel at km 100; 15 usable L at the start, 25 after filling.
func TestFuelAlongTheRoute(t *testing.T) {
	dist := []float64{0, 50e3, 300e3}
	use := []supply.Band{{}, supply.Exactly(5), supply.Exactly(30)}
	got := supply.FuelAlong(dist, use, []float64{100e3}, supply.Exactly(15), supply.Exactly(25))
	if len(got) != 2 {
		t.Fatalf("%d stretches, want 2", len(got))
	}
	near(t, "left at km 100", got[0].Left.Central, 5, 1e-9)
	near(t, "left at the end", got[1].Left.Central, 5, 1e-9)
	near(t, "reach from the start", supply.ReachM(dist, use, 0, supply.Exactly(15)).Central, 150e3, 0.01)
	near(t, "reach from km 100", supply.ReachM(dist, use, 100e3, supply.Exactly(50)).Low, 200e3, 0.01)
}

func TestFirstAidAndShelterGrowWithTheWait(t *testing.T) {
	tab := tables(t)
	last := 0
	for _, h := range []float64{0, 1, 2, 6, 24, 100, math.NaN()} {
		n := len(tab.FirstAid(h))
		if n < last {
			t.Errorf("%g h to help ask for %d groups, fewer than before", h, n)
		}
		last = n
	}
	if first := len(tab.FirstAid(0)); first < 3 || first >= last {
		t.Errorf("the kit has %d groups at once and %d after days", first, last)
	}
	hot, cold := tab.Shelter(supply.Climate{MeanC: 33, MaxC: 41, NightMinC: 24}), tab.Shelter(supply.Climate{MeanC: -5, MaxC: 1, NightMinC: -12})
	if len(hot) != 1 || hot[0].Why != "heat" || len(cold) < 2 {
		t.Errorf("heat asks for %v, cold for %v", hot, cold)
	}
}

func TestClimateByMonthAndLatitude(t *testing.T) {
	data, file := assets.Table("climate")
	c, err := supply.ParseClimate(data, file)
	if err != nil {
		t.Fatal(err)
	}
	north, south := c.At("hot_desert", time.July, 25, 0), c.At("hot_desert", time.January, -25, 0)
	if north.Climate != south.Climate || north.Assumed {
		t.Errorf("July north is %+v, January south %+v", north, south)
	}
	near(t, "2 km higher, cooler by", north.MeanC-c.At("hot_desert", time.July, 25, 2000).MeanC, 13, 1e-9) // 6.5 K per km
	for lat, want := range map[float64]string{0: "tropical_wet", -14: "tropical_dry", 25: "hot_desert", 34: "dry_steppe", 42.5: "mediterranean", 48: "temperate", 65: "subarctic", 90: "subarctic", -90: "subarctic"} {
		if w := c.At("", time.May, lat, 0); w.Class != want || !w.Assumed {
			t.Errorf("latitude %g reads as %s, want %s", lat, w.Class, want)
		}
	}
	if w := c.At("hot_desert", 0, 25, math.NaN()); w.MaxC != 42 || w.HottestC <= w.MaxC || w.ColdestC >= w.NightMinC {
		t.Errorf("without a month %+v, want the hottest one", w)
	}
}

func TestNoticeTakesTheEarliestWay(t *testing.T) {
	tab := tables(t)
	for _, c := range []struct {
		name  string
		comms supply.Comms
		by    string
		hours float64
	}{
		{"beacon", supply.Comms{Beacon: true, Contact: true, OverdueH: 40}, "beacon", 1},
		{"nothing", supply.Comms{}, "nobody", 168},
		{"a contact at home", supply.Comms{Contact: true, OverdueH: 40}, "overdue", 42},
		{"a phone here", supply.Comms{Phone: true, Beacon: true}, "phone", 0.5},
		{"a phone after a walk", supply.Comms{PhoneAfterH: 3, Contact: true, OverdueH: 40}, "walk to a phone", 3.5},
	} {
		n := tab.Notice(c.comms)
		if n.By != c.by {
			t.Errorf("%s: by %s, want %s", c.name, n.By, c.by)
		}
		near(t, c.name, n.Hours.Central, c.hours, 1e-9)
	}
	// A beacon far off takes a day or so, an overdue report without a position half a day more on arrival: common
	// practice plans 24 h with a beacon and 72 h (with the notice) without.
	far := supply.Site{TrackKm: 120, SettlementKm: 250}
	beacon, overdue := tab.Help(tab.Notice(supply.Comms{Beacon: true}), far), tab.Help(tab.Notice(supply.Comms{Contact: true, OverdueH: 36}), far)
	if h := beacon.Stranded().Central; h < 16 || h > 32 {
		t.Errorf("help after a beacon far off takes %.1f h, practice says some 24", h)
	}
	if h := overdue.Stranded().Central; h < 55 || h > 90 {
		t.Errorf("help after an overdue report takes %.1f h, practice says some 72", h)
	}
	if h := tab.Help(tab.Notice(supply.Comms{Phone: true}), supply.Site{TrackKm: 0, SettlementKm: 20}).Stranded().Central; h > 3 {
		t.Errorf("roadside help takes %.1f h", h)
	}
}

func TestTauNamesWhatRunsOut(t *testing.T) {
	tab := tables(t)
	two := []supply.Person{{}, {}}
	hot, cold := supply.Climate{MeanC: 35, MaxC: 43, NightMinC: 27}, supply.Climate{MeanC: -8, MaxC: -3, NightMinC: -14}
	dry := tab.Tau(supply.TauInput{People: two, Climate: hot, BeddingC: 5})
	if dry.By != "water" {
		t.Errorf("in the heat without water %q ends the wait", dry.By)
	}
	// A tenth of 75 kg lost at 7.5 L a day (figure 13-2 at a mean of 35 degC) is one day, less than the stated
	// share of Adolph's three.
	near(t, "hours without water at 43 degC", dry.Hours, 24, 1e-9)
	// A child of 20 kg and a share of 0.64 loses its tenth after 2 / (0.64 x 7.5) days.
	near(t, "the same with a child", tab.Tau(supply.TauInput{People: []supply.Person{{}, {AgeY: 6, MassKg: 20}}, Climate: hot, BeddingC: 5}).Hours, 24*2/(0.64*7.5), 1e-9)
	mild := supply.Climate{MeanC: 15, MaxC: 22, NightMinC: 13}
	near(t, "a dry week in the mild", tab.Tau(supply.TauInput{People: two, Climate: mild, BeddingC: 5}).Hours, 24*7.5/1.9, 1e-9)
	if c := tab.Tau(supply.TauInput{People: two, WaterL: 60, Climate: cold, BeddingC: math.NaN()}); c.By != "warmth" || c.Hours > 48 {
		t.Errorf("at 14 below without bedding %+v", c)
	}
	if m := tab.Tau(supply.TauInput{People: two, WaterL: 60, Climate: hot, BeddingC: 5, MedicalH: 6}); m.By != "medical" || m.Hours != 6 {
		t.Errorf("an injury of six hours gives %+v", m)
	}
	if n := tab.Tau(supply.TauInput{Climate: hot}); n.By != "limit" {
		t.Errorf("nobody waits for %+v", n)
	}
}

func TestWalkingOutIsRefusedInHeatAndDarkness(t *testing.T) {
	tab := tables(t)
	mild, hot := supply.Climate{MeanC: 15, MaxC: 22, NightMinC: 8}, supply.Climate{MeanC: 34, MaxC: 42, NightMinC: 26}
	two := []supply.Person{{MassKg: 75}, {MassKg: 70}}
	ok := tab.WalkOut(supply.WalkInput{People: two, Climate: mild, DistanceM: 9000, Minutes: 150, DaylightH: 6, WaterL: 20, RoadSure: true})
	if !ok.InReach || len(ok.Cautions) == 0 {
		t.Errorf("nine mild kilometres: %+v", ok)
	}
	for name, in := range map[string]supply.WalkInput{
		"heat":       {People: two, Climate: hot, DistanceM: 9000, Minutes: 150, DaylightH: 6, WaterL: 20, RoadSure: true},
		"dusk":       {People: two, Climate: mild, DistanceM: 9000, Minutes: 150, DaylightH: 2, WaterL: 20, RoadSure: true},
		"no water":   {People: two, Climate: mild, DistanceM: 9000, Minutes: 150, DaylightH: 6, RoadSure: true},
		"children":   {People: []supply.Person{{AgeY: 6}}, Climate: mild, DistanceM: 9000, Minutes: 150, DaylightH: 6, WaterL: 20},
		"too far":    {People: two, Climate: mild, DistanceM: 400e3, Minutes: math.NaN(), NightOK: true, WaterL: 500},
		"who knows":  {People: two, Climate: mild, DistanceM: math.NaN(), Minutes: math.NaN(), NightOK: true, WaterL: 500},
		"unknown la": {People: two, Climate: mild, DistanceM: 9000, Minutes: 150, DaylightH: math.NaN(), WaterL: 20},
	} {
		w := tab.WalkOut(in)
		if w.InReach || w.Fails == "" {
			t.Errorf("%s: walking out is in reach: %+v", name, w)
		}
		if unknown := strings.Contains(w.Fails, "daylight left is not known"); unknown != math.IsNaN(in.DaylightH) {
			t.Errorf("%s: daylight of %g h is told as %q", name, in.DaylightH, w.Fails)
		}
	}
}

// By hand: 2300 + 160 + 60 + 450 + 60 = 3030 kg (the tank is full in the kerb mass and here); on the rear
// axle 2300 x 0.46 + 160 x 0.5 + 60 x 0.8 + 450 x 1.15 + 60 x 0.6 = 1739.5 kg.
func TestOverLimitsAreFound(t *testing.T) {
	tab := tables(t)
	in := supply.LoadInput{Vehicle: supply.LoadVehicle{KerbKg: 2300, GVMKg: 2900, FrontLimitKg: 1400, RearLimitKg: 1700, RoofLimitKg: 75, KerbFrontShare: 0.54,
		WheelbaseM: 2.8, TrackM: 1.58, CGHeightM: 0.7, KerbFuelL: 80, Fuel: supply.Diesel},
		People: []supply.Person{{MassKg: 80}, {MassKg: 80}}, FuelL: 80, WaterL: 60, OffRoad: true,
		Items: []supply.LoadItem{{Name: "boxes", Kg: 450, Place: "rear", VolumeL: 400}, {Name: "tent", Kg: 60, Place: "roof"}}}
	r := tab.Load(in)
	near(t, "total", r.TotalKg, 3030, 1e-9)
	near(t, "rear axle", r.RearKg, 1739.5, 1e-9)
	keys := map[string]supply.Over{}
	for _, o := range r.Over {
		keys[o.Key] = o
	}
	if _, ok := keys["gvm"]; !ok {
		t.Errorf("%.0f kg of 2900 is not over the limit: %+v", r.TotalKg, r.Over)
	}
	if _, ok := keys["rear_axle"]; !ok {
		t.Errorf("%.0f kg of 1700 on the rear axle is not over the limit", r.RearKg)
	}
	if o, ok := keys["roof"]; !ok || !o.RoofOffRoadOnly {
		t.Errorf("60 kg on a roof of 75 (50 off road) is %+v", o)
	}
	near(t, "volume inside", r.VolumeL, 400, 0)
	if r.DynamicTipDeg >= r.TipDeg {
		t.Errorf("moving it tips at %g, parked at %g degrees", r.DynamicTipDeg, r.TipDeg)
	}
	bare := tab.Load(supply.LoadInput{Vehicle: supply.LoadVehicle{KerbKg: 2000}})
	if len(bare.Unknown) == 0 || len(bare.Over) != 0 || !math.IsNaN(bare.TipDeg) || !math.IsNaN(bare.PayloadLeftKg) {
		t.Errorf("a vehicle without figures gives %+v", bare)
	}
}
