package recovery

import (
	"fmt"
	"math"

	"lastroad/geo"
)

// Depth is how far the vehicle has sunk or stands on its belly.
type Depth uint8

// The depths, each asking for at least as much as the one before.
const (
	Tread    Depth = iota // on the surface or sunk by the tread
	Sidewall              // to the tyre's side wall
	Hub                   // to the hubs
	Axle                  // to the axle housings
	Body                  // on frame or body
	NumDepths
)

var depthKeys = [NumDepths]string{"tread", "sidewall", "hub", "axle", "body"}
var depthNames = [NumDepths]string{"to the tread", "to the side wall", "to the hubs", "to the axles", "on frame or body"}

// Key is the name used in files and options.
func (d Depth) Key() string {
	if d >= NumDepths {
		return fmt.Sprintf("depth_%d", uint8(d))
	}
	return depthKeys[d]
}

// String is what a person reads: "to the hubs".
func (d Depth) String() string {
	if d >= NumDepths {
		return d.Key()
	}
	return depthNames[d]
}

// ParseDepth finds the depth with the given key.
func ParseDepth(key string) (Depth, bool) {
	for i, k := range depthKeys {
		if k == key {
			return Depth(i), true
		}
	}
	return Tread, false
}

// MarshalText writes the key.
func (d Depth) MarshalText() ([]byte, error) { return []byte(d.Key()), nil }

// UnmarshalText reads a key and refuses any other text.
func (d *Depth) UnmarshalText(b []byte) error {
	v, ok := ParseDepth(string(b))
	if !ok {
		return fmt.Errorf("depth %q is not one of tread, sidewall, hub, axle, body", b)
	}
	*d = v
	return nil
}

// Stuck is the state of the vehicle that has to be moved.
type Stuck struct {
	MassKg float64    `json:"mass_kg"` // vehicle and load, 200 to 40000
	Ground geo.Ground `json:"ground"`
	Depth  Depth      `json:"depth"`
	Grade  float64    `json:"grade"` // rise over run in the direction of the pull, -1 to 1; negative = downhill
	// Locked: wheels cannot turn (failed driveline, seized brake). Hung: resting on rock, high-centred.
	Locked bool `json:"locked"`
	Hung   bool `json:"hung"`
	OnSide bool `json:"on_side"`
	// InWater: nothing is taken off for buoyancy, and the cautions for water are added.
	InWater bool `json:"in_water"`
	// WheelsDriving: its own wheels can help. Their help is told but never counted.
	WheelsDriving bool `json:"wheels_driving"`
}

// check refuses figures that no vehicle has.
func (s Stuck) check() error {
	if s.Ground >= geo.NumGrounds {
		return refuse("ground", fmt.Sprintf("%d is not a ground class", s.Ground), "")
	}
	if s.Depth >= NumDepths {
		return refuse("depth", fmt.Sprintf("%d is not a depth", s.Depth), "use tread, sidewall, hub, axle or body")
	}
	return first(rangeMass.check("mass", s.MassKg), rangeGrade.check("grade", s.Grade))
}

// String tells the state in words: "2900 kg in mud, sunk to the hubs, 12 % up".
func (s Stuck) String() string {
	ground, out := s.Ground.String(), ""
	switch s.Ground {
	case geo.Unknown, geo.Sealed:
		ground += " ground"
	}
	if s.Depth == Tread {
		out = fmt.Sprintf("%.0f kg on %s", s.MassKg, ground)
	} else {
		out = fmt.Sprintf("%.0f kg in %s, %s", s.MassKg, ground, s.sunk())
	}
	add := func(b bool, w string) {
		if b {
			out += ", " + w
		}
	}
	add(s.Hung, "hung up")
	add(s.Locked, "wheels locked")
	add(s.OnSide, "on its side")
	add(s.InWater, "in water")
	return out + ", " + gradeWords(s.Grade)
}

// sunk says how far it has gone down: "sunk to the hubs". Nothing sinks into bare rock: there the wheels are caught
// between steps of it.
func (s Stuck) sunk() string {
	switch {
	case s.Depth == Body:
		return s.Depth.String()
	case s.Ground == geo.LedgeRock:
		return "wedged " + s.Depth.String()
	}
	return "sunk " + s.Depth.String()
}

func gradeWords(g float64) string {
	switch {
	case g >= 0.0005:
		return fmt.Sprintf("%.0f %% up", g*100)
	case g <= -0.0005:
		return fmt.Sprintf("%.0f %% down", -g*100)
	}
	return "level"
}

// A Step is one line of a working: what is worked out, how, and the number.
type Step struct {
	Key   string  `json:"key"`
	Title string  `json:"title"`
	Text  string  `json:"text"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
}

// Pull is the pull that a stuck vehicle asks for. Central is what plans are made with: it follows the
// conservative handbook figure; Low and High are how far the sources lie apart.
type Pull struct {
	LowKN     float64 `json:"low_kn"`
	CentralKN float64 `json:"central_kn"`
	HighKN    float64 `json:"high_kn"`
	// HoldBackKN is what holds the vehicle from rolling away downhill once it is free; 0 when it stays.
	HoldBackKN float64 `json:"hold_back_kn"`
	// OwnTractionKN is what its own driven wheels might add, low to high; NaN when they cannot.
	OwnLowKN  float64 `json:"-"`
	OwnHighKN float64 `json:"-"`
	Factor    float64 `json:"factor"` // of weight, before the grade
	Steps     []Step  `json:"steps"`
}

// GradeForceKN is the part of the weight that acts along a slope of the given grade (rise over run):
// W sin(atan(grade)), exact, negative downhill.
func GradeForceKN(massKg, grade float64) float64 { return KN(massKg) * grade / math.Hypot(1, grade) }

// GradeRuleKN is the trainers' rule of thumb for a slope of deg degrees: a quarter of the weight for
// every 15 degrees. It lies 3.4 % low at 15 degrees, right at 30, 6 % high at 45; shown only as a check.
func GradeRuleKN(massKg, deg float64) float64 { return KN(massKg) * deg / 60 }

// GradePercentKN is the other rule: one per cent of the weight for every per cent of grade. It lies high,
// by 1 % at 14 % grade.
func GradePercentKN(massKg, grade float64) float64 { return KN(massKg) * grade }

// RampForceKN is the force that moves a rolling load up a ramp: W (sin + c cos), c its resistance as a
// fraction of the force on the ground.
func RampForceKN(massKg, grade, c float64) float64 {
	return KN(massKg) * (grade + c) / math.Hypot(1, grade)
}

// RequiredPull estimates the pull in the direction of s.Grade. The resistance is the largest of the
// surface's, the depth's and the state's fraction of the weight (they are not added, as in the US Army
// method); the grade is added exactly. The resistance is not lessened by the cosine of the slope, so
// that more grade never asks for less; that overstates it by under 2 % at 20 % grade.
// A sum below zero downhill gives 0: the vehicle rolls by itself, and [Tables.Plan] then rigs a line that
// holds it back with HoldBackKN.
// It fails with [geo.InputError] on a mass or grade outside the allowed range.
func (t *Tables) RequiredPull(s Stuck) (Pull, error) { return t.pull(s, true) }

// PullKN is the forces of [Tables.RequiredPull] without the steps in words, for callers that ask for many states.
func (t *Tables) PullKN(s Stuck) (Pull, error) { return t.pull(s, false) }

func (t *Tables) pull(s Stuck, words bool) (Pull, error) {
	if err := s.check(); err != nil {
		return Pull{}, err
	}
	w := KN(s.MassKg)
	f := t.Surface.Of(s.Ground)
	var p Pull
	// Whoever asks for no words does not even make up their figures.
	say := func(key, title string, v float64, format string, a ...any) {
		p.Steps = append(p.Steps, Step{key, title, fmt.Sprintf(format, a...), v, "kN"})
	}
	what := ""
	if words {
		say("weight", "Weight", w, "%.0f kg weigh %.1f kN.", s.MassKg, w)
		what = "surface: " + s.Ground.String()
	}
	raise := func(g geo.Figure, name string) {
		if g.Central > f.Central || (g.Central == f.Central && g.High >= f.High) {
			what = name
		}
		f.Low, f.Central, f.High = max(f.Low, g.Low), max(f.Central, g.Central), max(f.High, g.High)
	}
	if s.Depth > Tread {
		raise(t.Mire[s.Depth.Key()], s.sunk())
	}
	if s.Hung {
		raise(t.Mire["hung"], "hung up")
	}
	if s.OnSide {
		raise(t.State["on_side"], "on its side")
	}
	if s.Locked {
		raise(t.State["locked"], "wheels locked")
		f.High += t.State["locked_added"].Central
	}
	p.Factor = f.Central
	if words {
		say("resistance", "Resistance", f.Central*w, "%s: %.2f of the weight, %s; sources lie between %.2f and %.2f.", capital(what), f.Central, force(f.Central*w), f.Low, f.High)
	}
	g := GradeForceKN(s.MassKg, s.Grade)
	switch {
	case !words:
	case s.Grade != 0:
		say("grade", "Grade", g, "%s: weight times the sine of %.1f° is %+.1f kN.", capital(gradeWords(s.Grade)), math.Atan(s.Grade)*180/math.Pi, g)
	default:
		say("grade", "Grade", g, "Level: nothing is added.")
	}
	p.LowKN, p.CentralKN, p.HighKN = max(0, f.Low*w+g), max(0, f.Central*w+g), max(0, f.High*w+g)
	if words {
		say("pull", "Pull asked for", p.CentralKN, "%s; by other sources %.1f to %.1f kN. The conservative figure is used.", force(p.CentralKN), p.LowKN, p.HighKN)
	}
	if s.Grade < 0 {
		// Once free only the least rolling resistance holds it, whatever depth it was pulled from.
		p.HoldBackKN = max(0, -RampForceKN(s.MassKg, s.Grade, t.Rolling.Of(s.Ground).Low))
		if p.HoldBackKN > 0 && words {
			say("hold_back", "Hold back", p.HoldBackKN, "Once free it can roll down with up to %s: chock or hold it.", force(p.HoldBackKN))
		}
	}
	p.OwnLowKN, p.OwnHighKN = math.NaN(), math.NaN()
	if s.WheelsDriving && !s.Locked && !s.OnSide && !s.Hung && s.Depth <= Sidewall {
		mu, cos := t.Traction.Of(s.Ground), 1/math.Hypot(1, s.Grade)
		p.OwnLowKN, p.OwnHighKN = mu.Low*w*cos, mu.High*w*cos
		if words {
			say("own_wheels", "Own wheels", p.OwnLowKN, "All wheels driving might add %.1f to %.1f kN on this ground; not counted.", p.OwnLowKN, p.OwnHighKN)
		}
	}
	return p, nil
}
