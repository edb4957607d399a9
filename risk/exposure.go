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
	// cells of piece i are cells[first[i]:first[i+1]].
	cells []cell
	first []int
	// floor is the least denominator per metre.
	floor float64
	// factor values by factor and ground, actual and adverse, for variables that are the same everywhere.
	actual, adverse [][geo.NumGrounds]float64
	means           [][geo.NumGrounds]float64 // mean rate of each hazard by ground, per its own exposure
	empty           float64                   // chance of running out of fuel, see fuel
	emptyPiece      int
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
func expose(s *geo.Survey, cat *catalogue.Catalogue, t *Trip, pieces []piece, soft bool) *exposure {
	x := &exposure{survey: s, cat: cat, trip: t, pieces: pieces, soft: soft}
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
	x.means = make([][geo.NumGrounds]float64, len(cat.Hazards))
	for i := range cat.Hazards {
		for g := geo.Sealed; g < geo.NumGrounds; g++ {
			x.means[i][g] = meanRate(cat.Hazards[i].Rate[g])
		}
		if cat.Hazards[i].Per == "1000km" {
			x.floor += x.means[i][geo.Sealed] / 1e6
		}
	}
	x.floor *= cat.Figure("floor_ratio").Central
	x.first = append(x.first, 0)
	for i := range pieces {
		x.pieceCells(i)
		x.first = append(x.first, len(x.cells))
	}
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

func (x *exposure) pieceCells(i int) {
	p := &x.pieces[i]
	mix := &x.survey.Grounds[p.Mix]
	for e := range x.cat.Events {
		ev := &x.cat.Events[e]
		h := &x.cat.Hazards[ev.Hazard]
		amount := 0.0
		switch h.Per {
		case "1000km":
			amount = p.LengthM() / 1e6
		case "crossing":
			if p.Ford {
				amount = 1
			}
		case "person_day":
			amount = p.DriveH / x.cat.Figure("drive_day_h").Central * float64(len(x.trip.Party.People))
		}
		if amount <= 0 {
			continue
		}
		for g := geo.Sealed; g < geo.NumGrounds; g++ {
			w := mix.P[g]
			if p.Ford {
				w = 0
				if g == geo.Ford {
					w = 1
				}
			}
			if w <= 0 {
				continue
			}
			m := amount * w * x.means[ev.Hazard][g] * ev.Share[g].Central
			if m <= 0 {
				continue
			}
			c := cell{piece: i, event: e, ground: g, mean: m, worst: m}
			for _, fi := range ev.Factors {
				f := &x.cat.Factors[fi]
				a, b := x.actual[fi][g], x.adverse[fi][g]
				switch f.Variable {
				case "grade":
					sign := 1.0
					if ev.Key == "climb/slide" {
						sign = -1
					}
					a = alongPiece(f, p.steep, unknownGrade, sign, g)
					b = a
				case "side":
					a = alongPiece(f, p.side, unknownSide, 1, g)
					b = a
				}
				c.mean *= a
				c.worst *= b
			}
			c.worst = math.Max(c.worst, c.mean)
			if c.worst > 0 {
				x.cells = append(x.cells, c)
			}
		}
	}
}
