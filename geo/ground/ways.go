package ground

import (
	"fmt"
	"slices"

	"lastroad/geo"
	"lastroad/geo/osm"
	"lastroad/geo/table"
)

// wayFile is ways.toml as written.
type wayFile struct {
	Kept   keptRow     `toml:"kept"`
	Road   []roadRow   `toml:"road"`
	Ground []groundRow `toml:"ground"`
	Rough  []roughRow  `toml:"rough"`
	Foot   footRow     `toml:"foot"`
	Path   []pathRow   `toml:"path"`
}

// keptRow says which ways ordinary help can drive.
type keptRow struct {
	Highways []string       `toml:"highways"`
	Unless   []tagRow       `toml:"unless"`
	Tracks   []tagRow       `toml:"tracks"` // a track with one of these tags counts too
	From     geo.Provenance `toml:"from"`
	Source   string         `toml:"source"`
}

// tagRow is a key and the values that count; no values = any but "no".
type tagRow struct {
	Key    string         `toml:"key"`
	Values []string       `toml:"values"`
	From   geo.Provenance `toml:"from"`
	Source string         `toml:"source"`
}

func (r *tagRow) holds(t osm.Tags) bool {
	v := t.Get(r.Key)
	if v == "" {
		return false
	}
	if len(r.Values) == 0 {
		return t.Yes(r.Key)
	}
	return slices.Contains(r.Values, v)
}

// roadRow is the pace on a sound sealed road of some types, and whether a car may use such ways at all.
type roadRow struct {
	Highways []string   `toml:"highways"`
	Pace     geo.Figure `toml:"pace"` // km/h
	Cars     bool       `toml:"cars"` // false: not open to cars unless an access tag says so
}

type groundRow struct {
	Ground string     `toml:"ground"`
	Pace   geo.Figure `toml:"pace"` // km/h
}

// roughRow caps the pace by a tag that tells how rough a way is.
type roughRow struct {
	Key    string     `toml:"key"`
	Values []string   `toml:"values"`
	Cap    geo.Figure `toml:"cap"` // km/h
}

// footRow is how the ground is walked: factors on the pace that Tobler's function gives on a path.
type footRow struct {
	OffPath geo.Figure `toml:"off_path"`
	Sand    geo.Figure `toml:"sand"`
	Mud     geo.Figure `toml:"mud"`
	Rock    geo.Figure `toml:"rock"`
	Scrub   geo.Figure `toml:"scrub"`
	Snow    geo.Figure `toml:"snow"`
	// Winding is the length of the way out over its straight distance, where no heights are known.
	Winding geo.Figure `toml:"winding"`
}

// pathRow is the factor on walking pace along ways of some types.
type pathRow struct {
	Highways []string   `toml:"highways"`
	Factor   geo.Figure `toml:"factor"`
}

// Ways are the rules about ways: which are maintained, how fast they are driven and walked, and where
// cars may go. They do not change once parsed.
type Ways struct {
	file   wayFile
	kept   map[string]bool
	road   map[string]*roadRow
	ground [geo.NumGrounds]geo.Figure
	path   map[string]*geo.Figure
}

// ParseWays reads ways.toml. Errors are of type [geo.InputError] and name the line.
func ParseWays(data []byte, file string) (*Ways, error) {
	w := &Ways{}
	doc, err := table.Decode(data, file, &w.file)
	if err != nil {
		return nil, err
	}
	if err := w.index(doc.Fault); err != nil {
		return nil, err
	}
	return w, nil
}

// index checks the rows and makes them findable; a fault is told with the path of the row.
func (w *Ways) index(fault func(path, reason string) error) error {
	w.kept, w.road, w.path, w.ground = map[string]bool{}, map[string]*roadRow{}, map[string]*geo.Figure{}, [geo.NumGrounds]geo.Figure{}
	f := &w.file
	for _, h := range f.Kept.Highways {
		w.kept[h] = true
	}
	for i := range f.Road {
		row, at := &f.Road[i], fmt.Sprintf("road.%d", i+1)
		if row.Pace.Low <= 0 {
			return fault(at+".pace", "must be above 0")
		}
		for _, h := range row.Highways {
			if w.road[h] != nil {
				return fault(at+".highways", fmt.Sprintf("%q stands in two rows", h))
			}
			w.road[h] = row
		}
	}
	for i := range f.Ground {
		row, at := &f.Ground[i], fmt.Sprintf("ground.%d", i+1)
		g, ok := geo.ParseGround(row.Ground)
		switch {
		case !ok || g == geo.Unknown:
			return fault(at+".ground", fmt.Sprintf("%q is not a ground class", row.Ground))
		case row.Pace.Low <= 0:
			return fault(at+".pace", "must be above 0")
		case w.ground[g].Unit != "":
			return fault(at+".ground", fmt.Sprintf("%q stands in two rows", row.Ground))
		}
		w.ground[g] = row.Pace
	}
	for g := geo.Sealed; g < geo.NumGrounds; g++ {
		if w.ground[g].Unit == "" {
			return fault("ground", fmt.Sprintf("there is no row for %q", g.Key()))
		}
	}
	for i := range f.Rough {
		if row, at := &f.Rough[i], fmt.Sprintf("rough.%d", i+1); row.Cap.Low <= 0 {
			return fault(at+".cap", "must be above 0; a way that cannot be driven is left out of the network by its access")
		}
	}
	for i := range f.Path {
		row, at := &f.Path[i], fmt.Sprintf("path.%d", i+1)
		if row.Factor.Low <= 0 {
			return fault(at+".factor", "must be above 0")
		}
		for _, h := range row.Highways {
			w.path[h] = &row.Factor
		}
	}
	for _, p := range []struct {
		path string
		f    geo.Figure
	}{{"off_path", f.Foot.OffPath}, {"sand", f.Foot.Sand}, {"mud", f.Foot.Mud}, {"rock", f.Foot.Rock},
		{"scrub", f.Foot.Scrub}, {"snow", f.Foot.Snow}} {
		if p.f.Low <= 0 || p.f.High > 1 {
			return fault("foot."+p.path, "must lie above 0 and not above 1")
		}
	}
	if f.Foot.Winding.Low < 1 {
		return fault("foot.winding", "must be at least 1")
	}
	return nil
}

// Figures calls yield for every figure of the table by its path.
func (w *Ways) Figures(yield func(path string, f *geo.Figure)) { table.Figures(&w.file, yield) }

// Kept reports whether a way counts as a maintained road: one that a recovery truck or an ambulance
// would normally drive.
func (w *Ways) Kept(t osm.Tags) bool { ok, _ := w.WhyKept(t); return ok }

// WhyKept tells whether a way counts as maintained, and the tag that decided it.
func (w *Ways) WhyKept(t osm.Tags) (kept bool, why string) {
	h := t.Get("highway")
	why = "highway=" + h
	switch {
	case w.kept[h]:
	case h == "track":
		ok := false
		for i := range w.file.Kept.Tracks {
			if row := &w.file.Kept.Tracks[i]; row.holds(t) {
				ok, why = true, why+", "+row.Key+"="+t.Get(row.Key)
				break
			}
		}
		if !ok {
			return false, why
		}
	default:
		return false, why
	}
	for i := range w.file.Kept.Unless {
		if row := &w.file.Kept.Unless[i]; row.holds(t) {
			return false, row.Key + "=" + t.Get(row.Key)
		}
	}
	return true, why
}

// Legality tells whether a car may drive a way, by its access tags and, without one, its type: a
// footway is not open to cars unless a tag says so.
func (w *Ways) Legality(t osm.Tags) osm.Access {
	if v := t.MotorAccess(); v != "" {
		return osm.ParseAccess(v)
	}
	if row := w.road[t.Get("highway")]; row != nil && !row.Cars {
		return osm.Forbidden
	}
	return osm.Open
}

// Drivable reports whether a car can physically follow a way of this type: roads and tracks, not
// steps and paths (which a tag can open: motor_vehicle=yes).
func (w *Ways) Drivable(t osm.Tags) bool {
	h := t.Get("highway")
	row := w.road[h]
	if row == nil {
		return false
	}
	if row.Cars {
		return t.Get("smoothness") != "impassable"
	}
	switch h {
	case "steps", "elevator", "via_ferrata":
		return false
	}
	for _, k := range []string{"motorcar", "motor_vehicle"} {
		switch t.Get(k) {
		case "yes", "designated", "permissive", "destination", "private":
			return true
		}
	}
	return false
}

// Pace is a driving speed in km/h with its band.
type Pace struct{ Low, Central, High float64 }

// Pace tells how fast an ordinary 4x4 is driven on a way with such tags and ground, in km/h: on a
// sealed share the pace of the road type; on any other the pace of the ground, but no faster than the
// road type; all capped by smoothness and the like. Classes of a mixture add up by time: the pace is
// the harmonic mean over the shares. It is above 0 for every mixture.
func (w *Ways) Pace(t osm.Tags, mix geo.GroundMix) Pace {
	road := w.road[t.Get("highway")]
	top := w.ground[geo.Sealed]
	if road != nil {
		top = road.Pace
	}
	limit := Pace{1000, 1000, 1000}
	for i := range w.file.Rough {
		row := &w.file.Rough[i]
		if v := t.Get(row.Key); v != "" && slices.Contains(row.Values, v) {
			limit = Pace{min(limit.Low, row.Cap.Low), min(limit.Central, row.Cap.Central), min(limit.High, row.Cap.High)}
		}
	}
	var slow Pace // hours a kilometre
	sum := 0.0
	for g := geo.Sealed; g < geo.NumGrounds; g++ {
		p := mix.P[g]
		if p <= 0 {
			continue
		}
		v := Pace{top.Low, top.Central, top.High}
		if f := w.ground[g]; g != geo.Sealed {
			v = Pace{min(f.Low, top.Low), min(f.Central, top.Central), min(f.High, top.High)}
		}
		slow.Low += p / min(v.Low, limit.Low)
		slow.Central += p / min(v.Central, limit.Central)
		slow.High += p / min(v.High, limit.High)
		sum += p
	}
	if sum == 0 {
		return Pace{min(top.Low, limit.Low), min(top.Central, limit.Central), min(top.High, limit.High)}
	}
	return Pace{sum / slow.Low, sum / slow.Central, sum / slow.High}
}

// GroundPace is the pace on a ground class off any way, km/h.
func (w *Ways) GroundPace(g geo.Ground) geo.Figure { return w.ground[g] }

// FootOnWay is the factor on walking pace along a way, 1 on a good path; ok is false where such a way
// is not open on foot.
func (w *Ways) FootOnWay(t osm.Tags) (factor geo.Figure, ok bool) {
	switch t.Get("foot") {
	case "no", "private":
		return geo.Figure{}, false
	}
	f := w.path[t.Get("highway")]
	if f == nil {
		return w.file.Foot.OffPath, true
	}
	return *f, true
}

// FootOffWay is the factor on walking pace off any path over areas of a kind.
func (w *Ways) FootOffWay(k osm.AreaKind) geo.Figure {
	f := &w.file.Foot
	switch k {
	case osm.Sand, osm.Beach:
		return f.Sand
	case osm.Mud, osm.Wetland:
		return f.Mud
	case osm.Scree, osm.BareRock, osm.Shingle:
		return f.Rock
	case osm.Wood, osm.Scrub:
		return f.Scrub
	case osm.Glacier:
		return f.Snow
	}
	return f.OffPath
}

// Winding is the length of a walk out over its straight distance where no heights are known.
func (w *Ways) Winding() geo.Figure { return w.file.Foot.Winding }
