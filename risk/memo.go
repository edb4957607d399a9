package risk

import (
	"sync"
	"time"

	"lastroad/risk/recovery"
)

// Memo keeps what does not change from one judgement to the next: planned rigs by gear and state, and the
// sun's times by day and place. A caller who judges again after every change passes the same one each time;
// it changes no result. It is safe for use by several goroutines. The zero value is ready.
type Memo struct {
	mu       sync.Mutex
	recovery *recovery.Tables // the tables the rigs were planned with
	plans    map[string]*planMemo
	sun      map[sunKey]sunTimes
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
type planMemo struct{ done map[planKey]strength }

// kit gives the memo of a kit, forgetting all when the tables are others.
func (m *Memo) kit(t *recovery.Tables, key string) *planMemo {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.recovery != t || m.plans == nil || len(m.plans) > 4000 {
		m.recovery, m.plans = t, map[string]*planMemo{}
	}
	p, ok := m.plans[key]
	if !ok {
		p = &planMemo{done: map[planKey]strength{}}
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
