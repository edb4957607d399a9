package supply_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"lastroad/geo"
	"lastroad/risk/supply"
)

func drawPeople(t *rapid.T) []supply.Person {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) supply.Person {
		p := supply.Person{AgeY: rapid.Float64Range(0.2, 80).Draw(t, "age"), Acclimatised: rapid.Bool().Draw(t, "acclimatised")}
		if rapid.Bool().Draw(t, "weighed") {
			p.MassKg = rapid.Float64Range(4, 130).Draw(t, "mass")
		}
		return p
	}), 1, 6).Draw(t, "people")
}

func drawClimate(t *rapid.T) supply.Climate {
	mean := rapid.Float64Range(-25, 42).Draw(t, "mean")
	return supply.Climate{MeanC: mean, MaxC: mean + rapid.Float64Range(0, 14).Draw(t, "above"),
		NightMinC: mean - rapid.Float64Range(0, 14).Draw(t, "below"), Humid: rapid.Bool().Draw(t, "humid")}
}

func hotter(c supply.Climate, by float64) supply.Climate {
	c.MeanC, c.MaxC, c.NightMinC = c.MeanC+by, c.MaxC+by, c.NightMinC+by
	return c
}

func drawBand(t *rapid.T, name string, top float64) supply.Band {
	lo := rapid.Float64Range(0, top).Draw(t, name+" low")
	mid := lo + rapid.Float64Range(0, top).Draw(t, name+" mid")
	return supply.Band{Low: lo, Central: mid, High: mid + rapid.Float64Range(0, top).Draw(t, name+" high")}
}

// slack is the rounding that a sum of some dozen products may show.
func slack(v float64) float64 { return 1e-9 * (1 + math.Abs(v)) }

func notLess(t *rapid.T, what string, more, less float64) {
	if !(more >= less-slack(less)) {
		t.Fatalf("%s falls from %g to %g", what, less, more)
	}
}

func bandNotLess(t *rapid.T, what string, more, less supply.Band) {
	notLess(t, what+" (low)", more.Low, less.Low)
	notLess(t, what+" (central)", more.Central, less.Central)
	notLess(t, what+" (high)", more.High, less.High)
	if !more.Ordered() {
		t.Fatalf("%s has a band out of order: %v", what, more)
	}
}

// Hotter, longer, more work, a longer wait, heavier or more people never lower the water.
func TestWaterNeverFalls(t *testing.T) {
	tab := tables(t)
	rapid.Check(t, func(t *rapid.T) {
		in := supply.WaterInput{People: drawPeople(t), Climate: drawClimate(t),
			ElapsedH: rapid.Float64Range(0, 60).Draw(t, "elapsed"), DriveH: rapid.Float64Range(0, 20).Draw(t, "drive"),
			DigH: rapid.Float64Range(0, 8).Draw(t, "dig"), StrandedH: drawBand(t, "stranded", 80), NoShade: rapid.Bool().Draw(t, "no shade")}
		base := tab.Water(in)
		more := in
		switch rapid.IntRange(0, 7).Draw(t, "change") {
		case 0:
			more.Climate = hotter(in.Climate, rapid.Float64Range(0, 12).Draw(t, "hotter"))
		case 1:
			more.ElapsedH += rapid.Float64Range(0, 30).Draw(t, "longer")
		case 2:
			more.DriveH += rapid.Float64Range(0, 10).Draw(t, "more driving")
		case 3:
			more.DigH += rapid.Float64Range(0, 10).Draw(t, "more digging")
		case 4:
			more.StrandedH = more.StrandedH.Add(drawBand(t, "longer wait", 30))
		case 5:
			more.NoShade = true
		case 6:
			more.People = append(append([]supply.Person(nil), in.People...), supply.Person{AgeY: 5})
		case 7:
			more.People = append([]supply.Person(nil), in.People...)
			kg, _ := tab.Mass(more.People[0])
			more.People[0].MassKg = kg + rapid.Float64Range(0, 40).Draw(t, "heavier")
		}
		got := tab.Water(more)
		bandNotLess(t, "travel water", got.Travel, base.Travel)
		bandNotLess(t, "waiting water", got.Stranded, base.Stranded)
		bandNotLess(t, "water to carry", got.Carry, base.Carry)
		notLess(t, "design water", got.Design, base.Design)
		if got.Design < got.Travel.Central || len(got.Cautions) == 0 {
			t.Fatalf("design water %g is below the travel of %g, or carries no caution", got.Design, got.Travel.Central)
		}
	})
}

// Two parts of a leg drink what the leg drinks.
func TestTravelWaterAddsUpOverACut(t *testing.T) {
	tab := tables(t)
	rapid.Check(t, func(t *rapid.T) {
		people, climate := drawPeople(t), drawClimate(t)
		drive, dig := rapid.Float64Range(0, 12).Draw(t, "drive"), rapid.Float64Range(0, 4).Draw(t, "dig")
		elapsed := drive + dig + rapid.Float64Range(0, 24).Draw(t, "rest")
		cut := rapid.Float64Range(0, 1).Draw(t, "cut")
		part := func(k float64) supply.Band {
			return tab.Water(supply.WaterInput{People: people, Climate: climate, ElapsedH: elapsed * k, DriveH: drive * k, DigH: dig * k}).Travel
		}
		whole, sum := part(1), part(cut).Add(part(1-cut))
		for _, d := range []float64{whole.Low - sum.Low, whole.Central - sum.Central, whole.High - sum.High} {
			if math.Abs(d) > slack(whole.High) {
				t.Fatalf("the parts drink %v, the whole %v", sum, whole)
			}
		}
		// The plan along the trip does not see the cut either.
		wait := rapid.Float64Range(0, 50).Draw(t, "wait")
		one := supply.WaterAlong([]supply.LegWater{{Travel: 5, Waiting: 9}, {Travel: whole.Central, Waiting: wait, RefillAtEnd: true}, {Travel: 3, Waiting: 100}})
		two := supply.WaterAlong([]supply.LegWater{{Travel: 5, Waiting: 9}, {Travel: whole.Central * cut, Waiting: wait},
			{Travel: whole.Central * (1 - cut), Waiting: wait, RefillAtEnd: true}, {Travel: 3, Waiting: 100}})
		if math.Abs(one[0]-two[0]) > slack(one[0]) || math.Abs(one[1]-two[1]) > slack(one[1]) || one[2] != two[3] {
			t.Fatalf("entries %v become %v by a cut", one, two)
		}
	})
}

func TestHourlyNeverFallsWithHeatOrWork(t *testing.T) {
	tab := tables(t)
	rapid.Check(t, func(t *rapid.T) {
		w := rapid.Float64Range(10, 40).Draw(t, "wbgt")
		work := supply.Work(rapid.IntRange(0, 2).Draw(t, "work"))
		sun := supply.Exposure(rapid.IntRange(0, 2).Draw(t, "sun"))
		fit := rapid.Bool().Draw(t, "acclimatised")
		a := tab.Hourly(w, work, sun, fit)
		for _, b := range []supply.HourlyWater{
			tab.Hourly(w+rapid.Float64Range(0, 5).Draw(t, "hotter"), work, sun, fit),
			tab.Hourly(w, work+1, sun, fit), tab.Hourly(w, work, supply.FullSun, fit), tab.Hourly(w, work, sun, false),
		} {
			bandNotLess(t, "litres per hour", b.LitresPerHour, a.LitresPerHour)
			if b.LitresPerHour.High > 1.42 {
				t.Fatalf("%g L/h is above the cap", b.LitresPerHour.High)
			}
		}
		if b := tab.Hourly(w+1, work, sun, fit); b.WorkMin > a.WorkMin || b.Category < a.Category {
			t.Fatalf("more work is allowed when hotter: %v after %v", b, a)
		}
	})
}

func TestSharesNeverFallWithMassOrAge(t *testing.T) {
	tab := tables(t)
	rapid.Check(t, func(t *rapid.T) {
		p := supply.Person{AgeY: rapid.Float64Range(0.1, 30).Draw(t, "age"), MassKg: rapid.Float64Range(3, 150).Draw(t, "mass")}
		q := p
		q.MassKg += rapid.Float64Range(0, 50).Draw(t, "heavier")
		notLess(t, "share by mass", tab.Share(q), tab.Share(p))
		q = p
		q.AgeY += rapid.Float64Range(0, 50).Draw(t, "older")
		notLess(t, "share by age", tab.Share(q), tab.Share(p))
		if s := tab.Share(p); !(s > 0.3 && s < 2) {
			t.Fatalf("share %g of %v is absurd", s, p)
		}
	})
}

func drawSegment(t *rapid.T, m *supply.FuelModel) supply.Segment {
	g := geo.Ground(rapid.IntRange(1, int(geo.NumGrounds)-1).Draw(t, "ground"))
	return supply.Segment{LengthM: rapid.Float64Range(1, 5000).Draw(t, "length"), Seconds: rapid.Float64Range(1, 2000).Draw(t, "seconds"),
		Grade: rapid.Float64Range(-0.5, 0.5).Draw(t, "grade"), HeightM: rapid.Float64Range(-100, 5000).Draw(t, "height"),
		MassKg: rapid.Float64Range(1000, 9000).Draw(t, "mass"), Ground: m.OnGround(geo.Pure(g, "drawn"))}
}

// Heavier never needs less on any stretch; steeper never less up, nor up and down again; longer never less.
func TestFuelNeverFalls(t *testing.T) {
	m := model(t, wagon)
	rapid.Check(t, func(t *rapid.T) {
		s := drawSegment(t, m)
		heavier := s
		heavier.MassKg += rapid.Float64Range(0, 2000).Draw(t, "more mass")
		bandNotLess(t, "fuel by mass", m.Use(heavier), m.Use(s))
		s.Grade = math.Abs(s.Grade)
		steeper := s
		steeper.Grade += rapid.Float64Range(0, 0.5).Draw(t, "steeper")
		// The path over ground grows with the slope; at the same speed its time does too.
		steeper.Seconds *= math.Sqrt(1+steeper.Grade*steeper.Grade) / math.Sqrt(1+s.Grade*s.Grade)
		bandNotLess(t, "fuel by grade", m.Use(steeper), m.Use(s))
		bandNotLess(t, "fuel up and down", m.Use(steeper).Add(m.Use(steeper.Back())), m.Use(s).Add(m.Use(s.Back())))
		longer := s
		k := 1 + rapid.Float64Range(0, 1).Draw(t, "longer")
		longer.LengthM, longer.Seconds = s.LengthM*k, s.Seconds*k
		bandNotLess(t, "fuel by length", m.Use(longer), m.Use(s))
	})
}

// A stretch cut in two uses what the whole uses.
func TestFuelAddsUpOverACut(t *testing.T) {
	m := model(t, wagon)
	rapid.Check(t, func(t *rapid.T) {
		s := drawSegment(t, m)
		k := rapid.Float64Range(0.01, 0.99).Draw(t, "cut")
		a, b := s, s
		a.LengthM, a.Seconds, b.LengthM, b.Seconds = s.LengthM*k, s.Seconds*k, s.LengthM*(1-k), s.Seconds*(1-k)
		whole, sum := m.Use(s), m.Use(a).Add(m.Use(b))
		for _, d := range []float64{whole.Low - sum.Low, whole.Central - sum.Central, whole.High - sum.High} {
			if math.Abs(d) > slack(whole.High) {
				t.Fatalf("the parts use %v, the whole %v", sum, whole)
			}
		}
		fwd, back := m.Along([]supply.Segment{a, b})
		if math.Abs(fwd[2].Central-whole.Central) > slack(whole.Central) || math.Abs(back[2].Central-m.Use(s.Back()).Central) > slack(whole.Central) {
			t.Fatalf("the running sums end at %v and %v", fwd[2], back[2])
		}
	})
}

// A vehicle that grows lighter never uses more than one that does not, filling up makes it heavy again, and one
// that loses nothing uses the same.
func TestLighterNeverUsesMore(t *testing.T) {
	tab, m := tables(t), model(t, wagon)
	rapid.Check(t, func(t *rapid.T) {
		segs := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) supply.Segment { return drawSegment(t, m) }), 1, 20).Draw(t, "segments")
		other, full := make([]float64, len(segs)), make([]bool, len(segs))
		for i := range segs {
			other[i] = rapid.Float64Range(0, 100).Draw(t, "less kg")
			full[i] = rapid.Bool().Draw(t, "filled")
		}
		n := len(segs)
		fwd, back := m.Along(segs)
		same, _ := m.AlongLighter(segs, supply.Lighter{})
		if same[n] != fwd[n] {
			t.Fatalf("a vehicle that loses nothing uses %v, want %v", same[n], fwd[n])
		}
		less := supply.Lighter{FuelKgPerL: tab.FuelKg(supply.Diesel), OtherKg: other}
		light, lightBack := m.AlongLighter(segs, less)
		bandNotLess(t, "fuel by mass out", fwd[n], light[n])
		bandNotLess(t, "fuel by mass back", back[n], lightBack[n])
		less.FullAt = full
		filled, _ := m.AlongLighter(segs, less)
		bandNotLess(t, "fuel by filling up", filled[n], light[n])
	})
}

// Rules only ever add, and a larger use never gives a smaller need.
func TestFuelPlanNeverFalls(t *testing.T) {
	tab, m := tables(t), model(t, wagon)
	rapid.Check(t, func(t *rapid.T) {
		rules := tab.ReserveRules()
		in := supply.FuelInput{Use: drawBand(t, "use", 100), DistanceM: rapid.Float64Range(1, 9e5).Draw(t, "distance"), BackL: rapid.Float64Range(0, 100).Draw(t, "back"),
			Rule: rules[rapid.IntRange(0, len(rules)-1).Draw(t, "rule")].Key, DetourM: rapid.Float64Range(0, 5e4).Draw(t, "detour"), StrandedH: drawBand(t, "wait", 60)}
		a := tab.FuelPlan(m, in)
		more := in
		switch rapid.IntRange(0, 3).Draw(t, "change") {
		case 0:
			more.Use = in.Use.Add(drawBand(t, "more use", 30))
		case 1:
			more.DetourM += 1000
		case 2:
			more.StrandedH = in.StrandedH.Add(drawBand(t, "longer wait", 30))
		case 3:
			more.BackL += 10
		}
		bandNotLess(t, "fuel to carry", tab.FuelPlan(m, more).Total, a.Total)
		bandNotLess(t, "fuel to carry against use", a.Total, in.Use)
		if a.Rule != in.Rule {
			t.Fatalf("rule %q was applied for %q", a.Rule, in.Rule)
		}
	})
}

// More water, warmer bedding, fewer people or cooler days never shorten the wait that is possible.
func TestTauNeverFalls(t *testing.T) {
	tab := tables(t)
	rapid.Check(t, func(t *rapid.T) {
		in := supply.TauInput{People: drawPeople(t), WaterL: rapid.Float64Range(0, 300).Draw(t, "water"), Climate: drawClimate(t), BeddingC: rapid.Float64Range(-25, 15).Draw(t, "bedding")}
		a := tab.Tau(in)
		better := in
		switch rapid.IntRange(0, 3).Draw(t, "change") {
		case 0:
			better.WaterL += rapid.Float64Range(0, 100).Draw(t, "more water")
		case 1:
			better.BeddingC -= rapid.Float64Range(0, 15).Draw(t, "warmer bedding")
		case 2:
			if len(in.People) == 1 {
				return
			}
			better.People = in.People[1:]
		case 3:
			better.Climate.MaxC -= rapid.Float64Range(0, 15).Draw(t, "cooler")
		}
		notLess(t, "time that can be waited", tab.Tau(better).Hours, a.Hours)
		if !(a.Hours > 0) {
			t.Fatalf("tau is %v", a)
		}
	})
}

// A way more to call never lowers the chance of help in time; distance never raises it.
func TestHelpInTimeNeverFallsWithAWayToCall(t *testing.T) {
	tab := tables(t)
	rapid.Check(t, func(t *rapid.T) {
		c := supply.Comms{Messenger: rapid.Bool().Draw(t, "messenger"), Phone: rapid.Bool().Draw(t, "phone"), HF: rapid.Bool().Draw(t, "hf"),
			Beacon: rapid.Bool().Draw(t, "beacon"), Contact: rapid.Bool().Draw(t, "contact"), OverdueH: rapid.Float64Range(0, 200).Draw(t, "overdue"),
			PhoneAfterH: rapid.Float64Range(0, 30).Draw(t, "walk to a phone")}
		s := supply.Site{TrackKm: rapid.Float64Range(0, 300).Draw(t, "track"), SettlementKm: rapid.Float64Range(0, 600).Draw(t, "road")}
		tau := rapid.Float64Range(0, 400).Draw(t, "tau")
		a := tab.Help(tab.Notice(c), s)
		more := c
		switch rapid.IntRange(0, 4).Draw(t, "way") {
		case 0:
			more.Beacon = true
		case 1:
			more.Messenger = true
		case 2:
			more.Phone = true
		case 3:
			more.HF = true
		case 4:
			more.Contact = true
		}
		notLess(t, "chance of help in time by a way to call", tab.Help(tab.Notice(more), s).InTime(tau), a.InTime(tau))
		far := s
		far.TrackKm += rapid.Float64Range(0, 100).Draw(t, "further")
		notLess(t, "chance of help in time against distance", a.InTime(tau), tab.Help(tab.Notice(c), far).InTime(tau))
		notLess(t, "chance of help in time by supplies", a.InTime(tau+5), a.InTime(tau))
		if st := a.Stranded(); !st.Ordered() {
			t.Fatalf("hours stranded %v", st)
		}
	})
}

func TestFoodNeverFalls(t *testing.T) {
	tab := tables(t)
	rapid.Check(t, func(t *rapid.T) {
		in := supply.FoodInput{People: drawPeople(t), Climate: drawClimate(t), Days: rapid.Float64Range(0, 30).Draw(t, "days"), StrandedH: drawBand(t, "wait", 90)}
		a := tab.Food(in)
		colder, longer := in, in
		colder.Climate = hotter(in.Climate, -rapid.Float64Range(0, 20).Draw(t, "colder"))
		longer.Days++
		bandNotLess(t, "food by cold", tab.Food(colder).Kcal, a.Kcal)
		bandNotLess(t, "food by days", tab.Food(longer).Kcal, a.Kcal)
		if !a.Kg.Ordered() {
			t.Fatalf("mass of the food %v", a.Kg)
		}
	})
}

// A mass on the roof raises the centre of gravity and never widens the tip angle; the axles always
// carry the whole; limits once broken stay broken.
func TestLoadProperties(t *testing.T) {
	tab := tables(t)
	rapid.Check(t, func(t *rapid.T) {
		in := supply.LoadInput{
			Vehicle: supply.LoadVehicle{KerbKg: 2300, GVMKg: 3000, FrontLimitKg: 1400, RearLimitKg: 1800, RoofLimitKg: 80, KerbFrontShare: 0.54,
				WheelbaseM: 2.8, TrackM: 1.58, CGHeightM: 0.7, KerbFuelL: 80, Fuel: supply.Diesel},
			People: drawPeople(t), FuelL: rapid.Float64Range(0, 90).Draw(t, "fuel"), CansL: rapid.Float64Range(0, 60).Draw(t, "cans"),
			WaterL: rapid.Float64Range(0, 90).Draw(t, "water"), OffRoad: rapid.Bool().Draw(t, "off road"),
		}
		places := []string{"cab", "floor", "rear", "roof", "front", "ball"}
		for range rapid.IntRange(0, 6).Draw(t, "items") {
			in.Items = append(in.Items, supply.LoadItem{Kg: rapid.Float64Range(0, 120).Draw(t, "kg"), Place: rapid.SampledFrom(places).Draw(t, "place")})
		}
		a := tab.Load(in)
		if math.Abs(a.FrontKg+a.RearKg-a.TotalKg) > slack(a.TotalKg) {
			t.Fatalf("axles carry %g + %g of %g kg", a.FrontKg, a.RearKg, a.TotalKg)
		}
		more := in
		more.Items = append(append([]supply.LoadItem(nil), in.Items...), supply.LoadItem{Kg: rapid.Float64Range(0, 150).Draw(t, "roof load"), Place: "roof"})
		b := tab.Load(more)
		notLess(t, "height of the centre of gravity by roof load", b.CGHeightM, a.CGHeightM)
		notLess(t, "tip angle against roof load", a.TipDeg, b.TipDeg)
		if len(b.Over) < len(a.Over) && a.FrontKg <= 1400 {
			t.Fatalf("a heavier roof mends limits: %v after %v", b.Over, a.Over)
		}
		// Burning all the fuel and drinking all the water takes just their mass off.
		dry := tab.LoadAlong(in, []float64{0, in.FuelL + in.CansL}, []float64{0, in.WaterL})
		if math.Abs(dry[0].TotalKg-a.TotalKg) > slack(a.TotalKg) || math.Abs(a.TotalKg-a.FuelKg-a.WaterKg-dry[1].TotalKg) > slack(a.TotalKg) {
			t.Fatalf("used up, %g kg become %g kg", a.TotalKg, dry[1].TotalKg)
		}
	})
}

// Going on and back cost the same at the point of no return, and it lies between its places.
func TestPointOfNoReturnProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 60).Draw(t, "samples")
		dist, fwd, back := make([]float64, n), make([]float64, n), make([]float64, n)
		for i := 1; i < n; i++ {
			dist[i] = dist[i-1] + rapid.Float64Range(10, 500).Draw(t, "step")
			fwd[i] = fwd[i-1] + rapid.Float64Range(0.01, 2).Draw(t, "forward")
			back[i] = back[i-1] + rapid.Float64Range(0.01, 2).Draw(t, "back")
		}
		places := rapid.SliceOfN(rapid.Float64Range(0, dist[n-1]), 0, 3).Draw(t, "places")
		end := 0.0
		for _, r := range supply.PointsOfNoReturn(dist, fwd, back, places, rapid.Float64Range(0, 60).Draw(t, "carried")) {
			if r.FromM != end || r.AtM < r.FromM || r.AtM > r.ToM || r.LastReturnM < r.FromM || r.LastReturnM > r.ToM {
				t.Fatalf("%+v does not follow %g or is out of order", r, end)
			}
			end = r.ToM
			// Within the slope of the sums over the millimetre of the bisection.
			if math.Abs(r.OnL-r.BackL) > 1e-3 {
				t.Fatalf("at %g going on costs %g, back %g", r.AtM, r.OnL, r.BackL)
			}
		}
		if end != dist[n-1] {
			t.Fatalf("the stretches end at %g of %g", end, dist[n-1])
		}
	})
}

// By hand: 100 km at 10 L up and 4 L down again, fuel at both ends; going on costs 10 (1 - x), back 4 x,
// equal at x = 10/14.
func TestPointOfNoReturnByHand(t *testing.T) {
	r := supply.PointsOfNoReturn([]float64{0, 100e3}, []float64{0, 10}, []float64{0, 4}, nil, 7)
	if len(r) != 1 {
		t.Fatalf("%d stretches, want 1", len(r))
	}
	near(t, "going on becomes nearer at", r[0].AtM, 100e3*10/14, 0.01)
	near(t, "the last return", r[0].LastReturnM, 50e3, 0.01) // 7 L pay for x out at 10 and back at 4: x = 0.5
	if r[0].Reaches {
		t.Error("7 L are said to reach over a stretch of 10 L")
	}
	if got := supply.PointsOfNoReturn([]float64{0}, []float64{0}, []float64{0}, nil, 7); got != nil {
		t.Errorf("a single place gives %v", got)
	}
}

func TestLegTimesAddUpOverACut(t *testing.T) {
	tab := tables(t)
	rapid.Check(t, func(t *rapid.T) {
		people := drawPeople(t)
		leg := supply.TimeLeg{MoveS: rapid.Float64Range(0, 9e4).Draw(t, "seconds"), Recoveries: rapid.Float64Range(0, 2).Draw(t, "recoveries"), RecoveryMin: 40}
		k := rapid.Float64Range(0, 1).Draw(t, "cut")
		a, b := leg, leg
		a.MoveS, b.MoveS, a.Recoveries, b.Recoveries = leg.MoveS*k, leg.MoveS*(1-k), leg.Recoveries*k, leg.Recoveries*(1-k)
		whole, sum := tab.LegTime(leg, people), tab.LegTime(a, people).Total.Add(tab.LegTime(b, people).Total)
		if math.Abs(whole.Total.Central-sum.Central) > slack(whole.Total.Central) || !whole.Total.Ordered() {
			t.Fatalf("the parts take %v, the whole %v", sum, whole.Total)
		}
	})
}
