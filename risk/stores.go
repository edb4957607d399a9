package risk

import (
	"fmt"
	"math"
	"time"

	"lastroad/risk/supply"
)

// supplies fills what the trip as a whole uses up.
func (st *study) supplies(j *Judgement) {
	s := &j.Supplies
	s.Defaults = append(append([]Default(nil), st.defaults...), st.shadeDefault())
	s.Fuel = st.fuelSupply()
	s.Water = st.waterSupply()
	if !st.lean {
		s.NoReturns = st.noReturns()
	}
	worst, dry := supply.Band{}, math.Inf(1)
	for i := range j.Legs {
		n := &j.Legs[i].Needs
		if n.StrandedH.High > worst.High {
			worst = supply.Band{Low: n.StrandedH.Low, Central: n.StrandedH.Central, High: n.StrandedH.High}
		}
		if spare := n.WaterHaveL - n.WaterL.Central; spare < dry {
			dry = spare
			s.Cooling = st.cooling(n.WaterHaveL, n.WaterL.Central)
		}
	}
	cl := climate(&st.trip)
	t := st.cat.Supply
	s.FoodHave = st.solo.count[st.itemIndex("food")]
	s.Food = t.Food(supply.FoodInput{People: people(st.trip.Party.People), Climate: cl, Days: st.days(j), StrandedH: worst, HaveKcal: s.FoodHave * t.FoodTable.FieldKcal.Central})
	s.Shelter, s.FirstAid = t.Shelter(cl), t.FirstAid(worst.High)
}

// days is how long the trip lasts: by the plan, or from the hours of driving when there is no start time.
func (st *study) days(j *Judgement) float64 {
	if n := len(j.Supplies.Days); n > 0 {
		return j.Supplies.Days[n-1].End.Sub(j.Supplies.Days[0].Begin).Hours() / 24
	}
	q := st.survey.Samples
	return q[len(q)-1].DriveS / 3600 / st.cat.Figure("drive_day_h").Central
}

// waits fills the wait for help in days, the food it takes, and what walking out would ask.
func (st *study) waits(legs []LegJudgement) {
	n := float64(len(st.trip.Party.People))
	for i := range legs {
		h, s := legs[i].Needs.StrandedH, &legs[i].Needs.Supply
		s.WaitDays = Band{h.Low / 24, h.Central / 24, h.High / 24}
		s.WaitFood = Band{n * s.WaitDays.Low, n * s.WaitDays.Central, n * s.WaitDays.High}
		q := &legs[i].Needs
		if q.WalkOutMin > 0 && q.RoadM >= 100 && !math.IsInf(q.WalkOutMin+q.RoadM, 0) {
			out := st.cat.Supply.WalkOut(supply.WalkInput{People: people(st.trip.Party.People), Climate: climate(&st.trip), DistanceM: q.RoadM, Minutes: q.WalkOutMin,
				DaylightH: math.Max(0, q.DaylightMin) / 60, WaterL: q.WaterHaveL})
			for _, p := range st.trip.Party.People {
				if p.AgeY > 0 && p.AgeY < walkFromY && out.InReach {
					out.InReach, out.Fails = false, "small children cannot walk it"
				}
			}
			s.WalkOut = &out
		}
	}
}

func (st *study) shadeDefault() Default {
	d := Default{Key: "conditions.shade", Title: "shade while waiting", Value: math.NaN(), Text: "none can be made", From: "derived",
		Source: "nothing that gives shade is in the load: the wait is reckoned as in the sun"}
	if st.shade() {
		d.Text, d.Source = "made with the awning or tarpaulin carried", "the load"
	}
	return d
}

func (st *study) fuelSupply() FuelSupply {
	v, t := &st.trip.Party.Vehicle, st.tank
	f := FuelSupply{Rule: st.trip.Policy.ReserveRule}
	for _, r := range st.cat.Supply.ReserveRules() {
		if r.Key == f.Rule {
			f.RuleTitle = r.Title
		}
	}
	for _, d := range st.defaults {
		f.RuleDefault = f.RuleDefault || d.Key == "policy.reserve_rule"
	}
	if t == nil || t.model == nil {
		nan := math.NaN()
		f.OnBoard, f.UnusableL = Band{nan, nan, nan}, nan
		return f
	}
	f.OnBoard = toBand(t.start)
	f.UnusableL = math.Max(0, v.TankL+st.solo.count[st.itemIndex("fuel")]-t.start.Central)
	n := len(st.survey.Samples) - 1
	dist := func(i int) float64 { return st.survey.Samples[i].DistanceM }
	from := 0
	for k := 0; k <= len(t.places); k++ {
		p := FuelPlace{AtM: dist(n), End: true}
		to := n
		if k < len(t.places) {
			to = t.places[k].sample
			p = FuelPlace{AtM: dist(to), Name: t.places[k].name, Declared: t.places[k].declared}
		}
		need := subBand(t.forward[to], t.forward[from])
		p.Need = toBand(need)
		p.Left = Band{t.start.Low - need.High, t.start.Central - need.Central, t.start.High - need.Low}
		f.Places = append(f.Places, p)
		from = to
	}
	return f
}

func (st *study) waterSupply() WaterSupply {
	w := WaterSupply{CarriedL: st.solo.count[st.itemIndex("water")], Taken: st.facts.taken, Possible: st.facts.possible}
	w.Containers, w.LargestL, _ = divided(st.trip.Party.Load)
	return w
}

// findSupplies adds what is short or rests on an assumption.
func (st *study) findSupplies(j *Judgement) {
	add := func(key string, sev Severity, cautions []string, format string, a ...any) {
		j.Findings = append(j.Findings, Finding{Key: key, Severity: sev, Leg: -1, Text: fmt.Sprintf(format, a...), Cautions: cautions})
	}
	st.findLeak(j, add)
	if f := &j.Supplies.Fuel; len(f.Places) > 1 {
		open := 0
		for _, p := range f.Places {
			if !p.End && !p.Declared {
				open++
			}
		}
		if open == 1 {
			add("fuel_open", Note, nil, "Fuel is counted at one place because the region's data name a filling station there. Whether it is open, and sells your fuel, is not known: ask before relying on it.")
		} else if open > 1 {
			add("fuel_open", Note, nil, "Fuel is counted at %d places because the region's data name a filling station there. Whether they are open, and sell your fuel, is not known: ask before relying on them.", open)
		}
	}
	if w := &j.Supplies.Water; len(w.Possible) == 1 {
		add("water_possible", Note, nil, "One water place or spring of the region lies near the line. It is possible only and counted nowhere: it may be dry, shut or foul. Say at a stop how much you take on when you know.")
	} else if len(w.Possible) > 1 {
		add("water_possible", Note, nil, "%d water places and springs of the region lie near the line. They are possible only and counted nowhere: they may be dry, shut or foul. Say at a stop how much you take on when you know.", len(w.Possible))
	}
	c := &j.Supplies.Cooling
	if c.DrinkingShort {
		add("cooling_short", Warning, c.Cautions, "The radiator may want %.1f L more than is carried for it. Taken from the drinking water, it leaves %.0f L: less than the people need.", c.ShortL, c.DrinkingLeftL)
	}
	if have := j.Supplies.FoodHave * st.cat.Supply.FoodTable.FieldKcal.Central; have < j.Supplies.Food.Kcal.Central {
		days := st.cat.Supply.FoodTable.FieldKcal.Central
		add("food_short", Warning, j.Supplies.Food.Cautions, "Food for the planned days and the usual wait for help: %.0f person-days, %.0f are carried.", math.Ceil(j.Supplies.Food.Kcal.Central/days), j.Supplies.FoodHave)
	}
}

// findLeak finds where a leak of the fullest container would end the trip.
func (st *study) findLeak(j *Judgement, add func(key string, sev Severity, cautions []string, format string, a ...any)) {
	carried := j.Supplies.Water.CarriedL
	if !(carried > 0) {
		return
	}
	if _, _, ok := divided(st.trip.Party.Load); !ok {
		// How many equal containers would do: after the loss of one, the rest must reach on every leg.
		n := 2
		for ; n < 20; n++ {
			enough := true
			for i := range j.Legs {
				q := &j.Legs[i].Needs
				enough = enough && (q.WaterHaveL-carried/float64(n) >= q.Supply.LeakKeepL || q.WaterHaveL < q.Supply.LeakKeepL)
			}
			if enough {
				break
			}
		}
		text := fmt.Sprintf("The water must be divided over at least %d equal containers", n)
		if n == 20 {
			text = "Even divided over many containers there is little to lose: carry more"
		}
		add("water_undivided", Warning, nil, "It is not said how the %.0f L of drinking water are divided: if they are in one container, a single leak ends the trip. %s; say how many in the load.", carried, text)
		return
	}
	for i := range j.Legs {
		q := &j.Legs[i].Needs
		c := supply.Containers(full(q.WaterHaveL, j.Supplies.Water.LargestL), q.WaterHaveL, q.Supply.LeakKeepL)
		if c.OK || q.WaterHaveL < q.Supply.LeakKeepL {
			continue // there is enough, or too little even without a leak, which is a finding of its own
		}
		add("water_leak", Stop, nil, "One leaking container ends the trip: if the fullest (%.0f L) leaks on leg %d, %.0f L are left, and crossing it and the usual wait for help ask for %.0f. Divide the water over more containers or carry more.",
			j.Supplies.Water.LargestL, i+1, c.LeftL, c.NeedL)
		return
	}
}

// full is litres left in containers of one size: one opened, the others full.
func full(litres, each float64) []supply.Container {
	var out []supply.Container
	for ; litres > 1e-9 && each > 0; litres -= each {
		out = append(out, supply.Container{HoldsL: math.Min(each, litres)})
	}
	return out
}

// Clock is a time of the plan in the trip's own time.
func (s *Supplies) Clock(unix int64) time.Time {
	return time.Unix(unix, 0).In(time.FixedZone("", s.ZoneS))
}
