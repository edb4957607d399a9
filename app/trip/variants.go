package trip

import (
	"fmt"
	"strings"

	"lastroad/geo"
	"lastroad/risk"
)

// Compare says what is set side by side: the trip alone, together with its second vehicle, and kept variants.
type Compare struct {
	NoAlone    bool      `toml:"no_alone,omitempty"`
	NoTogether bool      `toml:"no_together,omitempty"`
	Variants   []Variant `toml:"variants,omitempty"`
}

// Variant is another party, load or season for the same route, kept under a name.
type Variant struct {
	Name string    `toml:"name"`
	Trip risk.Trip `toml:"trip"`
	Off  bool      `toml:"off,omitempty"` // kept, and not compared at present
}

// MostKept bounds how many variants are kept.
const MostKept = 8

// Columns are the variants to compare for a plan, in their order, at most [risk.MostVariants]. alone and
// together are the names of the first two; their trips are judged as they stand in the plan.
func (p *Plan) Columns(alone, together string) []risk.Variant {
	var out []risk.Variant
	add := func(name string, t risk.Trip) {
		if len(out) < risk.MostVariants {
			out = append(out, risk.Variant{Name: name, Trip: p.Judged(t)})
		}
	}
	t := p.Trip
	if !p.Compare.NoAlone {
		t.Together = false
		add(alone, t)
	}
	if !p.Compare.NoTogether && t.Partner != nil {
		t.Together = true
		add(together, t)
	}
	for _, v := range p.Compare.Variants {
		if !v.Off {
			add(v.Name, v.Trip)
		}
	}
	return out
}

// Compared counts the columns that are switched on, also those beyond the most that fit.
func (p *Plan) Compared() int {
	n := 0
	if !p.Compare.NoAlone {
		n++
	}
	if !p.Compare.NoTogether && p.Trip.Partner != nil {
		n++
	}
	for _, v := range p.Compare.Variants {
		if !v.Off {
			n++
		}
	}
	return n
}

func (c Compare) check() error {
	if len(c.Variants) > MostKept {
		return &geo.InputError{Where: "compare", Reason: fmt.Sprintf("%d variants are kept, at most %d are", len(c.Variants), MostKept)}
	}
	seen := map[string]bool{}
	for _, v := range c.Variants {
		name := strings.TrimSpace(v.Name)
		switch {
		case name == "":
			return &geo.InputError{Where: "compare", Reason: "a variant has no name"}
		case seen[name]:
			return &geo.InputError{Where: "compare", Reason: fmt.Sprintf("two variants are called %q", name), Remedy: "give each a name of its own"}
		}
		seen[name] = true
	}
	return nil
}

func (c Compare) clone() Compare {
	c.Variants = append([]Variant(nil), c.Variants...)
	for i := range c.Variants {
		c.Variants[i].Trip = cloneTrip(c.Variants[i].Trip)
	}
	return c
}

func cloneTrip(t risk.Trip) risk.Trip {
	t.Party = cloneParty(t.Party)
	if t.Partner != nil {
		q := cloneParty(*t.Partner)
		t.Partner = &q
	}
	return t
}

// TakeVariant reads the party, load and season of a saved trip as a variant of p, with the own items that it
// needs. name is "" for the trip's own name or its file's.
func (p *Plan) TakeVariant(from Plan, name string) (Variant, error) {
	q := from.Clone()
	v := Variant{Name: firstText(strings.TrimSpace(name), q.Trip.Name, strings.TrimSuffix(q.RouteName, ".gpx"), "variant"), Trip: q.Trip}
	v.Trip.Name = ""
	renamed := map[string]string{}
	for _, o := range q.Own {
		have, ok := p.OwnItem(o.Key)
		switch {
		case !ok:
			p.Own = append(p.Own, o)
		case *have != o: // another thing under the same key
			key := OwnKey(o.Title, append(append([]OwnItem(nil), p.Own...), q.Own...))
			renamed[o.Key] = key
			o.Key = key
			p.Own = append(p.Own, o)
		}
	}
	for _, party := range []*risk.Party{&v.Trip.Party, v.Trip.Partner} {
		if party == nil {
			continue
		}
		for i := range party.Load {
			if k, ok := renamed[party.Load[i].Item]; ok {
				party.Load[i].Item = k
			}
		}
	}
	v.Name = p.freeName(v.Name)
	return v, nil
}

// freeName is name, with a number behind it when a variant has it already.
func (p *Plan) freeName(name string) string {
	for n, try := 2, name; ; n++ {
		taken := false
		for _, v := range p.Compare.Variants {
			taken = taken || v.Name == try
		}
		if !taken {
			return try
		}
		try = fmt.Sprintf("%s %d", name, n)
	}
}

// KeepVariant adds the trip as it is now to the kept variants, under name.
func (p *Plan) KeepVariant(name string) {
	v := Variant{Name: p.freeName(name), Trip: cloneTrip(p.Trip)}
	v.Trip.Name = ""
	p.Compare.Variants = append(p.Compare.Variants, v)
}

// TakeUp makes the variant i the trip as it is, under the trip's own name. The trip as it was takes the
// variant's place under the name given, so that nothing is lost. An i that is none changes nothing.
func (p *Plan) TakeUp(i int, name string) {
	if i < 0 || i >= len(p.Compare.Variants) {
		return
	}
	old := cloneTrip(p.Trip)
	title := old.Name
	old.Name = ""
	p.Trip = cloneTrip(p.Compare.Variants[i].Trip)
	p.Trip.Name = title
	p.Compare.Variants[i].Name = ""
	p.Compare.Variants[i] = Variant{Name: p.freeName(name), Trip: old}
}
