package report

import (
	"bufio"
	"fmt"
	"math"
	"strings"
	"time"

	"lastroad/risk"
	"lastroad/risk/supply"
)

// both writes a time of the plan in the trip's own time and in UTC.
func both(s *risk.Supplies, unix int64) string { return supply.LocalAndUTC(s.Clock(unix)) }

// supplies writes what the trip as a whole uses up and has to plan by.
func supplies(b *bufio.Writer, j *risk.Judgement) {
	s := &j.Supplies
	days(b, s)
	if len(j.CheckIns) > 0 {
		b.WriteString("\nTo be heard, in the trip's own time and in UTC\n")
		for _, c := range j.CheckIns {
			fmt.Fprintf(b, "  %s  %s\n", both(s, c.Unix), c.Title)
			fmt.Fprintf(b, "      nothing heard: overdue from %s\n", both(s, c.OverdueUnix))
		}
		fmt.Fprintf(b, "  %s  planned end\n  %s  end by slow going: begin to ask\n  %s  raise the alarm\n", both(s, s.EndUnix), both(s, j.WorryUnix), both(s, j.OverdueUnix))
	}
	noReturns(b, s.NoReturns)
	fuelText(b, &s.Fuel)
	waterText(b, &s.Water)
	f := &s.Food
	wrap(b, "Food: ", "  ", fmt.Sprintf("%s kcal a day while travelling, %s waiting; for the planned days and the wait %s kcal (%s to %s), about %s kg packed; carried %s person-days; after the planned days they last %s days of waiting. %s",
		number(f.KcalPerDay.Central, 0), number(f.RestPerDay.Central, 0), number(f.Kcal.Central, 0), number(f.Kcal.Low, 0), number(f.Kcal.High, 0), number(f.Kg.Central, 0), number(s.FoodHave, 0), number(f.DaysCarried, 1), strings.Join(f.Cautions, " ")))
	var shelter, aid []string
	for _, k := range s.Shelter {
		shelter = append(shelter, k.Item+" ("+k.Why+")")
	}
	for _, k := range s.FirstAid {
		aid = append(aid, k.Title)
	}
	if len(shelter) > 0 {
		wrap(b, "Shelter: ", "  ", strings.Join(shelter, "; "))
	}
	if len(aid) > 0 {
		wrap(b, "First aid for the longest wait: ", "  ", strings.Join(aid, "; ")+". "+supply.FirstAidCaution)
	}
	c := &s.Cooling
	guess := ""
	if c.Defaulted {
		guess = " (estimated)"
	}
	wrap(b, "Cooling: ", "  ", fmt.Sprintf("filling %s L%s; to carry apart %s L (%s to %s), a boil-over loses %s L (%s to %s); %s L are carried for it, %s L short; taken from the drinking water, that leaves %s L. Wait %s min (%s to %s) before opening; the mix boils at %s degrees under the cap, %s open. %s %s",
		litres(c.FillingL), guess, litres(c.CarryL.Central), litres(c.CarryL.Low), litres(c.CarryL.High), litres(c.BoilOverL.Central), litres(c.BoilOverL.Low), litres(c.BoilOverL.High),
		litres(c.HaveL), litres(c.ShortL), litres(c.DrinkingLeftL), number(c.WaitMin.Central, 0), number(c.WaitMin.Low, 0), number(c.WaitMin.High, 0), number(c.BoilsC, 0), number(c.OpenBoilsC, 0),
		strings.Join(c.Cautions, " "), strings.Join(c.Reminders, " ")))
	defaults(b, s.Defaults)
}

func days(b *bufio.Writer, s *risk.Supplies) {
	if len(s.Days) == 0 {
		return
	}
	b.WriteString("\nPlan by days\n")
	for i, d := range s.Days {
		camp := "the end"
		if d.Camp != "" {
			camp = "night at " + d.Camp
			if d.Chosen {
				camp += " (your stop)"
			}
		}
		sun := "no sunrise or sunset known"
		if d.HasSun {
			sun = "sun " + d.Sunrise.Format("15:04") + " to " + d.Sunset.Format("15:04")
		}
		dark := ""
		if d.DarkMin > 0 {
			dark = ", " + Hours(d.DarkMin, false) + " of it in the dark"
		}
		note := ""
		if d.Note != "" {
			note = ". " + d.Note
		}
		wrap(b, fmt.Sprintf("  day %d: ", i+1), "    ", fmt.Sprintf("%s, km %s to %s, there %s; driving %s%s, with stops %s; turn round by %s to be back where the day began; %s; %s%s",
			supply.LocalAndUTC(d.Begin), number(d.FromM/1000, 0), number(d.ToM/1000, 0), supply.LocalAndUTC(d.End), Hours(d.DriveMin, false), dark, Hours(d.TotalMin, false), supply.LocalAndUTC(d.TurnBy), sun, camp, note))
	}
}

// NoReturn is a point of no return in words.
func NoReturn(r risk.NoReturn) string {
	km := func(m float64) string { return number(m/1000, 1) }
	carried := func() string {
		if math.IsNaN(r.LastReturnM) {
			return ""
		}
		t := fmt.Sprintf("; what is carried takes the party back from up to km %s", km(r.LastReturnM))
		if !r.Reaches {
			t += ", and does not reach the next"
		}
		return t
	}
	switch r.Kind {
	case risk.ReturnBoth:
		return fmt.Sprintf("km %s: point of no return: from here to km %s going on is nearer in fuel and in water than going back (%s turns last, %s L either way)%s", km(r.AtM), km(r.ToM), r.Later, litres(r.On), carried())
	case risk.ReturnTime:
		return fmt.Sprintf("km %s: point of no easy return: the maintained road ahead (km %s) is nearer in driving time than the one behind (km %s), %s either way", km(r.AtM), km(r.ToM), km(r.FromM), Hours(r.On/60, false))
	}
	return fmt.Sprintf("km %s: in %s: the next supply (km %s) is nearer than the last (km %s), %s L either way%s", km(r.AtM), r.Kind, km(r.ToM), km(r.FromM), litres(r.On), carried())
}

func noReturns(b *bufio.Writer, rs []risk.NoReturn) {
	if len(rs) == 0 {
		return
	}
	b.WriteString("\nPoints of no return (start and end of the route count as supplied)\n")
	for _, r := range rs {
		wrap(b, "  ", "    ", NoReturn(r))
	}
}

func fuelText(b *bufio.Writer, f *risk.FuelSupply) {
	rule := f.RuleTitle
	if f.RuleDefault {
		rule += " (default)"
	}
	fmt.Fprintf(b, "\nFuel: %s L can be burned (%s to %s), %s L cannot; spare: %s\n", litres(f.OnBoard.Central), litres(f.OnBoard.Low), litres(f.OnBoard.High), litres(f.UnusableL), rule)
	for _, p := range f.Places {
		what := p.Name
		switch {
		case p.End:
			what = "end of the route"
		case p.Declared:
			what += " (filled up here, as you say)"
		default:
			what = strings.TrimSpace(what + " (filling station of the region, whether it is open is not known)")
		}
		left := fmt.Sprintf("%s L left on arrival (%s to %s)", litres(p.Left.Central), litres(p.Left.Low), litres(p.Left.High))
		if p.Left.Central < 0 {
			left = fmt.Sprintf("%s L short (left %s to %s)", litres(-p.Left.Central), litres(p.Left.Low), litres(p.Left.High))
		}
		wrap(b, "  ", "    ", fmt.Sprintf("km %s %s: %s L to here, %s", number(p.AtM/1000, 1), what, litres(p.Need.Central), left))
	}
}

func waterText(b *bufio.Writer, w *risk.WaterSupply) {
	t := fmt.Sprintf("%s L carried", litres(w.CarriedL))
	if w.Containers > 0 {
		t += fmt.Sprintf(" in %s containers, the fullest %s L", number(w.Containers, 0), litres(w.LargestL))
	} else if w.CarriedL > 0 {
		t += ", not said in how many containers"
	}
	for _, k := range w.Taken {
		t += fmt.Sprintf("; %s L taken on at km %s %s, as you say", litres(k.L), number(k.AtM/1000, 1), k.Name)
	}
	wrap(b, "Water: ", "  ", t)
	var maybe []string
	for _, p := range w.Possible {
		maybe = append(maybe, strings.TrimSpace(fmt.Sprintf("km %s %s", number(p.RouteM/1000, 1), p.Name)))
	}
	if len(maybe) > 0 {
		wrap(b, "  possible only, never counted: ", "    ", strings.Join(maybe, ", "))
	}
}

func defaults(b *bufio.Writer, ds []risk.Default) {
	if len(ds) == 0 {
		return
	}
	var own, second []string
	for _, d := range ds {
		t := d.Title + " " + d.Text
		if strings.HasPrefix(d.Key, "partner.") {
			second = append(second, t)
		} else {
			own = append(own, t)
		}
	}
	b.WriteString("\n")
	wrap(b, "Default, taken for want of your own: ", "  ", strings.Join(own, "; "))
	if len(second) > 0 {
		wrap(b, "Default of the second vehicle: ", "  ", strings.Join(second, "; "))
	}
}

// legTime is the clock of a leg in words.
func legTime(s *risk.Supplies, n *risk.Needs) string {
	q := &n.Supply
	t := fmt.Sprintf("driving %s (%s to %s), breaks %s, recoveries expected %s (%s of them, up to %s), tyres %s; together %s (%s to %s)",
		Hours(n.MoveMin.Central, false), Hours(n.MoveMin.Low, false), Hours(n.MoveMin.High, false), Hours(q.StopsMin.Central, false), Hours(q.RecoveryMin.Central, false), number(q.Recoveries, 2), Hours(q.RecoveryMin.High, false),
		Hours(q.AirMin.Central, false), Hours(q.TotalMin.Central, false), Hours(q.TotalMin.Low, false), Hours(q.TotalMin.High, false))
	if n.ArriveUnix == 0 {
		return t
	}
	at := func(unix int64) string { return s.Clock(unix).Format("Mon 15:04") }
	utc := func(unix int64) string { return time.Unix(unix, 0).UTC().Format("15:04") }
	t += fmt.Sprintf("; there %s (%s UTC), slow %s (%s UTC)", at(n.ArriveUnix), utc(n.ArriveUnix), at(q.SlowUnix), utc(q.SlowUnix))
	if q.TurnByUnix != 0 {
		t += fmt.Sprintf("; turn round by %s (%s UTC)", at(q.TurnByUnix), utc(q.TurnByUnix))
	}
	switch {
	case math.IsNaN(n.DaylightMin):
	case n.DaylightMin < 0:
		t += fmt.Sprintf("; ends %s after dark", Hours(-n.DaylightMin, false))
	default:
		t += fmt.Sprintf("; daylight left at the end %s", Hours(n.DaylightMin, false))
	}
	return t
}

// legWater is the drinking water of a leg in words.
func legWater(n *risk.Needs) string {
	q := &n.Supply
	t := fmt.Sprintf("need %s L (%s to %s), carried %s L; cooling system apart %s L", litres(n.WaterL.Central), litres(n.WaterL.Low), litres(n.WaterL.High), litres(n.WaterHaveL), litres(n.CoolingL))
	if q.WaterTakenL > 0 {
		t += fmt.Sprintf("; %s L taken on, as you say", litres(q.WaterTakenL))
	}
	if !math.IsNaN(q.WaterLeakL) {
		t += fmt.Sprintf("; if the fullest container leaks %s L are left, %s must be", litres(q.WaterLeakL), litres(q.LeakKeepL))
	}
	if len(n.WaterRefillsM) > 0 {
		t += "; possible, not counted: km " + kms(n.WaterRefillsM)
	}
	return t + fmt.Sprintf("; stranded %s days (%s to %s): with what is left people at rest in the shade are expected to live %s days", number(q.WaitDays.Central, 1), number(q.WaitDays.Low, 1), number(q.WaitDays.High, 1), number(n.SurvivalDays, 1))
}

func kms(at []float64) string {
	var t []string
	for _, m := range at {
		t = append(t, number(m/1000, 1))
	}
	return strings.Join(t, ", ")
}

// legAir is a halt for the tyres in words.
func legAir(a *risk.AirStop) string {
	if a == nil {
		return ""
	}
	do := "pump up"
	if a.To[0] < a.From[0] || a.To[1] < a.From[1] {
		do = "let down"
	}
	return fmt.Sprintf("; at km %s %s from %s, %s to %s, %s kPa: %s min", number(a.AtM/1000, 1), do, number(a.From[0], 0), number(a.From[1], 0), number(a.To[0], 0), number(a.To[1], 0), number(a.Min, 0))
}

// legWalk is the way out on foot in words.
func legWalk(w *supply.WalkOut) string {
	t := fmt.Sprintf("walking out with rests %s (up to %s), %s L of water for all", Hours(60*w.Hours.Central, false), Hours(60*w.Hours.High, false), litres(w.WaterL.Central))
	if w.ByNight {
		t += ", in the cool hours only"
	}
	if w.InReach {
		t += "; in reach"
	} else {
		t += "; not in reach: " + w.Fails
	}
	return t + ". Stay with the vehicle: it is found first."
}

// legLoad is the load on entering a leg in words.
func legLoad(l *risk.LegLoad) string {
	return fmt.Sprintf("on entering %s kg (%s kg left), front axle %s kg, rear %s kg, roof %s kg; centre of gravity %s m high, side tip angle %s degrees (rigid, standing)",
		number(l.TotalKg, 0), number(l.PayloadLeftKg, 0), number(l.FrontKg, 0), number(l.RearKg, 0), number(l.RoofKg, 0), number(l.CGHeightM, 2), number(l.TipAngleDeg, 0))
}
