package papers

import (
	"fmt"
	"math"
	"time"

	"lastroad/app/trip"
	"lastroad/geo/facts"
	"lastroad/risk"
)

// column is one column of the per-leg table that the CSV, the workbook and the Markdown list share.
// The unit stands in the header; value gives a float64 (NaN = unknown), an int or a string.
type column struct {
	header string
	value  func(d *trip.Document, i int, f facts.Facts, l risk.LegJudgement) any
}

func band(name, unit string, get func(n risk.Needs) risk.Band) []column {
	cell := func(pick func(risk.Band) float64) func(*trip.Document, int, facts.Facts, risk.LegJudgement) any {
		return func(_ *trip.Document, _ int, _ facts.Facts, l risk.LegJudgement) any { return pick(get(l.Needs)) }
	}
	return []column{
		{name + " low (" + unit + ")", cell(func(b risk.Band) float64 { return b.Low })},
		{name + " (" + unit + ")", cell(func(b risk.Band) float64 { return b.Central })},
		{name + " high (" + unit + ")", cell(func(b risk.Band) float64 { return b.High })},
	}
}

func fact(header string, get func(f facts.Facts) float64) column {
	return column{header, func(_ *trip.Document, _ int, f facts.Facts, _ risk.LegJudgement) any { return get(f) }}
}

func need(header string, get func(n risk.Needs) float64) column {
	return column{header, func(_ *trip.Document, _ int, _ facts.Facts, l risk.LegJudgement) any { return get(l.Needs) }}
}

func pull(header string, get func(p risk.PullNeed) any) column {
	return column{header, func(_ *trip.Document, _ int, _ facts.Facts, l risk.LegJudgement) any {
		if l.Needs.Pull == nil {
			return ""
		}
		return get(*l.Needs.Pull)
	}}
}

// legColumns are the columns of the per-leg table, in order.
func legColumns() []column {
	c := []column{
		{"leg", func(_ *trip.Document, i int, _ facts.Facts, _ risk.LegJudgement) any { return i + 1 }},
		{"name", func(_ *trip.Document, _ int, f facts.Facts, _ risk.LegJudgement) any { return f.Name }},
		fact("from (km)", func(f facts.Facts) float64 { return f.FromM / 1000 }),
		fact("to (km)", func(f facts.Facts) float64 { return f.ToM / 1000 }),
		fact("length (km)", func(f facts.Facts) float64 { return f.LengthM / 1000 }),
		{"ground", func(_ *trip.Document, _ int, f facts.Facts, _ risk.LegJudgement) any { return groundWords(f) }},
		fact("climb (m)", func(f facts.Facts) float64 { return f.AscentM }),
		fact("fall (m)", func(f facts.Facts) float64 { return f.DescentM }),
		fact("steepest up (%)", func(f facts.Facts) float64 { return 100 * f.UpGrade }),
		fact("steepest down (%)", func(f facts.Facts) float64 { return 100 * f.DownGrade }),
		fact("side slope (%)", func(f facts.Facts) float64 { return 100 * f.SideSlope }),
		fact("to maintained road, straight (km)", func(f facts.Facts) float64 { return f.RoadM / 1000 }),
		fact("to maintained road, driving (km)", func(f facts.Facts) float64 { return f.DriveM / 1000 }),
		fact("to maintained road, driving (min)", func(f facts.Facts) float64 { return f.DriveMin }),
		fact("walk out (min)", func(f facts.Facts) float64 { return f.WalkMin }),
		{"fords", func(_ *trip.Document, _ int, f facts.Facts, _ risk.LegJudgement) any { return f.Fords }},
		{"possible fords", func(_ *trip.Document, _ int, f facts.Facts, _ risk.LegJudgement) any { return len(f.Crossings) }},
		{"gates", func(_ *trip.Document, _ int, f facts.Facts, _ risk.LegJudgement) any { return f.Gates }},
		{"readiness (0-100)", func(_ *trip.Document, _ int, _ facts.Facts, l risk.LegJudgement) any { return l.Score.Readiness }},
		{"verdict", func(_ *trip.Document, _ int, _ facts.Facts, l risk.LegJudgement) any { return l.Score.Word }},
		{"stopped (chance)", func(_ *trip.Document, _ int, _ facts.Facts, l risk.LegJudgement) any { return l.Score.Stopped.P }},
		{"not out unaided (chance)", func(_ *trip.Document, _ int, _ facts.Facts, l risk.LegJudgement) any { return l.Score.NotUnaided.P }},
		{"no help in time (chance)", func(_ *trip.Document, _ int, _ facts.Facts, l risk.LegJudgement) any { return l.Score.NoHelp.P }},
	}
	c = append(c, band("driving time", "min", func(n risk.Needs) risk.Band { return n.MoveMin })...)
	c = append(c, need("daylight left (min)", func(n risk.Needs) float64 { return n.DaylightMin }),
		column{"arrive (UTC)", func(_ *trip.Document, _ int, _ facts.Facts, l risk.LegJudgement) any {
			if l.Needs.ArriveUnix == 0 {
				return ""
			}
			return time.Unix(l.Needs.ArriveUnix, 0).UTC().Format("2006-01-02 15:04")
		}})
	c = append(c, band("drinking water", "L", func(n risk.Needs) risk.Band { return n.WaterL })...)
	c = append(c, need("water carried (L)", func(n risk.Needs) float64 { return n.WaterHaveL }),
		need("cooling water (L)", func(n risk.Needs) float64 { return n.CoolingL }))
	c = append(c, band("fuel", "L", func(n risk.Needs) risk.Band { return n.FuelL })...)
	c = append(c, need("fuel to next place with reserve (L)", func(n risk.Needs) float64 { return n.FuelReachL.Central }),
		need("fuel on entry (L)", func(n risk.Needs) float64 { return n.FuelHaveL.Central }))
	c = append(c, band("time until help", "h", func(n risk.Needs) risk.Band { return n.StrandedH })...)
	c = append(c, need("tyre front (kPa)", func(n risk.Needs) float64 { return n.PressureKPa[0] }),
		need("tyre rear (kPa)", func(n risk.Needs) float64 { return n.PressureKPa[1] }),
		need("speed while low (km/h)", func(n risk.Needs) float64 { return n.SpeedCapKmh }),
		need("pump up again (min)", func(n risk.Needs) float64 { return n.CompressorMin }),
		pull("recovery state", func(p risk.PullNeed) any { return p.State }),
		pull("pull low (kN)", func(p risk.PullNeed) any { return p.RequiredKN.Low }),
		pull("pull (kN)", func(p risk.PullNeed) any { return p.RequiredKN.Central }),
		pull("pull high (kN)", func(p risk.PullNeed) any { return p.RequiredKN.High }),
		pull("rig", func(p risk.PullNeed) any {
			if p.Rig == "" {
				return "none holds: " + p.Fails
			}
			return p.RigTitle
		}),
		pull("line needed (m)", func(p risk.PullNeed) any { return planned(p.LineM) }),
		pull("anchor (kN)", func(p risk.PullNeed) any { return planned(p.AnchorKN) }),
		pull("weakest link", func(p risk.PullNeed) any { return p.WeakLink }),
		pull("margin of weakest link", func(p risk.PullNeed) any { return p.Margin }),
		column{"second vehicle needed", func(_ *trip.Document, _ int, _ facts.Facts, l risk.LegJudgement) any {
			if l.Needs.SecondVehicle {
				return "yes"
			}
			return "no"
		}},
		column{"largest loss", func(_ *trip.Document, _ int, _ facts.Facts, l risk.LegJudgement) any {
			if len(l.Score.Lost) == 0 {
				return ""
			}
			return l.Score.Lost[0].Text
		}})
	return c
}

// planned is a figure of a rig, unknown where none was planned.
func planned(v float64) float64 {
	if v == 0 {
		return math.NaN()
	}
	return v
}

func groundWords(f facts.Facts) string {
	t := ""
	for _, g := range f.Ground {
		if g.Share < 0.005 {
			continue
		}
		if t != "" {
			t += ", "
		}
		t += fmt.Sprintf("%s %.0f %%", g.Ground, 100*g.Share)
	}
	return t
}

// rows gives the values of every leg, in the order of legColumns.
func rows(d *trip.Document) [][]any {
	cols := legColumns()
	var out [][]any
	for i, l := range d.Judgement.Legs {
		f := facts.Of(d.Survey, l.Leg)
		r := make([]any, len(cols))
		for k, c := range cols {
			r[k] = c.value(d, i, f, l)
		}
		out = append(out, r)
	}
	return out
}

// unknown reports whether a cell has no value.
func unknown(v any) bool {
	f, ok := v.(float64)
	return ok && (math.IsNaN(f) || math.IsInf(f, 0))
}
