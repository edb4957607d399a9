package risk

import (
	"maps"
	"math"

	"lastroad/geo"
	"lastroad/risk/catalogue"
	"lastroad/risk/coverage"
)

// exposure is the part of the model that does not ask what is carried: the pieces, and the expected
// number of every kind of trouble on every piece, by ground.
type exposure struct {
	survey *geo.Survey
	cat    *catalogue.Catalogue
	trip   *Trip
	pieces []piece
	facts  *routeFacts
	room   *scratch
	// cells of piece i are cells[first[i]:first[i+1]].
	cells []cell
	first []int
	// floor is the least denominator per metre.
	floor float64
	// factor values by factor and ground, actual and adverse, for variables that are the same everywhere.
	actual, adverse [][geo.NumGrounds]float64
	empty           float64 // chance of running out of fuel, see fuel
	emptyPiece      int
	// alarm is, per piece, the hours from entering it to the alarm of somebody at home; nil without a start.
	alarm []float64
	memo  *Memo
	// drinkPerS is the litres of water that the party drinks in a second at the wheel.
	drinkPerS float64
	// soft says that tyres are let down on soft ground.
	soft bool
}

// cell is one kind of trouble on one piece on one class of ground.
type cell struct {
	piece, event int
	ground       geo.Ground
	mean, worst  float64
}

// variables are the values of the factors' variables that hold for the whole trip, and those of the adverse
// case: the hottest and wettest the season brings, road pressure left in the tyres.
func variables(cat *catalogue.Catalogue, t *Trip, soft bool) (actual, adverse map[string]float64) {
	v := &t.Party.Vehicle
	c := &t.Conditions
	b := func(x bool) float64 {
		if x {
			return 1
		}
		return 0
	}
	wading := v.WadingM
	if !(wading > 0) {
		wading = cat.Figure("wading_m").Central
	}
	ratio := func(level float64) float64 { return cat.Figure("ford_depth_m").Central * level * level / wading }
	pace := c.Pace
	if pace == 0 {
		pace = 1
	}
	clearance := 0.0
	if v.ClearanceM > 0 {
		clearance = math.Max(0, 0.22-v.ClearanceM)
	}
	left := 0.0
	if v.LadenKg > 0 && v.GVMKg > 0 {
		left = math.Max(0, 1-v.LadenKg/v.GVMKg)
	}
	actual = map[string]float64{
		"day_max_c": c.DayMaxC, "wetness": c.Wetness, "water_level": c.WaterLevel, "depth_ratio": ratio(c.WaterLevel),
		"road_pressure": b(!soft), "two_wheel_drive": b(!v.AllWheelDrive && !v.LowRange), "lockers": float64(v.Lockers),
		"clearance_short_m": clearance, "age_y": v.AgeY, "service_overdue": b(v.ServiceOverdue), "pace": pace, "laden_share_left": left,
	}
	or := func(given, worst float64) float64 {
		if given > 0 {
			return given
		}
		return worst
	}
	adverse = maps.Clone(actual)
	adverse["day_max_c"] = math.Max(c.DayMaxC, or(c.AdverseC, cat.Figure("adverse_max_c").Central))
	adverse["wetness"] = math.Max(c.Wetness, or(c.AdverseWetness, 1))
	level := math.Max(c.WaterLevel, or(c.AdverseWaterLevel, 2))
	adverse["water_level"], adverse["depth_ratio"] = level, ratio(level)
	adverse["road_pressure"] = 1
	return actual, adverse
}

// meanRate is the mean of the lognormal through the 5 and 95 % points of f around its median.
func meanRate(f geo.Figure) float64 {
	if f.Central <= 0 {
		return 0
	}
	return f.Central * coverage.MeanOverMedian(coverage.SigmaOf(coverage.ErrorFactorOf(f.Low, f.High)))
}

// expose computes what the route brings. soft tells whether the tyres are let down on soft ground.
func expose(b *bare, t *Trip, soft bool, memo *Memo, room *scratch) *exposure {
	cat := b.cat
	x := &exposure{survey: b.survey, cat: cat, trip: t, pieces: b.pieces, facts: b.facts, soft: soft, memo: memo, room: room}
	vars, bad := variables(cat, t, soft)
	x.actual = make([][geo.NumGrounds]float64, len(cat.Factors))
	x.adverse = make([][geo.NumGrounds]float64, len(cat.Factors))
	for i := range cat.Factors {
		f := &cat.Factors[i]
		v, ok := vars[f.Variable]
		if !ok {
			continue // of the piece
		}
		for g := geo.Sealed; g < geo.NumGrounds; g++ {
			x.actual[i][g] = f.Value(v, g)
			x.adverse[i][g] = x.actual[i][g]
			if f.Worst {
				x.adverse[i][g] = math.Max(x.actual[i][g], f.Value(bad[f.Variable], g))
			}
		}
	}
	for i := range cat.Hazards {
		if cat.Hazards[i].Per == "1000km" {
			x.floor += meanRate(cat.Hazards[i].Measure(geo.Sealed)) / 1e6
		}
	}
	x.floor *= cat.Figure("floor_ratio").Central
	x.drinkPerS = drinkPerH(x) / 3600
	x.with(b, len(t.Party.People))
	return x
}

// unknownGrade stands for a grade that no heights tell: the grade from which the slope factor is one.
const unknownGrade, unknownSide = 0.10, 0.05

// alongPiece is the mean of a factor over the samples of a piece.
func alongPiece(f *catalogue.Factor, v []float64, unknown, sign float64, g geo.Ground) float64 {
	sum := 0.0
	for _, x := range v {
		if math.IsNaN(x) {
			x = unknown
		} else {
			x = math.Max(0, sign*x)
		}
		sum += f.Value(x, g)
	}
	if len(v) == 0 {
		return f.Value(0, g)
	}
	return sum / float64(len(v))
}
