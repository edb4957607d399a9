package recovery

import (
	"fmt"
	"math"
)

// HoldingPowerKPa is the holding power of a buried log in loam per unit of its face, from the table of
// TM 5-5420-278-10: mean depth in metres, slope of the rope as rise over run (1 = 45 degrees, 1/3
// flatter). Between rows it is read on a straight line over depth, between columns over the angle of
// the rope. Flatter than 1:4 counts as 1:4; deeper than the last row as the last row. Above the first
// row (0.91 m) it falls with depth to a stated exponent (judgement), and extrapolated is true.
// ok is false for ropes steeper than 1:1 and depths under 0.45 m: nothing is said of those.
func (t *Tables) HoldingPowerKPa(depthM, slope float64) (kPa float64, extrapolated, ok bool) {
	d := t.Deadman
	if !(depthM >= d.Least.Central) || !(slope <= d.Slope[0]+1e-9) || !(slope >= 0) {
		return math.NaN(), false, false
	}
	n := len(d.Slope) // angles rise when read from the last column to the first
	angle, row := make([]float64, n), make([]float64, n)
	for j := range n {
		angle[j] = math.Atan(d.Slope[n-1-j])
	}
	byDepth := make([]float64, len(d.DepthM))
	for i := range d.DepthM {
		for j := range n {
			row[j] = d.PowerPsf[i][n-1-j]
		}
		byDepth[i] = interpolate(angle, row, math.Atan(slope))
	}
	psf := interpolate(d.DepthM, byDepth, depthM)
	if depthM < d.DepthM[0] {
		psf *= math.Pow(depthM/d.DepthM[0], d.Shallow.Central)
		extrapolated = true
	}
	return psf * kPaPerPsf, extrapolated, true
}

// DeadmanNeed is what a buried log must measure.
type DeadmanNeed struct {
	PowerKPa float64 // in this soil
	LengthM  float64
	Ratio    float64 // length over face or diameter
	RatioMax float64 // 9 for timber, 5 for logs
	OK       bool
}

// DeadmanLength is the length of log (or timber) of the given face (its height, or the log's diameter)
// that holds kN: force over holding power and face, plus 1 ft for the cable trench. OK is false when it
// would bend: then go deeper, flatter or thicker. It refuses depths and slopes the table does not cover
// and unknown soils.
func (t *Tables) DeadmanLength(kN, depthM, slope, faceM float64, log bool, soil string) (DeadmanNeed, error) {
	var n DeadmanNeed
	f, known := t.Soil[soil]
	if !known {
		return n, refuse("soil", fmt.Sprintf("%q is not in the table", soil), "use loam, clay, sand, wet or hard")
	}
	if err := first(rangeForce.check("force", kN), rangeFace.check("face", faceM)); err != nil {
		return n, err
	}
	hp, _, ok := t.HoldingPowerKPa(depthM, slope)
	if !ok {
		return n, t.deadmanRange(depthM, slope)
	}
	n.PowerKPa = hp * f.Central
	n.LengthM = kN/(n.PowerKPa*faceM) + t.Deadman.TrenchM.Central
	n.Ratio = n.LengthM / faceM
	n.RatioMax = t.Deadman.TimberMax.Central
	if log {
		n.RatioMax = t.Deadman.LogMax.Central
	}
	n.OK = n.Ratio <= n.RatioMax
	return n, nil
}

func (t *Tables) deadmanRange(depthM, slope float64) error {
	if !(slope <= t.Deadman.Slope[0]+1e-9) || !(slope >= 0) {
		return refuse("rope slope", fmt.Sprintf("%s is outside 0 to 1 (rise over run)", number(slope, "")), "move the anchor further off so that the rope lies flatter")
	}
	return refuse("deadman depth", fmt.Sprintf("%s is less than %s", number(depthM, ""), number(t.Deadman.Least.Central, "m")), "dig deeper: nothing is known for less")
}
