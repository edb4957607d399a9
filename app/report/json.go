package report

import (
	"encoding/json"
	"io"
	"math"
	"strconv"
	"time"

	"lastroad/geo"
	"lastroad/geo/facts"
	"lastroad/risk"
)

// Schema is the version of the JSON that [JSON] writes. It rises when a field changes its meaning or
// goes away; new fields may come without a rise.
const Schema = 1

// num is a number that is null when unknown, written with at most nine significant digits.
type num float64

// MarshalJSON writes null for NaN and infinities.
func (n num) MarshalJSON() ([]byte, error) {
	f := float64(n)
	if math.IsNaN(f) || math.IsInf(f, 0) {
		return []byte("null"), nil
	}
	return strconv.AppendFloat(nil, f, 'g', 9, 64), nil
}

type bandJSON struct {
	Low     num `json:"low"`
	Central num `json:"central"`
	High    num `json:"high"`
}

func band(b risk.Band) bandJSON { return bandJSON{num(b.Low), num(b.Central), num(b.High)} }

type oddsJSON struct {
	Chance num `json:"chance"`
	OneIn  num `json:"one_in"`
	Low    num `json:"chance_5"`
	High   num `json:"chance_95"`
}

func odds(o risk.Odds) oddsJSON { return oddsJSON{num(o.P), num(1 / o.P), num(o.Low), num(o.High)} }

type cureJSON struct {
	Title  string         `json:"title"`
	Items  []loadItemJSON `json:"items"`
	MassKg num            `json:"mass_kg"`
	Points num            `json:"points"`
}

type loadItemJSON struct {
	Item  string `json:"item"`
	Count num    `json:"count"`
}

type lossJSON struct {
	Event   string    `json:"event"`
	Title   string    `json:"title"`
	Points  num       `json:"points"`
	Mean    num       `json:"expected_count"`
	Missing num       `json:"points_missing_item"`
	Stock   num       `json:"points_stock_used_up"`
	Late    num       `json:"points_help_too_late"`
	Rest    num       `json:"points_rest"`
	FromM   num       `json:"from_m"`
	ToM     num       `json:"to_m"`
	Cure    *cureJSON `json:"cure"`
	Text    string    `json:"text"`
}

type scoreJSON struct {
	Readiness  num        `json:"readiness"`
	Low        num        `json:"readiness_5"`
	Median     num        `json:"readiness_50"`
	High       num        `json:"readiness_95"`
	U          num        `json:"weighted_trouble"`
	D          num        `json:"denominator"`
	Ready      bool       `json:"ready"`
	Word       string     `json:"word"`
	Why        string     `json:"why"`
	Condition  string     `json:"condition"`
	Stopped    oddsJSON   `json:"stopped"`
	NotUnaided oddsJSON   `json:"not_out_unaided"`
	NoHelp     oddsJSON   `json:"no_help_in_time"`
	Lost       []lossJSON `json:"points_lost"`
}

func score(s risk.Score) scoreJSON {
	j := scoreJSON{num(s.Readiness), num(s.Band[0]), num(s.Band[1]), num(s.Band[2]), num(s.U), num(s.D), s.Ready, s.Word, s.Why, s.Condition,
		odds(s.Stopped), odds(s.NotUnaided), odds(s.NoHelp), []lossJSON{}}
	for _, l := range s.Lost {
		lj := lossJSON{l.Event, l.Title, num(l.Points), num(l.Mean), num(l.Missing), num(l.Stock), num(l.Late), num(l.Rest), num(l.FromM), num(l.ToM), nil, l.Text}
		if l.Cure != nil {
			lj.Cure = &cureJSON{l.Cure.Title, []loadItemJSON{}, num(l.Cure.MassKg), num(l.Cure.Points)}
			for _, it := range l.Cure.Items {
				lj.Cure.Items = append(lj.Cure.Items, loadItemJSON{it.Item, num(it.Count)})
			}
		}
		j.Lost = append(j.Lost, lj)
	}
	return j
}

type findingJSON struct {
	Key      string   `json:"key"`
	Severity string   `json:"severity"`
	Text     string   `json:"text"`
	Cautions []string `json:"cautions"`
}

func findings(fs []risk.Finding) []findingJSON {
	out := []findingJSON{}
	for _, f := range fs {
		out = append(out, findingJSON{f.Key, [...]string{"note", "warning", "stop"}[f.Severity], f.Text, text(f.Cautions)})
	}
	return out
}

func text(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

type pullJSON struct {
	State      string   `json:"state"`
	Ground     string   `json:"ground"`
	Chance     num      `json:"ground_chance"`
	GroundNote string   `json:"ground_note"`
	RequiredKN bandJSON `json:"required_kn"`
	Rig        string   `json:"rig"`
	RigTitle   string   `json:"rig_title"`
	LineM      num      `json:"line_m"`
	HaveLineM  num      `json:"line_carried_m"`
	AnchorKN   num      `json:"anchor_kn"`
	FallLineKN num      `json:"fall_line_kn"`
	DeadLineKN num      `json:"dead_line_kn"`
	WeakLink   string   `json:"weakest_link"`
	Margin     num      `json:"weakest_link_margin"`
	Fails      string   `json:"fails"`
	Cure       string   `json:"cure"`
	Steps      []string `json:"steps"`
	Cautions   []string `json:"cautions"`
}

type partJSON struct {
	Item    string `json:"item"`
	Title   string `json:"title"`
	Chance  num    `json:"chance"`
	Want    num    `json:"want"`
	Have    num    `json:"have"`
	Missing bool   `json:"missing"`
}

func parts(ps []risk.PartNeed) []partJSON {
	out := []partJSON{}
	for _, p := range ps {
		out = append(out, partJSON{p.Item, p.Title, num(p.Chance), num(p.Want), num(p.Have), p.Missing})
	}
	return out
}

type needsJSON struct {
	Pull           *pullJSON     `json:"pull"`
	FrontKPa       num           `json:"tyre_front_kpa"`
	RearKPa        num           `json:"tyre_rear_kpa"`
	RoadFrontKPa   num           `json:"road_front_kpa"`
	RoadRearKPa    num           `json:"road_rear_kpa"`
	SpeedCapKmh    num           `json:"speed_cap_km_h"`
	PressureReason string        `json:"pressure_reason"`
	CompressorMin  num           `json:"compressor_min"`
	WaterL         bandJSON      `json:"water_l"`
	CoolingL       num           `json:"cooling_water_l"`
	WaterHaveL     num           `json:"water_carried_l"`
	FuelL          bandJSON      `json:"fuel_l"`
	FuelReachL     bandJSON      `json:"fuel_to_next_place_l"`
	FuelHaveL      bandJSON      `json:"fuel_on_entry_l"`
	StrandedH      bandJSON      `json:"stranded_h"`
	SurvivalDays   num           `json:"survival_days"`
	MoveMin        bandJSON      `json:"driving_min"`
	RecoveryMin    num           `json:"expected_recovery_min"`
	DaylightMin    num           `json:"daylight_left_min"`
	Arrive         *time.Time    `json:"arrive"`
	Parts          []partJSON    `json:"parts"`
	Skills         []partJSON    `json:"skills"`
	SecondVehicle  bool          `json:"second_vehicle_needed"`
	Cautions       []string      `json:"cautions"`
	Supply         legSupplyJSON `json:"supply"`
}

func needs(n risk.Needs) needsJSON {
	j := needsJSON{nil, num(n.PressureKPa[0]), num(n.PressureKPa[1]), num(n.RoadKPa[0]), num(n.RoadKPa[1]), num(n.SpeedCapKmh), n.PressureReason,
		num(n.CompressorMin), band(n.WaterL), num(n.CoolingL), num(n.WaterHaveL), band(n.FuelL), band(n.FuelReachL), band(n.FuelHaveL),
		band(n.StrandedH), num(n.SurvivalDays), band(n.MoveMin), num(n.RecoveryMin), num(n.DaylightMin), nil,
		parts(n.Parts), parts(n.Skills), n.SecondVehicle, text(n.Cautions), legSupplyOf(&n)}
	if p := n.Pull; p != nil {
		j.Pull = &pullJSON{p.State, p.Ground.Key(), num(p.GroundChance), p.GroundNote, band(p.RequiredKN), p.Rig, p.RigTitle, num(p.LineM), num(p.HaveLineM), num(p.AnchorKN),
			num(p.FallLineKN), num(p.DeadLineKN), p.WeakLink, num(p.Margin), p.Fails, p.Cure, text(p.Steps), text(p.Cautions)}
	}
	j.Arrive = moment(n.ArriveUnix)
	return j
}

type shareJSON struct {
	Ground geo.Ground `json:"ground"`
	Share  num        `json:"share"`
}

type factsJSON struct {
	FromM     num            `json:"from_m"`
	ToM       num            `json:"to_m"`
	LengthM   num            `json:"length_m"`
	Ground    []shareJSON    `json:"ground"`
	AscentM   num            `json:"ascent_m"`
	DescentM  num            `json:"descent_m"`
	LowM      num            `json:"lowest_m"`
	HighM     num            `json:"highest_m"`
	UpGrade   num            `json:"climb_grade"`
	DownGrade num            `json:"descent_grade"`
	GradeBand num            `json:"grade_band"`
	Side      num            `json:"side_slope"`
	RoadM     num            `json:"road_m"`
	DriveM    num            `json:"drive_out_m"`
	DriveMin  num            `json:"drive_out_min"`
	WalkMin   num            `json:"walk_out_min"`
	WalkEst   bool           `json:"walk_out_estimate"`
	MoveMin   num            `json:"driving_min"`
	Fords     int            `json:"fords"`
	Gates     int            `json:"gates"`
	Kept      num            `json:"maintained_share"`
	Outside   num            `json:"outside_region_share"`
	HelpM     map[string]num `json:"help_m"`
	// HelpAtMost says which of HelpM may be less, since nearer places may lie beyond the data; HelpDrive are the
	// longest of the quickest drives to each kind of help from places of the leg.
	HelpAtMost   []string       `json:"help_at_most"`
	HelpDriveM   map[string]num `json:"help_drive_m"`
	HelpDriveMin map[string]num `json:"help_drive_min"`
	Crossings    int            `json:"possible_fords"`
}

func factsOf(f facts.Facts) factsJSON {
	j := factsJSON{num(f.FromM), num(f.ToM), num(f.LengthM), []shareJSON{}, num(f.AscentM), num(f.DescentM), num(f.LowM), num(f.HighM),
		num(f.UpGrade), num(f.DownGrade), num(f.GradeBand), num(f.SideSlope), num(f.RoadM), num(f.DriveM), num(f.DriveMin),
		num(f.WalkMin), f.WalkEst, num(f.MoveMin), f.Fords, f.Gates, num(f.KeptShare), num(f.OutsideShare), map[string]num{},
		[]string{}, map[string]num{}, map[string]num{}, len(f.Crossings)}
	for _, g := range f.Ground {
		j.Ground = append(j.Ground, shareJSON{g.Ground, num(g.Share)})
	}
	for k := range geo.NumHelp {
		j.HelpM[k.Key()] = num(f.HelpM[k])
		if f.HelpAtMost[k] {
			j.HelpAtMost = append(j.HelpAtMost, k.Key())
		}
		j.HelpDriveM[k.Key()], j.HelpDriveMin[k.Key()] = num(f.HelpDrive[k].M), num(f.HelpDrive[k].Min)
	}
	return j
}

type remedyJSON struct {
	Key     string `json:"key"`
	Title   string `json:"title"`
	Chance  num    `json:"chance"`
	Margin  num    `json:"margin"`
	Minutes num    `json:"minutes"`
	Fails   string `json:"fails"`
}

type eventJSON struct {
	Key        string       `json:"key"`
	Title      string       `json:"title"`
	Mean       num          `json:"expected_count"`
	Worst      num          `json:"expected_count_adverse"`
	SelfHelp   num          `json:"ended_by_party"`
	HelpInTime num          `json:"help_in_time"`
	U          num          `json:"weighted_trouble"`
	Remedies   []remedyJSON `json:"remedies"`
}

type legJSON struct {
	Leg      int           `json:"leg"`
	Name     string        `json:"name"`
	Why      string        `json:"begins_because"`
	Facts    factsJSON     `json:"facts"`
	Score    scoreJSON     `json:"score"`
	Needs    needsJSON     `json:"needs"`
	Findings []findingJSON `json:"findings"`
	Events   []eventJSON   `json:"events"`
}

type loadJSON struct {
	TotalKg       num      `json:"total_kg"`
	GVMKg         num      `json:"gvm_kg"`
	PayloadLeftKg num      `json:"payload_left_kg"`
	FrontKg       num      `json:"front_axle_kg"`
	RearKg        num      `json:"rear_axle_kg"`
	FrontLimitKg  num      `json:"front_axle_limit_kg"`
	RearLimitKg   num      `json:"rear_axle_limit_kg"`
	RoofKg        num      `json:"roof_kg"`
	RoofLimitKg   num      `json:"roof_limit_kg"`
	CGHeightM     num      `json:"cg_height_m"`
	TipAngleDeg   num      `json:"tip_angle_deg"`
	WaterL        num      `json:"water_l"`
	FuelL         num      `json:"fuel_l"`
	ItemsKg       num      `json:"items_kg"`
	PeopleKg      num      `json:"people_kg"`
	FluidsKg      num      `json:"fluids_kg"`
	VolumeL       num      `json:"volume_inside_l"`
	Defaults      []string `json:"defaults_used"`
}

type partnerJSON struct {
	PartyDelayed oddsJSON `json:"party_delayed"`
	SeatsNeeded  int      `json:"seats_needed"`
	SeatsHave    int      `json:"seats_have"`
	MustCarry    []string `json:"must_carry"`
}

func partner(p *risk.PartnerReport) *partnerJSON {
	if p == nil {
		return nil
	}
	return &partnerJSON{odds(p.PartyDelayed), p.SeatsNeeded, p.SeatsHave, text(p.MustCarry)}
}

type checkInJSON struct {
	Title   string     `json:"title"`
	At      time.Time  `json:"at"`
	AtLocal string     `json:"at_local"`
	Overdue *time.Time `json:"overdue"`
	AtM     num        `json:"at_m"`
}

// moment is a time in UTC, nil for 0.
func moment(unix int64) *time.Time {
	if unix == 0 {
		return nil
	}
	t := time.Unix(unix, 0).UTC()
	return &t
}

type judgedJSON struct {
	Schema     int            `json:"schema"`
	Program    string         `json:"program"`
	Name       string         `json:"name"`
	Variant    string         `json:"variant"`
	LengthM    num            `json:"length_m"`
	Score      scoreJSON      `json:"score"`
	Findings   []findingJSON  `json:"findings"`
	Load       loadJSON       `json:"load"`
	Partner    *partnerJSON   `json:"partner"`
	CheckIns   []checkInJSON  `json:"check_ins"`
	Worry      *time.Time     `json:"worry_from"`
	Overdue    *time.Time     `json:"overdue"`
	Supplies   suppliesJSON   `json:"supplies"`
	Legs       []legJSON      `json:"legs"`
	Sources    []string       `json:"sources"`
	Notes      []string       `json:"notes"`
	Provenance map[string]int `json:"provenance_counts"`
	Caution    string         `json:"caution"`
}

// JSON writes the whole judged trip, indented. Every field name carries its unit; unknown numbers are
// null; the same trip gives the same bytes. README describes the schema.
func JSON(w io.Writer, name string, s *geo.Survey, j *risk.Judgement) error {
	out := judgedJSON{Schema: Schema, Program: "lastroad", Name: name, Variant: j.Variant, LengthM: num(s.LengthM()), Score: score(j.Trip),
		Findings: findings(j.Findings), Sources: text(s.Sources), Provenance: j.Provenance, Legs: []legJSON{}, Caution: Caution}
	out.Notes = append(append([]string{}, text(s.Notes)...), j.Notes...)
	l := j.Load
	out.Load = loadJSON{num(l.TotalKg), num(l.GVMKg), num(l.PayloadLeftKg), num(l.FrontKg), num(l.RearKg), num(l.FrontLimitKg), num(l.RearLimitKg),
		num(l.RoofKg), num(l.RoofLimitKg), num(l.CGHeightM), num(l.TipAngleDeg), num(l.WaterL), num(l.FuelL), num(l.ItemsKg), num(l.PeopleKg), num(l.FluidsKg), num(l.VolumeL), text(l.DefaultsUsed)}
	out.Partner = partner(j.Partner)
	out.Supplies = suppliesOf(&j.Supplies)
	out.CheckIns, out.Worry, out.Overdue = []checkInJSON{}, moment(j.WorryUnix), moment(j.OverdueUnix)
	for _, c := range j.CheckIns {
		out.CheckIns = append(out.CheckIns, checkInJSON{c.Title, time.Unix(c.Unix, 0).UTC(), j.Supplies.Clock(c.Unix).Format(time.RFC3339), moment(c.OverdueUnix), num(c.AtM)})
	}
	for i, lj := range j.Legs {
		leg := legJSON{i + 1, s.Legs[lj.Leg].Name, s.Legs[lj.Leg].Why, factsOf(facts.Of(s, lj.Leg)), score(lj.Score), needs(lj.Needs), findings(lj.Findings), []eventJSON{}}
		for _, e := range lj.Events {
			ej := eventJSON{e.Key, e.Title, num(e.Mean), num(e.Worst), num(e.SelfHelp), num(e.HelpInTime), num(e.U), []remedyJSON{}}
			for _, r := range e.Remedies {
				ej.Remedies = append(ej.Remedies, remedyJSON{r.Key, r.Title, num(r.Chance), num(r.Margin), num(r.Minutes), r.Fails})
			}
			leg.Events = append(leg.Events, ej)
		}
		out.Legs = append(out.Legs, leg)
	}
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(out)
}
