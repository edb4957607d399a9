package risk

import (
	"math"

	"lastroad/risk/coverage"
)

// samples is how many samples to draw.
func (st *study) samples() int {
	if st.opts.Samples > 0 {
		return st.opts.Samples
	}
	return st.trip.Policy.Samples
}

// DefaultSamples is the usual number of samples when bands are wanted: the 5 and 95 % points of
// readiness then repeat within about a tenth of the band's width.
const DefaultSamples = 2000

// bands draws the samples and fills the bands of readiness and odds of trip and legs.
func (st *study) bands(j *Judgement, n int) {
	draws := coverage.Draw(st.m, n, st.opts.seed())
	shares := make([][]pieceShare, len(j.Legs)+1)
	shares[0] = st.wholeTrip()
	for i := range j.Legs {
		shares[i+1] = st.legShares(i)
	}
	const figures = 4
	flat := make([]float64, len(shares)*figures*n)
	column := func(k, f int) []float64 { return flat[(k*figures+f)*n:][:n] }
	err := coverage.SpreadEach(st.ctx, st.m, draws, func(s int, w *coverage.Work, _ coverage.Result) {
		for k, parts := range shares {
			var r coverage.Result
			for _, q := range parts {
				p := &w.Piece[q.piece]
				r.U += p.U * q.share
				r.D += p.D * q.share
				r.Stopped += p.Stopped * q.share
				r.NotUnaided += p.NotUnaided * q.share
				r.NoHelp += p.NoHelp * q.share
			}
			column(k, 0)[s] = r.Readiness()
			column(k, 1)[s] = coverage.Odds(r.Stopped)
			column(k, 2)[s] = coverage.Odds(r.NotUnaided)
			column(k, 3)[s] = coverage.Odds(r.NoHelp)
		}
	})
	if err != nil {
		return
	}
	for k := range shares {
		s := &j.Trip
		if k > 0 {
			s = &j.Legs[k-1].Score
		}
		s.Band = coverage.Percentiles(column(k, 0))
		for f, o := range []*Odds{&s.Stopped, &s.NotUnaided, &s.NoHelp} {
			p := coverage.Percentiles(column(k, f+1))
			o.Low, o.High = p[0], p[2]
		}
	}
}

// shownSwings is how many inputs the tornado keeps.
const shownSwings = 16

// tornado tries every uncertain number at its low and high value.
func (st *study) tornado(j *Judgement) {
	for _, s := range coverage.Tornado(st.m) {
		if len(j.Tornado) == shownSwings || math.Abs(s.UHigh-s.ULow) <= 0 {
			break
		}
		in := &st.m.Inputs[s.Input]
		j.Tornado = append(j.Tornado, Swing{Key: in.Key, Title: in.Title, From: string(in.From), Low: in.LowAt, High: in.HighAt,
			ULow: s.ULow, UHigh: s.UHigh, ReadyLow: s.ReadyLow, ReadyHigh: s.ReadyHigh})
	}
}
