package coverage

import (
	"flag"
	"os"
	"testing"
)

// The properties are tried on 3000 random models each (about three seconds in all), 300 with -short; a
// number given on the command line goes before.
func TestMain(m *testing.M) {
	flag.Parse()
	given := false
	flag.Visit(func(f *flag.Flag) { given = given || f.Name == "rapid.checks" })
	if !given {
		n := "3000"
		if testing.Short() {
			n = "300"
		}
		if err := flag.Set("rapid.checks", n); err != nil {
			panic(err)
		}
	}
	os.Exit(m.Run())
}
