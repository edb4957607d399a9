package risk

import (
	"math"
	"sort"

	"lastroad/risk/catalogue"
	"lastroad/risk/recovery"
	"lastroad/risk/supply"
)

// ableFrom is the age from which somebody counts as a pair of hands (judgement; children help, but no
// recipe may rest on them).
const ableFrom = 14

// outfit is what is at hand to end a trouble: alone, or with the second vehicle.
type outfit struct {
	count   []float64 // pieces per catalogue item, sets opened; of the second vehicle only what is not used up
	surplus []float64 // what the second vehicle could spare of things that are used up
	skill   []bool
	people  int
	partner *Party // nil alone
	vehicle *Vehicle
	kit     recovery.Kit
	helper  *recovery.Winch // the second vehicle's winch
	massKg  float64
	boardKg float64 // wheel load that the strongest recovery boards bear; 0 = not marked
	jackKg  float64 // what the strongest farm-type jack lifts; 0 = not marked
	tether  *tether // between both vehicles, nil alone
	memo    *Memo
	plans   *planMemo // of winches, by the whole kit
	pulls   *planMemo // of the second vehicle's wheels, by the tether
	// hands, gear and tied number what digging and lifting, winching, and pulling by the second vehicle are reckoned
	// from: outfits with equal ones do the same.
	hands, gear, tied uint32
	cat               *catalogue.Catalogue
}

func (o *outfit) index(key string) (int, bool) { return o.cat.ItemIndex(key) }

// counts opens sets and adds up the load per catalogue item. Items that the catalogue does not know
// (the user's own) count for mass only.
func counts(cat *catalogue.Catalogue, load []LoadItem) []float64 {
	n := make([]float64, len(cat.Items))
	var add func(i int, q float64)
	add = func(i int, q float64) {
		n[i] += q
		for _, k := range cat.Items[i].Contains {
			if j, ok := cat.ItemIndex(k); ok {
				add(j, q)
			}
		}
	}
	for _, l := range load {
		if i, ok := cat.ItemIndex(l.Item); ok && l.Count > 0 {
			add(i, l.Count)
		}
	}
	return n
}

func skills(cat *catalogue.Catalogue, people []Person) []bool {
	has := make([]bool, len(cat.Skills))
	for _, p := range people {
		for _, k := range p.Skills {
			if i, ok := cat.SkillIndex(k); ok {
				has[i] = true
			}
		}
	}
	return has
}

func able(people []Person) int {
	n := 0
	for _, p := range people {
		if p.AgeY == 0 || p.AgeY >= ableFrom {
			n++
		}
	}
	return n
}

// alone makes the outfit of one party.
func alone(cat *catalogue.Catalogue, p *Party) *outfit {
	o := &outfit{count: counts(cat, p.Load), surplus: make([]float64, len(cat.Items)), skill: skills(cat, p.People),
		people: able(p.People), vehicle: &p.Vehicle, kit: kitOf(cat, p, ""), massKg: ladenKg(&p.Vehicle), cat: cat, memo: &Memo{}, plans: newPlanMemo()}
	o.marks(cat, p.Load)
	return o
}

// has reports whether so much of an item is at hand, of what gets used up with what the second vehicle could spare.
func (o *outfit) has(a catalogue.Portion) bool { return o.count[a.Item]+o.surplus[a.Item] >= a.Count }

// marks takes over what is marked on boards and jacks: of the boards that are marked at all the strongest kind,
// since a weaker one may stay on the rack, and of the jacks the strongest.
func (o *outfit) marks(cat *catalogue.Catalogue, load []LoadItem) {
	for _, l := range load {
		it, ok := cat.Item(l.Item)
		if !ok || !(l.Count >= 1) {
			continue
		}
		kn := it.RatingKN
		if l.RatingKN != 0 {
			kn = math.Max(0, l.RatingKN)
		}
		switch l.Item {
		case "boards":
			o.boardKg = math.Max(o.boardKg, recovery.Kg(kn))
		case "high_jack":
			o.jackKg = math.Max(o.jackKg, recovery.Kg(kn))
		}
	}
}

// with adds the second vehicle. spare is, per item, what it could spare after its own expected need.
func (o *outfit) with(cat *catalogue.Catalogue, p *Party, spare []float64) *outfit {
	t := &outfit{count: append([]float64(nil), o.count...), surplus: make([]float64, len(cat.Items)), skill: append([]bool(nil), o.skill...),
		people: o.people + able(p.People), partner: p, vehicle: o.vehicle, massKg: o.massKg, cat: cat}
	theirs := counts(cat, p.Load)
	for i := range cat.Items {
		if !fits(cat.Items[i].Fits, o.vehicle, &p.Vehicle) {
			continue
		}
		if cat.Items[i].UsedUp {
			t.surplus[i] = spare[i]
			continue
		}
		t.count[i] += theirs[i]
	}
	for i, s := range skills(cat, p.People) {
		t.skill[i] = t.skill[i] || s
	}
	t.boardKg, t.jackKg = o.boardKg, o.jackKg
	t.marks(cat, p.Load)
	t.kit = o.kit
	more := kitOf(cat, p, "partner")
	t.kit.Gear = append(append([]recovery.Gear(nil), o.kit.Gear...), more.Gear...)
	t.tether = tetherOf(cat, t)
	t.memo, t.plans, t.pulls = &Memo{}, newPlanMemo(), newPlanMemo()
	t.helper = more.Winch
	if t.kit.HandWinch == nil {
		t.kit.HandWinch = more.HandWinch
	}
	return t
}

// fits reports whether a part of the second vehicle serves the first.
func fits(rule string, a, b *Vehicle) bool {
	switch rule {
	case "tyre":
		return a.TyreSize != "" && a.TyreSize == b.TyreSize
	case "vehicle":
		return a.Class != "" && a.Class == b.Class
	}
	return true
}

// ladenKg is the mass that rates and forces are reckoned with: the declared laden mass, else the
// permitted mass, never the sum of the items, so that an added item cannot lower readiness.
func ladenKg(v *Vehicle) float64 {
	if v.LadenKg > 0 {
		return v.LadenKg
	}
	return v.GVMKg
}

var gearKinds = map[string]recovery.Kind{
	"shackle": recovery.Shackle, "shackle_small": recovery.Shackle, "soft_shackle": recovery.SoftShackle, "block": recovery.Block,
	"tree_strap": recovery.TreeStrap, "static_strap": recovery.Strap, "kinetic_strap": recovery.KineticStrap, "bridle": recovery.Bridle,
	"chain": recovery.Chain, "winch_rope_ext": recovery.ExtRope, "hitch_point": recovery.Receiver, "damper": recovery.Damper,
}

// kitOf turns a load into recovery gear. Stamped ratings of the user go before the catalogue's; a
// negative one says that nothing can be read, and the piece bears nothing. place marks the partner's points.
func kitOf(cat *catalogue.Catalogue, p *Party, place string) recovery.Kit {
	var k recovery.Kit
	for _, l := range p.Load {
		it, ok := cat.Item(l.Item)
		if !ok || !(l.Count >= 1) {
			continue
		}
		rating, length := it.RatingKN, it.LengthM
		if l.RatingKN != 0 {
			rating = math.Max(0, l.RatingKN)
		}
		if l.LengthM > 0 {
			length = l.LengthM
		}
		switch l.Item {
		case "winch":
			if rating > 0 && (k.Winch == nil || rating > k.Winch.RatedKN) {
				k.Winch = &recovery.Winch{Name: it.Title, RatedKN: rating, Rope: recovery.Rope{Material: recovery.HMPE, DiameterMM: 9.53, LengthM: length, MBSKN: 2.05 * rating}}
			}
			continue
		case "hand_winch":
			if rating > 0 && (k.HandWinch == nil || rating > k.HandWinch.RatedKN) {
				k.HandWinch = &recovery.Winch{Name: it.Title, RatedKN: rating, Manual: true, Rope: recovery.Rope{Material: recovery.Steel, DiameterMM: 11, LengthM: length, MBSKN: 5 * rating}}
			}
			continue
		}
		kind, ok := gearKinds[l.Item]
		if !ok {
			continue
		}
		g := recovery.Gear{Key: l.Item, Name: it.Title, Kind: kind, Count: int(math.Min(l.Count, 50)), WLLKN: rating, LengthM: length}
		if kind == recovery.KineticStrap {
			g.WLLKN, g.MBSKN = 0, rating
		}
		if kind == recovery.Receiver {
			g.Place = "rear"
			if place != "" {
				g.Place = place
			}
		}
		k.Gear = append(k.Gear, g)
	}
	v := &p.Vehicle
	point := func(has bool, kn float64, name, where string) {
		if !has {
			return
		}
		if place != "" {
			where = place
		}
		k.Gear = append(k.Gear, recovery.Gear{Key: "point_" + name, Name: name + " recovery point", Kind: recovery.FramePoint, Count: 1, WLLKN: kn, Place: where})
	}
	point(v.HasFrontPoint, v.FrontPointKN, "front", "front")
	point(v.HasRearPoint, v.RearPointKN, "rear", "rear")
	sort.SliceStable(k.Gear, func(a, b int) bool { return k.Gear[a].Key < k.Gear[b].Key })
	return k
}

func people(ps []Person) []supply.Person {
	out := make([]supply.Person, len(ps))
	for i, p := range ps {
		out[i] = supply.Person{AgeY: p.AgeY, MassKg: p.MassKg, Acclimatised: p.Acclimatised}
	}
	return out
}
