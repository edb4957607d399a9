package risk

import (
	"context"
	"math"
	"testing"
	"time"

	"lastroad/geo"
	"lastroad/risk/supply"
)

func judged(t *testing.T, s *geo.Survey, tr Trip) *Judgement {
	t.Helper()
	j, err := Judge(context.Background(), s, tr, cat(t), Options{Quick: true})
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// outAndOn is 60 km of sealed level road in three legs of 20 km, driven at 60 km/h, with a stop at km 40.
func outAndOn(stop geo.Mark) *geo.Survey {
	road := stretch{20, pure(geo.Sealed), 0, 0}
	s := made(road, road, road)
	stop.Kind, stop.DistanceM = geo.MarkStop, 40000
	s.Marks = append(s.Marks, stop)
	return s
}

// A spring at the roadside and a village change no litre; a declared refill does, from the stop on.
func TestWaterIsTakenOnOnlyWhereItIsDeclared(t *testing.T) {
	tr := usualTrip()
	dry := outAndOn(geo.Mark{})
	plain := judged(t, dry, tr)
	wet := outAndOn(geo.Mark{})
	for i := range wet.Samples {
		wet.Samples[i].HelpM[geo.HelpWater], wet.Samples[i].HelpM[geo.HelpSpring] = 10, 10
	}
	wet.Help = append(wet.Help, geo.Place{Kind: geo.HelpSpring, Name: "Spring", OffM: 10, RouteM: 12000})
	j := judged(t, wet, tr)
	for i := range j.Legs {
		if a, b := j.Legs[i].Needs, plain.Legs[i].Needs; a.WaterHaveL != b.WaterHaveL || a.WaterL != b.WaterL {
			t.Errorf("leg %d: a spring at the road changes the water from %g of %v to %g of %v", i+1, b.WaterHaveL, b.WaterL, a.WaterHaveL, a.WaterL)
		}
		if len(j.Legs[i].Needs.WaterRefillsM) == 0 {
			t.Errorf("leg %d does not name the water that is possible", i+1)
		}
	}
	if p := j.Supplies.Water.Possible; len(p) != 1 || p[0].Name != "Spring" || finding(j.Findings, "water_possible") == nil {
		t.Errorf("possible water %v is not named as possible", p)
	}
	taken := judged(t, outAndOn(geo.Mark{Name: "Tap", WaterL: 15}), tr)
	if a, b := taken.Legs[1].Needs.WaterHaveL, plain.Legs[1].Needs.WaterHaveL; a != b {
		t.Errorf("before the stop %g L are there, want %g", a, b)
	}
	if a, b := taken.Legs[2].Needs.WaterHaveL, plain.Legs[2].Needs.WaterHaveL; !(a > b) || a > 60+1e-9 {
		t.Errorf("after 15 L were taken on %g L are there, without %g, carried at the start 60", a, b)
	}
	if a, b := taken.Legs[0].Needs.WaterL.Central, plain.Legs[0].Needs.WaterL.Central; a > b {
		t.Errorf("a refill ahead raises the need at the start from %g to %g", b, a)
	}
}

// The way back is reckoned to the last fuel, not to the start: on the level the way back from the end of 20 km
// takes what the way out takes, so use and return together are twice the leg's use.
func TestTurningBackIsReckonedToTheLastFuel(t *testing.T) {
	tr := usualTrip()
	tr.Policy.ReserveRule = "return"
	n := judged(t, outAndOn(geo.Mark{Name: "Pump", Fuel: true}), tr).Legs[2].Needs
	idle := n.FuelReachL.Central - 2*n.FuelL.Central // waiting for help by a road that is kept, an hour or two
	if idle < 0 || idle > 0.2*n.FuelL.Central {
		t.Errorf("from the pump to the end %g L, with the way back and the wait %g", n.FuelL.Central, n.FuelReachL.Central)
	}
}

// On the level at one pace the way on is as long as the way back in the middle between two supplies, in fuel and
// in water alike; where one of them is had on the way, the point of no return is the later of the two.
func TestPointsOfNoReturnByHand(t *testing.T) {
	at := func(j *Judgement, kind string) (out []float64) {
		for _, r := range j.Supplies.NoReturns {
			if r.Kind == kind {
				out = append(out, r.AtM)
			}
		}
		return out
	}
	check := func(what string, got []float64, want ...float64) {
		t.Helper()
		if len(got) != len(want) {
			t.Errorf("%s at %v, want %v", what, got, want)
			return
		}
		for i := range got {
			// The vehicle is a little lighter on the second half of its way: some ten metres of 60 km.
			if math.Abs(got[i]-want[i]) > 200 {
				t.Errorf("%s at %v, want %v", what, got, want)
			}
		}
	}
	j := judged(t, outAndOn(geo.Mark{}), usualTrip())
	check("fuel", at(j, ReturnFuel), 30000)
	check("water", at(j, ReturnWater), 30000)
	check("both", at(j, ReturnBoth), 30000)
	// Fuel at km 40: it turns at km 20 and km 50, water at km 30; both are nearer ahead from 30 to 40 and from 50.
	j = judged(t, outAndOn(geo.Mark{Name: "Pump", Fuel: true}), usualTrip())
	check("fuel with a pump", at(j, ReturnFuel), 20000, 50000)
	check("water with a pump", at(j, ReturnWater), 30000)
	check("both with a pump", at(j, ReturnBoth), 30000, 50000)
	for _, r := range j.Supplies.NoReturns {
		if r.Kind == ReturnBoth && r.AtM < 40000 && (r.Later != ReturnWater || r.ToM != 40000) {
			t.Errorf("the first point of no return turns last in %s and ends at %g", r.Later, r.ToM)
		}
	}
}

// One leaking container must not end the trip: one container is a stop, many are none, and not saying is a
// warning.
func TestALeakIsFound(t *testing.T) {
	for _, c := range []struct {
		containers float64
		key        string
		severity   Severity
	}{{0, "water_undivided", Warning}, {1, "water_leak", Stop}, {30, "", Note}} {
		tr := usualTrip()
		for i := range tr.Party.Load {
			if tr.Party.Load[i].Item == "water" {
				tr.Party.Load[i].Containers = c.containers
			}
		}
		j := judged(t, desert(), tr)
		for _, key := range []string{"water_undivided", "water_leak"} {
			f := finding(j.Findings, key)
			if (f != nil) != (key == c.key) || f != nil && f.Severity != c.severity {
				t.Errorf("%g containers: finding %s is %v", c.containers, key, f)
			}
		}
	}
}

// Temperatures that are not given come from the climate table by latitude, month and height: the hot desert of
// latitude 25 in January has a mean of 14, a highest of 21 and a lowest of 6 degrees at the sea; 500 m up it is
// 3.25 degrees cooler (6.5 per km).
func TestClimateFillsWhatIsNotGiven(t *testing.T) {
	tr := usualTrip()
	tr.Conditions = Conditions{Start: time.Date(2027, 1, 20, 8, 0, 0, 0, time.UTC)}
	c := func(tr Trip, at Site) Conditions {
		t.Helper()
		f, notes, err := tr.FillAt(cat(t), at)
		if err != nil || len(notes) == 0 {
			t.Fatalf("%v, notes %v", err, notes)
		}
		return f.Conditions
	}
	got := c(tr, Site{Lat: 25, LowM: 500, HighM: 500})
	for _, v := range []struct{ got, want float64 }{{got.DayMeanC, 10.75}, {got.DayMaxC, 17.75}, {got.NightMinC, 2.75}} {
		if math.Abs(v.got-v.want) > 0.0501 { // rounded to a tenth
			t.Errorf("%.2f degrees, want %.2f: %+v", v.got, v.want, got)
		}
	}
	south := c(tr, Site{Lat: -25, LowM: 0, HighM: 0}) // January there is July here
	if south.DayMaxC != 42 {
		t.Errorf("January at 25 south reaches %g, want 42", south.DayMaxC)
	}
	tr.Conditions.Start = time.Time{}
	if hot := c(tr, Site{Lat: 25, LowM: 0, HighM: 0}); hot.DayMaxC != 42 {
		t.Errorf("without a month the day reaches %g, want the hottest month's 42", hot.DayMaxC)
	}
	tr.Conditions.Month = 1
	if jan := c(tr, Site{Lat: 25, LowM: 0, HighM: 0}); jan.DayMaxC != 21 {
		t.Errorf("month 1 reaches %g, want 21", jan.DayMaxC)
	}
	// The trip's judgement marks them, and those that were given are not marked.
	marked := func(tr Trip) (n int) {
		for _, d := range judged(t, outAndOn(geo.Mark{}), tr).Supplies.Defaults {
			if d.Key == "conditions.day_max_c" || d.Key == "conditions.day_mean_c" || d.Key == "conditions.night_min_c" {
				n++
			}
			if d.Text == "" || d.Source == "" || !d.From.Valid() {
				t.Errorf("default %+v lacks value or source", d)
			}
		}
		return n
	}
	if n := marked(tr); n != 3 {
		t.Errorf("%d temperatures are marked as default, want 3", n)
	}
	tr.Conditions.DayMeanC, tr.Conditions.DayMaxC, tr.Conditions.NightMinC = 20, 28, 12
	if n := marked(tr); n != 0 {
		t.Errorf("%d given temperatures are marked as default", n)
	}
	tr.Conditions.Climate = "lunar"
	if _, _, err := tr.FillAt(cat(t), NoSite); err == nil {
		t.Error("a climate that is not in the table is taken")
	}
}

// The contact begins to ask when slow going should be over, and raises the alarm after that, however short the
// agreed wait; so with every check-in. Days follow each other, and each has a time to turn round.
func TestAlarmComesAfterSlowGoing(t *testing.T) {
	grace := int64(cat(t).Supply.SlowGraceH() * 3600)
	for _, wait := range []float64{0.25, 12, 48} {
		tr := usualTrip()
		tr.Policy.AgreedWaitH = wait
		j := judged(t, desert(), tr)
		s := &j.Supplies
		if j.WorryUnix != s.SlowUnix || s.SlowUnix < s.EndUnix || j.OverdueUnix < s.SlowUnix+grace || j.OverdueUnix < s.EndUnix+int64(wait*3600) {
			t.Errorf("wait %g h: end %d, slow %d, worry %d, alarm %d", wait, s.EndUnix, s.SlowUnix, j.WorryUnix, j.OverdueUnix)
		}
		for _, c := range j.CheckIns {
			if c.OverdueUnix < c.Unix+int64(wait*3600) {
				t.Errorf("wait %g h: %s at %d is overdue at %d", wait, c.Title, c.Unix, c.OverdueUnix)
			}
		}
		if last := j.CheckIns[len(j.CheckIns)-1]; last.OverdueUnix != j.OverdueUnix {
			t.Errorf("the last check-in is overdue at %d, the trip at %d", last.OverdueUnix, j.OverdueUnix)
		}
		for i, d := range s.Days {
			if d.TurnBy.Before(d.Begin) || i > 0 && d.Begin.Before(s.Days[i-1].End) {
				t.Errorf("day %d %v to %v, turn by %v", i+1, d.Begin, d.End, d.TurnBy)
			}
		}
		if _, zone := tr.Conditions.Start.Zone(); s.ZoneS != zone || len(s.Days) == 0 {
			t.Errorf("zone %d, %d days", s.ZoneS, len(s.Days))
		}
	}
}

// Burned fuel and drunk water take mass off leg by leg, and a lighter vehicle uses less.
func TestTheVehicleGrowsLighter(t *testing.T) {
	j := judged(t, desert(), usualTrip())
	for i := 1; i < len(j.Legs); i++ {
		a, b := j.Legs[i-1].Needs, j.Legs[i].Needs
		drop := a.Supply.Load.TotalKg - b.Supply.Load.TotalKg
		want := a.FuelL.Central*cat(t).Supply.FuelKg(supply.Diesel) + a.WaterHaveL - b.WaterHaveL
		if math.Abs(drop-want) > 1e-6 || drop <= 0 {
			t.Errorf("leg %d takes %g kg off, burned and drunk are %g", i, drop, want)
		}
	}
}
