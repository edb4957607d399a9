package supply

import (
	"fmt"
	"math"
	"slices"
)

// The places an item can ride in; supply.toml gives each its position. "tank" is the fuel tank.
var placeKeys = []string{"cab", "floor", "rear", "roof", "front", "ball", "tank"}

// LoadVehicle holds the limits and the geometry of a vehicle, kilograms and metres. A limit of 0 or
// NaN is not given and not checked; it is named in LoadReport.Unknown.
type LoadVehicle struct {
	KerbKg, GVMKg, FrontLimitKg, RearLimitKg float64
	RoofLimitKg                              float64 // dynamic limit as the maker states it, rack included
	KerbFrontShare                           float64 // of the kerb mass on the front axle; 0 = one half
	WheelbaseM, TrackM, CGHeightM            float64 // centre of gravity of the vehicle at kerb mass
	BallBehindM                              float64 // from the rear axle to the tow ball; 0 = the table's
	// KerbFuelL and KerbDriverKg are the fuel and the driver that the maker's kerb mass already holds
	// (EU: tank 90 % full and 75 kg; AU: tank full and none). They are taken off before the real ones are put on.
	KerbFuelL, KerbDriverKg float64
	Fuel                    FuelKind
	MaxBallKg               float64
}

// LoadItem is something carried.
type LoadItem struct {
	Name    string
	Kg      float64 // all pieces together
	Place   string  // one of the keys above; "" or unknown = floor
	VolumeL float64
	// XM and HeightM override the position: metres behind the front axle and above the ground; NaN or 0 = of the place.
	XM, HeightM float64
}

// LoadInput is a vehicle as it stands somewhere on the trip.
type LoadInput struct {
	Vehicle LoadVehicle
	People  []Person
	Items   []LoadItem // without fluids
	FuelL   float64    // in the tank
	CansL   float64    // fuel in cans, at CansPlace
	WaterL  float64    // carried water, at WaterPlace
	// CansPlace and WaterPlace are keys of places; "" = rear and floor.
	CansPlace, WaterPlace string
	OffRoad               bool // the roof limit is cut by the off-road factor
}

// Over is a limit that is exceeded.
type Over struct {
	Key             string // "gvm", "front_axle", "rear_axle", "roof", "ball"
	Kg, LimitKg     float64
	Text            string
	RoofOffRoadOnly bool // within the road limit, above the off-road share of it
}

// LoadReport is the mass budget.
type LoadReport struct {
	TotalKg, PayloadKg, PayloadLeftKg  float64 // left NaN when GVM is unknown
	PeopleKg, ItemsKg, FuelKg, WaterKg float64
	FrontKg, RearKg                    float64
	RoofKg, RoofLimitKg                float64 // limit as applied; NaN unknown
	BallKg                             float64
	VolumeL                            float64 // inside: cab, floor and rear
	CGHeightM, CGBehindM               float64 // metres above ground and behind the front axle
	SSF, TipDeg, DynamicTipDeg         float64 // static stability factor track/(2 h) and the angles; NaN unknown
	Over                               []Over
	Unknown                            []string // limits and sizes not given
	Cautions                           []string
}

var loadCautions = []string{
	"Weigh the loaded vehicle axle by axle: sums of lists are usually short. The maker's plate rules over every figure here.",
	"The tip angle is that of a rigid, parked vehicle: suspension, tyres, ruts, speed and moving load tip it much sooner.",
}

// placeOf is the place of a key in the vehicle, nil when there is none.
func (t *Tables) placeOf(key string) *place {
	for i := range t.Places {
		if t.Places[i].Key == key {
			return &t.Places[i]
		}
	}
	return nil
}

// Load adds up the masses, the axle loads by moments about the axles, the height of the centre of
// gravity and the static stability, and compares with the limits. Negative and NaN masses count as
// zero. Sums and heights grow with every mass put on the roof.
func (t *Tables) Load(in LoadInput) LoadReport {
	w := t.weighDry(&in)
	return w.filled(&in)
}

// weighing is a load on the scales.
type weighing struct {
	t                    *Tables
	r                    LoadReport
	mass, moment, height float64 // kg, kg x wheelbases behind the front axle, kg m
}

func (w *weighing) put(kg, x, h float64) {
	w.mass += kg
	w.moment += kg * x
	w.height += kg * h
}

// at puts a mass into a place of the vehicle, or where xm and hm say, metres behind the front axle and above ground.
func (w *weighing) at(v *LoadVehicle, kg float64, key string, xm, hm float64) {
	p := w.t.placeOf(key)
	if p == nil {
		p = w.t.placeOf("floor")
	}
	x, h := p.X.Central, p.Height.Central
	wb := v.WheelbaseM
	if key == "ball" && wb > 0 && v.BallBehindM > 0 {
		x = 1 + v.BallBehindM/wb
	}
	if wb > 0 && xm != 0 && !math.IsNaN(xm) {
		x = xm / wb
	}
	if hm > 0 {
		h = hm
	}
	w.put(kg, x, h)
}

// unknown notes a limit or size that is not given.
func (w *weighing) unknown(x float64, name string) bool {
	if x > 0 {
		return false
	}
	w.r.Unknown = append(w.r.Unknown, name)
	return true
}

// weighDry weighs vehicle, people and things, without what is burned and drunk on the way.
func (t *Tables) weighDry(in *LoadInput) *weighing {
	v := &in.Vehicle
	w := &weighing{t: t, r: LoadReport{Cautions: loadCautions}}
	r := &w.r
	cg := v.CGHeightM
	if w.unknown(cg, "height of the centre of gravity") {
		cg = 0.75 // kg m must be taken about something; SSF stays unknown
	}
	share := v.KerbFrontShare
	if !(share > 0) {
		share = 0.5
	}
	w.put(math.Max(0, orElse(v.KerbKg, 0)), 1-share, cg)
	fuelKg := t.FuelKg(v.Fuel)
	w.at(v, -math.Max(0, orElse(v.KerbFuelL, 0))*fuelKg, "tank", 0, 0)
	w.at(v, -math.Max(0, orElse(v.KerbDriverKg, 0)), "cab", 0, 0)
	for _, p := range in.People {
		kg, _ := t.Mass(p)
		r.PeopleKg += kg
		w.at(v, kg, "cab", 0, 0)
	}
	for _, it := range in.Items {
		kg := math.Max(0, orElse(it.Kg, 0))
		r.ItemsKg += kg
		w.at(v, kg, it.Place, it.XM, it.HeightM)
		switch it.Place {
		case "roof":
			r.RoofKg += kg
		case "ball":
			r.BallKg += kg
		default:
			r.VolumeL += math.Max(0, orElse(it.VolumeL, 0))
		}
	}
	return w
}

// filled puts fuel and water on top and closes the report. The weighing can be filled again otherwise.
func (w weighing) filled(in *LoadInput) LoadReport {
	v := &in.Vehicle
	wb := v.WheelbaseM
	r := &w.r
	r.Unknown = slices.Clip(r.Unknown)
	t, fuelKg := w.t, w.t.FuelKg(v.Fuel)
	fluid := func(l, density float64, place, usual string) float64 {
		kg := math.Max(0, orElse(l, 0)) * density
		if place == "" {
			place = usual
		}
		w.at(v, kg, place, 0, 0)
		if place == "roof" {
			r.RoofKg += kg
		}
		return kg
	}
	r.FuelKg = fluid(in.FuelL, fuelKg, "tank", "tank") + fluid(in.CansL, fuelKg, in.CansPlace, "rear")
	r.WaterKg = fluid(in.WaterL, 1, in.WaterPlace, "floor")
	r.TotalKg = w.mass
	r.PayloadKg = w.mass - math.Max(0, orElse(v.KerbKg, 0))
	r.RearKg = w.moment
	r.FrontKg = w.mass - w.moment
	r.CGBehindM, r.CGHeightM = math.NaN(), math.NaN()
	if w.mass > 0 {
		r.CGHeightM = w.height / w.mass
		if wb > 0 {
			r.CGBehindM = w.moment / w.mass * wb
		}
	}
	w.unknown(wb, "wheelbase")
	r.SSF, r.TipDeg, r.DynamicTipDeg = math.NaN(), math.NaN(), math.NaN()
	if !w.unknown(v.TrackM, "track width") && v.CGHeightM > 0 && r.CGHeightM > 0 {
		r.SSF = v.TrackM / (2 * r.CGHeightM) // NHTSA
		r.TipDeg = math.Atan(r.SSF) * 180 / math.Pi
		r.DynamicTipDeg = math.Atan(r.SSF*t.LoadTable.DynamicTip.Central) * 180 / math.Pi
	}
	r.PayloadLeftKg, r.RoofLimitKg = math.NaN(), math.NaN()
	over := func(key, name string, kg, limit float64) {
		if !w.unknown(limit, name) && kg > limit+1e-9 {
			r.Over = append(r.Over, Over{Key: key, Kg: kg, LimitKg: limit,
				Text: fmt.Sprintf("The %s is %.0f kg, %.0f kg above its limit of %.0f kg.", name, kg, kg-limit, limit)})
		}
	}
	over("gvm", "vehicle mass", r.TotalKg, v.GVMKg)
	if v.GVMKg > 0 {
		r.PayloadLeftKg = v.GVMKg - r.TotalKg
	}
	over("front_axle", "front axle load", r.FrontKg, v.FrontLimitKg)
	over("rear_axle", "rear axle load", r.RearKg, v.RearLimitKg)
	if r.RoofKg > 0 || v.RoofLimitKg > 0 {
		limit := v.RoofLimitKg
		if in.OffRoad {
			limit *= t.LoadTable.OffroadRoof.Central
		}
		before := len(r.Over)
		over("roof", "roof load", r.RoofKg, limit)
		if len(r.Over) > before && r.RoofKg <= v.RoofLimitKg {
			r.Over[before].RoofOffRoadOnly = true
		}
		if limit > 0 {
			r.RoofLimitKg = limit
		}
	}
	if r.BallKg > 0 {
		over("ball", "ball load", r.BallKg, v.MaxBallKg)
	}
	return *r
}

// BallLoad is the usual ball load of a loaded trailer, a tenth with its band, in kilograms.
func (t *Tables) BallLoad(trailerKg float64) Band { return Of(t.LoadTable.BallShare).Scale(trailerKg) }

// LoadAlong is the budget at each of the given states of fuel and water: what is burned and drunk
// comes off the tank first, then the cans, and off the water, all else staying where it is.
func (t *Tables) LoadAlong(start LoadInput, fuelUsedL, waterUsedL []float64) []LoadReport {
	if len(fuelUsedL) != len(waterUsedL) {
		panic("supply: fuel and water used differ in length")
	}
	out := make([]LoadReport, len(fuelUsedL))
	dry := t.weighDry(&start)
	for i := range fuelUsedL {
		s := start
		used := math.Max(0, orElse(fuelUsedL[i], 0))
		s.FuelL = math.Max(0, start.FuelL-used)
		s.CansL = math.Max(0, start.CansL-math.Max(0, used-start.FuelL))
		s.WaterL = math.Max(0, start.WaterL-math.Max(0, orElse(waterUsedL[i], 0)))
		out[i] = dry.filled(&s)
	}
	return out
}
