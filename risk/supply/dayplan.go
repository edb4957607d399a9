package supply

import (
	"fmt"
	"math"
	"slices"
	"time"

	"lastroad/geo"
)

// PlanStop is a place where the user means to stop.
type PlanStop struct {
	AtM   float64
	Name  string
	Night bool // the night is spent here in any case
}

// PlanInput is a journey to be laid over days.
type PlanInput struct {
	Start  time.Time // departure, with its zone
	Legs   []TimeLeg
	People []Person
	Stops  []PlanStop
	// Daylight gives sunrise and sunset on the local date of day at a distance along the route; ok is
	// false when the sun does not rise or set there, or is not known: then no dusk bounds the day.
	Daylight    func(day time.Time, atM float64) (rise, set time.Time, ok bool)
	AcceptNight bool    // driving goes on after dark, slower on unsealed ground
	MaxDriveH   float64 // of driving a day; 0 = the table's
	DayStartH   float64 // hour of the clock at which a camp is left; 0 = the table's
	AgreedWaitH float64 // from the planned arrival to the alarm, never before SlowGraceH after the slow one; 0 = the table's
}

// PlanDay is one day of driving.
type PlanDay struct {
	Begin, End         time.Time
	FromM, ToM         float64
	DriveMin, TotalMin float64
	DarkMin            float64 // driven in the dark
	Sunrise, Sunset    time.Time
	HasSun             bool
	// TurnBy is the latest time to turn round and be back at the day's start by its last safe hour,
	// the way back taking as long as the way out.
	TurnBy time.Time
	Camp   string // where the night is spent; "" on the last day
	Chosen bool   // Camp is a stop of the user's; else the plan put it where the day ends
	Note   string
}

// CheckIn is a message that is due.
type CheckIn struct {
	At, OverdueAt time.Time // OverdueAt is when its absence starts the alarm
	AtM           float64
	Why           string // "morning", "evening", "end of leg 3", "end of the trip"
}

// Plan is a journey laid over days.
type Plan struct {
	Days     []PlanDay
	LegEnd   []time.Time // arrival at the end of each leg
	SlowEnd  []time.Time // the same when everything takes its slow time
	LegDark  []bool      // some of the leg is driven in the dark
	LegLight []float64   // minutes from arrival to sunset, negative after it, NaN unknown
	CheckIns []CheckIn
	End      time.Time // arrival
	Slow     time.Time // arrival when everything takes its slow time
	Overdue  time.Time // when the contact raises the alarm: after the agreed wait, and never before even slow going is over
	DriveMin Band
	Notes    []string
}

// planPieceMin is the length of the pieces in which a leg is laid over the clock, minutes. Judgement:
// a tenth of an hour is below what anybody plans by.
const planPieceMin = 6

// maxPlanDays bounds a plan; longer journeys are refused.
const maxPlanDays = 366

// Plan lays the legs over days: it drives until the day's driving hours are used up or an hour before
// sunset (a departure before dawn is taken as typed, and said), camps at the last of the user's stops that the day reaches (or where it ends, which it says),
// and goes on the next morning. Check-ins fall in the morning, in the evening, at the end of legs that
// ask for one and at the end; each has its overdue time. It refuses a missing start and a journey of
// more than a year.
func (t *Tables) Plan(in PlanInput) (*Plan, error) {
	times := make([]LegTime, len(in.Legs))
	for i, leg := range in.Legs {
		times[i] = t.LegTime(leg, in.People)
	}
	p, err := t.lay(in, times, 0)
	if err != nil {
		return nil, err
	}
	slow, err := t.lay(in, times, slowShare(times))
	if err != nil {
		return nil, err
	}
	p.Slow, p.SlowEnd = slow.End, slow.LegEnd
	wait := in.wait(t)
	p.checkIns(t, in, wait)
	p.Overdue = t.overdue(later(p.End.Add(hours(wait)), p.Slow.Add(hours(t.SlowGraceH()))))
	return p, nil
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// SlowGraceH is the hours after the slow arrival before which no alarm is raised: the short end of the wait
// after a missed arrival.
func (t *Tables) SlowGraceH() float64 { return t.TimeTable.OverdueDay.Low }

func (in *PlanInput) wait(t *Tables) float64 {
	if in.AgreedWaitH > 0 {
		return in.AgreedWaitH
	}
	return t.TimeTable.OverdueDay.Central
}

// lay makes the plan with the central times of the legs, or a share of the way towards their slow ends.
func (t *Tables) lay(in PlanInput, times []LegTime, share float64) (*Plan, error) {
	if in.Start.IsZero() {
		return nil, &geo.InputError{Where: "departure", Reason: "no date and time given", Remedy: "set when the trip starts"}
	}
	f := &t.TimeTable
	maxDrive := in.MaxDriveH * 60
	if !(maxDrive > 0) {
		maxDrive = f.MaxDriveDay.Central * 60
	}
	maxDrive = math.Max(maxDrive, planPieceMin)
	dayStart := in.DayStartH
	if !(dayStart > 0 && dayStart < 24) {
		dayStart = f.DayStart.Central
	}
	p := &Plan{LegEnd: make([]time.Time, len(in.Legs)), LegDark: make([]bool, len(in.Legs)), LegLight: make([]float64, len(in.Legs))}
	pieces := planPieces(in, times, share)
	inDark := make([]bool, len(pieces))
	sun := func(at time.Time, m float64) (rise, set time.Time, ok bool) {
		if in.Daylight == nil {
			return
		}
		return in.Daylight(at, m)
	}
	now := in.Start
	for i := range times {
		p.DriveMin = p.DriveMin.Add(times[i].Move)
	}
	next, atM := 0, 0.0
	for next < len(pieces) {
		if len(p.Days) == maxPlanDays {
			return nil, &geo.InputError{Where: "plan", Reason: "the journey takes more than a year at this many hours a day", Remedy: "drive longer days or plan a part of the route"}
		}
		d := PlanDay{Begin: now, FromM: atM}
		d.Sunrise, d.Sunset, d.HasSun = sun(now, atM)
		limit := time.Time{}
		if d.HasSun && !in.AcceptNight {
			limit = d.Sunset.Add(-hours(f.BeforeDusk.Central))
		}
		// Drive as far as the day allows, remembering the last stop that can be a camp.
		i, clock, drive, dark := next, now, 0.0, 0.0
		type mark struct {
			piece       int
			clock       time.Time
			drive, dark float64
			stop        PlanStop
		}
		var camp mark
		camp.piece = -1
		forced := false
		for i < len(pieces) {
			q := pieces[i]
			minutes, move := q.minutes, q.move
			isDark := d.HasSun && (clock.After(d.Sunset) || clock.Before(d.Sunrise))
			if isDark && q.unsealed {
				extra := move * (f.NightFactor.Central - 1)
				minutes, move = minutes+extra, move+extra
			}
			end := clock.Add(hours(minutes / 60))
			first := i == next // a day always gets somewhere
			if !first && (drive+move > maxDrive || !limit.IsZero() && end.After(limit)) {
				break
			}
			clock, drive = end, drive+move
			inDark[i] = isDark
			if isDark {
				dark += move
			}
			i++
			if q.lastOfLeg {
				p.LegEnd[q.leg] = clock
			}
			if q.stop != nil {
				camp = mark{i, clock, drive, dark, *q.stop}
				if q.stop.Night && i < len(pieces) {
					forced = true
					break
				}
			}
		}
		if i < len(pieces) {
			if camp.piece > next && camp.piece <= i {
				d.Camp, d.Chosen = camp.stop.Name, true
				i, clock, drive, dark = camp.piece, camp.clock, camp.drive, camp.dark
			} else {
				d.Camp = fmt.Sprintf("camp near km %.0f", pieces[i-1].toM/1000)
				d.Note = "No stop of yours lies within this day's reach; look for a camp before here."
			}
			if forced {
				d.Note = "A planned stop for the night."
			}
		}
		for k := next; k < i; k++ {
			p.LegDark[pieces[k].leg] = p.LegDark[pieces[k].leg] || inDark[k]
			if q := pieces[k]; q.lastOfLeg {
				_, set, ok := sun(p.LegEnd[q.leg], q.toM)
				p.LegLight[q.leg] = math.NaN()
				if ok {
					p.LegLight[q.leg] = set.Sub(p.LegEnd[q.leg]).Minutes()
				}
			}
		}
		atM = pieces[i-1].toM
		d.End, d.ToM, d.DriveMin, d.DarkMin, d.TotalMin = clock, atM, drive, dark, clock.Sub(now).Minutes()
		last := clock
		if d.HasSun {
			last = d.Sunset.Add(-hours(f.BeforeDusk.Central))
		}
		d.TurnBy = now.Add(max(0, last.Sub(now)) / 2)
		p.Days = append(p.Days, d)
		next = i
		if next < len(pieces) {
			now = t.nextMorning(clock, dayStart, atM, sun)
		} else {
			now = clock
		}
	}
	p.End = now
	for _, d := range p.Days {
		if d.DarkMin > 0 {
			p.Notes = append(p.Notes, fmt.Sprintf("%.0f minutes of %s are driven in the dark.", d.DarkMin, d.Begin.Format("2 January")))
		}
	}
	return p, nil
}

type planPiece struct {
	leg           int
	toM           float64
	minutes, move float64
	unsealed      bool
	lastOfLeg     bool
	stop          *PlanStop
}

// planPieces cuts the legs at the stops and then into pieces of a few minutes.
func planPieces(in PlanInput, times []LegTime, share float64) []planPiece {
	type cut struct {
		at   float64
		stop *PlanStop
	}
	towards := func(b Band) float64 { return b.Central + share*(b.High-b.Central) }
	number := func(i int) int { return min(max(1, int(math.Ceil(towards(times[i].Total)/planPieceMin))), 10000) }
	most := len(in.Stops)
	for i := range times {
		most += number(i)
	}
	out := make([]planPiece, 0, most)
	var cuts []cut
	from := 0.0
	for li, leg := range in.Legs {
		total, move := towards(times[li].Total), towards(times[li].Move)
		length := math.Max(0, leg.ToM-from)
		n := number(li)
		cuts = cuts[:0]
		for k := 1; k <= n; k++ {
			cuts = append(cuts, cut{from + length*float64(k)/float64(n), nil})
		}
		for s := range in.Stops {
			at := in.Stops[s].AtM
			if !(at > from && at <= from+length) {
				continue
			}
			for k := range cuts {
				if at == cuts[k].at {
					cuts[k].stop = &in.Stops[s]
					break
				}
				if at < cuts[k].at {
					cuts = slices.Insert(cuts, k, cut{at, &in.Stops[s]})
					break
				}
			}
		}
		prev := from
		for k, c := range cuts {
			share := 1 / float64(len(cuts))
			if length > 0 {
				share = (c.at - prev) / length
			}
			out = append(out, planPiece{leg: li, toM: c.at, minutes: total * share, move: move * share,
				unsealed: leg.Unsealed, lastOfLeg: k == len(cuts)-1, stop: c.stop})
			prev = c.at
		}
		from += length
	}
	return out
}

// slowShare is how far towards its slow end every leg of a slow journey goes: slow driving and bad luck with
// recoveries and tyres have independent causes, so what they add to the journey adds up in quadrature. Slow
// driving itself has one cause for all legs.
func slowShare(times []LegTime) float64 {
	var drive, dig, air float64
	for i := range times {
		lt := &times[i]
		drive += lt.Move.High - lt.Move.Central + lt.Stops.High - lt.Stops.Central
		dig += lt.Recovery.High - lt.Recovery.Central
		air += lt.Air.High - lt.Air.Central
	}
	if sum := drive + dig + air; sum > 0 {
		return math.Sqrt(drive*drive+dig*dig+air*air) / sum
	}
	return 0
}

func hours(h float64) time.Duration {
	return time.Duration(math.Round(h * 3600 * float64(time.Second)))
}

// clockOn is the hour of the clock on the local date of day.
func clockOn(day time.Time, hour float64) time.Time {
	y, m, d := day.Date()
	minutes := int(math.Round(hour * 60))
	return time.Date(y, m, d, minutes/60, minutes%60, 0, 0, day.Location())
}

func (t *Tables) nextMorning(evening time.Time, hour, atM float64, sun func(time.Time, float64) (time.Time, time.Time, bool)) time.Time {
	y, m, d := evening.Date()
	day := time.Date(y, m, d+1, 12, 0, 0, 0, evening.Location())
	if evening.Hour() < 4 { // arrived after midnight: go on the same day
		day = time.Date(y, m, d, 12, 0, 0, 0, evening.Location())
	}
	start := clockOn(day, hour)
	if rise, _, ok := sun(day, atM); ok && rise.After(start) {
		start = rise
	}
	if !start.After(evening) {
		start = evening.Add(6 * time.Hour)
	}
	return start
}

// overdue is when the alarm is raised that would be due at the given time: then, or the next morning when
// that falls into the night or before that morning's hour. A later due time never gives an earlier alarm.
func (t *Tables) overdue(at time.Time) time.Time {
	f := &t.TimeTable
	morning, evening := clockOn(at, f.OverdueMorning.Central), clockOn(at, f.CheckinEvening.High)
	switch {
	case at.Before(morning):
		return morning
	case at.After(evening):
		y, m, d := at.Date()
		return clockOn(time.Date(y, m, d+1, 12, 0, 0, 0, at.Location()), f.OverdueMorning.Central)
	}
	return at
}

func (p *Plan) checkIns(t *Tables, in PlanInput, wait float64) {
	f := &t.TimeTable
	// slow is when the message is sent by slow going; those at hours of the clock are sent from wherever one is.
	add := func(at, slow time.Time, m float64, why string) {
		p.CheckIns = append(p.CheckIns, CheckIn{At: at, OverdueAt: t.overdue(later(at.Add(hours(wait)), slow.Add(hours(t.SlowGraceH())))), AtM: m, Why: why})
	}
	for i, d := range p.Days {
		if m := clockOn(d.Begin, f.CheckinMorning.Central); i > 0 {
			if m.After(d.Begin) {
				m = d.Begin
			}
			add(m, m, d.FromM, "morning")
		}
		for k, leg := range in.Legs {
			if leg.CheckIn && k < len(in.Legs)-1 && !p.LegEnd[k].Before(d.Begin) && !p.LegEnd[k].After(d.End) && leg.ToM > d.FromM && leg.ToM <= d.ToM {
				add(p.LegEnd[k], p.SlowEnd[k], leg.ToM, fmt.Sprintf("end of leg %d", k+1))
			}
		}
		if i < len(p.Days)-1 {
			e := clockOn(d.End, f.CheckinEvening.Central)
			if e.Before(d.End) {
				e = d.End
			}
			add(e, e, d.ToM, "evening")
		}
	}
	if len(p.Days) > 0 {
		add(p.End, p.Slow, p.Days[len(p.Days)-1].ToM, "end of the trip")
	}
}

// LocalAndUTC writes a time in its own zone and in UTC, for papers that others read elsewhere.
func LocalAndUTC(t time.Time) string {
	return t.Format("Mon 2 Jan 2006 15:04 (UTC-07:00)") + " = " + t.UTC().Format("Mon 2 Jan 15:04") + " UTC"
}
