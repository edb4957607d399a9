package risk

import (
	"fmt"
	"math"
	"strconv"

	"lastroad/geo"
	"lastroad/risk/catalogue"
	"lastroad/risk/coverage"
)

// situation is what decides which recipes can be tried: the trouble, where, and how far it is on foot.
type situation struct {
	event int
	at    place
	walk  reach
	light light
}

// builder turns an exposure and what is at hand into a coverage model.
type builder struct {
	x          *exposure
	solo, both *outfit
	help       [][2]coverage.Help // per piece
	walk       []reach            // per piece
	light      []light            // per piece
	partner    []float64          // per piece: the partner's own unended troubles, nil alone
	only       int                // when >= 0 just this event's cells are built
	central    bool               // no uncertain inputs and no draws: for one central answer

	m       coverage.Model
	byEvent [][]int
	dayOnly []bool
	towed   []bool
	classes map[situation]int32
	near    nearClasses // of the piece at hand
	parts   []coverage.Part
	rates   [][geo.NumGrounds]int32 // inputs of the rates by hazard and ground, counted from 1
	trials  [][2][]*trial           // per class: alone, together
	tried   [2][][]oneTrial         // alone and together, by recipe
	sit     []situation             // per class
	things  map[thingKey]int32
	item    []int     // per thing: catalogue item, -1 = none
	weight  []float64 // per thing: units that the need asks for
	inputs  map[string]int32
	unit    []float64   // per item: the smallest count that any recipe asks for
	use     [][]float64 // per event and item: the most that any recipe uses of things that are used up
}

// nearClasses finds a class by event and ground while band, walk and light stay: most pieces are like the one
// before, and looking a situation up costs more than everything else of a cell.
type nearClasses struct {
	at    situation
	known bool
	class []int32 // by event and ground, -1 = not yet
}

// class finds the class of a situation on the piece at hand.
func (b *builder) classNear(s situation) int32 {
	key := situation{at: place{Band: s.at.Band}, walk: s.walk, light: s.light}
	if n := len(b.x.cat.Events) * int(geo.NumGrounds); !b.near.known || b.near.at != key {
		if b.near.class == nil {
			b.near.class = make([]int32, n)
		}
		b.near.at, b.near.known = key, true
		for i := range b.near.class {
			b.near.class[i] = -1
		}
	}
	k := &b.near.class[s.event*int(geo.NumGrounds)+int(s.at.Ground)]
	if *k < 0 {
		*k = b.class(s)
	}
	return *k
}

func newBuilder(x *exposure, solo, both *outfit, ix *index) *builder {
	return &builder{x: x, solo: solo, both: both, only: -1, classes: map[situation]int32{}, things: map[thingKey]int32{}, inputs: map[string]int32{},
		byEvent: ix.byEvent, unit: ix.unit, use: ix.use, dayOnly: ix.dayOnly, towed: ix.towed}
}

// index is what of the catalogue every builder needs.
type index struct {
	byEvent [][]int     // recipes of each event
	unit    []float64   // per item: the smallest count that any recipe asks for
	use     [][]float64 // per event and item: the most that any recipe uses of things that are used up
	dayOnly []bool      // per event: some recipe asks for daylight
	towed   []bool      // per event: towing may end it
	uses    [][]itemUse // per event: the items it may use up
}

// itemUse is how many units of an item one trouble may use up.
type itemUse struct {
	item  int
	units float64
}

func newIndex(cat *catalogue.Catalogue) *index {
	ix := &index{byEvent: cat.EventRecipes(), dayOnly: make([]bool, len(cat.Events)), towed: make([]bool, len(cat.Events))}
	for _, r := range cat.Recipes {
		for _, e := range r.Events {
			ix.dayOnly[e] = ix.dayOnly[e] || r.Daylight
			ix.towed[e] = ix.towed[e] || r.Method == "tow" || r.Method == "tug"
		}
	}
	ix.unit, ix.use = usage(cat)
	ix.uses = make([][]itemUse, len(cat.Events))
	for e := range ix.use {
		for i, u := range ix.use[e] {
			if u > 0 {
				ix.uses[e] = append(ix.uses[e], itemUse{i, math.Ceil(u/ix.unit[i] - 1e-9)})
			}
		}
	}
	return ix
}

// usage finds for every item the smallest count that a recipe asks for, and what each event may use up.
func usage(cat *catalogue.Catalogue) (unit []float64, use [][]float64) {
	unit = make([]float64, len(cat.Items))
	use = make([][]float64, len(cat.Events))
	for e := range use {
		use[e] = make([]float64, len(cat.Items))
	}
	for _, r := range cat.Recipes {
		for _, n := range r.Needs {
			for _, a := range n {
				if unit[a.Item] == 0 || a.Count < unit[a.Item] {
					unit[a.Item] = a.Count
				}
				if !cat.Items[a.Item].UsedUp || a.Kept {
					continue
				}
				for _, e := range r.Events {
					use[e][a.Item] = math.Max(use[e][a.Item], a.Count)
				}
			}
		}
	}
	return unit, use
}

// input finds or makes an input; make is asked for only when there is none of that key.
func (b *builder) input(key string, make func() coverage.Input) int32 {
	if b.central {
		return -1
	}
	if i, ok := b.inputs[key]; ok {
		return i
	}
	i := int32(len(b.m.Inputs))
	b.m.Inputs = append(b.m.Inputs, make())
	b.m.Inputs[i].Key = key
	b.inputs[key] = i
	return i
}

// build makes the model.
func (b *builder) build() *coverage.Model {
	x, cat := b.x, b.x.cat
	omega := cat.Figure("rescue_cost")
	if o := x.trip.Policy.RescueCost; o > 0 {
		omega = geo.Figure{Low: o, Central: o, High: o, Unit: "1", From: geo.FromUser, Source: "set by the user"}
	}
	b.m = coverage.Model{Omega: omega.Central, Together: b.both != nil}
	ef := cat.Figure("common_ef").Central
	b.m.Common = b.input("common", func() coverage.Input {
		return coverage.RateInput("", "all rates together", cat.Figure("common_ef").From, 1/ef, ef)
	})
	b.m.OmegaInput = b.input("omega", func() coverage.Input {
		return coverage.ChanceInput("", "what being rescued still costs", omega.From, omega.Low, omega.Central, omega.High)
	})
	b.m.HelpInput = b.input("help", func() coverage.Input {
		f := cat.Figure("help_median_ef")
		return coverage.TimeInput("", "time to help", f.From, f.Central)
	})
	for i := range cat.Events {
		help := 0
		if h := cat.Events[i].Help; h == "medical" || h == "people" && cat.Events[i].Stage != "" {
			help = 1
		}
		b.m.Events = append(b.m.Events, coverage.Event{Key: cat.Events[i].Key, Help: help})
	}
	if b.only < 0 {
		b.m.Cells = make([]coverage.Cell, 0, b.countCells())
		if !b.central {
			b.parts = make([]coverage.Part, 0, len(x.cells))
		}
	}
	b.m.Pieces = make([]coverage.Piece, 0, len(x.pieces))
	for i := range x.pieces {
		p := &x.pieces[i]
		first := len(b.m.Cells)
		for j := x.first[i]; j < x.first[i+1]; {
			j = b.addCell(i, j)
		}
		q := coverage.Piece{First: first, Last: len(b.m.Cells), Floor: x.floor * p.LengthM(), Aside: p.Perhaps, Help: b.help[i]}
		if b.partner != nil {
			q.PartnerMean = b.partner[i]
		}
		b.m.Pieces = append(b.m.Pieces, q)
	}
	b.stocks()
	if !b.central {
		b.takes()
	}
	return &b.m
}

// placed reports whether it matters on which ground and grade a trouble happens: it asks for a pull, or it may
// be ended by towing with the second vehicle.
func (b *builder) placed(e int) bool {
	return b.x.cat.Events[e].Stage != "" || b.both != nil && b.towed[e]
}

// countCells is how many cells the model will have.
func (b *builder) countCells() int {
	n := 0
	for i := range b.x.pieces {
		event := -1
		for j := b.x.first[i]; j < b.x.first[i+1]; j++ {
			if e := b.x.cells[j].event; e != event || b.placed(e) {
				event = e
				n++
			}
		}
	}
	return n
}

// addCell adds the cell of x.cells[j]; troubles that ask for no force take all grounds of the piece into
// one cell. It returns the index of the next.
func (b *builder) addCell(i, j int) int {
	x := b.x
	c := &x.cells[j]
	end := j + 1
	forced := b.placed(c.event)
	for !forced && end < x.first[i+1] && x.cells[end].event == c.event {
		end++
	}
	if b.only >= 0 && c.event != b.only {
		return end
	}
	s := situation{event: c.event, walk: b.walk[i], light: lightUnknown}
	if b.dayOnly[c.event] {
		s.light = b.light[i]
	}
	if forced {
		s.at = place{c.ground, x.pieces[i].Band}
	}
	out := coverage.Cell{Event: int32(c.event), Class: b.classNear(s)}
	first := len(b.parts)
	for k := j; k < end; k++ {
		out.Mean += x.cells[k].mean
		out.Worst += x.cells[k].worst
		if !b.central {
			b.parts = append(b.parts, b.part(i, &x.cells[k]))
		}
	}
	if !b.central {
		out.Parts = b.parts[first:len(b.parts):len(b.parts)]
	}
	b.m.Cells = append(b.m.Cells, out)
	return end
}

func (b *builder) part(i int, c *cell) coverage.Part {
	x := b.x
	ev := &x.cat.Events[c.event]
	h := &x.cat.Hazards[ev.Hazard]
	p := coverage.Part{Mean: c.mean, Worst: c.worst, Rate: -1, Wide: -1, Mix: -1}
	if b.rates == nil {
		b.rates = make([][geo.NumGrounds]int32, len(x.cat.Hazards))
	}
	if k := &b.rates[ev.Hazard][c.ground]; *k > 0 {
		p.Rate = *k - 1
	} else if f := h.Rate[c.ground]; f.Central > 0 {
		key := "rate/" + h.Key
		title := h.Title
		if h.Per == "1000km" {
			key, title = key+"/"+c.ground.Key(), title+" on "+c.ground.String()
		}
		p.Rate = b.input(key, func() coverage.Input { return coverage.RateInput("", title, f.From, f.Low, f.High) })
		*k = p.Rate + 1
	}
	mix := &x.survey.Grounds[x.pieces[i].Mix]
	if mix.Known || h.Per != "1000km" {
		return p
	}
	for g := geo.Sealed; g < c.ground; g++ {
		if mix.P[g] > 0 {
			p.Pick++
		}
	}
	p.Weight = mix.P[c.ground]
	p.Wide = b.input("unknown_ground", func() coverage.Input {
		ef := x.cat.Figure("unknown_ef").Central
		return coverage.RateInput("", "rates on unknown ground", geo.FromAssumption, 1/ef, ef)
	})
	p.Mix = b.input("ground/"+strconv.Itoa(x.pieces[i].Mix), func() coverage.Input {
		in := coverage.Input{Title: "unknown ground: " + mix.Reason, From: geo.FromAssumption, Kind: coverage.Choice}
		for g := geo.Sealed; g < geo.NumGrounds; g++ {
			if mix.P[g] > 0 {
				in.Weights = append(in.Weights, mix.P[g])
			}
		}
		return in
	})
	return p
}

// class finds or makes the class of a situation.
func (b *builder) class(s situation) int32 {
	if i, ok := b.classes[s]; ok {
		return i
	}
	cat := b.x.cat
	ev := &cat.Events[s.event]
	beta := cat.Policy.Beta[ev.Beta]
	partner := beta.Partner
	if ev.Beta == "bogged" && b.x.trip.Policy.Spacing {
		partner.Low, partner.Central, partner.High = partner.Low/2, partner.Central/2, partner.High/2
	}
	c := coverage.Class{Beta: beta.Own.Central, Partner: 1 - partner.Central,
		PartnerInput: -1}
	c.BetaInput = b.input("beta/"+ev.Beta, func() coverage.Input {
		return coverage.ChanceInput("", "common cause: "+ev.Beta, beta.Own.From, beta.Own.Low, beta.Own.Central, beta.Own.High)
	})
	if b.both != nil {
		c.PartnerInput = b.input("partner/"+ev.Beta, func() coverage.Input {
			return coverage.ChanceInput("", "both vehicles out of one cause: "+ev.Beta, beta.Partner.From, partner.Low, partner.Central, partner.High)
		})
	}
	var ts [2][]*trial
	for k, o := range []*outfit{b.solo, b.both} {
		if o == nil {
			continue
		}
		ts[k] = make([]*trial, 0, len(b.byEvent[s.event]))
		for _, ri := range b.byEvent[s.event] {
			t := b.try(k, o, ri, s)
			ts[k] = append(ts[k], t)
			if !t.usable {
				continue
			}
			r := b.recipe(&c, t, s)
			if k == 0 {
				c.Solo = append(c.Solo, r)
			} else {
				c.Together = append(c.Together, r)
			}
		}
	}
	i := int32(len(b.m.Classes))
	b.m.Classes = append(b.m.Classes, c)
	b.trials = append(b.trials, ts)
	b.sit = append(b.sit, s)
	b.classes[s] = i
	return i
}

// oneTrial is a recipe tried in a situation, of which only what the recipe asks about is kept.
type oneTrial struct {
	event int
	at    place
	walk  reach
	light light
	t     *trial
}

// try tries a recipe, or finds it tried: few recipes ask where and when, and those that do not come out the
// same for every situation.
func (b *builder) try(k int, o *outfit, ri int, s situation) *trial {
	r := &b.x.cat.Recipes[ri]
	key := oneTrial{event: -1}
	if r.Method != "" && r.Method != "walk" {
		key.event, key.at = s.event, s.at
	}
	if r.Method == "walk" {
		key.walk = s.walk
	}
	if r.Daylight {
		key.light = s.light
	}
	if b.tried[k] == nil {
		b.tried[k] = make([][]oneTrial, len(b.x.cat.Recipes))
	}
	for i := range b.tried[k][ri] {
		q := &b.tried[k][ri][i]
		if q.event == key.event && q.at == key.at && q.walk == key.walk && q.light == key.light {
			return q.t
		}
	}
	t := tryRecipe(b.x.cat, o, ri, s)
	key.t = &t
	b.tried[k][ri] = append(b.tried[k][ri], key)
	return key.t
}

func (b *builder) recipe(c *coverage.Class, t *trial, s situation) coverage.Recipe {
	r := &b.x.cat.Recipes[t.recipe]
	out := coverage.Recipe{Chance: r.Chance.Central, Scale: t.scale, Key: int32(t.recipe), Input: -1}
	if !b.central {
		out.Input = b.input("chance/"+r.Key, func() coverage.Input {
			return coverage.ChanceInput("", "chance: "+r.Title, r.Chance.From, r.Chance.Low, r.Chance.Central, r.Chance.High)
		})
	}
	for _, alternatives := range t.open {
		var mask uint16
		for _, a := range alternatives {
			mask |= 1 << b.atom(c, b.stockThing(a))
		}
		out.Needs = append(out.Needs, mask)
	}
	if t.anchor {
		out.Needs = append(out.Needs, 1<<b.atom(c, b.anchorThing(s.at.Ground)))
	}
	return out
}

func (b *builder) atom(c *coverage.Class, thing int32) int {
	for i, a := range c.Atoms {
		if a == thing {
			return i
		}
	}
	c.Atoms = append(c.Atoms, thing)
	return len(c.Atoms) - 1
}

// thingKey names an uncertain thing: so much of an item, or (item -1) a natural anchor on a ground.
type thingKey struct {
	item   int
	count  float64
	ground geo.Ground
}

func (b *builder) thing(key thingKey, make func() (coverage.Thing, int, float64)) int32 {
	if i, ok := b.things[key]; ok {
		return i
	}
	t, item, weight := make()
	i := int32(len(b.m.Things))
	b.m.Things = append(b.m.Things, t)
	b.item, b.weight = append(b.item, item), append(b.weight, weight)
	b.things[key] = i
	return i
}

// stockThing is the presence of so much of something that is used up. Its stock is counted in units of
// the smallest amount that any recipe asks for; a need of several units is met while that many are left.
func (b *builder) stockThing(a catalogue.Portion) int32 {
	return b.thing(thingKey{item: a.Item, count: a.Count}, func() (coverage.Thing, int, float64) {
		key := fmt.Sprintf("%s*%g", b.x.cat.Items[a.Item].Key, a.Count)
		unit := b.unit[a.Item]
		need := math.Ceil(a.Count/unit - 1e-9)
		units := func(q float64) int { return int(math.Max(0, math.Floor(q/unit+1e-9)-need+1)) }
		t := coverage.Thing{Key: key, UsedUp: true, Units: units(b.solo.count[a.Item])}
		if b.both != nil {
			t.Surplus = units(b.both.count[a.Item]+b.both.surplus[a.Item]) - t.Units
		}
		return t, a.Item, need
	})
}

// anchorThing is a natural anchor in reach on a class of ground.
func (b *builder) anchorThing(g geo.Ground) int32 {
	return b.thing(thingKey{item: -1, ground: g}, func() (coverage.Thing, int, float64) {
		key := "anchor/" + g.Key()
		p := b.x.cat.Policy.Anchor[g].Central
		return coverage.Thing{Key: key, Chance: p, Together: p}, -1, 0
	})
}

// stocks tells every event what it may use of the things.
func (b *builder) stocks() {
	for e := range b.m.Events {
		for t := range b.m.Things {
			i := b.item[t]
			if i < 0 || b.use[e][i] == 0 {
				continue
			}
			b.m.Events[e].Uses = append(b.m.Events[e].Uses, coverage.Use{Thing: int32(t), Units: math.Ceil(b.use[e][i]/b.unit[i] - 1e-9)})
		}
	}
}

// takes tells every class what using one of its atoms takes from all stocks of the same item.
func (b *builder) takes() {
	for c := range b.m.Classes {
		k := &b.m.Classes[c]
		k.Takes = make([][]coverage.Use, len(k.Atoms))
		for a, thing := range k.Atoms {
			i := b.item[thing]
			if i < 0 || b.use[b.sit[c].event][i] == 0 {
				continue // an anchor, or lent and given back
			}
			for t := range b.m.Things {
				if b.item[t] == i {
					k.Takes[a] = append(k.Takes[a], coverage.Use{Thing: int32(t), Units: b.weight[thing]})
				}
			}
		}
	}
}
