package supply

// Activity is a curve of the figure of daily water.
type Activity uint8

// The curves.
const (
	RestShade   Activity = iota // curve C
	ModerateSun                 // curve B, eight hours of moderate work
	HardSun                     // curve A, eight hours of hard work
)

// Daily is the water of one acclimatised adult in litres for a whole day, by the MEAN air temperature
// of day and night. Below 15 degC the first value holds, above 50 degC the last slope goes on; NaN
// reads as 15. It can exceed what may be drunk in a day (see DayOfHours): then so much work is not
// possible, and the litres say why.
func (t *Tables) Daily(meanC float64, a Activity) float64 {
	d := &t.DailyTable
	ys := d.RestShade
	switch a {
	case ModerateSun:
		ys = d.ModerateSun
	case HardSun:
		ys = d.HardSun
	}
	return along(d.MeanDegC, ys, meanC, true)
}

// Rates are litres per hour of one acclimatised adult. Base runs day and night; the others come on
// top while the work lasts, so that hours and people simply add up.
type Rates struct {
	Base, NoShade, Drive, Moderate, Hard Band
}

// Rates gives the hourly rates of a climate: a 24th of the resting curve, and for work what the
// curves A and B add for each of their eight hours. Hard work is never less than the work and rest
// table asks for at the hottest hour, rest included.
func (t *Tables) Rates(c Climate) Rates {
	c = c.Filled()
	f := &t.DailyTable.Figures
	rest, moderate, hard := t.Daily(c.MeanC, RestShade), t.Daily(c.MeanC, ModerateSun), t.Daily(c.MeanC, HardSun)
	spread := Of(f.Spread)
	base := max(rest, f.ColdFloor.Central) / 24
	addModerate := (moderate - rest) / f.WorkHours.Central
	addHard := (hard - rest) / f.WorkHours.Central
	wbgt := t.WBGT(c)
	if h := t.Hourly(wbgt, Moderate, Mixed, true).LitresPerHour.Central; h > base+addModerate {
		addModerate = h - base
	}
	if h := t.Hourly(wbgt, Hard, Mixed, true).LitresPerHour.Central; h > base+addHard {
		addHard = h - base
	}
	addHard = max(addHard, addModerate)
	return Rates{
		Base:     spread.Scale(base),
		NoShade:  Of(f.NoShadeShare).Scale((moderate - rest) / 24),
		Drive:    Of(f.DriveShare).Times(spread).Scale((moderate - rest) / f.WorkHours.Central),
		Moderate: spread.Scale(addModerate),
		Hard:     spread.Scale(addHard),
	}
}
