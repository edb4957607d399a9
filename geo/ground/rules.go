package ground

import (
	"fmt"
	"slices"

	"lastroad/geo"
	"lastroad/geo/osm"
	"lastroad/geo/table"
)

// ClassRow gives a mixture for values of a tag: what lies on the ground where it is tagged so.
type ClassRow struct {
	Values []string `toml:"values"`
	Mix    Weights  `toml:"mix"`
	// Vague surfaces ("unpaved") leave much open, so that the area around tells more.
	Vague  bool           `toml:"vague"`
	From   geo.Provenance `toml:"from"`
	Source string         `toml:"source"`
}

// LeanRow gives, for values of a tag that is not a surface, how likely the tag is on each class:
// mixtures are multiplied by it.
type LeanRow struct {
	Key    string   `toml:"key"`
	Values []string `toml:"values"`
	Lean   Weights  `toml:"lean"`
	// Known is true where the tag alone says enough of the ground that it counts as known.
	Known  bool           `toml:"known"`
	From   geo.Provenance `toml:"from"`
	Source string         `toml:"source"`
}

// HighwayRow gives the mixture for ways of a highway type without any ground tag.
type HighwayRow struct {
	Values []string `toml:"values"`
	Mix    Weights  `toml:"mix"`
	// Known is true where the type alone says what the road is made of.
	Known bool `toml:"known"`
	// ByRegion lets the tagged ways of the region settle what the untagged ones are made of, when
	// they agree (see RegionRule).
	ByRegion bool           `toml:"by_region"`
	From     geo.Provenance `toml:"from"`
	Source   string         `toml:"source"`
}

// AreaRow says what kinds of areas mean for the ground.
type AreaRow struct {
	Kinds []string `toml:"kinds"`
	// Off is the mixture where one drives over the area off any way; OffKnown says whether that counts as known.
	Off      Weights `toml:"off"`
	OffKnown bool    `toml:"off_known"`
	// Lean changes the mixture of a way without a clear surface that lies in the area.
	Lean Weights `toml:"lean"`
	// LeanKnown is true where a way in the area can hardly be anything else (a glacier).
	LeanKnown bool           `toml:"lean_known"`
	From      geo.Provenance `toml:"from"`
	Source    string         `toml:"source"`
}

// RegionRule says how far the tagged ways of a region speak for the untagged ones.
type RegionRule struct {
	// PriorKm is the weight of the table's mixture against the region's tagged kilometres.
	PriorKm geo.Figure `toml:"prior_km"`
	// KnownShare and KnownKm: when at least this share of at least so many tagged kilometres is of one
	// class, an untagged way of a ByRegion type counts as known.
	KnownShare geo.Figure `toml:"known_share"`
	KnownKm    geo.Figure `toml:"known_km"`
}

// CrossingRule is, by kind of watercourse, the chance that a crossing without a tag for bridge, culvert or ford
// runs through its bed, on ways; 0..1 each.
type CrossingRule struct {
	River  geo.Figure `toml:"river"`
	Stream geo.Figure `toml:"stream"`
	Canal  geo.Figure `toml:"canal"`
	Ditch  geo.Figure `toml:"ditch"`
	Wadi   geo.Figure `toml:"wadi"`
	// Kept is the most that it is on a maintained road.
	Kept geo.Figure `toml:"kept"`
	// OffWay is the chance off any way, for every kind.
	OffWay geo.Figure `toml:"off_way"`
	// IntermittentWet and WadiWet are how much of the time such a bed holds water, 0..1.
	IntermittentWet geo.Figure `toml:"intermittent_wet"`
	WadiWet         geo.Figure `toml:"wadi_wet"`
}

// ruleFile is the file as written.
type ruleFile struct {
	Surface []ClassRow   `toml:"surface"`
	Special []specialRow `toml:"special"`
	Lean    []LeanRow    `toml:"lean"`
	Highway []HighwayRow `toml:"highway"`
	Other   HighwayRow   `toml:"other"`
	Area    []AreaRow    `toml:"area"`
	OffWay  offWayRow    `toml:"off_way"`
	Region  RegionRule   `toml:"region"`
	// Crossing is for watercourses that a route crosses without a tag that says how.
	Crossing CrossingRule `toml:"crossing"`
	Doubt    doubtRow     `toml:"doubt"`
}

// doubtRow is how far the judged weights of the other rows may be off.
type doubtRow struct {
	// Odds is what the odds of a share, or a likelihood, may have to be multiplied or divided by.
	Odds geo.Figure `toml:"odds"`
}

// specialRow is a tag that settles the ground before the surface is looked at.
type specialRow struct {
	Key    string         `toml:"key"`
	Values []string       `toml:"values"`
	Mix    Weights        `toml:"mix"`
	From   geo.Provenance `toml:"from"`
	Source string         `toml:"source"`
}

type offWayRow struct {
	Mix    Weights        `toml:"mix"`
	From   geo.Provenance `toml:"from"`
	Source string         `toml:"source"`
}

// Rules are the rules by which tags become ground classes. They do not change once parsed and may be
// used by several goroutines.
type Rules struct {
	file    ruleFile
	surface map[string]*ClassRow
	lean    map[string]map[string]*LeanRow
	leanKey []string // in the order of the file
	highway map[string]*HighwayRow
	area    [osm.NumAreaKinds]*AreaRow
	region  map[string]regionShare // by highway; nil without a region
}

// ParseRules reads ground.toml. Errors are of type [geo.InputError] and name the line.
func ParseRules(data []byte, file string) (*Rules, error) {
	r := &Rules{}
	doc, err := table.Decode(data, file, &r.file)
	if err != nil {
		return nil, err
	}
	if err := r.index(doc.Fault); err != nil {
		return nil, err
	}
	return r, nil
}

// index checks the rows and makes them findable; a fault is told with the path of the row.
func (r *Rules) index(fault func(path, reason string) error) error {
	r.surface, r.lean, r.highway = map[string]*ClassRow{}, map[string]map[string]*LeanRow{}, map[string]*HighwayRow{}
	f := &r.file
	for i := range f.Surface {
		row, at := &f.Surface[i], fmt.Sprintf("surface.%d", i+1)
		if err := row.Mix.checkMix(); err != nil {
			return fault(at+".mix", err.Error())
		}
		for _, v := range row.Values {
			if r.surface[v] != nil {
				return fault(at+".values", fmt.Sprintf("%q stands in two rows", v))
			}
			r.surface[v] = row
		}
	}
	for i := range f.Special {
		row, at := &f.Special[i], fmt.Sprintf("special.%d", i+1)
		if err := row.Mix.checkMix(); err != nil {
			return fault(at+".mix", err.Error())
		}
		if !osm.KeptKeys(row.Key) {
			return fault(at+".key", fmt.Sprintf("%q is not a key that is read from the file", row.Key))
		}
	}
	for i := range f.Lean {
		row, at := &f.Lean[i], fmt.Sprintf("lean.%d", i+1)
		if err := row.Lean.checkLean(); err != nil {
			return fault(at+".lean", err.Error())
		}
		if !osm.KeptKeys(row.Key) {
			return fault(at+".key", fmt.Sprintf("%q is not a key that is read from the file", row.Key))
		}
		if r.lean[row.Key] == nil {
			r.lean[row.Key] = map[string]*LeanRow{}
			r.leanKey = append(r.leanKey, row.Key)
		}
		for _, v := range row.Values {
			if r.lean[row.Key][v] != nil {
				return fault(at+".values", fmt.Sprintf("%s=%s stands in two rows", row.Key, v))
			}
			r.lean[row.Key][v] = row
		}
	}
	for i := range f.Highway {
		row, at := &f.Highway[i], fmt.Sprintf("highway.%d", i+1)
		if err := row.Mix.checkMix(); err != nil {
			return fault(at+".mix", err.Error())
		}
		for _, v := range row.Values {
			if r.highway[v] != nil {
				return fault(at+".values", fmt.Sprintf("%q stands in two rows", v))
			}
			r.highway[v] = row
		}
	}
	if err := f.Other.Mix.checkMix(); err != nil {
		return fault("other.mix", err.Error())
	}
	if err := f.OffWay.Mix.checkMix(); err != nil {
		return fault("off_way.mix", err.Error())
	}
	for i := range f.Area {
		row, at := &f.Area[i], fmt.Sprintf("area.%d", i+1)
		if err := row.Off.checkMix(); err != nil {
			return fault(at+".off", err.Error())
		}
		if err := row.Lean.checkLean(); err != nil {
			return fault(at+".lean", err.Error())
		}
		for _, v := range row.Kinds {
			k, ok := osm.ParseAreaKind(v)
			if !ok || k == osm.AreaNone {
				return fault(at+".kinds", fmt.Sprintf("%q is not a kind of area", v))
			}
			if r.area[k] != nil {
				return fault(at+".kinds", fmt.Sprintf("%q stands in two rows", v))
			}
			r.area[k] = row
		}
	}
	for k := osm.AreaKind(1); k < osm.NumAreaKinds; k++ {
		if r.area[k] == nil {
			return fault("area", fmt.Sprintf("there is no row for areas of kind %q", k))
		}
	}
	if s := f.Region.KnownShare; s.Low < 0 || s.High > 1 {
		return fault("region.known_share", "must lie within 0..1")
	}
	for _, c := range []struct {
		key string
		f   geo.Figure
	}{{"river", f.Crossing.River}, {"stream", f.Crossing.Stream}, {"canal", f.Crossing.Canal}, {"ditch", f.Crossing.Ditch},
		{"wadi", f.Crossing.Wadi}, {"kept", f.Crossing.Kept}, {"off_way", f.Crossing.OffWay},
		{"intermittent_wet", f.Crossing.IntermittentWet}, {"wadi_wet", f.Crossing.WadiWet}} {
		if c.f.Low < 0 || c.f.High > 1 {
			return fault("crossing."+c.key, "must lie within 0..1")
		}
	}
	if f.Doubt.Odds.Low < 1 {
		return fault("doubt.odds", "must be at least 1")
	}
	if f.Region.PriorKm.Low <= 0 {
		return fault("region.prior_km", "must be above 0")
	}
	return nil
}

// Figures calls yield for every figure of the rules by its path.
func (r *Rules) Figures(yield func(path string, f *geo.Figure)) { table.Figures(&r.file, yield) }

// Surfaces are the values of the surface key that the rules know, sorted.
func (r *Rules) Surfaces() []string {
	var s []string
	for v := range r.surface {
		s = append(s, v)
	}
	slices.Sort(s)
	return s
}
