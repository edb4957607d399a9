package supply

import "math"

// FuelStop is a place of certain fuel, or the end of the route.
type FuelStop struct {
	AtM float64
	// Left is what is on board on arrival, in litres: Low after the greatest use. Negative = short by so much.
	Left Band
	// NeedL is what the stretch to here uses.
	Need Band
	End  bool // the end of the route
}

// FuelAlong follows the usable fuel along a route: start litres at its beginning, filled up to full at
// each of places. distM are rising distances and use the running sums of FuelModel.Along at them. It
// gives every place in route order and the end. It panics when the slices differ in length.
func FuelAlong(distM []float64, use []Band, places []float64, start, full Band) []FuelStop {
	if len(distM) != len(use) {
		panic("supply: distances and sums differ in length")
	}
	if len(distM) == 0 {
		return nil
	}
	var out []FuelStop
	first, end := distM[0], distM[len(distM)-1]
	at, have := first, start
	for {
		next := end
		for _, p := range places {
			if p > at && p < next {
				next = p
			}
		}
		from, to := bandAt(distM, use, at), bandAt(distM, use, next)
		need := Band{to.Low - from.Low, to.Central - from.Central, to.High - from.High}
		out = append(out, FuelStop{AtM: next, Need: need, End: next == end,
			Left: Band{have.Low - need.High, have.Central - need.Central, have.High - need.Low}})
		if next == end {
			return out
		}
		at, have = next, full
	}
}

// ReachM is how far from a distance the usable fuel goes along the route, metres: Low with the greatest
// use and the least fuel. The end of the route bounds it.
func ReachM(distM []float64, use []Band, fromM float64, have Band) Band {
	if len(distM) == 0 {
		return Band{}
	}
	f := bandAt(distM, use, fromM)
	reach := func(used func(Band) float64, begin, litres float64) float64 {
		return firstAbove(func(x float64) float64 { return used(bandAt(distM, use, x)) - begin - litres }, fromM, distM[len(distM)-1]) - fromM
	}
	return Band{
		math.Max(0, reach(func(b Band) float64 { return b.High }, f.High, have.Low)),
		math.Max(0, reach(func(b Band) float64 { return b.Central }, f.Central, have.Central)),
		math.Max(0, reach(func(b Band) float64 { return b.Low }, f.Low, have.High)),
	}
}

// bandAt interpolates running sums at a distance.
func bandAt(distM []float64, sums []Band, x float64) Band {
	n := len(distM)
	if x <= distM[0] || math.IsNaN(x) {
		return sums[0]
	}
	if x >= distM[n-1] {
		return sums[n-1]
	}
	lo, hi := 0, n-1
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; distM[mid] <= x {
			lo = mid
		} else {
			hi = mid
		}
	}
	f := (x - distM[lo]) / (distM[hi] - distM[lo])
	a, b := sums[lo], sums[hi]
	return Band{a.Low + f*(b.Low-a.Low), a.Central + f*(b.Central-a.Central), a.High + f*(b.High-a.High)}
}

// FuelVehicle gives the class's own figures to the fuel model, observed with two people aboard.
func (c *VehicleClass) FuelVehicle(adultKg float64) FuelVehicle {
	return FuelVehicle{Fuel: c.Fuel, SealedLPer100: c.SealedLPer100.Central, MassKg: c.KerbKg.Central + 2*adultKg,
		EngineL: c.EngineL.Central, CdA: c.CdAM2.Central}
}

// LoadVehicle gives the class's own figures to the mass budget.
func (c *VehicleClass) LoadVehicle() LoadVehicle {
	return LoadVehicle{KerbKg: c.KerbKg.Central, GVMKg: c.GVMKg.Central, FrontLimitKg: c.FrontAxleKg.Central, RearLimitKg: c.RearAxleKg.Central,
		RoofLimitKg: c.RoofKg.Central, KerbFrontShare: c.KerbFrontShare.Central, WheelbaseM: c.WheelbaseM.Central, TrackM: c.TrackM.Central,
		CGHeightM: c.CGHeightM.Central, KerbFuelL: c.TankL.Central, Fuel: c.Fuel}
}
