package risk

import (
	"math"
	"slices"

	"lastroad/risk/coverage"
)

// partnerStudy is what the second vehicle's own troubles leave of its help.
type partnerStudy struct {
	unended []float64 // per piece: expected number of its own troubles that it does not end itself
	stopped float64   // expected number of its troubles
	ready   float64   // its own readiness, alone
	spare   []float64 // per item: what it carries beyond its own expected need
	model   *coverage.Model
}

// partnerBefore is the study of a second vehicle, with what it rests on beside that vehicle, conditions and policy.
type partnerBefore struct {
	study *partnerStudy
	help  [][2]coverage.Help
	walk  []reach
	light []light
}

// of gives the study made before when all is as it was then, else makes it. It may be asked on nil, which keeps none.
func (p *partnerBefore) of(st *study, pieces []piece) *partnerStudy {
	if p == nil {
		return studyPartner(st, pieces)
	}
	if p.study == nil || !slices.Equal(p.help, st.help) || !slices.Equal(p.walk, st.walk) || !slices.Equal(p.light, st.light) {
		*p = partnerBefore{studyPartner(st, pieces), st.help, st.walk, st.light}
		p.study.model = nil // its memory goes with this trip; nobody samples the others
	}
	return p.study
}

// studyPartner judges the second vehicle alone on the same route. Its help counts only while it is not
// out itself, and its stocks serve it first: only what it carries beyond its own expected need is shared,
// so that a partner never lowers readiness.
func studyPartner(st *study, pieces []piece) *partnerStudy {
	t := st.trip
	t.Party, t.Partner, t.Together = *st.trip.Partner, nil, false
	o := st.shared(alone(st.cat, &t.Party))
	room := st.room()
	x := expose(st.bare, &t, letsDown(st.cat, o), st.memo, room)
	b := newBuilder(x, o, nil, st.index, st.memo, room)
	b.help, b.walk, b.light = st.help, st.walk, st.light
	b.central, b.sites = st.opts.central, st.memo.winchSites(st.bare, st.cat.Recovery, o.massKg)
	m := b.build()
	w := room.evaluate(m)
	r := w.Evaluate()
	ps := &partnerStudy{unended: make([]float64, len(pieces)), spare: make([]float64, len(st.cat.Items)), stopped: r.Stopped, ready: r.Readiness(), model: m}
	for i := range m.Pieces {
		for j := m.Pieces[i].First; j < m.Pieces[i].Last; j++ {
			mean, _, _ := w.Cell(i, j)
			ps.unended[i] += mean * w.Fail[j]
		}
	}
	need := runningNeed(x, st.index, room)
	for i := range ps.spare {
		own := math.Ceil(need[i][len(pieces)] - 1e-9)
		ps.spare[i] = math.Max(0, o.count[i]-own*b.unit[i])
	}
	return ps
}
