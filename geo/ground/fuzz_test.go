package ground

import (
	"errors"
	"testing"

	"lastroad/assets"
	"lastroad/geo"
	"lastroad/geo/garble"
)

// fuzzTable gives a built-in table, and damaged copies of it, to a reader of tables: it must read or refuse with an
// input error.
func fuzzTable(f *testing.F, name string, parse func(b []byte, file string) error) {
	data, file := assets.Table(name)
	f.Add(data)
	for _, b := range garble.Copies(100, true, data) {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		var bad *geo.InputError
		if err := parse(b, file); err != nil && !errors.As(err, &bad) {
			t.Fatalf("error %v is not an input error", err)
		}
	})
}

func FuzzParseRules(f *testing.F) {
	fuzzTable(f, "ground", func(b []byte, file string) error {
		_, err := ParseRules(b, file)
		return err
	})
}

func FuzzParseWays(f *testing.F) {
	fuzzTable(f, "ways", func(b []byte, file string) error {
		_, err := ParseWays(b, file)
		return err
	})
}
