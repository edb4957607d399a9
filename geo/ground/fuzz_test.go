package ground

import (
	"testing"

	"lastroad/assets"
	"lastroad/geo/garble"
)

func FuzzParseRules(f *testing.F) {
	data, file := assets.Table("ground")
	garble.FuzzTable(f, data, file, func(b []byte, file string) error {
		_, err := ParseRules(b, file)
		return err
	})
}

func FuzzParseWays(f *testing.F) {
	data, file := assets.Table("ways")
	garble.FuzzTable(f, data, file, func(b []byte, file string) error {
		_, err := ParseWays(b, file)
		return err
	})
}
