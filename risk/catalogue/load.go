package catalogue

import (
	"fmt"

	"lastroad/geo"
	"lastroad/risk/recovery"
	"lastroad/risk/supply"
)

// TableNames are the files that [Load] asks for.
var TableNames = []string{"items", "skills", "factors", "hazards", "recipes", "policy"}

// Load reads all tables. table returns the bytes of a table and its display name, as assets.Table does.
// The error is a [geo.InputError] that names file, line and reason.
func Load(table func(name string) (data []byte, file string)) (*Catalogue, error) {
	c := &Catalogue{item: map[string]int{}, skill: map[string]int{}, event: map[string]int{}, factor: map[string]int{}}
	steps := map[string]func(source) error{
		"items": c.readItems, "skills": c.readSkills, "factors": c.readFactors,
		"hazards": c.readHazards, "recipes": c.readRecipes, "policy": c.readPolicy,
	}
	for _, name := range TableNames {
		data, file := table(name)
		if err := steps[name](newSource(data, file)); err != nil {
			return nil, err
		}
	}
	var err error
	if c.Recovery, err = recovery.ParseTables(table("recovery")); err != nil {
		return nil, err
	}
	tyres, tyresFile := table("tyres")
	if c.Tyres, err = recovery.ParseTyres(tyres, tyresFile, c.Recovery); err != nil {
		return nil, err
	}
	if c.Supply, err = supply.ParseTables(table("supply")); err != nil {
		return nil, err
	}
	if c.Vehicles, err = supply.ParseVehicles(table("vehicles")); err != nil {
		return nil, err
	}
	if c.Climates, err = supply.ParseClimate(table("climate")); err != nil {
		return nil, err
	}
	for _, e := range c.Events {
		if _, ok := c.Policy.Beta[e.Beta]; !ok {
			return nil, &geo.InputError{File: "hazards.toml", Where: "event " + e.Key, Reason: fmt.Sprintf("common cause %q is not in the policy table", e.Beta)}
		}
	}
	return c, nil
}

type itemFile struct {
	Item []struct {
		Key      string         `toml:"key"`
		Title    string         `toml:"title"`
		Group    string         `toml:"group"`
		MassKg   float64        `toml:"mass_kg"`
		VolumeL  float64        `toml:"volume_l"`
		Place    string         `toml:"place"`
		Unit     string         `toml:"unit"`
		UsedUp   bool           `toml:"used_up"`
		Force    bool           `toml:"force"`
		RatingKN float64        `toml:"rating_kn"`
		LengthM  float64        `toml:"length_m"`
		FlowLMin float64        `toml:"flow_l_min"`
		Layers   int            `toml:"layers"`
		Fits     string         `toml:"fits"`
		Comms    string         `toml:"comms"`
		Contains []string       `toml:"contains"`
		From     geo.Provenance `toml:"from"`
		Source   string         `toml:"source"`
	} `toml:"item"`
}

var places = map[string]bool{"floor": true, "rear": true, "roof": true, "front": true, "cab": true, "ball": true}

func (c *Catalogue) readItems(s source) error {
	var f itemFile
	if err := s.decode(&f); err != nil {
		return err
	}
	for i, t := range f.Item {
		at := s.block("[[item]]", i)
		it := Item{Key: t.Key, Title: t.Title, Group: t.Group, MassKg: t.MassKg, VolumeL: t.VolumeL, Place: t.Place, Unit: t.Unit,
			UsedUp: t.UsedUp, Force: t.Force, RatingKN: t.RatingKN, LengthM: t.LengthM, FlowLMin: t.FlowLMin, Layers: t.Layers, Fits: t.Fits,
			Comms: t.Comms, Contains: t.Contains, From: t.From, Source: t.Source}
		if it.Unit == "" {
			it.Unit = "piece"
		}
		if it.Fits == "" {
			it.Fits = "any"
		}
		switch {
		case it.Key == "" || it.Title == "" || it.Group == "":
			return s.refuse(at, "an item needs key, title and group")
		case !places[it.Place]:
			return s.refuse(s.field(at, "place"), "item %s: place %q is not one of floor, rear, roof, front, cab, ball", it.Key, it.Place)
		case !(it.MassKg > 0 && it.MassKg < 500):
			return s.refuse(s.field(at, "mass_kg"), "item %s: mass %g kg is outside 0 to 500", it.Key, it.MassKg)
		case !(it.VolumeL >= 0 && it.VolumeL < 2000):
			return s.refuse(s.field(at, "volume_l"), "item %s: volume %g L is outside 0 to 2000", it.Key, it.VolumeL)
		case it.Force && !(it.RatingKN > 0):
			return s.refuse(s.field(at, "rating_kn"), "item %s bears force and has no rating", it.Key)
		case it.From == "":
			return s.refuse(at, "item %s has no provenance; add from", it.Key)
		case !it.From.Valid():
			return s.refuse(s.field(at, "from"), "item %s: provenance %q is not known", it.Key, it.From)
		case it.Source == "":
			return s.refuse(at, "item %s has no source", it.Key)
		}
		if _, twice := c.item[it.Key]; twice {
			return s.refuse(s.field(at, "key"), "item %s is there twice", it.Key)
		}
		c.item[it.Key] = len(c.Items)
		c.Items = append(c.Items, it)
	}
	return c.checkContains(s)
}

// checkContains refuses sets that name unknown items or, through others, themselves.
func (c *Catalogue) checkContains(s source) error {
	state := make([]int, len(c.Items)) // 1 = on the path, 2 = done
	var walk func(i int) error
	walk = func(i int) error {
		state[i] = 1
		for _, k := range c.Items[i].Contains {
			at := s.field(s.block("[[item]]", i), "contains")
			j, ok := c.item[k]
			if !ok {
				return s.refuse(at, "item %s contains %q, which is not an item", c.Items[i].Key, k)
			}
			if state[j] == 1 {
				return s.refuse(at, "item %s contains %s, which contains it in turn", c.Items[i].Key, k)
			}
			if state[j] == 0 {
				if err := walk(j); err != nil {
					return err
				}
			}
		}
		state[i] = 2
		return nil
	}
	for i := range c.Items {
		if state[i] == 0 {
			if err := walk(i); err != nil {
				return err
			}
		}
	}
	return nil
}

func (c *Catalogue) readSkills(s source) error {
	var f struct {
		From   geo.Provenance `toml:"from"`
		Source string         `toml:"source"`
		Skill  []struct {
			Key   string `toml:"key"`
			Title string `toml:"title"`
		} `toml:"skill"`
	}
	if err := s.decode(&f); err != nil {
		return err
	}
	if !f.From.Valid() || f.Source == "" {
		return s.refuse(s.field(0, "from"), "the skills have no provenance or source")
	}
	for i, k := range f.Skill {
		at := s.block("[[skill]]", i)
		if k.Key == "" || k.Title == "" {
			return s.refuse(at, "a skill needs key and title")
		}
		if _, twice := c.skill[k.Key]; twice {
			return s.refuse(s.field(at, "key"), "skill %s is there twice", k.Key)
		}
		c.skill[k.Key] = len(c.Skills)
		c.Skills = append(c.Skills, Skill{k.Key, k.Title, f.From, f.Source})
	}
	return nil
}

func (c *Catalogue) readPolicy(s source) error {
	var f struct {
		Figure map[string]geo.Figure `toml:"figure"`
		Beta   map[string]Common     `toml:"beta"`
		Anchor map[string]geo.Figure `toml:"anchor"`
	}
	if err := s.decode(&f); err != nil {
		return err
	}
	for _, k := range policyKeys {
		v, ok := f.Figure[k.key]
		if !ok {
			return s.refuse(s.block("[figure]", 0), "policy figure %s is missing", k.key)
		}
		if err := s.check(s.field(0, k.key), k.key, v, k.least, k.most); err != nil {
			return err
		}
	}
	for _, k := range sortedKeys(f.Figure) {
		if policyIndex(k) < 0 {
			return s.refuse(s.field(0, k), "policy figure %s is not used by anything", k)
		}
	}
	for _, k := range sortedKeys(f.Beta) {
		at := s.block("[beta."+k+"]", 0)
		if err := s.check(s.field(at, "own"), "common cause "+k, f.Beta[k].Own, 0, 1); err != nil {
			return err
		}
		if err := s.check(s.field(at, "partner"), "common cause "+k+" with a partner", f.Beta[k].Partner, 0, 1); err != nil {
			return err
		}
	}
	at := s.block("[anchor]", 0)
	for g := geo.Sealed; g < geo.NumGrounds; g++ {
		v, ok := f.Anchor[g.Key()]
		if !ok {
			return s.refuse(at, "natural anchors on %s are missing", g.Key())
		}
		if err := s.check(s.field(at, g.Key()), "anchor on "+g.Key(), v, 0, 1); err != nil {
			return err
		}
		c.Policy.Anchor[g] = v
	}
	if len(f.Anchor) != int(geo.NumGrounds)-1 {
		return s.refuse(at, "there is a ground class under [anchor] that is not known")
	}
	c.Policy.Figures, c.Policy.Beta = f.Figure, f.Beta
	return nil
}
