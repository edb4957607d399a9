package recovery

import (
	"fmt"
	"math"
	"slices"
)

// Material is what a winch rope is made of.
type Material string

// The rope materials.
const (
	Steel Material = "steel"
	HMPE  Material = "hmpe" // ultra-high-molecular-weight polyethylene, "synthetic"
)

// Rope is a winch line.
type Rope struct {
	Material   Material `json:"material"`
	DiameterMM float64  `json:"diameter_mm"`
	LengthM    float64  `json:"length_m"`
	MBSKN      float64  `json:"mbs_kn,omitempty"` // marked breaking strength; 0 = from the tables by diameter
	// Class, SteelCore and GradeNmm2 describe steel rope; zero values mean 6x19, fibre core, 1770 N/mm2.
	Class     string  `json:"class,omitempty"`
	SteelCore bool    `json:"steel_core,omitempty"`
	GradeNmm2 float64 `json:"grade_n_mm2,omitempty"`
	End       End     `json:"end,omitempty"`
}

func (r Rope) check() error {
	if r.Material != Steel && r.Material != HMPE {
		return refuse("rope", fmt.Sprintf("%q is not a rope material", r.Material), "use steel or hmpe")
	}
	if err := first(rangeRope.check("rope diameter", r.DiameterMM), rangeLine.check("rope length", r.LengthM)); err != nil {
		return err
	}
	if r.MBSKN != 0 {
		if err := rangeForce.check("rope breaking strength", r.MBSKN); err != nil {
			return err
		}
	}
	if r.GradeNmm2 != 0 {
		if err := (limit{1000, 2400, "N/mm²"}).check("rope grade", r.GradeNmm2); err != nil {
			return err
		}
	}
	switch r.End {
	case "", EndSplice, EndPressed, EndClips, EndKnot:
	default:
		return refuse("rope end", fmt.Sprintf("%q is not a way to end a rope", r.End), "use splice, pressed, clips or knot")
	}
	return nil
}

// SteelRopeKN is the minimum breaking force in kN of a steel rope of class k ("6x19"), diameter d mm and
// wire grade r N/mm2: K d^2 R / 1000 (EN 12385-4). ok is false for a class the table does not know.
func (t *Tables) SteelRopeKN(k string, steelCore bool, dMM, rNmm2 float64) (kN float64, ok bool) {
	i := slices.Index(t.Steel.Class, k)
	if i < 0 {
		return math.NaN(), false
	}
	f := t.Steel.FibreCore[i]
	if steelCore {
		f = t.Steel.SteelCore[i]
	}
	return f * dMM * dMM * rNmm2 / 1000, true
}

// BreakingKN is the breaking strength of the straight rope, marked or from the tables, and how it was
// found. Fibre rope between table sizes is read on the cross-section (d squared); outside the table it
// must be marked.
func (t *Tables) BreakingKN(r Rope) (kN float64, how string, err error) { return t.breaking(r, true) }

func (t *Tables) breaking(r Rope, say bool) (kN float64, how string, err error) {
	if err := r.check(); err != nil {
		return 0, "", err
	}
	if r.MBSKN > 0 {
		return r.MBSKN, "as marked", nil
	}
	if r.Material == Steel {
		k, g, core := r.Class, r.GradeNmm2, "fibre core"
		if k == "" {
			k = "6x19"
		}
		if g == 0 {
			g = t.Steel.Grade
		}
		if r.SteelCore {
			core = "steel core"
		}
		kN, ok := t.SteelRopeKN(k, r.SteelCore, r.DiameterMM, g)
		if !ok {
			return 0, "", refuse("rope class", fmt.Sprintf("%q is not in the table", k), "give the marked breaking strength")
		}
		if !say {
			return kN, "", nil
		}
		return kN, fmt.Sprintf("EN 12385-4, %s %s %.0f N/mm²", k, core, g), nil
	}
	d := t.HMPE.DiameterMM
	if r.DiameterMM < d[0]-0.4 || r.DiameterMM > d[len(d)-1]+0.4 {
		return 0, "", refuse("rope diameter", fmt.Sprintf("%g mm fibre rope is not in the table (%g to %g mm)", r.DiameterMM, d[0], d[len(d)-1]), "give the marked breaking strength")
	}
	sq := make([]float64, len(d))
	for i, v := range d {
		sq[i] = v * v
	}
	x := r.DiameterMM * r.DiameterMM
	avg := interpolate(sq, t.HMPE.AverageKN, x)
	if x < sq[0] { // just below the first size, in proportion to the cross-section
		avg *= x / sq[0]
	}
	if !say {
		return avg * t.Rope["hmpe_minimum"].Central, "", nil
	}
	return avg * t.Rope["hmpe_minimum"].Central, fmt.Sprintf("typical 12-strand rope %.1f kN on average, minimum %.0f %%", avg, 100*t.Rope["hmpe_minimum"].Central), nil
}

// BendEfficiency is the share of its strength that a rope keeps when bent round a diameter of ratio
// times its own; below the table's first ratio it falls in proportion, above its last it stays.
func (t *Tables) BendEfficiency(ratio float64) float64 {
	if !(ratio > 0) {
		return 0
	}
	if r0 := t.Bend.Ratio[0]; ratio < r0 {
		return t.Bend.Efficiency[0] * ratio / r0
	}
	return interpolate(t.Bend.Ratio, t.Bend.Efficiency, ratio)
}

// endEfficiency is what the rope's end leaves of its strength.
func (t *Tables) endEfficiency(r Rope) (share float64, what string) {
	switch {
	case r.End == EndKnot:
		return t.Rope["knot"].Central, "knotted end"
	case r.End == EndClips:
		return t.Rope["clips_steel"].Central, "clipped end"
	case r.Material == HMPE:
		return t.Rope["splice_hmpe"].Central, "long-bury splice"
	case r.End == EndPressed:
		return t.Rope["splice_pressed"].Central, "pressed end"
	}
	return t.Rope["splice_steel"].Central, "hand-spliced end"
}

// ropeLimit is what the line may be asked to bear: the smaller of end and bend efficiency (they act at
// different places) over the design factor. sheaveMM 0 with bent true takes the small sheave of the tables.
func (t *Tables) ropeLimit(r Rope, bent bool, sheaveMM float64, say bool) (kN float64, how string, err error) {
	mbs, from, err := t.breaking(r, say)
	if err != nil {
		return 0, "", err
	}
	e, what := t.endEfficiency(r)
	if bent {
		ratio, said := sheaveMM/r.DiameterMM, ""
		if sheaveMM == 0 {
			ratio, said = t.Rope["sheave_ratio"].Central, " (sheave not given)"
		}
		if b := t.BendEfficiency(ratio); b < e {
			e, what = b, "bent"
			if say {
				what = fmt.Sprintf("bent round %.0f times its diameter%s", ratio, said)
			}
		}
	}
	df := t.Design["rope"].Central
	if !say {
		return mbs * e / df, "", nil
	}
	return mbs * e / df, fmt.Sprintf("%.1f kN (%s) × %.2f (%s) / %g", mbs, from, e, what, df), nil
}

// interpolate reads y at x on straight lines between rising xs; outside it gives the end value.
func interpolate(xs, ys []float64, x float64) float64 {
	i, found := slices.BinarySearch(xs, x)
	switch {
	case found:
		return ys[i]
	case i == 0:
		return ys[0]
	case i == len(xs):
		return ys[len(ys)-1]
	}
	f := (x - xs[i-1]) / (xs[i] - xs[i-1])
	return ys[i-1] + f*(ys[i]-ys[i-1])
}
