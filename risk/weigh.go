package risk

import (
	"slices"

	"lastroad/risk/coverage"
)

// Choosing what to carry asks thousands of times what one kind of trouble would weigh with some other load. Most of
// what an answer rests on is the same each time: the troubles on the pieces, the situations, the waiting for help. And
// most loads come to the same for most kinds of trouble, since few recipes ask for what they differ in. So the cells
// of a kind of trouble are laid once, and what they weigh is kept under a key that spells out all that it hangs on.

// weighed is the weighted trouble of one event on every piece, under ever better assumptions.
type weighed struct {
	u     []float64 // as it is
	stock []float64 // with stocks that never run out
	help  []float64 // and help always in time
}

// otherLoads is what a study has worked out for loads other than its own. Copies of the study that differ in help and
// supplies share it.
type otherLoads struct {
	soft    *exposure // with tyres let down, when a bundle makes that possible
	kits    generations[*equipped]
	laid    map[laidKey]*oneEvent
	weights map[laidKey]map[string]float64
	sites   *winchSites
	key     []byte // scratch
}

// equipped are the party's things with a bundle added: alone, and with the second vehicle, and the route as they make
// it.
type equipped struct {
	solo, both *outfit
	x          *exposure
}

// keptKits is how many loads are kept: what is asked next about a load follows soon.
const keptKits = 200

// equip adds a bundle; nil is as it is.
func (st *study) equip(b *bundle) *equipped {
	if b == nil {
		return &equipped{st.solo, st.both, st.x}
	}
	o := st.other
	o.key = append(o.key[:0], b.key...)
	return o.kits.get(o.key, keptKits, func() *equipped { return st.addTo(b) })
}

func (st *study) addTo(b *bundle) *equipped {
	p := st.trip.Party
	p.Load = append(append([]LoadItem(nil), p.Load...), b.loadItems(st.cat)...)
	q := &equipped{solo: st.shared(alone(st.cat, &p)), x: st.x}
	if st.both != nil {
		q.both = st.shared(q.solo.with(st.cat, st.trip.Partner, st.partner.spare))
	}
	if letsDown(st.cat, q.solo) && !st.x.soft {
		if st.other.soft == nil {
			st.other.soft = expose(st.bare, &st.trip, true, st.memo, nil)
			st.other.soft.addFuel(st.x)
		}
		q.x = st.other.soft
	}
	return q
}

// laidKey names the cells of an event: its exposure, and the help that the study counts on.
type laidKey struct {
	event int
	x     *exposure
	help  *[2]coverage.Help
}

// oneEvent is the model of one event, without the classes and things, which hang on what is carried.
type oneEvent struct {
	m   coverage.Model
	sit []situation // per class
	key laidKey
	// never is the running need, piece by piece, of what nothing uses up.
	never []float64
}

// lay lays the cells of an event.
func (st *study) lay(e int, x *exposure) *oneEvent {
	o := st.other
	k := laidKey{e, x, &st.help[0]}
	if one, ok := o.laid[k]; ok {
		return one
	}
	b := st.builder(x, st.solo, st.both, e, nil)
	b.central = true
	one := &oneEvent{m: *b.build(), sit: b.sit, key: k, never: make([]float64, len(x.pieces)+1)}
	one.m.InTime = slices.Clone(coverage.NewWork(&one.m).InTime())
	if o.laid == nil {
		o.laid, o.weights = map[laidKey]*oneEvent{}, map[laidKey]map[string]float64{}
	}
	o.laid[k], o.weights[k] = one, map[string]float64{}
	return one
}

// sites are where the party's vehicle could be winched on the route.
func (st *study) sites() *winchSites {
	if st.other.sites == nil {
		st.other.sites = st.memo.winchSites(st.bare, st.cat.Recovery, st.solo.massKg)
	}
	return st.other.sites
}

// weighKey spells out what the weighted trouble of an event hangs on, beside its cells: its classes, and the stocks
// that they draw on. It lasts until the next one.
func (st *study) weighKey(e int, q *equipped) []byte {
	k := st.b.madeKey(st.other.key[:0], e, q.solo, q.both, st.sites())
	for _, i := range st.index.items[e] {
		if st.cat.Items[i].UsedUp {
			k = appendFloat(k, q.solo.count[i])
			if q.both != nil {
				k = appendFloat(k, q.both.count[i]+q.both.surplus[i])
			}
		}
	}
	st.other.key = k
	return k
}

// weightOf is the weighted trouble of event e on the whole route with a bundle added.
func (st *study) weightOf(e int, b *bundle) float64 {
	q := st.equip(b)
	one := st.lay(e, q.x)
	known, key := st.other.weights[one.key], st.weighKey(e, q)
	if v, ok := known[string(key)]; ok {
		return v
	}
	k := string(key)
	v := 0.0
	st.weighing(one, q, func(w *weighing) { v = sum(w.under(coverage.Assume{})) })
	known[k] = v
	return v
}

// weighAt works out event e on every piece with a bundle added.
func (st *study) weighAt(e int, b *bundle) (u []float64) {
	q := st.equip(b)
	st.weighing(st.lay(e, q.x), q, func(w *weighing) { u = w.under(coverage.Assume{}) })
	return u
}

// weigh works out event e with a bundle added, also with better stocks and help; nil is as it is.
func (st *study) weigh(e int, b *bundle) (out weighed) {
	q := st.equip(b)
	st.weighing(st.lay(e, q.x), q, func(w *weighing) {
		out.u = w.under(coverage.Assume{})
		out.stock = w.under(coverage.Assume{FullStock: true})
		out.help = w.under(coverage.Assume{FullStock: true, HelpComes: true})
	})
	return out
}

// weighing is the model of one event with some load, ready to be worked out.
type weighing struct {
	m *coverage.Model
	w *coverage.Work
}

// weighing makes the model of an event ready, in memory that lasts as long as use does.
func (st *study) weighing(one *oneEvent, q *equipped, use func(*weighing)) {
	room := scratches.Get().(*scratch)
	defer room.giveBack()
	room.used = 0
	b := st.builder(q.x, q.solo, q.both, one.key.event, room)
	b.central, b.sites = true, st.sites()
	m := one.m
	m.Classes, m.Things = b.classesOf(one.sit)
	m.Running = make([][]float64, len(m.Things))
	for t := range m.Things {
		m.Running[t] = one.never
		if i := b.item[t]; i >= 0 {
			m.Running[t] = st.need[i]
		}
	}
	use(&weighing{&m, room.evaluate(&m)})
}

// under is the weighted trouble on every piece under some assumptions.
func (w *weighing) under(a coverage.Assume) []float64 {
	w.w.Assume(a)
	w.w.Evaluate()
	u := make([]float64, len(w.m.Pieces))
	for i := range w.m.Pieces {
		for j := w.m.Pieces[i].First; j < w.m.Pieces[i].Last; j++ {
			mean, _, in := w.w.Cell(i, j)
			if a.HelpComes {
				in = 1
			}
			u[i] += mean * w.w.Fail[j] * (w.w.Omega() + (1-w.w.Omega())*(1-in))
		}
	}
	return u
}
