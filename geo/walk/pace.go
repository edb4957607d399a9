package walk

import "math"

// Pace is a rule of walking: seconds for a horizontal metre on a slope of rise over run in the
// direction of walking, positive uphill.
type Pace func(slope float64) float64

// Tobler is the hiking function v = 6 exp(-3.5 |S + 0.05|) km/h, fastest on a slope 5 % down
// (W. Tobler, "Three presentations on geographical analysis and modeling", NCGIA technical report
// 93-1, 1993). It is for walking on a way; see Options.OffPath.
func Tobler(slope float64) float64 {
	return 3.6 / 6 * math.Exp(3.5*math.Abs(slope+0.05))
}

// Langmuir is the piecewise rule of time = a dS + b dH uphill + c dH moderately downhill + d dH
// steeply downhill, dH negative downhill, steep below the given slope: Naismith's rule with
// Langmuir's corrections has a = 0.72 s/m, b = 6, c = 1.9998, d = -1.9998 s a metre of height,
// steep = -0.2125 (tan 12 degrees). It is here to compare with other programs that use it.
func Langmuir(a, b, c, d, steep float64) Pace {
	return func(s float64) float64 {
		switch {
		case s >= 0:
			return a + b*s
		case s >= steep:
			return a + c*s
		}
		return a + d*s
	}
}

// Figures of walking.
const (
	// OffPath is the part of the speed on a way that is walked on trackless ground (Tobler 1993).
	OffPath = 0.6
	// MaxSlope is the slope, rise over run, that nobody is sent up or down off a way: 0.70 is 35
	// degrees. By judgement: loose ground rests at up to about that angle, so steeper cells are rock
	// walls or worse. Tried from 0.58 (30 degrees) to 1 (45).
	MaxSlope = 0.70
	// UnknownSlope is the slope at which ground without heights is walked: 0.10 uphill, by judgement,
	// neither plain nor hillside; it makes Tobler's pace 41 % longer than the level one.
	UnknownSlope = 0.10
)

// paceTable is a pace rule over equal steps of slope, read by linear interpolation. The step of one
// thousandth puts the kink of Tobler's function on a post; the error of interpolation is below
// (3.5 x 0.001)^2 / 8 = 1.5e-6 of the pace. Where a rule jumps between two posts the posts hold NaN
// and the rule itself is asked.
type paceTable struct {
	rule  Pace
	secs  []float32 // pace at (i - mid) / perUnit
	mid   float32
	limit float32 // steepest slope allowed, either sign
	fast  float64 // smallest pace in the table
	slow  float64 // greatest
}

const perUnit = 1000

func newPaceTable(p Pace, limit float64) paceTable {
	n := int(math.Ceil(limit * perUnit))
	t := paceTable{rule: p, secs: make([]float32, 2*n+2), mid: float32(n), limit: float32(limit), fast: math.Inf(1)}
	pace := func(i float64) float64 {
		v := p((i - float64(n)) / perUnit)
		t.fast, t.slow = min(t.fast, v), max(t.slow, v)
		return v
	}
	for i := range 2*n + 1 {
		t.secs[i] = float32(pace(float64(i)))
	}
	t.secs[2*n+1] = t.secs[2*n]
	for i := range 2 * n {
		a, b := pace(float64(i)), pace(float64(i+1))
		for k := range 8 {
			f := (float64(k) + 0.5) / 8
			if v := pace(float64(i) + f); math.Abs(a+f*(b-a)-v) > 1e-4*v {
				t.secs[i] = float32(math.NaN())
			}
		}
	}
	return t
}

// at is the pace on a slope whose size is at most limit.
func (t *paceTable) at(slope float32) float32 {
	if v := t.read(slope); v == v {
		return v
	}
	return float32(t.rule(float64(slope)))
}

// read is at with NaN where the rule itself must be asked; small enough to be compiled into the
// search's inner loop.
func (t *paceTable) read(slope float32) float32 {
	f := slope*perUnit + t.mid
	i := int32(f)
	p := t.secs[i : i+2 : i+2]
	return p[0] + (f-float32(i))*(p[1]-p[0])
}
