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

// figure is one of the numbers kept of every sample.
type figure int

const (
	sampledReadiness figure = iota
	sampledStopped          // chances from here on
	sampledUnaided
	sampledNoHelp
	sampledFigures
)

// sampled holds the figures of the trip (stretch 0) and of every leg (its index + 1) in every sample.
type sampled struct {
	n, stretches int
	flat         []float64
	delayed      []float64 // chance that any vehicle of the party is stopped, of the trip
}

// column is one figure of one stretch in all samples.
func (s *sampled) column(stretch int, f figure) []float64 {
	return s.flat[(stretch*int(sampledFigures)+int(f))*s.n:][:s.n]
}

// sample draws n samples and works every one out. The draws of an input hang on its key and the seed alone,
// so variants of a trip share them.
func (st *study) sample(n int) (*sampled, error) {
	draws := coverage.Draw(st.m, n, st.opts.seed())
	shares := make([][]pieceShare, len(st.survey.Legs)+1)
	shares[0] = st.wholeTrip()
	for i := range st.survey.Legs {
		shares[i+1] = st.legShares(i)
	}
	out := &sampled{n: n, stretches: len(shares), flat: make([]float64, len(shares)*int(sampledFigures)*n), delayed: make([]float64, n)}
	var partner []float64
	if st.both != nil {
		partner = coverage.Counts(st.partner.model, coverage.Draw(st.partner.model, n, st.opts.seed()))
	}
	err := coverage.SpreadEach(st.ctx, st.m, draws, func(s int, w *coverage.Work, _ coverage.Result) {
		for k, parts := range shares {
			r := resultOf(w, parts)
			out.column(k, sampledReadiness)[s] = r.Readiness()
			out.column(k, sampledStopped)[s] = coverage.Odds(r.Stopped)
			out.column(k, sampledUnaided)[s] = coverage.Odds(r.NotUnaided)
			out.column(k, sampledNoHelp)[s] = coverage.Odds(r.NoHelp)
			if k == 0 {
				if partner != nil {
					r.Stopped += partner[s]
				}
				out.delayed[s] = coverage.Odds(r.Stopped)
			}
		}
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// resultOf adds up the results of pieces that were worked out.
func resultOf(w *coverage.Work, parts []pieceShare) (r coverage.Result) {
	for _, q := range parts {
		p := &w.Piece[q.piece]
		r.U += p.U * q.share
		r.D += p.D * q.share
		r.Stopped += p.Stopped * q.share
		r.NotUnaided += p.NotUnaided * q.share
		r.NoHelp += p.NoHelp * q.share
	}
	return r
}

// bands fills the bands of readiness and odds of trip, legs and party from the samples.
func (j *Judgement) bands(s *sampled) {
	for k := range s.stretches {
		to := &j.Trip
		if k > 0 {
			to = &j.Legs[k-1].Score
		}
		to.Band = coverage.Percentiles(s.column(k, sampledReadiness))
		for f, o := range map[figure]*Odds{sampledStopped: &to.Stopped, sampledUnaided: &to.NotUnaided, sampledNoHelp: &to.NoHelp} {
			p := coverage.Percentiles(s.column(k, f))
			o.Low, o.High = p[0], p[2]
		}
	}
	if j.Partner != nil {
		p := coverage.Percentiles(s.delayed)
		j.Partner.PartyDelayed.Low, j.Partner.PartyDelayed.High = p[0], p[2]
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
