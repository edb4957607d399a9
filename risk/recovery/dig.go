package recovery

import (
	"fmt"

	"lastroad/geo"
)

// digClass maps the ground to a row of the digging rates.
func digClass(g geo.Ground) string {
	switch g {
	case geo.Sand:
		return "sand"
	case geo.Mud, geo.Salt, geo.Unknown:
		return "mud"
	case geo.Snow:
		return "snow"
	case geo.LooseRock, geo.LedgeRock, geo.Gravel, geo.Ford, geo.Sealed:
		return "stony"
	}
	return "soil"
}

// Digging is the time and the gain of digging the wheels free.
type Digging struct {
	LowMin, CentralMin, HighMin float64
	VolumeM3                    float64
	To                          Depth // the depth whose pull it then asks for
	Before, After               Pull  // without their steps
	Cautions                    []Caution
}

// Dig works out the minutes to dig four wheels free from s.Depth to the depth to, by so many diggers
// each with a spade (people beyond the spades rest; more than four are in each other's way). Volumes
// and rates are judgements with wide bands; see the table.
func (t *Tables) Dig(s Stuck, to Depth, people, spades int) (Digging, error) {
	var d Digging
	if err := s.check(); err != nil {
		return d, err
	}
	if to >= s.Depth {
		return d, refuse("depth to dig to", fmt.Sprintf("%s is not above %s", to.Key(), s.Depth.Key()), "")
	}
	n := min(people, spades, 4)
	if n < 1 {
		return d, refuse("diggers", "nobody with a spade", "give at least one person and one spade")
	}
	rate, from := t.Digging[digClass(s.Ground)], t.Digging[s.Depth.Key()]
	left := geo.Figure{}
	if to > Tread {
		left = t.Digging[to.Key()]
	}
	minutes := func(volume, rate float64) float64 { return 4 * volume / (rate * float64(n)) * 60 }
	d.VolumeM3 = 4 * (from.Central - left.Central)
	d.LowMin, d.CentralMin, d.HighMin = minutes(max(0, from.Low-left.Low), rate.High), minutes(from.Central-left.Central, rate.Central), minutes(from.High-left.High, rate.Low)
	d.To = to
	var err error
	if d.Before, err = t.PullKN(s); err != nil {
		return d, err
	}
	s.Depth, s.Hung = to, false
	if d.After, err = t.PullKN(s); err != nil {
		return d, err
	}
	d.Cautions = t.Cautions("dig")
	return d, nil
}

// DeadmanDigMin is the minutes to dig the trench of a buried log of lengthM in soil (loam, clay, sand,
// wet, hard), low, central, high, by n people with spades.
func (t *Tables) DeadmanDigMin(lengthM float64, soil string, n int) (low, central, high float64) {
	row := map[string]string{"sand": "sand", "wet": "mud", "hard": "stony"}[soil]
	if row == "" {
		row = "soil"
	}
	r, v := t.Digging[row], t.Digging["deadman_m3_per_m"]
	k := 60 * lengthM / float64(max(1, min(n, 3)))
	return k * v.Low / r.High, k * v.Central / r.Central, k * v.High / r.Low
}

// BoardUse says whether traction boards can work.
type BoardUse struct {
	Works     bool
	NeedPairs int
	DigFirst  bool    // ramps have to be dug before the boards go in
	SinkM     float64 // sinkage the boards themselves can free, about
	Margin    float64
	Text      string
	Cautions  []Caution
}

// Boards judges pairs of traction boards, each board marked with the wheel load ratedKg it bears (0 =
// not marked: not usable). They free a vehicle sunk to about the side wall; from the hubs after
// digging; from axle and body not without lifting. On soft ground or a climb all four wheels want one.
func (t *Tables) Boards(s Stuck, pairs int, ratedKg float64) (BoardUse, error) {
	b := BoardUse{NeedPairs: 1, SinkM: t.Board["depth_m"].Central, Cautions: t.Cautions("boards")}
	if err := s.check(); err != nil {
		return b, err
	}
	if s.Grade > 0.05 || s.Ground == geo.Mud || s.Ground == geo.Salt || s.Ground == geo.Snow {
		b.NeedPairs = 2
	}
	b.DigFirst = s.Depth >= Hub
	wheel := s.MassKg * t.Jacking["wheel_share"].Central
	b.Margin = max(0, ratedKg) / wheel
	switch {
	case ratedKg == 0:
		b.Text = "The boards carry no readable rating: a wheel may break through."
	case !(ratedKg >= wheel):
		b.Text = fmt.Sprintf("A wheel may weigh %.0f kg, the boards bear %.0f kg.", wheel, ratedKg)
	case s.Locked || s.OnSide || s.Hung:
		b.Text = "Boards need wheels that turn and touch the ground."
	case s.Depth >= Axle:
		b.Text = "Sunk too deep for boards: dig and lift first."
	case pairs < b.NeedPairs:
		b.Text = fmt.Sprintf("%d pairs are wanted here, %d at hand.", b.NeedPairs, pairs)
	default:
		b.Works, b.Text = true, fmt.Sprintf("Boards in front of the driven wheels, dug in under the tread; they lift a wheel out of about %.1f m.", b.SinkM)
	}
	return b, nil
}

// JackAsk is a jack in question.
type JackAsk struct {
	MassKg   float64 // loaded vehicle
	RatedKg  float64 // 0 = not marked: not usable
	Farm     bool    // farm-type rack jack rather than a bottle jack
	BaseM2   float64 // area of base or plate on the ground; 0 = not known
	BaseM    float64 // its smaller side
	HeightM  float64 // of the load above the ground
	Ground   geo.Ground
	SlopeDeg float64
}

// JackUse is the answer.
type JackUse struct {
	LoadKN   float64
	NeedM2   float64 // base area that the ground asks for
	TipDeg   float64 // lean at which the load passes the edge of the base
	Holds    bool
	Margin   float64
	Checks   []Check
	Cautions []Caution
}

// Jack judges a lift of one wheel: the jack's mark, the ground under its base, the lean of the column,
// and the slope. It needs a marked rating and a known base.
func (t *Tables) Jack(a JackAsk) (JackUse, error) {
	var u JackUse
	if err := first(rangeMass.check("mass", a.MassKg), (limit{0, 50000, "kg"}).check("jack rating", a.RatedKg), (limit{0, 2, "m²"}).check("base area", a.BaseM2),
		(limit{0, 2, "m"}).check("base side", a.BaseM), (limit{0.05, 1.5, "m"}).check("jack height", a.HeightM), (limit{0, 45, "°"}).check("slope", a.SlopeDeg)); err != nil {
		return u, err
	}
	add := func(key, title string, ok bool, text string) {
		u.Checks = append(u.Checks, Check{key, title, ok, text})
	}
	u.LoadKN = KN(a.MassKg * t.Jacking["wheel_share"].Central)
	u.NeedM2 = u.LoadKN / t.Bearing.Of(a.Ground).Central
	u.Margin = min(ratio(KN(a.RatedKg), u.LoadKN), ratio(a.BaseM2, u.NeedM2))
	if a.RatedKg == 0 {
		add("rating", "Jack", false, "no marked rating: not usable")
	} else {
		add("rating", "Jack", KN(a.RatedKg) >= u.LoadKN, fmt.Sprintf("marked %.0f kg, a wheel may ask for %.0f kg", a.RatedKg, Kg(u.LoadKN)))
	}
	add("base", "Ground under the base", a.BaseM2 >= u.NeedM2, fmt.Sprintf("%.3f m² of base, %.3f m² wanted on %s (%.0f kPa)", a.BaseM2, u.NeedM2, a.Ground, t.Bearing.Of(a.Ground).Central))
	u.TipDeg = degrees(a.BaseM / 2 / a.HeightM)
	use := u.TipDeg * t.Jacking["reserve"].Central
	most := min(use, t.Jacking["slope_deg"].Central)
	if a.Farm {
		most *= t.Jacking["farm_share"].Central
	}
	add("slope", "Slope and lean", a.SlopeDeg <= most, fmt.Sprintf("%.1f° of slope, %.1f° allowed (the column tips at %.1f°)", a.SlopeDeg, most, u.TipDeg))
	u.Holds = true
	for _, c := range u.Checks {
		u.Holds = u.Holds && c.OK
	}
	if !u.Holds && u.Margin >= 1 && a.SlopeDeg > most {
		u.Margin = 0
	}
	u.Cautions = t.Cautions("jack")
	return u, nil
}
