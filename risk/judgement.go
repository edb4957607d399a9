package risk

import (
	"lastroad/geo"
	"lastroad/risk/recovery"
)

// Judgement is a judged trip. All numbers are finite unless a field says that NaN means unknown.
type Judgement struct {
	Variant string // "solo" or "together", or the name of a compared variant
	Trip    Score
	Legs    []LegJudgement
	// Findings concern the whole trip (overload, nobody to notice, seats), stops first.
	Findings []Finding
	Load     LoadReport
	// CheckIns are the planned times to be heard; empty without a start time. WorryUnix is when the contact
	// should begin to ask, OverdueUnix when to raise the alarm; 0 without a start time.
	CheckIns               []CheckIn
	WorryUnix, OverdueUnix int64
	// Supplies are days, water, fuel, food, cooling and the points of no return of the trip.
	Supplies Supplies
	// Partner is set when the trip is judged together.
	Partner *PartnerReport
	// Notes says in full sentences what was assumed for want of data.
	Notes []string
	// Tornado says which uncertain numbers matter most: each put to its low and high value, the others
	// central, sorted by the swing; empty when no samples were drawn.
	Tornado []Swing
	// Provenance counts the uncertain numbers used by tag ("data", "derived", "practice", "assumption", "user");
	// empty in a quick judgement.
	Provenance map[string]int
}

// Swing is what one uncertain number does to the answer when it goes from low to high.
type Swing struct {
	Key, Title          string
	From                string  // provenance tag
	Low, High           float64 // the values tried; factors on the central one for rates and times
	ULow, UHigh         float64 // weighted trouble of the trip
	ReadyLow, ReadyHigh float64 // readiness of the trip
}

// Score is the readiness of a leg or the trip with the odds that stand beside it.
type Score struct {
	Readiness  float64    // 0..100
	Band       [3]float64 // 5, 50, 95 % of readiness over the samples; all NaN when no samples were drawn
	U, D       float64    // weighted trouble and its fixed denominator; where U is larger, readiness is 0 and points are shares of U
	Stopped    Odds       // at least one trouble that stops the vehicle
	NotUnaided Odds       // not out by own means
	NoHelp     Odds       // not out and no help in time
	// Lost are the lost points, largest first; they add up to 100 - Readiness.
	Lost []Loss
	// Ready is true when no stop stands in the way.
	Ready bool
	// Word is the short verdict: "ready", "thin", "not ready"; never "safe".
	Word string
	// Why says in a sentence or two why the word is not "ready": stops, odds above what is let pass, too
	// little covered. It is there because a high number beside "not ready" puzzles; "" when ready.
	Why string
	// Condition is what must be agreed for the word to hold, "" when nothing: seats for all when one of two
	// vehicles is lost. It takes "ready" away without being a stop.
	Condition string
}

// Odds is a chance with its 5 to 95 % band (NaN when no samples were drawn).
type Odds struct{ P, Low, High float64 }

// Loss is one kind of trouble and the points it costs.
type Loss struct {
	Event  string  // event key, "bogged/deep"
	Title  string  // "deep bogging"
	Points float64 // of readiness, of the leg or trip this stands in
	Mean   float64 // expected number on the stretch
	// Missing + Stock + Late + Rest = Points: a missing thing or bundle, a used-up stock, help too late, no remedy or bad luck.
	Missing, Stock, Late, Rest float64
	FromM, ToM                 float64 // where most of it lies
	Cure                       *Cure   // the best single item or bundle; nil when nothing in the catalogue helps
	Text                       string  // one sentence: what, where, what fails, what cures it
}

// Cure is what would win points back.
type Cure struct {
	Items  []LoadItem
	Title  string // "a second block and a soft shackle"
	MassKg float64
	Points float64 // gain in the readiness of the trip or leg this stands in
}

// Severity of a finding.
type Severity uint8

// Findings are notes, warnings, or stops: a stop takes the word "ready" away whatever the number.
const (
	Note Severity = iota
	Warning
	Stop
)

// Finding is something the user must know that no number carries.
type Finding struct {
	Key      string // stable key, "fuel_short"
	Severity Severity
	Leg      int // index, -1 for the whole trip
	Text     string
	Cautions []string
}

// Band is a low, central and high value; Unit is in the field's name.
type Band struct{ Low, Central, High float64 }

// LegJudgement is one judged leg.
type LegJudgement struct {
	Leg      int
	Score    Score
	Needs    Needs
	Findings []Finding
	Events   []EventResult
}

// EventResult is one kind of trouble on one leg.
type EventResult struct {
	Key, Title  string
	Mean, Worst float64 // expected number, and at the adverse case
	SelfHelp    float64 // chance that the party ends it by itself
	HelpInTime  float64 // chance that outside help is in time when it does not
	U           float64
	Remedies    []RemedyResult
}

// RemedyResult is one recipe tried against one event.
type RemedyResult struct {
	Key, Title string
	Chance     float64 // with what is carried; 0 when it cannot be used
	Margin     float64 // limit over force of its weakest link, NaN when no force is involved
	Minutes    float64
	Fails      string // why it cannot be used, "" when it can: "no jack base", "rear shackle 31.9 kN below 46.1 kN"
}

// Needs are what a leg asks for, with units in the names.
type Needs struct {
	// Pull is the design recovery of the leg; nil where no bogging is possible.
	Pull *PullNeed

	PressureKPa   [2]float64 // front, rear, cold, for the ground that sets this leg's tyres (see tyreGround)
	RoadKPa       [2]float64 // to return to
	SpeedCapKmh   float64    // while low; NaN when none
	CompressorMin float64    // to go back to road pressure with the compressor carried; NaN when none is carried
	WaterL        Band       // drinking water to carry into the leg: driving and stranded days until help
	CoolingL      float64    // counted apart
	WaterHaveL    float64
	FuelL         Band // for the leg
	FuelReachL    Band // to reach the next fuel, reserve included
	FuelHaveL     Band // on entering the leg
	StrandedH     Band // hours until help is there
	SurvivalDays  float64
	MoveMin       Band // driving time
	RecoveryMin   float64
	DaylightMin   float64 // left at the end of the leg; negative = after dark; NaN without a date
	Parts         []PartNeed
	Skills        []PartNeed
	WalkOutMin    float64 // worst of the leg; NaN unknown
	RoadM         float64 // worst of the leg
	SecondVehicle bool    // the only remedy to a likely trouble needs one
	ArriveUnix    int64   // planned arrival at the end, 0 without a date
	// WaterRefillsM are water places and springs of the region near the line: possible only, never counted.
	WaterRefillsM []float64
	// FuelPlacesM are the places of fuel on the leg that are counted.
	FuelPlacesM    []float64
	Supply         LegSupply
	PressureReason string
	Cautions       []string
}

// PullNeed is the recovery a leg must be able to make.
type PullNeed struct {
	State string // "bogged to the hub in mud, 12 % up"
	Stuck recovery.Stuck
	// Ground is the ground of the design recovery, GroundChance the chance that the leg has it where it is
	// likeliest, GroundNote the same in words, "" where tags, an area or the user tell the ground.
	Ground       geo.Ground
	GroundChance float64
	GroundNote   string
	RequiredKN   Band
	Rig          string // chosen rig key; "" when none holds
	RigTitle     string
	LineM        float64 // line needed from vehicle to anchor
	HaveLineM    float64
	AnchorKN     float64
	WeakLink     string
	Margin       float64 // of the weakest link; NaN when no rig
	FallLineKN   float64
	DeadLineKN   float64
	Fails        string // which check fails
	Cure         string
	Steps        []string // the working, step by step, in words and figures
	// Working is the planned rig in full, for drawing; nil when no winch is carried or planned.
	Working  *recovery.Working
	Cautions []string
}

// PartNeed is a part, tool or skill with its chance of being asked for.
type PartNeed struct {
	Item    string
	Title   string
	Chance  float64 // of being asked for on this leg
	Want    float64 // pieces for 95 % of trips
	Have    float64
	Missing bool
}

// LoadReport is the mass budget.
type LoadReport struct {
	TotalKg, GVMKg, PayloadLeftKg float64
	FrontKg, RearKg               float64
	FrontLimitKg, RearLimitKg     float64
	RoofKg, RoofLimitKg           float64
	CGHeightM, TipAngleDeg, SSF   float64
	WaterL, FuelL                 float64
	ItemsKg, PeopleKg, FluidsKg   float64
	VolumeL                       float64 // of the things inside: cab, floor and rear
	DefaultsUsed                  []string
}

// PartnerReport is what a second vehicle changes.
type PartnerReport struct {
	PartyDelayed Odds // either vehicle is stopped
	// TheirReadiness is the second vehicle's own readiness on the same route, alone.
	TheirReadiness float64
	SeatsNeeded    int
	SeatsHave      int
	MustCarry      []string
}
