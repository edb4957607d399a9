package risk

// remediesOf lists what was tried in a class of situations. Many legs share a class, and so share the list; it
// is not to be changed.
func (st *study) remediesOf(class int) []RemedyResult {
	if st.listed == nil {
		st.listed = make([][]RemedyResult, len(st.b.trials))
	}
	if st.listed[class] != nil {
		return st.listed[class]
	}
	ts := st.b.trials[class][0]
	if st.both != nil {
		ts = st.b.trials[class][1]
	}
	out := make([]RemedyResult, 0, len(ts))
	for k := range ts {
		t := ts[k]
		r := &st.cat.Recipes[t.recipe]
		q := RemedyResult{Key: r.Key, Title: r.Title, Margin: t.str.Margin, Minutes: t.minute, Fails: t.fails.words(st.cat)}
		if t.usable {
			q.Chance = r.Chance.Central * t.scale
		}
		out = append(out, q)
	}
	st.listed[class] = out
	return out
}
