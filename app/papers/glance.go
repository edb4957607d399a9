package papers

import (
	"fmt"
	"math"
	"time"

	"lastroad/app/trip"
	"lastroad/app/units"
	"lastroad/geo/facts"
	"lastroad/risk"
)

// glance is the page that lies on the dash: all legs in one table, when to be heard, where points are lost.
func (b Book) glance(s *sheet) {
	d, j, w := b.Doc, b.Doc.Judgement, b.Words
	s.newPage()
	s.title(0, w.T("glance"), 0)
	s.text(w.T("glance_note"), 8.5, false, soft, 0)
	s.y += 3
	zone := b.zone()
	var rows [][]cell
	day := ""
	for i, l := range j.Legs {
		f, n := facts.Of(d.Survey, l.Leg), l.Needs
		pull := "–"
		if p := n.Pull; p != nil {
			pull = w.number(units.Force, p.RequiredKN.Central, 0)
			if p.Rig == "" {
				pull += " !"
			}
		}
		there := "–"
		if n.ArriveUnix > 0 {
			t := time.Unix(n.ArriveUnix, 0).In(zone)
			there = t.Format("15:04")
			if k := w.weekday(t); k != day {
				there, day = k+" "+there, k
			}
			if n.DaylightMin < 0 {
				there += " *"
			}
		}
		rows = append(rows, []cell{{text: fmt.Sprint(i + 1)}, {text: w.legName(i, f)}, {text: w.number(units.Distance, f.FromM, 0) + "–" + w.number(units.Distance, f.ToM, 0)}, {text: b.mainGround(f)},
			{text: w.number(units.Distance, f.RoadM, 0)}, {text: pull}, {text: w.number(units.Volume, n.WaterL.Central, 0)}, {text: w.number(units.Volume, n.FuelL.Central, 0)}, {text: there},
			{text: dec(l.Score.Readiness, 0)}, {text: w.verdict(l.Score.Word), bold: l.Score.Word == "not ready"}, {text: w.oneIn(l.Score.NotUnaided.P)}})
	}
	s.table([]tableColumn{{"", 0.42, true}, {w.T("leg"), 1.95, false}, {w.unit(units.Distance), 0.95, false}, {w.T("ground"), 1.5, false}, {w.T("road_km", w.unit(units.Distance)), 0.75, true}, {w.T("pull_kn", w.unit(units.Force)), 0.75, true},
		{w.T("water_l", w.unit(units.Volume)), 0.85, true}, {w.T("fuel_l", w.unit(units.Volume)), 0.85, true}, {w.T("there"), 1.15, true}, {w.T("ready_n"), 0.75, true}, {w.T("verdict"), 1.4, false}, {w.T("not_unaided_short"), 1.2, true}}, rows, 7.8)
	s.text(w.T("glance_key"), 7.5, false, soft, 0)
	for _, t := range trip.TurnBacks(d.Survey) {
		s.y += 2
		s.text(w.T("no_return_here", w.at(t.AtM, 1), w.at(t.ToM, 0), w.at(t.FromM, 0), w.hours(t.AheadS/60, false)), 8.5, true, ink, 0)
	}
	for _, r := range trip.NoReturns(j) {
		s.y += 2
		s.text(w.noReturn(r), 8.5, r.Kind == risk.ReturnBoth, ink, 0)
	}
	s.head(w.T("points_go"), 30)
	for i, l := range j.Trip.Lost {
		if i >= 8 || l.Points < 0.05 {
			break
		}
		s.item("•", w.say(l.Text), 8.5, ink)
	}
	notes := b.warnings()
	if len(notes) > 0 {
		s.head(w.T("also_know"), 20)
		for _, t := range notes {
			s.item("•", w.say(t), 8.5, ink)
		}
	}
}

// warnings are the trip's findings that are no stops.
func (b Book) warnings() []string {
	var out []string
	for _, f := range b.Doc.Judgement.Findings {
		if f.Severity != risk.Stop {
			out = append(out, f.Text)
		}
	}
	return out
}

// mainGround is the class that most of a leg has, with a plus sign when there is another.
func (b Book) mainGround(f facts.Facts) string {
	if len(f.Ground) == 0 {
		return "?"
	}
	t := b.Words.ground(f.Ground[0].Ground)
	if len(f.Ground) > 1 && f.Ground[1].Share > 0.15 {
		t += " +"
	}
	return t
}

func (b Book) zone() *time.Location {
	if t := b.Doc.Plan.Trip.Conditions.Start; !t.IsZero() {
		return t.Location()
	}
	return time.UTC
}

// legCautions are all cautions that belong to a leg's figures, each once.
func (b Book) legCautions(i int) []string {
	l := b.Doc.Judgement.Legs[i]
	var out []string
	seen := map[string]bool{}
	add := func(list []string) {
		for _, c := range list {
			if !seen[c] {
				seen[c] = true
				out = append(out, c)
			}
		}
	}
	for _, f := range l.Findings {
		add(f.Cautions)
	}
	if l.Needs.Pull != nil {
		add(l.Needs.Pull.Cautions)
	}
	add(l.Needs.Cautions)
	return out
}

// commonCautions are those that stand on at least half of the legs: they are printed once, on the page of
// all legs, and every leg's sheet points there.
func (b Book) commonCautions() []string {
	n := map[string]int{}
	var order []string
	for i := range b.Doc.Judgement.Legs {
		for _, c := range b.legCautions(i) {
			if n[c]++; n[c] == 1 {
				order = append(order, c)
			}
		}
	}
	var out []string
	for _, c := range order {
		if n[c] > 1 && float64(n[c]) >= math.Max(2, float64(len(b.Doc.Judgement.Legs))/2) {
			out = append(out, c)
		}
	}
	return out
}
