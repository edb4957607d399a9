package risk

import (
	"math"
	"sort"

	"lastroad/risk/coverage"
)

// judged reports whether the model has any use for an item: a recipe asks for it, it calls for help, or
// it lets the party wait longer.
func (st *study) judged(item int) bool {
	it := &st.cat.Items[item]
	if it.Comms != "" || st.index.unit[item] > 0 {
		return true
	}
	for _, w := range waitItems {
		if it.Key == w.item {
			return true
		}
	}
	for _, k := range it.Contains {
		if j, ok := st.cat.ItemIndex(k); ok && st.judged(j) {
			return true
		}
	}
	_, gear := gearKinds[it.Key]
	return gear || it.Key == "fuel" || it.Key == "fuel_can" || it.Key == "shade" || it.Key == "tarp"
}

// stay works out, for every kind of thing carried, what its absence would cost. stops are those of the trip as it is.
func (st *study) stay(stops map[[2]any]string, same *partnerBefore) ([]StayHome, error) {
	seen := map[string]bool{}
	var out []StayHome
	for _, l := range st.trip.Party.Load {
		i, ok := st.cat.ItemIndex(l.Item)
		if !ok || seen[l.Item] {
			continue
		}
		seen[l.Item] = true
		t := st.trip
		t.Party.Load = nil
		kg := 0.0
		for _, k := range st.trip.Party.Load {
			if k.Item != l.Item {
				t.Party.Load = append(t.Party.Load, k)
				continue
			}
			m := k.MassKg
			if m == 0 {
				m = st.cat.Items[i].MassKg
			}
			kg += m * k.Count
		}
		h := StayHome{Item: l.Item, Title: st.cat.Items[i].Title, Kg: kg}
		if !st.judged(i) {
			h.RAW, h.Unvalued, h.Why = 1, true, "the model does not value it: whether it may stay is your own judgement"
			if why := unvalued(&st.cat.Items[i]); why != "" {
				h.Why = why + ": whether it may stay is your own judgement"
			}
			out = append(out, h)
			continue
		}
		v, err := st.instead(t, false, same)
		if err != nil {
			return nil, err
		}
		h.Cost = st.res.Readiness() - v.res.Readiness()
		h.RAW = 1
		if st.res.U > 0 {
			h.RAW = v.res.U / st.res.U
		}
		fresh := ""
		for k, text := range v.stops(v.trip) {
			if _, had := stops[k]; !had && (fresh == "" || text < fresh) {
				fresh = text
			}
		}
		v.release()
		switch {
		case fresh != "":
			h.Why = "without it: " + fresh
		case h.Cost > 1e-9:
			h.Why = "lowers the trouble"
		case unvalued(&st.cat.Items[i]) != "":
			h.Unvalued, h.Why = true, unvalued(&st.cat.Items[i])+": whether it may stay is your own judgement"
		default:
			h.MayStay, h.Why = true, "nothing on this trip rests on it as the load is now"
		}
		out = append(out, h)
	}
	sort.SliceStable(out, func(a, b int) bool {
		ra, rb := (out[a].RAW-1)/math.Max(out[a].Kg, 0.01), (out[b].RAW-1)/math.Max(out[b].Kg, 0.01)
		return ra > rb
	})
	return out, nil
}

// stops are the stops of a trip by key and leg.
func (st *study) stops(t Trip) map[[2]any]string {
	v := st
	q := st.opts.Quick
	v.opts.Quick, v.lean = true, true
	j := v.judgement()
	v.opts.Quick, v.lean = q, false
	out := map[[2]any]string{}
	add := func(fs []Finding) {
		for _, f := range fs {
			if f.Severity == Stop {
				out[[2]any{f.Key, f.Leg}] = f.Text
			}
		}
	}
	add(j.Findings)
	for i := range j.Legs {
		add(j.Legs[i].Findings)
	}
	return out
}

// learn works out what a skill that nobody has would win.
func (st *study) learn(same *partnerBefore) []Suggestion {
	var out []Suggestion
	for k := range st.cat.Skills {
		if st.solo.skill[k] {
			continue
		}
		t := st.trip
		t.Party.People = append([]Person(nil), st.trip.Party.People...)
		at := -1
		for i, p := range t.Party.People {
			if p.AgeY == 0 || p.AgeY >= ableFrom {
				at = i
				break
			}
		}
		if at < 0 {
			return nil
		}
		t.Party.People[at].Skills = append(append([]string(nil), t.Party.People[at].Skills...), st.cat.Skills[k].Key)
		v, err := st.instead(t, true, same)
		if err != nil {
			return out
		}
		if g := v.res.Readiness() - st.res.Readiness(); g >= trifle {
			out = append(out, Suggestion{Title: "somebody learns " + st.cat.Skills[k].Title, Gain: g, Likely: math.NaN()})
		}
		v.release()
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].Gain > out[b].Gain })
	return out
}

// singlePoints lists the troubles whose every usable remedy rests on one thing.
func (st *study) singlePoints() []SinglePoint {
	var out []SinglePoint
	for e := range st.cat.Events {
		shared := map[int]int{}
		usable, classes := 0, 0
		for c, s := range st.b.sit {
			if s.event != e {
				continue
			}
			classes++
			k := 0
			if st.both != nil {
				k = 1
			}
			for _, t := range st.b.trials[c][k] {
				if !t.usable {
					continue
				}
				usable++
				for _, n := range st.cat.Recipes[t.recipe].Needs {
					// A need is a single point only when one alternative alone is at hand.
					have := -1
					for _, a := range n {
						if st.solo.count[a.Item] >= a.Count {
							if have >= 0 {
								have = -2
								break
							}
							have = a.Item
						}
					}
					if have >= 0 {
						shared[have]++
					}
				}
			}
		}
		if usable == 0 {
			continue
		}
		mean := 0.0
		var legs []int
		for i := range st.survey.Legs {
			m := st.tallyOf(st.legShares(i)).events[e].mean
			mean += m
			if m > 1e-5 {
				legs = append(legs, i)
			}
		}
		for i := range st.cat.Items {
			if shared[i] == usable && mean > 1e-5 {
				out = append(out, SinglePoint{Event: st.cat.Events[e].Key, Title: st.cat.Events[e].Title, Item: st.cat.Items[i].Key, Thing: st.cat.Items[i].Title, Legs: legs, Mean: mean})
			}
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].Mean > out[b].Mean })
	return out
}

// troubleShares are the shares of the kinds of trouble in the whole, of the trip and of each leg.
func (st *study) troubleShares() []TroubleShare {
	whole := st.tallyOf(st.wholeTrip())
	legs := make([]tally, len(st.survey.Legs))
	for i := range legs {
		legs[i] = st.tallyOf(st.legShares(i))
	}
	var out []TroubleShare
	for e := range whole.events {
		if whole.events[e].u <= 0 {
			continue
		}
		s := TroubleShare{Event: st.cat.Events[e].Key, Title: st.cat.Events[e].Title, Share: coverage.FussellVesely(whole.events[e].u, whole.res.U)}
		for i := range legs {
			s.Legs = append(s.Legs, coverage.FussellVesely(legs[i].events[e].u, legs[i].res.U))
		}
		out = append(out, s)
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].Share > out[b].Share })
	return out
}
