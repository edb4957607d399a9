package recovery

import (
	"fmt"
	"math"

	"lastroad/geo"
)

// LoadAt is the load in kg that a tyre carries at kPa when it carries maxKg at maxKPa, by the law of
// exponent n: L = Lmax (P/Pmax)^n. More than maxKPa gives no more than maxKg.
func LoadAt(maxKg, maxKPa, kPa, n float64) float64 {
	return maxKg * math.Pow(min(1, kPa/maxKPa), n)
}

// PressureFor is the pressure in kPa that carries kg, the inverse of [LoadAt]. ok is false when the
// tyre cannot carry it at all.
func PressureFor(maxKg, maxKPa, kg, n float64) (kPa float64, ok bool) {
	if !(kg >= 0) || kg > maxKg {
		return math.NaN(), false
	}
	return maxKPa * math.Pow(kg/maxKg, 1/n), true
}

// Exponent is the load law's exponent for a kind of tyre.
func (y *Tyres) Exponent(k TyreKind) float64 {
	if f, ok := y.Law[string(k)]; ok {
		return f.Central
	}
	return y.Law["linear"].Central
}

// TruckLoadKg is what a passenger tyre may carry on a truck or 4x4: its table load divided by 1.10.
func (y *Tyres) TruckLoadKg(kg float64) float64 { return kg / y.Law["light_truck_service"].Central }

// PressureAsk is a wheel in question. Pressures are gauge and cold.
type PressureAsk struct {
	Size     Size
	Ground   geo.Ground
	RoadKPa  float64 // placard pressure of the axle
	LoadKg   float64 // on this tyre
	MaxKg    float64 // its load index in kg; 0 = not known
	MaxKPa   float64 // pressure at which it carries MaxKg; 0 = not known
	Side     float64 // side slope of the ground, rise over run
	BeadLock bool
	Stuck    bool // to get unstuck, for a few metres
}

// Pressure is the answer.
type Pressure struct {
	KPa, LowKPa, HighKPa float64
	SpeedKmh             float64 // cap while at KPa; NaN when the road's own limit governs
	ContactM2            float64 // the tyre's print, about: load over pressure less what the carcass carries
	ContactGain          float64 // contact area over that at road pressure
	InTables             bool    // the standards still give a load for it
	LoadAtKg             float64 // by the law; NaN when MaxKg is not known
	Reason               string
	Cautions             []Caution
}

// Advise gives the pressure to go to on a ground. LT tyres follow makers' ranges, a heavier load
// further up in them; passenger and metric tyres may not use those: they take 20 % off the road
// pressure on dirt and go no lower than their makers' sand floor. Sealed road, snow and side slopes keep
// the road pressure. It never goes above road pressure, nor below 100 kPa without bead locks, except to
// get unstuck (69 kPa, at a crawl).
func (y *Tyres) Advise(a PressureAsk) (Pressure, error) {
	p := Pressure{SpeedKmh: math.NaN(), LoadAtKg: math.NaN(), Cautions: y.cautions("tyres")}
	if a.Ground >= geo.NumGrounds {
		return p, refuse("ground", fmt.Sprintf("%d is not a ground class", a.Ground), "")
	}
	if err := first(limit{100, 900, "kPa"}.check("road pressure", a.RoadKPa), limit{50, 5000, "kg"}.check("load on the tyre", a.LoadKg)); err != nil {
		return p, err
	}
	for _, v := range []struct {
		name string
		l    limit
		v    float64
	}{{"tyre's greatest load", limit{100, 5000, "kg"}, a.MaxKg}, {"pressure of the greatest load", limit{100, 900, "kPa"}, a.MaxKPa}} {
		if v.v != 0 {
			if err := v.l.check(v.name, v.v); err != nil {
				return p, err
			}
		}
	}
	if a.MaxKg > 0 && a.LoadKg > a.MaxKg {
		return p, refuse("load on the tyre", fmt.Sprintf("%.0f kg is more than the tyre's %.0f kg", a.LoadKg, a.MaxKg), "carry less or fit tyres of a higher load index")
	}
	keep := func(reason string) { p.KPa, p.LowKPa, p.HighKPa, p.Reason = a.RoadKPa, a.RoadKPa, a.RoadKPa, reason }
	share := 0.5 // of the range, when the tyre's greatest load is not known
	if a.MaxKg > 0 {
		share = clamp((a.LoadKg/a.MaxKg-0.5)/0.5, 0, 1)
	}
	key := a.Ground.Key()
	switch {
	case a.Stuck:
		p.KPa = min(a.RoadKPa, y.Rule["stuck_floor"].Central)
		p.LowKPa, p.HighKPa = min(p.KPa, y.Rule["stuck_floor"].Central), min(a.RoadKPa, y.Rule["floor"].Central)
		p.SpeedKmh = y.Rule["stuck_kmh"].Central
		p.Reason = "only to get unstuck, at a crawl; reinflate at once"
	case a.Ground == geo.Sealed:
		keep("sealed road: the placard's pressure")
	case a.Ground == geo.Snow:
		keep("snow or ice on a road: the placard's pressure, do not deflate")
	case a.Side > 0.15: // judgement: about half of the usual side-slope limit
		keep("side slope: road pressure holds the bead on the rim")
		p.SpeedKmh = y.Speed[key].Central
	case a.Size.Kind == TyreLT:
		r := y.LT[key]
		p.LowKPa, p.HighKPa = min(a.RoadKPa, r.Low), min(a.RoadKPa, r.High)
		p.KPa = min(a.RoadKPa, r.Low+share*(r.High-r.Low))
		p.SpeedKmh = y.Speed[key].Central
		p.Reason = fmt.Sprintf("makers' range for LT tyres on %s, %.0f to %.0f kPa, by load", a.Ground, r.Low, r.High)
	default:
		dirt := a.RoadKPa * y.Rule["dirt_share"].Central
		floor := y.Rule["metric_floor"].Central
		p.LowKPa, p.KPa, p.HighKPa = dirt, dirt, a.RoadKPa
		p.SpeedKmh = min(80, y.Speed[key].Central)
		p.Reason = "road pressure less 20 % (not an LT tyre)"
		if a.Ground == geo.Sand || a.Ground == geo.Salt {
			p.LowKPa, p.HighKPa = min(dirt, floor), dirt
			p.KPa = p.LowKPa + share*(p.HighKPa-p.LowKPa)*0.5
			p.SpeedKmh = y.Rule["metric_speed"].High
			p.Reason = fmt.Sprintf("in steps down towards the floor of %.0f kPa for tyres that are not LT", floor)
		}
	}
	if !a.Stuck {
		if floor := y.Rule["floor"].Central; !a.BeadLock && p.KPa < floor {
			p.KPa = min(a.RoadKPa, floor)
		}
		p.LowKPa = min(p.KPa, p.LowKPa)
		p.HighKPa = max(p.KPa, p.HighKPa)
		if p.KPa < y.Rule["low_speed_kpa"].Central && a.Size.Kind != TyreLT {
			p.SpeedKmh = math.Min(p.SpeedKmh, y.Rule["low_speed_kmh"].Central)
		}
	}
	p.ContactM2 = ContactM2(a.LoadKg*Gravity, p.KPa) * y.Rule["contact_share"].Central
	p.ContactGain = a.RoadKPa / p.KPa
	if a.MaxKg > 0 && a.MaxKPa > 0 {
		p.LoadAtKg = LoadAt(a.MaxKg, a.MaxKPa, p.KPa, y.Exponent(a.Size.Kind))
		p.InTables = p.LoadAtKg >= a.LoadKg && p.KPa >= y.tableFloorKPa(a.Size.Kind, a.Size.Text)
		if !p.InTables && p.KPa < a.RoadKPa {
			p.Reason += "; below what the standards give for this load, so slow driving only"
		}
	}
	return p, nil
}

// tableFloorKPa is the lowest pressure for which the standards give a load: 35 psi LT, 25 flotation, 22 passenger.
func (y *Tyres) tableFloorKPa(k TyreKind, text string) float64 {
	if k != TyreLT {
		return PsiToKPa(22)
	}
	if flotationSize.MatchString(text) {
		return PsiToKPa(25)
	}
	return PsiToKPa(35)
}

// HotKPa is what a tyre set cold to kPa may read after driving; a rise of a fifth is usual and is never
// bled off. More than that says that the tyre carries too much, runs too fast, or was too soft.
func (y *Tyres) HotKPa(kPa float64) float64 { return kPa * (1 + y.Rule["hot_rise"].Central) }

// DirtRule is the instructors' rule from sealed road to dirt: a fifth off pressure and speed.
func (y *Tyres) DirtRule(kPa, kmh float64) (kPaDirt, kmhDirt float64) {
	s := y.Rule["dirt_share"].Central
	return kPa * s, kmh * s
}
