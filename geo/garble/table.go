package garble

import (
	"errors"
	"testing"

	"lastroad/geo"
)

// FuzzTable gives a table and a hundred damaged copies of it to a reader of tables, which must read each or refuse it
// with an input error; file is the name that the refusal carries.
func FuzzTable(f *testing.F, data []byte, file string, parse func(b []byte, file string) error) {
	f.Add(data)
	for _, b := range Copies(100, true, data) {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		var bad *geo.InputError
		if err := parse(b, file); err != nil && !errors.As(err, &bad) {
			t.Fatalf("error %v is not an input error", err)
		}
	})
}
