package risk

import (
	"encoding/binary"
	"math"
	"slices"
	"sync"

	"lastroad/geo"
	"lastroad/risk/catalogue"
	"lastroad/risk/coverage"
	"lastroad/risk/recovery"
)

// What a kind of trouble comes to in a situation hangs on a few things only: the recipes against it, their figures,
// and what they ask of people and load. A change of the load leaves most of that as it was. So a [Memo] keeps the
// classes of every kind of trouble, and the trials of every recipe, under a key that spells out all that they
// hang on; the same key gives the same classes, whatever else has changed.

// madeClass is a class of the model as it is kept: things by their number in index.things, central figures.
type madeClass struct {
	class  coverage.Class
	trials [2][]*trial // alone, together

	mu     sync.Mutex
	listed [2]*listing
}

// classesMade are the classes of one kind of trouble, by situation, for one way of being equipped.
type classesMade struct {
	mu    sync.Mutex
	class map[situation]*madeClass
}

func (m *classesMade) of(s situation, make func() *madeClass) *madeClass {
	m.mu.Lock()
	c := m.class[s]
	m.mu.Unlock()
	if c != nil {
		return c
	}
	c = make()
	m.mu.Lock()
	defer m.mu.Unlock()
	m.class[s] = c
	return c
}

// tries are the trials of one recipe for one way of being equipped.
type tries struct {
	mu   sync.Mutex
	list []oneTrial
}

func (t *tries) find(k *oneTrial) *trial {
	for i := range t.list {
		q := &t.list[i]
		if q.event == k.event && q.at == k.at && q.walk == k.walk && q.light == k.light {
			return q.t
		}
	}
	return nil
}

// of finds the trial of a situation or makes it.
func (t *tries) of(k oneTrial, make func() *trial) *trial {
	t.mu.Lock()
	found := t.find(&k)
	t.mu.Unlock()
	if found != nil {
		return found
	}
	k.t = make()
	t.mu.Lock()
	defer t.mu.Unlock()
	if other := t.find(&k); other != nil {
		return other
	}
	t.list = append(t.list, k)
	return k.t
}

// generations keep what was asked for lately: when the young ones are many, the old ones are forgotten.
type generations[V any] struct {
	young, old map[string]V
}

// get finds or makes the entry of a key; the key's bytes are not kept.
func (g *generations[V]) get(key []byte, most int, make func() V) V {
	if v, ok := g.young[string(key)]; ok {
		return v
	}
	v, ok := g.old[string(key)]
	if !ok {
		v = make()
	}
	if g.young == nil || len(g.young) >= most {
		g.old, g.young = g.young, map[string]V{}
	}
	g.young[string(key)] = v
	return v
}

// keptMade and keptTries bound the kept ways of being equipped: some dozens of edits of the load.
const keptMade, keptTries = 400, 1500

func newMade() *classesMade { return &classesMade{class: map[situation]*madeClass{}} }
func newTries() *tries      { return &tries{} }

// number gives every different key a number of its own; numbers are not used again.
func (m *Memo) number(key string) uint32 {
	m.mu.Lock()
	defer m.mu.Unlock()
	if n, ok := m.numbers[key]; ok {
		return n
	}
	if m.numbers == nil || len(m.numbers) > 4000 {
		m.numbers = map[string]uint32{}
	}
	m.lastNumber++
	m.numbers[key] = m.lastNumber
	return m.lastNumber
}

// tableNumber gives every table and index a number of its own while it is in use.
func (m *Memo) tableNumber(p any) uint32 {
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, q := range m.tables {
		if q.p == p {
			return q.n
		}
	}
	m.lastNumber++
	m.tables = append(m.tables[max(0, len(m.tables)-8):], numbered{p, m.lastNumber})
	return m.lastNumber
}

type numbered struct {
	p any
	n uint32
}

// trialFigures are the figures of the policy that trials read.
var trialFigures = []string{"margin_least", "margin_full", "jack_spread_m2", "jack_side_m", "jack_lift_m"}

// tablesKey spells out the tables and figures that trials rest on.
func (m *Memo) tablesKey(cat *catalogue.Catalogue, ix *index) uint32 {
	b := make([]byte, 0, 64)
	b = binary.LittleEndian.AppendUint32(b, m.tableNumber(ix))
	b = binary.LittleEndian.AppendUint32(b, m.tableNumber(cat.Recovery))
	for _, k := range trialFigures {
		b = appendFloat(b, cat.Figure(k).Central)
	}
	return m.number(string(b))
}

func appendFloat(b []byte, v float64) []byte {
	return binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
}

// handItems are the things beside skill and people that digging, boards and jacks ask for.
var handItems = []string{"shovel", "boards", "planks", "ground_mat"}

// shared gives outfits with the same gear the same memo of plans, and numbers what forces are reckoned from.
func (st *study) shared(o *outfit) *outfit {
	kit := kitKey(o)
	o.memo, o.plans = st.memo, st.memo.kit(st.cat.Recovery, kit)
	b := make([]byte, 0, 128)
	for _, v := range []float64{o.massKg, o.boardKg, o.jackKg, float64(o.people), drivenShare(o.vehicle)} {
		b = appendFloat(b, v)
	}
	for _, k := range handItems {
		i, ok := o.index(k)
		b = appendFloat(b, ofIndex(o.count, i, ok))
	}
	o.hands = st.memo.number(string(b))
	hands := len(b)
	b = append(b, kit...)
	if o.vehicle.Automatic {
		b = append(b, 'a')
	}
	o.gear = st.memo.number(string(b))
	if o.tether != nil {
		tied := append([]byte("tether"), o.tether.key()...)
		o.pulls = st.memo.kit(st.cat.Recovery, string(tied))
		o.tied = st.memo.number(string(append(tied, b[:hands]...)))
	}
	return o
}

func ofIndex(v []float64, i int, ok bool) float64 {
	if !ok {
		return 0
	}
	return v[i]
}

func bit(v bool) byte {
	if v {
		return 1
	}
	return 0
}

// byHand are the methods that ask for no chain of forces between vehicles, winches and anchors; byPartner those that ask
// the second vehicle's wheels for all of it.
var (
	byHand    = map[string]bool{"dig": true, "boards": true, "jack": true}
	byPartner = map[string]bool{"tow": true, "tug": true, "kinetic": true}
)

// recipeKey adds what a recipe asks of an outfit, and no more than that: what does not decide anything is left out, so
// that outfits in which a recipe comes out the same share what was worked out. With sites, how hard the outfit can winch
// there stands for its whole kit.
func recipeKey(b []byte, cat *catalogue.Catalogue, o *outfit, ri int, sites *winchSites) []byte {
	r := &cat.Recipes[ri]
	b = appendFloat(b, r.Minutes.Central)
	flags := byte(0)
	if o.partner != nil {
		flags |= 1
	}
	if o.people >= r.People {
		flags |= 2
	}
	if r.Skill >= 0 && o.skill[r.Skill] {
		flags |= 4
	}
	b = append(b, flags)
	tried := !(r.Partner && o.partner == nil) && o.people >= r.People && !(r.Skill >= 0 && !o.skill[r.Skill] && r.Unskilled == 0)
	for _, need := range r.Needs {
		met := slices.ContainsFunc(need, func(a catalogue.Portion) bool { return o.has(a) })
		tried = tried && met
		b = append(b, bit(met))
		for _, a := range need {
			if met {
				b = append(b, bit(o.has(a)))
			} else {
				b = appendFloat(b, o.count[a.Item])
			}
		}
	}
	// The forces are reckoned only where nothing else is in the way.
	switch {
	case !tried || r.Method == "" || r.Method == "air_down" || r.Method == "walk":
	case byHand[r.Method]:
		b = binary.LittleEndian.AppendUint32(b, o.hands)
	case byPartner[r.Method]:
		b = binary.LittleEndian.AppendUint32(b, o.tied)
	case sites != nil:
		b = sites.winchKey(b, cat, o, r)
	default:
		b = binary.LittleEndian.AppendUint32(b, o.gear)
	}
	return b
}

// madeOf is where the classes of an event are kept for the outfits at hand.
func (b *builder) madeOf(e int) *classesMade {
	if b.made == nil {
		b.made = make([]*classesMade, len(b.x.cat.Events))
	}
	if b.made[e] != nil {
		return b.made[e]
	}
	k := b.madeKey(b.key[:0], e, b.solo, b.both, b.sites)
	b.key = k
	b.made[e] = b.memo.made(k, b.sites != nil)
	return b.made[e]
}

// madeKey adds all that the classes of an event hang on with some outfits, of which both may be nil.
func (b *builder) madeKey(k []byte, e int, solo, both *outfit, sites *winchSites) []byte {
	cat := b.x.cat
	own, partner := b.beta(e)
	k = binary.LittleEndian.AppendUint32(k, b.tables)
	k = binary.LittleEndian.AppendUint32(k, uint32(e))
	k = appendFloat(appendFloat(k, own.Central), partner.Central)
	for _, ri := range b.byEvent[e] {
		k = appendFloat(k, cat.Recipes[ri].Chance.Central)
		k = recipeKey(k, cat, solo, ri, sites)
		if both != nil {
			k = recipeKey(k, cat, both, ri, sites)
		}
	}
	return k
}

// triesOf is where the trials of a recipe are kept for an outfit, 0 alone and 1 together.
func (b *builder) triesOf(k int, o *outfit, ri int) *tries {
	if b.tried[k] == nil {
		b.tried[k] = make([]*tries, len(b.x.cat.Recipes))
	}
	if b.tried[k][ri] != nil {
		return b.tried[k][ri]
	}
	key := binary.LittleEndian.AppendUint32(b.key[:0], b.tables)
	key = binary.LittleEndian.AppendUint32(key, uint32(ri))
	key = recipeKey(key, b.x.cat, o, ri, b.sites)
	b.key = key
	b.tried[k][ri] = b.memo.tries(key, b.sites != nil)
	return b.tried[k][ri]
}

// keptClasses are the classes and trials asked for lately.
type keptClasses struct {
	classes generations[*classesMade]
	trials  generations[*tries]
}

// keptBy are the classes kept with their words, or by their worth alone.
func (m *Memo) keptBy(worth bool) *keptClasses {
	if worth {
		return &m.worth
	}
	return &m.exact
}

func (m *Memo) made(key []byte, worth bool) *classesMade {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.keptBy(worth).classes.get(key, keptMade, newMade)
}

func (m *Memo) tries(key []byte, worth bool) *tries {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.keptBy(worth).trials.get(key, keptTries, newTries)
}

// siteKey names what the site of a kit hangs on.
type siteKey struct {
	hand, helper bool
	anchor, soil string
	ground       geo.Ground // under a vehicle that stands as an anchor
}

// rigger is a kit made ready for a site, and the greatest pull that it makes there, worked out once.
func (m *Memo) rigger(p *planMemo, k siteKey, find func() (*recovery.Rigger, error)) riggedSite {
	m.mu.Lock()
	r, ok := p.sites[k]
	m.mu.Unlock()
	if ok {
		return r
	}
	if r.rigger, r.err = find(); r.err == nil {
		r.kn, r.err = r.rigger.Capacity()
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	p.sites[k] = r
	return r
}

type riggedSite struct {
	rigger *recovery.Rigger
	kn     float64
	err    error
}
