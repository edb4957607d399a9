package supply

import (
	"fmt"
	"math"

	"lastroad/geo"
)

// Gravity is the standard acceleration of free fall in m/s2.
const Gravity = 9.80665

// FuelKind is petrol or diesel.
type FuelKind string

// The fuels.
const (
	Petrol FuelKind = "petrol"
	Diesel FuelKind = "diesel"
)

// FuelVehicle is what the fuel model needs to know of a vehicle.
type FuelVehicle struct {
	Fuel FuelKind
	// SealedLPer100 is the user's own consumption on the open sealed road, L/100 km.
	SealedLPer100 float64
	// MassKg is the mass at which that was observed: kerb mass, crew and usual load.
	MassKg       float64
	EngineL      float64 // displacement in litres
	ReferenceKmh float64 // speed of the observation; 0 = the table's
	CdA          float64 // drag area in m2 at the observation; 0 = the table's
	RoofLoad     bool    // a load on the roof that was not there at the observation
}

// FuelModel turns stretches of a route into litres. It is calibrated so that the observed mass on
// level sealed road at the reference speed uses exactly the observed consumption.
//
// Litres are idle rate x time + tractive work / (efficiency x energy of the fuel). Tractive work is
// m g (crr cos + sin) + air drag along the slope; downhill the weight can pay for rolling but not for
// air drag, and nothing is given back, so a heavier vehicle never needs less. Low range adds its share
// of losses and idles faster. Left out: wind, turning, gear changes, wheel slip beyond what the rolling
// figure holds.
type FuelModel struct {
	mjPerL, eta, cda, idleLh float64
	day, lossLow             Band
	fastIdle, gradeLow       float64
	ground                   [geo.NumGrounds]groundRoll
	warning                  string
}

// RoadLoadN is the force in newtons that holds a speed: mass in kg, rolling resistance, grade as rise
// over run, air density in kg/m3, drag area in m2, speed in m/s. Negative where the slope drives.
func RoadLoadN(massKg, crr, grade, density, cdA, speedMS float64) float64 {
	c := 1 / math.Sqrt(1+grade*grade)
	return massKg*Gravity*(crr*c+grade*c) + 0.5*density*cdA*speedMS*speedMS
}

// LPer100Of is the consumption in L/100 km of a force in newtons at an efficiency from fuel to wheels
// and an energy in MJ/L.
func LPer100Of(forceN, eta, mjPerL float64) float64 { return forceN * 0.1 / (eta * mjPerL) }

// EnergyMJ is the net energy of a litre of fuel; an unknown kind reads as petrol, the weaker one.
func (t *Tables) EnergyMJ(f FuelKind) float64 {
	if f == Diesel {
		return t.FuelTable.DieselMJ.Central
	}
	return t.FuelTable.PetrolMJ.Central
}

// FuelKg is the mass of a litre of fuel in kg; an unknown kind reads as diesel, the heavier one.
func (t *Tables) FuelKg(f FuelKind) float64 {
	if f == Petrol {
		return t.FuelTable.PetrolKg.Central
	}
	return t.FuelTable.DieselKg.Central
}

// Fuel calibrates a model. It refuses consumption, mass or displacement that are not positive and
// finite or are absurd, and a consumption below what the engine uses by idling alone.
func (t *Tables) Fuel(v FuelVehicle) (*FuelModel, error) {
	f := &t.FuelTable
	bad := func(where, reason, remedy string) error {
		return &geo.InputError{Where: where, Reason: reason, Remedy: remedy}
	}
	kmh, cda := v.ReferenceKmh, v.CdA
	if kmh == 0 {
		kmh = f.ReferenceKmh.Central
	}
	if cda == 0 {
		cda = f.CdA.Central
	}
	for _, c := range [...]struct {
		name, unit string
		v, lo, hi  float64
	}{
		{"sealed consumption", "L/100 km", v.SealedLPer100, 3, 80},
		{"mass", "kg", v.MassKg, 500, 20000},
		{"displacement", "L", v.EngineL, 0.5, 15},
		{"reference speed", "km/h", kmh, 40, 130},
		{"drag area", "m2", cda, 0.4, 8},
	} {
		if !(c.v >= c.lo && c.v <= c.hi) {
			return nil, bad(c.name, fmt.Sprintf("%g %s is outside %g to %g", c.v, c.unit, c.lo, c.hi), "check the figure and its unit")
		}
	}
	m := &FuelModel{
		mjPerL: t.EnergyMJ(v.Fuel), cda: cda, idleLh: f.IdlePerEngineL.Central * v.EngineL,
		day: Of(f.DayToDay), lossLow: Of(f.LowRangeLoss), fastIdle: f.FastIdle.Central,
		gradeLow: f.LowRangeGrade.Central, ground: t.ground,
	}
	moving := v.SealedLPer100 - m.idleLh*100/kmh
	if moving <= 0 {
		return nil, bad("sealed consumption", fmt.Sprintf("%.1f L/100 km is less than this engine uses by idling", v.SealedLPer100), "check the consumption and the displacement")
	}
	force := RoadLoadN(v.MassKg, m.ground[geo.Sealed].crr.Central, 0, AirDensity(0), cda, kmh/3.6)
	m.eta = force * 0.1 / (moving * m.mjPerL)
	if m.eta < f.EtaLowest.Central || m.eta > f.EtaHighest.Central {
		m.warning = fmt.Sprintf("A sealed consumption of %.1f L/100 km does not fit %.0f kg at %.0f km/h: it would mean that %.0f %% of the fuel's energy reaches the wheels (usual are %.0f to %.0f %%). Check consumption, unit and mass.",
			v.SealedLPer100, v.MassKg, kmh, 100*m.eta, 100*f.EtaLowest.Central, 100*f.EtaHighest.Central)
	}
	if v.RoofLoad {
		m.cda *= f.RoofDrag.Central
	}
	return m, nil
}

// Eta is the share of the fuel's energy that reaches the wheels, as calibrated.
func (m *FuelModel) Eta() float64 { return m.eta }

// IdleLh is the use at idle in litres an hour.
func (m *FuelModel) IdleLh() float64 { return m.idleLh }

// Warning is a sentence when the calibration is implausible, else "".
func (m *FuelModel) Warning() string { return m.warning }

// GroundLoad is the rolling resistance and share of low range of a ground mixture; make it once per
// mixture with OnGround.
type GroundLoad struct {
	crr, low Band
	sealed   bool
}

// OnGround averages the figures of the classes by their shares; where the ground is not known the spread
// between the classes widens the band. An empty mixture reads as firm track.
func (m *FuelModel) OnGround(mix geo.GroundMix) GroundLoad {
	var out GroundLoad
	sum := 0.0
	for g := geo.Sealed; g < geo.NumGrounds; g++ {
		if p := mix.P[g]; p > 0 {
			sum += p
			out.crr = out.crr.Add(m.ground[g].crr.Scale(p))
			out.low = out.low.Add(m.ground[g].low.Scale(p))
		}
	}
	if sum == 0 {
		r := m.ground[geo.FirmTrack]
		return GroundLoad{r.crr, r.low, false}
	}
	out.crr, out.low = out.crr.Scale(1/sum), out.low.Scale(1/sum)
	out.sealed = mix.P[geo.Sealed] >= 0.5*sum
	if !mix.Known {
		var crr, low, least float64
		least = math.Inf(1)
		for g := geo.Sealed; g < geo.NumGrounds; g++ {
			if p := mix.P[g] / sum; p > 0 {
				r := &m.ground[g]
				crr += p * (r.crr.Central - out.crr.Central) * (r.crr.Central - out.crr.Central)
				low += p * (r.low.Central - out.low.Central) * (r.low.Central - out.low.Central)
				least = math.Min(least, r.crr.Low)
			}
		}
		out.crr = widened(out.crr, Z95*math.Sqrt(crr), least, math.Inf(1))
		out.low = widened(out.low, Z95*math.Sqrt(low), 0, 1)
	}
	return out
}

// widened adds an independent spread to both sides of a band, held inside lo..hi.
func widened(b Band, spread, lo, hi float64) Band {
	return Band{
		math.Max(math.Min(lo, b.Low), b.Central-math.Hypot(b.Central-b.Low, spread)),
		b.Central,
		math.Min(math.Max(hi, b.High), b.Central+math.Hypot(b.High-b.Central, spread)),
	}
}

// Segment is a stretch of the route of one ground and grade.
type Segment struct {
	LengthM float64 // horizontal metres, as along the ellipsoid
	Seconds float64 // of driving; 0, NaN or negative = at 30 km/h
	Grade   float64 // rise over run in driving direction; NaN = level
	HeightM float64 // NaN = sea level
	MassKg  float64 // of the vehicle as it stands there
	Ground  GroundLoad
}

// Energy is where the fuel of a segment goes, in megajoules. WheelMJ = RollMJ + AirMJ + ClimbMJ +
// BrakeMJ, and FuelMJ = WheelMJ / efficiency + LowMJ + IdleMJ.
type Energy struct {
	RollMJ, AirMJ, ClimbMJ float64 // ClimbMJ is negative downhill
	BrakeMJ                float64 // taken away by brakes and engine
	WheelMJ, LowMJ, IdleMJ float64
	FuelMJ                 float64
	Litres                 float64
}

// Use is the fuel for s in litres. High adds the shares of rolling resistance, low range, its losses
// and the day as independent errors; Low takes easy ground on a good day. Heavier and steeper (with the
// way back counted) never lower any of the three.
func (m *FuelModel) Use(s Segment) Band { return m.use(m.work(s), &s.Ground) }

func (m *FuelModel) use(w segmentWork, g *GroundLoad) Band {
	c := w.litres(m, g.crr.Central, g.low.Central, m.lossLow.Central)
	up := [...]float64{
		w.litres(m, g.crr.High, g.low.Central, m.lossLow.Central) - c,
		w.litres(m, g.crr.Central, g.low.High, m.lossLow.Central) - c,
		w.litres(m, g.crr.Central, g.low.Central, m.lossLow.High) - c,
		c * (m.day.High - 1),
	}
	sum := 0.0
	for _, d := range up {
		sum += d * d
	}
	return Band{
		w.litres(m, g.crr.Low, g.low.Central, m.lossLow.Central) * m.day.Low,
		c * m.day.Central,
		c*m.day.Central + math.Sqrt(sum),
	}
}

// Trace is the central use of s with all its parts.
func (m *FuelModel) Trace(s Segment) Energy {
	w := m.work(s)
	g := &s.Ground
	return w.energy(m, g.crr.Central, g.low.Central, m.lossLow.Central)
}

// segmentWork is what of a segment does not depend on the uncertain figures.
type segmentWork struct {
	weightMJ  float64 // weight x horizontal length
	climbMJ   float64
	airMJ     float64
	idleMJ    float64
	lowRanged bool // low range for certain, by grade
}

func (m *FuelModel) work(s Segment) segmentWork {
	if !(s.LengthM > 0) {
		return segmentWork{}
	}
	grade := orElse(s.Grade, 0)
	path := s.LengthM * math.Sqrt(1+grade*grade)
	sec := s.Seconds
	if !(sec > 0) {
		sec = path / (30 / 3.6)
	}
	v := path / sec
	w := segmentWork{weightMJ: s.MassKg * Gravity * s.LengthM / 1e6}
	w.climbMJ = w.weightMJ * grade
	w.airMJ = 0.5 * AirDensity(s.HeightM) * m.cda * v * v * path / 1e6
	w.idleMJ = m.idleLh * sec / 3600 * m.mjPerL
	w.lowRanged = math.Abs(grade) > m.gradeLow && !s.Ground.sealed
	return w
}

func (w segmentWork) litres(m *FuelModel, crr, low, loss float64) float64 {
	if w.lowRanged {
		low = 1
	}
	wheel := math.Max(0, w.weightMJ*crr+w.climbMJ) + w.airMJ
	return (wheel/m.eta*(1+low*loss) + w.idleMJ*(1+low*(m.fastIdle-1))) / m.mjPerL
}

func (w segmentWork) energy(m *FuelModel, crr, low, loss float64) Energy {
	if w.lowRanged {
		low = 1
	}
	e := Energy{RollMJ: w.weightMJ * crr, ClimbMJ: w.climbMJ, AirMJ: w.airMJ} // rolling: force x cos along the slope = horizontal length
	e.WheelMJ = math.Max(0, e.RollMJ+e.ClimbMJ) + e.AirMJ
	e.BrakeMJ = e.WheelMJ - e.RollMJ - e.AirMJ - e.ClimbMJ
	traction := e.WheelMJ / m.eta
	e.LowMJ = traction * low * loss
	e.IdleMJ = w.idleMJ * (1 + low*(m.fastIdle-1))
	e.FuelMJ = traction + e.LowMJ + e.IdleMJ
	e.Litres = e.FuelMJ / m.mjPerL
	return e
}

// Back is s driven the other way.
func (s Segment) Back() Segment {
	s.Grade = -s.Grade
	return s
}

// Lighter is how a vehicle grows lighter along its way, see AlongLighter. A nil slice stands for nothing.
type Lighter struct {
	FuelKgPerL float64   // of the fuel burned, from FuelKg
	FullAt     []bool    // the tank is filled at the beginning of the segment
	OtherKg    []float64 // kilograms less than at the start for other reasons (water drunk), by segment
}

// Along sums the use of consecutive segments, each at its own mass: Forward[i] is what is used from the
// start to the beginning of segment i, Back[i] what driving back from there to the start takes. Both have
// one element more than segs.
func (m *FuelModel) Along(segs []Segment) (forward, back []Band) {
	return m.AlongLighter(segs, Lighter{})
}

// AlongLighter is Along for a vehicle that grows lighter by the fuel that it burns (at its central use) and
// by what is drunk, and heavy again where it is filled up. A segment is driven back at the mass it had
// outward, which is never less than it would be: the safe side. The mass never falls below half.
func (m *FuelModel) AlongLighter(segs []Segment, l Lighter) (forward, back []Band) {
	forward, back = make([]Band, len(segs)+1), make([]Band, len(segs)+1)
	filled := 0.0 // litres used when last filled up
	for i := range segs {
		s := segs[i]
		if l.FullAt != nil && l.FullAt[i] {
			filled = forward[i].Central
		}
		less := l.FuelKgPerL * (forward[i].Central - filled)
		if l.OtherKg != nil {
			less += math.Max(0, orElse(l.OtherKg[i], 0))
		}
		s.MassKg = math.Max(s.MassKg/2, s.MassKg-less)
		w := m.work(s)
		forward[i+1] = forward[i].Add(m.use(w, &s.Ground))
		w.climbMJ = -w.climbMJ // as Segment.Back does
		back[i+1] = back[i].Add(m.use(w, &s.Ground))
	}
	return forward, back
}
