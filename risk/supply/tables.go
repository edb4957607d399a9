package supply

import (
	"fmt"
	"reflect"
	"slices"

	"lastroad/geo"
	"lastroad/geo/table"
)

// Tables are the numbers of the package, each with its band and provenance, as read from supply.toml by
// [ParseTables]. They are read-only after parsing and may be shared between goroutines; Override makes
// a changed copy, Figures lists them.
type Tables struct {
	numbers
	ground [geo.NumGrounds]groundRoll // Rolling by class
}

// numbers mirrors supply.toml.
type numbers struct {
	HourlyTable  hourlyTable   `toml:"hourly"`
	DailyTable   dailyTable    `toml:"daily"`
	People       peopleTable   `toml:"people"`
	Rules        []waterRule   `toml:"water_rules"`
	Walkout      walkoutTable  `toml:"walkout"`
	Survival     survivalTable `toml:"survival"`
	HelpTable    helpTable     `toml:"help"`
	TauTable     tauTable      `toml:"tau"`
	FuelTable    fuelTable     `toml:"fuel"`
	Rolling      []rolling     `toml:"rolling"`
	Reserves     []reserveRule `toml:"reserve_rules"`
	FoodTable    foodTable     `toml:"food"`
	Shelters     []shelter     `toml:"shelter"`
	FirstAids    []firstAid    `toml:"first_aid"`
	LoadTable    loadTable     `toml:"load"`
	Places       []place       `toml:"places"`
	TimeTable    timeTable     `toml:"time"`
	CoolTable    coolTable     `toml:"cooling"`
	TranterTable tranterTable  `toml:"tranter"`
	Canadian     canadianTable `toml:"hourly_canadian"`
}

type hourlyTable struct {
	Unit            string         `toml:"unit"`
	From            geo.Provenance `toml:"from"`
	Source          string         `toml:"source"`
	LowerDegF       []float64      `toml:"lower_degf"`
	Easy            []float64      `toml:"easy"`
	Moderate        []float64      `toml:"moderate"`
	Hard            []float64      `toml:"hard"`
	EasyWorkMin     []float64      `toml:"easy_work_min"`
	ModerateWorkMin []float64      `toml:"moderate_work_min"`
	HardWorkMin     []float64      `toml:"hard_work_min"`
	Figures         struct {
		CapHour             geo.Figure `toml:"cap_hour"`
		CapDay              geo.Figure `toml:"cap_day"`
		Individual          geo.Figure `toml:"individual"`
		Exposure            geo.Figure `toml:"exposure"`
		UnacclimatisedWBGT  geo.Figure `toml:"unacclimatised_wbgt"`
		UnacclimatisedExtra geo.Figure `toml:"unacclimatised_extra"`
		DewBelowMinDry      geo.Figure `toml:"dew_below_min_dry"`
		DewBelowMinHumid    geo.Figure `toml:"dew_below_min_humid"`
	} `toml:"figures"`
}

type canadianTable struct {
	Unit      string         `toml:"unit"`
	From      geo.Provenance `toml:"from"`
	Source    string         `toml:"source"`
	LowerDegC []float64      `toml:"lower_degc"`
	Light     []float64      `toml:"light"`
	Moderate  []float64      `toml:"moderate"`
	Heavy     []float64      `toml:"heavy"`
	VeryHeavy []float64      `toml:"very_heavy"`
	// People new to the heat keep off such work from these readings.
	NoVeryHeavyFrom float64 `toml:"no_very_heavy_from"`
	NoHeavyFrom     float64 `toml:"no_heavy_from"`
	NoModerateFrom  float64 `toml:"no_moderate_from"`
}

type dailyTable struct {
	Unit        string         `toml:"unit"`
	From        geo.Provenance `toml:"from"`
	Source      string         `toml:"source"`
	MeanDegC    []float64      `toml:"mean_degc"`
	HardSun     []float64      `toml:"hard_sun"`
	ModerateSun []float64      `toml:"moderate_sun"`
	RestShade   []float64      `toml:"rest_shade"`
	Figures     struct {
		WorkHours    geo.Figure `toml:"work_hours"`
		ColdFloor    geo.Figure `toml:"cold_floor"`
		DriveShare   geo.Figure `toml:"drive_share"`
		NoShadeShare geo.Figure `toml:"no_shade_share"`
		Spread       geo.Figure `toml:"spread"`
		ReserveShare geo.Figure `toml:"reserve_share"`
	} `toml:"figures"`
}

type peopleTable struct {
	Unit    string         `toml:"unit"`
	From    geo.Provenance `toml:"from"`
	Source  string         `toml:"source"`
	AgeToY  []float64      `toml:"age_to_y"`
	IntakeL []float64      `toml:"intake_l"`
	AdultL  float64        `toml:"adult_l"`
	Mass    struct {
		Unit   string         `toml:"unit"`
		From   geo.Provenance `toml:"from"`
		Source string         `toml:"source"`
		AgeY   []float64      `toml:"age_y"`
		Kg     []float64      `toml:"kg"`
	} `toml:"mass"`
	Figures struct {
		AdultKg  geo.Figure `toml:"adult_kg"`
		AdultAge geo.Figure `toml:"adult_age"`
		First10  geo.Figure `toml:"first10"`
		Next10   geo.Figure `toml:"next10"`
		Above20  geo.Figure `toml:"above20"`
	} `toml:"figures"`
}

type waterRule struct {
	Key         string     `toml:"key"`
	Title       string     `toml:"title"`
	ReserveDays float64    `toml:"reserve_days"`
	PerDay      geo.Figure `toml:"per_day"`
}

type walkoutTable struct {
	NightWater    geo.Figure `toml:"night_water"`
	DayWater      geo.Figure `toml:"day_water"`
	DistanceError geo.Figure `toml:"distance_error"`
	HotLimit      geo.Figure `toml:"hot_limit"`
	LoadShare     geo.Figure `toml:"load_share"`
	RestShare     geo.Figure `toml:"rest_share"`
	EtaBlacktop   geo.Figure `toml:"eta_blacktop"`
	EtaDirt       geo.Figure `toml:"eta_dirt"`
	EtaLightBrush geo.Figure `toml:"eta_light_brush"`
	EtaHeavyBrush geo.Figure `toml:"eta_heavy_brush"`
	EtaBog        geo.Figure `toml:"eta_bog"`
	EtaSand       geo.Figure `toml:"eta_sand"`
}

type survivalTable struct {
	Unit    string         `toml:"unit"`
	From    geo.Provenance `toml:"from"`
	Source  string         `toml:"source"`
	MaxDegC []float64      `toml:"max_degc"`
	Litres  []float64      `toml:"litres"`
	Days    [][]float64    `toml:"days"`
	Figures struct {
		BearableLoss geo.Figure `toml:"bearable_loss"`
		SafeShare    geo.Figure `toml:"safe_share"`
	} `toml:"figures"`
}

type helpTable struct {
	ErrorFactor        geo.Figure `toml:"error_factor"`
	Alarm              geo.Figure `toml:"alarm"`
	Mobilise           geo.Figure `toml:"mobilise"`
	MobiliseRoad       geo.Figure `toml:"mobilise_road"`
	FarKm              geo.Figure `toml:"far_km"`
	NightHold          geo.Figure `toml:"night_hold"`
	RescueRoadKmh      geo.Figure `toml:"rescue_road_kmh"`
	RescueTrackKmh     geo.Figure `toml:"rescue_track_kmh"`
	SearchKnown        geo.Figure `toml:"search_known"`
	SearchRoute        geo.Figure `toml:"search_route"`
	SettlementKm       geo.Figure `toml:"settlement_km"`
	NoticeBeacon       geo.Figure `toml:"notice_beacon"`
	NoticeMessenger    geo.Figure `toml:"notice_messenger"`
	NoticePhone        geo.Figure `toml:"notice_phone"`
	NoticeHF           geo.Figure `toml:"notice_hf"`
	NoticeOverdueExtra geo.Figure `toml:"notice_overdue_extra"`
	NoticeNobody       geo.Figure `toml:"notice_nobody"`
	AgreedWait         geo.Figure `toml:"agreed_wait"`
}

type tauTable struct {
	Limit          geo.Figure `toml:"limit"`
	WarmFull       geo.Figure `toml:"warm_full"`
	WarmHalfK      geo.Figure `toml:"warm_half_k"`
	ClothesComfort geo.Figure `toml:"clothes_comfort"`
	VehicleGain    geo.Figure `toml:"vehicle_gain"`
	Medical        geo.Figure `toml:"medical"`
}

type fuelTable struct {
	PetrolMJ       geo.Figure `toml:"petrol_mj"`
	DieselMJ       geo.Figure `toml:"diesel_mj"`
	PetrolKg       geo.Figure `toml:"petrol_kg"`
	DieselKg       geo.Figure `toml:"diesel_kg"`
	IdlePerEngineL geo.Figure `toml:"idle_per_engine_l"`
	FastIdle       geo.Figure `toml:"fast_idle"`
	CdA            geo.Figure `toml:"cda"`
	RoofDrag       geo.Figure `toml:"roof_drag"`
	ReferenceKmh   geo.Figure `toml:"reference_kmh"`
	EtaLowest      geo.Figure `toml:"eta_lowest"`
	EtaHighest     geo.Figure `toml:"eta_highest"`
	LowRangeLoss   geo.Figure `toml:"low_range_loss"`
	LowRangeGrade  geo.Figure `toml:"low_range_grade"`
	DayToDay       geo.Figure `toml:"day_to_day"`
	Unusable       geo.Figure `toml:"unusable"`
	StrandedIdle   geo.Figure `toml:"stranded_idle"`
	PowerPer305m   geo.Figure `toml:"power_per_305m"`
}

type tranterTable struct {
	Unit       string         `toml:"unit"`
	From       geo.Provenance `toml:"from"`
	Source     string         `toml:"source"`
	NaismithH  []float64      `toml:"naismith_h"`
	FitnessMin []float64      `toml:"fitness_min"`
	Hours      [][]float64    `toml:"hours"`
}

type rolling struct {
	Ground   string     `toml:"ground"`
	Crr      geo.Figure `toml:"crr"`
	LowRange geo.Figure `toml:"low_range"`
}

type groundRoll struct{ crr, low Band }

type reserveRule struct {
	Key     string     `toml:"key"`
	Title   string     `toml:"title"`
	Default bool       `toml:"default"`
	Share   geo.Figure `toml:"share"`
	Km      geo.Figure `toml:"km"`
	Return  bool       `toml:"return"`
}

type foodTable struct {
	RestKcal    geo.Figure `toml:"rest_kcal"`
	FieldKcal   geo.Figure `toml:"field_kcal"`
	ColdKcal    geo.Figure `toml:"cold_kcal"`
	ColdBelow   geo.Figure `toml:"cold_below"`
	MildAbove   geo.Figure `toml:"mild_above"`
	KcalPerKg   geo.Figure `toml:"kcal_per_kg"`
	ReserveDays geo.Figure `toml:"reserve_days"`
}

type shelter struct {
	Item   string         `toml:"item"`
	When   string         `toml:"when"`
	DegC   float64        `toml:"degc"`
	From   geo.Provenance `toml:"from"`
	Source string         `toml:"source"`
}

type firstAid struct {
	Key       string         `toml:"key"`
	Title     string         `toml:"title"`
	FromHours float64        `toml:"from_hours"`
	From      geo.Provenance `toml:"from"`
	Source    string         `toml:"source"`
}

type loadTable struct {
	OccupantKg  geo.Figure `toml:"occupant_kg"`
	OffroadRoof geo.Figure `toml:"offroad_roof"`
	DynamicTip  geo.Figure `toml:"dynamic_tip"`
	BallShare   geo.Figure `toml:"ball_share"`
	BallBehindM geo.Figure `toml:"ball_behind_m"`
}

type place struct {
	Key    string     `toml:"key"`
	X      geo.Figure `toml:"x"`
	Height geo.Figure `toml:"height"`
}

type timeTable struct {
	BreakEvery      geo.Figure `toml:"break_every"`
	BreakMin        geo.Figure `toml:"break_min"`
	ChildBreakEvery geo.Figure `toml:"child_break_every"`
	ChildBreakMin   geo.Figure `toml:"child_break_min"`
	ChildBelow      geo.Figure `toml:"child_below"`
	MaxDriveDay     geo.Figure `toml:"max_drive_day"`
	BeforeDusk      geo.Figure `toml:"before_dusk"`
	DaylightShare   geo.Figure `toml:"daylight_share"`
	DayStart        geo.Figure `toml:"day_start"`
	DriveSpread     geo.Figure `toml:"drive_spread"`
	NightFactor     geo.Figure `toml:"night_factor"`
	AirDown         geo.Figure `toml:"air_down"`
	CheckinMorning  geo.Figure `toml:"checkin_morning"`
	CheckinEvening  geo.Figure `toml:"checkin_evening"`
	OverdueDay      geo.Figure `toml:"overdue_day"`
	OverdueMorning  geo.Figure `toml:"overdue_morning"`
}

type coolTable struct {
	PerEngineL geo.Figure `toml:"per_engine_l"`
	Least      geo.Figure `toml:"least"`
	Carry      geo.Figure `toml:"carry"`
	BoilOver   geo.Figure `toml:"boil_over"`
	Wait       geo.Figure `toml:"wait"`
	Boils      geo.Figure `toml:"boils"`
	PerKPa     geo.Figure `toml:"per_kpa"`
	Per300m    geo.Figure `toml:"per_300m"`
	CapKPa     geo.Figure `toml:"cap_kpa"`
}

// ParseTables reads supply.toml strictly. Errors are [geo.InputError] and name file, line and reason:
// unknown or missing keys, figures without provenance or out of order, tables of unequal length,
// columns that would let a need fall when it must not, a ground class left out or named twice.
func ParseTables(data []byte, file string) (*Tables, error) {
	t := new(Tables)
	doc, err := table.Decode(data, file, &t.numbers)
	if err != nil {
		return nil, err
	}
	if err := t.check(doc); err != nil {
		return nil, err
	}
	t.index()
	return t, nil
}

// Figures calls yield for every figure with its path in the file ("fuel.unusable"), in file order of
// the fields, for screens that show or change them.
func (t *Tables) Figures(yield func(path string, f geo.Figure)) {
	table.Figures(&t.numbers, func(path string, f *geo.Figure) { yield(path, *f) })
}

// SameFuel reports whether o gives the same use of fuel, and SameTimes whether it lays the same days.
func (t *Tables) SameFuel(o *Tables) bool {
	return t == o || t.FuelTable == o.FuelTable && slices.Equal(t.Rolling, o.Rolling)
}

// SameTimes: see [Tables.SameFuel].
func (t *Tables) SameTimes(o *Tables) bool {
	return t == o || reflect.DeepEqual(t.TimeTable, o.TimeTable)
}

// Override gives a copy of t in which the figure at path is f. It refuses an unknown path, another
// unit and a figure that fails [geo.Figure.Check].
func (t *Tables) Override(path string, f geo.Figure) (*Tables, error) {
	c := *t
	// Figures inside slices must not be shared with t.
	c.Rules = append([]waterRule(nil), t.Rules...)
	c.Rolling = append([]rolling(nil), t.Rolling...)
	c.Reserves = append([]reserveRule(nil), t.Reserves...)
	c.Places = append([]place(nil), t.Places...)
	found := false
	var fault error
	table.Figures(&c.numbers, func(p string, old *geo.Figure) {
		if p != path {
			return
		}
		found = true
		if err := f.Check(); err != nil {
			fault = &geo.InputError{Where: path, Reason: err.Error()}
		} else if f.Unit != old.Unit {
			fault = &geo.InputError{Where: path, Reason: fmt.Sprintf("unit %q is not %q", f.Unit, old.Unit)}
		} else {
			*old = f
		}
	})
	if fault == nil && !found {
		fault = &geo.InputError{Where: path, Reason: "no figure has this name"}
	}
	if fault != nil {
		return nil, fault
	}
	c.index()
	return &c, nil
}
