package risk

import (
	"math"

	"lastroad/risk/coverage"
)

// judgement puts the answer together.
func (st *study) judgement() *Judgement {
	j := &Judgement{Variant: "solo"}
	if st.both != nil {
		j.Variant = "together"
	}
	whole := st.tallyOf(st.wholeTrip())
	j.Trip = st.score(whole)
	j.Trip.Lost = st.losses(whole, st.wholeTrip(), st.costliestOf(st.wholeTrip()))
	j.Legs = make([]LegJudgement, len(st.survey.Legs))
	events := make([]eventTally, len(st.cat.Events))
	for i := range st.survey.Legs {
		parts := st.legShares(i)
		t := st.tallyIn(events, parts)
		lj := &j.Legs[i]
		lj.Leg, lj.Score = i, st.score(t)
		at := st.costliestOf(parts)
		lj.Score.Lost = st.losses(t, parts, at)
		lj.Events = st.eventResults(t, at)
		n := &lj.Needs
		n.RecoveryMin, n.Supply.Recoveries = st.recoveryMin(t, at)
		n.Pull = st.design(parts)
		st.pressures(n, parts)
		st.moveNeeds(i, n)
		st.parts(n, t)
		n.SecondVehicle = st.secondVehicle(t, parts)
	}
	plan := st.times(j)
	st.waterNeeds(j.Legs)
	for i := range j.Legs {
		st.fuelNeeds(i, &j.Legs[i].Needs)
	}
	j.Load = st.loadReport()
	st.loadAlong(j.Legs)
	st.waits(j.Legs)
	st.supplies(j)
	st.partnerReport(j, whole)
	if n := st.samples(); n > 0 && !st.opts.Quick {
		if s, err := st.sample(n); err == nil {
			j.bands(s)
			st.tornado(j)
		}
	}
	st.find(j)
	st.words(j)
	j.Notes = append(append([]string(nil), st.notes...), plan...)
	j.Provenance = st.provenance()
	return j
}

// words gives trip and legs their verdicts.
func (st *study) words(j *Judgement) {
	stops := stopsOf(j.Findings)
	for i := range j.Legs {
		own := stopsOf(j.Legs[i].Findings)
		st.word(&j.Legs[i].Score, own, "", false)
		stops = append(stops, own...)
	}
	st.word(&j.Trip, stops, st.condition(j), true)
}

// provenance counts the numbers that went into the answer by what they rest on.
func (st *study) provenance() map[string]int {
	out := map[string]int{}
	for i := range st.m.Inputs {
		out[string(st.m.Inputs[i].From)]++
	}
	return out
}

// partnerReport says what a second vehicle changes for the whole party.
func (st *study) partnerReport(j *Judgement, whole tally) {
	if st.both == nil {
		return
	}
	nan := math.NaN()
	p := &PartnerReport{PartyDelayed: Odds{coverage.Odds(whole.res.Stopped + st.partner.stopped), nan, nan},
		TheirReadiness: st.partner.ready,
		SeatsNeeded:    len(st.trip.Party.People) + len(st.trip.Partner.People),
		SeatsHave:      min(st.trip.Party.Vehicle.Seats, st.trip.Partner.Vehicle.Seats)}
	for i := range st.cat.Items {
		it := &st.cat.Items[i]
		if st.both.count[i]+st.both.surplus[i] <= st.solo.count[i] || !st.usedInTogether(i) {
			continue
		}
		p.MustCarry = append(p.MustCarry, it.Title)
	}
	j.Partner = p
}

// usedInTogether reports whether a recipe that works only together rests on the item.
func (st *study) usedInTogether(item int) bool {
	for c := range st.b.trials {
		solo, both := st.b.trials[c][0], st.b.trials[c][1]
		for k := range both {
			if !both[k].usable || k < len(solo) && solo[k].usable {
				continue
			}
			for _, n := range st.cat.Recipes[both[k].recipe].Needs {
				for _, a := range n {
					if a.Item == item {
						return true
					}
				}
			}
		}
	}
	return false
}

// score turns a tally into readiness and odds.
func (st *study) score(t tally) Score {
	nan := math.NaN()
	odds := func(mean float64) Odds { return Odds{coverage.Odds(mean), nan, nan} }
	return Score{Readiness: t.res.Readiness(), U: t.res.U, D: t.res.D, Band: [3]float64{nan, nan, nan},
		Stopped: odds(t.res.Stopped), NotUnaided: odds(t.res.NotUnaided), NoHelp: odds(t.res.NoHelp)}
}

func (st *study) eventResults(t tally, at []costliest) []EventResult {
	out := make([]EventResult, 0, len(t.events))
	for e := range t.events {
		q := &t.events[e]
		if q.worst <= 0 {
			continue
		}
		r := EventResult{Key: st.cat.Events[e].Key, Title: st.cat.Events[e].Title, Mean: q.mean, Worst: q.worst, SelfHelp: 1, HelpInTime: 1, U: q.u}
		if q.mean > 0 {
			r.SelfHelp = 1 - q.fail/q.mean
		}
		if q.fail > 0 {
			r.HelpInTime = 1 - q.late/q.fail
		}
		if l := at[e].tried; l != nil {
			r.Remedies = l.remedies
		}
		out = append(out, r)
	}
	return out
}
