package supply_test

import (
	"testing"

	"lastroad/assets"
	"lastroad/geo/garble"
	"lastroad/risk/supply"
)

func FuzzParseClimate(f *testing.F) {
	data, file := assets.Table("climate")
	garble.FuzzTable(f, data, file, func(b []byte, file string) error {
		_, err := supply.ParseClimate(b, file)
		return err
	})
}

func FuzzParseVehicles(f *testing.F) {
	data, file := assets.Table("vehicles")
	garble.FuzzTable(f, data, file, func(b []byte, file string) error {
		_, err := supply.ParseVehicles(b, file)
		return err
	})
}
