package supply

import "math"

// Work is how hard people work.
type Work uint8

// The kinds of work. Digging a vehicle out or winding it out by hand is Hard.
const (
	Rest     Work = iota
	Easy          // walking hard ground at 4 km/h with little load, upkeep of gear
	Moderate      // loose sand at 4 km/h without load, hard ground at 5.6 km/h
	Hard          // the same with a load; digging, hand winching
	VeryHard      // a column of the Canadian table only; elsewhere read as Hard
)

// Exposure is sun or shade.
type Exposure uint8

// The exposures.
const (
	Mixed Exposure = iota
	FullSun
	FullShade
)

// Climate is the weather of a leg. NaN stands for not given and reads as 20 degC mean.
type Climate struct {
	MeanC     float64 // mean air temperature of day and night
	MaxC      float64 // highest shade temperature of the day
	NightMinC float64
	Humid     bool // tropical or coastal air; else dry
}

// Filled gives c with missing numbers put in: the mean from maximum and minimum or the reverse, with
// a daily span of 14 K in dry and 8 K in humid air (judgement), 20 degC when nothing is given.
func (c Climate) Filled() Climate {
	half := 7.0
	if c.Humid {
		half = 4
	}
	if math.IsNaN(c.MeanC) {
		switch {
		case !math.IsNaN(c.MaxC) && !math.IsNaN(c.NightMinC):
			c.MeanC = (c.MaxC + c.NightMinC) / 2
		case !math.IsNaN(c.MaxC):
			c.MeanC = c.MaxC - half
		case !math.IsNaN(c.NightMinC):
			c.MeanC = c.NightMinC + half
		default:
			c.MeanC = 20
		}
	}
	if math.IsNaN(c.MaxC) {
		c.MaxC = c.MeanC + half
	}
	if math.IsNaN(c.NightMinC) {
		c.NightMinC = c.MeanC - half
	}
	return c
}

// HourlyWater is one cell of the work and rest table.
type HourlyWater struct {
	// Category is 1 to 5 by heat, 0 below the table (read as category 1 without limits of work).
	Category         int
	WorkMin, RestMin float64 // minutes of each hour
	LitresPerHour    Band    // low and high are the individual spread; never above the hourly cap
}

// Hourly looks the work and rest table up for one adult at a wet-bulb globe temperature in degC.
// Rest reads the column for easy work. People who are not acclimatised are read as if it were
// somewhat hotter. NaN reads as below the table. Holds for at least four hours of work.
func (t *Tables) Hourly(wbgtC float64, w Work, sun Exposure, acclimatised bool) HourlyWater {
	h := &t.HourlyTable
	f := &h.Figures
	if !acclimatised {
		wbgtC += f.UnacclimatisedWBGT.Central
	}
	degF := wbgtC*9/5 + 32
	cat := 0
	for cat < len(h.LowerDegF) && degF >= h.LowerDegF[cat]-1e-9 { // 1e-9: rounding of the conversion at an exact bound
		cat++
	}
	row := max(cat-1, 0)
	water, work := h.Easy, h.EasyWorkMin
	switch w {
	case Moderate:
		water, work = h.Moderate, h.ModerateWorkMin
	case Hard, VeryHard:
		water, work = h.Hard, h.HardWorkMin
	}
	out := HourlyWater{Category: cat, WorkMin: work[row]}
	if cat == 0 {
		out.WorkMin = 60
	}
	out.RestMin = 60 - out.WorkMin
	l := water[row]
	switch sun {
	case FullSun:
		l += f.Exposure.Central
	case FullShade:
		l -= f.Exposure.Central
	}
	cap := f.CapHour.Central
	out.LitresPerHour = Band{within(l-f.Individual.Central, 0, cap), within(l, 0, cap), within(l+f.Individual.Central, 0, cap)}
	return out
}

// HourlyCanadian looks the Canadian Forces table up, litres an hour for one adult; ok is false below
// its first band (WBGT 20 degC) and for NaN. It is a second opinion beside Hourly.
func (t *Tables) HourlyCanadian(wbgtC float64, w Work) (litres float64, ok bool) {
	c := &t.Canadian
	col := c.Light
	switch w {
	case Moderate:
		col = c.Moderate
	case Hard:
		col = c.Heavy
	case VeryHard:
		col = c.VeryHeavy
	}
	for i, lower := range c.LowerDegC {
		if wbgtC >= lower {
			litres, ok = col[i], true
		}
	}
	return litres, ok
}

// MostWork is the hardest work that Canadian Forces guidance still allows people who are not
// acclimatised at a wet-bulb globe temperature in degC; NaN gives Easy.
func (t *Tables) MostWork(wbgtC float64) Work {
	c := &t.Canadian
	switch {
	case wbgtC < c.NoVeryHeavyFrom:
		return VeryHard
	case wbgtC < c.NoHeavyFrom:
		return Hard
	case wbgtC < c.NoModerateFrom:
		return Moderate
	}
	return Easy
}

// DayOfHours is the water of hours at litresPerHour within one day, for one adult, held below the
// daily cap; capped tells that it was. More than the cap harms: the work must shrink, not the cap.
func (t *Tables) DayOfHours(litresPerHour, hours float64) (litres float64, capped bool) {
	l := math.Min(litresPerHour, t.HourlyTable.Figures.CapHour.Central) * math.Max(0, hours)
	if cap := t.HourlyTable.Figures.CapDay.Central; l > cap {
		return cap, true
	}
	return l, false
}

// VapourHPa is the pressure of water vapour saturated at the dew point, in hPa (Magnus form
// published by the Australian Bureau of Meteorology with its thermal stress indices).
func VapourHPa(dewC float64) float64 { return 6.105 * math.Exp(17.27*dewC/(237.7+dewC)) }

// WBGT estimates the wet-bulb globe temperature in degC from shade temperature and vapour pressure:
// 0.567 Ta + 0.393 e + 3.94 (simplified form of the American College of Sports Medicine 1984 as used
// by the Australian Bureau of Meteorology; constants from memory). It assumes fairly strong sun and
// light wind, so it reads high under cloud, in wind and at night.
func WBGT(airC, vapourHPa float64) float64 { return 0.567*airC + 0.393*vapourHPa + 3.94 }

// WBGT estimates the wet-bulb globe temperature of the hottest hour of c, the dew point taken from
// the night minimum (FAO Irrigation and Drainage Paper 56).
func (t *Tables) WBGT(c Climate) float64 {
	c = c.Filled()
	below := t.HourlyTable.Figures.DewBelowMinDry.Central
	if c.Humid {
		below = t.HourlyTable.Figures.DewBelowMinHumid.Central
	}
	return WBGT(c.MaxC, VapourHPa(math.Min(c.NightMinC-below, c.MaxC)))
}
