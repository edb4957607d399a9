package supply_test

import (
	"testing"

	"lastroad/assets"
	"lastroad/risk/supply"
)

// tables are the built-in numbers.
func tables(t testing.TB) *supply.Tables {
	t.Helper()
	data, file := assets.Table("supply")
	tab, err := supply.ParseTables(data, file)
	if err != nil {
		t.Fatalf("the built-in table does not parse: %v", err)
	}
	return tab
}

func TestBuiltInVehiclesAndClimatesParse(t *testing.T) {
	data, file := assets.Table("vehicles")
	v, err := supply.ParseVehicles(data, file)
	if err != nil {
		t.Fatal(err)
	}
	tab := tables(t)
	for _, c := range v.Classes {
		m, err := tab.Fuel(supply.FuelVehicle{Fuel: c.Fuel, SealedLPer100: c.SealedLPer100.Central, MassKg: c.KerbKg.Central + 200, EngineL: c.EngineL.Central, CdA: c.CdAM2.Central})
		if err != nil {
			t.Errorf("class %s cannot be calibrated: %v", c.Key, err)
		} else if m.Warning() != "" {
			t.Errorf("class %s: %s", c.Key, m.Warning())
		}
	}
	data, file = assets.Table("climate")
	if _, err := supply.ParseClimate(data, file); err != nil {
		t.Fatal(err)
	}
}
