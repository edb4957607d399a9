package supply

import (
	"fmt"

	"lastroad/geo"
	"lastroad/geo/table"
)

// VehicleClass is a generic kind of vehicle, a starting point until the user's own figures are typed.
// Its kerb mass holds a full tank and no driver.
type VehicleClass struct {
	Key           string   `toml:"key"`
	Title         string   `toml:"title"`
	Fuel          FuelKind `toml:"fuel"`
	Turbo         bool     `toml:"turbo"`
	Automatic     bool     `toml:"automatic"`
	AllWheelDrive bool     `toml:"all_wheel_drive"` // permanent
	LowRange      bool     `toml:"low_range"`
	Seats         int      `toml:"seats"`
	TyreSize      string   `toml:"tyre_size"`

	KerbKg         geo.Figure `toml:"kerb_kg"`
	GVMKg          geo.Figure `toml:"gvm_kg"`
	FrontAxleKg    geo.Figure `toml:"front_axle_kg"`
	RearAxleKg     geo.Figure `toml:"rear_axle_kg"`
	RoofKg         geo.Figure `toml:"roof_kg"` // 0 where nothing may ride on the roof
	KerbFrontShare geo.Figure `toml:"kerb_front_share"`
	WheelbaseM     geo.Figure `toml:"wheelbase_m"`
	TrackM         geo.Figure `toml:"track_m"`
	CGHeightM      geo.Figure `toml:"cg_height_m"`
	ClearanceM     geo.Figure `toml:"clearance_m"`
	ApproachDeg    geo.Figure `toml:"approach_deg"`
	BreakoverDeg   geo.Figure `toml:"breakover_deg"`
	DepartureDeg   geo.Figure `toml:"departure_deg"`
	WadingM        geo.Figure `toml:"wading_m"`
	TankL          geo.Figure `toml:"tank_l"`
	UsableShare    geo.Figure `toml:"usable_share"`
	SealedLPer100  geo.Figure `toml:"sealed_l_per_100"`
	EngineL        geo.Figure `toml:"engine_l"`
	CoolantL       geo.Figure `toml:"coolant_l"`
	FrontKPa       geo.Figure `toml:"front_kpa"`
	RearKPa        geo.Figure `toml:"rear_kpa"`
	CdAM2          geo.Figure `toml:"cda_m2"`
}

// Vehicles are the classes in table order; the first is the default.
type Vehicles struct {
	Classes []VehicleClass `toml:"vehicles"`
}

// Class finds a class by its key.
func (v *Vehicles) Class(key string) (VehicleClass, bool) {
	for _, c := range v.Classes {
		if c.Key == key {
			return c, true
		}
	}
	return VehicleClass{}, false
}

// ParseVehicles reads vehicles.toml strictly; errors are [geo.InputError] with file and line.
// A class must be able to carry its own front and rear loads: kerb below permitted mass, axle limits
// that add up to at least the permitted mass less a tenth.
func ParseVehicles(data []byte, file string) (*Vehicles, error) {
	v := new(Vehicles)
	doc, err := table.Decode(data, file, v)
	if err != nil {
		return nil, err
	}
	if len(v.Classes) == 0 {
		return nil, doc.Fault("vehicles", "no class is there")
	}
	seen := map[string]bool{}
	for i := range v.Classes {
		c := &v.Classes[i]
		at := fmt.Sprintf("vehicles.%d", i+1)
		switch {
		case c.Key == "" || c.Title == "":
			return nil, doc.Fault(at, "key and title must be given")
		case seen[c.Key]:
			return nil, doc.Fault(at+".key", fmt.Sprintf("%q is there twice", c.Key))
		case c.Fuel != Petrol && c.Fuel != Diesel:
			return nil, doc.Fault(at+".fuel", fmt.Sprintf("%q is not petrol or diesel", c.Fuel))
		case c.Seats < 1:
			return nil, doc.Fault(at+".seats", "must be at least 1")
		case c.KerbKg.Central >= c.GVMKg.Central:
			return nil, doc.Fault(at+".gvm_kg", "is not above the kerb mass")
		case c.FrontAxleKg.Central+c.RearAxleKg.Central < 0.9*c.GVMKg.Central:
			return nil, doc.Fault(at+".front_axle_kg", "the axle limits do not add up to the permitted mass")
		}
		seen[c.Key] = true
		fault := error(nil)
		table.Figures(c, func(path string, f *geo.Figure) {
			if fault == nil && f.Low <= 0 && path != "roof_kg" {
				fault = doc.Fault(at+"."+path, "must be above 0")
			}
		})
		if fault != nil {
			return nil, fault
		}
	}
	return v, nil
}

// Figures calls yield with every figure of the classes and its path.
func (v *Vehicles) Figures(yield func(path string, f geo.Figure)) {
	table.Figures(v, func(path string, f *geo.Figure) { yield(path, *f) })
}
