package supply

import "math"

// TauInput is what a waiting party has.
type TauInput struct {
	People  []Person
	WaterL  float64 // drinking water left for all; less than 0 and NaN count as none
	Climate Climate
	// BeddingC is the comfort temperature of the worst-equipped person's bedding in degC; NaN = ordinary clothes only.
	BeddingC float64
	Outside  bool    // the vehicle gives no shelter (on its side, under water)
	MedicalH float64 // hours an injury or a missing medicine allows; 0 or NaN = no such limit
}

// Tau is how long everybody can wait, hours.
type Tau struct {
	Hours, WaterH, WarmthH, MedicalH float64 // MedicalH is +Inf without a medical limit
	By                               string  // "water", "warmth", "medical", "limit"
}

// Tau is the least of the times that water, warmth and a medical limit allow. Water is shared by need.
// It lasts each person until drinking by need has used it up and a bearable share of the body mass is
// lost (children reach that first), and never longer than a stated share of the expected survival at
// rest in the shade. More water, warmer bedding or fewer people never shorten it; hotter days never
// lengthen it. Without people it is the overall limit.
func (t *Tables) Tau(in TauInput) Tau { return t.Waiters(in).Tau(in.WaterL) }

// Waiters are a party of whom all is known that Tau asks for but the water left: for a caller who asks for many places.
type Waiters struct {
	t            *Tables
	in           TauInput
	maxC         float64
	adults, need float64       // people in adults; litres a day of one
	people       []weightShare // of each person
	warmthH      float64
}

type weightShare struct{ kg, share float64 }

// Waiters reckons what the water does not change.
func (t *Tables) Waiters(in TauInput) *Waiters {
	w := &Waiters{t: t, in: in, people: make([]weightShare, len(in.People))}
	c := in.Climate.Filled()
	w.maxC = c.MaxC
	w.need = math.Max(t.Daily(c.MeanC, RestShade), t.DailyTable.Figures.ColdFloor.Central)
	for i, p := range in.People {
		kg, _ := t.Mass(p)
		w.people[i] = weightShare{kg, t.Share(p)}
		w.adults += w.people[i].share
	}
	w.warmthH = t.warmth(c.NightMinC, in.BeddingC, in.Outside)
	return w
}

// Tau is [Tables.Tau] with so much water left.
func (w *Waiters) Tau(waterL float64) Tau {
	t := w.t
	f := &t.TauTable
	out := Tau{WaterH: f.Limit.Central, WarmthH: f.Limit.Central, MedicalH: math.Inf(1), Hours: f.Limit.Central, By: "limit"}
	if w.adults > 0 {
		each := math.Max(0, orElse(waterL, 0)) / w.adults
		last := t.Survival.Litres[len(t.Survival.Litres)-1]
		days := t.SurvivalDays(w.maxC, each) * t.Survival.Figures.SafeShare.Central
		if each > last {
			days += (each - last) / w.need
		}
		loss := t.Survival.Figures.BearableLoss.Central
		for _, p := range w.people {
			days = math.Min(days, (each+loss*p.kg/p.share)/w.need)
		}
		out.WaterH = math.Min(24*days, f.Limit.Central)
		out.WarmthH = w.warmthH
	}
	if w.in.MedicalH > 0 {
		out.MedicalH = w.in.MedicalH
	}
	for _, l := range [...]struct {
		h  float64
		by string
	}{{out.WaterH, "water"}, {out.WarmthH, "warmth"}, {out.MedicalH, "medical"}} {
		if l.h < out.Hours {
			out.Hours, out.By = l.h, l.by
		}
	}
	return out
}

// warmth is the hours that the cold allows: unlimited while the night in the vehicle is at or above
// the comfort temperature, from there halved for each few degrees below it (judgement, see the table).
func (t *Tables) warmth(nightC, beddingC float64, outside bool) float64 {
	f := &t.TauTable
	comfort := math.Min(orElse(beddingC, math.Inf(1)), f.ClothesComfort.Central)
	if !outside {
		nightC += f.VehicleGain.Central
	}
	short := comfort - nightC
	if short <= 0 {
		return f.Limit.Central
	}
	return f.WarmFull.Central * math.Exp2(-short/f.WarmHalfK.Central)
}
