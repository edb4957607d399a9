package report

import (
	"time"

	"lastroad/risk"
	"lastroad/risk/supply"
)

type defaultJSON struct {
	Key    string `json:"key"`
	Title  string `json:"title"`
	Value  num    `json:"value"`
	Unit   string `json:"unit"`
	Text   string `json:"text"`
	From   string `json:"from"`
	Source string `json:"source"`
}

type dayJSON struct {
	Begin      string `json:"begin"`
	End        string `json:"end"`
	FromM      num    `json:"from_m"`
	ToM        num    `json:"to_m"`
	DriveMin   num    `json:"driving_min"`
	TotalMin   num    `json:"total_min"`
	DarkMin    num    `json:"driving_in_the_dark_min"`
	Sunrise    string `json:"sunrise"`
	Sunset     string `json:"sunset"`
	TurnBy     string `json:"turn_round_by"`
	TurnByUTC  string `json:"turn_round_by_utc"`
	Camp       string `json:"camp"`
	CampChosen bool   `json:"camp_is_users_stop"`
	Note       string `json:"note"`
}

type noReturnJSON struct {
	Kind        string `json:"kind"`
	AtM         num    `json:"at_m"`
	FromM       num    `json:"from_m"`
	ToM         num    `json:"to_m"`
	LastReturnM num    `json:"last_return_m"`
	On          num    `json:"going_on"`
	Back        num    `json:"going_back"`
	Unit        string `json:"unit"`
	Reaches     bool   `json:"reaches_next_supply"`
	Later       string `json:"turns_last"`
	Text        string `json:"text"`
}

type fuelPlaceJSON struct {
	AtM      num      `json:"at_m"`
	Name     string   `json:"name"`
	Declared bool     `json:"declared_by_user"`
	End      bool     `json:"end_of_route"`
	NeedL    bandJSON `json:"from_last_place_l"`
	LeftL    bandJSON `json:"left_on_arrival_l"`
}

type placeJSON struct {
	Kind   string `json:"kind"`
	Name   string `json:"name"`
	RouteM num    `json:"route_m"`
	OffM   num    `json:"off_m"`
	L      num    `json:"litres"`
}

type coolingJSON struct {
	FillingL      num      `json:"filling_l"`
	Estimated     bool     `json:"filling_estimated"`
	CarryL        bandJSON `json:"carry_l"`
	BoilOverL     bandJSON `json:"boil_over_l"`
	HaveL         num      `json:"carried_l"`
	ShortL        num      `json:"short_l"`
	FromDrinkingL num      `json:"from_drinking_water_l"`
	DrinkingLeftL num      `json:"drinking_water_left_l"`
	DrinkingShort bool     `json:"drinking_water_short"`
	WaitMin       bandJSON `json:"wait_before_opening_min"`
	BoilsC        num      `json:"boils_under_cap_c"`
	OpenBoilsC    num      `json:"boils_open_c"`
	Cautions      []string `json:"cautions"`
	Reminders     []string `json:"reminders"`
}

type suppliesJSON struct {
	Defaults   []defaultJSON   `json:"defaults"`
	UTCOffsetS int             `json:"utc_offset_s"`
	Days       []dayJSON       `json:"days"`
	End        *time.Time      `json:"planned_end"`
	SlowEnd    *time.Time      `json:"slow_end"`
	NoReturns  []noReturnJSON  `json:"points_of_no_return"`
	Reserve    string          `json:"fuel_reserve_rule"`
	ReserveIs  string          `json:"fuel_reserve_rule_title"`
	ReserveDef bool            `json:"fuel_reserve_rule_is_default"`
	OnBoardL   bandJSON        `json:"fuel_usable_l"`
	UnusableL  num             `json:"fuel_unusable_l"`
	FuelPlaces []fuelPlaceJSON `json:"fuel_places"`
	WaterL     num             `json:"water_carried_l"`
	Containers num             `json:"water_containers"`
	LargestL   num             `json:"water_largest_container_l"`
	Taken      []placeJSON     `json:"water_taken_on"`
	Possible   []placeJSON     `json:"water_possible"`
	FoodKcal   bandJSON        `json:"food_kcal"`
	FoodKg     bandJSON        `json:"food_kg"`
	FoodDay    bandJSON        `json:"food_kcal_per_day"`
	FoodRest   bandJSON        `json:"food_kcal_per_day_waiting"`
	FoodHave   num             `json:"food_carried_person_days"`
	FoodLasts  num             `json:"food_lasts_waiting_days"`
	Shelter    []string        `json:"shelter"`
	FirstAid   []string        `json:"first_aid"`
	AidCaution string          `json:"first_aid_caution"`
	Cooling    coolingJSON     `json:"cooling"`
}

// suppliesOf is what the trip as a whole uses up. Times of days are in the trip's own time (RFC 3339 with
// its offset), all others in UTC.
func suppliesOf(s *risk.Supplies) suppliesJSON {
	j := suppliesJSON{Defaults: []defaultJSON{}, UTCOffsetS: s.ZoneS, Days: []dayJSON{}, End: moment(s.EndUnix), SlowEnd: moment(s.SlowUnix), NoReturns: []noReturnJSON{},
		Reserve: s.Fuel.Rule, ReserveIs: s.Fuel.RuleTitle, ReserveDef: s.Fuel.RuleDefault, OnBoardL: band(s.Fuel.OnBoard), UnusableL: num(s.Fuel.UnusableL), FuelPlaces: []fuelPlaceJSON{},
		WaterL: num(s.Water.CarriedL), Containers: num(s.Water.Containers), LargestL: num(s.Water.LargestL), Taken: []placeJSON{}, Possible: []placeJSON{},
		FoodKcal: stock(s.Food.Kcal), FoodKg: stock(s.Food.Kg), FoodDay: stock(s.Food.KcalPerDay), FoodRest: stock(s.Food.RestPerDay), FoodHave: num(s.FoodHave), FoodLasts: num(s.Food.DaysCarried),
		Shelter: []string{}, FirstAid: []string{}, AidCaution: supply.FirstAidCaution}
	for _, d := range s.Defaults {
		j.Defaults = append(j.Defaults, defaultJSON{d.Key, d.Title, num(d.Value), d.Unit, d.Text, string(d.From), d.Source})
	}
	clock := func(t time.Time) string {
		if t.IsZero() {
			return ""
		}
		return t.Format(time.RFC3339)
	}
	for _, d := range s.Days {
		k := dayJSON{Begin: clock(d.Begin), End: clock(d.End), FromM: num(d.FromM), ToM: num(d.ToM), DriveMin: num(d.DriveMin), TotalMin: num(d.TotalMin), DarkMin: num(d.DarkMin),
			TurnBy: clock(d.TurnBy), TurnByUTC: clock(d.TurnBy.UTC()), Camp: d.Camp, CampChosen: d.Chosen, Note: d.Note}
		if d.HasSun {
			k.Sunrise, k.Sunset = clock(d.Sunrise), clock(d.Sunset)
		}
		j.Days = append(j.Days, k)
	}
	for _, r := range s.NoReturns {
		unit := "L"
		if r.Kind == risk.ReturnTime {
			unit = "s"
		}
		j.NoReturns = append(j.NoReturns, noReturnJSON{r.Kind, num(r.AtM), num(r.FromM), num(r.ToM), num(r.LastReturnM), num(r.On), num(r.Back), unit, r.Reaches, r.Later, NoReturn(r)})
	}
	for _, p := range s.Fuel.Places {
		j.FuelPlaces = append(j.FuelPlaces, fuelPlaceJSON{num(p.AtM), p.Name, p.Declared, p.End, band(p.Need), band(p.Left)})
	}
	for _, p := range s.Water.Taken {
		j.Taken = append(j.Taken, placeJSON{"declared", p.Name, num(p.AtM), 0, num(p.L)})
	}
	for _, p := range s.Water.Possible {
		j.Possible = append(j.Possible, placeJSON{p.Kind.Key(), p.Name, num(p.RouteM), num(p.OffM), 0})
	}
	for _, k := range s.Shelter {
		j.Shelter = append(j.Shelter, k.Item)
	}
	for _, k := range s.FirstAid {
		j.FirstAid = append(j.FirstAid, k.Title)
	}
	c := &s.Cooling
	j.Cooling = coolingJSON{num(c.FillingL), c.Defaulted, stock(c.CarryL), stock(c.BoilOverL), num(c.HaveL), num(c.ShortL), num(c.FromDrinkingL), num(c.DrinkingLeftL), c.DrinkingShort,
		stock(c.WaitMin), num(c.BoilsC), num(c.OpenBoilsC), text(c.Cautions), text(c.Reminders)}
	return j
}

func stock(b supply.Band) bandJSON { return bandJSON{num(b.Low), num(b.Central), num(b.High)} }

type airJSON struct {
	AtM   num    `json:"at_m"`
	From  [2]num `json:"from_kpa"`
	To    [2]num `json:"to_kpa"`
	AirMi num    `json:"min"`
}

func airOf(a *risk.AirStop) *airJSON {
	if a == nil {
		return nil
	}
	return &airJSON{num(a.AtM), [2]num{num(a.From[0]), num(a.From[1])}, [2]num{num(a.To[0]), num(a.To[1])}, num(a.Min)}
}

type walkJSON struct {
	Hours    bandJSON `json:"hours"`
	WaterL   bandJSON `json:"water_l"`
	CarryKg  num      `json:"water_each_kg"`
	ByNight  bool     `json:"cool_hours_only"`
	InReach  bool     `json:"in_reach"`
	Fails    string   `json:"fails"`
	Cautions []string `json:"cautions"`
}

func walkOf(w *supply.WalkOut) *walkJSON {
	if w == nil {
		return nil
	}
	return &walkJSON{stock(w.Hours), stock(w.WaterL), num(w.CarryKg), w.ByNight, w.InReach, w.Fails, text(w.Cautions)}
}

type legSupplyJSON struct {
	StopsMin    bandJSON   `json:"breaks_min"`
	RecoveryMin bandJSON   `json:"recovery_min"`
	AirMin      bandJSON   `json:"tyres_min"`
	TotalMin    bandJSON   `json:"total_min"`
	Recoveries  num        `json:"expected_recoveries"`
	AirStop     *airJSON   `json:"air_stop"`
	LastAir     *airJSON   `json:"air_stop_at_the_end"`
	TurnBy      *time.Time `json:"turn_round_by"`
	SlowArrive  *time.Time `json:"slow_arrive"`
	TotalKg     num        `json:"total_kg"`
	LeftKg      num        `json:"payload_left_kg"`
	FrontKg     num        `json:"front_axle_kg"`
	RearKg      num        `json:"rear_axle_kg"`
	RoofKg      num        `json:"roof_kg"`
	CGHeightM   num        `json:"cg_height_m"`
	TipAngleDeg num        `json:"tip_angle_deg"`
	FuelL       num        `json:"fuel_in_tank_and_cans_l"`
	WaterTakenL num        `json:"water_taken_on_l"`
	LeakLeftL   num        `json:"water_left_after_a_leak_l"`
	LeakKeepL   num        `json:"water_needed_after_a_leak_l"`
	Possible    []num      `json:"water_possible_m"`
	FuelPlaces  []num      `json:"fuel_places_m"`
	WalkOut     *walkJSON  `json:"walk_out"`
	WaitDays    bandJSON   `json:"wait_days"`
	WaitFood    bandJSON   `json:"wait_food_person_days"`
}

func legSupplyOf(n *risk.Needs) legSupplyJSON {
	s, l := &n.Supply, &n.Supply.Load
	nums := func(v []float64) []num {
		out := []num{}
		for _, x := range v {
			out = append(out, num(x))
		}
		return out
	}
	return legSupplyJSON{band(s.StopsMin), band(s.RecoveryMin), band(s.AirMin), band(s.TotalMin), num(s.Recoveries), airOf(s.AirStop), airOf(s.LastAir), moment(s.TurnByUnix), moment(s.SlowUnix),
		num(l.TotalKg), num(l.PayloadLeftKg), num(l.FrontKg), num(l.RearKg), num(l.RoofKg), num(l.CGHeightM), num(l.TipAngleDeg), num(l.FuelL),
		num(s.WaterTakenL), num(s.WaterLeakL), num(s.LeakKeepL), nums(n.WaterRefillsM), nums(n.FuelPlacesM), walkOf(s.WalkOut), band(s.WaitDays), band(s.WaitFood)}
}
