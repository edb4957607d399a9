package risk

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"lastroad/geo"
	"lastroad/risk/catalogue"
	"lastroad/risk/coverage"
	"lastroad/risk/recovery"
	"lastroad/risk/supply"
)

func toBand(b supply.Band) Band { return Band{b.Low, b.Central, b.High} }

// waterNeeds works out the drinking water of every leg and the litres to have on entering each. Water is
// taken on only where the user declares it.
func (st *study) waterNeeds(legs []LegJudgement) {
	s := st.survey
	driveDay := st.cat.Figure("drive_day_h").Central
	crew := people(st.trip.Party.People)
	adults := st.cat.Supply.Shares(crew)
	cl := climate(&st.trip)
	legsWater := make([]supply.LegWater, len(legs))
	needs := make([]supply.WaterNeed, len(legs))
	start := st.solo.count[st.itemIndex("water")]
	stock := st.x.water(start)
	_, largest, known := divided(st.trip.Party.Load)
	for i := range legs {
		n := &legs[i].Needs
		drive := math.Max(0, s.Samples[s.Legs[i].To].DriveS-s.Samples[s.Legs[i].From].DriveS) / 3600
		var worst supply.Band
		for _, q := range st.legShares(i) {
			if b := st.wait[q.piece].Help.Stranded(); b.Central > worst.Central {
				worst = b
			}
		}
		n.StrandedH = toBand(worst)
		w := st.cat.Supply.Water(supply.WaterInput{People: crew, Climate: cl, ElapsedH: drive / driveDay * 24, DriveH: drive, DigH: n.RecoveryMin / 60, StrandedH: worst,
			NoShade: !st.shade()})
		needs[i] = w
		n.Supply.WaterTakenL = st.facts.legs[i].takenL
		legsWater[i] = supply.LegWater{Travel: w.Travel.Central, Waiting: w.Design - w.Travel.Central, RefillL: n.Supply.WaterTakenL}
		n.Cautions = append(n.Cautions, w.Cautions...)
		n.WaterHaveL = stock.left[s.Legs[i].From]
		n.SurvivalDays = st.cat.Supply.SurvivalDays(st.trip.Conditions.DayMaxC, n.WaterHaveL/math.Max(adults, 1e-9))
		n.Supply.LeakKeepL, n.Supply.WaterLeakL = w.Carry.Central, math.NaN()
		if known && n.WaterHaveL > 0 {
			n.Supply.WaterLeakL = math.Max(0, n.WaterHaveL-largest)
		}
	}
	enter := supply.WaterAlong(legsWater)
	for i := range legs {
		n := &legs[i].Needs
		w := needs[i]
		// The band of the leg's own need, moved up to what the legs up to the next refill ask for.
		shift := math.Max(0, enter[i]-w.Design)
		n.WaterL = Band{w.Carry.Low + shift, math.Max(w.Carry.Central+shift, 0), math.Max(w.Carry.High, w.Design) + shift}
		c := st.cooling(n.WaterHaveL, n.WaterL.Central)
		n.CoolingL = c.CarryL.Central
	}
}

// shade reports whether shade can be made while waiting.
func (st *study) shade() bool {
	return hasItem(st.cat, st.solo.count, "shade") || hasItem(st.cat, st.solo.count, "tarp")
}

// cooling is the radiator's share for so much drinking water, reckoned for the highest ground of the route.
func (st *study) cooling(haveL, needL float64) supply.CoolingNeed {
	v := &st.trip.Party.Vehicle
	return st.cat.Supply.Cooling(supply.CoolingInput{CoolantL: v.CoolantL, EngineL: v.EngineL, HeightM: st.highM(),
		CoolantHaveL: st.solo.count[st.itemIndex("coolant")], DrinkingHaveL: haveL, DrinkingNeedL: needL})
}

func (st *study) highM() float64 {
	if st.high == 0 {
		st.high = st.facts.site.HighM
	}
	return st.high
}

// fuelNeeds fills the litres of a leg.
func (st *study) fuelNeeds(i int, n *Needs) {
	t := st.tank
	if t == nil || t.model == nil {
		nan := math.NaN()
		n.FuelL, n.FuelReachL, n.FuelHaveL = Band{nan, nan, nan}, Band{nan, nan, nan}, Band{nan, nan, nan}
		return
	}
	l := st.survey.Legs[i]
	s := st.survey.Samples
	n.FuelL = toBand(subBand(t.forward[l.To], t.forward[l.From]))
	n.FuelHaveL = toBand(t.haveAt(st.facts, l.From))
	next := st.facts.next[l.From]
	use := subBand(t.forward[next], t.forward[l.From])
	plan := st.cat.Supply.FuelPlan(t.model, supply.FuelInput{Use: use, DistanceM: s[next].DistanceM - s[l.From].DistanceM,
		BackL: subBand(t.back[next], t.back[st.facts.last[l.From]]).Central, Rule: st.trip.Policy.ReserveRule, DetourM: 1000 * st.trip.Policy.DetourKm,
		StrandedH: supply.Band{Low: n.StrandedH.Low, Central: n.StrandedH.Central, High: n.StrandedH.High}})
	n.FuelReachL = toBand(plan.Total)
	n.Cautions = append(n.Cautions, plan.Cautions...)
}

// moveNeeds fills the times, distances on foot and places of a leg.
func (st *study) moveNeeds(i int, n *Needs) {
	l := st.survey.Legs[i]
	s := st.survey.Samples
	if st.tank != nil {
		for _, p := range st.tank.places {
			if p.sample >= l.From && (p.sample < l.To || i == len(st.survey.Legs)-1 && p.sample == l.To) {
				n.FuelPlacesM = append(n.FuelPlacesM, s[p.sample].DistanceM)
			}
		}
	}
	f := &st.facts.legs[i]
	n.WalkOutMin, n.RoadM, n.WaterRefillsM = f.walkOut, f.roadM, f.refills
}

// orFar reads an unknown distance as far away.
func orFar(m float64) float64 {
	if math.IsNaN(m) {
		return math.Inf(1)
	}
	return m
}

// worse is the larger of two, NaN when either is unknown.
func worse(a, b float64, first bool) float64 {
	if first {
		return b
	}
	if math.IsNaN(a) || math.IsNaN(b) {
		return math.NaN()
	}
	return math.Max(a, b)
}

// leastAsked is the chance below which a part is not listed among a leg's needs.
const leastAsked = 0.001

// parts lists the parts, tools and skills of a leg by the chance of being asked for.
func (st *study) parts(n *Needs, t tally) {
	cat := st.cat
	if st.asked == nil {
		st.asked = &asked{item: make([]float64, len(cat.Items)), skill: make([]float64, len(cat.Skills)), has: st.skilled()}
	}
	q := st.asked
	clear(q.item)
	clear(q.skill)
	for e := range t.events {
		m := t.events[e].mean
		if m <= 0 {
			continue
		}
		for _, i := range st.index.items[e] {
			q.item[i] += m
		}
		for _, i := range st.index.skills[e] {
			q.skill[i] += m
		}
	}
	n.Parts = q.byChance(q.item, func(i int) PartNeed {
		want := st.b.unit[i]
		if cat.Items[i].UsedUp {
			if s, ok := coverage.Spares(q.item[i], 0.95); ok {
				want *= math.Max(1, float64(s))
			}
		}
		return PartNeed{Item: cat.Items[i].Key, Title: cat.Items[i].Title, Want: want, Have: st.solo.count[i], Missing: st.solo.count[i] < want}
	})
	n.Skills = q.byChance(q.skill, func(i int) PartNeed {
		return PartNeed{Item: cat.Skills[i].Key, Title: cat.Skills[i].Title, Want: 1, Have: q.has[i], Missing: q.has[i] == 0}
	})
}

// asked is the scratch space of parts.
type asked struct {
	item, skill []float64 // expected number of times that they are asked for
	has         []float64 // people with a skill
	order       []askedFor
}

// askedFor is the chance that the i-th item or skill is asked for.
type askedFor struct {
	i      int
	chance float64
}

// byChance lists what is asked for often enough, the most likely first, else in the order of the tables; nil when there is
// none.
func (q *asked) byChance(mean []float64, need func(i int) PartNeed) []PartNeed {
	q.order = q.order[:0]
	for i, m := range mean {
		if m < leastAsked { // the chance is never above the expected number
			continue
		}
		if c := coverage.Odds(m); c >= leastAsked {
			q.order = append(q.order, askedFor{i, c})
		}
	}
	if len(q.order) == 0 {
		return nil
	}
	slices.SortFunc(q.order, func(a, b askedFor) int { return cmp.Or(cmp.Compare(b.chance, a.chance), a.i-b.i) })
	out := make([]PartNeed, len(q.order))
	for k, a := range q.order {
		out[k] = need(a.i)
		out[k].Chance = a.chance
	}
	return out
}

// skilled counts the people with each skill.
func (st *study) skilled() []float64 {
	has := make([]float64, len(st.cat.Skills))
	for _, p := range st.trip.Party.People {
		for _, k := range p.Skills {
			if i, ok := st.cat.SkillIndex(k); ok {
				has[i]++
			}
		}
	}
	return has
}

// recoveryMin is the expected time spent ending troubles on a stretch, in minutes, and their expected number:
// every trouble by the shortest recipe that can be used.
func (st *study) recoveryMin(t tally, at []costliest) (minutes, number float64) {
	for e := range t.events {
		if t.events[e].mean <= 0 {
			continue
		}
		if l := at[e].tried; l != nil && !math.IsInf(l.leastMin, 1) {
			minutes += t.events[e].mean * l.leastMin
			number += t.events[e].mean
		}
	}
	return minutes, number
}

// tyreGround is the ground that a leg's tyres are set for: the one that asks for the lowest pressure among those
// that are there with a chance of at least one in five and hold at least a twentieth of the leg; where none
// does, the ground with the longest share. What is only possible, or only a few metres long, does not slow a
// whole leg down: there the pressure is lowered on the spot, as the remedies for bogging say.
func (st *study) tyreGround(parts []pieceShare, kPa func(geo.Ground) float64) geo.Ground {
	var length, chance [geo.NumGrounds]float64
	total := 0.0
	for _, q := range parts {
		p := &st.x.pieces[q.piece]
		mix := &st.survey.Grounds[p.Mix]
		for g, share := range mix.P {
			length[g] += share * p.LengthM() * q.share
			chance[g] = math.Max(chance[g], share)
		}
		total += p.LengthM() * q.share
	}
	longest, best := geo.Sealed, geo.NumGrounds
	for g := range geo.NumGrounds {
		if length[g] > length[longest] {
			longest = g
		}
		if chance[g] < leastGroundChance || length[g] < total*leastTyreShare {
			continue
		}
		if best == geo.NumGrounds || kPa(g) < kPa(best) {
			best = g
		}
	}
	if best == geo.NumGrounds {
		return longest
	}
	return best
}

// leastTyreShare is the share of a leg from which a ground sets its pressures. Judgement: for less than a
// twentieth nobody lets four tyres down for the whole leg.
const leastTyreShare = 1.0 / 20

// tyreAir is what one ground asks of the tyres.
type tyreAir struct {
	kPa, cap      [2]float64
	reason        string
	cautions      []string
	compressorMin float64
	err           error
	front         float64 // kPa, +Inf when it cannot be said
}

// airOn works out what a ground asks of the tyres, once for each ground.
func (st *study) airOn(g geo.Ground, size recovery.Size) *tyreAir {
	if st.air[g] != nil {
		return st.air[g]
	}
	v, r := &st.trip.Party.Vehicle, st.loadReport()
	a := &tyreAir{compressorMin: math.NaN(), front: math.Inf(1)}
	st.air[g] = a
	road := [2]float64{v.FrontKPa, v.RearKPa}
	for k, axle := range [2]float64{r.FrontKg, r.RearKg} {
		p, err := st.cat.Tyres.Advise(recovery.PressureAsk{Size: size, Ground: g, RoadKPa: road[k], LoadKg: math.Max(axle/2, 100)})
		if err != nil {
			a.err = err
			return a
		}
		if k == 0 {
			a.front = p.KPa
			a.cautions = cautionWords(p.Cautions)
		}
		a.kPa[k], a.cap[k] = p.KPa, p.SpeedKmh
		a.reason = g.String() + ": " + p.Reason
	}
	if it, ok := st.cat.Item("compressor"); ok && hasItem(st.cat, st.solo.count, "compressor") {
		vol := st.cat.Tyres.VolumeL(size)
		a.compressorMin = 0
		for k := range road {
			if f, err := st.cat.Tyres.Refill(recovery.Compressor{FreeLMin: it.FlowLMin}, 2, vol, a.kPa[k], road[k], 500); err == nil {
				a.compressorMin += f.TotalMin
			}
		}
	}
	return a
}

// pressures fills tyre pressures, the speed while low and the minutes to pump up again.
func (st *study) pressures(n *Needs, parts []pieceShare) {
	v := &st.trip.Party.Vehicle
	n.RoadKPa = [2]float64{v.FrontKPa, v.RearKPa}
	n.PressureKPa = n.RoadKPa
	n.SpeedCapKmh, n.CompressorMin = math.NaN(), math.NaN()
	size, err := st.tyreSize()
	if err != nil || len(parts) == 0 {
		n.PressureReason = "tyre size not readable"
		return
	}
	a := st.airOn(st.tyreGround(parts, func(g geo.Ground) float64 { return st.airOn(g, size).front }), size)
	if a.err != nil {
		n.PressureReason = a.err.Error()
		return
	}
	n.PressureKPa, n.PressureReason, n.CompressorMin = a.kPa, a.reason, a.compressorMin
	n.SpeedCapKmh = a.cap[0]
	if a.cap[1] < n.SpeedCapKmh {
		n.SpeedCapKmh = a.cap[1]
	}
	n.Cautions = slices.Clip(a.cautions)
}

// pullNeed rigs the design recovery with what is carried. The plan and its words are made once for a kit.
func (st *study) pullNeed(at place) *PullNeed {
	o := st.solo
	if st.both != nil {
		o = st.both
	}
	k := pullKey{stuckAt(o, "hub", at), st.both != nil}
	n, ok := st.memo.pullNeed(o.plans, k)
	if !ok {
		n = st.rigNeed(o, k.stuck, at)
		st.memo.keepPullNeed(o.plans, k, n)
	}
	if n == nil {
		return nil
	}
	c := *n
	return &c
}

// rigNeed works out a design recovery; nil when the state is not one that the tables know.
func (st *study) rigNeed(o *outfit, stuck recovery.Stuck, at place) *PullNeed {
	pull, err := st.memo.pull(st.cat.Recovery, stuck)
	if err != nil {
		return nil
	}
	n := &PullNeed{State: stuck.String(), Stuck: stuck, RequiredKN: Band{pull.LowKN, pull.CentralKN, pull.HighKN}, Margin: math.NaN()}
	var best strength
	for _, anchor := range []string{"natural", "ground", "partner"} {
		for _, method := range []string{"winch", "hand_winch"} {
			r := catalogue.Recipe{Method: method, Anchor: anchor}
			w := winched(st.cat, o, &r, stuck, at)
			if w.rig != nil && (best.rig == nil || w.OK && (!best.OK || w.Margin > best.Margin)) {
				best = w
			}
		}
	}
	var plan *recovery.Working
	if best.rig != nil {
		plan = best.rig.plan()
	}
	if plan == nil {
		n.Fails = "no winch with a known rating is carried"
		n.Steps = stepWords(pull.Steps)
		if st.both == nil {
			n.Cure = "a winch with its chain, or a second vehicle"
		}
		n.Cautions = cautionWords(st.cat.Recovery.Cautions("line"))
		return n
	}
	n.LineM, n.HaveLineM = plan.Line.NeededM, plan.Line.UsableM
	n.AnchorKN, n.WeakLink, n.Margin = plan.Anchor.NeedKN, plan.WeakLink, plan.Margin
	n.FallLineKN = plan.Tackle.FallLineKN
	for _, d := range plan.DeadLines {
		n.DeadLineKN = math.Max(n.DeadLineKN, d.KN)
	}
	if plan.Holds {
		n.Rig, n.RigTitle = plan.Rig.Key, plan.Rig.Title
	}
	n.Fails, n.Working = plan.Fails, plan
	var cures []string
	for _, c := range plan.Cures {
		cures = append(cures, c.Text)
	}
	n.Cure = strings.Join(cures, " ") // whole sentences
	n.Steps = stepWords(plan.Steps)
	n.Cautions = cautionWords(plan.Cautions)
	return n
}

func stepWords(steps []recovery.Step) []string {
	var out []string
	for _, s := range steps {
		out = append(out, s.Title+": "+s.Text)
	}
	return out
}

func cautionWords(cs []recovery.Caution) []string {
	var out []string
	for _, c := range cs {
		out = append(out, c.Text)
	}
	return out
}
