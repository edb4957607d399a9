package supply_test

import (
	"testing"

	"lastroad/assets"
	"lastroad/risk/recovery"
	"lastroad/risk/supply"
)

// The tyre sizes of the classes must be readable by the part that works with tyres.
func TestTyreSizesOfTheClassesAreReadable(t *testing.T) {
	v, err := supply.ParseVehicles(assets.Table("vehicles"))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range v.Classes {
		if z, err := recovery.ParseSize(c.TyreSize); err != nil {
			t.Errorf("class %s: %v", c.Key, err)
		} else if z.DiameterM < 0.6 || z.DiameterM > 1.3 {
			t.Errorf("class %s stands on tyres of %.2f m", c.Key, z.DiameterM)
		}
	}
}
