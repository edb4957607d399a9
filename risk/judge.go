package risk

import (
	"context"
	"math"
	"slices"
	"sort"
	"sync"
	"time"

	"lastroad/geo"
	"lastroad/risk/catalogue"
	"lastroad/risk/coverage"
	"lastroad/risk/recovery"
	"lastroad/risk/supply"
)

// Options steer how much [Judge] works out.
type Options struct {
	// Quick leaves out the cures of the losses and the bands: for a first answer while typing.
	Quick bool
	// Samples is the number of Latin hypercube samples for the bands; 0 = Trip.Policy.Samples, and when that
	// is 0 too, none are drawn.
	Samples int
	// Seed of the samples; 0 = a fixed one. The same seed gives the same bytes.
	Seed uint64
	// Daylight gives sunrise and sunset on the local date of day at a distance along the route, for callers
	// with times of their own; nil = worked out from date and place.
	Daylight func(day time.Time, atM float64) (rise, set time.Time, ok bool)
	// Memo, when set, keeps what repeats between judgements; it changes no result.
	Memo *Memo
	// Progress, when set, is told what is done and how far (0..1).
	Progress func(what string, done float64)

	// central leaves the uncertain inputs out of the model: no samples, draws or provenance are asked for.
	central bool
	// like is a study of the same survey by tables that differ in figures only.
	like *study
	// wordless asks for the figures alone: nobody will ask what is short where.
	wordless bool
	// partner keeps the study of the second vehicle from one trip to another that has the same one in the same conditions.
	partner *partnerBefore
	// pooled takes the memory to work in from a pool; the study must then be released.
	pooled bool
}

// defaultSeed makes runs repeat when the caller gives no seed.
const defaultSeed = 20260301

func (o Options) seed() uint64 {
	if o.Seed == 0 {
		return defaultSeed
	}
	return o.Seed
}

func (o Options) report(what string, done float64) {
	if o.Progress != nil {
		o.Progress(what, done)
	}
}

// study is a trip on its way to a judgement: everything worked out once.
type study struct {
	ctx    context.Context
	survey *geo.Survey
	trip   Trip
	given  Trip // as the caller gave it
	cat    *catalogue.Catalogue
	opts   Options
	notes  []string
	// defaults are the values taken for want of the user's own.
	defaults []Default
	lean     bool // only findings are asked for: points of no return are left out
	high     float64

	index   *index
	bare    *bare
	facts   *routeFacts
	x       *exposure
	wait    []waiting
	solo    *outfit
	both    *outfit
	tank    *tankful
	load    *LoadReport
	loaded  supply.LoadReport
	partner *partnerStudy
	help    [][2]coverage.Help
	walk    []reach
	light   []light

	b   *builder
	m   *coverage.Model
	w   *coverage.Work
	res coverage.Result

	other *otherLoads
	memo  *Memo
	tried map[int]*options
	gains map[string][]float64
	base  [][]float64
	// classAt is, by event and piece, the class with the largest loss, -1 = none.
	classAt  []int32
	costs    []eventTally // per cell, see cellCosts
	lost     []lossAt     // scratch of losses
	worst    []costliest  // scratch of costliestOf
	text     []byte       // scratch
	tyreSize func() (recovery.Size, error)
	pulls    []float64 // per class: kN that the vehicle asks for, -1 = none, 0 = not worked out yet, see pullAt
	asked    *asked
	rooms    []*scratch
	own      *scratch                 // the first of rooms, nil = none
	air      [geo.NumGrounds]*tyreAir // by ground, see pressures
	need     [][]float64              // running need per item, in units, after 0, 1, 2... pieces
}

// begin checks the input and works the central answer out.
func begin(ctx context.Context, s *geo.Survey, t Trip, cat *catalogue.Catalogue, opts Options) (*study, error) {
	if s == nil || len(s.Samples) < 2 || len(s.Legs) == 0 {
		return nil, &geo.InputError{Reason: "the survey has no samples or no legs", Remedy: "survey a route of at least two points first"}
	}
	if err := checkTrip(&t); err != nil {
		return nil, err
	}
	st := &study{ctx: ctx, survey: s, given: t, cat: cat, opts: opts, memo: opts.Memo, other: &otherLoads{}, tried: map[int]*options{}, gains: map[string][]float64{}}
	if st.memo == nil {
		st.memo = &Memo{}
	}
	st.own = st.room()
	if like := opts.like; like != nil {
		st.index, st.bare = like.index, like.bare.under(cat)
	} else {
		st.index, st.bare = st.memo.ground(s, cat)
	}
	st.facts = st.bare.facts
	var err error
	if st.trip, st.defaults, st.notes, err = t.fill(cat, st.facts.site); err != nil {
		return nil, err
	}
	st.tyreSize = sync.OnceValues(func() (recovery.Size, error) { return recovery.ParseSize(st.trip.Party.Vehicle.TyreSize) })
	pieces := st.bare.pieces
	party := &st.trip.Party
	st.solo = st.shared(alone(cat, party))
	st.x = expose(st.bare, &st.trip, letsDown(cat, st.solo), st.memo, st.own)
	along := []*Party{party}
	if st.trip.Together && st.trip.Partner != nil {
		along = append(along, st.trip.Partner)
	}
	st.clock()
	st.wait = waitingAt(st.x, along)
	st.help = coverageHelp(cat, st.wait)
	for i := range st.wait {
		st.walk = append(st.walk, st.wait[i].Walk)
	}
	if len(along) == 2 {
		st.partner = opts.partner.of(st, pieces)
		st.both = st.shared(st.solo.with(cat, st.trip.Partner, st.partner.spare))
	}
	st.fuel()
	st.b = st.builder(st.x, st.solo, st.both, -1, st.own)
	st.b.central = opts.central
	if opts.wordless {
		st.b.sites = st.sites()
	}
	st.m = st.b.build()
	st.w = st.own.evaluate(st.m)
	st.res = st.w.Evaluate()
	st.need = runningNeed(st.x, st.index, st.own)
	return st, ctx.Err()
}

// instead begins the study of another trip on the same route, for a central answer and, wordless, its figures alone. It
// must be released; after an error it is. partner is nil when the second vehicle, conditions or policy are others.
func (st *study) instead(t Trip, wordless bool, partner *partnerBefore) (*study, error) {
	v, err := begin(st.ctx, st.survey, t, st.cat, Options{Quick: true, central: true, wordless: wordless, partner: partner, Memo: st.memo, Daylight: st.opts.Daylight, pooled: true})
	if err != nil {
		v.release()
	}
	return v, err
}

func (st *study) builder(x *exposure, solo, both *outfit, only int, room *scratch) *builder {
	b := newBuilder(x, solo, both, st.index, st.memo, room)
	b.help, b.walk, b.light, b.only = st.help, st.walk, st.light, only
	if st.partner != nil {
		b.partner = st.partner.unended
	}
	return b
}

// letsDown reports whether the party can let its tyres down and pump them up again.
func letsDown(cat *catalogue.Catalogue, o *outfit) bool {
	return hasItem(cat, o.count, "pressure_gauge") && (hasItem(cat, o.count, "compressor") || hasItem(cat, o.count, "hand_pump"))
}

// runningNeed is the expected use of every item before each piece and after the last, in the units of
// the stocks, counted as if every trouble that can use an item does.
func runningNeed(x *exposure, ix *index, room *scratch) [][]float64 {
	out := make([][]float64, len(x.cat.Items))
	n := len(x.pieces) + 1
	flat := room.take((len(ix.spent) + 1) * n)
	none := flat[len(ix.spent)*n:] // of everything that nothing uses up
	for i := range out {
		out[i] = none
	}
	for k, i := range ix.spent {
		out[i] = flat[k*n : (k+1)*n]
	}
	for p := range x.pieces {
		for j := x.first[p]; j < x.first[p+1]; j++ {
			c := &x.cells[j]
			for _, u := range ix.uses[c.event] {
				out[u.item][p+1] += c.mean * u.units
			}
		}
	}
	for _, i := range ix.spent {
		for p := 1; p < n; p++ {
			out[i][p] += out[i][p-1]
		}
	}
	return out
}

// Judge judges a surveyed route for a trip: readiness, odds, needs and the reason for every lost point.
// The survey and trip are not changed. It fails with [geo.InputError] on a survey without legs and on
// figures that cannot be, and with the context's error when that ends first.
func Judge(ctx context.Context, s *geo.Survey, t Trip, cat *catalogue.Catalogue, opts Options) (*Judgement, error) {
	opts.report("pieces", 0)
	opts.central, opts.pooled = opts.Quick, true
	st, err := begin(ctx, s, t, cat, opts)
	if err != nil {
		return nil, err
	}
	defer st.release()
	opts.report("losses", 0.2)
	j := st.judgement()
	opts.report("done", 1)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return j, nil
}

// tally adds up what happens on a stretch of the route.
type tally struct {
	res    coverage.Result
	events []eventTally
}

type eventTally struct {
	mean, worst, fail, late, u float64 // fail, late: expected numbers
}

// pieceShare is a piece with the share of it that counts.
type pieceShare struct {
	piece int
	share float64
}

func (st *study) legShares(leg int) []pieceShare { return st.facts.legs[leg].shares }

// sharesOf are the pieces that touch a leg.
func sharesOf(s *geo.Survey, pieces []piece, leg int) []pieceShare {
	a, b := s.FromM(leg), s.ToM(leg)
	var out []pieceShare
	// The beginnings of pieces rise; a crossing stands behind the piece that holds it, so go back to a piece
	// with a length that begins at or before a.
	i := sort.Search(len(pieces), func(i int) bool { return pieces[i].FromM > a })
	for i > 0 {
		i--
		if !pieces[i].Ford && pieces[i].FromM < a {
			break
		}
	}
	for ; i < len(pieces) && pieces[i].FromM <= b; i++ {
		if s := pieces[i].share(a, b, leg == 0); s > 0 {
			out = append(out, pieceShare{i, s})
		}
	}
	return out
}

func (st *study) wholeTrip() []pieceShare { return st.facts.whole }

// tallyOf adds up the central answer over shares of pieces.
func (st *study) tallyOf(parts []pieceShare) tally {
	return st.tallyIn(make([]eventTally, len(st.cat.Events)), parts)
}

// tallyIn is tallyOf in memory that is no longer needed.
func (st *study) tallyIn(events []eventTally, parts []pieceShare) tally {
	clear(events)
	t := tally{events: events}
	costs := st.cellCosts()
	for _, q := range parts {
		p := &st.m.Pieces[q.piece]
		worst := 0.0
		for j := p.First; j < p.Last; j++ {
			c := &costs[j]
			worst += c.worst
			mean, fail, late, u := c.mean*q.share, c.fail*q.share, c.late*q.share, c.u*q.share
			e := &t.events[st.m.Cells[j].Event]
			e.mean += mean
			e.worst += c.worst * q.share
			e.fail += fail
			e.late += late
			e.u += u
			t.res.Stopped += mean
			t.res.NotUnaided += fail
			t.res.NoHelp += late
			t.res.U += u
		}
		if !p.Aside {
			t.res.D += math.Max(worst, p.Floor) * q.share
		}
	}
	return t
}

// cellCosts are the central costs of every cell, worked out once.
func (st *study) cellCosts() []eventTally {
	if st.costs != nil {
		return st.costs
	}
	n := len(st.m.Cells)
	if st.own == nil {
		st.costs = make([]eventTally, n)
	} else {
		st.own.costs = slices.Grow(st.own.costs[:0], n)[:n]
		st.costs = st.own.costs
	}
	omega := st.w.Omega()
	for i := range st.m.Pieces {
		for j := st.m.Pieces[i].First; j < st.m.Pieces[i].Last; j++ {
			mean, worst, in := st.w.Cell(i, j)
			fail := mean * st.w.Fail[j]
			st.costs[j] = eventTally{mean, worst, fail, fail * (1 - in), fail * (omega + (1-omega)*(1-in))}
		}
	}
	return st.costs
}
