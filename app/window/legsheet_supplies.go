package window

import (
	"fmt"
	"strings"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/units"
	"lastroad/risk"
)

// clock is a time of the plan in the trip's own time and in UTC.
func (s *legSheet) clock(unix int64) string {
	if unix == 0 {
		return tr("unknown")
	}
	zone := s.p.plan.Trip.Conditions.Start.Location()
	return time.Unix(unix, 0).In(zone).Format("2006-01-02 15:04") + " / " + time.Unix(unix, 0).UTC().Format("15:04") + " UTC"
}

// pairs is a section of names and values.
func (s *legSheet) pairs(key, title string, open bool, rows [][2]string) {
	if len(rows) == 0 {
		return
	}
	s.section(key, title, open, func() []fyne.CanvasObject {
		grid := container.New(&needGrid{two: true})
		for _, r := range rows {
			for _, t := range r {
				l := plainText(t)
				l.Wrapping = fyne.TextWrapWord
				grid.Add(l)
			}
		}
		return []fyne.CanvasObject{grid}
	})
}

// supplies is what the leg asks of the clock, the stores and the vehicle's load.
func (s *legSheet) supplies(lj *risk.LegJudgement) {
	f := s.p.format()
	n := &lj.Needs
	q := &n.Supply
	span := func(b risk.Band) string {
		return tr("{{.C}} ({{.A}} to {{.B}})", map[string]any{"C": minutes(b.Central), "A": minutes(b.Low), "B": minutes(b.High)})
	}
	rows := [][2]string{
		{tr("Driving time"), span(n.MoveMin)}, {tr("Breaks"), span(q.StopsMin)},
		{tr("Recoveries expected: {{.N}}", with("N", fmt.Sprintf("%.2f", q.Recoveries))), span(q.RecoveryMin)},
		{tr("Work on the tyres"), span(q.AirMin)}, {tr("All together"), span(q.TotalMin)}}
	for _, a := range []*risk.AirStop{q.AirStop, q.LastAir} {
		if a != nil {
			rows = append(rows, [2]string{s.airText(a), minutes(a.Min)})
		}
	}
	if n.ArriveUnix != 0 {
		rows = append(rows, [2]string{tr("Arrival"), s.clock(n.ArriveUnix)}, [2]string{tr("Arrival by slow going"), s.clock(q.SlowUnix)},
			[2]string{tr("Turn round by, to be back where the day began"), s.clock(q.TurnByUnix)})
	}
	s.pairs("legtime", tr("Time of the leg"), true, rows)

	vol := func(l float64) string { return f.Format(units.Volume, l) }
	band := func(b risk.Band) string { return f.Band(units.Volume, b.Low, b.Central, b.High) }
	rows = [][2]string{{tr("Fuel for the leg"), band(n.FuelL)}}
	if len(n.FuelPlacesM) > 0 {
		rows = append(rows, [2]string{tr("Fuel on the way"), s.at(n.FuelPlacesM)})
	}
	rows = append(rows, [2]string{tr("For the radiator, counted apart"), vol(n.CoolingL)})
	if q.WaterTakenL > 0 {
		rows = append(rows, [2]string{tr("Water taken on, as you say"), vol(q.WaterTakenL)})
	}
	if len(n.WaterRefillsM) > 0 {
		rows = append(rows, [2]string{tr("Water possible, never counted"), s.at(n.WaterRefillsM)})
	}
	if q.WaterLeakL == q.WaterLeakL {
		rows = append(rows, [2]string{tr("Water left if the fullest container leaks"), tr("{{.A}}, {{.B}} must be", map[string]any{"A": vol(q.WaterLeakL), "B": vol(q.LeakKeepL)})})
	} else {
		rows = append(rows, [2]string{tr("Water left if the fullest container leaks"), tr("unknown: say on the Load screen how the water is divided")})
	}
	rows = append(rows,
		[2]string{tr("Stranded, days until help"), tr("{{.C}} ({{.A}} to {{.B}})", map[string]any{"C": f1(q.WaitDays.Central), "A": f1(q.WaitDays.Low), "B": f1(q.WaitDays.High)})},
		[2]string{tr("Days people are expected to live at rest in the shade on the water left"), f1(n.SurvivalDays)},
		[2]string{tr("Food for the wait, person-days"), tr("{{.C}} ({{.A}} to {{.B}})", map[string]any{"C": f1(q.WaitFood.Central), "A": f1(q.WaitFood.Low), "B": f1(q.WaitFood.High)})})
	if w := q.WalkOut; w != nil {
		t := tr("{{.T}}, {{.W}} of water", map[string]any{"T": minutes(60 * w.Hours.Central), "W": vol(w.WaterL.Central)})
		if !w.InReach {
			t = said(t, spoken(w.Fails))
		}
		rows = append(rows, [2]string{tr("Walking out, never the first choice"), t})
	}
	s.pairs("legstores", tr("Water, fuel and food"), true, rows)

	kg := func(v float64) string { return f.Format(units.Mass, v) }
	l := &q.Load
	s.pairs("legload", tr("Load on entering"), false, [][2]string{
		{tr("Mass of the vehicle"), kg(l.TotalKg)}, {tr("Left of the permitted mass"), kg(l.PayloadLeftKg)},
		{tr("Front axle, rear axle"), kg(l.FrontKg) + ", " + kg(l.RearKg)}, {tr("On the roof"), kg(l.RoofKg)},
		{tr("Centre of gravity, height"), f.Format(units.Length, l.CGHeightM)}, {tr("Side tip angle, rigid and standing"), f.Format(units.Angle, l.TipAngleDeg)}})
}

// at lists places along the route.
func (s *legSheet) at(places []float64) string {
	var t []string
	for _, m := range places {
		t = append(t, s.p.format().Format(units.Distance, m))
	}
	return strings.Join(t, ", ")
}

func (s *legSheet) airText(a *risk.AirStop) string {
	f := s.p.format()
	m := map[string]any{"D": f.Format(units.Distance, a.AtM), "A": f.Format(units.Pressure, a.To[0]), "B": f.Format(units.Pressure, a.To[1])}
	if a.To[0] < a.From[0] || a.To[1] < a.From[1] {
		return tr("Let tyres down at {{.D}} to {{.A}}, {{.B}}", m)
	}
	return tr("Pump tyres up at {{.D}} to {{.A}}, {{.B}}", m)
}

// trip is what the trip as a whole uses up: days, points of no return, fuel, water, food, cooling, defaults.
func (s *legSheet) trip(j *risk.Judgement) {
	f := s.p.format()
	u := &j.Supplies
	d := func(m float64) string { return f.Format(units.Distance, m) }
	vol := func(l float64) string { return f.Format(units.Volume, l) }
	var rows [][2]string
	for i, day := range u.Days {
		night := tr("to the end")
		switch {
		case day.Chosen:
			night = tr("night at {{.Name}}, your stop", with("Name", day.Camp))
		case day.Camp != "":
			night = tr("night near {{.D}}: look for a camp", with("D", d(day.ToM)))
		}
		rows = append(rows, [2]string{tr("Day {{.N}}", with("N", i+1)), tr("{{.A}} to {{.B}}: {{.From}} to {{.To}}, driving {{.Drive}}, {{.Night}}; turn round by {{.Turn}}", map[string]any{
			"A": s.clock(day.Begin.Unix()), "B": s.clock(day.End.Unix()), "From": d(day.FromM), "To": d(day.ToM), "Drive": minutes(day.DriveMin), "Night": night, "Turn": s.clock(day.TurnBy.Unix())})})
	}
	s.pairs("days", tr("Plan by days"), true, rows)
	rows = nil
	for _, r := range u.NoReturns {
		m := map[string]any{"A": d(r.ToM), "B": d(r.FromM)}
		switch r.Kind {
		case risk.ReturnBoth:
			rows = append(rows, [2]string{d(r.AtM), tr("Point of no return: until {{.A}} going on is nearer in fuel and in water than going back.", with("A", d(r.ToM)))})
		case risk.ReturnFuel:
			rows = append(rows, [2]string{d(r.AtM), tr("In fuel: {{.A}} ahead is nearer than {{.B}} behind.", m)})
		case risk.ReturnWater:
			rows = append(rows, [2]string{d(r.AtM), tr("In water: {{.A}} ahead is nearer than {{.B}} behind.", m)})
		case risk.ReturnTime:
			rows = append(rows, [2]string{d(r.AtM), tr("In driving time: the road at {{.A}} ahead is nearer than the one at {{.B}} behind.", m)})
		}
	}
	s.pairs("returns", tr("Points of no return"), true, rows)
	rows = [][2]string{{tr("Fuel that can be burned"), vol(u.Fuel.OnBoard.Central)}}
	rule := tr(u.Fuel.RuleTitle)
	if u.Fuel.RuleDefault {
		rule += " (" + tr("default") + ")"
	}
	rows = append(rows, [2]string{tr("Spare fuel"), rule})
	for _, p := range u.Fuel.Places {
		name := p.Name
		switch {
		case p.End:
			name = tr("end of the route")
		case p.Declared:
			name = tr("{{.Name}}, filled up as you say", with("Name", name))
		default:
			name = tr("{{.Name}}, on the map: ask whether it is open", with("Name", name))
		}
		rows = append(rows, [2]string{d(p.AtM) + " " + name, tr("{{.N}} left on arrival", with("N", f.Band(units.Volume, p.Left.Low, p.Left.Central, p.Left.High)))})
	}
	rows = append(rows, [2]string{tr("Drinking water carried"), vol(u.Water.CarriedL)})
	if u.Water.Containers > 0 {
		rows = append(rows, [2]string{tr("Containers, the fullest"), fmt.Sprintf("%g, %s", u.Water.Containers, vol(u.Water.LargestL))})
	}
	for _, k := range u.Water.Taken {
		rows = append(rows, [2]string{d(k.AtM) + " " + k.Name, tr("{{.N}} taken on, as you say", with("N", vol(k.L)))})
	}
	for _, p := range u.Water.Possible {
		rows = append(rows, [2]string{d(p.RouteM) + " " + p.Name, tr("water possible, never counted")})
	}
	rows = append(rows, [2]string{tr("Food wanted, energy"), fmt.Sprintf("%.0f kcal (%.0f–%.0f)", u.Food.Kcal.Central, u.Food.Kcal.Low, u.Food.Kcal.High)},
		[2]string{tr("Food carried, person-days"), f0(u.FoodHave)})
	c := &u.Cooling
	rows = append(rows, [2]string{tr("For the radiator: wanted, carried, lost in a boil-over"), vol(c.CarryL.Central) + ", " + vol(c.HaveL) + ", " + vol(c.BoilOverL.Central)},
		[2]string{tr("Wait before the radiator is opened"), minutes(c.WaitMin.Central)}, [2]string{tr("Drinking water left when the radiator takes what is short"), vol(c.DrinkingLeftL)})
	s.pairs("stores", tr("Water, fuel and food"), false, rows)
	var list []string
	for _, k := range u.Shelter {
		list = append(list, k.Item)
	}
	for _, k := range u.FirstAid {
		list = append(list, k.Title)
	}
	s.noteSection("shelter", tr("Shelter and first aid for the longest wait"), list)
	s.noteSection("cooling", tr("If it boils"), append(append([]string(nil), c.Cautions...), c.Reminders...))
	s.defaults(u.Defaults)
}

// defaults lists what was taken for want of the user's own figures, marked as such.
func (s *legSheet) defaults(list []risk.Default) {
	if len(list) == 0 {
		return
	}
	s.section("defaults", tr("Defaults, taken for want of your own: {{.N}}", with("N", len(list))), false, func() []fyne.CanvasObject {
		var out []fyne.CanvasObject
		for _, d := range list {
			t := said(capital(spoken(d.Title)), spoken(d.Text))
			if strings.HasPrefix(d.Key, "partner.") {
				t = tr("second vehicle: {{.What}}", with("What", t))
			}
			l := widget.NewLabel(t)
			l.Wrapping = fyne.TextWrapWord
			out = append(out, l, soft(d.Source))
		}
		return out
	})
}
