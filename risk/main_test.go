package risk

import (
	"flag"
	"os"
	"testing"
)

// The properties over whole trips, with their stocks, pieces, forces and second vehicle, are tried on 3000 random
// trips each, 100 with -short; a number given on the command line goes before. The arithmetic below has 3000
// models of its own.
func TestMain(m *testing.M) {
	flag.Parse()
	given := false
	flag.Visit(func(f *flag.Flag) { given = given || f.Name == "rapid.checks" })
	if !given {
		n := "3000"
		if testing.Short() {
			n = "100"
		}
		if err := flag.Set("rapid.checks", n); err != nil {
			panic(err)
		}
	}
	os.Exit(m.Run())
}
