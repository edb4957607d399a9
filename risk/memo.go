package risk

import (
	"math"
	"sync"
	"time"

	"lastroad/geo"
	"lastroad/risk/catalogue"
	"lastroad/risk/recovery"
	"lastroad/risk/supply"
)

// Memo keeps what does not change from one judgement to the next: the pieces and bare counts of a route,
// planned rigs by gear and state, and the sun's times by day and place. A caller who judges again after every
// change passes the same one each time; it changes no result as long as a survey or catalogue is not changed
// after it was handed in. It is safe for use by several goroutines. The zero value is ready.
type Memo struct {
	mu       sync.Mutex
	recovery *recovery.Tables // the tables the rigs were planned with
	plans    map[string]*planMemo
	planned  int // entries of plans, all kits together
	sun      map[sunKey]sunTimes
	pulls    map[recovery.Stuck]pullAsked
	digs     map[digKey]float64
	fuels    []fuelUse // newest last
	laid     []*bare   // the last few routes and tables, newest last
	indexes  []catIndex

	numbers    map[string]uint32
	tables     []numbered
	lastNumber uint32
	clocks     []clockUse // newest last
	classes    generations[*classesMade]
	trials     generations[*tries]
}

type pullAsked struct {
	pull recovery.Pull
	err  error
}

// pull is the pull that a state asks for; its steps in words are made once.
func (m *Memo) pull(t *recovery.Tables, s recovery.Stuck) (recovery.Pull, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.forget(t)
	p, ok := m.pulls[s]
	if !ok {
		p.pull, p.err = t.RequiredPull(s)
		if len(m.pulls) < 4000 {
			m.pulls[s] = p
		}
	}
	return p.pull, p.err
}

// keptPlans bounds the kept plans: about a kilobyte each, and some hundred more with every other mass of the vehicle.
const keptPlans = 20_000

// forget drops what rests on other recovery tables, and all plans when they are too many.
func (m *Memo) forget(t *recovery.Tables) {
	if m.recovery != t || m.plans == nil || len(m.plans) > 4000 || m.planned > keptPlans {
		m.recovery, m.plans, m.planned, m.pulls = t, map[string]*planMemo{}, 0, map[recovery.Stuck]pullAsked{}
		m.digs = map[digKey]float64{}
	}
}

// digKey is a piece of digging.
type digKey struct {
	stuck          recovery.Stuck
	to             recovery.Depth
	people, spades int
}

// dig is the minutes of a piece of digging.
func (m *Memo) dig(t *recovery.Tables, k digKey) float64 {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.forget(t)
	min, ok := m.digs[k]
	if !ok {
		if d, err := t.Dig(k.stuck, k.to, k.people, k.spades); err == nil {
			min = d.CentralMin
		}
		if len(m.digs) < 4000 {
			m.digs[k] = min
		}
	}
	return min
}

// fuelKey is all that the use of fuel along a route hangs on; sum stands for the refills and the masses.
type fuelKey struct {
	survey  *geo.Survey
	tables  *supply.Tables
	vehicle supply.FuelVehicle
	kg      float64
	perL    float64
	sum     uint64
}

type fuelUse struct {
	key           fuelKey
	forward, back []supply.Band
}

// keptFuels is how many are kept: both vehicles, with and without a roof load, before and after an edit.
const keptFuels = 8

func (m *Memo) fuel(k fuelKey, find func() (forward, back []supply.Band)) (forward, back []supply.Band) {
	m.mu.Lock()
	for _, u := range m.fuels {
		if u.key == k {
			m.mu.Unlock()
			return u.forward, u.back
		}
	}
	m.mu.Unlock()
	forward, back = find()
	m.mu.Lock()
	defer m.mu.Unlock()
	m.fuels = append(m.fuels[max(0, len(m.fuels)-keptFuels+1):], fuelUse{k, forward, back})
	return forward, back
}

type clockUse struct {
	key clockKey
	clocked
}

// keptClocks is how many plans of days are kept: both crews, before and after an edit.
const keptClocks = 4

func (m *Memo) clock(k clockKey, find func() clocked) clocked {
	m.mu.Lock()
	for _, c := range m.clocks {
		if c.key == k {
			m.mu.Unlock()
			return c.clocked
		}
	}
	m.mu.Unlock()
	c := find()
	m.mu.Lock()
	defer m.mu.Unlock()
	m.clocks = append(m.clocks[max(0, len(m.clocks)-keptClocks+1):], clockUse{k, c})
	return c
}

// fnvFloats is the 64-bit FNV-1a hash of the bits of v, word by word.
func fnvFloats(v []float64) uint64 {
	h := uint64(14695981039346656037)
	for _, x := range v {
		h = (h ^ math.Float64bits(x)) * 1099511628211
	}
	return h
}

type catIndex struct {
	cat *catalogue.Catalogue
	ix  *index
}

// keptGrounds is how many routes and catalogues a memo keeps: the one at hand and the one before the last edit.
const keptGrounds = 3

// ground gives what a route and the tables alone say. Surveys and catalogues are taken never to change.
func (m *Memo) ground(s *geo.Survey, cat *catalogue.Catalogue) (*index, *bare) {
	m.mu.Lock()
	defer m.mu.Unlock()
	var ix *index
	for _, k := range m.indexes {
		if k.cat == cat {
			ix = k.ix
		}
	}
	if ix == nil {
		ix = newIndex(cat)
		m.indexes = append(m.indexes[max(0, len(m.indexes)-keptGrounds+1):], catIndex{cat, ix})
	}
	var facts *routeFacts
	for _, b := range m.laid {
		if b.survey == s {
			facts = b.facts
			if b.cat == cat {
				return ix, b
			}
		}
	}
	if facts == nil {
		facts = newRouteFacts(s)
	}
	b := layBare(s, cat, facts)
	m.laid = append(m.laid[max(0, len(m.laid)-keptGrounds+1):], b)
	return ix, b
}

type sunKey struct {
	year, day, offset int
	lon, lat          int // in tenths of a degree: a tenth moves sunset by less than a minute
}

type sunTimes struct {
	rise, set time.Time
	ok        bool
}

// planMemo keeps the plans of one kit: the same state, winch and anchor come up for many recipes.
type planMemo struct {
	done map[planKey]strength
	caps map[capKey]capped
	need map[pullKey]*PullNeed
}

// pullKey names a design recovery of a kit.
type pullKey struct {
	stuck    recovery.Stuck
	together bool
}

func (m *Memo) pullNeed(p *planMemo, k pullKey) (n *PullNeed, ok bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	n, ok = p.need[k]
	return n, ok
}

func (m *Memo) keepPullNeed(p *planMemo, k pullKey, n *PullNeed) {
	m.mu.Lock()
	defer m.mu.Unlock()
	p.need[k] = n
	m.planned++
}

func newPlanMemo() *planMemo {
	return &planMemo{done: map[planKey]strength{}, caps: map[capKey]capped{}, need: map[pullKey]*PullNeed{}}
}

// kit gives the memo of a kit, forgetting all when the tables are others.
func (m *Memo) kit(t *recovery.Tables, key string) *planMemo {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.forget(t)
	p, ok := m.plans[key]
	if !ok {
		p = newPlanMemo()
		m.plans[key] = p
	}
	return p
}

func (m *Memo) plan(p *planMemo, k planKey) (strength, bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	s, ok := p.done[k]
	return s, ok
}

func (m *Memo) keep(p *planMemo, k planKey, s strength) {
	m.mu.Lock()
	defer m.mu.Unlock()
	p.done[k] = s
	m.planned++
}

func (m *Memo) times(k sunKey, find func() sunTimes) sunTimes {
	m.mu.Lock()
	t, ok := m.sun[k]
	m.mu.Unlock()
	if ok {
		return t
	}
	t = find()
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.sun == nil || len(m.sun) > 4000 {
		m.sun = map[sunKey]sunTimes{}
	}
	m.sun[k] = t
	return t
}
