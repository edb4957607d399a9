package risk

import (
	"math"

	"lastroad/geo"
	"lastroad/risk/supply"
)

// tankful is the fuel of the trip along the route.
type tankful struct {
	model   *supply.FuelModel
	forward []supply.Band // litres used from the start to each sample
	back    []supply.Band
	have    []supply.Band // litres on board at each sample, refills counted
	next    []int         // sample of the next certain fuel, the last sample when there is none
	start   supply.Band
	note    string
}

// fuelNearM is how near fuel must lie to the line to count as on it.
const fuelNearM = 500

// leastFuelled bounds the expected number of times that fuel runs out: beyond it the shortage is a stop,
// not a rate. It is also the adverse case, so that carrying more fuel never lowers the denominator.
const leastFuelled = 0.05

// fuel works out what is used and carried along the route, and puts the chance of running out into the
// model as a trouble at the end of each stretch between places of fuel.
func (st *study) fuel() {
	v := &st.trip.Party.Vehicle
	s := st.survey
	m, err := st.cat.Supply.Fuel(supply.FuelVehicle{Fuel: supply.FuelKind(v.Fuel), SealedLPer100: v.SealedLPer100, MassKg: v.KerbKg + 150, EngineL: v.EngineL})
	if err != nil {
		st.tank = &tankful{note: "Fuel could not be worked out: " + err.Error() + "."}
		return
	}
	t := &tankful{model: m, note: m.Warning()}
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
	t.forward, t.back = m.Along(segs)
	cans := st.solo.count[st.itemIndex("fuel")]
	t.start = st.cat.Supply.FuelOnBoard(v.TankL, v.UsableShare, cans)
	t.have = make([]supply.Band, len(s.Samples))
	t.next = make([]int, len(s.Samples))
	last := 0
	var stations []int
	for i := range s.Samples {
		if i > 0 && s.Samples[i].HelpM[geo.HelpFuel] <= fuelNearM && (len(stations) == 0 || s.Samples[i].DistanceM-s.Samples[stations[len(stations)-1]].DistanceM > 2*fuelNearM) {
			stations = append(stations, i)
			last = i
		}
		used := subBand(t.forward[i], t.forward[last])
		t.have[i] = supply.Band{Low: math.Max(0, t.start.Low-used.High), Central: math.Max(0, t.start.Central-used.Central), High: math.Max(0, t.start.High-used.Low)}
	}
	ends := append(stations, len(s.Samples)-1)
	from := 0
	for _, e := range ends {
		for i := from; i < e; i++ {
			t.next[i] = e
		}
		if e > from {
			st.x.emptyAt(t, from, e, v, st)
		}
		from = e
	}
	t.next[len(s.Samples)-1] = len(s.Samples) - 1
	st.tank = t
}

func subBand(a, b supply.Band) supply.Band {
	return supply.Band{Low: a.Low - b.Low, Central: a.Central - b.Central, High: a.High - b.High}
}

// emptyAt puts the chance of running out on the stretch into the piece at its end.
func (x *exposure) emptyAt(t *tankful, from, to int, v *Vehicle, st *study) {
	need := subBand(t.forward[to], t.forward[from])
	short := supply.ShortOf(need, t.start)
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
