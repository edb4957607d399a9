package risk

import (
	"time"
)

// Trip is what the user says of the journey: who goes, in what, with what, when.
// The zero value of an optional number means "not given"; Fill puts the defaults of the vehicle class
// in its place and records that it did.
type Trip struct {
	Name       string
	Party      Party  // the vehicle that is judged, its crew and load
	Partner    *Party // a second vehicle that could come along; nil when none is in question
	Together   bool   // true: judge with the partner along
	Conditions Conditions
	Policy     Policy
}

// Party is one vehicle with its people and load.
type Party struct {
	Vehicle Vehicle
	People  []Person
	Load    []LoadItem
}

// Person is one member of the crew.
type Person struct {
	Name   string
	AgeY   float64
	MassKg float64 // 0 = from age
	// Skills are catalogue skill keys ("winching", "tyre_repair", "first_aid", "mechanic", "navigation", "driving_sand").
	Skills       []string
	Acclimatised bool
	Driver       bool
	Conditions   string // medical notes, the user's own words; never interpreted
}

// FuelKind is petrol or diesel.
type FuelKind string

// The fuels.
const (
	Petrol FuelKind = "petrol"
	Diesel FuelKind = "diesel"
)

// Vehicle holds the figures of one vehicle. All loads are kilograms, lengths metres, pressures kPa (gauge).
type Vehicle struct {
	Name  string
	Class string // key of a vehicle class in the catalogue, source of every default

	KerbKg, GVMKg, FrontAxleKg, RearAxleKg, RoofKg float64 // limits as the maker states them
	KerbFrontShare                                 float64 // share of the kerb mass on the front axle
	WheelbaseM, TrackM, CGHeightM, ClearanceM      float64
	ApproachDeg, BreakoverDeg, DepartureDeg        float64
	WadingM                                        float64
	Seats                                          int
	AgeY                                           float64
	ServiceOverdue                                 bool

	TyreSize                    string  // size notation, "LT265/75R16"
	FrontKPa, RearKPa           float64 // placard pressures, cold
	AllWheelDrive, LowRange     bool
	Lockers                     int // axles with a locking differential
	Automatic                   bool
	Fuel                        FuelKind
	TankL, UsableShare          float64
	SealedLPer100               float64 // the user's own consumption on sealed road, litres per 100 km
	EngineL                     float64 // displacement, litres
	Turbo                       bool
	CoolantL                    float64
	FrontPointKN, RearPointKN   float64 // rated recovery points, working load in kN; 0 = no rated point
	HasFrontPoint, HasRearPoint bool    // a point made for recovery is fitted (its rating may be unknown)

	Defaulted []string // names of the fields that Fill set, in field order
}

// LoadItem is one line of the load: so many of a catalogue item (or an item of the user's own).
type LoadItem struct {
	Item  string  // catalogue key
	Count float64 // pieces, or litres for fluids
	Place string  // "floor", "rear", "roof", "front", "ball", "cab"; "" = the catalogue's usual place
	// RatingKN overrides the catalogue's rating (what is stamped on the user's own piece); 0 = the catalogue's;
	// a negative value says that the piece carries no readable rating and must not be trusted.
	RatingKN float64
	MassKg   float64 // each; 0 = the catalogue's
	// LengthM overrides the catalogue's length of ropes and straps; 0 = the catalogue's.
	LengthM float64
}

// Conditions are the season and the day.
type Conditions struct {
	Start      time.Time // planned departure, with its zone; zero = not given
	DayMeanC   float64   // mean air temperature over day and night, degrees Celsius
	DayMaxC    float64   // highest shade temperature of the day
	NightMinC  float64
	Wetness    float64 // 0 = dry, 1 = soaked; scales the wet-ground factors
	Humid      bool
	WaterLevel float64 // 0 = dry fords, 1 = usual, 2 = in flood
	AdverseC   float64 // highest shade temperature of the season; 0 = from DayMaxC and the climate rule
	Utcoffset  float64 // hours east of UTC at the route, used when Start is not given
}

// Policy are the judgements that the user may change; each is shown with its default.
type Policy struct {
	RescueCost    float64 // omega: what being rescued still costs, 0..1; 0 = default of the tables
	ReserveRule   string  // fuel reserve rule key, "" = default
	AcceptNight   bool    // recipes may run into the night
	AgreedWaitH   float64 // hours the contact waits after the planned end before raising the alarm; 0 = default
	ContactAtHome bool    // somebody knows the plan and raises the alarm
	PhoneCoverage bool    // a phone works along the route (else only at settlements and maintained roads)
	Spacing       bool    // two vehicles keep apart so that both are not in the soft bit
	Samples       int     // Latin hypercube samples; 0 = none (no bands)
}
