package survey

import (
	"testing"

	"lastroad/assets"
	"lastroad/geo/garble"
)

func FuzzParsePace(f *testing.F) {
	data, file := assets.Table("pace")
	garble.FuzzTable(f, data, file, func(b []byte, file string) error {
		_, err := ParsePace(b, file)
		return err
	})
}
