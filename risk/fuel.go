package risk

import (
	"math"
	"slices"
	"sort"

	"lastroad/geo"
	"lastroad/risk/supply"
)

// tankful is the fuel of the trip along the route.
type tankful struct {
	fuelAlong
	model  *supply.FuelModel
	places []fuelPlace
	start  supply.Band
	note   string
}

// fuelPlace is a place where the tank is filled.
type fuelPlace struct {
	sample   int
	name     string
	declared bool
}

// fuelNearM is how near fuel must lie to the line to count as on it.
const fuelNearM = 500

// leastFuelled bounds the expected number of times that fuel runs out: beyond it the shortage is a stop,
// not a rate. It is also the adverse case, so that carrying more fuel never lowers the denominator.
const leastFuelled = 0.05

// fuelPlaces are the user's own fuel stops and the fuel stations of the region on the line, in route order.
// A station of the region is a real one, but whether it is open is not known: the judgement says so.
func fuelPlaces(s *geo.Survey) []fuelPlace {
	var out []fuelPlace
	for _, m := range s.Marks {
		if m.Kind == geo.MarkStop && m.Fuel {
			i := min(len(s.Samples)-1, sort.Search(len(s.Samples), func(i int) bool { return s.Samples[i].DistanceM >= m.DistanceM }))
			if i > 0 {
				out = append(out, fuelPlace{i, m.Name, true})
			}
		}
	}
	own := len(out)
	for i := 1; i < len(s.Samples); i++ {
		q := &s.Samples[i]
		if !(q.HelpM[geo.HelpFuel] <= fuelNearM) {
			continue
		}
		known := q.DistanceM-s.Samples[0].DistanceM <= 2*fuelNearM // the trip starts full
		for _, p := range out {
			known = known || math.Abs(s.Samples[p.sample].DistanceM-q.DistanceM) <= 2*fuelNearM
		}
		if known {
			continue
		}
		name := ""
		if k := q.HelpAt[geo.HelpFuel]; k >= 0 && int(k) < len(s.Help) {
			name = s.Help[k].Name
		}
		out = append(out, fuelPlace{i, name, false})
	}
	if own > 0 {
		sort.SliceStable(out, func(a, b int) bool { return out[a].sample < out[b].sample })
	}
	return out
}

// fuel works out what is used and carried along the route, and puts the chance of running out into the
// model as a trouble at the end of each stretch between places of fuel.
func (st *study) fuel() {
	v := &st.trip.Party.Vehicle
	s := st.survey
	roof := st.loadOf(&st.trip.Party).RoofKg > 0
	vehicle := supply.FuelVehicle{Fuel: supply.FuelKind(v.Fuel), SealedLPer100: v.SealedLPer100, MassKg: v.KerbKg + 150, EngineL: v.EngineL, RoofLoad: roof}
	m, err := st.cat.Supply.Fuel(vehicle)
	if err != nil {
		st.tank = &tankful{note: "Fuel could not be worked out: " + err.Error() + "."}
		return
	}
	t := &tankful{model: m, note: m.Warning(), places: st.facts.fuel}
	lighter := st.lighter()
	t.fuelAlong = st.along(m, vehicle, lighter)
	cans := st.solo.count[st.itemIndex("fuel")]
	share := v.UsableShare
	if slices.Contains(v.Defaulted, "UsableShare") {
		share = 0 // the table's, with its band
	}
	t.start = st.cat.Supply.FuelOnBoard(v.TankL, share, cans)
	n := len(s.Samples)
	// The rate of running dry asks neither what rides on the roof nor how much water is carried: a thing added
	// must not raise it, nor change what readiness is measured against.
	vehicle.RoofLoad = true
	lighter.OtherKg = nil
	dry := t.forward
	if worst, err := st.cat.Supply.Fuel(vehicle); err == nil {
		dry = st.along(worst, vehicle, lighter).forward
	}
	from := 0
	for k := 0; k <= len(t.places); k++ {
		e := n - 1
		if k < len(t.places) {
			e = t.places[k].sample
		}
		if e > from {
			st.x.emptyAt(dry, t.start, from, e, v, st)
		}
		from = e
	}
	st.tank = t
}

// along is the use of fuel along the route by a model of the vehicle, kept by the memo.
func (st *study) along(m *supply.FuelModel, v supply.FuelVehicle, l supply.Lighter) fuelAlong {
	sum := fnvFloats(l.OtherKg)
	for i, full := range l.FullAt {
		if full {
			sum = sum*31 + uint64(i)
		}
	}
	return st.memo.fuel(fuelKey{st.survey, st.fuelTables(), v, ladenKg(&st.trip.Party.Vehicle), l.FuelKgPerL, sum}, func() fuelAlong {
		return newFuelAlong(m.AlongLighter(st.segments(m), l))
	})
}

// fuelTables are the tables that stand for those of the use of fuel: the same as those of the study that this one is
// like where nothing of fuel differs.
func (st *study) fuelTables() *supply.Tables {
	if like := st.opts.like; like != nil && st.cat.Supply.SameFuel(like.cat.Supply) {
		return like.cat.Supply
	}
	return st.cat.Supply
}

// segments is the route for the fuel model, sample by sample, at the declared or permitted mass. It does not rest
// on the sum of the items: a thing added must not raise a rate.
func (st *study) segments(m *supply.FuelModel) []supply.Segment {
	s := st.survey
	v := &st.trip.Party.Vehicle
	ground := make([]supply.GroundLoad, len(s.Grounds))
	for i := range s.Grounds {
		ground[i] = m.OnGround(s.Grounds[i])
	}
	segs := make([]supply.Segment, 0, len(s.Samples)-1)
	for i := 1; i < len(s.Samples); i++ {
		a, b := &s.Samples[i-1], &s.Samples[i]
		segs = append(segs, supply.Segment{LengthM: b.DistanceM - a.DistanceM, Seconds: b.DriveS - a.DriveS, Grade: a.Grade, HeightM: a.HeightM,
			MassKg: ladenKg(v), Ground: ground[a.Ground]})
	}
	return segs
}

// lighter is how the vehicle grows lighter: by the fuel burned since it was last filled and by the water drunk.
func (st *study) lighter() supply.Lighter {
	l := supply.Lighter{FuelKgPerL: st.cat.Supply.FuelKg(supply.FuelKind(st.trip.Party.Vehicle.Fuel)), FullAt: st.facts.full,
		OtherKg: st.x.water(st.solo.count[st.itemIndex("water")]).drunk}
	return l
}

func subBand(a, b supply.Band) supply.Band {
	return supply.Band{Low: a.Low - b.Low, Central: a.Central - b.Central, High: a.High - b.High}
}

// emptyAt puts the chance of running out on the stretch into the piece at its end.
func (x *exposure) emptyAt(used []supply.Band, start supply.Band, from, to int, v *Vehicle, st *study) {
	need := subBand(used[to], used[from])
	short := supply.ShortOf(need, start)
	tank := st.cat.Supply.FuelOnBoard(v.TankL, v.UsableShare, 0)
	worst := supply.ShortOf(supply.Band{Low: need.Low, Central: need.High, High: 2*need.High - need.Low}, tank)
	mean := math.Min(leastFuelled, -math.Log1p(-math.Min(short, 0.999)))
	bad := math.Max(mean, math.Min(leastFuelled, -math.Log1p(-math.Min(worst, 0.999))))
	if bad <= 1e-9 {
		return
	}
	at := len(x.pieces) - 1
	for i := range x.pieces {
		if !x.pieces[i].Ford && x.pieces[i].Last >= to {
			at = i
			break
		}
	}
	e, ok := st.cat.EventIndex("fuel/empty")
	if !ok {
		return
	}
	x.insert(cell{piece: at, event: e, ground: x.survey.Grounds[x.pieces[at].Mix].Likeliest(), mean: mean, worst: bad})
}

// insert adds a cell to its piece, keeping the order of events.
func (x *exposure) insert(c cell) {
	i := x.first[c.piece+1]
	for i > x.first[c.piece] && x.cells[i-1].event > c.event {
		i--
	}
	x.cells = append(x.cells, cell{})
	copy(x.cells[i+1:], x.cells[i:])
	x.cells[i] = c
	for p := c.piece + 1; p < len(x.first); p++ {
		x.first[p]++
	}
}

// addFuel takes over the chances of running out from another exposure of the same trip.
func (x *exposure) addFuel(from *exposure) {
	e, ok := x.cat.EventIndex("fuel/empty")
	if !ok {
		return
	}
	for i := range from.cells {
		if from.cells[i].event == e {
			x.insert(from.cells[i])
		}
	}
}

func (st *study) itemIndex(key string) int {
	i, ok := st.cat.ItemIndex(key)
	if !ok {
		panic("risk: no item " + key)
	}
	return i
}
