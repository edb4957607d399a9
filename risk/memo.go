package risk

import (
	"math"
	"slices"
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
	fuels    latest[fuelKey, fuelAlong]
	waters   latest[waterKey, waterAlong]
	clocks   latest[clockKey, clocked]
	laid     []*bare // the last few routes and tables, newest last
	indexes  []catIndex

	numbers    map[string]uint32
	tables     []numbered
	lastNumber uint32
	exact      keptClasses
	worth      keptClasses
	sites      latest[sitesKey, *winchSites]
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

// fuelAlong is the use of fuel along a route, litres to and back from every sample.
type fuelAlong struct {
	forward, back []supply.Band
	out, home     []float64 // their central values
}

func newFuelAlong(forward, back []supply.Band) fuelAlong {
	u := fuelAlong{forward, back, make([]float64, len(forward)), make([]float64, len(back))}
	for i := range forward {
		u.out[i], u.home[i] = forward[i].Central, back[i].Central
	}
	return u
}

// latest keeps the last few answers to what is asked again and again, newest last.
type latest[K comparable, V any] struct {
	keys   []K
	values []V
}

func (l *latest[K, V]) get(k K) (v V, ok bool) {
	if i := slices.Index(l.keys, k); i >= 0 {
		return l.values[i], true
	}
	return v, false
}

func (l *latest[K, V]) keep(k K, v V, most int) {
	from := max(0, len(l.keys)-most+1)
	l.keys, l.values = append(l.keys[from:], k), append(l.values[from:], v)
}

// of finds the answer to k or works it out, which may happen twice at once.
func of[K comparable, V any](m *Memo, l *latest[K, V], k K, most int, find func() V) V {
	m.mu.Lock()
	v, ok := l.get(k)
	m.mu.Unlock()
	if ok {
		return v
	}
	v = find()
	m.mu.Lock()
	defer m.mu.Unlock()
	l.keep(k, v, most)
	return v
}

// keptFuels is how many uses of fuel are kept: both vehicles, with and without a roof load, before and after an edit.
// keptClocks and keptWaters are how many plans of days and uses of water: both crews, before and after an edit.
const (
	keptFuels  = 8
	keptClocks = 4
	keptWaters = 6
)

func (m *Memo) fuel(k fuelKey, find func() fuelAlong) fuelAlong {
	return of(m, &m.fuels, k, keptFuels, find)
}

func (m *Memo) water(k waterKey, find func() waterAlong) waterAlong {
	return of(m, &m.waters, k, keptWaters, find)
}

func (m *Memo) clock(k clockKey, find func() clocked) clocked {
	return of(m, &m.clocks, k, keptClocks, find)
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
	year, day int
	zone      zoneKey
	lon, lat  int // in tenths of a degree: a tenth moves sunset by less than a minute
}

type sunTimes struct {
	rise, set time.Time
	ok        bool
}

// planMemo keeps the plans of one kit: the same state, winch and anchor come up for many recipes.
type planMemo struct {
	done  map[planKey]strength
	sites map[siteKey]riggedSite
	need  map[pullKey]*PullNeed
	worth map[worthKey][]byte
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
	return &planMemo{done: map[planKey]strength{}, sites: map[siteKey]riggedSite{}, need: map[pullKey]*PullNeed{}, worth: map[worthKey][]byte{}}
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
