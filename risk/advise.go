package risk

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sort"

	"lastroad/geo"
	"lastroad/risk/catalogue"
	"lastroad/risk/choose"
	"lastroad/risk/coverage"
)

// Advice says what to add, what may stay at home, and what hangs on one thing.
type Advice struct {
	Readiness float64 // of the trip as it is
	// Things lists single things, Sets whole missing sets, both by gain per kilogram. A single thing that
	// gains nothing alone is not in the list.
	Things, Sets []Suggestion
	Skills       []Suggestion // what somebody could learn; no mass
	// Second are things and sets that would win readiness in the second vehicle's load, by gain per kilogram; nil when
	// none comes along. SecondKg is the payload that it has left.
	Second   []Suggestion
	SecondKg float64
	// Best is the best set under the limits, without what would win less than a hundredth of a point in all or next to
	// nothing beside the rest; without things when nothing more would show.
	Best Pack
	// Frontier are sets of the same candidates from nothing to the limit, lightest first: no set of at most the
	// mass of one is better by more than a twentieth of a point, as far as its search was exact (Pack.Exact). Between
	// two of them others may lie.
	Frontier  []Pack
	Stay      []StayHome // what is carried, by what its absence would cost
	Single    []SinglePoint
	Shares    []TroubleShare
	PayloadKg float64 // the limits used
	VolumeL   float64
}

// Suggestion is a thing or set with what it would win.
type Suggestion struct {
	Items  []LoadItem
	Title  string
	Kg, L  float64
	Gain   float64 // readiness points of the trip
	PerKg  float64
	Likely float64 // share of samples in which the gain is above 0.1 points; NaN when not sampled
}

// Pack is a set to add with the readiness it gives.
type Pack struct {
	Items     []LoadItem
	Title     string
	Kg, L     float64
	Readiness float64
	// Exact is true when no set within the limits is better by more than a twentieth of a point, which would not show in a
	// readiness with one decimal; none can exceed UpTo.
	Exact bool
	UpTo  float64
}

// StayHome is a thing that is carried.
type StayHome struct {
	Item, Title string
	Kg          float64
	Cost        float64 // readiness points lost without it
	RAW         float64 // risk achievement worth: trouble without it over trouble with it
	MayStay     bool    // nothing is lost, no stop is touched, and the model values the thing at all
	// Unvalued is true for things whose worth the model does not reckon (bedding, first aid, fire, warmth, tools
	// for comfort and law): it can say neither that they matter nor that they may stay.
	Unvalued bool
	Why      string
}

// SinglePoint is a trouble whose every usable remedy rests on one thing.
type SinglePoint struct {
	Event, Title string
	Item, Thing  string
	Legs         []int // where it matters
	Mean         float64
}

// TroubleShare is the part of the whole weighted trouble that a kind of trouble has (Fussell-Vesely).
type TroubleShare struct {
	Event, Title string
	Share        float64
	Legs         []float64 // the same for each leg
}

// PackLimit is what may still be added. Zero values mean: the payload left of the vehicle, and no limit
// of volume.
type PackLimit struct {
	PayloadKg, VolumeL float64
	// Candidates are the things to choose among; nil = the most promising ones of the catalogue.
	Candidates []LoadItem
	// Most bounds the number of candidates taken from the catalogue; 0 = 20, for which the search is exact.
	Most int
}

// Advise says what to pack next for a trip.
func Advise(ctx context.Context, s *geo.Survey, t Trip, cat *catalogue.Catalogue, limit PackLimit, opts Options) (*Advice, error) {
	if limit.PayloadKg < 0 || limit.VolumeL < 0 || math.IsNaN(limit.PayloadKg) || math.IsNaN(limit.VolumeL) {
		return nil, &geo.InputError{Where: "payload", Reason: fmt.Sprintf("%g kg and %g L must not be below 0", limit.PayloadKg, limit.VolumeL)}
	}
	opts.Quick = false
	st, err := begin(ctx, s, t, cat, opts)
	if err != nil {
		return nil, err
	}
	a := &Advice{Readiness: st.res.Readiness(), PayloadKg: limit.PayloadKg, VolumeL: limit.VolumeL}
	if a.PayloadKg == 0 {
		a.PayloadKg = math.Max(0, st.loadReport().PayloadLeftKg)
	}
	if a.VolumeL == 0 {
		a.VolumeL = math.Inf(1)
	}
	opts.report("things to add", 0.1)
	p, err := newPacker(st, limit)
	if err != nil {
		return nil, err
	}
	stops := st.stops(st.trip)
	// Trips with other loads and people are judged on a second processor: they share with the choosing only what does not
	// change, and the memo.
	others := make(chan error, 1)
	go func() { others <- p.others(a, stops) }()
	p.suggest(a)
	opts.report("best set", 0.4)
	bound := choose.Limit{Kg: a.PayloadKg, Litres: a.VolumeL}
	a.Best = p.pack(p.trim(choose.Best(ctx, p.problem, bound, 0)))
	opts.report("frontier", 0.7)
	a.Frontier = p.frontier(ctx, bound)
	opts.report("what may stay", 0.8)
	if err := <-others; err != nil {
		return nil, err
	}
	a.Single = st.singlePoints()
	a.Shares = st.troubleShares()
	opts.report("done", 1)
	return a, ctx.Err()
}

// others judges whole trips: with more in the second vehicle, with less in the own one, and with people who know more.
func (p *packer) others(a *Advice, stops map[[2]any]string) (err error) {
	st := p.st
	if st.both != nil {
		a.SecondKg = math.Max(0, st.loadOf(st.trip.Partner).PayloadLeftKg)
		if a.Second, err = p.second(a.SecondKg); err != nil {
			return err
		}
	}
	same := &partnerBefore{}
	if a.Stay, err = st.stay(stops, same); err != nil {
		return err
	}
	a.Skills = st.learn(same)
	return nil
}

// packer turns a study into a choice problem.
type packer struct {
	st       *study
	cands    []bundle
	sets     []ranked // the bundles of all events
	waits    uint32   // candidates that change how long the party can wait or how soon help knows
	variants map[uint32]*study
	problem  *choose.Problem
}

// waitItems are the things that act on help rather than on remedies.
var waitItems = []struct {
	item  string
	count float64
}{{"beacon", 1}, {"sat_messenger", 1}, {"water", 20}, {"sleeping_gear", 0}, {"mobile_phone", 1}}

// usualCandidates is how many candidates are taken when the caller does not say: the most for which the
// search is exact within its time.
const usualCandidates = 20

func newPacker(st *study, limit PackLimit) (*packer, error) {
	p := &packer{st: st, variants: map[uint32]*study{}, sets: st.allBundles()}
	if limit.Candidates != nil {
		for _, l := range limit.Candidates {
			i, ok := st.cat.ItemIndex(l.Item)
			if !ok {
				return nil, &geo.InputError{Where: "candidate", Reason: fmt.Sprintf("%q is not an item of the catalogue", l.Item)}
			}
			p.cands = append(p.cands, newBundle(st.cat, []catalogue.Portion{{Item: i, Count: math.Max(l.Count, 1)}}))
		}
		if len(p.cands) > choose.MaxCandidates {
			return nil, &geo.InputError{Where: "candidates", Reason: fmt.Sprintf("%d are too many, at most %d", len(p.cands), choose.MaxCandidates)}
		}
	} else {
		most := limit.Most
		if most <= 0 {
			most = usualCandidates
		}
		p.cands = st.candidates(slices.Clone(p.sets), most)
	}
	p.makeProblem()
	return p, nil
}

// candidates picks the most promising single things: the members of the bundles that win most per kilogram,
// one more of every stock that may run short, and what helps waiting.
func (st *study) candidates(all []ranked, most int) []bundle {
	sort.SliceStable(all, func(a, b int) bool {
		if all[a].rate != all[b].rate {
			return all[a].rate > all[b].rate
		}
		return all[a].b.key < all[b].b.key
	})
	want := map[int]float64{}
	var order []int
	add := func(i int, q float64) {
		if _, ok := want[i]; !ok {
			order = append(order, i)
		}
		want[i] = math.Max(want[i], q)
	}
	for _, w := range waitItems {
		i, ok := st.cat.ItemIndex(w.item)
		q := w.count
		if q == 0 {
			q = float64(len(st.trip.Party.People)) - st.solo.count[i]
		}
		if ok && q > 0 && len(order) < most/4 && st.helpsWaiting(i, q) {
			add(i, q)
		}
	}
	for _, r := range all {
		fresh := 0
		for _, q := range r.b.items {
			if _, ok := want[q.Item]; !ok {
				fresh++
			}
		}
		if len(order)+fresh > most {
			continue
		}
		for _, q := range r.b.items {
			add(q.Item, q.Count)
		}
	}
	sort.Ints(order)
	var out []bundle
	for _, i := range order {
		out = append(out, newBundle(st.cat, []catalogue.Portion{{Item: i, Count: want[i]}}))
	}
	return out
}

// ranked is a bundle with the trouble it takes away over all events that it was tried for, per kilogram.
type ranked struct {
	b       bundle
	u, rate float64
}

// allBundles gathers the bundles of all events, each once.
func (st *study) allBundles() []ranked {
	at := map[string]int{}
	var all []ranked
	for e := range st.cat.Events {
		o := st.tryBundles(e)
		for k := range o.bundles {
			b := o.bundles[k]
			i, ok := at[b.key]
			if !ok {
				i = len(all)
				at[b.key] = i
				all = append(all, ranked{b: b})
			}
			all[i].u += sum(o.base.u) - sum(o.with[k].u)
		}
	}
	for i := range all {
		all[i].rate = all[i].u / math.Max(all[i].b.kg, 0.2)
	}
	return all
}

// helpsWaiting reports whether more of a thing lowers the trouble through help, supplies or the way out.
func (st *study) helpsWaiting(item int, q float64) bool {
	b := newBundle(st.cat, []catalogue.Portion{{Item: item, Count: q}})
	v := st.withWait(&b)
	a, c := 0.0, 0.0
	for e := range st.cat.Events {
		a += sum(st.baseOf(e))
		c += v.weightOf(e, &b)
	}
	return c < a*(1-1e-9)
}

// withWait is the study with help and supplies reckoned again for a load with a bundle added.
func (st *study) withWait(b *bundle) *study {
	v := *st
	v.trip.Party.Load = append(append([]LoadItem(nil), st.trip.Party.Load...), b.loadItems(st.cat)...)
	x := *st.x
	x.trip = &v.trip
	along := []*Party{&v.trip.Party}
	if st.both != nil {
		along = append(along, st.trip.Partner)
	}
	v.wait = waitingAt(&x, along)
	v.help = coverageHelp(st.cat, v.wait)
	v.walk = nil
	for i := range v.wait {
		v.walk = append(v.walk, v.wait[i].Walk)
	}
	v.trip.Party.Load = st.trip.Party.Load
	return &v
}

func (p *packer) makeProblem() {
	st := p.st
	pr := &choose.Problem{}
	for i := range p.cands {
		b := &p.cands[i]
		pr.Candidates = append(pr.Candidates, choose.Candidate{Key: b.key, Title: b.title(st.cat), Kg: b.kg, Litres: b.litre})
		for _, q := range b.items {
			for _, w := range waitItems {
				if st.cat.Items[q.Item].Key == w.item {
					p.waits |= 1 << i
				}
			}
		}
	}
	air := false
	for i := range p.cands {
		for _, q := range p.cands[i].items {
			switch st.cat.Items[q.Item].Key {
			case "compressor", "hand_pump", "pressure_gauge":
				air = true
			}
		}
	}
	for e := range st.cat.Events {
		var members []int
		for i := range p.cands {
			if p.waits&(1<<i) != 0 || st.touches(&p.cands[i], e, false) || air && st.airs(e, &p.cands[i]) {
				members = append(members, i)
			}
		}
		if len(members) == 0 {
			pr.Fixed += sum(st.baseOf(e))
			continue
		}
		for len(members) > choose.MaxMembers {
			members = members[:choose.MaxMembers]
		}
		pr.Terms = append(pr.Terms, choose.Term{Members: members, Loss: func(sub uint32) float64 { return p.loss(e, members, sub) }})
	}
	pr.Prepare()
	p.problem = pr
}

// airs reports whether a candidate can change event e by letting the tyres down.
func (st *study) airs(e int, b *bundle) bool {
	if st.x.soft {
		return false
	}
	for _, q := range b.items {
		switch st.cat.Items[q.Item].Key {
		case "compressor", "hand_pump", "pressure_gauge":
			for _, f := range st.cat.Events[e].Factors {
				if st.cat.Factors[f].Variable == "road_pressure" {
					return true
				}
			}
		}
	}
	return false
}

// together is the sum of candidates as one bundle.
func (p *packer) together(members []int, sub uint32) bundle {
	var items []catalogue.Portion
	for k, c := range members {
		if sub&(1<<k) != 0 {
			items = append(items, p.cands[c].items...)
		}
	}
	sums := map[int]float64{}
	for _, q := range items {
		sums[q.Item] += q.Count
	}
	items = items[:0]
	for i := range p.st.cat.Items {
		if sums[i] > 0 {
			items = append(items, catalogue.Portion{Item: i, Count: sums[i]})
		}
	}
	return newBundle(p.st.cat, items)
}

func (p *packer) loss(e int, members []int, sub uint32) float64 {
	b := p.together(members, sub)
	var w uint32
	for k, c := range members {
		if sub&(1<<k) != 0 {
			w |= 1 << c & p.waits
		}
	}
	st, ok := p.variants[w]
	if !ok {
		all := make([]int, len(p.cands))
		for i := range all {
			all[i] = i
		}
		wb := p.together(all, w)
		st = p.st.withWait(&wb)
		p.variants[w] = st
	}
	return st.weightOf(e, &b)
}

func (p *packer) readiness(loss float64) float64 {
	return coverage.Result{U: loss, D: p.st.res.D}.Readiness()
}

// gain is the readiness that trouble taken away wins, in points. Where trouble outgrows the denominator and readiness
// is 0, what takes no more than the excess away wins nothing.
func (p *packer) gain(loss float64) float64 {
	if r := p.st.res; r.D > 0 {
		return 100 * max(0, loss-max(0, r.U-r.D)) / r.D
	}
	return 0
}

func (p *packer) items(set uint64) ([]LoadItem, string) {
	var out []LoadItem
	var names []string
	for _, i := range choose.Members(set) {
		out = append(out, p.cands[i].loadItems(p.st.cat)...)
		names = append(names, p.cands[i].title(p.st.cat))
	}
	return out, list(names)
}

// trifle is the gain in points that is not worth a gram: it would not show.
const trifle = 0.01

// shows reports whether trouble taken away shows in points with two decimals.
func (p *packer) shows(loss float64) bool { return p.gain(loss) >= trifle }

// trim leaves out of a set what wins next to nothing, the heaviest first: as long as less than a trifle is lost in
// all, and what wins less than half of one beside the rest, which would stand there as worth 0.00, as long as all of
// that is not worth saying either.
func (p *packer) trim(c choose.Choice) choose.Choice {
	point := p.st.res.D / 100
	whole, most, least := c.Loss, trifle*point, leastWorthSaying*point
	members := choose.Members(c.Set)
	sort.SliceStable(members, func(a, b int) bool { return p.problem.Candidates[members[a]].Kg > p.problem.Candidates[members[b]].Kg })
	for _, m := range members {
		set := c.Set &^ (1 << m)
		if l := p.problem.Loss(set); l <= whole+most || l <= whole+least && l-c.Loss < most/2 {
			c.Set, c.Loss, c.Kg, c.Litres = set, l, p.problem.Kg(set), p.problem.Litres(set)
		}
	}
	return c
}

// frontierSteps is how many budgets are tried between nothing and the limit, closer together where they are
// small: the first kilograms win most.
const frontierSteps = 18

// frontier finds the best sets of growing budgets and keeps those that win something that shows.
func (p *packer) frontier(ctx context.Context, limit choose.Limit) []Pack {
	all := 0.0
	for _, c := range p.problem.Candidates {
		all += c.Kg
	}
	top := math.Min(limit.Kg, all)
	var out []Pack
	for i := 0; i <= frontierSteps && ctx.Err() == nil; i++ {
		share := float64(i) / frontierSteps
		c := p.pack(p.trim(choose.Best(ctx, p.problem, choose.Limit{Kg: top * share * share, Litres: limit.Litres}, 200_000)))
		if len(out) > 0 {
			if last := &out[len(out)-1]; c.Readiness < last.Readiness+trifle || c.Kg <= last.Kg {
				continue
			}
		}
		out = append(out, c)
	}
	return out
}

func (p *packer) pack(c choose.Choice) Pack {
	items, title := p.items(c.Set)
	return Pack{Items: items, Title: title, Kg: c.Kg, L: c.Litres, Readiness: p.readiness(c.Loss), Exact: c.Exact, UpTo: p.readiness(c.Bound)}
}

// shownSets is how many sets are kept.
const shownSets = 24

// suggest ranks single candidates, and the sets of the losses, by gain per kilogram.
func (p *packer) suggest(a *Advice) {
	st := p.st
	singles := make([]uint64, len(p.cands))
	for i := range singles {
		singles[i] = 1 << i
	}
	for _, r := range choose.Rank(p.problem, singles) {
		if !p.shows(r.Gain) {
			continue
		}
		items, title := p.items(r.Set)
		a.Things = append(a.Things, p.suggestion(items, title, r.Kg, p.problem.Litres(r.Set), r.Gain))
	}
	for _, r := range p.sets {
		if b := &r.b; len(b.items) > 1 && r.u >= st.res.D*1e-4 {
			if u := st.gain(b, st.wholeTrip()); p.shows(u) {
				a.Sets = append(a.Sets, p.suggestion(b.loadItems(st.cat), b.title(st.cat), b.kg, b.litre, u))
			}
		}
	}
	sort.SliceStable(a.Sets, func(i, j int) bool { return a.Sets[i].PerKg > a.Sets[j].PerKg })
	a.Sets = a.Sets[:min(shownSets, len(a.Sets))]
	st.sampleGains(a)
}

// second ranks the candidates and the sets of the losses by what they win in the second vehicle's load, as far as
// they fit into its payload. What it carries serves it first, so each is judged anew with it.
func (p *packer) second(payloadKg float64) ([]Suggestion, error) {
	st := p.st
	tries := slices.Clone(p.cands)
	for _, r := range p.sets {
		if len(r.b.items) > 1 && r.u >= st.res.D*1e-4 {
			tries = append(tries, r.b)
		}
	}
	out := []Suggestion{}
	for i := range tries {
		b := &tries[i]
		if b.kg > payloadKg {
			continue
		}
		t := st.trip
		partner := *t.Partner
		partner.Load = append(slices.Clone(partner.Load), b.loadItems(st.cat)...)
		t.Partner = &partner
		v, err := st.instead(t, true, nil)
		if err != nil {
			return nil, err
		}
		if u := st.res.U - v.res.U; p.shows(u) {
			out = append(out, p.suggestion(b.loadItems(st.cat), b.title(st.cat), b.kg, b.litre, u))
		}
		v.release()
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].PerKg > out[b].PerKg })
	return out[:min(shownSets, len(out))], nil
}

func (p *packer) suggestion(items []LoadItem, title string, kg, l, loss float64) Suggestion {
	g := p.gain(loss)
	return Suggestion{Items: items, Title: title, Kg: kg, L: l, Gain: g, PerKg: g / math.Max(kg, 0.01), Likely: math.NaN()}
}

// sampleGains samples the first suggestions: in how many samples they win more than a tenth of a point.
func (st *study) sampleGains(a *Advice) {
	n := st.samples()
	if n <= 0 {
		return
	}
	n = min(n, 500)
	draws := coverage.Draw(st.m, n, st.opts.seed())
	var tried []*Suggestion
	for i := range min(8, len(a.Things)) {
		tried = append(tried, &a.Things[i])
	}
	for i := range min(8, len(a.Sets)) {
		tried = append(tried, &a.Sets[i])
	}
	var models []*coverage.Beside
	for _, s := range tried {
		b := newBundle(st.cat, portions(st.cat, s.Items))
		v, q := st.withWait(&b), st.equip(&b)
		bd := v.builder(q.x, q.solo, q.both, -1, nil)
		bd.sites = st.sites()
		models = append(models, coverage.NewBeside(st.m, draws, bd.build(), st.opts.seed()))
	}
	base, with, err := coverage.SpreadBeside(st.ctx, st.m, draws, models)
	if err != nil {
		return
	}
	for k, s := range tried {
		over := 0
		for i := range base {
			if with[k][i].Readiness()-base[i].Readiness() > 0.1 {
				over++
			}
		}
		s.Likely = float64(over) / float64(n)
	}
}

func portions(cat *catalogue.Catalogue, items []LoadItem) []catalogue.Portion {
	var out []catalogue.Portion
	for _, l := range items {
		if i, ok := cat.ItemIndex(l.Item); ok {
			out = append(out, catalogue.Portion{Item: i, Count: l.Count})
		}
	}
	return out
}
