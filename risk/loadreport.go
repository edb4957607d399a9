package risk

import (
	"math"

	"lastroad/risk/supply"
)

// loadOf puts the party on the scales.
func (st *study) loadOf(p *Party) supply.LoadReport { return st.cat.Supply.Load(st.loadInput(p)) }

// loadInput is the party as it sets out.
func (st *study) loadInput(p *Party) supply.LoadInput {
	v := &p.Vehicle
	in := supply.LoadInput{Vehicle: supply.LoadVehicle{KerbKg: v.KerbKg, GVMKg: v.GVMKg, FrontLimitKg: v.FrontAxleKg, RearLimitKg: v.RearAxleKg,
		RoofLimitKg: v.RoofKg, KerbFrontShare: v.KerbFrontShare, WheelbaseM: v.WheelbaseM, TrackM: v.TrackM, CGHeightM: v.CGHeightM,
		Fuel: supply.FuelKind(v.Fuel), KerbFuelL: v.TankL}, People: people(p.People), FuelL: v.TankL, OffRoad: st.offRoad()}
	in.Items = make([]supply.LoadItem, 0, len(p.Load))
	for _, l := range p.Load {
		it, ok := st.cat.Item(l.Item)
		place, kg, vol := l.Place, l.MassKg, 0.0
		if ok {
			if place == "" {
				place = it.Place
			}
			if kg == 0 {
				kg = it.MassKg
			}
			vol = it.VolumeL * l.Count
		}
		switch l.Item {
		case "fuel":
			in.CansL += l.Count
			in.CansPlace = place
			continue
		case "water":
			in.WaterL += l.Count
			in.WaterPlace = place
			continue
		}
		in.Items = append(in.Items, supply.LoadItem{Name: l.Item, Kg: kg * l.Count, Place: place, VolumeL: vol})
	}
	return in
}

// loadAlong fills the mass budget on entering each leg by what is burned and drunk until there, and finds
// limits that are first exceeded on the way: emptying a can behind the rear axle puts load on the front one.
func (st *study) loadAlong(legs []LegJudgement) {
	in := st.loadInput(&st.trip.Party)
	stock := st.x.water(in.WaterL)
	fuel, water := make([]float64, len(legs)), make([]float64, len(legs))
	for i := range legs {
		at := st.survey.Legs[i].From
		if t := st.tank; t != nil && t.model != nil {
			fuel[i] = math.Max(0, t.forward[at].Central-t.forward[st.facts.last[at]].Central)
		}
		water[i] = in.WaterL - stock.left[at]
	}
	atStart := map[string]bool{}
	for i, r := range st.cat.Supply.LoadAlong(in, fuel, water) {
		l := &legs[i]
		l.Needs.Supply.Load = LegLoad{TotalKg: r.TotalKg, PayloadLeftKg: r.PayloadLeftKg, FrontKg: r.FrontKg, RearKg: r.RearKg, RoofKg: r.RoofKg,
			CGHeightM: r.CGHeightM, TipAngleDeg: r.TipDeg, FuelL: math.Max(0, in.FuelL+in.CansL-fuel[i]), WaterL: math.Max(0, in.WaterL-math.Max(0, water[i]))}
		for _, o := range r.Over {
			if i == 0 {
				atStart[o.Key] = true // a finding of the whole trip
			} else if !atStart[o.Key] {
				atStart[o.Key] = true
				l.Findings = append(l.Findings, Finding{Key: "over_" + o.Key, Severity: Stop, Leg: l.Leg, Cautions: r.Cautions,
					Text: o.Text + " It was within it at the start: what is burned and drunk shifts the load."})
			}
		}
	}
}

// offRoad reports whether any of the route is unmade, for the roof's limit.
func (st *study) offRoad() bool {
	for i := range st.survey.Grounds {
		if st.survey.Grounds[i].P[1] < 1 {
			return true
		}
	}
	return false
}

// loadReport is the budget as the party sets out.
func (st *study) loadReport() LoadReport {
	if st.load == nil {
		r := st.loadOf(&st.trip.Party)
		st.loaded = r
		v := &st.trip.Party.Vehicle
		w := 0.0
		f := v.TankL
		for _, l := range st.trip.Party.Load {
			switch l.Item {
			case "water":
				w += l.Count
			case "fuel":
				f += l.Count
			}
		}
		st.load = &LoadReport{TotalKg: r.TotalKg, GVMKg: v.GVMKg, PayloadLeftKg: r.PayloadLeftKg, FrontKg: r.FrontKg, RearKg: r.RearKg,
			FrontLimitKg: v.FrontAxleKg, RearLimitKg: v.RearAxleKg, RoofKg: r.RoofKg, RoofLimitKg: finite(r.RoofLimitKg), CGHeightM: r.CGHeightM,
			TipAngleDeg: r.TipDeg, SSF: r.SSF, WaterL: w, FuelL: f, ItemsKg: r.ItemsKg, PeopleKg: r.PeopleKg, FluidsKg: r.FuelKg + r.WaterKg, VolumeL: r.VolumeL,
			DefaultsUsed: append([]string(nil), v.Defaulted...)}
	}
	return *st.load
}

func finite(v float64) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	return v
}
