package risk

import "lastroad/risk/catalogue"

// remediesOf lists what was tried in a class of situations. Many legs share a class, and so share the list; it
// is not to be changed.
func (st *study) remediesOf(class int) []RemedyResult {
	k := 0
	if st.both != nil {
		k = 1
	}
	return st.b.from[class].remedies(k, st.cat)
}

// remedies lists what was tried, alone (0) or together (1). The list is made once and never changed.
func (m *madeClass) remedies(k int, cat *catalogue.Catalogue) []RemedyResult {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.listed[k] != nil {
		return m.listed[k]
	}
	ts := m.trials[k]
	out := make([]RemedyResult, 0, len(ts))
	for k := range ts {
		t := ts[k]
		r := &cat.Recipes[t.recipe]
		q := RemedyResult{Key: r.Key, Title: r.Title, Margin: t.str.margin(), Minutes: t.minute, Fails: t.fails.words(cat)}
		if t.usable {
			q.Chance = r.Chance.Central * t.scale
		}
		out = append(out, q)
	}
	m.listed[k] = out
	return out
}
