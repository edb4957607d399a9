package catalogue

import (
	"fmt"
	"slices"

	"lastroad/geo"
)

// Entry is one number of the tables, for the list of assumptions.
type Entry struct {
	// Key names the number for good: "rate/tyre/sand", "chance/plug", "policy/rescue_cost", "item/shovel/mass_kg".
	Key, Title string
	File       string // table it stands in
	Figure     geo.Figure
	// Least and Most bound what a user may put in its place; both 0 when it cannot be changed alone
	// (the shares of a hazard must keep adding up to 1).
	Least, Most float64
}

// Register lists every number of the tables of this package, in file order. The tables of recovery,
// tyres, supplies and vehicles have lists of their own.
func (c *Catalogue) Register() []Entry {
	var out []Entry
	c.numbers(func(e Entry, _ func(geo.Figure)) { out = append(out, e) })
	return out
}

// numbers calls yield with every number and a function that replaces it in c.
func (c *Catalogue) numbers(yield func(e Entry, set func(geo.Figure))) {
	figure := func(key, title, file string, f *geo.Figure, least, most float64) {
		yield(Entry{key, title, file, *f, least, most}, func(v geo.Figure) { *f = v })
	}
	plain := func(key, title, unit string, v *float64, from *geo.Provenance, source *string, most float64) {
		yield(Entry{key, title, "items.toml", geo.Figure{Low: *v, Central: *v, High: *v, Unit: unit, From: *from, Source: *source}, 0, most},
			func(f geo.Figure) { *v, *from, *source = f.Central, f.From, f.Source })
	}
	for i := range c.Items {
		it := &c.Items[i]
		plain("item/"+it.Key+"/mass_kg", it.Title+": mass", "kg", &it.MassKg, &it.From, &it.Source, 500)
		if it.Force {
			plain("item/"+it.Key+"/rating_kn", it.Title+": working load", "kN", &it.RatingKN, &it.From, &it.Source, 500)
		}
	}
	for i := range c.Factors {
		f := &c.Factors[i]
		for g := geo.Sealed; g < geo.NumGrounds; g++ {
			least, most := 1.0, 1000.0
			if f.Most[g].Central < 1 {
				least, most = 0, 1
			}
			figure("factor/"+f.Key+"/"+g.Key(), f.Title+" on "+g.String(), "factors.toml", &f.Most[g], least, most)
		}
	}
	for i := range c.Hazards {
		h := &c.Hazards[i]
		for g := geo.Sealed; g < geo.NumGrounds; g++ {
			yield(Entry{"rate/" + h.Key + "/" + g.Key(), h.Title + " on " + g.String() + ", median per " + h.Per, "hazards.toml", h.Rate[g], 0, 1000},
				func(v geo.Figure) { h.put(g, v) })
		}
	}
	for i := range c.Events {
		e := &c.Events[i]
		for g := geo.Sealed; g < geo.NumGrounds; g++ {
			figure("share/"+e.Key+"/"+g.Key(), e.Title+": share of "+c.Hazards[e.Hazard].Title+" on "+g.String(), "hazards.toml", &e.Share[g], 0, 0)
		}
	}
	for i := range c.Recipes {
		r := &c.Recipes[i]
		figure("chance/"+r.Key, "chance: "+r.Title, "recipes.toml", &r.Chance, 0, 1)
		figure("minutes/"+r.Key, "minutes: "+r.Title, "recipes.toml", &r.Minutes, 0, 1e5)
	}
	for _, k := range policyKeys {
		f := c.Policy.Figures[k.key]
		yield(Entry{"policy/" + k.key, k.key, "policy.toml", f, k.least, k.most}, func(v geo.Figure) { c.Policy.Figures[k.key] = v })
	}
	for _, k := range sortedKeys(c.Policy.Beta) {
		b := c.Policy.Beta[k]
		yield(Entry{"beta/" + k + "/own", "common cause of failing remedies: " + k, "policy.toml", b.Own, 0, 1}, func(v geo.Figure) { b.Own = v; c.Policy.Beta[k] = b })
		yield(Entry{"beta/" + k + "/partner", "one cause takes both vehicles: " + k, "policy.toml", b.Partner, 0, 1}, func(v geo.Figure) { b.Partner = v; c.Policy.Beta[k] = b })
	}
	for g := geo.Sealed; g < geo.NumGrounds; g++ {
		figure("anchor/"+g.Key(), "natural anchor in reach on "+g.String(), "policy.toml", &c.Policy.Anchor[g], 0, 1)
	}
}

// Override is a user's own figure in the place of a table's.
type Override struct {
	Key                string
	Low, Central, High float64 // Low = High = 0 means no band: both are Central
}

// With returns a copy of c with the overrides in place, marked as the user's. It refuses an unknown key,
// a number outside its permitted range (and says the range), an order other than low <= central <= high,
// and the shares of a hazard, which cannot be changed one by one. c itself is not changed.
func (c *Catalogue) With(overrides []Override) (*Catalogue, error) {
	if len(overrides) == 0 {
		return c, nil
	}
	n := c.clone()
	want := map[string]Override{}
	for _, o := range overrides {
		want[o.Key] = o
	}
	var fault error
	n.numbers(func(e Entry, set func(geo.Figure)) {
		o, ok := want[e.Key]
		if !ok || fault != nil {
			return
		}
		delete(want, e.Key)
		if o.Low == 0 && o.High == 0 {
			o.Low, o.High = o.Central, o.Central
		}
		f := geo.Figure{Low: o.Low, Central: o.Central, High: o.High, Unit: e.Figure.Unit, From: geo.FromUser, Source: "set by the user; the table has " + fmt.Sprintf("%g", e.Figure.Central)}
		switch err := f.Check(); {
		case err != nil:
			fault = &geo.InputError{Where: e.Key, Reason: err.Error()}
		case e.Least == 0 && e.Most == 0:
			fault = &geo.InputError{Where: e.Key, Reason: "shares must keep adding up to 1 and cannot be changed one by one", Remedy: "change the rate of the hazard"}
		case f.Low < e.Least || f.High > e.Most:
			fault = &geo.InputError{Where: e.Key, Reason: fmt.Sprintf("%g to %g is outside the permitted %g to %g %s", f.Low, f.High, e.Least, e.Most, e.Figure.Unit)}
		default:
			set(f)
		}
	})
	if fault != nil {
		return nil, fault
	}
	for _, k := range sortedKeys(want) {
		return nil, &geo.InputError{Where: k, Reason: "no number of the tables has this key"}
	}
	return n, nil
}

// clone copies what With may change.
func (c *Catalogue) clone() *Catalogue {
	n := *c
	n.Items, n.Factors, n.Hazards = slices.Clone(c.Items), slices.Clone(c.Factors), slices.Clone(c.Hazards)
	n.Events, n.Recipes = slices.Clone(c.Events), slices.Clone(c.Recipes)
	for i := range n.Hazards {
		if h := &n.Hazards[i]; h.Prior != nil {
			prior := *h.Prior
			h.Prior = &prior
		}
	}
	n.Policy.Figures = make(map[string]geo.Figure, len(c.Policy.Figures))
	for k, v := range c.Policy.Figures {
		n.Policy.Figures[k] = v
	}
	n.Policy.Beta = make(map[string]Common, len(c.Policy.Beta))
	for k, v := range c.Policy.Beta {
		n.Policy.Beta[k] = v
	}
	return &n
}
