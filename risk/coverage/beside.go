package coverage

import (
	"context"
	"slices"
)

// A thing more in the load changes a few classes and stocks of a model and leaves the rest as it is. So the model with it
// is sampled beside the one without: troubles, waiting for help, stocks and classes that are the same are worked out once
// for both. The sums run in the same order as in a whole evaluation, so every result is the same to the last bit.

// SpreadBeside evaluates m for every sample as [Spread] does, and each of others for the same samples; all draws come
// from [Draw] with the same number and seed. Of the others' results only U and D are filled.
func SpreadBeside(ctx context.Context, m *Model, d Draws, others []*Beside) (base []Result, with [][]Result, err error) {
	base = make([]Result, len(d))
	with = make([][]Result, len(others))
	for k := range others {
		with[k] = make([]Result, len(d))
	}
	err = share(ctx, len(d), func() func(i int) {
		w := NewWork(m)
		w.kept = newAlong(m)
		beside := make([]*Work, len(others))
		for k, o := range others {
			beside[k] = NewWork(o.m)
		}
		return func(i int) {
			w.Set(d[i])
			base[i] = w.Evaluate()
			for k, o := range others {
				if o.apart {
					beside[k].Set(o.draws[i])
					with[k][i] = beside[k].Evaluate()
				} else {
					with[k][i] = Result{U: beside[k].beside(w, o, o.draws[i]), D: base[i].D}
				}
			}
		}
	})
	return base, with, err
}

// Beside is a model with what it has in common with another one.
type Beside struct {
	m     *Model
	draws Draws
	apart bool // too little in common: it must be evaluated as a whole
	// classes are those that the other model does not have, each kind once; changed gives, by class, the one of its kind
	// among them, -1 = the other model has it.
	classes []int
	changed []int
	// own are the things that these classes ask for and that the other model does not have alike; taken those that it
	// has, with their number there.
	own   []int
	taken [][2]int
	// uses are, by event, the uses of own things; touches tells, by piece, that one of its events has any.
	uses    [][]Use
	touches []bool
	// cells are those of changed classes, in order; of piece i those from hit[i] up to hit[i+1].
	cells []changedCell
	hit   []int
}

// changedCell is a cell, with its class of its kind in Beside.classes and which help it asks for.
type changedCell struct{ at, class, help int }

// NewBeside finds what o has in common with m, whose samples are d, and draws those of o with the seed that d was drawn
// with.
func NewBeside(m *Model, d Draws, o *Model, seed uint64) *Beside {
	b := &Beside{m: o}
	like := likeInputs(m, o)
	b.draws = drawLike(d, o, like, seed)
	alike := func(x, y int32) bool { return x < 0 && y < 0 || x >= 0 && like[x] >= 0 && like[x] == y }
	if b.apart = !sameRoute(m, o, alike); b.apart {
		return b
	}
	things := likeThings(m, o)
	b.findClasses(m, things, alike)
	b.findThings(things)
	b.findPieces()
	return b
}

// likeInputs gives for every input of o the number of that of m with the same samples, -1 = none.
func likeInputs(m, o *Model) []int32 {
	at := map[string]int32{}
	for i := range m.Inputs {
		at[m.Inputs[i].Key] = int32(i)
	}
	like := make([]int32, len(o.Inputs))
	for i := range o.Inputs {
		x := &o.Inputs[i]
		like[i] = -1
		if k, ok := at[x.Key]; ok {
			y := &m.Inputs[k]
			if x.Kind == y.Kind && x.Central == y.Central && x.Sigma == y.Sigma && x.Below == y.Below && slices.Equal(x.Weights, y.Weights) {
				like[i] = k
			}
		}
	}
	return like
}

// drawLike is Draw of the inputs of o, of which those that have a like are taken over.
func drawLike(d Draws, o *Model, like []int32, seed uint64) Draws {
	rows := newDraws(len(d), len(o.Inputs))
	order := make([]int, len(d))
	for x, y := range like {
		if y < 0 {
			rows.draw(o, x, order, seed)
			continue
		}
		for i := range rows {
			rows[i][x] = d[i][y]
		}
	}
	return rows
}

// sameRoute reports whether two models have the same troubles on the same pieces, and the same help.
func sameRoute(m, o *Model, alike func(x, y int32) bool) bool {
	if m.Omega != o.Omega || m.Together != o.Together || !alike(o.OmegaInput, m.OmegaInput) || !alike(o.HelpInput, m.HelpInput) || !alike(o.Common, m.Common) ||
		m.Running != nil || o.Running != nil || m.InTime != nil || o.InTime != nil ||
		!slices.Equal(m.Pieces, o.Pieces) || len(m.Cells) != len(o.Cells) || len(m.Events) != len(o.Events) {
		return false
	}
	for e := range m.Events {
		if m.Events[e].Help != o.Events[e].Help {
			return false
		}
	}
	for j := range m.Cells {
		x, y := &o.Cells[j], &m.Cells[j]
		if x.Event != y.Event || x.Mean != y.Mean || x.Worst != y.Worst ||
			!slices.EqualFunc(o.Parts[x.From:x.To], m.Parts[y.From:y.To], func(p, q Part) bool {
				return p.Mean == q.Mean && p.Worst == q.Worst && p.Pick == q.Pick && p.Weight == q.Weight && alike(p.Rate, q.Rate) && alike(p.Wide, q.Wide) &&
					alike(p.Mix, q.Mix) && slices.EqualFunc(p.Chances, q.Chances, alike)
			}) {
			return false
		}
	}
	return true
}

// likeThings gives for every thing of o the number of that of m which is there as surely everywhere, -1 = none.
func likeThings(m, o *Model) []int {
	at := map[string]int{}
	for t := range m.Things {
		at[m.Things[t].Key] = t
	}
	uses := func(m *Model, t int) (u []float64) {
		u = make([]float64, len(m.Events))
		for e := range m.Events {
			for _, q := range m.Events[e].Uses {
				if int(q.Thing) == t {
					u[e] += q.Units
				}
			}
		}
		return u
	}
	like := make([]int, len(o.Things))
	for t := range o.Things {
		like[t] = -1
		if k, ok := at[o.Things[t].Key]; ok && m.Things[k] == o.Things[t] && slices.Equal(uses(m, k), uses(o, t)) {
			like[t] = k
		}
	}
	return like
}

// findClasses finds the classes that are not alike in both models.
func (b *Beside) findClasses(m *Model, things []int, alike func(x, y int32) bool) {
	o := b.m
	b.changed = make([]int, len(o.Classes))
	with := make([]int32, len(o.Classes))
	for i := range with {
		b.changed[i], with[i] = -1, -1
	}
	thing := func(a, c int32) bool { return things[a] == int(c) }
	for j := range o.Cells {
		i, k := o.Cells[j].Class, m.Cells[j].Class
		if with[i] == k {
			continue
		}
		if with[i] >= 0 || !sameClass(&o.Classes[i], &m.Classes[k], thing, alike) {
			b.changed[i] = b.kind(int(i))
		}
		with[i] = k
	}
}

// kind finds the class of the same kind among the changed ones, or makes class i the first of its kind.
func (b *Beside) kind(i int) int {
	same := func(x, y int32) bool { return x == y }
	for _, k := range b.classes {
		if k == i || sameClass(&b.m.Classes[i], &b.m.Classes[k], same, same) {
			return k
		}
	}
	b.classes = append(b.classes, i)
	return i
}

// sameClass reports whether two classes fail alike, where things and inputs are alike.
func sameClass(x, y *Class, thing, input func(a, b int32) bool) bool {
	recipe := func(p, q Recipe) bool {
		return p.Chance == q.Chance && p.Scale == q.Scale && input(p.Input, q.Input) && slices.Equal(p.Needs, q.Needs)
	}
	return x.Beta == y.Beta && x.Partner == y.Partner && input(x.BetaInput, y.BetaInput) && input(x.PartnerInput, y.PartnerInput) &&
		slices.EqualFunc(x.Atoms, y.Atoms, thing) && slices.EqualFunc(x.Solo, y.Solo, recipe) && slices.EqualFunc(x.Together, y.Together, recipe)
}

// findThings finds what the changed classes ask for.
func (b *Beside) findThings(things []int) {
	own := make([]bool, len(b.m.Things))
	seen := make([]bool, len(b.m.Things))
	for _, i := range b.classes {
		for _, a := range b.m.Classes[i].Atoms {
			switch {
			case seen[a]:
			case things[a] >= 0:
				b.taken = append(b.taken, [2]int{int(a), things[a]})
			default:
				b.own, own[a] = append(b.own, int(a)), true
			}
			seen[a] = true
		}
	}
	b.uses = make([][]Use, len(b.m.Events))
	for e := range b.uses {
		for _, u := range b.m.Events[e].Uses {
			if own[u.Thing] {
				b.uses[e] = append(b.uses[e], u)
			}
		}
	}
}

// findPieces finds what must be worked out on every piece.
func (b *Beside) findPieces() {
	b.touches, b.hit = make([]bool, len(b.m.Pieces)), make([]int, 1, len(b.m.Pieces)+1)
	for i, p := range b.m.Pieces {
		for j := p.First; j < p.Last; j++ {
			c := &b.m.Cells[j]
			b.touches[i] = b.touches[i] || len(b.uses[c.Event]) > 0
			if k := b.changed[c.Class]; k >= 0 {
				b.cells = append(b.cells, changedCell{j, k, b.m.Events[c.Event].Help})
			}
		}
		b.hit = append(b.hit, len(b.cells))
	}
}

// along is what an evaluation leaves for models beside it: per cell its cost and that of the cells of its piece before it,
// per piece whether the partner is out, and the availability of every thing.
type along struct {
	sum            []float64
	cost           []float64
	out            []float64
	solo, together []float64 // by piece, then thing
	things         int
}

func newAlong(m *Model) *along {
	n := len(m.Pieces)
	return &along{sum: make([]float64, len(m.Cells)), cost: make([]float64, len(m.Cells)), out: make([]float64, n), solo: make([]float64, n*len(m.Things)), together: make([]float64, n*len(m.Things)), things: len(m.Things)}
}

func (a *along) keep(piece int, out float64, solo, together []float64) {
	a.out[piece] = out
	copy(a.solo[piece*a.things:], solo)
	copy(a.together[piece*a.things:], together)
}

// beside evaluates U of a model beside one that was just evaluated, for the same sample.
func (w *Work) beside(base *Work, b *Beside, value []float64) float64 {
	m := w.m
	w.omega = base.omega
	for _, i := range b.classes {
		w.setClass(i, value)
		w.settle(i)
	}
	for _, t := range b.own {
		w.setOut(t)
	}
	sum := 0.0
	for i := range m.Pieces {
		if b.touches[i] || len(b.own) > 0 {
			w.needBeside(i, base, b)
		}
		if b.hit[i] < b.hit[i+1] {
			sum += w.costBeside(i, base, b)
		} else {
			sum += base.Piece[i].U
		}
		w.pass()
	}
	return sum
}

// needBeside counts the need of own things on a piece.
func (w *Work) needBeside(i int, base *Work, b *Beside) {
	w.touched = w.touched[:0]
	if b.touches[i] {
		for j := w.m.Pieces[i].First; j < w.m.Pieces[i].Last; j++ {
			w.use(base.mean[j], b.uses[w.m.Cells[j].Event])
		}
	}
	for _, t := range b.own {
		w.refresh(t)
	}
}

// costBeside is what the troubles of a piece cost.
func (w *Work) costBeside(i int, base *Work, b *Beside) float64 {
	from := i * base.kept.things
	for _, q := range b.taken {
		w.aSolo[q[0]], w.aTogether[q[0]] = base.kept.solo[from+q[1]], base.kept.together[from+q[1]]
	}
	// The sum runs over all cells in their order, from the first changed one on.
	at := b.cells[b.hit[i]].at
	sum := base.kept.sum[at]
	for _, c := range b.cells[b.hit[i]:b.hit[i+1]] {
		for _, u := range base.kept.cost[at:c.at] {
			sum += u
		}
		sum += w.cost(base.mean[c.at]*w.cellFail(c.class, base.kept.out[i]), base.inTime[i][c.help])
		at = c.at + 1
	}
	for _, u := range base.kept.cost[at:w.m.Pieces[i].Last] {
		sum += u
	}
	return sum
}
