package risk

import (
	"math"
	"slices"
	"strconv"

	"lastroad/risk/catalogue"
)

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
	o := &options{base: st.weigh(e, nil)}
	known := map[string]weighed{} // many bundles come to the same for one event
	for _, b := range st.bundles(e) {
		key := st.weighKey(e, st.equip(&b))
		w, ok := known[string(key)]
		if !ok {
			w = st.weigh(e, &b)
			known[string(key)] = w
		}
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
func (st *study) losses(t tally, parts []pieceShare, at []costliest) []Loss {
	if t.res.Whole() <= 0 {
		return nil
	}
	order := st.lost[:0]
	points := func(u float64) float64 { return 100 * u / t.res.Whole() }
	for e := range t.events {
		if u := t.events[e].u; u > 0 {
			order = append(order, lossAt{points: points(u), event: e})
		}
	}
	slices.SortFunc(order, func(a, b lossAt) int {
		switch {
		case a.points > b.points:
			return -1
		case a.points < b.points:
			return 1
		}
		return a.event - b.event
	})
	st.lost = order
	out := make([]Loss, len(order))
	words := st.text[:0]
	for i := range order {
		q := &order[i]
		l, ev := &out[i], &st.cat.Events[q.event]
		l.Event, l.Title, l.Points, l.Mean = ev.Key, ev.Title, q.points, t.events[q.event].mean
		l.FromM, l.ToM = st.where(q.event, parts)
		if st.opts.Quick {
			l.Rest = l.Points
		} else {
			st.explain(l, q.event, parts, points)
		}
		words = st.sentence(words, l, q.event, &at[q.event])
		q.end = len(words)
	}
	// All sentences of the stretch share one string.
	text, from := string(words), 0
	for i, q := range order {
		out[i].Text = text[from:q.end]
		from = q.end
	}
	st.text = words
	return out
}

// lossAt is a loss in points with its event, and where its sentence ends among those of the stretch.
type lossAt struct {
	points     float64
	event, end int
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
			softer = letsDown(st.cat, st.equip(b).solo)
		}
		for e := range st.cat.Events {
			if !st.touches(b, e, softer != st.x.soft) {
				continue
			}
			base, with := st.baseOf(e), st.weighAt(e, b)
			for i := range g {
				g[i] += base[i] - with[i]
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
		st.layBase()
	}
	return st.base[e]
}

// layBase works out for every event and piece the weighted trouble, and the class with the largest loss.
func (st *study) layBase() {
	n := len(st.x.pieces)
	flat := st.own.take(len(st.cat.Events) * n)
	var class []int32
	if st.own != nil {
		class = st.own.classAt
	}
	class = slices.Grow(class[:0], len(flat))[:len(flat)]
	if st.own != nil {
		st.own.classAt = class
	}
	worst := make([]float64, len(st.cat.Events))
	costs := st.cellCosts()
	for i := range class {
		class[i] = -1
	}
	for i := range st.m.Pieces {
		for e := range worst {
			worst[e] = -1
		}
		for j := st.m.Pieces[i].First; j < st.m.Pieces[i].Last; j++ {
			c := &st.m.Cells[j]
			at := int(c.Event)*n + i
			flat[at] += costs[j].u
			if u := c.Mean * st.w.Fail[j]; u > worst[c.Event] {
				worst[c.Event], class[at] = u, c.Class
			}
		}
	}
	st.classAt = class
	st.base = make([][]float64, len(st.cat.Events))
	for e := range st.base {
		st.base[e] = flat[e*n : (e+1)*n]
	}
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

// appendKm adds a stretch in words: "km 41-52", "km 70.1".
func appendKm(b []byte, from, to float64) []byte {
	km := func(b []byte, m float64, digits int) []byte { return strconv.AppendFloat(b, m/1000, 'f', digits, 64) }
	switch {
	case math.IsNaN(from):
		return append(b, "the trip"...)
	case to-from < 500:
		return km(append(b, "km "...), (from+to)/2, 1)
	case to-from < 5000:
		return km(append(km(append(b, "km "...), from, 1), '-'), to, 1)
	}
	return km(append(km(append(b, "km "...), from, 0), '-'), to, 0)
}

// leastWorthSaying is the gain in points below which a cure is not named in a sentence: it would not show in
// a readiness with one decimal. Judgement; the cure itself stays in the loss.
const leastWorthSaying = 0.05

// sentence adds one sentence that says what a loss is, where, what fails and what would cure it.
func (st *study) sentence(s []byte, l *Loss, e int, at *costliest) []byte {
	s = appendPoints(s, l.Points)
	if l.Points < leastWorthSaying {
		return append(append(s, ": "...), l.Title...)
	}
	s = append(append(append(s, ": "...), l.Title...), " on "...)
	s = appendKm(s, l.FromM, l.ToM)
	if at.class >= 0 {
		if need, ok := st.pullAt(e, at.class); ok {
			s = append(strconv.AppendFloat(append(s, " needs "...), need, 'f', 0, 64), " kN"...)
		}
		if f := st.failsAt(at, l.Cure); f != "" {
			s = append(append(s, "; "...), f...)
		}
	}
	switch {
	case l.Cure != nil && l.Missing >= leastWorthSaying:
		s = append(appendPoints(append(s, "; +"...), l.Missing), " with "...)
		s = append(append(s, l.Cure.Title...), " ("...)
		s = append(strconv.AppendFloat(s, l.Cure.MassKg, 'f', 1, 64), " kg)"...)
	case st.opts.Quick:
	case l.Stock >= l.Late && l.Stock >= l.Rest:
		s = append(appendPoints(append(s, "; by then the stock may be used up; +"...), l.Stock), " with more of it"...)
	case l.Late > l.Rest:
		s = append(appendPoints(append(s, "; help may come too late; +"...), l.Late), " if it came in time"...)
	default:
		s = append(s, "; nothing in the tables would win much back"...)
	}
	return s
}

func pointsWords(p float64) string { return string(appendPoints(nil, p)) }

func appendPoints(b []byte, p float64) []byte {
	if p >= 0.095 {
		return strconv.AppendFloat(b, p, 'f', 1, 64)
	}
	return strconv.AppendFloat(b, p, 'g', 2, 64)
}

// cellClass is the class of event e on piece i with the largest loss; ok is false when there is none.
func (st *study) cellClass(e, i int) (class int, ok bool) {
	st.baseOf(e)
	c := st.classAt[e*len(st.x.pieces)+i]
	return int(c), c >= 0
}

// pullAt is the pull that the vehicle asks for in a class of event e, in kN.
func (st *study) pullAt(e, c int) (kn float64, ok bool) {
	stage := st.cat.Events[e].Stage
	if stage == "" || stage == "tread" {
		return 0, false
	}
	if st.pulls == nil {
		st.pulls = make([]float64, len(st.b.sit))
	}
	if st.pulls[c] == 0 {
		st.pulls[c] = -1 // none
		if p, err := st.cat.Recovery.PullKN(stuckAt(st.solo, stage, st.b.sit[c].at)); err == nil && p.CentralKN > 0 {
			st.pulls[c] = p.CentralKN
		}
	}
	return st.pulls[c], st.pulls[c] > 0
}

// failsAt says why the recipe that the cure would mend, or else the best one, does not work.
func (st *study) failsAt(at *costliest, cure *Cure) string {
	l := at.tried
	if cure == nil {
		return l.inTheWay
	}
	ts := st.b.trials[at.class][0]
	if st.both != nil {
		ts = st.b.trials[at.class][1]
	}
	for k, t := range ts {
		if t.fails.kind != noRefusal && matches(st.cat, t.missing, cure.Items) {
			return l.remedies[k].Fails
		}
	}
	for k, t := range ts {
		if t.fails.kind != noRefusal && t.str.rig != nil {
			return l.remedies[k].Fails
		}
	}
	return l.inTheWay
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
