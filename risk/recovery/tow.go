package recovery

import (
	"fmt"
	"math"

	"lastroad/geo"
)

// Tug is what a vehicle can pull by its own wheels, in kN; zero when it cannot even hold itself.
type Tug struct {
	LowKN, CentralKN, HighKN float64
	Cautions                 []Caution
}

// Tug is the drawbar pull of a vehicle of massKg on ground g going up grade (rise over run in the
// direction of its pull): grip less its own rolling resistance and grade. driven is the share of its
// weight on driven wheels (1 = all-wheel drive).
func (t *Tables) Tug(massKg float64, g geo.Ground, grade, driven float64) (Tug, error) {
	if err := first(rangeMass.check("pulling vehicle's mass", massKg), rangeGrade.check("grade", grade), rangeShare.check("driven share", driven)); err != nil {
		return Tug{}, err
	}
	mu, cr := t.Traction.Of(g), t.Rolling.Of(g)
	pull := func(mu, cr float64) float64 {
		return max(0, KN(massKg)*(mu*driven-cr-grade)/math.Hypot(1, grade))
	}
	return Tug{pull(mu.Low, cr.High), pull(mu.Central, cr.Central), pull(mu.High, cr.Low), t.Cautions("tow")}, nil
}

// StrapPull is a steady pull by another vehicle on a static strap or rope.
type StrapPull struct {
	Pull     Pull
	Tug      Tug
	Holds    bool
	Margin   float64 // smallest of what tug, strap and points give over the pull asked for; 0 when a rating is missing
	WeakLink string
	Checks   []Check
	Cautions []Caution
}

// StrapTow judges a steady pull: no snatch, the strap tight before the wheels turn. Gear lists the
// strap and every connector and point it is tied to; each must bear the pull asked for.
func (t *Tables) StrapTow(s Stuck, tugKg float64, tugGround geo.Ground, driven float64, gear []Gear) (StrapPull, error) {
	var out StrapPull
	pull, err := t.RequiredPull(s)
	if err != nil {
		return out, err
	}
	tug, err := t.Tug(tugKg, tugGround, s.Grade, driven)
	if err != nil {
		return out, err
	}
	out.Pull, out.Tug = pull, tug
	out.Margin, out.WeakLink = ratio(tug.CentralKN, pull.CentralKN), "grip of the pulling vehicle"
	out.Checks = append(out.Checks, Check{"grip", "Grip of the pulling vehicle", tug.CentralKN >= pull.CentralKN,
		fmt.Sprintf("pulls about %.1f kN (%.1f to %.1f) on this ground and grade; %.1f kN asked for", tug.CentralKN, tug.LowKN, tug.HighKN, pull.CentralKN)})
	strap := false
	for _, g := range gear {
		if err := g.check(); err != nil {
			return out, err
		}
		strap = strap || g.Kind.class() == classStrap
		b := t.Bears(g)
		if b.Refused != "" {
			out.Margin, out.WeakLink = 0, g.Title()
			out.Checks = append(out.Checks, Check{"gear", g.Title(), false, b.Refused})
			continue
		}
		if m := ratio(b.KN, pull.CentralKN); m < out.Margin {
			out.Margin, out.WeakLink = m, g.Title()
		}
		out.Checks = append(out.Checks, Check{"gear", g.Title(), b.KN >= pull.CentralKN, fmt.Sprintf("bears %.1f kN against %.1f kN (%s)", b.KN, pull.CentralKN, b.How)})
	}
	if !strap {
		out.Margin, out.WeakLink = 0, "strap"
		out.Checks = append(out.Checks, Check{"strap", "Strap or rope", false, "no static strap or rope is listed"})
	}
	out.Holds = true
	for _, c := range out.Checks {
		out.Holds = out.Holds && c.OK
	}
	out.Cautions = t.Cautions("line", "tow")
	return out, nil
}

// TowAsk is a vehicle to be towed out on its own wheels.
type TowAsk struct {
	MassKg                                  float64
	Ground                                  geo.Ground
	Grade                                   float64 // steepest on the way, rise over run
	TugKg                                   float64 // loaded mass of the towing vehicle
	Brakes                                  bool    // the towed vehicle's brakes work
	AllWheelDrive, Automatic, BrokenDrive   bool    // of the towed vehicle
	OneWheelDown, BrokenSteering, EngineOff bool
}

// TowOut is what towing asks for.
type TowOut struct {
	SteadyKN, StartKN float64
	TugKN             float64
	StrapM            [2]float64
	SpeedKmh          float64
	Holds             bool
	Checks            []Check
	Warnings          []string
	Cautions          []Caution
}

// Tow works out the force to tow a free vehicle: weight times (rolling resistance + grade), and at the
// start the handbook's tenth of the weight if that is more; against what the towing vehicle's wheels
// give, the grades towing is limited to, and the state of brakes and driveline.
func (t *Tables) Tow(a TowAsk) (TowOut, error) {
	var o TowOut
	if err := first(rangeMass.check("towed mass", a.MassKg), rangeMass.check("towing vehicle's mass", a.TugKg), rangeGrade.check("grade", a.Grade)); err != nil {
		return o, err
	}
	c := t.Rolling.Of(a.Ground).Central
	o.SteadyKN = max(0, RampForceKN(a.MassKg, a.Grade, c))
	o.StartKN = max(0, RampForceKN(a.MassKg, a.Grade, max(c, t.Towing["start"].Central)))
	tug, err := t.Tug(a.TugKg, a.Ground, a.Grade, 1)
	if err != nil {
		return o, err
	}
	o.TugKN = tug.CentralKN
	add := func(key, title string, ok bool, text string) {
		o.Checks = append(o.Checks, Check{key, title, ok, text})
	}
	add("grip", "Grip of the towing vehicle", tug.CentralKN >= o.StartKN, fmt.Sprintf("pulls about %.1f kN; %.1f kN to start, %.1f kN to keep rolling", tug.CentralKN, o.StartKN, o.SteadyKN))
	g := t.Towing["grade_max"]
	add("grade", "Grade", math.Abs(a.Grade) <= g.Central, fmt.Sprintf("%s; not above %.0f %%, never above %.0f %%", gradeWords(a.Grade), 100*g.Central, 100*g.High))
	o.StrapM = [2]float64{t.Towing["strap_m"].Low, t.Towing["strap_m"].High}
	o.SpeedKmh = t.Towing["speed_kmh"].Central
	if !a.Brakes {
		o.SpeedKmh = t.Towing["no_brake_kmh"].Central
		add("brakes", "Brakes of the towed vehicle", a.Grade > -0.02 && a.Grade < 0.02, "without brakes only on level ground with a rigid bar, at walking pace")
		o.Warnings = append(o.Warnings, "No working brakes: rigid bar only, no strap.")
	}
	warn := func(on bool, text string) {
		if on {
			o.Warnings = append(o.Warnings, text)
		}
	}
	warn(a.EngineOff, "Engine off: brake and steering help are gone; unlock the steering first.")
	warn(a.AllWheelDrive, "All four wheels drive: never tow with one axle lifted unless transfer case and hubs are free.")
	warn(a.Automatic, "Automatic gearbox: without its oil pump it runs dry; follow the handbook's speed and distance, or take the propeller shafts off.")
	if a.BrokenDrive {
		add("drive", "Driveline", false, "with a broken axle or shaft the wheel must not turn: remove the shaft or lift the wheel first")
	}
	if a.BrokenSteering {
		add("steering", "Steering", false, "a vehicle that cannot be steered is not towed on its front wheels")
	}
	if a.OneWheelDown {
		add("wheel", "Wheel", false, "a missing wheel needs a skid pole or a repair before towing")
	}
	o.Holds = true
	for _, c := range o.Checks {
		o.Holds = o.Holds && c.OK
	}
	o.Cautions = t.Cautions("tow")
	return o, nil
}
