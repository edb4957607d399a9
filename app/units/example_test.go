package units_test

import (
	"fmt"

	"lastroad/app/units"
)

func Example() {
	f := units.Formatter{System: units.US}
	kpa, _ := f.Parse(units.Pressure, "2,4 bar")
	litres, err := units.Formatter{}.Parse(units.Volume, "3 gal")
	fmt.Printf("%.0f kPa, %.1f psi\n", kpa, kpa/units.KPaPerPSI)
	fmt.Println(litres, err)
	// Output:
	// 240 kPa, 34.8 psi
	// 0 volume: "3 gal" could be US or imperial; say which: US or imperial (UK)
}
