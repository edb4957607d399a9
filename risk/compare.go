package risk

import (
	"context"
	"fmt"
	"math"
	"strings"

	"lastroad/geo"
	"lastroad/risk/catalogue"
	"lastroad/risk/coverage"
)

// Variant is one of several ways to make the trip.
type Variant struct {
	Name string
	Trip Trip
}

// Comparison sets variants side by side on the same samples.
type Comparison struct {
	// Judgements are the variants judged, in their order, without cures.
	Judgements []*Judgement
	// Pairs compare every later variant with the first.
	Pairs []Pair
}

// Pair is the difference between two variants.
type Pair struct {
	A, B int // indexes of the variants; B against A
	// Gain is the readiness of B less that of A: central, and its 5, 50 and 95 % points over the samples.
	Gain     float64
	GainBand [3]float64
	// Better is the share of samples in which B has the higher readiness, Same that in which both are equal
	// to a thousandth of a point.
	Better, Same float64
	// Unaided is the change of the chance of not getting out unaided.
	Unaided     float64
	UnaidedBand [3]float64
	Flips       []Flip
	// Delayed are the chances that any vehicle of the party is stopped.
	Delayed [2]float64
	Common  string // what common causes do to the gain, in words
	Text    string // the answer in a sentence or two, with its certainty
}

// Flip is a leg whose word changes.
type Flip struct {
	Leg      int
	From, To string
}

// MostVariants bounds a comparison: more columns cannot be read.
const MostVariants = 4

// SoloAndTogether are the two variants of a trip with a second vehicle.
func SoloAndTogether(t Trip) []Variant {
	solo, both := t, t
	solo.Together, both.Together = false, true
	return []Variant{{"solo", solo}, {"together", both}}
}

// Compare judges two to four variants of party, load or season on the same route with the same samples.
// The number of samples is Options.Samples, else the first trip's, else [DefaultSamples].
func Compare(ctx context.Context, s *geo.Survey, variants []Variant, cat *catalogue.Catalogue, opts Options) (*Comparison, error) {
	if len(variants) < 2 || len(variants) > MostVariants {
		return nil, &geo.InputError{Where: "variants", Reason: fmt.Sprintf("%d given, want 2 to %d", len(variants), MostVariants)}
	}
	n := opts.Samples
	if n <= 0 {
		n = variants[0].Trip.Policy.Samples
	}
	if n <= 0 {
		n = DefaultSamples
	}
	opts.Quick, opts.Samples = true, n
	c := &Comparison{}
	var studies []*study
	var spreads [][]coverage.Result
	for i, v := range variants {
		opts.report("judge "+v.Name, float64(i)/float64(len(variants)))
		st, err := begin(ctx, s, v.Trip, cat, opts)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", v.Name, err)
		}
		j := st.judgement()
		st.bands(j, n)
		st.tornado(j)
		j.Variant = v.Name
		r, err := coverage.Spread(ctx, st.m, coverage.Draw(st.m, n, opts.seed()))
		if err != nil {
			return nil, err
		}
		c.Judgements = append(c.Judgements, j)
		studies = append(studies, st)
		spreads = append(spreads, r)
	}
	for b := 1; b < len(variants); b++ {
		c.Pairs = append(c.Pairs, pair(variants, studies, c.Judgements, spreads, 0, b))
	}
	return c, nil
}

func pair(vs []Variant, studies []*study, js []*Judgement, spreads [][]coverage.Result, a, b int) Pair {
	p := Pair{A: a, B: b, Gain: js[b].Trip.Readiness - js[a].Trip.Readiness, Unaided: js[b].Trip.NotUnaided.P - js[a].Trip.NotUnaided.P}
	n := len(spreads[a])
	gain, unaided := make([]float64, n), make([]float64, n)
	for i := range gain {
		gain[i] = spreads[b][i].Readiness() - spreads[a][i].Readiness()
		unaided[i] = coverage.Odds(spreads[b][i].NotUnaided) - coverage.Odds(spreads[a][i].NotUnaided)
		switch {
		case math.Abs(gain[i]) <= 1e-3:
			p.Same++
		case gain[i] > 0:
			p.Better++
		}
	}
	p.Better, p.Same = p.Better/float64(n), p.Same/float64(n)
	p.GainBand, p.UnaidedBand = coverage.Percentiles(gain), coverage.Percentiles(unaided)
	for i := range js[a].Legs {
		if f, t := js[a].Legs[i].Score.Word, js[b].Legs[i].Score.Word; f != t {
			p.Flips = append(p.Flips, Flip{i, f, t})
		}
	}
	for k, i := range []int{a, b} {
		p.Delayed[k] = js[i].Trip.Stopped.P
		if js[i].Partner != nil {
			p.Delayed[k] = js[i].Partner.PartyDelayed.P
		}
	}
	if studies[b].both != nil && studies[a].both == nil {
		p.Common = studies[b].commonWords()
	}
	p.Text = p.sentence(vs[a].Name, vs[b].Name)
	return p
}

// commonWords tells where the second vehicle is likely to be out of the same cause, largest first.
func (st *study) commonWords() string {
	t := st.tallyOf(st.wholeTrip())
	mean := map[string]float64{}
	for e := range t.events {
		mean[st.cat.Events[e].Beta] += t.events[e].mean
	}
	best := ""
	for _, k := range []string{"bogged", "ford", "fuel", "mechanical", "people", "tyre", "way"} {
		if best == "" || mean[k]*st.cat.Policy.Beta[k].Partner.Central > mean[best]*st.cat.Policy.Beta[best].Partner.Central {
			best = k
		}
	}
	q := st.cat.Policy.Beta[best].Partner.Central
	if best == "bogged" && st.trip.Policy.Spacing {
		q /= 2
	}
	words := map[string]string{"bogged": "soft ground", "ford": "water", "fuel": "bad fuel", "mechanical": "vehicle troubles", "people": "illness and injury", "tyre": "what cuts tyres", "way": "losing the way"}
	return fmt.Sprintf("One cause can take both vehicles: %s in %.0f of 100 cases; keeping apart in the soft bit halves it there.", words[best], 100*q)
}

// sentence is the answer with its certainty.
func (p *Pair) sentence(a, b string) string {
	var s string
	switch {
	case p.Better >= 0.95:
		s = fmt.Sprintf("%s is better than %s in %.0f of 100 samples", b, a, 100*p.Better)
	case p.Better+p.Same < 0.05:
		s = fmt.Sprintf("%s is worse than %s in %.0f of 100 samples", b, a, 100*(1-p.Better-p.Same))
	case p.Same > 0.9:
		s = fmt.Sprintf("%s and %s make no difference that shows", a, b)
	default:
		s = fmt.Sprintf("it is not certain that %s beats %s: it does in %.0f of 100 samples", b, a, 100*p.Better)
	}
	s += fmt.Sprintf(": %+.1f points (5 to 95 %%: %+.1f to %+.1f).", p.Gain, p.GainBand[0], p.GainBand[2])
	if len(p.Flips) > 0 {
		var names []string
		for _, f := range p.Flips {
			names = append(names, fmt.Sprintf("leg %d goes from %s to %s", f.Leg+1, f.From, f.To))
		}
		s += " " + strings.ToUpper(names[0][:1]) + list(names)[1:] + "."
	}
	if d := p.Delayed[1] - p.Delayed[0]; math.Abs(d) > 0.005 {
		s += fmt.Sprintf(" The chance that the party is held up somewhere goes from %.0f to %.0f in 100.", 100*p.Delayed[0], 100*p.Delayed[1])
	}
	return s
}
