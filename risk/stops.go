package risk

import (
	"fmt"
	"math"

	"lastroad/geo"
)

// find adds the findings of the whole trip and of the legs, stops first. A stop takes the word "ready"
// away and changes no number.
func (st *study) find(j *Judgement) {
	st.findLoad(j)
	st.findNotice(j)
	st.findSpare(j)
	st.findSeats(j)
	st.findSupplies(j)
	for i := range j.Legs {
		st.findLeg(&j.Legs[i])
	}
	j.Findings = sortFindings(j.Findings)
	for i := range j.Legs {
		j.Legs[i].Findings = sortFindings(j.Legs[i].Findings)
	}
}

func sortFindings(f []Finding) []Finding {
	var out []Finding
	for s := Stop; ; s-- {
		for _, x := range f {
			if x.Severity == s {
				out = append(out, x)
			}
		}
		if s == Note {
			return out
		}
	}
}

func (st *study) findLoad(j *Judgement) {
	st.loadReport()
	for _, o := range st.loaded.Over {
		sev := Stop
		if o.RoofOffRoadOnly {
			sev = Warning
		}
		j.Findings = append(j.Findings, Finding{Key: "over_" + o.Key, Severity: sev, Leg: -1, Text: o.Text, Cautions: st.loaded.Cautions})
	}
	if n := len(st.trip.Party.People); n > st.trip.Party.Vehicle.Seats {
		j.Findings = append(j.Findings, Finding{Key: "seats_own", Severity: Stop, Leg: -1, Text: fmt.Sprintf("%d people and %d seats with belts.", n, st.trip.Party.Vehicle.Seats)})
	}
	if c := &st.trip.Conditions; c.DayMaxC > c.AdverseC {
		j.Findings = append(j.Findings, Finding{Key: "hotter_than_adverse", Severity: Warning, Leg: -1, Text: fmt.Sprintf("The day's %.0f °C lie above the season's adverse %.0f °C: readiness compares with too mild a case.", c.DayMaxC, c.AdverseC)})
	}
	if st.tank != nil && st.tank.note != "" {
		j.Findings = append(j.Findings, Finding{Key: "fuel_figures", Severity: Warning, Leg: -1, Text: st.tank.note})
	}
}

func (st *study) findNotice(j *Judgement) {
	nobody := false
	for i := range st.wait {
		if st.wait[i].Notice.By == "nobody" {
			nobody = true
		}
	}
	if nobody {
		j.Findings = append(j.Findings, Finding{Key: "nobody_notices", Severity: Stop, Leg: -1,
			Text: "Nobody would notice and there is nothing to call with: carry a distress beacon or satellite messenger, or leave the plan with somebody who raises the alarm."})
	}
}

// findSpare stops a trip on which a tyre is likely to be lost and no spare wheel that fits is carried.
func (st *study) findSpare(j *Judgement) {
	if hasItem(st.cat, st.solo.count, "spare_wheel") || hasItem(st.cat, st.solo.count, "spare_tyre") {
		return
	}
	e, ok := st.cat.EventIndex("tyre/destroyed")
	if !ok {
		return
	}
	if m := st.tallyOf(st.wholeTrip()).events[e].mean; m > st.cat.Figure("likely_mean").Central/20 {
		j.Findings = append(j.Findings, Finding{Key: "no_spare", Severity: Stop, Leg: -1, Text: "No spare wheel that fits is carried; a tyre cut beyond mending ends the trip."})
	}
}

func (st *study) findSeats(j *Judgement) {
	if st.both == nil {
		return
	}
	own, theirs := len(st.trip.Party.People), len(st.trip.Partner.People)
	seats := min(st.trip.Party.Vehicle.Seats, st.trip.Partner.Vehicle.Seats)
	if own+theirs > seats {
		j.Findings = append(j.Findings, Finding{Key: "seats_short", Severity: Warning, Leg: -1,
			Text: fmt.Sprintf("If one vehicle has to be left behind, %d people need seats and there are %d in the other: going together holds only if %d can wait in a safe place for a second run, with water and shelter.", own+theirs, seats, own+theirs-seats)})
	}
}

// condition is what a "ready" of the whole trip would leave unsaid: with too few seats in one vehicle for
// both crews, losing a vehicle is no longer ended by changing over. It takes the word "ready" away and is
// not a stop: the trip has a way to end it, which must be agreed before.
func (st *study) condition(j *Judgement) string {
	for _, f := range j.Findings {
		if f.Key == "seats_short" {
			return "if one vehicle is lost its people do not all find seats in the other: together it holds only on the condition that some can wait for a second run"
		}
	}
	return ""
}

func (st *study) findLeg(l *LegJudgement) {
	n := &l.Needs
	add := func(key string, sev Severity, cautions []string, format string, a ...any) {
		l.Findings = append(l.Findings, Finding{Key: key, Severity: sev, Leg: l.Leg, Text: fmt.Sprintf(format, a...), Cautions: cautions})
	}
	if n.FuelReachL.High > n.FuelHaveL.Low && n.FuelReachL.Central > 0 {
		sev := Warning
		if n.FuelReachL.Central > n.FuelHaveL.Central {
			sev = Stop
		}
		add("fuel_short", sev, nil, "To the next fuel with reserve %.0f L are needed (up to %.0f), %.0f L are on board.", n.FuelReachL.Central, n.FuelReachL.High, n.FuelHaveL.Central)
	}
	if n.WaterL.Central > n.WaterHaveL+1e-9 {
		add("water_short", Stop, nil, "%.0f L of drinking water are needed on entering, %.0f L are there.", math.Ceil(n.WaterL.Central), n.WaterHaveL)
	}
	if p := n.Pull; p != nil && p.Rig == "" && st.likely(l, "bogged/deep", "bogged/body") {
		add("pull_short", Stop, p.Cautions, "%s asks for %.0f kN: %s.", p.State, p.RequiredKN.Central, p.Fails)
	}
	fords, perhaps := st.crossings(l.Leg)
	if len(perhaps) > 0 {
		add("ford_unknown", Note, []string{fordCaution},
			"Watercourses that cross where the map has neither ford nor bridge: %d (km %s). They may be fords; their depth is unknown.", len(perhaps), kmList(perhaps))
	}
	depth := st.cat.Figure("ford_depth_m").High * st.trip.Conditions.WaterLevel * st.trip.Conditions.WaterLevel
	if v := st.trip.Party.Vehicle.WadingM; fords > 0 && v > 0 && depth > v {
		add("ford_deep", Stop, []string{fordCaution},
			"The crossing may be %.1f m deep at this water level, the vehicle's limit is %.1f m.", depth, v)
	}
	if g := st.facts.legs[l.Leg].steepest; g > 0.45 {
		add("grade_limit", Stop, nil, "Grades of %.0f %% are beyond what wheeled vehicles are taken to climb (45 %%).", 100*g)
	}
	if n.SecondVehicle {
		add("needs_second_vehicle", Stop, nil, "The only remedy to a likely trouble here needs a second vehicle.")
	}
	if math.IsNaN(n.RoadM) {
		add("road_unknown", Warning, nil, "The distance to a maintained road is unknown here; help is reckoned as far away.")
	}
}

// likely reports whether one of the events is a likely trouble of the leg.
func (st *study) likely(l *LegJudgement, keys ...string) bool {
	sum := 0.0
	for _, e := range l.Events {
		for _, k := range keys {
			if e.Key == k {
				sum += e.Mean
			}
		}
	}
	return sum >= st.cat.Figure("likely_mean").Central
}

// fordCaution goes with every word on the depth of a crossing.
const fordCaution = "A ford's depth, current and bed are judged on the spot, on foot, before any vehicle goes in. If flooded, do not enter."

// kmList writes places along the route, metres, as kilometres; of many only the first.
func kmList(m []float64) string {
	const most = 8
	out := ""
	for i, v := range m[:min(most, len(m))] {
		if i > 0 {
			out += ", "
		}
		out += fmt.Sprintf("%.1f", v/1000)
	}
	if len(m) > most {
		out += ", ..."
	}
	return out
}

// crossings counts the fords of a leg and tells where places lie that may be some, metres along the route.
func (st *study) crossings(leg int) (fords int, perhaps []float64) {
	for _, q := range st.legShares(leg) {
		switch p := &st.x.pieces[q.piece]; {
		case p.Perhaps:
			perhaps = append(perhaps, p.FromM)
		case p.Ford:
			fords++
		}
	}
	return fords, perhaps
}

// steepest is the steepest grade of a leg whose lower end of the 95 % band is still above it.
func steepest(s *geo.Survey, l geo.Leg) float64 {
	g := 0.0
	for i := l.From; i <= l.To; i++ {
		q := &s.Samples[i]
		if v := math.Abs(q.Grade) - q.GradeBand; v > g {
			g = v
		}
	}
	return g
}

// secondVehicle reports whether a likely trouble of the stretch can be ended by the party only with a second vehicle.
func (st *study) secondVehicle(t tally, parts []pieceShare) bool {
	if st.trip.Partner == nil || st.both != nil {
		return false
	}
	likely := st.cat.Figure("likely_mean").Central
	for e := range t.events {
		if t.events[e].mean < likely || t.events[e].fail < t.events[e].mean*(1-1e-9) {
			continue
		}
		for _, ri := range st.b.byEvent[e] {
			if st.cat.Recipes[ri].Partner {
				return true
			}
		}
	}
	return false
}
