package risk

import (
	"time"
)

// Trip is what the user says of the journey: who goes, in what, with what, when.
// The zero value of an optional number means "not given"; Fill puts the defaults of the vehicle class
// in its place and records that it did.
type Trip struct {
	Name       string     `toml:"name,omitempty"`
	Party      Party      `toml:"party,omitempty"`    // the vehicle that is judged, its crew and load
	Partner    *Party     `toml:"partner,omitempty"`  // a second vehicle that could come along; nil when none is in question
	Together   bool       `toml:"together,omitempty"` // true: judge with the partner along
	Conditions Conditions `toml:"conditions,omitempty"`
	Policy     Policy     `toml:"policy,omitempty"`
}

// Party is one vehicle with its people and load.
type Party struct {
	Vehicle Vehicle    `toml:"vehicle,omitempty"`
	People  []Person   `toml:"people,omitempty"`
	Load    []LoadItem `toml:"load,omitempty"`
}

// Person is one member of the crew.
type Person struct {
	Name   string  `toml:"name,omitempty"`
	AgeY   float64 `toml:"age_y,omitempty"`
	MassKg float64 `toml:"mass_kg,omitempty"` // 0 = from age
	// Skills are catalogue skill keys ("winching", "tyre_repair", "first_aid", "mechanic", "navigation", "driving_sand").
	Skills       []string `toml:"skills,omitempty"`
	Acclimatised bool     `toml:"acclimatised,omitempty"`
	Driver       bool     `toml:"driver,omitempty"`
	Conditions   string   `toml:"conditions,omitempty"` // medical notes, the user's own words; never interpreted
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
	Name  string `toml:"name,omitempty"`
	Class string `toml:"class,omitempty"` // key of a vehicle class in the catalogue, source of every default

	KerbKg         float64 `toml:"kerb_kg,omitempty"`          // limits as the maker states them
	GVMKg          float64 `toml:"gvm_kg,omitempty"`           // limits as the maker states them
	FrontAxleKg    float64 `toml:"front_axle_kg,omitempty"`    // limits as the maker states them
	RearAxleKg     float64 `toml:"rear_axle_kg,omitempty"`     // limits as the maker states them
	RoofKg         float64 `toml:"roof_kg,omitempty"`          // limits as the maker states them
	KerbFrontShare float64 `toml:"kerb_front_share,omitempty"` // share of the kerb mass on the front axle
	WheelbaseM     float64 `toml:"wheelbase_m,omitempty"`
	TrackM         float64 `toml:"track_m,omitempty"`
	CGHeightM      float64 `toml:"cg_height_m,omitempty"`
	ClearanceM     float64 `toml:"clearance_m,omitempty"`
	ApproachDeg    float64 `toml:"approach_deg,omitempty"`
	BreakoverDeg   float64 `toml:"breakover_deg,omitempty"`
	DepartureDeg   float64 `toml:"departure_deg,omitempty"`
	WadingM        float64 `toml:"wading_m,omitempty"`
	Seats          int     `toml:"seats,omitempty"`
	AgeY           float64 `toml:"age_y,omitempty"`
	ServiceOverdue bool    `toml:"service_overdue,omitempty"`

	TyreSize      string   `toml:"tyre_size,omitempty"` // size notation, "LT265/75R16"
	FrontKPa      float64  `toml:"front_kpa,omitempty"` // placard pressures, cold
	RearKPa       float64  `toml:"rear_kpa,omitempty"`  // placard pressures, cold
	AllWheelDrive bool     `toml:"all_wheel_drive,omitempty"`
	LowRange      bool     `toml:"low_range,omitempty"`
	Lockers       int      `toml:"lockers,omitempty"` // axles with a locking differential
	Automatic     bool     `toml:"automatic,omitempty"`
	Fuel          FuelKind `toml:"fuel,omitempty"`
	TankL         float64  `toml:"tank_l,omitempty"`
	UsableShare   float64  `toml:"usable_share,omitempty"`
	SealedLPer100 float64  `toml:"sealed_l_per_100,omitempty"` // the user's own consumption on sealed road, litres per 100 km
	EngineL       float64  `toml:"engine_l,omitempty"`         // displacement, litres
	Turbo         bool     `toml:"turbo,omitempty"`
	CoolantL      float64  `toml:"coolant_l,omitempty"`
	FrontPointKN  float64  `toml:"front_point_kn,omitempty"`  // rated recovery points, working load in kN; 0 = no rated point
	RearPointKN   float64  `toml:"rear_point_kn,omitempty"`   // rated recovery points, working load in kN; 0 = no rated point
	HasFrontPoint bool     `toml:"has_front_point,omitempty"` // a point made for recovery is fitted (its rating may be unknown)
	HasRearPoint  bool     `toml:"has_rear_point,omitempty"`  // a point made for recovery is fitted (its rating may be unknown)

	// LadenKg is the laden mass that the user declares and keeps to; 0 = the permitted mass GVMKg. Rates and
	// forces rest on it, never on the sum of the items.
	LadenKg float64 `toml:"laden_kg,omitempty"`

	Defaulted []string `toml:"defaulted,omitempty"` // names of the fields that Fill set, in field order
}

// LoadItem is one line of the load: so many of a catalogue item (or an item of the user's own).
type LoadItem struct {
	Item  string  `toml:"item,omitempty"`  // catalogue key
	Count float64 `toml:"count,omitempty"` // pieces, or litres for fluids
	Place string  `toml:"place,omitempty"` // "floor", "rear", "roof", "front", "ball", "cab"; "" = the catalogue's usual place
	// RatingKN overrides the catalogue's rating (what is stamped on the user's own piece); 0 = the catalogue's;
	// a negative value says that the piece carries no readable rating and must not be trusted.
	RatingKN float64 `toml:"rating_kn,omitempty"`
	MassKg   float64 `toml:"mass_kg,omitempty"` // each; 0 = the catalogue's
	// LengthM overrides the catalogue's length of ropes and straps; 0 = the catalogue's.
	LengthM float64 `toml:"length_m,omitempty"`
	// Containers is into how many equal ones the water of this line is divided; 0 = not said.
	Containers float64 `toml:"containers,omitempty"`
}

// Conditions are the season and the day.
type Conditions struct {
	Start     time.Time `toml:"start,omitempty"`      // planned departure, with its zone; zero = not given
	DayMeanC  float64   `toml:"day_mean_c,omitempty"` // mean air temperature over day and night, degrees Celsius
	DayMaxC   float64   `toml:"day_max_c,omitempty"`  // highest shade temperature of the day
	NightMinC float64   `toml:"night_min_c,omitempty"`
	Wetness   float64   `toml:"wetness,omitempty"` // 0 = dry, 1 = soaked; scales the wet-ground factors
	Humid     bool      `toml:"humid,omitempty"`
	// Climate is the key of a climate in the tables (climate.toml), from which temperatures come that are not
	// given; "" = the one usual at the latitude of the route. Month (1 to 12) is the season when no start is
	// given; 0 = the hottest month there.
	Climate    string  `toml:"climate,omitempty"`
	Month      int     `toml:"month,omitempty"`
	WaterLevel float64 `toml:"water_level,omitempty"` // 0 = dry fords, 1 = usual, 2 = in flood
	AdverseC   float64 `toml:"adverse_c,omitempty"`   // highest shade temperature of the season; 0 = of the policy table. It sets the denominator of readiness only
	// AdverseWetness and AdverseWaterLevel are the wettest that the season brings, on the scales of Wetness
	// and WaterLevel; 0 = the worst of the scale. They set the denominator of readiness only.
	AdverseWetness    float64 `toml:"adverse_wetness,omitempty"`
	AdverseWaterLevel float64 `toml:"adverse_water_level,omitempty"`
	// Pace is the planned pace against that of the survey: 0 and 1 as it says, up to 1.5 half as fast again.
	Pace      float64 `toml:"pace,omitempty"`
	Utcoffset float64 `toml:"utc_offset_h,omitempty"` // hours east of UTC at the route, used when Start is not given
}

// Policy are the judgements that the user may change; each is shown with its default.
type Policy struct {
	RescueCost    float64 `toml:"rescue_cost,omitempty"`     // omega: what being rescued still costs, 0..1; 0 = default of the tables
	ReserveRule   string  `toml:"reserve_rule,omitempty"`    // fuel reserve rule key, "" = default
	DetourKm      float64 `toml:"detour_km,omitempty"`       // of detours to allow for between two places of fuel
	AcceptNight   bool    `toml:"accept_night,omitempty"`    // recipes may run into the night
	AgreedWaitH   float64 `toml:"agreed_wait_h,omitempty"`   // hours the contact waits after the planned end before raising the alarm, which is never before even slow going is over; 0 = default
	ContactAtHome bool    `toml:"contact_at_home,omitempty"` // somebody knows the plan and raises the alarm
	PhoneCoverage bool    `toml:"phone_coverage,omitempty"`  // a phone works along the route (else only at settlements and maintained roads)
	Spacing       bool    `toml:"spacing,omitempty"`         // two vehicles keep apart so that both are not in the soft bit
	Samples       int     `toml:"samples,omitempty"`         // Latin hypercube samples; 0 = none (no bands)
}
