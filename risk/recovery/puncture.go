package recovery

import (
	"fmt"
	"math"
	"slices"
)

// Wound is a hole in a tyre.
type Wound struct {
	Place   string  // "tread", "shoulder", "sidewall", "bead"
	MM      float64 // across
	TreadMM float64 // tread left; 0 = not measured
	Flat    bool    // it was driven on without air
	Near    bool    // another repair lies beside it, so that the two overlap
}

// Repair is what can be done.
type Repair struct {
	Plug      bool // a string plug on the track, temporary
	Permanent bool // a plug and patch from inside may follow at a workshop
	Spare     bool // fit the spare
	SpeedKmh  float64
	Reason    string
	Cautions  []Caution
}

// Mend judges a wound by the rules of the tyre makers' association: only the tread, at most 6 mm, tread
// not worn out, tyre not driven flat, repairs not overlapping.
func (y *Tyres) Mend(w Wound) (Repair, error) {
	r := Repair{Cautions: y.cautions("puncture", "tyres"), SpeedKmh: y.Rule["plug_kmh"].Central}
	if !slices.Contains([]string{"tread", "shoulder", "sidewall", "bead"}, w.Place) {
		return r, refuse("place of the hole", fmt.Sprintf("%q is not known", w.Place), "use tread, shoulder, sidewall or bead")
	}
	if err := first(limit{0.1, 500, "mm"}.check("hole", w.MM), limit{0, 30, "mm"}.check("tread", w.TreadMM)); err != nil {
		return r, err
	}
	most, tread := y.Rule["repair_mm"].Central, y.Rule["tread_mm"].Central
	switch {
	case w.Place != "tread":
		r.Reason = "side walls, shoulders and beads bend and are not repaired"
	case w.MM > most:
		r.Reason = fmt.Sprintf("%.0f mm across; at most %.0f mm are repaired", w.MM, most)
	case w.Flat:
		r.Reason = "driven without air: the carcass may be broken inside"
	case w.TreadMM > 0 && w.TreadMM < tread:
		r.Reason = fmt.Sprintf("%.1f mm of tread left, %.1f mm are the limit", w.TreadMM, tread)
	case w.Near:
		r.Plug, r.Reason = true, "a plug may hold for the way out, but overlapping repairs are not made permanent"
	default:
		r.Plug, r.Permanent, r.Reason = true, true, "a plug for the way out, then plug and patch from inside"
	}
	r.Spare = !r.Plug
	if r.Spare {
		r.SpeedKmh = math.NaN()
	}
	return r, nil
}

// Spares is how many spare wheels a stretch asks for.
type Spares struct {
	Count  int
	Reason string
}

// SparesFor is the common rule: one, and two on long remote stony stretches (length judged, see the
// table). The chance of needing them is worked out elsewhere from the rates.
func (y *Tyres) SparesFor(stonyKm float64, remote bool) Spares {
	if remote && stonyKm >= y.Rule["spare_stony_km"].Central {
		return Spares{2, fmt.Sprintf("%.0f km of remote stony ground: two", stonyKm)}
	}
	return Spares{1, "one full-size spare of the fitted size"}
}

// SparePlace is a place where a spare may ride.
type SparePlace struct {
	Key       string  // "under", "rear_door", "rear_bar", "roof", "inside"
	XM, HM    float64 // of the wheel's centre: behind the front axle, above the ground
	MaxDiaM   float64 // largest wheel that fits; 0 = not limited
	MaxKg     float64 // rated load; 0 = not stated: not usable beyond the original wheel
	OriginalM float64 // diameter of the wheel it was made for; 0 = none
}

// SpareRide is one place judged.
type SpareRide struct {
	Place   SparePlace
	Fits    bool
	Reason  string
	Balance Balance // the vehicle with the spare there
}

// SpareRides judges each place for a spare of the given diameter and mass and shows what it does to
// axle loads and centre of gravity. The vehicle is given without a spare.
func (t *Tables) SpareRides(f Frame, diameterM, kg float64, places []SparePlace) ([]SpareRide, error) {
	if err := first(limit{0.4, 1.4, "m"}.check("spare diameter", diameterM), limit{5, 150, "kg"}.check("spare mass", kg)); err != nil {
		return nil, err
	}
	out := make([]SpareRide, 0, len(places))
	for _, p := range places {
		b, err := t.Load(f, Mass{kg, p.XM, p.HM})
		if err != nil {
			return nil, err
		}
		r := SpareRide{Place: p, Balance: b, Fits: true, Reason: "fits"}
		switch {
		case p.MaxDiaM > 0 && diameterM > p.MaxDiaM:
			r.Fits, r.Reason = false, fmt.Sprintf("%.0f mm across, the place takes %.0f mm", diameterM*1000, p.MaxDiaM*1000)
		case p.MaxKg > 0 && kg > p.MaxKg:
			r.Fits, r.Reason = false, fmt.Sprintf("%.0f kg, the carrier is rated %.0f kg", kg, p.MaxKg)
		case p.MaxKg == 0 && p.OriginalM > 0 && diameterM > p.OriginalM*1.03:
			r.Fits, r.Reason = false, "larger than the wheel the carrier was made for, and its rating is not stated"
		case p.MaxKg == 0 && p.OriginalM == 0:
			r.Fits, r.Reason = false, "the carrier's rating is not stated"
		}
		out = append(out, r)
	}
	return out, nil
}
