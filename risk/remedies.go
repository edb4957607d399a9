package risk

import (
	"math"
	"slices"

	"lastroad/risk/catalogue"
)

// listing is what was tried in a class of situations, in words. Many legs share a class, and so share the listing; it is
// made once and never changed.
type listing struct {
	remedies []RemedyResult
	// leastMin is the minutes of the shortest remedy that can be used, +Inf when there is none.
	leastMin float64
	// inTheWay says why trouble is not ended for sure: what the first remedy lacks, when none can be used.
	inTheWay string
}

// listingOf is what was tried in a class of the model.
func (st *study) listingOf(class int) *listing {
	k := 0
	if st.both != nil {
		k = 1
	}
	return st.b.from[class].list(k, st.cat)
}

// costliest is the class in which an event costs most on a stretch, -1 when it costs nothing, and what was tried there.
type costliest struct {
	class int
	tried *listing
}

// costliestOf finds it for every event. The answer lasts until the next stretch is asked for.
func (st *study) costliestOf(parts []pieceShare) []costliest {
	st.worst = slices.Grow(st.worst[:0], len(st.cat.Events))[:len(st.cat.Events)]
	for e := range st.worst {
		st.worst[e] = costliest{class: -1}
		if i := st.worstPiece(e, parts); i >= 0 {
			if c, ok := st.cellClass(e, i); ok {
				st.worst[e] = costliest{c, st.listingOf(c)}
			}
		}
	}
	return st.worst
}

// list gives the listing of a class, alone (0) or together (1).
func (m *madeClass) list(k int, cat *catalogue.Catalogue) *listing {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.listed[k] != nil {
		return m.listed[k]
	}
	ts := m.trials[k]
	l := &listing{remedies: make([]RemedyResult, len(ts)), leastMin: math.Inf(1)}
	usable, refused := false, -1
	for i, t := range ts {
		r := &cat.Recipes[t.recipe]
		q := &l.remedies[i]
		*q = RemedyResult{Key: r.Key, Title: r.Title, Margin: t.str.margin(), Minutes: t.minute, Fails: t.words(cat)}
		if t.usable {
			q.Chance = r.Chance.Central * t.scale
		}
		if q.Fails == "" && q.Minutes > 0 {
			l.leastMin = min(l.leastMin, q.Minutes)
		}
		usable = usable || t.usable
		if refused < 0 && t.fails.kind != noRefusal {
			refused = i
		}
	}
	switch {
	case usable:
		l.inTheWay = "what is carried may fail"
	case refused >= 0:
		l.inTheWay = l.remedies[refused].Fails
	}
	m.listed[k] = l
	return l
}
