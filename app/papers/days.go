package papers

import (
	"fmt"
	"math"
	"strings"
	"time"

	"lastroad/app/units"
	"lastroad/risk"
	"lastroad/risk/supply"
)

// days is the part on the plan by days, on calling home, and on what the trip as a whole uses up.
func (b Book) days(s *sheet) {
	j, w := b.Doc.Judgement, b.Words
	p := j.Supplies
	s.part()
	s.title(0, w.T("days"), 120)
	if len(p.Days) > 0 {
		s.text(w.T("days_note"), 8.5, false, soft, 0)
		s.y += 3
		s.table([]tableColumn{{w.T("day"), 1.2, false}, {w.unit(units.Distance), 0.9, true}, {w.T("day_leaves"), 0.8, true}, {w.T("there"), 0.8, true}, {w.T("day_drive"), 0.95, true}, {w.T("day_all"), 0.85, true},
			{w.T("day_turn"), 0.95, true}, {w.T("day_sun"), 1.3, true}, {w.T("day_night"), 2.2, false}}, w.dayRows(p.Days, b.zone()), 8)
		s.text(w.T("days_key"), 7.5, false, soft, 0)
		s.y += 2
	}
	if len(j.CheckIns) > 0 || j.OverdueUnix > 0 {
		s.together(func(s *sheet) { b.checkIns(s) })
	}
	s.head(w.T("fuel_head"), 60)
	s.text(w.T("fuel_text", w.band(units.Volume, p.Fuel.OnBoard, 0), w.litres(p.Fuel.UnusableL), w.say(p.Fuel.RuleTitle)), 8.5, false, ink, 0)
	var rows [][]cell
	for _, f := range p.Fuel.Places {
		name := flat(f.Name)
		switch {
		case f.End:
			name = w.T("fuel_end")
		case f.Declared:
			name = strings.TrimPrefix(name+" – "+w.T("fuel_declared"), " – ")
		default:
			name = strings.TrimPrefix(name+" – "+w.T("fuel_unsure"), " – ")
		}
		left := cell{text: w.band(units.Volume, f.Left, 0)}
		if f.Left.Low < 0 {
			left.bold = true
		}
		if f.Left.Central < 0 {
			left.text = w.T("fuel_short", w.litres(-f.Left.Central))
		}
		rows = append(rows, []cell{{text: w.at(f.AtM, 0)}, {text: name}, {text: w.band(units.Volume, f.Need, 0)}, left})
	}
	if len(rows) > 0 {
		s.y += 2
		s.table([]tableColumn{{w.T("where"), 0.7, false}, {w.T("fuel_place"), 2.6, false}, {w.T("fuel_need"), 1.4, true}, {w.T("fuel_left"), 1.4, true}}, rows, 8)
	}
	s.head(w.T("water_head"), 40)
	for _, t := range w.water(p, b.Doc.Judgement) {
		s.item("•", t, 8.5, ink)
	}
	s.head(w.T("food_head"), 40)
	for _, t := range w.stores(p) {
		s.item("•", t, 8.5, ink)
	}
	for _, t := range append(append([]string(nil), p.Food.Cautions...), p.Cooling.Cautions...) {
		s.item("!", w.say(t), 8, warn)
	}
	if len(p.FirstAid) > 0 {
		s.item("!", w.say(supply.FirstAidCaution), 8, warn)
	}
}

// cautions are those that hold on most legs, printed once; every leg's sheet points here.
func (b Book) cautions(s *sheet) {
	common := b.commonCautions()
	if len(common) == 0 {
		return
	}
	w := b.Words
	s.y += 10
	s.title(0, w.T("cautions_all"), 60)
	var blocks []func(*sheet)
	for _, c := range common {
		blocks = append(blocks, func(s *sheet) { s.item("!", w.say(c), 7.5, warn) })
	}
	b.inTwo(s, blocks)
}

// checkIns lists when to be heard, and from when silence counts.
func (b Book) checkIns(s *sheet) {
	j, w, zone := b.Doc.Judgement, b.Words, b.zone()
	s.head(w.T("check_ins"), 20)
	var rows [][]cell
	for _, k := range j.CheckIns {
		late := "–"
		if k.OverdueUnix > 0 {
			late = w.moment(k.OverdueUnix, zone)
		}
		rows = append(rows, cells(w.say(k.Title), w.moment(k.Unix, zone), late))
	}
	if j.WorryUnix > 0 {
		rows = append(rows, cells(w.T("worry_from"), w.moment(j.WorryUnix, zone), ""))
	}
	if j.OverdueUnix > 0 {
		rows = append(rows, []cell{{text: w.T("call_latest"), bold: true}, {text: w.moment(j.OverdueUnix, zone), bold: true}, {}})
	}
	s.table([]tableColumn{{"", 1.7, false}, {w.T("check_due"), 2.2, false}, {w.T("check_late"), 2.2, false}}, rows, 8)
}

// dayRows is the plan by days, one row a day.
func (w Words) dayRows(days []supply.PlanDay, zone *time.Location) [][]cell {
	var rows [][]cell
	for i, d := range days {
		begin := d.Begin.In(zone)
		clock := func(t time.Time) string {
			if t.IsZero() {
				return "–"
			}
			t = t.In(zone)
			c := t.Format("15:04")
			if t.YearDay() != begin.YearDay() {
				c = w.weekday(t) + nbsp + c
			}
			return c
		}
		drive := w.hours(d.DriveMin, false)
		if d.DarkMin > 0 {
			drive += nbsp + "*"
		}
		sun := "?"
		if d.HasSun {
			sun = clock(d.Sunrise) + "–" + clock(d.Sunset)
		}
		night := "–"
		if d.Camp != "" {
			night = shorten(flat(w.say(d.Camp)), 60)
			if !d.Chosen {
				night += " " + w.T("day_laid")
			}
		}
		if d.Note != "" {
			night = strings.TrimPrefix(night+". "+w.say(d.Note), "–. ")
		}
		rows = append(rows, []cell{{text: fmt.Sprintf("%d · %s%s%d", i+1, w.weekday(begin), nbsp, begin.Day()), bold: true}, {text: w.number(units.Distance, d.FromM, 0) + "–" + w.number(units.Distance, d.ToM, 0)},
			{text: clock(d.Begin)}, {text: clock(d.End)}, {text: drive}, {text: w.hours(d.TotalMin, false)}, {text: clock(d.TurnBy)}, {text: sun}, {text: night}})
	}
	return rows
}

// water says what drinking water there is, where it is taken on, and where there may be some.
func (w Words) water(p risk.Supplies, j *risk.Judgement) []string {
	t := w.T("water_carried", w.litres(p.Water.CarriedL))
	if p.Water.Containers > 0 {
		t += " " + w.T("water_in", w.dec(p.Water.Containers, 0), w.litres(p.Water.LargestL))
	}
	out := []string{t}
	for _, k := range p.Water.Taken {
		out = append(out, w.T("water_taken", w.litres(k.L), w.at(k.AtM, 0)+" "+flat(k.Name)))
	}
	for i, l := range j.Legs {
		if q := l.Needs.Supply; !math.IsNaN(q.WaterLeakL) && q.WaterLeakL < q.LeakKeepL {
			out = append(out, w.T("water_leak", i+1, w.litres(q.WaterLeakL), w.litres(q.LeakKeepL)))
			break
		}
	}
	var maybe []string
	for _, k := range p.Water.Possible {
		if len(maybe) == 12 {
			maybe = append(maybe, "…")
			break
		}
		if t := strings.TrimSpace(w.at(k.RouteM, 0) + " " + flat(k.Name)); len(maybe) == 0 || maybe[len(maybe)-1] != t {
			maybe = append(maybe, t)
		}
	}
	if len(maybe) > 0 {
		out = append(out, w.T("water_possible", strings.Join(maybe, ", ")))
	}
	return out
}

// stores says what food, cooling water, shelter and first aid the trip asks for.
func (w Words) stores(p risk.Supplies) []string {
	number := func(v float64) string { return w.dec(v, 0) }
	f, c := p.Food, p.Cooling
	out := []string{w.T("food_text", number(f.KcalPerDay.Central), number(f.RestPerDay.Central), w.measure(units.Mass, f.Kg.Central, 0), w.dec(p.FoodHave, 0), w.dec(f.DaysCarried, 1)),
		w.T("cooling_text", w.measure(units.Volume, c.CarryL.Central, 1), w.measure(units.Volume, c.HaveL, 1), number(c.WaitMin.Central))}
	if c.ShortL > 0 {
		out = append(out, w.T("cooling_short", w.measure(units.Volume, c.ShortL, 1), w.measure(units.Volume, c.DrinkingLeftL, 1)))
	}
	var shelter, aid []string
	for _, k := range p.Shelter {
		shelter = append(shelter, w.say(k.Item))
	}
	for _, k := range p.FirstAid {
		aid = append(aid, w.say(k.Title))
	}
	if len(shelter) > 0 {
		out = append(out, w.T("shelter_text", strings.Join(shelter, ", ")))
	}
	if len(aid) > 0 {
		out = append(out, w.T("aid_text", strings.Join(aid, ", ")))
	}
	return out
}
