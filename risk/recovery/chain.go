package recovery

import (
	"cmp"
	"fmt"
	"slices"
)

// A unit is one piece of gear with what it bears.
type unit struct {
	gear  *Gear
	limit float64
	how   string
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
	units   map[class][]unit
	leftOut []LeftOut
	damper  bool
}

// sortGear gives the same order whatever the order of the list.
func sortGear(a, b *Gear) int {
	return cmp.Or(cmp.Compare(a.Key, b.Key), cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Name, b.Name), cmp.Compare(a.Place, b.Place),
		cmp.Compare(b.LengthM, a.LengthM), cmp.Compare(b.SheaveMM, a.SheaveMM), cmp.Compare(a.WLLKN, b.WLLKN), cmp.Compare(a.MBSKN, b.MBSKN))
}

func (t *Tables) pool(kit Kit) (pool, error) {
	p := pool{units: map[class][]unit{}}
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
			u := unit{g, b.KN, b.How}
			p.units[g.Kind.class()] = append(p.units[g.Kind.class()], u)
		}
	}
	strongest := func(a, b unit) int { return cmp.Compare(b.limit, a.limit) }
	for c := range p.units {
		slices.SortStableFunc(p.units[c], strongest)
	}
	return p, nil
}

// fill puts the strongest pieces into the slots that carry most and returns the links in slot order.
// taken marks straps that serve as extensions.
func (p pool) fill(slots []slot, taken map[int]bool, rank func(unit) float64, say bool) []Link {
	order := make([]int, len(slots))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Compare(slots[b].force/slots[b].factor, slots[a].force/slots[a].factor)
	})
	used := map[class]map[int]bool{}
	if taken != nil {
		used[classStrap] = taken
	}
	links := make([]Link, len(slots))
	for _, i := range order {
		s := slots[i]
		l := Link{Slot: s.key, Title: s.title, ForceKN: s.force, class: s.class, place: s.place, per: s.factor, trunk: s.forTrunk}
		if used[s.class] == nil {
			used[s.class] = map[int]bool{}
		}
		best := -1
		for j, u := range p.units[s.class] {
			if used[s.class][j] || !s.takes(u.gear) {
				continue
			}
			if best < 0 || rank(u) > rank(p.units[s.class][best]) {
				best = j
			}
		}
		if best >= 0 {
			u := p.units[s.class][best]
			used[s.class][best] = true
			l.Gear, l.LimitKN, l.How, l.piece = u.gear.Title(), u.limit*s.factor, u.how, u.gear
			if s.factor != 1 && say {
				l.How += fmt.Sprintf(", × %.2f (%s)", s.factor, s.note)
			}
			l.Margin = ratio(l.LimitKN, l.ForceKN)
		} else if say {
			l.How = s.asks()
		}
		links[i] = l
	}
	return links
}

// takes reports whether a piece fits the slot beyond its class.
func (s slot) takes(g *Gear) bool {
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

func (s slot) name() string {
	if s.forTrunk {
		return "tree strap or sling"
	}
	return classNames[s.class]
}

// asks says what is missing.
func (s slot) asks() string {
	return fmt.Sprintf("no %s with a known rating is left for it; it must bear %s", s.name(), force(s.force/s.factor))
}
