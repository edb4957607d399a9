package risk

import (
	"fmt"
	"math"
	"slices"
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
	near    []nearClass             // by event and ground
	rates   [][geo.NumGrounds]int32 // inputs of the rates by hazard and ground, counted from 1
	trials  [][2][]*trial           // per class: alone, together
	tried   [2][]*tries             // alone and together, by recipe
	made    []*classesMade          // by event
	memo    *Memo
	sites   *winchSites // when set, only what trouble weighs is asked for, and no words
	tables  uint32      // what trials rest on beside the outfits
	key     []byte      // scratch
	room    *scratch
	sit     []situation  // per class
	from    []*madeClass // per class
	index   *index
	local   []int32   // things of the index that the model has, -1 = not
	atoms   []int32   // of all classes
	item    []int     // per thing: catalogue item, -1 = none
	weight  []float64 // per thing: units that the need asks for
	inputs  map[string]int32
	rests   map[[2]uint16][]int32 // inputs of what crossings rest on
	unit    []float64             // per item: the smallest count that any recipe asks for
	use     [][]float64           // per event and item: the most that any recipe uses of things that are used up
}

// nearClass is the class that an event had last on a ground: most pieces are like the one before, and looking a
// situation up costs more than everything else of a cell.
type nearClass struct {
	class int32 // -1 = none yet
	band  int8
	walk  reach
	light light
}

// classNear finds the class of a situation.
func (b *builder) classNear(s situation) int32 {
	k := &b.near[s.event*int(geo.NumGrounds)+int(s.at.Ground)]
	if k.class < 0 || int(k.band) != s.at.Band || k.walk != s.walk || k.light != s.light {
		*k = nearClass{b.class(s), int8(s.at.Band), s.walk, s.light}
	}
	return k.class
}

func newBuilder(x *exposure, solo, both *outfit, ix *index, memo *Memo, room *scratch) *builder {
	if room == nil {
		room = &scratch{}
	}
	b := &builder{x: x, solo: solo, both: both, only: -1, memo: memo, tables: memo.tablesKey(x.cat, ix), index: ix, room: room, classes: room.number, key: room.key,
		byEvent: ix.byEvent, unit: ix.unit, use: ix.use, dayOnly: ix.dayOnly, towed: ix.towed, local: make([]int32, len(ix.things)),
		trials: room.trials[:0], from: room.from[:0], sit: room.sit[:0], atoms: room.atoms[:0]}
	if b.classes == nil {
		b.classes = map[situation]int32{}
	}
	clear(b.classes)
	for i := range b.local {
		b.local[i] = -1
	}
	n := len(x.cat.Events) * int(geo.NumGrounds)
	b.near = slices.Grow(room.near[:0], n)[:n]
	for i := range b.near {
		b.near[i].class = -1
	}
	return b
}

// giveBack leaves the memory that has grown to the next builder.
func (b *builder) giveBack() {
	r := b.room
	r.number, r.key, r.trials, r.from, r.sit, r.atoms, r.near = b.classes, b.key, b.trials, b.from, b.sit, b.atoms, b.near
	r.cells, r.pieces, r.classes = b.m.Cells, b.m.Pieces, b.m.Classes
}

// index is what of the catalogue every builder needs.
type index struct {
	byEvent [][]int     // recipes of each event
	unit    []float64   // per item: the smallest count that any recipe asks for
	use     [][]float64 // per event and item: the most that any recipe uses of things that are used up
	dayOnly []bool      // per event: some recipe asks for daylight
	towed   []bool      // per event: towing may end it
	uses    [][]itemUse // per event: the items it may use up
	spent   []int       // the items that some event may use up
	walks   []bool      // per event: walking out may end it
	// staged and braked are, per event, the first that asks for the same forces: of the same stage, and towed with or
	// without brakes.
	staged, braked []int
	items          [][]int    // per event: the items that its recipes ask for, each once
	skills         [][]int    // per event: the skills
	things         []thingKey // all that a class may ask for and that may not be there
	thing          map[thingKey]int32
	keyOf          map[thingKey]string
}

// itemUse is how many units of an item one trouble may use up.
type itemUse struct {
	item  int
	units float64
}

func newIndex(cat *catalogue.Catalogue) *index {
	ix := &index{byEvent: cat.EventRecipes(), dayOnly: make([]bool, len(cat.Events)), towed: make([]bool, len(cat.Events)),
		walks: make([]bool, len(cat.Events)), thing: map[thingKey]int32{}, keyOf: map[thingKey]string{}}
	for _, r := range cat.Recipes {
		for _, e := range r.Events {
			ix.dayOnly[e] = ix.dayOnly[e] || r.Daylight
			ix.towed[e] = ix.towed[e] || r.Method == "tow" || r.Method == "tug"
			ix.walks[e] = ix.walks[e] || r.Method == "walk"
		}
	}
	for e := range cat.Events {
		like := func(same func(*catalogue.Event) bool) int {
			return slices.IndexFunc(cat.Events, func(f catalogue.Event) bool { return same(&f) })
		}
		ix.staged = append(ix.staged, like(func(f *catalogue.Event) bool { return f.Stage == cat.Events[e].Stage }))
		ix.braked = append(ix.braked, like(func(f *catalogue.Event) bool { return unbraked[f.Key] == unbraked[cat.Events[e].Key] }))
	}
	ix.list(cat)
	ix.asked(cat)
	ix.unit, ix.use = usage(cat)
	ix.uses = make([][]itemUse, len(cat.Events))
	for e := range ix.use {
		for i, u := range ix.use[e] {
			if u > 0 {
				ix.uses[e] = append(ix.uses[e], itemUse{i, math.Ceil(u/ix.unit[i] - 1e-9)})
				if !slices.Contains(ix.spent, i) {
					ix.spent = append(ix.spent, i)
				}
			}
		}
	}
	return ix
}

// asked lists what the recipes of every event ask for.
func (ix *index) asked(cat *catalogue.Catalogue) {
	ix.items, ix.skills = make([][]int, len(cat.Events)), make([][]int, len(cat.Events))
	add := func(list *[]int, i int) {
		if !slices.Contains(*list, i) {
			*list = append(*list, i)
		}
	}
	for e := range cat.Events {
		for _, ri := range ix.byEvent[e] {
			r := &cat.Recipes[ri]
			if r.Skill >= 0 {
				add(&ix.skills[e], r.Skill)
			}
			for _, need := range r.Needs {
				for _, a := range need {
					add(&ix.items[e], a.Item)
				}
			}
		}
	}
}

// list numbers the uncertain things: every amount that a recipe asks for of what is used up, and natural anchors.
func (ix *index) list(cat *catalogue.Catalogue) {
	add := func(k thingKey) {
		if _, ok := ix.thing[k]; !ok {
			ix.thing[k] = int32(len(ix.things))
			ix.things = append(ix.things, k)
			if k.item < 0 {
				ix.keyOf[k] = "anchor/" + k.ground.Key()
			} else {
				ix.keyOf[k] = fmt.Sprintf("%s*%g", cat.Items[k.item].Key, k.count)
			}
		}
	}
	for _, r := range cat.Recipes {
		for _, n := range r.Needs {
			for _, a := range n {
				if cat.Items[a.Item].UsedUp {
					add(thingKey{item: a.Item, count: a.Count})
				}
			}
		}
	}
	for g := geo.Unknown; g < geo.NumGrounds; g++ {
		add(thingKey{item: -1, ground: g})
	}
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
	if b.inputs == nil {
		b.inputs = map[string]int32{}
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
	for i := range cat.Hazards {
		b.m.Learnt = b.m.Learnt || cat.Hazards[i].Prior != nil
	}
	ef := cat.Figure("common_ef").Central
	b.m.Common = b.input("common", func() coverage.Input {
		return coverage.RateInput("", "all rates together", cat.Figure("common_ef").From, 1/ef, 1, ef)
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
	b.m.Cells, b.m.Pieces, b.m.Classes = b.room.cells[:0], slices.Grow(b.room.pieces[:0], len(x.pieces)), b.room.classes[:0]
	if b.only < 0 {
		b.m.Cells = slices.Grow(b.m.Cells, b.countCells())
		if !b.central {
			b.m.Parts = make([]coverage.Part, 0, len(x.cells))
		}
	}
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
	b.giveBack()
	return &b.m
}

// classesOf makes the classes of some situations, in their order, and the things that they ask for.
func (b *builder) classesOf(sit []situation) ([]coverage.Class, []coverage.Thing) {
	b.m.Cells, b.m.Pieces, b.m.Classes = b.room.cells[:0], b.room.pieces[:0], b.room.classes[:0]
	for _, s := range sit {
		b.class(s)
	}
	b.giveBack()
	return b.m.Classes, b.m.Things
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
	s := situation{event: c.event, light: lightUnknown}
	if b.index.walks[c.event] {
		s.walk = b.walk[i]
	}
	if b.dayOnly[c.event] {
		s.light = b.light[i]
	}
	if forced {
		s.at = place{c.ground, x.pieces[i].Band}
	}
	out := coverage.Cell{Event: int32(c.event), Class: b.classNear(s)}
	first := len(b.m.Parts)
	for k := j; k < end; k++ {
		out.Mean += x.cells[k].mean
		out.Worst += x.cells[k].worst
		if !b.central {
			b.addParts(i, &x.cells[k])
		}
	}
	if !b.central {
		out.From, out.To = int32(first), int32(len(b.m.Parts))
	}
	b.m.Cells = append(b.m.Cells, out)
	return end
}

// addParts splits the counts of a cell of piece i by what they rest on. A rate moves the expected number and the worst
// case alike: both rest on it, and what it is off by cancels in readiness. A rate that the user's log has changed moves
// the expected number alone: the worst case stands on the rate of the tables as it is, which a log does not move, so what
// the log leaves open must not move it either.
func (b *builder) addParts(i int, c *cell) {
	p := b.part(i, c)
	h := &b.x.cat.Hazards[b.x.cat.Events[c.event].Hazard]
	if h.Measure(c.ground) != h.Rate[c.ground] {
		apart := p
		apart.Mean, apart.Rate, p.Worst = 0, -1, 0
		b.m.Parts = append(b.m.Parts, apart)
	}
	b.m.Parts = append(b.m.Parts, p)
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
		p.Rate = b.input(key, func() coverage.Input { return coverage.RateInput("", title, f.From, f.Low, f.Central, f.High) })
		*k = p.Rate + 1
	}
	if h.Per == "crossing" {
		p.Chances = b.premises(x.pieces[i].Rests)
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
		return coverage.RateInput("", "rates on unknown ground", geo.FromAssumption, 1/ef, 1, ef)
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

// premises are the inputs of what the chance of a crossing rests on.
func (b *builder) premises(rests [2]uint16) []int32 {
	if rests == [2]uint16{} {
		return nil
	}
	if list, ok := b.rests[rests]; ok {
		return list
	}
	var list []int32
	for _, k := range rests {
		if k == 0 {
			continue
		}
		p := &b.x.survey.Premises[k-1]
		list = append(list, b.input(p.Key, func() coverage.Input { return coverage.ChanceInput("", p.Title, p.From, p.Low, p.Central, p.High) }))
	}
	if b.rests == nil {
		b.rests = map[[2]uint16][]int32{}
	}
	b.rests[rests] = list
	return list
}

// beta is the shares of failures with one cause of an event: of remedies, and of both vehicles.
func (b *builder) beta(e int) (own, partner geo.Figure) {
	key := b.x.cat.Events[e].Beta
	c := b.x.cat.Policy.Beta[key]
	if key == "bogged" && b.x.trip.Policy.Spacing {
		c.Partner.Low, c.Partner.Central, c.Partner.High = c.Partner.Low/2, c.Partner.Central/2, c.Partner.High/2
	}
	return c.Own, c.Partner
}

// class finds or makes the class of a situation.
func (b *builder) class(s situation) int32 {
	if i, ok := b.classes[s]; ok {
		return i
	}
	m := b.madeOf(s.event).of(s, func() *madeClass { return b.makeClass(s) })
	c := m.class
	first := len(b.atoms)
	for _, a := range m.class.Atoms {
		b.atoms = append(b.atoms, b.thing(a))
	}
	c.Atoms = b.atoms[first:len(b.atoms):len(b.atoms)]
	if !b.central {
		b.uncertain(&c, s.event)
	}
	i := int32(len(b.m.Classes))
	b.m.Classes = append(b.m.Classes, c)
	b.trials, b.from = append(b.trials, m.trials), append(b.from, m)
	b.sit = append(b.sit, s)
	b.classes[s] = i
	return i
}

// uncertain puts the uncertain numbers of a class in.
func (b *builder) uncertain(c *coverage.Class, e int) {
	beta := b.x.cat.Events[e].Beta
	own, partner := b.beta(e)
	c.BetaInput = b.input("beta/"+beta, func() coverage.Input {
		return coverage.ChanceInput("", "common cause: "+beta, own.From, own.Low, own.Central, own.High)
	})
	if b.both != nil {
		c.PartnerInput = b.input("partner/"+beta, func() coverage.Input {
			return coverage.ChanceInput("", "both vehicles out of one cause: "+beta, partner.From, partner.Low, partner.Central, partner.High)
		})
	}
	for _, rs := range []*[]coverage.Recipe{&c.Solo, &c.Together} {
		*rs = slices.Clone(*rs)
		for i := range *rs {
			r := &b.x.cat.Recipes[(*rs)[i].Key]
			(*rs)[i].Input = b.input("chance/"+r.Key, func() coverage.Input {
				return coverage.ChanceInput("", "chance: "+r.Title, r.Chance.From, r.Chance.Low, r.Chance.Central, r.Chance.High)
			})
		}
	}
}

// makeClass tries the recipes of a situation.
func (b *builder) makeClass(s situation) *madeClass {
	own, partner := b.beta(s.event)
	m := &madeClass{class: coverage.Class{Beta: own.Central, Partner: 1 - partner.Central, BetaInput: -1, PartnerInput: -1}}
	for k, o := range []*outfit{b.solo, b.both} {
		if o == nil {
			continue
		}
		m.trials[k] = make([]*trial, 0, len(b.byEvent[s.event]))
		for _, ri := range b.byEvent[s.event] {
			t := b.try(k, o, ri, s)
			m.trials[k] = append(m.trials[k], t)
			if !t.usable {
				continue
			}
			r := b.recipe(&m.class, t, s)
			if k == 0 {
				m.class.Solo = append(m.class.Solo, r)
			} else {
				m.class.Together = append(m.class.Together, r)
			}
		}
	}
	return m
}

// oneTrial is a recipe tried in a situation, of which only what the recipe asks about is kept.
type oneTrial struct {
	event int // the first that asks for the same forces, -1 = does not matter
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
	switch r.Method {
	case "":
	case "walk":
		key.walk = s.walk
	case "tow":
		key.event, key.at = b.index.braked[s.event], s.at
	default:
		key.event, key.at = b.index.staged[s.event], s.at
	}
	if r.Daylight {
		key.light = s.light
	}
	return b.triesOf(k, o, ri).of(key, func() *trial {
		return tryRecipe(b.x.cat, o, ri, s)
	})
}

func (b *builder) recipe(c *coverage.Class, t *trial, s situation) coverage.Recipe {
	out := coverage.Recipe{Chance: b.x.cat.Recipes[t.recipe].Chance.Central, Scale: t.scale, Key: int32(t.recipe), Input: -1}
	for _, alternatives := range t.open {
		var mask uint16
		for _, a := range alternatives {
			mask |= 1 << atom(c, b.index.thing[thingKey{item: a.Item, count: a.Count}])
		}
		out.Needs = append(out.Needs, mask)
	}
	if t.anchor {
		out.Needs = append(out.Needs, 1<<atom(c, b.index.thing[thingKey{item: -1, ground: s.at.Ground}]))
	}
	return out
}

func atom(c *coverage.Class, thing int32) int {
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

// thing is the model's number of a thing of the index.
func (b *builder) thing(n int32) int32 {
	if b.local[n] >= 0 {
		return b.local[n]
	}
	t, weight := b.makeThing(b.index.things[n])
	i := int32(len(b.m.Things))
	b.m.Things = append(b.m.Things, t)
	b.item, b.weight = append(b.item, b.index.things[n].item), append(b.weight, weight)
	b.local[n] = i
	return i
}

// makeThing is the presence of so much of something that is used up, or of a natural anchor in reach on a class of
// ground. A stock is counted in units of the smallest amount that any recipe asks for; a need of several units is
// met while that many are left.
func (b *builder) makeThing(k thingKey) (t coverage.Thing, weight float64) {
	if k.item < 0 {
		p := b.x.cat.Policy.Anchor[k.ground].Central
		return coverage.Thing{Key: b.index.keyOf[k], Chance: p, Together: p}, 0
	}
	unit := b.unit[k.item]
	need := math.Ceil(k.count/unit - 1e-9)
	units := func(q float64) int { return int(math.Max(0, math.Floor(q/unit+1e-9)-need+1)) }
	t = coverage.Thing{Key: b.index.keyOf[k], UsedUp: true, Units: units(b.solo.count[k.item])}
	if b.both != nil {
		t.Surplus = units(b.both.count[k.item]+b.both.surplus[k.item]) - t.Units
	}
	return t, need
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
