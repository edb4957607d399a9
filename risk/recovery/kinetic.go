package recovery

import (
	"fmt"
	"math"

	"lastroad/geo"
)

// Spring is the linear model of a kinetic pull. Real rope hardens as it stretches: an order of magnitude.
type Spring struct {
	EnergyJ      float64 // of the pulling vehicle
	StiffnessNM  float64 // N/m
	StretchM     float64
	PeakKN       float64 // when the stuck vehicle does not move at all
	BreakEnergyJ float64 // the rope takes until its breaking strength
}

// KineticSpring works out a pull by massKg at speedMS (m/s) on a rope of lengthM that breaks at mbsKN,
// stretched by the share stretch of its length: k = MBS/(stretch length), E = m v^2/2, peak = v sqrt(m k).
// Inputs that are not above zero give NaN.
func KineticSpring(massKg, speedMS, mbsKN, lengthM, stretch float64) Spring {
	if !(massKg > 0 && speedMS >= 0 && mbsKN > 0 && lengthM > 0 && stretch > 0) {
		n := math.NaN()
		return Spring{n, n, n, n, n}
	}
	k := mbsKN * 1000 / (stretch * lengthM)
	return Spring{EnergyJ: massKg * speedMS * speedMS / 2, StiffnessNM: k, StretchM: speedMS * math.Sqrt(massKg/k),
		PeakKN: speedMS * math.Sqrt(massKg*k) / 1000, BreakEnergyJ: mbsKN * mbsKN * 1e6 / (2 * k)}
}

// KineticAsk is a kinetic pull in question. Gear is a kinetic rope or strap marked with its breaking
// strength; Points are the recovery points and connectors it is tied to, of both vehicles.
type KineticAsk struct {
	Stuck      Stuck
	StuckGVMKg float64
	TugKg      float64 // loaded mass of the pulling vehicle
	TugGVMKg   float64
	Gear       Gear
	Points     []Gear
	SpeedKmh   float64 // 0 = a gentle start, from the table
	Wet        bool
}

// KineticPull is the answer.
type KineticPull struct {
	Spring   Spring
	Stretch  float64 // share of its length at breaking
	Peak     [3]float64
	MBSKN    float64 // as it is, wet or dry
	RuleLow  float64 // breaking strength asked for, kN: 2 to 3 times the lighter gross mass
	RuleHigh float64
	Pull     Pull // without its steps
	Holds    bool
	Margin   float64 // smallest limit over the highest peak; 0 when a rating is missing
	// SafeKmh is the speed at which the highest peak reaches the weakest limit, never above the table's.
	SafeKmh  float64
	SlackM   float64
	RestMin  float64 // rest after five hard pulls
	ClearM   float64
	Checks   []Check
	Cautions []Caution
}

// Kinetic judges a kinetic pull: the strap against the lighter vehicle, the peak force band against
// rope, points and connectors, and the shackles against the strap's breaking strength (the stricter
// government rule). It moves the vehicle only when the peak exceeds the pull asked for, which is a check too.
func (t *Tables) Kinetic(a KineticAsk) (KineticPull, error) {
	var k KineticPull
	pull, err := t.PullKN(a.Stuck)
	if err != nil {
		return k, err
	}
	v := a.SpeedKmh
	if v == 0 {
		v = t.Elastic["speed_kmh"].Central
	}
	if err := first(rangeMass.check("stuck vehicle's gross mass", a.StuckGVMKg), rangeMass.check("pulling vehicle's mass", a.TugKg),
		rangeMass.check("pulling vehicle's gross mass", a.TugGVMKg), (limit{0.5, 30, "km/h"}).check("speed", v), a.Gear.check(),
		(limit{2, 30, "m"}).check("kinetic rope length", a.Gear.LengthM)); err != nil {
		return k, err
	}
	k.Pull = pull
	add := func(key, title string, ok bool, text string) {
		k.Checks = append(k.Checks, Check{key, title, ok, text})
	}
	var stretch geo.Figure
	switch a.Gear.Kind {
	case KineticRope:
		stretch = t.Elastic["stretch_rope"]
	case KineticStrap:
		stretch = t.Elastic["stretch_strap"]
	default:
		add("kind", "Kind of line", false, fmt.Sprintf("a %s does not stretch and must not be used to snatch", a.Gear.Kind))
	}
	if stretch.Central == 0 || a.Gear.MBSKN == 0 {
		if a.Gear.MBSKN == 0 {
			add("rating", "Rating", false, "no breaking strength is marked on the kinetic line: it is not usable")
		}
		k.Cautions = t.Cautions("kinetic")
		return k, nil
	}
	lighter := min(a.StuckGVMKg, a.TugGVMKg)
	rule := t.Elastic["mass_ratio"]
	k.RuleLow, k.RuleHigh = KN(lighter*rule.Low), KN(lighter*rule.High)
	k.MBSKN, k.Stretch = a.Gear.MBSKN, stretch.Central
	if a.Wet {
		k.MBSKN *= t.Elastic["wet_share"].Central
	}
	k.Spring = KineticSpring(a.TugKg, v/3.6, a.Gear.MBSKN, a.Gear.LengthM, stretch.Central)
	s := t.Elastic["stiffening"]
	k.Peak = [3]float64{k.Spring.PeakKN * s.Low, k.Spring.PeakKN * s.Central, k.Spring.PeakKN * s.High}
	add("strap", "Strength for the lighter vehicle", k.MBSKN >= k.RuleLow-1e-9 && a.Gear.MBSKN <= k.RuleHigh+1e-9,
		fmt.Sprintf("breaks at %.1f kN; 2 to 3 times the lighter gross mass is %.1f to %.1f kN (stronger ones do not stretch)", k.MBSKN, k.RuleLow, k.RuleHigh))
	most := t.Elastic["speed_kmh"].High
	add("speed", "Speed", v <= most, fmt.Sprintf("%.1f km/h, at most %.0f", v, most))
	l := t.Elastic["length_m"]
	add("length", "Length", a.Gear.LengthM >= l.Low && a.Gear.LengthM <= l.High, fmt.Sprintf("%.0f m; they are made %.0f to %.0f m long, %.0f usual", a.Gear.LengthM, l.Low, l.High, l.Central))
	add("grip", "Whether it can move", k.Peak[0] >= pull.CentralKN, fmt.Sprintf("peak %.1f to %.1f kN against %.1f kN asked for", k.Peak[0], k.Peak[2], pull.CentralKN))
	weakest := k.MBSKN / t.Design["webbing"].Central
	add("rope", "Rope in reserve", weakest >= k.Peak[2], fmt.Sprintf("half of its breaking strength, %.1f kN, against a peak of up to %.1f kN", weakest, k.Peak[2]))
	for _, g := range a.Points {
		if err := g.check(); err != nil {
			return k, err
		}
		b := t.Bears(g)
		switch {
		case b.Refused != "":
			weakest = 0
			add("point", g.Title(), false, b.Refused)
		case g.Kind == Shackle:
			add("shackle", g.Title(), b.KN >= k.MBSKN, fmt.Sprintf("working load %.1f kN against the strap's breaking strength %.1f kN", b.KN, k.MBSKN))
			weakest = min(weakest, b.KN)
		default:
			add("point", g.Title(), b.KN >= k.Peak[2], fmt.Sprintf("bears %.1f kN against a peak of up to %.1f kN", b.KN, k.Peak[2]))
			weakest = min(weakest, b.KN)
		}
	}
	if len(a.Points) == 0 {
		weakest = 0
		add("point", "Recovery points", false, "no recovery points are given: both vehicles need a rated one")
	}
	k.Margin = weakest / k.Peak[2]
	k.SafeKmh = min(most, v*k.Margin)
	k.RestMin = t.Elastic["rest_min"].Central
	k.SlackM = t.Elastic["slack_m"].Central
	k.ClearM = t.ClearDistanceM(a.Gear.LengthM, 0)
	k.Holds = true
	for _, c := range k.Checks {
		k.Holds = k.Holds && c.OK
	}
	k.Cautions = append([]Caution{t.clearCaution(k.ClearM)}, t.Cautions("kinetic")...)
	return k, nil
}
