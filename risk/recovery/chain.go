package recovery

import (
	"cmp"
	"fmt"
	"math/bits"
	"slices"
)

// A unit is one piece of gear with what it bears.
type unit struct {
	gear  *Gear
	limit float64
	how   string
	n     int // its number in the pool
}

// A slot is a place in the chain that needs a piece.
type slot struct {
	key, title string
	class      class
	place      string // points: "front", "rear", "own" (either end) or "partner"
	force      float64
	factor     float64 // on the piece's limit: 1.73 for a strap in a basket hitch
	note       string  // on the factor
	forTrunk   bool    // only flat straps and slings
}

// pool is the usable gear, strongest first, and what was left out.
type pool struct {
	units   [numClasses][]unit
	leftOut []LeftOut
	damper  bool
	order   []int  // scratch of fill
	used    []bool // scratch of fill: by number of the unit
}

// sortGear gives the same order whatever the order of the list.
func sortGear(a, b *Gear) int {
	return cmp.Or(cmp.Compare(a.Key, b.Key), cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Name, b.Name), cmp.Compare(a.Place, b.Place),
		cmp.Compare(b.LengthM, a.LengthM), cmp.Compare(b.SheaveMM, a.SheaveMM), cmp.Compare(a.WLLKN, b.WLLKN), cmp.Compare(a.MBSKN, b.MBSKN))
}

func (t *Tables) pool(kit Kit) (pool, error) {
	var p pool
	list := make([]*Gear, len(kit.Gear))
	for i := range kit.Gear {
		if err := kit.Gear[i].check(); err != nil {
			return p, err
		}
		list[i] = &kit.Gear[i]
	}
	slices.SortStableFunc(list, sortGear)
	for _, g := range list {
		switch g.Kind {
		case Damper:
			p.damper = true
			continue
		case KineticRope, KineticStrap:
			p.leftOut = append(p.leftOut, LeftOut{g.Title(), "it stretches and stores energy: not part of a winch line"})
			continue
		}
		b := t.Bears(*g)
		if b.Refused != "" {
			p.leftOut = append(p.leftOut, LeftOut{g.Title(), b.Refused})
			continue
		}
		for range max(1, g.Count) {
			c := g.Kind.class()
			p.units[c] = append(p.units[c], unit{g, b.KN, b.How, len(p.used)})
			p.used = append(p.used, false)
		}
	}
	strongest := func(a, b unit) int { return cmp.Compare(b.limit, a.limit) }
	for c := range p.units {
		slices.SortStableFunc(p.units[c], strongest)
	}
	return p, nil
}

// fill puts the strongest pieces into the slots that carry most: links, one for every slot. ext are the straps that serve
// as extensions.
func (p *pool) fill(links []Link, slots []slot, ext uint, rank func(*unit) float64, say bool) {
	p.order = p.order[:0]
	for i := range slots {
		p.order = append(p.order, i)
	}
	slices.SortStableFunc(p.order, func(a, b int) int {
		return cmp.Compare(slots[b].force/slots[b].factor, slots[a].force/slots[a].factor)
	})
	clear(p.used)
	for i := range p.units[classStrap] {
		p.used[p.units[classStrap][i].n] = extends(ext, i)
	}
	for _, i := range p.order {
		s := &slots[i]
		l := &links[i]
		*l = Link{Slot: s.key, Title: s.title, ForceKN: s.force, class: s.class, place: s.place, per: s.factor, trunk: s.forTrunk}
		u := p.strongest(s, rank)
		switch {
		case u != nil:
			p.used[u.n] = true
			l.Gear, l.LimitKN, l.How, l.piece = u.gear.Title(), u.limit*s.factor, u.how, u.gear
			if s.factor != 1 && say {
				l.How += fmt.Sprintf(", × %.2f (%s)", s.factor, s.note)
			}
			l.Margin = ratio(l.LimitKN, l.ForceKN)
		case say:
			l.How = s.asks()
		}
	}
}

// strongest is the piece of the highest rank that is left and fits a slot, nil when there is none.
func (p *pool) strongest(s *slot, rank func(*unit) float64) *unit {
	var best *unit
	most := 0.0
	for j := range p.units[s.class] {
		u := &p.units[s.class][j]
		if p.used[u.n] || !s.takes(u.gear) {
			continue
		}
		if r := rank(u); best == nil || r > most {
			best, most = u, r
		}
	}
	return best
}

// extends reports whether strap i of the pool is in a set of extensions.
func extends(ext uint, i int) bool { return i < bits.UintSize && ext&(1<<i) != 0 }

// takes reports whether a piece fits the slot beyond its class.
func (s *slot) takes(g *Gear) bool {
	switch s.class {
	case classPoint:
		switch s.place {
		case "partner":
			return g.Place == "partner"
		case "own":
			return g.Place != "partner"
		}
		return g.Place == "" || g.Place == s.place
	case classStrap:
		return !s.forTrunk || g.Kind == Strap || g.Kind == TreeStrap || g.Kind == Sling
	}
	return true
}

var classNames = map[class]string{classConnector: "shackle or soft shackle", classHook: "hook", classBlock: "block",
	classStrap: "strap, sling or rope", classPoint: "recovery point", classBridle: "bridle"}

func (s *slot) name() string {
	if s.forTrunk {
		return "tree strap or sling"
	}
	return classNames[s.class]
}

// asks says what is missing.
func (s *slot) asks() string {
	return fmt.Sprintf("no %s with a known rating is left for it; it must bear %s", s.name(), force(s.force/s.factor))
}
