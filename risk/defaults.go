package risk

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"lastroad/geo"
	"lastroad/risk/catalogue"
)

// Site is where a trip goes, as far as defaults need it: latitude in degrees (south negative) and the lowest
// and highest ground of the route in metres. NaN = unknown.
type Site struct{ Lat, LowM, HighM float64 }

// NoSite is a place of which nothing is known.
var NoSite = Site{math.NaN(), math.NaN(), math.NaN()}

// SiteOf is the place of a survey; nil and a survey without samples give NoSite.
func SiteOf(s *geo.Survey) Site {
	if s == nil || len(s.Samples) == 0 {
		return NoSite
	}
	p := Site{s.Samples[len(s.Samples)/2].Lat, math.NaN(), math.NaN()}
	for i := range s.Samples {
		h := s.Samples[i].HeightM
		if !math.IsNaN(h) && !(p.LowM <= h) {
			p.LowM = h
		}
		if !math.IsNaN(h) && !(p.HighM >= h) {
			p.HighM = h
		}
	}
	return p
}

// Default is a value that was taken because the trip gives none.
type Default struct {
	Key   string  // field, "vehicle.KerbKg", "conditions.day_max_c"; of the second vehicle with "partner." before it
	Title string  // "kerb mass"
	Value float64 // NaN for a default in words
	Unit  string
	Text  string // value and unit as written, or the words
	From  geo.Provenance
	// Source is what the value rests on.
	Source string
}

// Fill is [Trip.FillAt] for a place of which nothing is known.
func (t Trip) Fill(cat *catalogue.Catalogue) (Trip, []string, error) { return t.FillAt(cat, NoSite) }

// FillAt puts the defaults of the vehicle class in the place of what is not given and lists the fields in
// Vehicle.Defaulted; masses of people come from their ages; temperatures from the climate of the place and
// month; policies from the tables. A vehicle whose laden mass is not given is reckoned at its permitted mass. It returns a copy and sentences that say what was assumed; t itself is
// left as it is. A class or climate that the tables do not know is an error.
func (t Trip) FillAt(cat *catalogue.Catalogue, at Site) (Trip, []string, error) {
	out, _, notes, err := t.fill(cat, at)
	return out, notes, err
}

// filler gathers what was filled in.
type filler struct {
	cat   *catalogue.Catalogue
	list  []Default
	notes []string
}

func (f *filler) num(key, title string, v float64, unit string, from geo.Provenance, source string) {
	text := strconv.FormatFloat(v, 'g', 4, 64)
	switch unit {
	case "1":
	case "deg":
		text += "°"
	default:
		text += " " + unit
	}
	f.list = append(f.list, Default{key, title, v, unit, text, from, source})
}

func (f *filler) words(key, title, text string, from geo.Provenance, source string) {
	f.list = append(f.list, Default{key, title, math.NaN(), "", text, from, source})
}

func (t Trip) fill(cat *catalogue.Catalogue, at Site) (Trip, []Default, []string, error) {
	f := &filler{cat: cat, list: make([]Default, 0, 80)}
	p, err := f.party(t.Party, "", "the vehicle")
	if err != nil {
		return t, nil, nil, err
	}
	t.Party = p
	if t.Partner != nil {
		q, err := f.party(*t.Partner, "partner.", "the second vehicle")
		if err != nil {
			return t, nil, nil, err
		}
		t.Partner = &q
	}
	if err := f.weather(&t.Conditions, at); err != nil {
		return t, nil, nil, err
	}
	c := &t.Conditions
	adverse := cat.Figure("adverse_max_c")
	if c.AdverseC == 0 {
		c.AdverseC = adverse.Central
		f.num("conditions.adverse_c", "highest temperature of the season", c.AdverseC, "°C", adverse.From, adverse.Source)
	}
	for _, w := range []struct {
		key, title, text string
		zero             bool
	}{
		{"conditions.wetness", "wetness of the ground", "dry", c.Wetness == 0}, {"conditions.water_level", "water in the fords", "dry", c.WaterLevel == 0},
		{"conditions.adverse_wetness", "wettest of the season", "soaked", c.AdverseWetness == 0}, {"conditions.adverse_water_level", "highest water of the season", "in flood", c.AdverseWaterLevel == 0},
	} {
		if w.zero {
			f.words(w.key, w.title, w.text, geo.FromAssumption, "what is taken when nothing else is said")
		}
	}
	f.policy(&t.Policy)
	return t, f.list, f.notes, nil
}

func (f *filler) policy(p *Policy) {
	if w := f.cat.Figure("agreed_wait_h"); p.AgreedWaitH == 0 {
		p.AgreedWaitH = w.Central
		f.num("policy.agreed_wait_h", "wait of the contact after the planned end", w.Central, "h", w.From, w.Source)
	}
	if w := f.cat.Figure("rescue_cost"); p.RescueCost == 0 {
		f.num("policy.rescue_cost", "what being rescued still costs", w.Central, "of being lost", w.From, w.Source)
	}
	known := false
	for _, r := range f.cat.Supply.ReserveRules() {
		known = known || r.Key == p.ReserveRule
	}
	if !known {
		for _, r := range f.cat.Supply.ReserveRules() {
			if r.Default {
				p.ReserveRule = r.Key
				f.words("policy.reserve_rule", "spare fuel", r.Title, geo.FromPractice, "the rule that the tables mark as default")
			}
		}
	}
}

// halfSpan is half of the usual span between night and day in degrees: 7 in dry, 4 in humid air (judgement,
// the same as supply.Climate.Filled takes).
func halfSpan(humid bool) float64 {
	if humid {
		return 4
	}
	return 7
}

// weather fills temperatures. 0 stands for not given: with none given all three come from the climate, else
// the missing ones follow from the others, evenly about the mean.
func (f *filler) weather(c *Conditions, at Site) error {
	if c.Climate != "" {
		if _, ok := f.cat.Climates.Class(c.Climate); !ok {
			return &geo.InputError{Where: "climate", Reason: fmt.Sprintf("%q is not in the table of climates", c.Climate), Remedy: "take one of " + f.cat.Climates.Keys()}
		}
	}
	derived := func(key, title string, v float64) {
		f.num(key, title, v, "°C", geo.FromDerived, "from the temperatures that are given, evenly about the mean")
	}
	mean, hot, cold := c.DayMeanC != 0, c.DayMaxC != 0, c.NightMinC != 0
	switch {
	case !mean && !hot && !cold:
		f.climate(c, at)
		return nil
	case !mean && hot && cold:
		c.DayMeanC = (c.DayMaxC + c.NightMinC) / 2
	case !mean && hot:
		c.DayMeanC = c.DayMaxC - halfSpan(c.Humid)
	case !mean:
		c.DayMeanC = c.NightMinC + halfSpan(c.Humid)
	}
	if !mean {
		derived("conditions.day_mean_c", "mean temperature of day and night", c.DayMeanC)
	}
	if !hot {
		c.DayMaxC = c.DayMeanC + halfSpan(c.Humid)
		if cold {
			c.DayMaxC = math.Max(c.DayMeanC, 2*c.DayMeanC-c.NightMinC)
		}
		derived("conditions.day_max_c", "highest temperature of the day", c.DayMaxC)
	}
	if !cold {
		c.NightMinC = math.Min(c.DayMeanC, 2*c.DayMeanC-c.DayMaxC)
		derived("conditions.night_min_c", "lowest temperature of the night", c.NightMinC)
	}
	return nil
}

// climate takes temperatures from the table: mean and highest for the lowest ground of the route, the night
// for the highest, the safe side for water and for warmth.
func (f *filler) climate(c *Conditions, at Site) {
	month := time.Month(c.Month)
	if !c.Start.IsZero() {
		month = c.Start.Month()
	}
	low, high := f.cat.Climates.At(c.Climate, month, at.Lat, at.LowM), f.cat.Climates.At(c.Climate, month, at.Lat, at.HighM)
	c.DayMeanC, c.DayMaxC, c.NightMinC = tenth(low.MeanC), tenth(low.MaxC), tenth(high.NightMinC)
	c.Humid = c.Humid || low.Humid
	k, _ := f.cat.Climates.Class(low.Class)
	when := "the hottest month"
	if month >= 1 && month <= 12 {
		when = month.String()
	}
	source := fmt.Sprintf("%s: climate %q in %s, good to about %.0f degrees", k.Source, k.Title, when, low.SpreadC)
	f.num("conditions.day_mean_c", "mean temperature of day and night", c.DayMeanC, "°C", k.From, source)
	f.num("conditions.day_max_c", "highest temperature of the day", c.DayMaxC, "°C", k.From, source)
	f.num("conditions.night_min_c", "lowest temperature of the night", c.NightMinC, "°C", k.From, source)
	which := fmt.Sprintf("of the climate %q", k.Title)
	if low.Assumed {
		which = fmt.Sprintf("of the climate that is usual at this latitude, %q", k.Title)
		if math.IsNaN(at.Lat) {
			which = fmt.Sprintf("of a climate taken for want of a place, %q", k.Title)
		}
		f.words("conditions.climate", "climate", k.Title, geo.FromAssumption, "the class usual at the latitude of the route")
	}
	f.notes = append(f.notes, fmt.Sprintf("No temperatures are given: those %s in %s are taken, %.0f to %.0f °C, good to about %.0f degrees; type the forecast.", which, when, c.NightMinC, c.DayMaxC, low.SpreadC))
}

// tenth rounds to a tenth of a degree, away from 0, which stands for not given.
func tenth(v float64) float64 {
	if r := math.Round(10*v) / 10; r != 0 {
		return r
	}
	return 0.1
}

func (f *filler) party(p Party, key, which string) (Party, error) {
	v := p.Vehicle
	if v.Class == "" {
		v.Class = f.cat.Vehicles.Classes[0].Key
	}
	c, ok := f.cat.Vehicles.Class(v.Class)
	if !ok {
		return p, fmt.Errorf("vehicle class %q is not in the table of classes", v.Class)
	}
	if p.Vehicle.Class == "" {
		f.words(key+"vehicle.Class", "kind of vehicle", c.Title, geo.FromAssumption, "the first class of the table")
	}
	var set []string
	num := func(name, title string, dst *float64, from geo.Figure) {
		if *dst == 0 && from.Central != 0 {
			*dst = from.Central
			set = append(set, name)
			f.num(key+"vehicle."+name, title, from.Central, from.Unit, from.From, from.Source)
		}
	}
	class := func(name, title, text string) {
		set = append(set, name)
		f.words(key+"vehicle."+name, title, text, geo.FromAssumption, "usual for the class "+c.Title)
	}
	num("KerbKg", "kerb mass", &v.KerbKg, c.KerbKg)
	num("GVMKg", "permitted mass", &v.GVMKg, c.GVMKg)
	num("FrontAxleKg", "permitted front axle", &v.FrontAxleKg, c.FrontAxleKg)
	num("RearAxleKg", "permitted rear axle", &v.RearAxleKg, c.RearAxleKg)
	num("RoofKg", "permitted roof load", &v.RoofKg, c.RoofKg)
	num("KerbFrontShare", "share of the kerb mass on the front axle", &v.KerbFrontShare, c.KerbFrontShare)
	num("WheelbaseM", "wheelbase", &v.WheelbaseM, c.WheelbaseM)
	num("TrackM", "track width", &v.TrackM, c.TrackM)
	num("CGHeightM", "height of the centre of gravity", &v.CGHeightM, c.CGHeightM)
	num("ClearanceM", "clearance", &v.ClearanceM, c.ClearanceM)
	num("ApproachDeg", "approach angle", &v.ApproachDeg, c.ApproachDeg)
	num("BreakoverDeg", "breakover angle", &v.BreakoverDeg, c.BreakoverDeg)
	num("DepartureDeg", "departure angle", &v.DepartureDeg, c.DepartureDeg)
	num("WadingM", "wading depth", &v.WadingM, c.WadingM)
	if v.Seats == 0 {
		v.Seats = c.Seats
		class("Seats", "seats", fmt.Sprint(c.Seats))
	}
	num("AgeY", "age", &v.AgeY, geo.Figure{Low: 3, Central: 10, High: 20, Unit: "years", From: geo.FromAssumption, Source: "judgement: a vehicle of middle age"})
	if v.TyreSize == "" {
		v.TyreSize = c.TyreSize
		class("TyreSize", "tyre size", c.TyreSize)
	}
	num("FrontKPa", "placard pressure, front", &v.FrontKPa, c.FrontKPa)
	num("RearKPa", "placard pressure, rear", &v.RearKPa, c.RearKPa)
	if !v.AllWheelDrive && !v.LowRange {
		v.AllWheelDrive, v.LowRange = c.AllWheelDrive, c.LowRange
		class("AllWheelDrive", "all-wheel drive", yesNo(c.AllWheelDrive))
		class("LowRange", "low range", yesNo(c.LowRange))
	}
	if v.Fuel == "" {
		v.Fuel, v.Turbo, v.Automatic = FuelKind(c.Fuel), c.Turbo, c.Automatic
		class("Fuel", "fuel", string(v.Fuel))
		class("Turbo", "turbocharger", yesNo(c.Turbo))
		class("Automatic", "automatic gearbox", yesNo(c.Automatic))
	}
	num("TankL", "tank", &v.TankL, c.TankL)
	num("UsableShare", "usable share of the tank", &v.UsableShare, c.UsableShare)
	num("SealedLPer100", "use on sealed road", &v.SealedLPer100, c.SealedLPer100)
	num("EngineL", "engine", &v.EngineL, c.EngineL)
	num("CoolantL", "coolant", &v.CoolantL, c.CoolantL)
	v.Defaulted = append(append([]string(nil), v.Defaulted...), set...)
	switch len(set) {
	case 0:
	case 1:
		f.notes = append(f.notes, fmt.Sprintf("One figure of %s is that of the class %q, not its own.", which, c.Title))
	default:
		f.notes = append(f.notes, fmt.Sprintf("%d figures of %s are those of the class %q, not its own.", len(set), which, c.Title))
	}
	if v.LadenKg == 0 {
		f.notes = append(f.notes, fmt.Sprintf("Recoveries of %s are reckoned at its permitted mass, %.0f kg, whatever the load adds up to, so that a thing more never counts against itself by its weight; lighter, it asks for less pull.", which, v.GVMKg))
	}
	p.Vehicle = v
	if len(p.People) == 0 {
		p.People = []Person{{Name: "driver", AgeY: 40, Driver: true}}
		f.notes = append(f.notes, "No people are named for "+which+": one adult is taken.")
		f.words(key+"people", "people", "one adult", geo.FromAssumption, "nobody is named")
	} else {
		p.People = append([]Person(nil), p.People...)
	}
	for i, q := range people(p.People) {
		if p.People[i].MassKg == 0 {
			p.People[i].MassKg, _ = f.cat.Supply.Mass(q)
			f.num(fmt.Sprintf("%speople.%d.mass_kg", key, i+1), "mass of "+nameOf(p.People[i], i), p.People[i].MassKg, "kg", geo.FromMemory, "the usual mass at the age")
		}
	}
	return p, nil
}

func nameOf(p Person, i int) string {
	if p.Name != "" {
		return p.Name
	}
	return fmt.Sprintf("person %d", i+1)
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}
