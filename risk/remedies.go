package risk

import (
	"math"

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

// listingAt is what was tried against an event on the piece of a stretch where it costs most, nil when it costs nothing.
func (st *study) listingAt(e int, parts []pieceShare) *listing {
	i := st.worstPiece(e, parts)
	if i < 0 {
		return nil
	}
	c, ok := st.cellClass(e, i)
	if !ok {
		return nil
	}
	return st.listingOf(c)
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
