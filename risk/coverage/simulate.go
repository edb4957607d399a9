package coverage

import (
	"context"
	"math"
	"math/bits"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
)

// Simulation is the outcome of many simulated trips.
type Simulation struct {
	Trips int
	// Readiness is 100 (1 - mean trouble / D); D is the model's, it is not random.
	Readiness, ReadinessSE float64
	U, USE                 float64 // mean weighted trouble of a trip and its standard error
	Stopped, NotUnaided    float64 // share of trips with at least one such trouble
	NoHelp                 float64
	StoppedSE, UnaidedSE   float64
	NoHelpSE               float64
	Events                 float64 // mean number of troubles a trip
}

// tripsPerBlock is how many trips share one stream of random numbers: the result depends on seed and
// number of trips only, not on the number of processors.
const tripsPerBlock = 4096

// Simulate plays whole trips with the central numbers of m: troubles come as one merged Poisson process
// over all cells, in the order of the pieces; each uses up what its tried recipes use, in the order of
// their chance; the partner drops out for good at its first unended trouble. It stops with ctx's error.
//
// The analytic answer counts every event that can use a thing as using it, so the simulation's
// readiness is equal to it where that is so, and otherwise not below it.
func Simulate(ctx context.Context, m *Model, trips int, seed uint64) (Simulation, error) {
	return SimulateProgress(ctx, m, trips, seed, nil)
}

// SimulateProgress is [Simulate] that tells how far it is, 0 to 1, from several goroutines but one at a
// time; report may be nil. The result does not depend on it.
func SimulateProgress(ctx context.Context, m *Model, trips int, seed uint64, report func(done float64)) (Simulation, error) {
	w := NewWork(m)
	central := w.Evaluate()
	p := newPlay(m, w)
	blocks := (trips + tripsPerBlock - 1) / tripsPerBlock
	sums := make([]playSums, blocks)
	workers := min(runtime.GOMAXPROCS(0), max(1, blocks))
	var wg sync.WaitGroup
	var told sync.Mutex
	played := 0
	for k := range workers {
		wg.Go(func() {
			t := newTrip(p)
			for b := k; b < blocks; b += workers {
				if ctx.Err() != nil {
					return
				}
				n := min(tripsPerBlock, trips-b*tripsPerBlock)
				r := rand.New(rand.NewPCG(seed, uint64(b)+0x51ed))
				for range n {
					t.play(r, &sums[b])
				}
				if report != nil {
					told.Lock()
					played++
					report(float64(played) / float64(blocks))
					told.Unlock()
				}
			}
		})
	}
	wg.Wait()
	var s playSums
	for _, b := range sums {
		s.add(b)
	}
	n := float64(max(1, trips))
	out := Simulation{Trips: trips, U: s.u / n, Events: s.events / n, Stopped: s.stopped / n, NotUnaided: s.unaided / n, NoHelp: s.noHelp / n}
	variance := math.Max(0, s.u2/n-out.U*out.U)
	out.USE = math.Sqrt(variance / n)
	se := func(p float64) float64 { return math.Sqrt(p * (1 - p) / n) }
	out.StoppedSE, out.UnaidedSE, out.NoHelpSE = se(out.Stopped), se(out.NotUnaided), se(out.NoHelp)
	out.Readiness = 100
	if d := central.Whole(); d > 0 {
		out.Readiness, out.ReadinessSE = 100*(1-out.U/d), 100*out.USE/d
	}
	return out, ctx.Err()
}

type playSums struct{ u, u2, events, stopped, unaided, noHelp float64 }

func (s *playSums) add(o playSums) {
	s.u += o.u
	s.u2 += o.u2
	s.events += o.events
	s.stopped += o.stopped
	s.unaided += o.unaided
	s.noHelp += o.noHelp
}

// play is a model made ready for drawing.
type play struct {
	m          *Model
	w          *Work
	total      float64
	prob       []float64 // alias table of the cells (Walker 1977, Vose 1991)
	alias      []int32
	piece      []int32
	solo       [][]int32 // per class: recipes in the order of their chance, best first
	both       [][]int32
	chance     [][2][]float64
	partnerEnd []float64 // running mean of the partner's own unended troubles after each piece
}

func newPlay(m *Model, w *Work) *play {
	p := &play{m: m, w: w, prob: make([]float64, len(m.Cells)), alias: make([]int32, len(m.Cells)), piece: make([]int32, len(m.Cells))}
	for i := range m.Pieces {
		for j := m.Pieces[i].First; j < m.Pieces[i].Last; j++ {
			p.piece[j] = int32(i)
		}
	}
	for _, v := range w.mean {
		p.total += v
	}
	p.aliases()
	order := func(rs []Recipe) ([]int32, []float64) {
		o := make([]int32, len(rs))
		c := make([]float64, len(rs))
		for i := range rs {
			o[i] = int32(i)
			c[i] = rs[i].Chance * rs[i].Scale
		}
		slices.SortStableFunc(o, func(a, b int32) int {
			switch {
			case c[a] > c[b]:
				return -1
			case c[a] < c[b]:
				return 1
			}
			return 0
		})
		return o, c
	}
	for i := range m.Classes {
		so, sc := order(m.Classes[i].Solo)
		bo, bc := order(m.Classes[i].Together)
		p.solo, p.both = append(p.solo, so), append(p.both, bo)
		p.chance = append(p.chance, [2][]float64{sc, bc})
	}
	sum := 0.0
	for i := range m.Pieces {
		sum += m.Pieces[i].PartnerMean
		p.partnerEnd = append(p.partnerEnd, sum)
	}
	return p
}

// aliases fills the alias table: one draw picks a cell in constant time.
func (p *play) aliases() {
	n := len(p.prob)
	if p.total <= 0 {
		return
	}
	var small, large []int32
	for i, v := range p.w.mean {
		p.prob[i] = v / p.total * float64(n)
		if p.prob[i] < 1 {
			small = append(small, int32(i))
		} else {
			large = append(large, int32(i))
		}
	}
	for len(small) > 0 && len(large) > 0 {
		s, l := small[len(small)-1], large[len(large)-1]
		small = small[:len(small)-1]
		p.alias[s] = l
		p.prob[l] -= 1 - p.prob[s]
		if p.prob[l] < 1 {
			large = large[:len(large)-1]
			small = append(small, l)
		}
	}
	for _, i := range append(small, large...) {
		p.prob[i], p.alias[i] = 1, i
	}
}

// trip is the scratch space of one worker.
type trip struct {
	p       *play
	used    []float64 // units taken from each thing's item
	now     []float64 // of these, by the trouble at hand
	touched []int32
	cells   []int32
}

func newTrip(p *play) *trip {
	return &trip{p: p, used: make([]float64, len(p.m.Things)), now: make([]float64, len(p.m.Things))}
}

func (t *trip) play(r *rand.Rand, s *playSums) {
	p := t.p
	n := poisson(r, p.total)
	if n == 0 {
		return
	}
	t.cells = t.cells[:0]
	for range n {
		x := r.Float64() * float64(len(p.prob))
		i := int32(x)
		if x-float64(i) >= p.prob[i] {
			i = p.alias[i]
		}
		t.cells = append(t.cells, i)
	}
	// Troubles within a piece come in random order: the draws are exchangeable, so a stable sort by piece
	// keeps it.
	slices.SortStableFunc(t.cells, func(a, b int32) int { return int(p.piece[a]) - int(p.piece[b]) })
	clear(t.used)
	out := math.Inf(1) // running mean at which the partner drops out
	if p.m.Together {
		out = r.ExpFloat64()
	}
	var u, unaided, late float64
	for _, c := range t.cells {
		if t.ends(r, c, out) {
			continue
		}
		unaided++
		i := p.piece[c]
		if r.Float64() < p.w.inTime[i][p.m.Events[p.m.Cells[c].Event].Help] {
			u += p.w.omega
			continue
		}
		late++
		u++
	}
	s.events += float64(n)
	s.u += u
	s.u2 += u * u
	s.stopped++
	if unaided > 0 {
		s.unaided++
	}
	if late > 0 {
		s.noHelp++
	}
}

// ends plays one trouble: it draws what is there, tries recipes in the order of their chance, uses up
// what they use, and says whether one of them worked.
func (t *trip) ends(r *rand.Rand, c int32, partnerOut float64) bool {
	p := t.p
	m := p.m
	class := m.Cells[c].Class
	k := &m.Classes[class]
	rs, order, chance := k.Solo, p.solo[class], p.chance[class][0]
	together := false
	if m.Together {
		at := 0.0
		if i := p.piece[c]; i > 0 {
			at = p.partnerEnd[i-1]
		}
		at += m.Pieces[p.piece[c]].PartnerMean * r.Float64()
		if at < partnerOut && r.Float64() < p.w.partner[class] {
			together = true
			rs, order, chance = k.Together, p.both[class], p.chance[class][1]
		}
	}
	var state uint16
	for b, a := range k.Atoms {
		th := &m.Things[a]
		there := false
		switch {
		case !th.UsedUp && together:
			there = r.Float64() < th.Together
		case !th.UsedUp:
			there = r.Float64() < th.Chance
		case together:
			there = t.used[a] <= float64(th.Units+th.Surplus-1)
		default:
			there = t.used[a] <= float64(th.Units-1)
		}
		if there {
			state |= 1 << b
		}
	}
	for _, i := range t.touched {
		t.now[i] = 0
	}
	t.touched = t.touched[:0]
	common := r.Float64() < p.w.beta[class]
	luck := r.Float64()
	for _, i := range order {
		if !usable(rs[i].Needs, state) {
			continue
		}
		t.take(k, rs[i].Needs, state)
		if common {
			return luck < chance[i] // the others fail of the same cause
		}
		if r.Float64() < chance[i] {
			return true
		}
	}
	return false
}

// take uses up what a recipe uses: of every need the first alternative that is there. What one trouble
// takes of a stock is the most that any of its tried recipes takes, not their sum: a wheel that was
// tried with one jack is the same wheel with the other.
func (t *trip) take(k *Class, needs []uint16, state uint16) {
	for _, mask := range needs {
		b := bits.TrailingZeros16(mask & state)
		if b >= len(k.Takes) {
			continue
		}
		for _, u := range k.Takes[b] {
			if more := u.Units - t.now[u.Thing]; more > 0 {
				t.used[u.Thing] += more
				t.now[u.Thing] = u.Units
				t.touched = append(t.touched, u.Thing)
			}
		}
	}
}

// poisson draws a Poisson count: by multiplication for small means, else as a sum of smaller ones.
func poisson(r *rand.Rand, mean float64) int {
	n := 0
	for mean > 16 {
		n += poisson(r, 16)
		mean -= 16
	}
	limit := math.Exp(-mean)
	for x := r.Float64(); x > limit; x *= r.Float64() {
		n++
	}
	return n
}
