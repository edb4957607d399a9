package recovery

import (
	"fmt"

	"lastroad/geo"
	"lastroad/geo/table"
)

// ByGround holds one figure for each ground class.
type ByGround map[string]geo.Figure

// Of is the figure of ground g; an unheard-of class gets that of unknown ground.
func (b ByGround) Of(g geo.Ground) geo.Figure {
	if f, ok := b[g.Key()]; ok {
		return f
	}
	return b[geo.Unknown.Key()]
}

// Tables are the numbers of recovery engineering with their sources.
type Tables struct {
	Surface  ByGround              `toml:"surface"`
	Mire     map[string]geo.Figure `toml:"mire"`
	State    map[string]geo.Figure `toml:"state"`
	Traction ByGround              `toml:"traction"`
	Rolling  ByGround              `toml:"rolling"`
	Sheave   map[string]geo.Figure `toml:"tackle"`
	Design   map[string]geo.Figure `toml:"design"`
	Bend     BendTable             `toml:"bend"`
	Rope     map[string]geo.Figure `toml:"rope"`
	Steel    SteelTable            `toml:"steel"`
	HMPE     HMPETable             `toml:"hmpe"`
	Shackle  ShackleTable          `toml:"shackle"`
	Chain80  ChainTable            `toml:"chain80"`
	Choke    ChokeTable            `toml:"choke"`
	Deadman  DeadmanTable          `toml:"deadman"`
	Soil     map[string]geo.Figure `toml:"soil"`
	Picket   []PicketRow           `toml:"picket"`
	Anchor   map[string]geo.Figure `toml:"anchor"`
	SiteRule map[string]geo.Figure `toml:"site"`
	Winch    map[string]geo.Figure `toml:"winch"`
	Clear    map[string]geo.Figure `toml:"clear"`
	Elastic  map[string]geo.Figure `toml:"kinetic"`
	Digging  map[string]geo.Figure `toml:"digging"`
	Bearing  ByGround              `toml:"bearing"`
	Jacking  map[string]geo.Figure `toml:"jack"`
	Board    map[string]geo.Figure `toml:"boards"`
	Towing   map[string]geo.Figure `toml:"tow"`
	Steady   map[string]geo.Figure `toml:"stability"`
	FordRow  []FordRow             `toml:"ford"`
	Water    map[string]geo.Figure `toml:"water"`
	Caution  []Caution             `toml:"caution"`
}

// BendTable is the efficiency of a rope bent round a diameter, by the ratio of that to its own.
type BendTable struct {
	From       geo.Provenance `toml:"from"`
	Source     string         `toml:"source"`
	Ratio      []float64      `toml:"ratio"`
	Efficiency []float64      `toml:"efficiency"`
}

// SteelTable holds the minimum breaking force factors of steel rope by class and core.
type SteelTable struct {
	From      geo.Provenance `toml:"from"`
	Source    string         `toml:"source"`
	Grade     float64        `toml:"grade"` // N/mm2 when the rope's grade is not given
	Class     []string       `toml:"class"`
	FibreCore []float64      `toml:"fibre_core"`
	SteelCore []float64      `toml:"steel_core"`
}

// HMPETable holds the average breaking strength of 12-strand HMPE rope by diameter.
type HMPETable struct {
	From       geo.Provenance `toml:"from"`
	Source     string         `toml:"source"`
	DiameterMM []float64      `toml:"diameter_mm"`
	AverageKN  []float64      `toml:"average_kn"`
}

// ShackleTable holds working load limits of bow shackles by size, to compare a stamp with.
type ShackleTable struct {
	From    geo.Provenance `toml:"from"`
	Source  string         `toml:"source"`
	SizeIn  []float64      `toml:"size_in"`
	CarbonT []float64      `toml:"carbon_t"`
	AlloyT  []float64      `toml:"alloy_t"`
}

// ChainTable holds working loads of grade 80 chain by size, to compare a mark with.
type ChainTable struct {
	From   geo.Provenance `toml:"from"`
	Source string         `toml:"source"`
	SizeMM []float64      `toml:"size_mm"`
	WLLKN  []float64      `toml:"wll_kn"`
}

// ChokeTable holds what the angle of choke leaves of a sling in a choker hitch.
type ChokeTable struct {
	From     geo.Provenance `toml:"from"`
	Source   string         `toml:"source"`
	AngleDeg []float64      `toml:"angle_deg"` // from which the share holds
	Share    []float64      `toml:"share"`
	Choker   geo.Figure     `toml:"choker"`
}

// DeadmanTable holds the holding power of a buried log in loam.
type DeadmanTable struct {
	From      geo.Provenance `toml:"from"`
	Source    string         `toml:"source"`
	DepthM    []float64      `toml:"depth_m"`   // rising
	Slope     []float64      `toml:"slope"`     // rise over run of the rope, falling
	PowerPsf  [][]float64    `toml:"power_psf"` // rows by depth, columns by slope, lbf/ft2
	TrenchM   geo.Figure     `toml:"trench_m"`
	TimberMax geo.Figure     `toml:"timber_max"`
	LogMax    geo.Figure     `toml:"log_max"`
	Shallow   geo.Figure     `toml:"shallow"`
	Least     geo.Figure     `toml:"shallowest"`
}

// PicketRow is one arrangement of driven pickets in one soil.
type PicketRow struct {
	Key   string     `toml:"key"` // "soil:arrangement"
	Title string     `toml:"title"`
	Hold  geo.Figure `toml:"hold"` // kN
}

// FordRow is one class of vehicle in moving water.
type FordRow struct {
	Key        string     `toml:"key"`
	Title      string     `toml:"title"`
	LengthM    float64    `toml:"length_m"`
	KerbKg     float64    `toml:"kerb_kg"`
	ClearanceM float64    `toml:"clearance_m"`
	DV         geo.Figure `toml:"dv"`      // depth times velocity, m2/s
	Still      geo.Figure `toml:"still_m"` // greatest depth whatever the velocity
}

// wanted names the figures that the code asks for by name; a table without one of them is refused.
var wanted = map[string][]string{
	"mire":   {"sidewall", "hub", "axle", "body", "hung"},
	"state":  {"locked", "locked_added", "on_side"},
	"tackle": {"per_sheave", "efficiency"},
	"design": {"shackle", "shackle_alloy", "sling", "rope", "webbing", "soft_shackle", "block", "hook", "chain", "point", "ground_anchor"},
	"rope": {"splice_steel", "splice_pressed", "splice_hmpe", "clips_steel", "knot", "hmpe_minimum", "drum_mm", "drum_width_mm",
		"sheave_ratio", "webbing_kn_per_cm", "wraps_steel", "wraps_hmpe", "soft_bend", "basket"},
	"soil":      {"loam", "sand", "wet", "clay", "hard"},
	"anchor":    {"braked", "tree_mm", "picket_system"},
	"site":      {"distance_m", "travel_m", "bridle_deg"},
	"winch":     {"rated_share", "full_load_s", "amps_per_kn", "power_out_m", "respool_kn", "fleet_smooth", "fleet_grooved"},
	"clear":     {"strap", "wire", "least_m"},
	"kinetic":   {"stretch_strap", "stretch_rope", "mass_ratio", "wet_share", "speed_kmh", "length_m", "slack_m", "stiffening", "rest_min"},
	"digging":   {"sand", "soil", "mud", "stony", "snow", "tread", "sidewall", "hub", "axle", "body", "deadman_m3_per_m"},
	"jack":      {"slope_deg", "wheel_share", "farm_share", "reserve"},
	"boards":    {"depth_m"},
	"tow":       {"grade_max", "start", "strap_m", "speed_kmh", "no_brake_kmh"},
	"stability": {"dynamic", "side_slope", "grade"},
	"water":     {"velocity_max", "entry_grade", "speed_kmh", "minutes"},
}

// ParseTables reads the numbers of recovery from TOML. It is strict: unknown keys, missing figures,
// missing provenance, bands out of order and tables that do not rise are refused with a
// [geo.InputError] that names file and line.
func ParseTables(data []byte, file string) (*Tables, error) {
	t := &Tables{}
	doc, err := table.Decode(data, file, t)
	if err != nil {
		return nil, err
	}
	named := map[string]map[string]geo.Figure{"mire": t.Mire, "state": t.State, "tackle": t.Sheave, "design": t.Design,
		"rope": t.Rope, "soil": t.Soil, "anchor": t.Anchor, "site": t.SiteRule, "winch": t.Winch, "clear": t.Clear, "kinetic": t.Elastic,
		"digging": t.Digging, "jack": t.Jacking, "boards": t.Board, "tow": t.Towing, "stability": t.Steady, "water": t.Water}
	for _, name := range sortedKeys(wanted) {
		if err := exactly(doc, name, named[name], wanted[name]); err != nil {
			return nil, err
		}
	}
	grounds := make([]string, geo.NumGrounds)
	for g := geo.Unknown; g < geo.NumGrounds; g++ {
		grounds[g] = g.Key()
	}
	byGround := map[string]ByGround{"surface": t.Surface, "traction": t.Traction, "rolling": t.Rolling, "bearing": t.Bearing}
	for _, name := range sortedKeys(byGround) {
		if err := exactly(doc, name, byGround[name], grounds); err != nil {
			return nil, err
		}
	}
	return t, t.shape(doc)
}

// shape checks what the reflective walk cannot: lengths, rising order, and the orders that the
// promises of the package rest on (deeper never asks for less).
func (t *Tables) shape(doc *table.Document) error {
	rising := func(path string, v []float64) error {
		for i := 1; i < len(v); i++ {
			if !(v[i] > v[i-1]) {
				return doc.Fault(path, fmt.Sprintf("entry %d (%g) does not rise above the one before it", i+1, v[i]))
			}
		}
		return nil
	}
	same := func(path string, n, m int) error {
		if n != m || n == 0 {
			return doc.Fault(path, fmt.Sprintf("has %d entries, wanted %d and at least one", n, m))
		}
		return nil
	}
	err := first(
		same("bend.efficiency", len(t.Bend.Efficiency), len(t.Bend.Ratio)), rising("bend.ratio", t.Bend.Ratio), rising("bend.efficiency", t.Bend.Efficiency),
		same("steel.fibre_core", len(t.Steel.FibreCore), len(t.Steel.Class)), same("steel.steel_core", len(t.Steel.SteelCore), len(t.Steel.Class)),
		same("hmpe.average_kn", len(t.HMPE.AverageKN), len(t.HMPE.DiameterMM)), rising("hmpe.diameter_mm", t.HMPE.DiameterMM), rising("hmpe.average_kn", t.HMPE.AverageKN),
		same("shackle.carbon_t", len(t.Shackle.CarbonT), len(t.Shackle.SizeIn)), same("shackle.alloy_t", len(t.Shackle.AlloyT), len(t.Shackle.SizeIn)),
		same("chain80.wll_kn", len(t.Chain80.WLLKN), len(t.Chain80.SizeMM)), rising("chain80.size_mm", t.Chain80.SizeMM),
		same("choke.share", len(t.Choke.Share), len(t.Choke.AngleDeg)), rising("choke.angle_deg", t.Choke.AngleDeg), rising("choke.share", t.Choke.Share),
		same("deadman.power_psf", len(t.Deadman.PowerPsf), len(t.Deadman.DepthM)), rising("deadman.depth_m", t.Deadman.DepthM),
	)
	if err != nil {
		return err
	}
	for i, row := range t.Deadman.PowerPsf {
		if err := first(same(fmt.Sprintf("deadman.power_psf row %d", i+1), len(row), len(t.Deadman.Slope)),
			rising(fmt.Sprintf("deadman.power_psf row %d", i+1), row)); err != nil {
			return err
		}
	}
	last := geo.Figure{}
	for _, k := range []string{"sidewall", "hub", "axle", "body"} {
		f := t.Mire[k]
		if f.Low < last.Low || f.Central < last.Central || f.High < last.High {
			return doc.Fault("mire."+k, "asks for less than the depth above it")
		}
		last = f
	}
	if len(t.Picket) == 0 || len(t.FordRow) == 0 || len(t.Caution) == 0 {
		return doc.Fault("", "needs at least one picket, one ford and one caution")
	}
	return checkCautions(doc, t.Caution)
}
