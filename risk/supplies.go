package risk

import (
	"lastroad/geo"
	"lastroad/risk/supply"
)

// Supplies are what the trip as a whole uses up and has to plan by: days, water, fuel, food, cooling, and
// where turning back stops being possible.
type Supplies struct {
	// Defaults are the values taken for want of the user's own.
	Defaults []Default
	// ZoneS is the trip's own time in seconds east of UTC; times of the plan are told in it and in UTC.
	ZoneS int
	// Days is the plan by days, empty without a start time.
	Days []supply.PlanDay
	// EndUnix is the planned arrival, SlowUnix that of slow going; 0 without a start time.
	EndUnix, SlowUnix int64
	// NoReturns are the points of no return in route order; see [NoReturn].
	NoReturns []NoReturn
	Fuel      FuelSupply
	Water     WaterSupply
	// Food is for the planned days and the wait for help; FoodHave is what is carried in person-days.
	Food     supply.FoodNeed
	FoodHave float64
	// Shelter and FirstAid are lists for the worst wait on the route; they carry FirstAidCaution.
	Shelter  []supply.ShelterNeed
	FirstAid []supply.FirstAidGroup
	// Cooling is the radiator's share where the drinking water is shortest.
	Cooling supply.CoolingNeed
}

// LegSupply is what a leg asks of the clock, the vehicle's load and the stores.
type LegSupply struct {
	// StopsMin are breaks by crew, RecoveryMin the expected recoveries (high: a likely bad day), AirMin the
	// work on the tyres, TotalMin all with the driving. Minutes.
	StopsMin, RecoveryMin, AirMin, TotalMin Band
	// Recoveries is the expected number of troubles that the party ends by itself.
	Recoveries float64
	// AirStop is the work on the tyres on entering the leg, nil when they stay as they are; LastAir the same
	// at the end of the last leg.
	AirStop, LastAir *AirStop
	// TurnByUnix is the latest time to turn round and be back where the day began by its last safe hour;
	// SlowUnix the arrival at the end by slow going; 0 without a start time.
	TurnByUnix, SlowUnix int64
	// Load is the mass budget on entering.
	Load LegLoad
	// WaterTakenL is the drinking water that the user declares to take on along the leg or at its end.
	WaterTakenL float64
	// WaterLeakL is what is left on entering when the fullest container has leaked; NaN when nothing says how
	// the water is divided. LeakKeepL is what must then be there: the water to cross the leg and wait the
	// usual time for help.
	WaterLeakL, LeakKeepL float64
	// WalkOut is what walking out from the worst place would ask, never the first choice; nil where the way is not
	// known or the leg lies on a maintained road.
	WalkOut *supply.WalkOut
	// WaitDays is the wait for help in days; WaitFood the person-days of food it takes.
	WaitDays, WaitFood Band
}

// LegLoad is the vehicle's load at one place of the trip, by what is burned and drunk until there.
type LegLoad struct {
	TotalKg, PayloadLeftKg, FrontKg, RearKg, RoofKg float64
	CGHeightM, TipAngleDeg                          float64
	FuelL, WaterL                                   float64
}

// AirStop is a halt to let tyres down or pump them up.
type AirStop struct {
	AtM      float64
	From, To [2]float64 // kPa, front and rear
	Min      float64    // minutes; NaN when they have to go up and no compressor is carried
}

// FuelSupply is the fuel of the trip.
type FuelSupply struct {
	OnBoard   Band    // litres that can be burned at the start
	UnusableL float64 // of the tank
	Rule      string  // of the reserve
	RuleTitle string
	// RuleDefault is true when the user chose none.
	RuleDefault bool
	// Places are the places of fuel that are counted, in route order, and the end of the route.
	Places []FuelPlace
}

// FuelPlace is a place of fuel on the way, or the end of the route.
type FuelPlace struct {
	AtM      float64
	Name     string
	Declared bool // the user says that the tank is filled here; else the region's data name it, and whether it is open is not known
	End      bool
	Need     Band // litres from the last place
	Left     Band // litres on board on arrival; negative = short
}

// WaterSupply is the drinking water of the trip.
type WaterSupply struct {
	CarriedL float64
	// Containers is into how many the water is divided and LargestL the fullest; 0 and NaN when it is not said.
	Containers float64
	LargestL   float64
	// Taken are the places where the user declares to take on water.
	Taken []WaterTaken
	// Possible are water places and springs of the region near the line: possible only, never counted.
	Possible []geo.Place
}

// WaterTaken is a declared refill.
type WaterTaken struct {
	AtM  float64
	Name string
	L    float64
}
