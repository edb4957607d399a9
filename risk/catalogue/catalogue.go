package catalogue

import (
	"lastroad/geo"
	"lastroad/risk/recovery"
	"lastroad/risk/supply"
)

// Catalogue holds all tables. It is read-only once loaded.
type Catalogue struct {
	Items   []Item
	Skills  []Skill
	Hazards []Hazard
	Events  []Event // of all hazards, in file order
	Factors []Factor
	Recipes []Recipe
	Policy  Policy

	Recovery *recovery.Tables
	Supply   *supply.Tables
	Tyres    *recovery.Tyres
	Vehicles *supply.Vehicles
	Climates *supply.Climates

	item   map[string]int
	skill  map[string]int
	event  map[string]int
	factor map[string]int
}

// Item is something that can be carried.
type Item struct {
	Key, Title, Group string
	MassKg            float64 // each, or per unit
	VolumeL           float64
	Place             string // where it usually rides: floor, rear, roof, front, cab
	Unit              string // "piece", "L", "person-day"
	UsedUp            bool   // a use takes it out of the stock
	Force             bool   // bears force; without a readable rating it is not used
	RatingKN          float64
	LengthM           float64
	FlowLMin          float64 // free air of a compressor
	Layers            int     // full layers of rope on a winch drum
	Fits              string  // "any", "tyre" (same tyre size), "vehicle" (same class of vehicle)
	Comms             string  // "beacon", "messenger", "satphone", "hf", "short", "phone", "signal"; "" = none
	Contains          []string
	From              geo.Provenance
	Source            string
}

// Skill is something that people must be able to do.
type Skill struct {
	Key, Title string
	From       geo.Provenance
	Source     string
}

// Hazard is a family of troubles that share one rate.
type Hazard struct {
	Key, Title string
	// Per is the exposure: "1000km", "crossing", "person_day" or "trip" (worked out, not from a rate).
	Per  string
	Rate [geo.NumGrounds]geo.Figure // median with its 5 and 95 % points; index Unknown is not used
	// Prior are the rates before the user's log, nil without one. The worst case that readiness is measured against
	// stays with them: else troubles met and well covered would raise readiness.
	Prior *[geo.NumGrounds]geo.Figure
}

// Measure is the rate on a ground that the worst case is reckoned with.
func (h *Hazard) Measure(g geo.Ground) geo.Figure {
	if h.Prior != nil {
		return h.Prior[g]
	}
	return h.Rate[g]
}

// put changes the rate on a ground, and what it is measured by where no log stands between them.
func (h *Hazard) put(g geo.Ground, f geo.Figure) {
	if h.Prior != nil && h.Prior[g] == h.Rate[g] {
		h.Prior[g] = f
	}
	h.Rate[g] = f
}

// SameRates reports whether o has the same rates, before the user's log too.
func (h *Hazard) SameRates(o *Hazard) bool {
	if h.Rate != o.Rate || (h.Prior == nil) != (o.Prior == nil) {
		return false
	}
	return h.Prior == nil || *h.Prior == *o.Prior
}

// Event is one kind of trouble: a share of its hazard.
type Event struct {
	Key, Title, Group string
	Hazard            int
	Share             [geo.NumGrounds]geo.Figure
	Factors           []int  // into Catalogue.Factors
	Stage             string // how deep or how placed: tread, hub, body, slope, rolled; "" = no pull
	Help              string // whose limit counts while waiting: "vehicle", "people", "medical"
	Beta              string // key of the common causes in Policy.Beta
}

// Need is one requirement of a recipe: any one of the alternatives.
type Need []Portion

// Portion is an item with a count.
type Portion struct {
	Item  int
	Count float64
	// Kept says that the recipe gives back what is otherwise used up: a spare wheel buried as an anchor.
	Kept bool
}

// Recipe is one way to end a trouble.
type Recipe struct {
	Key, Title string
	Events     []int
	Needs      []Need
	Skill      int     // into Catalogue.Skills; -1 = none
	Unskilled  float64 // multiplies the chance without the skill; 0 = not to be tried
	People     int
	Anchor     string // "", "natural", "ground", "buried", "partner"
	Daylight   bool
	Method     string // reckoning of forces, see Methods
	Partner    bool   // needs the second vehicle
	Minutes    geo.Figure
	Chance     geo.Figure
}

// Methods are the ways a recipe's forces are reckoned; "" asks for no force.
var Methods = []string{"", "air_down", "dig", "boards", "jack", "winch", "hand_winch", "tug", "kinetic", "tow", "right", "walk"}

// Policy holds the judgements.
type Policy struct {
	Figures map[string]geo.Figure
	Beta    map[string]Common
	Anchor  [geo.NumGrounds]geo.Figure
}

// Common is how much one cause explains.
type Common struct {
	Own     geo.Figure `toml:"own"`
	Partner geo.Figure `toml:"partner"`
}

// Figure returns the policy figure with the given key. Keys are checked at load, so a missing one is a
// slip of our own and panics.
func (c *Catalogue) Figure(key string) geo.Figure {
	f, ok := c.Policy.Figures[key]
	if !ok {
		panic("catalogue: no policy figure " + key)
	}
	return f
}

// Item finds an item by key.
func (c *Catalogue) Item(key string) (*Item, bool) {
	i, ok := c.item[key]
	if !ok {
		return nil, false
	}
	return &c.Items[i], true
}

// ItemIndex is the place of an item in Items; ok is false for an unknown key.
func (c *Catalogue) ItemIndex(key string) (int, bool) { i, ok := c.item[key]; return i, ok }

// SkillIndex is the place of a skill in Skills; ok is false for an unknown key.
func (c *Catalogue) SkillIndex(key string) (int, bool) { i, ok := c.skill[key]; return i, ok }

// EventIndex is the place of an event in Events; ok is false for an unknown key.
func (c *Catalogue) EventIndex(key string) (int, bool) { i, ok := c.event[key]; return i, ok }
