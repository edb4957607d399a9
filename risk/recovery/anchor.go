package recovery

import (
	"fmt"
	"math"
	"strings"

	"lastroad/geo"
)

// AnchorKind is a kind of anchor.
type AnchorKind string

// The kinds of anchor, least work first.
const (
	Tree       AnchorKind = "tree"
	Rock       AnchorKind = "rock"
	Vehicle    AnchorKind = "vehicle"     // another vehicle, braked
	EarthHook  AnchorKind = "earth_hook"  // plough- or screw-type ground anchor with a stamped rating
	Pickets    AnchorKind = "pickets"     // driven pickets
	SpareWheel AnchorKind = "spare_wheel" // spare wheel buried upright
	Deadman    AnchorKind = "deadman"     // buried log or timber
)

// AnchorKinds lists all kinds, least work first.
var AnchorKinds = []AnchorKind{Tree, Rock, Vehicle, EarthHook, Pickets, SpareWheel, Deadman}

var anchorTitles = map[AnchorKind]string{Tree: "tree", Rock: "rock", Vehicle: "braked vehicle", EarthHook: "ground anchor",
	Pickets: "driven pickets", SpareWheel: "buried spare wheel", Deadman: "buried log"}

// String is the English name.
func (k AnchorKind) String() string {
	if t, ok := anchorTitles[k]; ok {
		return t
	}
	return string(k)
}

func (k AnchorKind) order() int {
	for i, v := range AnchorKinds {
		if v == k {
			return i
		}
	}
	return len(AnchorKinds)
}

// Anchor is something to pull against. Only the fields of its kind count.
type Anchor struct {
	Kind AnchorKind `json:"kind"`
	Name string     `json:"name,omitempty"`
	// Tree: trunk diameter where strapped (0 = not measured), Dead: dead, rotten or loose.
	TrunkMM float64 `json:"trunk_mm,omitempty"`
	Dead    bool    `json:"dead,omitempty"`
	// Vehicle: its mass, the ground under it, the slope from it towards the load (rise over run, negative
	// = downhill towards the load, where it slides sooner), and whether its wheels are chocked.
	MassKg  float64    `json:"mass_kg,omitempty"`
	Ground  geo.Ground `json:"ground,omitempty"`
	Grade   float64    `json:"grade,omitempty"`
	Chocked bool       `json:"chocked,omitempty"`
	// EarthHook: what its maker states, and Soil.
	WLLKN float64 `json:"wll_kn,omitempty"`
	MBSKN float64 `json:"mbs_kn,omitempty"`
	// Soil of buried and driven anchors: loam, clay, sand, wet, hard. It is asked for, never assumed.
	Soil string `json:"soil,omitempty"`
	// Pickets: the arrangement as in the table ("1", "1-1-1", "3-2-1", "steel", "75mm") and how many of
	// it ("steel", "75mm"; 0 counts as 1).
	Picket string `json:"picket,omitempty"`
	Count  int    `json:"count,omitempty"`
	// Deadman and SpareWheel: mean depth, slope of the rope (0 = 1:1, the safe one), the face (timber
	// height, log or wheel diameter), and the length of the log.
	DepthM  float64 `json:"depth_m,omitempty"`
	Slope   float64 `json:"slope,omitempty"`
	FaceM   float64 `json:"face_m,omitempty"`
	LengthM float64 `json:"length_m,omitempty"`
	Log     bool    `json:"log,omitempty"`
}

// Title is the name shown.
func (a Anchor) Title() string {
	if a.Name != "" {
		return a.Name
	}
	return a.Kind.String()
}

// Hold is what an anchor holds.
type Hold struct {
	KN    float64 `json:"hold_kn"`     // used for planning; 0 when judged or refused
	LowKN float64 `json:"hold_low_kn"` // what it may fall to
	// Judged: no figure exists (trees, rock); it is accepted by rule and must be watched and tested.
	Judged  bool   `json:"judged"`
	Refused string `json:"refused,omitempty"` // why it is not usable
	How     string `json:"how"`
	matter  string
}

// AnchorHold works out what an anchor holds in a near-level pull. Bad figures are an error; an anchor that is
// unsuitable, or whose soil or rating is not said, comes back Refused with what to ask for.
func (t *Tables) AnchorHold(a Anchor) (Hold, error) {
	switch a.Kind {
	case Tree:
		return t.treeHold(a)
	case Rock:
		if a.Dead {
			return Hold{Refused: "a loose or cracked rock is no anchor", matter: "rock"}, nil
		}
		return Hold{Judged: true, How: "a large boulder deep in the ground, or sound bedrock; no figure exists", matter: "rock"}, nil
	case Vehicle:
		return t.vehicleHold(a)
	case EarthHook:
		return t.earthHook(a)
	case Pickets:
		return t.picketHold(a)
	case SpareWheel, Deadman:
		return t.buriedHold(a)
	}
	return Hold{}, refuse("anchor", fmt.Sprintf("%q is not a kind of anchor", a.Kind), "use tree, rock, vehicle, earth_hook, pickets, spare_wheel or deadman")
}

func (t *Tables) treeHold(a Anchor) (Hold, error) {
	h := Hold{matter: "tree"}
	least := t.Anchor["tree_mm"].Central
	if a.TrunkMM != 0 {
		if err := rangeTrunk.check("trunk diameter", a.TrunkMM); err != nil {
			return h, err
		}
	}
	switch {
	case a.Dead:
		h.Refused = "a dead, rotten or loose-rooted tree is no anchor"
	case a.TrunkMM != 0 && a.TrunkMM < least:
		h.Refused = fmt.Sprintf("the trunk of %.0f mm is thinner than %.0f mm; tie it to a second one or take another anchor", a.TrunkMM, least)
	case a.TrunkMM == 0:
		h.Judged, h.How = true, fmt.Sprintf("a living trunk of at least %.0f mm in firm ground, measured before use; no figure exists", least)
	default:
		h.Judged, h.How = true, fmt.Sprintf("a living trunk of %.0f mm (at least %.0f) in firm ground; no figure exists", a.TrunkMM, least)
	}
	return h, nil
}

// BrakedAnchorKN is the rule for a braked vehicle of massKg on good ground: 0.666 of its weight.
func (t *Tables) BrakedAnchorKN(massKg float64) float64 {
	return t.Anchor["braked"].Central * KN(massKg)
}

func (t *Tables) vehicleHold(a Anchor) (Hold, error) {
	h := Hold{matter: "anchor_vehicle"}
	if a.MassKg == 0 {
		h.Refused = "its mass is not given"
		return h, nil
	}
	if err := first(rangeMass.check("anchor vehicle mass", a.MassKg), rangeGrade.check("anchor vehicle grade", a.Grade)); err != nil {
		return h, err
	}
	mu := t.Traction.Of(a.Ground)
	cap := t.Anchor["braked"].Central
	at := func(mu float64) float64 {
		return max(0, KN(a.MassKg)*(min(mu, cap)+a.Grade)/math.Hypot(1, a.Grade))
	}
	h.KN, h.LowKN = at(mu.Low), at(mu.Low)
	used, wheels := min(mu.Low, cap), "unchocked"
	if a.Chocked {
		h.KN, used, wheels = at(mu.Central), min(mu.Central, cap), "wheels chocked"
	}
	h.How = fmt.Sprintf("%.0f kg on %s, %s, %s towards the load: friction %.2f, never above %.2f; may slide from %.1f kN",
		a.MassKg, a.Ground, wheels, gradeWords(a.Grade), used, cap, h.LowKN)
	if h.KN == 0 {
		h.Refused = "it would slide under its own weight on this slope"
	}
	return h, nil
}

func (t *Tables) soil(a Anchor) (lo, mid float64, refused string) {
	f, ok := t.Soil[a.Soil]
	if !ok {
		if a.Soil == "" {
			return 0, 0, "the soil is not given: loam, clay, sand, wet or hard (one figure never fits all)"
		}
		return 0, 0, fmt.Sprintf("the soil %q is not in the table: use loam, clay, sand, wet or hard", a.Soil)
	}
	return f.Low, f.Central, ""
}

func (t *Tables) earthHook(a Anchor) (Hold, error) {
	h := Hold{matter: "buried"}
	lo, mid, why := t.soil(a)
	if why != "" {
		h.Refused = why
		return h, nil
	}
	kN, how := a.WLLKN, "stated working load"
	if kN == 0 && a.MBSKN > 0 {
		kN, how = a.MBSKN/t.Design["ground_anchor"].Central, "stated greatest hold / 2"
	}
	if kN == 0 {
		h.Refused = "its rating is not given"
		return h, nil
	}
	if err := rangeForce.check("ground anchor rating", kN); err != nil {
		return h, err
	}
	mid = min(1, mid) // a stated rating is not raised by hard ground
	h.KN, h.LowKN = kN*mid, kN*min(lo, mid)
	h.How = fmt.Sprintf("%s %.1f kN × %.2f for %s", how, kN, mid, a.Soil)
	return h, nil
}

func (t *Tables) picketHold(a Anchor) (Hold, error) {
	h := Hold{matter: "buried"}
	if a.Soil == "" {
		h.Refused = "the soil is not given: the same picket holds 3 kN in loam and 0.2 kN in sand"
		return h, nil
	}
	if a.Count < 0 || a.Count > 20 {
		return h, refuse("pickets", fmt.Sprintf("%d is outside 0 to 20", a.Count), "")
	}
	arrangement := a.Picket
	if arrangement == "" {
		arrangement = "1"
	}
	find := func(key string) *PicketRow {
		for i := range t.Picket {
			if t.Picket[i].Key == key {
				return &t.Picket[i]
			}
		}
		return nil
	}
	row := find(a.Soil + ":" + arrangement)
	if row == nil && a.Soil == "loam" {
		row = find("soil:" + arrangement)
	}
	if row == nil {
		h.Refused = fmt.Sprintf("no figure is published for pickets %q in %s; known are %s", arrangement, a.Soil, t.picketKeys())
		return h, nil
	}
	n := float64(max(1, a.Count))
	if strings.Contains(row.Key, "-") {
		n = 1 // a group is one system
	}
	most := t.Anchor["picket_system"].Central
	h.KN, h.LowKN = min(most, n*row.Hold.Central), min(most, n*row.Hold.Low)
	h.How = fmt.Sprintf("%s, %.0f × %.2f kN in %s", row.Title, n, row.Hold.Central, a.Soil)
	if n*row.Hold.Central > most {
		h.How += fmt.Sprintf(", a system counts for %.1f kN at most", most)
	}
	return h, nil
}

func (t *Tables) picketKeys() string {
	var k []string
	for _, p := range t.Picket {
		k = append(k, p.Key)
	}
	return strings.Join(k, ", ")
}

func (t *Tables) buriedHold(a Anchor) (Hold, error) {
	h := Hold{matter: "buried"}
	lo, mid, why := t.soil(a)
	if why != "" {
		h.Refused = why
		return h, nil
	}
	slope, wheel := a.Slope, a.Kind == SpareWheel
	if slope == 0 {
		slope = t.Deadman.Slope[0]
	}
	what := "log face"
	if wheel {
		what = "wheel diameter"
	}
	if err := rangeFace.check(what, a.FaceM); err != nil {
		return h, err
	}
	if !wheel {
		if err := rangeLog.check("log length", a.LengthM); err != nil {
			return h, err
		}
	}
	hp, extrapolated, ok := t.HoldingPowerKPa(a.DepthM, slope)
	if !ok {
		return h, t.deadmanRange(a.DepthM, slope)
	}
	trench := t.Deadman.TrenchM.Central
	area := a.FaceM * (a.LengthM - trench)
	shape := fmt.Sprintf("%.2f m × (%.2f m - %.2f m for the cable trench)", a.FaceM, a.LengthM, trench)
	if wheel {
		area = math.Pi/4*a.FaceM*a.FaceM - trench*a.FaceM
		shape = fmt.Sprintf("upright wheel of %.2f m less a cable slot of %.2f m", a.FaceM, trench)
	} else {
		most := t.Deadman.TimberMax.Central
		if a.Log {
			most = t.Deadman.LogMax.Central
		}
		if r := a.LengthM / a.FaceM; r > most {
			// Only the length that does not bend counts.
			area = a.FaceM * (most*a.FaceM - trench)
			shape += fmt.Sprintf("; longer than %g faces it bends, so %.2f m count", most, most*a.FaceM)
		}
	}
	if !(area > 0) {
		h.Refused = "it is too short or too thin: the cable trench takes all of its face"
		return h, nil
	}
	h.KN, h.LowKN = hp*mid*area, hp*min(lo, mid)*area
	h.How = fmt.Sprintf("%.0f kPa at %.2f m mean depth, rope slope 1:%.1f, × %.2f for %s × %.2f m² (%s)", hp, a.DepthM, 1/slope, mid, a.Soil, area, shape)
	if extrapolated {
		h.How += "; shallower than the published table, so judged"
	}
	return h, nil
}
