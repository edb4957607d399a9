package coverage

import "math"

// Result is the answer for a whole trip.
type Result struct {
	U, D float64
	// Stopped, NotUnaided and NoHelp are expected numbers of troubles: all, those the party does not
	// end, and those that help does not reach in time either.
	Stopped, NotUnaided, NoHelp float64
}

// Readiness is 100 (1 - U/D); 100 when nothing can happen.
func (r Result) Readiness() float64 {
	if r.Whole() <= 0 {
		return 100
	}
	return 100 * (1 - r.U/r.Whole())
}

// Whole is what a hundred points stand for: the denominator, or what is lost where troubles that do not add to it
// (see Piece.Aside) outgrow it.
func (r Result) Whole() float64 { return max(r.D, r.U) }

// Odds turns an expected number into the chance of at least one.
func Odds(mean float64) float64 { return -math.Expm1(-mean) }

// Assume sets parts of the model to their best, to split a loss by its cause.
type Assume struct {
	FullStock bool // a stock that has any unit never runs out
	HelpComes bool // help is always in time
}

// Work holds the sampled numbers of one model and the scratch space to evaluate it. It is not safe for
// use by two goroutines at once; make one for each.
type Work struct {
	m      *Model
	assume Assume

	omega, common     float64
	mean, worst       []float64   // per cell
	solo, together    [][]float64 // failure tables per class
	beta, partner     []float64   // per class
	steady            []steady    // per class, set when its atoms never change
	inTime            [][2]float64
	chance            []float64
	lo, hi            []float64    // running need before and after the piece, per thing
	aSolo, aTogether  []float64    // availability per thing
	short             [][2]float64 // per thing: shortage of the own stock and with the partner's, at lo
	stale             []bool       // per thing: its availability must be worked out again
	present, present2 [MaxAtoms]float64
	scratch           [1 << (MaxAtoms - 1)]float64
	touched           []int32
	partnerBefore     float64
	partnerScale      float64
	// kept is, when asked for, what a model beside this one may take over, see [SpreadBeside].
	kept   *along
	values []float64
	flat   []float64
	// Fail is, after Evaluate, the chance per cell that the party does not end the trouble itself.
	Fail []float64
	// Piece is, after Evaluate, the part of the result that each piece has.
	Piece []Result
	// Left is, after Evaluate, the availability of each thing at the end of the trip (solo).
	Left []float64
}

type steady struct {
	ok             bool
	solo, together float64
}

// NewWork prepares a model, with every input in its middle.
func NewWork(m *Model) *Work {
	w := &Work{}
	w.Reset(m)
	return w
}

// Reset prepares another model in the memory of the last one, with every input in its middle and nothing assumed.
func (w *Work) Reset(m *Model) {
	w.m, w.assume = m, Assume{}
	n, classes, things := len(m.Cells), len(m.Classes), len(m.Things)
	states, most := 0, 0
	for i := range m.Classes {
		c := &m.Classes[i]
		states += 1 << len(c.Atoms)
		most = max(most, len(c.Solo), len(c.Together))
	}
	// One piece of memory for all numbers.
	w.flat = again(w.flat, 3*n+2*classes+most+5*things+2*states+len(m.Inputs))
	flat := w.flat
	take := func(n int) []float64 {
		v := flat[:n:n]
		flat = flat[n:]
		return v
	}
	w.mean, w.worst, w.Fail = take(n), take(n), take(n)
	w.beta, w.partner, w.chance = take(classes), take(classes), take(most)
	w.lo, w.hi, w.aSolo, w.aTogether, w.Left = take(things), take(things), take(things), take(things), take(things)
	w.solo, w.together = again(w.solo, classes), again(w.together, classes)
	for i := range m.Classes {
		w.solo[i], w.together[i] = take(1<<len(m.Classes[i].Atoms)), take(1<<len(m.Classes[i].Atoms))
	}
	w.steady = again(w.steady, classes)
	w.inTime = again(w.inTime, len(m.Pieces))
	w.Piece = again(w.Piece, len(m.Pieces))
	w.short, w.stale = again(w.short, things), again(w.stale, things)
	w.touched = again(w.touched, things)[:0]
	w.values = take(len(m.Inputs))
	w.SetMiddle()
}

// Drop lets go of the model; the memory stays for the next Reset, before which nothing may be asked.
func (w *Work) Drop() { w.m = nil }

// again gives n zeros in the memory of s when that is enough.
func again[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	s = s[:n]
	clear(s)
	return s
}

// Assume sets what to take at its best from now on.
func (w *Work) Assume(a Assume) { w.assume = a }

// SetMiddle puts every input in its middle.
func (w *Work) SetMiddle() {
	for i := range w.m.Inputs {
		w.values[i] = w.m.Inputs[i].Middle()
	}
	w.Set(w.values)
}

// Set puts the value of every input in (see [Input.At] for what a value is). The slice is not kept.
func (w *Work) Set(value []float64) {
	m := w.m
	copy(w.values, value)
	value = w.values
	w.omega = m.Omega
	if m.OmegaInput >= 0 && len(value) > 0 {
		w.omega = value[m.OmegaInput]
	}
	w.setMeans(value)
	for i := range m.Classes {
		w.setClass(i, value)
	}
	if m.InTime != nil {
		copy(w.inTime, m.InTime)
		return
	}
	help := 1.0
	if m.HelpInput >= 0 && len(value) > 0 {
		help = value[m.HelpInput]
	}
	for i := range m.Pieces {
		for k, h := range m.Pieces[i].Help {
			if k == 1 && h == m.Pieces[i].Help[0] {
				w.inTime[i][1] = w.inTime[i][0]
				continue
			}
			w.inTime[i][k] = HelpInTime(h.TauH, h.DelayH, h.MedianH*help, h.EF)
		}
	}
}

// setClass puts the sampled numbers into a class.
func (w *Work) setClass(i int, value []float64) {
	c := &w.m.Classes[i]
	b := c.Beta
	if c.BetaInput >= 0 && len(value) > 0 {
		b = value[c.BetaInput]
	}
	w.beta[i], w.partner[i] = b, c.Partner
	if c.PartnerInput >= 0 && len(value) > 0 {
		w.partner[i] = 1 - value[c.PartnerInput]
	}
	w.fill(w.solo[i], b, c.Solo, value)
	if w.m.Together {
		w.fill(w.together[i], b, c.Together, value)
	}
}

// setMeans puts the sampled rates into the cells.
func (w *Work) setMeans(value []float64) {
	m := w.m
	w.common = 1
	if m.Common >= 0 && len(value) > 0 {
		w.common = value[m.Common]
	}
	w.partnerScale = w.common
	for i := range m.Cells {
		c := &m.Cells[i]
		parts := m.Parts[c.From:c.To]
		if len(parts) == 0 {
			w.mean[i], w.worst[i] = c.Mean*w.common, c.Worst*w.common
			continue
		}
		mean, worst := 0.0, 0.0
		for j := range parts {
			p := &parts[j]
			f := w.common
			if p.Rate >= 0 {
				f *= value[p.Rate]
			}
			if p.Wide >= 0 {
				f *= value[p.Wide]
			}
			for _, k := range p.Chances {
				f *= value[k] / m.Inputs[k].Central
			}
			if p.Mix >= 0 {
				if v := value[p.Mix]; v >= 0 {
					if int32(v) != p.Pick {
						continue
					}
					f /= p.Weight
				}
			}
			mean += p.Mean * f
			worst += p.Worst * f
		}
		w.mean[i], w.worst[i] = mean, worst
	}
}

func (w *Work) fill(dst []float64, beta float64, rs []Recipe, value []float64) {
	for i := range rs {
		p := rs[i].Chance
		if rs[i].Input >= 0 && len(value) > 0 {
			p = value[rs[i].Input]
		}
		w.chance[i] = p * rs[i].Scale
	}
	failTable(dst, beta, rs, w.chance)
}

// settle computes the failure of a class whose atoms do not change along the trip.
func (w *Work) settle(i int) {
	m := w.m
	c := &m.Classes[i]
	w.steady[i].ok = true
	for k, a := range c.Atoms {
		t := &m.Things[a]
		if t.UsedUp && !(w.assume.FullStock && t.Units > 0) && t.Units+t.Surplus > 0 {
			w.steady[i].ok = false
			return
		}
		w.present[k], w.present2[k] = t.Chance, t.Together
		if t.UsedUp {
			w.present[k], w.present2[k] = 0, 0
			if t.Units > 0 {
				w.present[k], w.present2[k] = 1, 1
			}
		}
	}
	n := len(c.Atoms)
	w.steady[i].solo = fold(w.solo[i], w.present[:n], w.scratch[:])
	if m.Together {
		w.steady[i].together = fold(w.together[i], w.present2[:n], w.scratch[:])
	}
}

// Evaluate computes the trip with the numbers last set. It allocates nothing.
func (w *Work) Evaluate() Result {
	m := w.m
	for i := range m.Classes {
		w.settle(i)
	}
	for i := range w.lo {
		w.setOut(i)
	}
	w.partnerBefore = 0
	var r Result
	for i := range m.Pieces {
		p := &w.Piece[i]
		*p = Result{}
		w.piece(i, p)
		r.U += p.U
		r.D += p.D
		r.Stopped += p.Stopped
		r.NotUnaided += p.NotUnaided
		r.NoHelp += p.NoHelp
	}
	for i := range m.Things {
		w.Left[i] = m.Things[i].Chance
		if m.Things[i].UsedUp {
			w.Left[i] = PoissonAtMost(w.hi[i], m.Things[i].Units-1)
		}
	}
	return r
}

// setOut begins the trip for a thing: nothing has asked for it yet.
func (w *Work) setOut(thing int) {
	w.lo[thing], w.hi[thing], w.short[thing], w.stale[thing] = 0, 0, [2]float64{}, true
}

// piece adds piece i to r and moves the running needs past it.
func (w *Work) piece(i int, r *Result) {
	m := w.m
	p := &m.Pieces[i]
	w.touched = w.touched[:0]
	worst := 0.0
	for j := p.First; j < p.Last; j++ {
		worst += w.worst[j]
		if m.Running == nil {
			w.use(w.mean[j], m.Events[m.Cells[j].Event].Uses)
		}
	}
	if !p.Aside {
		r.D += max(worst, p.Floor*w.common)
	}
	for t := range m.Things {
		if m.Running != nil {
			w.lo[t], w.hi[t] = m.Running[t][i], m.Running[t][i+1]
			w.short[t] = [2]float64{Shortage(w.lo[t], m.Things[t].Units), Shortage(w.lo[t], m.Things[t].Units+m.Things[t].Surplus)}
			w.stale[t] = true
		}
		w.refresh(t)
	}
	out := 0.0
	if m.Together {
		out = meanOut(w.partnerBefore, p.PartnerMean*w.partnerScale)
		w.partnerBefore += p.PartnerMean * w.partnerScale
	}
	if w.kept != nil {
		w.kept.keep(i, out, w.aSolo, w.aTogether)
	}
	for j := p.First; j < p.Last; j++ {
		c := &m.Cells[j]
		f := w.cellFail(int(c.Class), out)
		w.Fail[j] = f
		inTime := w.inTime[i][m.Events[c.Event].Help]
		if w.assume.HelpComes {
			inTime = 1
		}
		mean := w.mean[j]
		r.Stopped += mean
		r.NotUnaided += mean * f
		r.NoHelp += mean * f * (1 - inTime)
		u := w.cost(mean*f, inTime)
		if w.kept != nil {
			w.kept.sum[j], w.kept.cost[j] = r.U, u
		}
		r.U += u
	}
	w.pass()
}

// cost is what troubles cost that the party does not end itself: being rescued, or more when help comes too late.
func (w *Work) cost(unended, inTime float64) float64 {
	return unended * (w.omega + (1-w.omega)*(1-inTime))
}

// use counts the need of things that mean troubles bring.
func (w *Work) use(mean float64, uses []Use) {
	for _, u := range uses {
		if w.hi[u.Thing] == w.lo[u.Thing] {
			w.touched = append(w.touched, u.Thing)
			w.stale[u.Thing] = true
		}
		w.hi[u.Thing] += mean * u.Units
	}
}

// refresh works the availability of a thing out anew when its need has grown.
func (w *Work) refresh(t int) {
	if w.stale[t] {
		w.availability(t)
		w.stale[t] = w.hi[t] != w.lo[t] // next time at a point, then until touched again
	}
}

// pass moves the running needs past a piece.
func (w *Work) pass() {
	for _, t := range w.touched {
		w.lo[t] = w.hi[t]
	}
}

func (w *Work) availability(t int) {
	th := &w.m.Things[t]
	if !th.UsedUp {
		w.aSolo[t], w.aTogether[t] = th.Chance, th.Together
		return
	}
	if w.assume.FullStock && th.Units > 0 {
		w.aSolo[t], w.aTogether[t] = 1, 1
		return
	}
	w.aSolo[t], w.short[t][0] = w.left(t, th.Units, w.short[t][0])
	w.aTogether[t] = w.aSolo[t]
	if w.m.Together && th.Surplus > 0 {
		w.aTogether[t], w.short[t][1] = w.left(t, th.Units+th.Surplus, w.short[t][1])
	}
}

// left is StockLeft for a thing on the piece at hand, given the shortage at its beginning; it returns the
// shortage at its end too, so that each is worked out once.
func (w *Work) left(t, units int, before float64) (a, after float64) {
	lo, hi := w.lo[t], w.hi[t]
	if units <= 0 {
		return 0, hi
	}
	if hi == lo {
		return PoissonAtMost(lo, units-1), before
	}
	after = Shortage(hi, units)
	if hi-lo < thinStep {
		return PoissonAtMost((lo+hi)/2, units-1), after
	}
	return clamp01(1 - (after-before)/(hi-lo)), after
}

func (w *Work) cellFail(class int, out float64) float64 {
	c := &w.m.Classes[class]
	var solo, both float64
	if s := &w.steady[class]; s.ok {
		solo, both = s.solo, s.together
	} else {
		n := len(c.Atoms)
		for k, a := range c.Atoms {
			w.present[k], w.present2[k] = w.aSolo[a], w.aTogether[a]
		}
		solo = fold(w.solo[class], w.present[:n], w.scratch[:])
		if w.m.Together {
			both = fold(w.together[class], w.present2[:n], w.scratch[:])
		}
	}
	if !w.m.Together {
		return solo
	}
	a := w.partner[class] * (1 - out)
	return (1-a)*solo + a*both
}

// meanOut is the mean over a stretch of the chance 1-exp(-x) that the partner is already out, while its
// expected number of unended troubles grows from before by step.
func meanOut(before, step float64) float64 {
	if step < 1e-9 {
		return -math.Expm1(-before - step/2)
	}
	return 1 - math.Exp(-before)*(-math.Expm1(-step))/step
}

// Cell gives the sampled mean and adverse case of cell i, and the chance that help is in time there.
func (w *Work) Cell(piece, i int) (mean, worst, inTime float64) {
	return w.mean[i], w.worst[i], w.inTime[piece][w.m.Events[w.m.Cells[i].Event].Help]
}

// InTime is the sampled chance per piece that help is in time, for each of its two kinds of [Help].
func (w *Work) InTime() [][2]float64 { return w.inTime }

// Omega is the sampled cost of being rescued.
func (w *Work) Omega() float64 { return w.omega }
