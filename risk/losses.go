package risk

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"lastroad/risk/catalogue"
	"lastroad/risk/coverage"
)

// weighed is the weighted trouble of one event on every piece, under ever better assumptions.
type weighed struct {
	u     []float64 // as it is
	stock []float64 // with stocks that never run out
	help  []float64 // and help always in time
}

// outfits are the party's things with a bundle added: alone, and with the second vehicle.
func (st *study) outfits(b *bundle) (solo, both *outfit, x *exposure) {
	if b == nil {
		return st.solo, st.both, st.x
	}
	p := st.trip.Party
	p.Load = append(append([]LoadItem(nil), p.Load...), b.loadItems(st.cat)...)
	solo = st.shared(alone(st.cat, &p))
	if st.both != nil {
		both = st.shared(solo.with(st.cat, st.trip.Partner, st.partner.spare))
	}
	x = st.x
	if letsDown(st.cat, solo) && !st.x.soft {
		if st.soft == nil {
			st.soft = expose(st.bare, &st.trip, true)
			st.soft.addFuel(st.x)
		}
		x = st.soft
	}
	return solo, both, x
}

// weigh works out event e with a bundle added; nil is as it is.
func (st *study) weigh(e int, b *bundle, full bool) weighed {
	solo, both, x := st.outfits(b)
	bd := st.builder(x, solo, both, e)
	bd.central = true
	m := bd.build()
	m.Running = make([][]float64, len(m.Things))
	for t := range m.Things {
		m.Running[t] = make([]float64, len(st.x.pieces)+1)
		if i := bd.item[t]; i >= 0 {
			m.Running[t] = st.need[i]
		}
	}
	w := coverage.NewWork(m)
	var out weighed
	collect := func(a coverage.Assume) []float64 {
		w.Assume(a)
		w.Evaluate()
		u := make([]float64, len(m.Pieces))
		for i := range m.Pieces {
			for j := m.Pieces[i].First; j < m.Pieces[i].Last; j++ {
				mean, _, in := w.Cell(i, j)
				if a.HelpComes {
					in = 1
				}
				u[i] += mean * w.Fail[j] * (w.Omega() + (1-w.Omega())*(1-in))
			}
		}
		return u
	}
	out.u = collect(coverage.Assume{})
	if full {
		out.stock = collect(coverage.Assume{FullStock: true})
		out.help = collect(coverage.Assume{FullStock: true, HelpComes: true})
	}
	return out
}

func sumShares(u []float64, parts []pieceShare) float64 {
	s := 0.0
	for _, q := range parts {
		s += u[q.piece] * q.share
	}
	return s
}

// options are what was tried against one event: as it is, and with each bundle.
type options struct {
	base    weighed
	bundles []bundle
	with    []weighed
}

// leastLost is the loss in points of the whole trip below which no cure is looked for: it would not show.
const leastLost = 0.005

// tryBundles tries the cures of an event, or none for a quick answer.
func (st *study) tryBundles(e int) *options {
	if o, ok := st.tried[e]; ok {
		return o
	}
	o := &options{base: st.weigh(e, nil, true)}
	for _, b := range st.bundles(e) {
		w := st.weigh(e, &b, true)
		if sum(w.u) < sum(o.base.u)*(1-1e-9) {
			o.bundles, o.with = append(o.bundles, b), append(o.with, w)
		}
	}
	st.tried[e] = o
	return o
}

func sum(v []float64) float64 {
	s := 0.0
	for _, x := range v {
		s += x
	}
	return s
}

// losses explains every lost point of a stretch.
func (st *study) losses(t tally, parts []pieceShare) []Loss {
	if t.res.Whole() <= 0 {
		return nil
	}
	n := 0
	for e := range t.events {
		if t.events[e].u > 0 {
			n++
		}
	}
	out := make([]Loss, 0, n)
	points := func(u float64) float64 { return 100 * u / t.res.Whole() }
	for e := range t.events {
		q := &t.events[e]
		if q.u <= 0 {
			continue
		}
		l := Loss{Event: st.cat.Events[e].Key, Title: st.cat.Events[e].Title, Points: points(q.u), Mean: q.mean}
		l.FromM, l.ToM = st.where(e, parts)
		if st.opts.Quick {
			l.Rest = l.Points
		} else {
			st.explain(&l, e, parts, points)
		}
		l.Text = st.sentence(&l, e, parts)
		out = append(out, l)
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].Points > out[b].Points })
	return out
}

// explain splits a loss: what the best missing thing or bundle would win, then what more of a stock would,
// then what help in time would, and the rest. The four parts add up to the loss.
func (st *study) explain(l *Loss, e int, parts []pieceShare, points func(float64) float64) {
	o := st.tryBundles(e)
	best, w := -1, &o.base
	least := sumShares(o.base.u, parts)
	for k := range o.bundles {
		if u := sumShares(o.with[k].u, parts); u < least*(1-1e-9) {
			best, least, w = k, u, &o.with[k]
		}
	}
	afterStock, afterHelp := sumShares(w.stock, parts), sumShares(w.help, parts)
	now := l.Points
	l.Missing = now - points(least)
	l.Stock = points(least) - points(afterStock)
	l.Late = points(afterStock) - points(afterHelp)
	l.Rest = l.Points - l.Missing - l.Stock - l.Late
	if best >= 0 {
		b := &o.bundles[best]
		l.Cure = &Cure{Items: b.loadItems(st.cat), Title: b.title(st.cat), MassKg: b.kg, Points: points(st.gain(b, parts))}
	}
}

// gain is the weighted trouble that a bundle takes off a stretch, over all events that it touches.
func (st *study) gain(b *bundle, parts []pieceShare) float64 {
	g, ok := st.gains[b.key]
	if !ok {
		g = make([]float64, len(st.x.pieces))
		softer := letsDown(st.cat, st.solo)
		if !softer {
			solo, _, _ := st.outfits(b)
			softer = letsDown(st.cat, solo)
		}
		for e := range st.cat.Events {
			if !st.touches(b, e, softer != st.x.soft) {
				continue
			}
			base, with := st.baseOf(e), st.weigh(e, b, false)
			for i := range g {
				g[i] += base[i] - with.u[i]
			}
		}
		st.gains[b.key] = g
	}
	return sumShares(g, parts)
}

// touches reports whether a bundle can change what happens with event e.
func (st *study) touches(b *bundle, e int, softer bool) bool {
	if softer {
		for _, f := range st.cat.Events[e].Factors {
			if st.cat.Factors[f].Variable == "road_pressure" {
				return true
			}
		}
	}
	for _, ri := range st.b.byEvent[e] {
		r := &st.cat.Recipes[ri]
		for _, n := range r.Needs {
			for _, a := range n {
				for _, p := range b.items {
					if p.Item == a.Item || contains(st.cat, p.Item, a.Item) {
						return true
					}
				}
			}
		}
		if r.Method != "" && (st.cat.Events[e].Stage != "" || r.Method == "tow" || r.Method == "tug") {
			for _, p := range b.items {
				if it := &st.cat.Items[p.Item]; it.Force || it.Key == "shovel" || slices.Contains(anchorItems, it.Key) {
					return true
				}
			}
		}
	}
	return false
}

func contains(cat *catalogue.Catalogue, set, item int) bool {
	for _, k := range cat.Items[set].Contains {
		if i, ok := cat.ItemIndex(k); ok && (i == item || contains(cat, i, item)) {
			return true
		}
	}
	return false
}

// baseOf is the weighted trouble of an event on every piece as it is.
func (st *study) baseOf(e int) []float64 {
	if st.base == nil {
		st.base = make([][]float64, len(st.cat.Events))
		for i := range st.base {
			st.base[i] = make([]float64, len(st.x.pieces))
		}
		for i := range st.m.Pieces {
			for j := st.m.Pieces[i].First; j < st.m.Pieces[i].Last; j++ {
				mean, _, in := st.w.Cell(i, j)
				st.base[st.m.Cells[j].Event][i] += mean * st.w.Fail[j] * (st.w.Omega() + (1-st.w.Omega())*(1-in))
			}
		}
	}
	return st.base[e]
}

// where is the shortest stretch that holds at least six tenths of an event's loss.
func (st *study) where(e int, parts []pieceShare) (from, to float64) {
	u := st.baseOf(e)
	total := sumShares(u, parts)
	if total <= 0 || len(parts) == 0 {
		return math.NaN(), math.NaN()
	}
	p := st.x.pieces
	best := math.Inf(1)
	lo, acc := 0, 0.0
	for hi := range parts {
		acc += u[parts[hi].piece] * parts[hi].share
		for acc-u[parts[lo].piece]*parts[lo].share >= 0.6*total {
			acc -= u[parts[lo].piece] * parts[lo].share
			lo++
		}
		if acc >= 0.6*total {
			a, b := p[parts[lo].piece].FromM, p[parts[hi].piece].ToM
			if b-a < best {
				best, from, to = b-a, a, b
			}
		}
	}
	return from, to
}

// worstPiece is the piece of a stretch on which an event costs most.
func (st *study) worstPiece(e int, parts []pieceShare) int {
	u := st.baseOf(e)
	best := -1
	for _, q := range parts {
		if best < 0 || u[q.piece]*q.share > u[best] {
			best = q.piece
		}
	}
	return best
}

// kmWords are a stretch in words: "km 41-52", "km 70.1".
func kmWords(from, to float64) string {
	switch {
	case math.IsNaN(from):
		return "the trip"
	case to-from < 500:
		return fmt.Sprintf("km %.1f", (from+to)/2000)
	case to-from < 5000:
		return fmt.Sprintf("km %.1f-%.1f", from/1000, to/1000)
	}
	return fmt.Sprintf("km %.0f-%.0f", from/1000, to/1000)
}

// leastWorthSaying is the gain in points below which a cure is not named in a sentence: it would not show in
// a readiness with one decimal. Judgement; the cure itself stays in the loss.
const leastWorthSaying = 0.05

// sentence says in one sentence what a loss is, where, what fails and what would cure it.
func (st *study) sentence(l *Loss, e int, parts []pieceShare) string {
	if l.Points < leastWorthSaying {
		return pointsWords(l.Points) + ": " + l.Title
	}
	s := fmt.Sprintf("%s: %s on %s", pointsWords(l.Points), l.Title, kmWords(l.FromM, l.ToM))
	if i := st.worstPiece(e, parts); i >= 0 {
		if need, ok := st.pullAt(e, i); ok {
			s += fmt.Sprintf(" needs %.0f kN", need)
		}
		if f := st.failsAt(e, i, l.Cure); f != "" {
			s += "; " + f
		}
	}
	switch {
	case l.Cure != nil && l.Missing >= leastWorthSaying:
		s += fmt.Sprintf("; +%s with %s (%.1f kg)", pointsWords(l.Missing), l.Cure.Title, l.Cure.MassKg)
	case st.opts.Quick:
	case l.Stock >= l.Late && l.Stock >= l.Rest:
		s += fmt.Sprintf("; by then the stock may be used up; +%s with more of it", pointsWords(l.Stock))
	case l.Late > l.Rest:
		s += fmt.Sprintf("; help may come too late; +%s if it came in time", pointsWords(l.Late))
	default:
		s += "; nothing in the tables would win much back"
	}
	return s
}

func pointsWords(p float64) string {
	if p >= 0.095 {
		return fmt.Sprintf("%.1f", p)
	}
	return fmt.Sprintf("%.2g", p)
}

// cellClass is the class of event e on piece i with the largest loss; ok is false when there is none.
func (st *study) cellClass(e, i int) (class int, ok bool) {
	best := -1.0
	for j := st.m.Pieces[i].First; j < st.m.Pieces[i].Last; j++ {
		if c := &st.m.Cells[j]; int(c.Event) == e {
			if u := c.Mean * st.w.Fail[j]; u > best {
				best, class, ok = u, int(c.Class), true
			}
		}
	}
	return class, ok
}

// pullAt is the pull that the vehicle asks for, in kN.
func (st *study) pullAt(e, i int) (kn float64, ok bool) {
	stage := st.cat.Events[e].Stage
	c, found := st.cellClass(e, i)
	if stage == "" || stage == "tread" || !found {
		return 0, false
	}
	p, err := st.memo.pull(st.cat.Recovery, stuckAt(st.solo, stage, st.b.sit[c].at))
	if err != nil || p.CentralKN <= 0 {
		return 0, false
	}
	return p.CentralKN, true
}

// failsAt says why the recipe that the cure would mend, or else the best one, does not work.
func (st *study) failsAt(e, i int, cure *Cure) string {
	c, ok := st.cellClass(e, i)
	if !ok {
		return ""
	}
	ts := st.b.trials[c][0]
	if st.both != nil {
		ts = st.b.trials[c][1]
	}
	if cure != nil {
		for k := range ts {
			t := ts[k]
			if t.fails.kind != noRefusal && matches(st.cat, t.missing, cure.Items) {
				return t.fails.words(st.cat)
			}
		}
		for k := range ts {
			if t := ts[k]; t.fails.kind != noRefusal && t.str.Plan != nil {
				return t.fails.words(st.cat)
			}
		}
	}
	var best refusal
	for k := range ts {
		if ts[k].usable {
			return "what is carried may fail"
		}
		if best.kind == noRefusal {
			best = ts[k].fails
		}
	}
	return best.words(st.cat)
}

func matches(cat *catalogue.Catalogue, missing []catalogue.Portion, items []LoadItem) bool {
	if len(missing) == 0 || len(missing) > len(items) {
		return false
	}
	n := 0
	for _, m := range missing {
		for _, it := range items {
			if cat.Items[m.Item].Key == it.Item {
				n++
			}
		}
	}
	return n == len(missing)
}
