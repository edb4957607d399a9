package risk

import (
	"math"

	"lastroad/risk/coverage"
)

// judgement puts the answer together.
func (st *study) judgement() *Judgement {
	j := &Judgement{Variant: "solo", Notes: append([]string(nil), st.notes...)}
	if st.both != nil {
		j.Variant = "together"
	}
	whole := st.tallyOf(st.wholeTrip())
	j.Trip = st.score(whole)
	for i := range st.survey.Legs {
		parts := st.legShares(i)
		t := st.tallyOf(parts)
		lj := LegJudgement{Leg: i, Score: st.score(t)}
		lj.Events = st.eventResults(t, parts)
		j.Legs = append(j.Legs, lj)
	}
	return j
}

// score turns a tally into readiness and odds, with the losses by event.
func (st *study) score(t tally) Score {
	nan := math.NaN()
	odds := func(mean float64) Odds { return Odds{coverage.Odds(mean), nan, nan} }
	s := Score{Readiness: t.res.Readiness(), U: t.res.U, D: t.res.D, Band: [3]float64{nan, nan, nan},
		Stopped: odds(t.res.Stopped), NotUnaided: odds(t.res.NotUnaided), NoHelp: odds(t.res.NoHelp)}
	return s
}

func (st *study) eventResults(t tally, parts []pieceShare) []EventResult {
	var out []EventResult
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
		out = append(out, r)
	}
	return out
}
