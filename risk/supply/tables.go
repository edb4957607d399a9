package supply

import (
	"fmt"
	"sort"

	"lastroad/geo"
	"lastroad/geo/table"
)

// Tables are the numbers of the package, each with its band and provenance, as read from
// supply.toml by [ParseTables]. They are read-only after parsing; Override makes a changed copy.
type Tables struct {
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

	ground [geo.NumGrounds]groundRoll
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
	doc, err := table.Decode(data, file, t)
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
	table.Figures(t, func(path string, f *geo.Figure) { yield(path, *f) })
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
	table.Figures(&c, func(p string, old *geo.Figure) {
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

func (t *Tables) check(doc *table.Document) error {
	rising := func(path string, v []float64) error {
		if len(v) < 2 {
			return doc.Fault(path, "needs at least two values")
		}
		if !sort.SliceIsSorted(v, func(i, j int) bool { return v[i] < v[j] }) {
			return doc.Fault(path, "values must rise")
		}
		for i := 1; i < len(v); i++ {
			if v[i] == v[i-1] {
				return doc.Fault(path, "values must rise")
			}
		}
		return nil
	}
	column := func(path string, v []float64, n int) error {
		if len(v) != n {
			return doc.Fault(path, fmt.Sprintf("has %d values, want %d", len(v), n))
		}
		for i, x := range v {
			if x < 0 {
				return doc.Fault(path, fmt.Sprintf("value %g is negative", x))
			}
			if i > 0 && x < v[i-1] {
				return doc.Fault(path, "values must not fall: hotter or older never needs less")
			}
		}
		return nil
	}
	h, d, p, s := &t.HourlyTable, &t.DailyTable, &t.People, &t.Survival
	n := len(h.LowerDegF)
	steps := []func() error{
		func() error { return rising("hourly.lower_degf", h.LowerDegF) },
		func() error { return column("hourly.easy", h.Easy, n) },
		func() error { return column("hourly.moderate", h.Moderate, n) },
		func() error { return column("hourly.hard", h.Hard, n) },
		func() error { return workMinutes(doc, "hourly.easy_work_min", h.EasyWorkMin, n) },
		func() error { return workMinutes(doc, "hourly.moderate_work_min", h.ModerateWorkMin, n) },
		func() error { return workMinutes(doc, "hourly.hard_work_min", h.HardWorkMin, n) },
		func() error { return rising("daily.mean_degc", d.MeanDegC) },
		func() error { return column("daily.hard_sun", d.HardSun, len(d.MeanDegC)) },
		func() error { return column("daily.moderate_sun", d.ModerateSun, len(d.MeanDegC)) },
		func() error { return column("daily.rest_shade", d.RestShade, len(d.MeanDegC)) },
		func() error { return rising("people.age_to_y", p.AgeToY) },
		func() error { return column("people.intake_l", p.IntakeL, len(p.AgeToY)) },
		func() error { return rising("people.mass.age_y", p.Mass.AgeY) },
		func() error { return column("people.mass.kg", p.Mass.Kg, len(p.Mass.AgeY)) },
		func() error { return rising("survival.max_degc", s.MaxDegC) },
		func() error { return rising("survival.litres", s.Litres) },
	}
	for _, f := range steps {
		if err := f(); err != nil {
			return err
		}
	}
	for i := range d.MeanDegC {
		if !(d.RestShade[i] <= d.ModerateSun[i] && d.ModerateSun[i] <= d.HardSun[i]) {
			return doc.Fault("daily.hard_sun", "harder work needs less than lighter work in one column")
		}
	}
	if !(p.AdultL > 0 && p.IntakeL[len(p.IntakeL)-1] <= p.AdultL) {
		return doc.Fault("people.adult_l", "must not be below a child's intake")
	}
	if len(s.Days) != len(s.MaxDegC) {
		return doc.Fault("survival.days", fmt.Sprintf("has %d rows, want %d", len(s.Days), len(s.MaxDegC)))
	}
	for i, row := range s.Days {
		if err := column("survival.days", row, len(s.Litres)); err != nil {
			return err
		}
		for j := range row {
			if i > 0 && row[j] > s.Days[i-1][j] {
				return doc.Fault("survival.days", "hotter must not let people live longer")
			}
		}
	}
	tr := &t.TranterTable
	if err := rising("tranter.naismith_h", tr.NaismithH); err != nil {
		return err
	}
	if err := rising("tranter.fitness_min", tr.FitnessMin); err != nil {
		return err
	}
	if len(tr.Hours) != len(tr.FitnessMin) {
		return doc.Fault("tranter.hours", fmt.Sprintf("has %d rows, want %d", len(tr.Hours), len(tr.FitnessMin)))
	}
	for i, row := range tr.Hours {
		if len(row) < 2 || len(row) > len(tr.NaismithH) || i > 0 && len(row) > len(tr.Hours[i-1]) {
			return doc.Fault("tranter.hours", "rows must not grow longer as fitness falls")
		}
		for j := range row {
			if j > 0 && row[j] < row[j-1] || i > 0 && row[j] < tr.Hours[i-1][j] {
				return doc.Fault("tranter.hours", "hours must not fall with distance or with lower fitness")
			}
		}
	}
	seen := map[string]int{}
	for i, r := range t.Rolling {
		at := fmt.Sprintf("rolling.%d", i+1)
		g, ok := geo.ParseGround(r.Ground)
		if !ok || g == geo.Unknown {
			return doc.Fault(at+".ground", fmt.Sprintf("%q is not a ground class", r.Ground))
		}
		if seen[r.Ground]++; seen[r.Ground] > 1 {
			return doc.Fault(at+".ground", fmt.Sprintf("%q is there twice", r.Ground))
		}
		if r.Crr.Low <= 0 || r.LowRange.Low < 0 || r.LowRange.High > 1 {
			return doc.Fault(at, "resistance must be above 0 and the share of low range inside 0..1")
		}
	}
	for g := geo.Sealed; g < geo.NumGrounds; g++ {
		if seen[g.Key()] == 0 {
			return doc.Fault("rolling", fmt.Sprintf("ground %q is missing", g.Key()))
		}
	}
	defaults := 0
	for _, r := range t.Reserves {
		if r.Default {
			defaults++
		}
	}
	if defaults != 1 {
		return doc.Fault("reserve_rules", fmt.Sprintf("%d rules are marked default, want one", defaults))
	}
	for _, k := range placeKeys {
		if _, ok := t.placeOf(k); !ok {
			return doc.Fault("places", fmt.Sprintf("place %q is missing", k))
		}
	}
	for i, s := range t.Shelters {
		if s.When != "hot" && s.When != "cold" {
			return doc.Fault(fmt.Sprintf("shelter.%d.when", i+1), "must be hot or cold")
		}
	}
	return nil
}

func workMinutes(doc *table.Document, path string, v []float64, n int) error {
	if len(v) != n {
		return doc.Fault(path, fmt.Sprintf("has %d values, want %d", len(v), n))
	}
	for i, x := range v {
		if !(x > 0 && x <= 60) || i > 0 && x > v[i-1] {
			return doc.Fault(path, "minutes of work must lie in 0..60 and must not rise with heat")
		}
	}
	return nil
}

func (t *Tables) index() {
	for _, r := range t.Rolling {
		g, _ := geo.ParseGround(r.Ground)
		t.ground[g] = groundRoll{Of(r.Crr), Of(r.LowRange)}
	}
}
