package supply

import "math"

// WaterInput is what a leg asks of the people.
type WaterInput struct {
	People    []Person
	Climate   Climate
	ElapsedH  float64 // hours from entering to leaving the leg, driving, stops and camps; at least DriveH + DigH
	DriveH    float64
	DigH      float64 // hours of hard work expected (recoveries)
	StrandedH Band    // hours until help is there if the vehicle fails, see HelpTime.Stranded
	NoShade   bool    // no shade can be made while waiting
}

// WaterNeed is the drinking water of a leg in litres for all people. The radiator is counted apart
// (see [Tables.Cooling]).
type WaterNeed struct {
	Adults   float64 // the people as a number of adults
	Travel   Band    // for crossing the leg
	Stranded Band    // for waiting: at the 5, 50 and 95 % points of the time to help
	Reserve  float64 // spills and hands
	// Carry is what to have on entering the leg when water is to be had at its end: Central for a usual
	// course, High for the slow one; Design is travel at its centre, the wait at its 95 % point, and the reserve.
	Carry  Band
	Design float64
	// PerDay is the rate while waiting, litres a day for all.
	PerDay Band
	// OverCap is true when somebody's working day asks for more than may safely be drunk: plan less work.
	OverCap bool
	// Hottest is the work and rest cell of hard work at the hottest hour.
	Hottest  HourlyWater
	WBGT     float64 // estimated, degC
	Cautions []string
}

var (
	waterCautions = []string{
		"Water needs are estimates from tables for fit adults; children, illness, pregnancy and medicines change them. Carry more, and ask a doctor who knows the people.",
		"Do not save water by not drinking: drink by thirst and habit, save it by shade and rest.",
	}
	overCapCaution = "The planned work in this heat asks for more water than can safely be drunk. Work less, at night or not at all; drinking above 1.4 L an hour or 11 L a day is dangerous in itself."
	freshCaution   = "People who are not used to the heat should not do this work at the hottest hours: rest in the shade and dig in the cool of the day."

	// waterWith are the cautions of a leg by over the cap and by new to the heat, made once.
	waterWith = [2][2][]string{
		{waterCautions, with(waterCautions, freshCaution)},
		{with(waterCautions, overCapCaution), with(waterCautions, overCapCaution, freshCaution)},
	}
)

// Water works out the drinking water of a leg. Negative hours and NaN count as zero. All parts grow
// with temperature, hours, people and mass; travel parts of two halves of a leg add up to the whole.
func (t *Tables) Water(in WaterInput) WaterNeed {
	r := t.Rates(in.Climate)
	c := in.Climate.Filled()
	drive, dig := math.Max(0, orElse(in.DriveH, 0)), math.Max(0, orElse(in.DigH, 0))
	elapsed := math.Max(orElse(in.ElapsedH, 0), drive+dig)
	adults, fresh := 0.0, 0.0
	for _, p := range in.People {
		s := t.Share(p)
		adults += s
		if !p.Acclimatised {
			fresh += s
		}
	}
	wbgt, extra := t.WBGT(in.Climate), 0.0
	if t.Hourly(wbgt, Hard, Mixed, false).Category > 0 {
		extra = t.HourlyTable.Figures.UnacclimatisedExtra.Central
	}
	n := WaterNeed{Adults: adults, WBGT: wbgt, Hottest: t.Hourly(wbgt, Hard, FullSun, fresh == 0)}
	n.Travel = r.Base.Scale(elapsed).Add(r.Drive.Scale(drive)).Add(r.Hard.Scale(dig)).Scale(adults).Add(Exactly(extra * dig * fresh))
	wait := r.Base
	if in.NoShade {
		wait = wait.Add(r.NoShade)
	}
	st := in.StrandedH
	n.PerDay = wait.Scale(24 * adults)
	n.Stranded = Band{math.Max(0, orElse(st.Low, 0)), math.Max(0, orElse(st.Central, 0)), math.Max(0, orElse(st.High, 0))}.
		Times(wait).Scale(adults)
	n.Carry = n.Travel.Add(n.Stranded)
	waitDesign := math.Max(0, orElse(st.High, 0)) * wait.Central * adults
	n.Reserve = t.DailyTable.Figures.ReserveShare.Central * (n.Travel.Central + waitDesign)
	n.Design = n.Travel.Central + waitDesign + n.Reserve
	n.Carry = n.Carry.Add(Exactly(n.Reserve))
	n.OverCap = dig > 0 && t.Daily(c.MeanC, HardSun) > t.HourlyTable.Figures.CapDay.Central
	cap, new := 0, 0
	if n.OverCap {
		cap = 1
	}
	if dig > 0 && fresh > 0 && t.MostWork(wbgt) < Hard {
		new = 1
	}
	n.Cautions = waterWith[cap][new]
	return n
}

func with(list []string, more ...string) []string {
	return append(append([]string(nil), list...), more...)
}

// LegWater is a leg's part in the water plan of a trip.
type LegWater struct {
	Travel, Waiting float64 // litres: for crossing, and for waiting if stranded on it, reserve included
	RefillAtEnd     bool    // as much drinking water as wanted is taken on at its end
	RefillL         float64 // or so many litres; 0 or NaN = none
}

// WaterAlong gives for each leg the litres to have on entering it: for the worst leg before the next
// refill, all that is drunk up to its end and the wait on it, less the litres taken on before. A leg cut
// in two with the same wait leaves the figure of every entry unchanged, and more litres taken on never
// raise one.
func WaterAlong(legs []LegWater) []float64 {
	out := make([]float64, len(legs))
	next := 0.0
	for i := len(legs) - 1; i >= 0; i-- {
		if legs[i].RefillAtEnd {
			next = 0
		}
		next = math.Max(0, next-math.Max(0, orElse(legs[i].RefillL, 0)))
		next = legs[i].Travel + math.Max(legs[i].Waiting, next)
		out[i] = next
	}
	return out
}

// DrinkAlong is what the party drinks from the start of the route to each sample while driving, in litres:
// running sums for PointsOfNoReturn, where the way back drinks as much as the way out. driveS are seconds
// of driving from the start.
func DrinkAlong(driveS []float64, adults float64, r Rates) []float64 {
	out := make([]float64, len(driveS))
	for i, s := range driveS {
		out[i] = s / 3600 * adults * (r.Base.Central + r.Drive.Central)
	}
	return out
}

// RuleWater is the litres that a published rule of thumb asks for: people x (days + reserve days) x
// litres a day, children counted whole. ok is false for an unknown key.
func (t *Tables) RuleWater(key string, people, days float64) (litres float64, ok bool) {
	for _, r := range t.Rules {
		if r.Key == key {
			return people * (days + r.ReserveDays) * r.PerDay.Central, true
		}
	}
	return 0, false
}
