package recovery

import (
	"fmt"
	"math"

	"lastroad/geo"
)

func degrees(rise float64) float64 { return math.Atan(rise) * 180 / math.Pi }

// SSF is the static stability factor track/(2 h), h the height of the centre of gravity, both in metres
// (NHTSA).
func SSF(trackM, cgM float64) float64 { return trackM / (2 * cgM) }

// Frame is the geometry of a vehicle that its stability rests on.
type Frame struct {
	MassKg                                  float64
	WheelbaseM, TrackM, CGHeightM           float64
	FrontShare                              float64 // share of MassKg on the front axle
	ClearanceM, WheelRadiusM                float64 // 0 = not known
	ApproachDeg, BreakoverDeg, DepartureDeg float64
	FrontOverhangM, RearOverhangM           float64 // axle to the end of the body; 0 = not known
}

// Mass is something carried. XM is its distance behind the front axle (beyond the wheelbase for a tow
// ball or rear rack, negative before the axle), HM its height above the ground.
type Mass struct {
	Kg, XM, HM float64
}

// Balance is a loaded vehicle.
type Balance struct {
	MassKg, FrontKg, RearKg float64
	CGHeightM, SSF          float64
	TipDeg                  float64 // rigid side-slope angle at which it tips, atan(SSF)
	DynamicDeg              float64 // 0.85 of it: driving, bumps, suspension
	Frame                   Frame   // with the load in it
}

// Load adds masses to a vehicle by moments: axle loads by the lever about the axles, the centre of
// gravity by its height. Bad figures are refused.
func (t *Tables) Load(f Frame, masses ...Mass) (Balance, error) {
	b := Balance{Frame: f}
	if err := f.check(); err != nil {
		return b, err
	}
	b.MassKg, b.FrontKg, b.RearKg = f.MassKg, f.MassKg*f.FrontShare, f.MassKg*(1-f.FrontShare)
	moment := f.MassKg * f.CGHeightM
	for _, m := range masses {
		if err := first((limit{0, 20000, "kg"}).check("carried mass", m.Kg), (limit{-5, 15, "m"}).check("place of a mass", m.XM), (limit{0, 5, "m"}).check("height of a mass", m.HM)); err != nil {
			return b, err
		}
		rear := m.Kg * m.XM / f.WheelbaseM
		b.MassKg += m.Kg
		b.RearKg += rear
		b.FrontKg += m.Kg - rear
		moment += m.Kg * m.HM
	}
	b.CGHeightM = moment / b.MassKg
	b.SSF = SSF(f.TrackM, b.CGHeightM)
	b.TipDeg = degrees(b.SSF)
	b.DynamicDeg = degrees(b.SSF * t.Steady["dynamic"].Central)
	b.Frame.MassKg, b.Frame.CGHeightM, b.Frame.FrontShare = b.MassKg, b.CGHeightM, b.FrontKg/b.MassKg
	return b, nil
}

func (f Frame) check() error {
	return first(rangeMass.check("mass", f.MassKg), (limit{1, 10, "m"}).check("wheelbase", f.WheelbaseM), (limit{0.8, 3, "m"}).check("track", f.TrackM),
		(limit{0.2, 3, "m"}).check("height of the centre of gravity", f.CGHeightM), rangeShare.check("front axle share", f.FrontShare))
}

// Standing is what slopes a loaded vehicle can climb, descend and cross on one ground. Grades are rise
// over run. The smaller of grip and tipping governs; the figures are for a rigid vehicle creeping.
type Standing struct {
	ClimbGrip, ClimbTip     float64
	DescendGrip, DescendTip float64
	Climb, Descend          float64 // the smaller, times the dynamic reserve on the tipping side
	SideTipDeg, SideUseDeg  float64 // rigid, and with the dynamic reserve
	SideSlideDeg            float64
	Side                    float64 // rise over run that may be crossed: the smaller of the two and of the usual limit
	Governs                 [3]string
	Cautions                []Caution
}

// Stand works out the slopes for a loaded vehicle on ground g; driven is the share of its weight on
// driven wheels, braked always all of it. Grip uses the low end of the table: nobody chooses the weather.
func (t *Tables) Stand(b Balance, g geo.Ground, driven float64) (Standing, error) {
	var s Standing
	if err := first(b.Frame.check(), rangeShare.check("driven share", driven)); err != nil {
		return s, err
	}
	f := b.Frame
	mu, cr := t.Traction.Of(g), t.Rolling.Of(g)
	reserve := t.Steady["dynamic"].Central
	s.ClimbGrip = max(0, mu.Low*driven-cr.Central)
	s.ClimbTip = f.WheelbaseM * f.FrontShare / f.CGHeightM
	s.DescendGrip = mu.Low
	s.DescendTip = f.WheelbaseM * (1 - f.FrontShare) / f.CGHeightM
	least := func(grip, tip float64, i int) float64 {
		s.Governs[i] = "grip"
		if tip*reserve < grip {
			s.Governs[i] = "tipping"
		}
		if usual := t.Steady["grade"].Central; usual < min(grip, tip*reserve) {
			s.Governs[i] = "the usual limit for vehicles of this kind"
			return usual
		}
		return min(grip, tip*reserve)
	}
	s.Climb, s.Descend = least(s.ClimbGrip, s.ClimbTip, 0), least(s.DescendGrip, s.DescendTip, 1)
	s.SideTipDeg, s.SideUseDeg, s.SideSlideDeg = b.TipDeg, b.DynamicDeg, degrees(mu.Low)
	s.Side, s.Governs[2] = b.SSF*reserve, "tipping"
	if mu.Low < s.Side {
		s.Side, s.Governs[2] = mu.Low, "grip"
	}
	if usual := t.Steady["side_slope"].Central; usual < s.Side {
		s.Side, s.Governs[2] = usual, "the usual limit for vehicles of this kind"
	}
	s.Cautions = t.Cautions("stability")
	return s, nil
}

// Ledge is a vertical step in the track against the vehicle's underside. Limits in metres.
type Ledge struct {
	ApproachM, BellyM, DepartureM float64 // tallest step each part clears; NaN where the figures for it are missing
	MaxM                          float64 // smallest of the known; NaN when none is
	Governs                       string
	Cautions                      []Caution
}

// Ledge works out the tallest step. The wheel touches the step before the body does as long as the end
// of the body rides higher than the step: its height follows from the approach (or departure) angle,
// taken as a line tangent to the tyre, and the overhang. Without the overhang the body is taken to
// begin at the tyre, which is far on the safe side. The belly must clear the corner until the rear
// wheel reaches it: clearance against (h - x tan a) cos a, x the wheel's reach to the corner, a the
// vehicle's pitch.
func (t *Tables) Ledge(f Frame) (Ledge, error) {
	l := Ledge{ApproachM: math.NaN(), BellyM: math.NaN(), DepartureM: math.NaN(), MaxM: math.NaN(), Cautions: t.Cautions("stability")}
	if err := f.check(); err != nil {
		return l, err
	}
	r := f.WheelRadiusM
	if err := (limit{0.2, 1, "m"}).check("wheel radius", r); err != nil {
		return l, err
	}
	end := func(deg, overhang float64) float64 {
		if !(deg > 0 && deg < 90) {
			return math.NaN()
		}
		a := deg * math.Pi / 180
		least := r * (1 - math.Cos(a))
		if overhang > 0 {
			return max(least, math.Tan(a)*(overhang-r*math.Tan(a/2)))
		}
		return least
	}
	l.ApproachM, l.DepartureM = end(f.ApproachDeg, f.FrontOverhangM), end(f.DepartureDeg, f.RearOverhangM)
	clear := f.ClearanceM
	if b := f.BreakoverDeg; b > 0 && b < 90 {
		ramp := f.WheelbaseM / 2 * math.Tan(b*math.Pi/360)
		if clear == 0 || ramp < clear {
			clear = ramp
		}
	}
	if clear > 0 {
		lo, hi := 0.0, r
		for range 60 {
			h := (lo + hi) / 2
			a := math.Asin(min(1, h/f.WheelbaseM))
			if (h-math.Sqrt(2*r*h-h*h)*math.Tan(a))*math.Cos(a) <= clear {
				lo = h
			} else {
				hi = h
			}
		}
		l.BellyM = lo
	}
	for _, v := range []struct {
		m    float64
		name string
	}{{l.ApproachM, "front overhang"}, {l.BellyM, "belly"}, {l.DepartureM, "rear overhang"}} {
		if !math.IsNaN(v.m) && (math.IsNaN(l.MaxM) || v.m < l.MaxM) {
			l.MaxM, l.Governs = v.m, v.name
		}
	}
	return l, nil
}

// FordAsk is a water crossing in question.
type FordAsk struct {
	LengthM, KerbKg, ClearanceM float64 // of the vehicle
	WadingM                     float64 // maker's wading depth, 0 = not stated
	DepthM, VelocityMS          float64
	EntryGrade                  float64 // steeper of the banks, rise over run, 0 = not known
}

// FordLimit is the answer.
type FordLimit struct {
	Class    string
	LimitM   float64 // depth at this velocity; 0 = do not enter
	ClearM   float64 // the makers' rule for flowing water: no deeper than the clearance
	OK       bool
	Governs  string
	Checks   []Check
	SpeedKmh float64
	Minutes  float64
	Cautions []Caution
}

// FordDepthM is the published limit for one class of vehicle ("small", "large", "large_4wd") in water
// of the given velocity in m/s: min(still-water depth, DV/velocity); 0 above the limiting velocity.
// ok is false for an unknown class or a velocity that is not a number or negative.
func (t *Tables) FordDepthM(class string, velocityMS float64) (depthM float64, ok bool) {
	if !(velocityMS >= 0) {
		return math.NaN(), false
	}
	for _, row := range t.FordRow {
		if row.Key == class {
			switch {
			case velocityMS > t.Water["velocity_max"].Central:
				return 0, true
			case velocityMS == 0:
				return row.Still.Central, true
			}
			return min(row.Still.Central, row.DV.Central/velocityMS), true
		}
	}
	return math.NaN(), false
}

// Ford judges a crossing. The published limits are a draft; see the cautions that come with it.
func (t *Tables) Ford(a FordAsk) (FordLimit, error) {
	var o FordLimit
	if err := first((limit{2, 15, "m"}).check("vehicle length", a.LengthM), rangeMass.check("kerb mass", a.KerbKg), (limit{0.05, 1.5, "m"}).check("ground clearance", a.ClearanceM),
		(limit{0, 3, "m"}).check("wading depth", a.WadingM), (limit{0, 10, "m"}).check("water depth", a.DepthM), (limit{0, 15, "m/s"}).check("water velocity", a.VelocityMS),
		(limit{0, 2, "(rise over run)"}).check("bank grade", a.EntryGrade)); err != nil {
		return o, err
	}
	o.Class = "small"
	for _, row := range t.FordRow {
		if row.Key != "small" && a.LengthM > row.LengthM && a.KerbKg > row.KerbKg && a.ClearanceM > row.ClearanceM {
			o.Class = row.Key
		}
	}
	o.LimitM, _ = t.FordDepthM(o.Class, a.VelocityMS)
	o.ClearM = a.ClearanceM
	o.Governs = "depth times velocity"
	add := func(key, title string, ok bool, text string) {
		o.Checks = append(o.Checks, Check{key, title, ok, text})
	}
	add("water", "Depth and current", a.DepthM <= o.LimitM, fmt.Sprintf("%.2f m at %.1f m/s; the draft limit for this class is %.2f m", a.DepthM, a.VelocityMS, o.LimitM))
	if a.WadingM > 0 {
		add("wading", "Maker's wading depth", a.DepthM <= a.WadingM, fmt.Sprintf("%.2f m of water, %.2f m stated by the maker", a.DepthM, a.WadingM))
		if a.WadingM < o.LimitM {
			o.LimitM, o.Governs = a.WadingM, "the maker's wading depth"
		}
	}
	if a.EntryGrade > 0 {
		most := t.Water["entry_grade"].Central
		add("bank", "Banks", a.EntryGrade <= most, fmt.Sprintf("%.0f %% at entry or exit, at most %.0f %%", 100*a.EntryGrade, 100*most))
	}
	o.OK = true
	for _, c := range o.Checks {
		o.OK = o.OK && c.OK
	}
	o.SpeedKmh, o.Minutes = t.Water["speed_kmh"].Central, t.Water["minutes"].Central
	o.Cautions = t.Cautions("water")
	return o, nil
}
