package supply_test

import (
	"testing"

	"lastroad/risk/supply"
)

// By hand: 3200 - 2400 - 2 x 75 - 200 = 450 kg left.
func TestPayloadLeft(t *testing.T) {
	r := tables(t).Load(supply.LoadInput{
		Vehicle: supply.LoadVehicle{KerbKg: 2400, GVMKg: 3200, WheelbaseM: 2.85},
		People:  []supply.Person{{MassKg: 75}, {MassKg: 75}},
		Items:   []supply.LoadItem{{Name: "options", Kg: 200, Place: "floor"}},
	})
	near(t, "payload left", r.PayloadLeftKg, 450, 1e-9)
}

// By moments: 150 kg at 1.14 m behind the rear axle of a 2.85 m wheelbase put 150 x (2.85 + 1.14)/2.85 =
// 210 kg on the rear axle and take 60 kg off the front.
func TestBallLoadMoments(t *testing.T) {
	tab := tables(t)
	v := supply.LoadVehicle{KerbKg: 2400, KerbFrontShare: 0.5, WheelbaseM: 2.85, BallBehindM: 1.14, Fuel: supply.Diesel}
	bare := tab.Load(supply.LoadInput{Vehicle: v})
	r := tab.Load(supply.LoadInput{Vehicle: v, Items: []supply.LoadItem{{Kg: 150, Place: "ball"}}})
	near(t, "rear axle", r.RearKg-bare.RearKg, 210, 1e-9)
	near(t, "front axle", r.FrontKg-bare.FrontKg, -60, 1e-9)
	near(t, "both", r.FrontKg+r.RearKg, r.TotalKg, 1e-9)
	near(t, "ball of a 3500 kg trailer", tab.BallLoad(3500).Central, 350, 1e-9) // towing guides, 10 %
}

// By hand: (2400 x 0.75 + roof x 2.0)/(2400 + roof); static stability factor = track/(2 h), NHTSA.
func TestRoofLoadRaisesTheCentreOfGravity(t *testing.T) {
	tab := tables(t)
	v := supply.LoadVehicle{KerbKg: 2400, CGHeightM: 0.75, TrackM: 1.6, WheelbaseM: 2.85}
	for _, c := range []struct{ roof, height, ssf, tol float64 }{
		{0, 0.75, 1.067, 5e-4}, {50, 0.7755, 1.032, 5e-4}, {100, 0.800, 1.000, 5e-4}, {150, 0.8235, 0.971, 5e-4},
	} {
		r := tab.Load(supply.LoadInput{Vehicle: v, Items: []supply.LoadItem{{Kg: c.roof, Place: "roof", HeightM: 2}}})
		near(t, "height of the centre of gravity", r.CGHeightM, c.height, 6e-5)
		near(t, "static stability factor", r.SSF, c.ssf, c.tol)
	}
	near(t, "tip angle at a factor of 1", tab.Load(supply.LoadInput{Vehicle: v, Items: []supply.LoadItem{{Kg: 100, Place: "roof", HeightM: 2}}}).TipDeg, 45, 1e-9)
}

// 80 L of diesel at 0.835 kg/L and 60 L of water are 66.8 + 60 = 126.8 kg.
func TestFluidMasses(t *testing.T) {
	r := tables(t).Load(supply.LoadInput{Vehicle: supply.LoadVehicle{KerbKg: 2400, Fuel: supply.Diesel}, FuelL: 80, WaterL: 60})
	near(t, "fuel", r.FuelKg, 66.8, 1e-9)
	near(t, "both", r.FuelKg+r.WaterKg, 126.8, 1e-9)
	near(t, "total", r.TotalKg, 2526.8, 1e-9)
}
