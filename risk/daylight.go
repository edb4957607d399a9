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
	i := min(len(s)-1, sort.SearchFloat64s(st.facts.distance, atM))
	y, m, d := day.Date()
	at := orb.Point{math.Round(10*s[i].Lon) / 10, math.Round(10*s[i].Lat) / 10}
	t := st.memo.times(sunKey{y, day.YearDay(), zoneOf(day), int(math.Round(10 * at[0])), int(math.Round(10 * at[1]))}, func() sunTimes {
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

// clock lays the pieces over days and works out how long it is from each to the alarm of somebody at home,
// and the daylight left there. The times that readiness rests on leave recoveries and work on the tyres out,
// so that a thing added to the load never changes them.
func (st *study) clock() {
	x := st.x
	if st.trip.Conditions.Start.IsZero() || st.opts.Daylight != nil {
		st.light, x.alarm = st.layDays()
		return
	}
	c := st.memo.clock(st.clockKey(), func() clocked {
		light, alarm := st.layDays()
		return clocked{light, alarm}
	})
	st.light, x.alarm = c.light, c.alarm
}

// clocked is the light and the hours to the alarm by piece; alarm is nil without a plan.
type clocked struct {
	light []light
	alarm []float64
}

// clockKey is all that the clock hangs on.
type clockKey struct {
	route  *routeFacts
	tables *supply.Tables
	start  time.Time
	zone   zoneKey
	night  bool
	waitH  float64
	people string
}

func (st *study) clockKey() clockKey {
	var b []byte
	for _, p := range st.trip.Party.People {
		b = appendFloat(appendFloat(b, p.AgeY), p.MassKg)
		if p.Acclimatised {
			b = append(b, 'a')
		}
	}
	start := st.trip.Conditions.Start
	return clockKey{st.facts, st.clockTables(), start.UTC(), zoneOf(start), st.trip.Policy.AcceptNight, st.trip.Policy.AgreedWaitH, string(b)}
}

// zoneKey is what clocks show from a time on: a fixed offset goes on for ever, that of a place ends when its summer time
// begins or ends, though both be the same when the trip starts.
type zoneKey struct {
	name   string
	offset int       // seconds east
	until  time.Time // UTC; zero for ever
}

func zoneOf(t time.Time) zoneKey {
	_, offset := t.Zone()
	_, until := t.ZoneBounds()
	return zoneKey{t.Location().String(), offset, until.UTC()}
}

// clockTables are to the times what fuelTables are to the fuel.
func (st *study) clockTables() *supply.Tables {
	if like := st.opts.like; like != nil && st.cat.Supply.SameTimes(like.cat.Supply) {
		return like.cat.Supply
	}
	return st.cat.Supply
}

// layDays gives the light left at every piece, and the hours from entering it to the alarm, nil when the days
// cannot be planned.
func (st *study) layDays() ([]light, []float64) {
	x := st.x
	lights := make([]light, len(x.pieces))
	for i := range lights {
		lights[i] = lightUnknown
	}
	if st.trip.Conditions.Start.IsZero() {
		return lights, nil
	}
	in := st.planInput()
	var at []int
	for i := range x.pieces {
		p := &x.pieces[i]
		if p.Ford {
			continue
		}
		in.Legs = append(in.Legs, supply.TimeLeg{ToM: p.ToM, MoveS: p.DriveH * 3600, Unsealed: st.survey.Grounds[p.Mix].P[geo.Sealed] < 0.5, CompressorMin: math.NaN()})
		at = append(at, i)
	}
	plan, err := st.cat.Supply.Plan(in)
	if err != nil {
		return lights, nil
	}
	alarm := make([]float64, len(x.pieces))
	entered := in.Start
	for k, i := range at {
		alarm[i] = plan.Overdue.Sub(entered).Hours()
		entered = plan.LegEnd[k]
		if m := plan.LegLight[k]; !math.IsNaN(m) && !st.trip.Policy.AcceptNight {
			lights[i] = light(math.Min(24, math.Max(0, m/60)))
		}
	}
	for i := range x.pieces {
		if x.pieces[i].Ford && i > 0 {
			lights[i], alarm[i] = lights[i-1], alarm[i-1]
		}
	}
	return lights, alarm
}

// alarmH is the hours from entering a piece until somebody at home who hears nothing raises the alarm: by
// the plan, or without a start time from the hours still to drive, at the usual pace and the agreed wait, or
// at the slow pace and its grace, whichever is later.
func (x *exposure) alarmH(i int) float64 {
	if x.alarm != nil {
		return math.Max(0, x.alarm[i])
	}
	total := 0.0
	if k := len(x.pieces); k > 0 {
		total = x.pieces[k-1].FromS/3600 + x.pieces[k-1].DriveH
	}
	left := math.Max(0, total-x.pieces[i].FromS/3600) / x.cat.Figure("drive_day_h").Central * 24
	s := x.cat.Supply
	return math.Max(left+x.trip.Policy.AgreedWaitH, left*s.TimeTable.DriveSpread.High+s.SlowGraceH())
}
