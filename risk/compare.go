package risk

import (
	"context"
	"fmt"
	"math"
	"sort"
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
	// Beats[a][b] is the share of samples in which variant a has a higher readiness than b by more than a
	// thousandth of a point.
	Beats [][]float64
	// Samples is how many samples were drawn, the same for every variant.
	Samples int
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
	// Unaided and NoHelp are the changes of the chances of not getting out unaided, and of no help in time.
	Unaided     float64
	UnaidedBand [3]float64
	NoHelp      float64
	NoHelpBand  [3]float64
	// Legs are the differences leg by leg.
	Legs  []LegChange
	Flips []Flip
	// Delayed are the chances that any vehicle of the party is stopped; DelayedOdds are the same with bands.
	Delayed     [2]float64
	DelayedOdds [2]Odds
	Common      string // what common causes do to the gain, in words; "" unless B has a second vehicle and A has none
	// Measure says in a sentence when the two are not measured against the same worst case (another vehicle,
	// crew or season), so that readiness compares coverage and only the odds compare danger; else "".
	Measure string
	Text    string // the answer in a sentence or two, with its certainty
}

// LegChange is the difference of one leg.
type LegChange struct {
	Leg          int
	Gain         float64 // readiness of B less that of A
	GainBand     [3]float64
	Better, Same float64
	Unaided      float64 // change of the chance of not getting out unaided
	Why          string  // what changes most: "deep bogging 4.1 points less"; "" when nothing shows
}

// Flip is a leg whose word changes.
type Flip struct {
	Leg      int
	From, To string
	Why      string // a sentence: what stood in the way before or does so now, and which trouble changed most
}

// MostVariants bounds a comparison: more columns cannot be read.
const MostVariants = 4

// SoloAndTogether are the two variants of a trip with a second vehicle.
func SoloAndTogether(t Trip) []Variant {
	solo, both := t, t
	solo.Together, both.Together = false, true
	return []Variant{{"solo", solo}, {"together", both}}
}

// Compare judges two to four variants of party, load, conditions (season, weather, fords) or policy on the
// same route with the same samples: the draw of an uncertain number hangs on its name and the seed only, so
// a number that two variants share has the same value in both. The number of samples is Options.Samples,
// else the first trip's, else [DefaultSamples]. The names stand in the answer's sentences and must differ.
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
	if opts.Memo == nil {
		opts.Memo = &Memo{}
	}
	c := &Comparison{Samples: n}
	var studies []*study
	var drawn []*sampled
	for i, v := range variants {
		for k := range i {
			if variants[k].Name == v.Name {
				return nil, &geo.InputError{Where: "variants", Reason: fmt.Sprintf("two are called %q", v.Name), Remedy: "give each a name of its own"}
			}
		}
		opts.report("judge "+v.Name, float64(i)/float64(len(variants)))
		st, err := begin(ctx, s, v.Trip, cat, opts)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", v.Name, err)
		}
		j := st.judgement()
		d, err := st.sample(n)
		if err != nil {
			return nil, err
		}
		j.bands(d)
		st.tornado(j)
		j.Variant = v.Name
		c.Judgements, studies, drawn = append(c.Judgements, j), append(studies, st), append(drawn, d)
	}
	for b := 1; b < len(variants); b++ {
		c.Pairs = append(c.Pairs, pair(variants, studies, c.Judgements, drawn, 0, b))
	}
	for a := range drawn {
		row := make([]float64, len(drawn))
		for b := range drawn {
			row[b] = differ(drawn[b], drawn[a], 0, sampledReadiness).better
		}
		c.Beats = append(c.Beats, row)
	}
	opts.report("done", 1)
	return c, nil
}

// difference is how a figure of one variant differs from that of another over the samples.
type difference struct {
	band         [3]float64
	better, same float64 // shares of samples in which it is higher, or equal to a thousandth
}

func differ(a, b *sampled, stretch int, f figure) difference {
	x, y := a.column(stretch, f), b.column(stretch, f)
	d := make([]float64, len(x))
	var out difference
	for i := range d {
		d[i] = y[i] - x[i]
		switch {
		case math.Abs(d[i]) <= 1e-3:
			out.same++
		case d[i] > 0:
			out.better++
		}
	}
	n := float64(max(1, len(d)))
	out.better, out.same, out.band = out.better/n, out.same/n, coverage.Percentiles(d)
	return out
}

func pair(vs []Variant, studies []*study, js []*Judgement, drawn []*sampled, a, b int) Pair {
	x, y := js[a], js[b]
	p := Pair{A: a, B: b, Gain: y.Trip.Readiness - x.Trip.Readiness, Unaided: y.Trip.NotUnaided.P - x.Trip.NotUnaided.P,
		NoHelp: y.Trip.NoHelp.P - x.Trip.NoHelp.P}
	d := differ(drawn[a], drawn[b], 0, sampledReadiness)
	p.GainBand, p.Better, p.Same = d.band, d.better, d.same
	p.UnaidedBand = differ(drawn[a], drawn[b], 0, sampledUnaided).band
	p.NoHelpBand = differ(drawn[a], drawn[b], 0, sampledNoHelp).band
	for i := range x.Legs {
		f, t := &x.Legs[i].Score, &y.Legs[i].Score
		d := differ(drawn[a], drawn[b], i+1, sampledReadiness)
		c := LegChange{Leg: i, Gain: t.Readiness - f.Readiness, GainBand: d.band, Better: d.better, Same: d.same,
			Unaided: t.NotUnaided.P - f.NotUnaided.P, Why: mostChanged(&x.Legs[i], &y.Legs[i])}
		p.Legs = append(p.Legs, c)
		if f.Word != t.Word {
			p.Flips = append(p.Flips, Flip{i, f.Word, t.Word, flipWhy(vs[a].Name, vs[b].Name, f, t, c.Why)})
		}
	}
	for k, i := range []int{a, b} {
		p.DelayedOdds[k] = js[i].Trip.Stopped
		if js[i].Partner != nil {
			p.DelayedOdds[k] = js[i].Partner.PartyDelayed
		}
		p.Delayed[k] = p.DelayedOdds[k].P
	}
	if studies[b].both != nil && studies[a].both == nil {
		p.Common = studies[b].commonWords()
	}
	if math.Abs(x.Trip.D-y.Trip.D) > 1e-9*x.Trip.D {
		p.Measure = fmt.Sprintf("%s and %s are measured against different worst cases (another vehicle, crew or season): readiness compares how much is covered, the odds compare how dangerous it is.", vs[a].Name, vs[b].Name)
	}
	p.Text = p.sentence(vs[a].Name, vs[b].Name)
	return p
}

// mostChanged names the trouble of a leg whose loss changes most.
func mostChanged(a, b *LegJudgement) string {
	points := map[string]float64{}
	title := map[string]string{}
	for _, l := range a.Score.Lost {
		points[l.Event], title[l.Event] = -l.Points, l.Title
	}
	for _, l := range b.Score.Lost {
		points[l.Event] += l.Points
		title[l.Event] = l.Title
	}
	best := ""
	for _, l := range append(append([]Loss(nil), a.Score.Lost...), b.Score.Lost...) {
		if best == "" || math.Abs(points[l.Event]) > math.Abs(points[best])+1e-12 {
			best = l.Event
		}
	}
	switch d := points[best]; {
	case best == "" || math.Abs(d) < leastWorthSaying:
		return ""
	case d < 0:
		return fmt.Sprintf("%s costs %s points less", title[best], pointsWords(-d))
	default:
		return fmt.Sprintf("%s costs %s points more", title[best], pointsWords(d))
	}
}

// flipWhy says what makes a leg's word change.
func flipWhy(a, b string, from, to *Score, most string) string {
	var s []string
	for _, v := range []struct {
		name  string
		score *Score
	}{{a, from}, {b, to}} {
		if v.score.Why != "" {
			s = append(s, v.name+" "+lowerFirst(firstSentence(v.score.Why)))
		} else {
			s = append(s, v.name+" "+v.score.Word)
		}
	}
	if most != "" {
		s = append(s, most)
	}
	return strings.ToUpper(s[0][:1]) + strings.Join(s, "; ")[1:] + "."
}

// firstSentence is the reason of a [Score.Why] without the words on what readiness is.
func firstSentence(s string) string {
	if i := strings.Index(s, ". "); i >= 0 {
		return s[:i]
	}
	return strings.TrimSuffix(s, ".")
}

func lowerFirst(s string) string { return strings.ToLower(s[:1]) + s[1:] }

// commonCauses are the groups of troubles in words: what could take both vehicles at once.
var commonCauses = []struct{ key, what, why string }{
	{"bogged", "soft ground", "the second vehicle goes into the same soft bit"},
	{"ford", "water", "the second vehicle meets the same water"},
	{"fuel", "fuel", "both have filled up at the same pump"},
	{"mechanical", "vehicle faults", "both suffer the same heat, dust and shaking"},
	{"people", "illness and injury", "both crews eat, drink and tire alike"},
	{"tyre", "cut tyres", "both drive over the same stones and stakes"},
	{"way", "losing the way", "both follow the same mistake"},
}

// commonWords explains common causes: how often the second vehicle is out of the same cause when it is
// needed, for the causes that matter on this trip, largest first.
func (st *study) commonWords() string {
	t := st.tallyOf(st.wholeTrip())
	mean := map[string]float64{}
	for e := range t.events {
		mean[st.cat.Events[e].Beta] += t.events[e].fail
	}
	type cause struct {
		what, why string
		share, lo float64
		hi, size  float64
	}
	var all []cause
	for _, c := range commonCauses {
		b, ok := st.cat.Policy.Beta[c.key]
		if !ok {
			continue
		}
		f := b.Partner
		if c.key == "bogged" && st.trip.Policy.Spacing {
			f.Low, f.Central, f.High = f.Low/2, f.Central/2, f.High/2
		}
		if mean[c.key]*f.Central > 0 {
			all = append(all, cause{c.what, c.why, f.Central, f.Low, f.High, mean[c.key] * f.Central})
		}
	}
	sort.SliceStable(all, func(a, b int) bool { return all[a].size > all[b].size })
	s := "The second vehicle is no second chance of its own: one cause can take both."
	for i, c := range all {
		if i == 3 {
			break
		}
		s += fmt.Sprintf(" With %s it is out too in %.0f of 100 cases (%.0f to %.0f), as %s.", c.what, 100*c.share, 100*c.lo, 100*c.hi, c.why)
	}
	if st.trip.Policy.Spacing {
		return s + " Keeping apart in the soft bit is counted: it halves the share there."
	}
	return s + " Keeping apart, so that both are never in the soft bit together, would halve the share there."
}

// signed writes a difference with one decimal, or as many as it takes to see one.
func signed(v float64) string {
	switch a := math.Abs(v); {
	case a < 0.0005:
		return "0"
	case a < 0.095:
		return fmt.Sprintf("%+.2g", v)
	}
	return fmt.Sprintf("%+.1f", v)
}

// sentence is the answer with its certainty.
func (p *Pair) sentence(a, b string) string {
	var s string
	switch {
	case math.Max(math.Abs(p.GainBand[0]), math.Abs(p.GainBand[2])) < leastWorthSaying:
		s = fmt.Sprintf("%s and %s make no difference that shows in readiness", a, b)
	case p.Better >= 0.95:
		s = fmt.Sprintf("%s is better than %s in %.0f of 100 samples", b, a, 100*p.Better)
	case p.Better+p.Same < 0.05:
		s = fmt.Sprintf("%s is worse than %s in %.0f of 100 samples", b, a, 100*(1-p.Better-p.Same))
	case p.Same > 0.9:
		s = fmt.Sprintf("%s and %s make no difference that shows", a, b)
	default:
		s = fmt.Sprintf("it is not certain that %s beats %s: it does in %.0f of 100 samples", b, a, 100*p.Better)
	}
	s += fmt.Sprintf(": %s points (5 to 95 %%: %s to %s).", signed(p.Gain), signed(p.GainBand[0]), signed(p.GainBand[2]))
	if len(p.Flips) > 0 {
		var names []string
		for _, f := range p.Flips {
			names = append(names, fmt.Sprintf("leg %d goes from %s to %s", f.Leg+1, f.From, f.To))
		}
		words := list(names)
		s += " " + strings.ToUpper(words[:1]) + words[1:] + "."
	}
	if d := p.Delayed[1] - p.Delayed[0]; math.Abs(d) > 0.005 {
		s += fmt.Sprintf(" The chance that the party is held up somewhere goes from %.0f to %.0f in 100.", 100*p.Delayed[0], 100*p.Delayed[1])
	}
	if p.Measure != "" {
		s += " " + p.Measure
	}
	return s
}
