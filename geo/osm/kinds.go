package osm

import "lastroad/geo"

// AreaKind is a kind of ground cover.
type AreaKind uint8

// The kinds of areas.
const (
	AreaNone AreaKind = iota
	Wood
	Scrub
	Heath
	Grassland // natural grass, fell, tundra
	Meadow    // meadow, village green, recreation grass
	Farmland
	Orchard // orchard, vineyard, plantation
	Scree
	Shingle // shingle, gravel bars
	BareRock
	Sand // sand, dune, desert of sand
	Beach
	Desert // desert of unnamed ground
	Mud
	Wetland
	Water
	Glacier
	SaltFlat // salt flat, dry lake, playa, salt pond
	BuiltUp  // residential, commercial, industrial, farmyard
	Quarry   // quarry, landfill, construction
	Park     // pitches, golf, gardens, parks
	NumAreaKinds
)

var areaKeys = [NumAreaKinds]string{"none", "wood", "scrub", "heath", "grassland", "meadow", "farmland", "orchard",
	"scree", "shingle", "bare_rock", "sand", "beach", "desert", "mud", "wetland", "water", "glacier", "salt_flat",
	"built_up", "quarry", "park"}

// Key is the name used in files.
func (k AreaKind) Key() string { return areaKeys[k] }

// String is the key.
func (k AreaKind) String() string { return areaKeys[k] }

// ParseAreaKind finds the kind with a key; ok is false for any other text.
func ParseAreaKind(key string) (k AreaKind, ok bool) {
	for i, s := range areaKeys {
		if s == key {
			return AreaKind(i), true
		}
	}
	return AreaNone, false
}

// areaTags are the tags that make an area, by key; the key earlier in areaTagKeys wins.
var areaTagKeys = [...]string{"natural", "landuse", "geological", "waterway", "leisure", "aeroway", "wetland"}

var areaTags = map[string]map[string]AreaKind{
	"natural": {
		"wood": Wood, "tree_group": Wood, "scrub": Scrub, "shrubbery": Scrub, "heath": Heath, "moor": Heath,
		"grassland": Grassland, "fell": Grassland, "tundra": Grassland, "scree": Scree, "shingle": Shingle,
		"stone": Scree, "stones": Scree, "blockfield": Scree, "bare_rock": BareRock, "rock": BareRock,
		"limestone_pavement": BareRock, "sand": Sand, "dune": Sand, "beach": Beach, "desert": Desert, "mud": Mud,
		"wetland": Wetland, "marsh": Wetland, "swamp": Wetland, "water": Water, "lake": Water, "bay": Water,
		"hot_spring": Water, "glacier": Glacier, "snowfield": Glacier, "salt_flat": SaltFlat, "salt": SaltFlat,
		"dry_lake": SaltFlat, "playa": SaltFlat, "sabkha": SaltFlat,
	},
	"landuse": {
		"forest": Wood, "meadow": Meadow, "grass": Meadow, "village_green": Meadow, "farmland": Farmland, "farm": Farmland,
		"greenfield": Meadow, "orchard": Orchard, "vineyard": Orchard, "plant_nursery": Orchard, "reservoir": Water,
		"basin": Water, "aquaculture": Water, "salt_pond": SaltFlat, "residential": BuiltUp, "commercial": BuiltUp,
		"retail": BuiltUp, "industrial": BuiltUp, "farmyard": BuiltUp, "garages": BuiltUp, "quarry": Quarry,
		"landfill": Quarry, "construction": Quarry, "brownfield": Quarry, "recreation_ground": Park, "cemetery": Park,
		"allotments": Park, "flowerbed": Park,
	},
	"geological": {"dune": Sand},
	"waterway":   {"riverbank": Water, "dock": Water},
	"leisure": {"park": Park, "pitch": Park, "garden": Park, "golf_course": Park, "playground": Park,
		"swimming_pool": Water},
	"aeroway": {"aerodrome": BuiltUp},
	"wetland": {"bog": Wetland, "marsh": Wetland, "swamp": Wetland, "wet_meadow": Wetland, "fen": Wetland,
		"reedbed": Wetland, "mangrove": Wetland, "saltmarsh": Wetland, "tidalflat": Mud, "mud": Mud,
		"saltern": SaltFlat},
}

// AreaKindOf is the kind of ground cover that the tags of a closed way or multipolygon stand for,
// AreaNone when they stand for none. natural wins over landuse; a wetland that is a tidal flat is Mud,
// a salt lake that holds water only at times is SaltFlat, sandy desert is Sand.
func AreaKindOf(t Tags) AreaKind {
	kind := AreaNone
	for _, key := range areaTagKeys {
		if v := t.Get(key); v != "" {
			if k := areaTags[key][v]; k != AreaNone {
				kind = k
				break
			}
		}
	}
	switch {
	case kind == Wetland && areaTags["wetland"][t.Get("wetland")] != AreaNone:
		kind = areaTags["wetland"][t.Get("wetland")]
	case kind == Water && t.Yes("salt") && t.Yes("intermittent"):
		kind = SaltFlat
	case kind == Desert && (t.Get("desert") == "sand" || t.Get("surface") == "sand"):
		kind = Sand
	}
	return kind
}

// LineKind is a kind of line feature other than a way.
type LineKind uint8

// The kinds of lines.
const (
	LineNone LineKind = iota
	River
	Stream
	Canal
	Ditch // ditch, drain
	Wadi  // wadi, wash
	Cliff
	Embankment // earth bank, retaining wall, ridge of a dam
	Coastline
	NumLineKinds
)

var lineKeys = [NumLineKinds]string{"none", "river", "stream", "canal", "ditch", "wadi", "cliff", "embankment", "coastline"}

// Key is the name used in files.
func (k LineKind) Key() string { return lineKeys[k] }

// String is the key.
func (k LineKind) String() string { return lineKeys[k] }

// Wet reports whether the line is a watercourse.
func (k LineKind) Wet() bool { return k >= River && k <= Wadi }

// LineKindOf is the kind of line that tags stand for, LineNone when they stand for none.
func LineKindOf(t Tags) LineKind {
	switch t.Get("waterway") {
	case "river":
		return River
	case "stream", "tidal_channel", "brook":
		return Stream
	case "canal":
		return Canal
	case "ditch", "drain":
		return Ditch
	case "wadi":
		return Wadi
	}
	switch t.Get("natural") {
	case "cliff":
		return Cliff
	case "coastline":
		return Coastline
	case "earth_bank":
		return Embankment
	}
	switch t.Get("barrier") {
	case "retaining_wall", "city_wall":
		return Embankment
	}
	if t.Get("man_made") == "embankment" {
		return Embankment
	}
	return LineNone
}

// NodeKind is a kind of point that matters to someone on a way.
type NodeKind uint8

// The kinds of nodes.
const (
	NodeNone NodeKind = iota
	NodeFord
	NodeGate   // gates of any make: may be shut or locked
	NodeBlock  // bollards, blocks, logs, ditches: stops a car
	NodeGrid   // cattle grids, toll booths, border control: passable, worth knowing
	NodePass   // mountain pass or saddle
	NodePeak   // peak or volcano, for the map
	NodeHazard // a place tagged as hazard
	NumNodeKinds
)

var nodeKeys = [NumNodeKinds]string{"none", "ford", "gate", "block", "grid", "pass", "peak", "hazard"}

// Key is the name used in files.
func (k NodeKind) Key() string { return nodeKeys[k] }

// String is the key.
func (k NodeKind) String() string { return nodeKeys[k] }

var barriers = map[string]NodeKind{
	"gate": NodeGate, "lift_gate": NodeGate, "swing_gate": NodeGate, "bump_gate": NodeGate, "hampshire_gate": NodeGate,
	"sliding_gate": NodeGate, "chain": NodeGate, "rope": NodeGate, "spikes": NodeGate, "wicket_gate": NodeGate, "cable_barrier": NodeGate,
	"bollard": NodeBlock, "block": NodeBlock, "log": NodeBlock, "jersey_barrier": NodeBlock, "debris": NodeBlock,
	"rising_bollard": NodeBlock, "ditch": NodeBlock, "berm": NodeBlock, "stile": NodeBlock, "cycle_barrier": NodeBlock,
	"motorcycle_barrier": NodeBlock, "kissing_gate": NodeBlock, "turnstile": NodeBlock, "boulder": NodeBlock, "rock": NodeBlock,
	"planter": NodeBlock, "barrier_board": NodeBlock, "height_restrictor": NodeGate, "bus_trap": NodeBlock, "sump_buster": NodeBlock,
	"cattle_grid": NodeGrid, "toll_booth": NodeGrid, "border_control": NodeGrid, "checkpoint": NodeGrid,
	"entrance": NodeNone, "kerb": NodeNone, "yes": NodeBlock,
}

// NodeKindOf is the kind of point that the tags of a node stand for, NodeNone when they stand for none.
func NodeKindOf(t Tags) NodeKind {
	if t.Yes("ford") || t.Get("highway") == "ford" {
		return NodeFord
	}
	if b := t.Get("barrier"); b != "" {
		return barriers[b]
	}
	switch {
	case t.Yes("mountain_pass"):
		return NodePass
	case t.Get("natural") == "saddle":
		return NodePass
	case t.Get("natural") == "peak", t.Get("natural") == "volcano":
		return NodePeak
	case t.Get("highway") != "" && t.Get("hazard") != "":
		return NodeHazard
	}
	return NodeNone
}

// placeRule is one tag that makes a place of help.
type placeRule struct {
	key, value string
	kind       geo.HelpKind
}

// placeRules are the tags that make a place of help. An element gives one place of each kind at most, by
// the earliest rule that holds for it.
var placeRules = []placeRule{
	{"amenity", "fuel", geo.HelpFuel},
	{"amenity", "drinking_water", geo.HelpWater},
	{"amenity", "water_point", geo.HelpWater},
	{"man_made", "water_tap", geo.HelpWater},
	{"waterway", "water_point", geo.HelpWater},
	{"man_made", "water_well", geo.HelpWater},
	{"natural", "spring", geo.HelpSpring},
	{"natural", "hot_spring", geo.HelpSpring},
	{"place", "city", geo.HelpSettlement},
	{"place", "town", geo.HelpSettlement},
	{"place", "village", geo.HelpSettlement},
	{"place", "hamlet", geo.HelpSettlement},
	{"place", "isolated_dwelling", geo.HelpSettlement},
	{"place", "farm", geo.HelpSettlement},
	{"amenity", "hospital", geo.HelpMedical},
	{"amenity", "clinic", geo.HelpMedical},
	{"amenity", "doctors", geo.HelpMedical},
	{"amenity", "pharmacy", geo.HelpMedical},
	{"healthcare", "hospital", geo.HelpMedical},
	{"healthcare", "clinic", geo.HelpMedical},
	{"healthcare", "doctor", geo.HelpMedical},
	{"healthcare", "centre", geo.HelpMedical},
	{"emergency", "ambulance_station", geo.HelpMedical},
	{"amenity", "police", geo.HelpPolice},
	{"amenity", "fire_station", geo.HelpPolice},
	{"amenity", "ranger_station", geo.HelpPolice},
	{"emergency", "mountain_rescue", geo.HelpPolice},
	{"tourism", "alpine_hut", geo.HelpHut},
	{"tourism", "wilderness_hut", geo.HelpHut},
	{"amenity", "shelter", geo.HelpHut},
	{"shop", "car_repair", geo.HelpWorkshop},
	{"shop", "tyres", geo.HelpWorkshop},
	{"shop", "car_parts", geo.HelpWorkshop},
	{"craft", "mechanic", geo.HelpWorkshop},
	{"amenity", "telephone", geo.HelpPhone},
	{"emergency", "phone", geo.HelpPhone},
}

// placeRuleOf finds the rule of a tag.
var placeRuleOf = func() map[Tag]int {
	m := make(map[Tag]int, len(placeRules))
	for i, r := range placeRules {
		m[Tag{r.key, r.value}] = i
	}
	return m
}()

// placesOf calls found for every kind of help that the tags stand for, with the tag it rests on.
func placesOf(t Tags, found func(kind geo.HelpKind, tag string)) {
	var best [geo.NumHelp]int // rule number + 1
	var tried [128]bool       // by rule: a broken file may give one tag a million times
	any := false
	for _, tag := range t {
		if keys[tag.Key]&placeKey == 0 {
			continue
		}
		i, ok := placeRuleOf[tag]
		if !ok || tried[i] {
			continue
		}
		tried[i] = true
		if helps(t, &placeRules[i]) {
			if k := placeRules[i].kind; best[k] == 0 || i+1 < best[k] {
				best[k], any = i+1, true
			}
		}
	}
	if !any {
		return
	}
	for k, i := range best {
		if i > 0 {
			found(geo.HelpKind(k), placeRules[i-1].key+"="+placeRules[i-1].value)
		}
	}
}

// isPlace reports whether the tags stand for a place of help.
func isPlace(t Tags) (is bool) {
	placesOf(t, func(geo.HelpKind, string) { is = true })
	return is
}

// helps takes out what carries the tag and yet helps nobody: water said not to be for drinking, a
// shelter that is only a roof for waiting passengers or picnics, a thing shut for good.
func helps(t Tags, r *placeRule) bool {
	if t.Yes("disused") || t.Yes("abandoned") {
		return false
	}
	switch r.kind {
	case geo.HelpWater:
		return t.Get("drinking_water") != "no"
	case geo.HelpHut:
		if r.value == "shelter" {
			switch t.Get("shelter_type") {
			case "public_transport", "picnic_shelter", "gazebo", "sun_shelter", "pavilion":
				return false
			}
		}
	}
	return true
}
