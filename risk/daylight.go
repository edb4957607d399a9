package risk

import (
	"math"
	"sort"
	"time"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/sun"
	"lastroad/risk/supply"
)

// light is the daylight left at a place by the plan, in whole hours; lightUnknown when there is no start
// time or the party works at night: then no recipe is held back by the dark.
type light uint8

const lightUnknown = light(255)

// daylightAt gives sunrise and sunset along the route, from the caller or from the sun's place.
func (st *study) daylightAt(day time.Time, atM float64) (rise, set time.Time, ok bool) {
	if st.opts.Daylight != nil {
		return st.opts.Daylight(day, atM)
	}
	s := st.survey.Samples
	i := min(len(s)-1, sort.Search(len(s), func(i int) bool { return s[i].DistanceM >= atM }))
	y, m, d := day.Date()
	_, offset := day.Zone()
	at := orb.Point{math.Round(10*s[i].Lon) / 10, math.Round(10*s[i].Lat) / 10}
	t := st.memo.times(sunKey{y, day.YearDay(), offset, int(math.Round(10 * at[0])), int(math.Round(10 * at[1]))}, func() sunTimes {
		e := sun.On(y, m, d, day.Location(), at)
		return sunTimes{e.Rise.Time, e.Set.Time, e.Rise.OK && e.Set.OK}
	})
	return t.rise, t.set, t.ok
}

// planInput is the trip for the planner of days, without its legs.
func (st *study) planInput() supply.PlanInput {
	in := supply.PlanInput{Start: st.trip.Conditions.Start, People: people(st.trip.Party.People), AcceptNight: st.trip.Policy.AcceptNight,
		AgreedWaitH: st.trip.Policy.AgreedWaitH, Daylight: st.daylightAt}
	for _, m := range st.survey.Marks {
		if m.Kind == geo.MarkStop {
			in.Stops = append(in.Stops, supply.PlanStop{AtM: m.DistanceM, Name: m.Name, Night: m.Detail == "night"})
		}
	}
	return in
}

// lights works out the daylight left on every piece.
func (st *study) lights() {
	st.light = make([]light, len(st.x.pieces))
	for i := range st.light {
		st.light[i] = lightUnknown
	}
	if st.trip.Conditions.Start.IsZero() || st.trip.Policy.AcceptNight {
		return
	}
	in := st.planInput()
	var at []int
	for i := range st.x.pieces {
		p := &st.x.pieces[i]
		if p.Ford {
			continue
		}
		in.Legs = append(in.Legs, supply.TimeLeg{ToM: p.ToM, MoveS: p.DriveH * 3600, Unsealed: st.survey.Grounds[p.Mix].P[geo.Sealed] < 0.5, CompressorMin: math.NaN()})
		at = append(at, i)
	}
	plan, err := st.cat.Supply.Plan(in)
	if err != nil {
		return
	}
	for k, i := range at {
		if m := plan.LegLight[k]; !math.IsNaN(m) {
			st.light[i] = light(math.Min(24, math.Max(0, m/60)))
		}
	}
	for i := range st.x.pieces {
		if st.x.pieces[i].Ford && i > 0 {
			st.light[i] = st.light[i-1]
		}
	}
}
