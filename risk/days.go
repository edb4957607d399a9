package risk

import (
	"fmt"
	"math"

	"lastroad/geo"
	"lastroad/risk/recovery"
	"lastroad/risk/supply"
)

// leastAirKPa is the change of pressure that is worth a halt (judgement: less than what a hot tyre gains by
// itself, and no change of what the tyre carries that matters).
const leastAirKPa = 15

// times lays the legs over days and fills driving time, breaks, work on the tyres, expected recoveries,
// arrival and daylight. It returns what the plan has to say.
func (st *study) times(j *Judgement) []string {
	legs := j.Legs
	crew := people(st.trip.Party.People)
	st.airStops(legs)
	all := 0.0
	for i := range legs {
		all += legs[i].Needs.Supply.Recoveries
	}
	in := st.planInput()
	for i := range legs {
		l := st.survey.Legs[i]
		a, b := &st.survey.Samples[l.From], &st.survey.Samples[l.To]
		n := &legs[i].Needs
		s := &n.Supply
		leg := supply.TimeLeg{ToM: b.DistanceM, MoveS: b.DriveS - a.DriveS, Unsealed: st.survey.Grounds[a.Ground].P[geo.Sealed] < 0.5,
			Recoveries: s.Recoveries, CompressorMin: math.NaN()}
		if s.Recoveries > 0 {
			leg.RecoveryMin = n.RecoveryMin / s.Recoveries
			// Two standard deviations of the trip's count, shared by the legs: cutting one changes no sum.
			leg.RecoveriesHigh = s.Recoveries * (1 + 2/math.Sqrt(all))
		}
		for _, air := range []*AirStop{s.AirStop, s.LastAir} {
			switch {
			case air == nil:
			case air.To[0] < air.From[0] || air.To[1] < air.From[1]:
				leg.AirDown = true
			default:
				leg.CompressorMin = zeroFor(leg.CompressorMin) + zeroFor(air.Min)
			}
		}
		t := st.cat.Supply.LegTime(leg, crew)
		n.MoveMin = toBand(t.Move)
		s.StopsMin, s.RecoveryMin, s.AirMin, s.TotalMin = toBand(t.Stops), toBand(t.Recovery), toBand(t.Air), toBand(t.Total)
		n.DaylightMin = math.NaN()
		in.Legs = append(in.Legs, leg)
	}
	if st.trip.Conditions.Start.IsZero() {
		return nil
	}
	_, j.Supplies.ZoneS = st.trip.Conditions.Start.Zone()
	p, err := st.cat.Supply.Plan(in)
	if err != nil {
		return []string{"The days could not be planned: " + err.Error() + "."}
	}
	for i := range legs {
		n := &legs[i].Needs
		n.ArriveUnix, n.DaylightMin, n.Supply.SlowUnix = p.LegEnd[i].Unix(), p.LegLight[i], p.SlowEnd[i].Unix()
		from := st.survey.FromM(i)
		for _, d := range p.Days {
			if d.FromM <= from+0.5 && !d.TurnBy.IsZero() {
				n.Supply.TurnByUnix = d.TurnBy.Unix()
			}
		}
	}
	for _, c := range p.CheckIns {
		j.CheckIns = append(j.CheckIns, CheckIn{Title: fmt.Sprintf("%s, km %.0f", c.Why, c.AtM/1000), Unix: c.At.Unix(), OverdueUnix: c.OverdueAt.Unix(), AtM: c.AtM})
	}
	// The contact begins to ask when even slow going should be over; the alarm comes after that in any case.
	j.OverdueUnix, j.WorryUnix = p.Overdue.Unix(), p.Slow.Unix()
	j.Supplies.Days, j.Supplies.EndUnix, j.Supplies.SlowUnix = p.Days, p.End.Unix(), p.Slow.Unix()
	return p.Notes
}

func zeroFor(nan float64) float64 {
	if math.IsNaN(nan) {
		return 0
	}
	return nan
}

// airStops finds where the tyres are let down and pumped up: on entering a leg whose ground asks for another
// pressure than they have, and at the end of the route to go back to road pressure.
func (st *study) airStops(legs []LegJudgement) {
	if len(legs) == 0 {
		return
	}
	now := legs[0].Needs.RoadKPa
	far := func(a, b [2]float64) bool {
		return math.Abs(a[0]-b[0]) >= leastAirKPa || math.Abs(a[1]-b[1]) >= leastAirKPa
	}
	for i := range legs {
		n := &legs[i].Needs
		want := n.PressureKPa
		if !(want[0] > 0) || !far(now, want) {
			continue
		}
		n.Supply.AirStop = &AirStop{AtM: st.survey.FromM(i), From: now, To: want, Min: st.airMin(now, want)}
		now = want
	}
	last := &legs[len(legs)-1].Needs
	if far(now, last.RoadKPa) {
		last.Supply.LastAir = &AirStop{AtM: st.survey.ToM(len(legs) - 1), From: now, To: last.RoadKPa, Min: st.airMin(now, last.RoadKPa)}
	}
}

// airMin is the minutes to bring four tyres from one pair of pressures to another; NaN when they have to go up
// and nothing carried can do it.
func (st *study) airMin(from, to [2]float64) float64 {
	if to[0] <= from[0] && to[1] <= from[1] {
		return st.cat.Supply.TimeTable.AirDown.Central
	}
	it, ok := st.cat.Item("compressor")
	if !ok || !hasItem(st.cat, st.solo.count, "compressor") {
		return math.NaN()
	}
	size, err := st.tyreSize()
	if err != nil {
		return math.NaN()
	}
	vol, sum := st.cat.Tyres.VolumeL(size), 0.0
	for k := range from {
		if f, err := st.cat.Tyres.Refill(recovery.Compressor{FreeLMin: it.FlowLMin}, 2, vol, from[k], to[k], 500); err == nil && to[k] > from[k] {
			sum += f.TotalMin
		}
	}
	return sum
}
