package risk

import (
	"flag"
	"os"
	"testing"
)

// The properties over whole trips are tried on 200 random trips each, 40 with -short; a number given on
// the command line goes before. The arithmetic below has 3000 of its own.
func TestMain(m *testing.M) {
	flag.Parse()
	given := false
	flag.Visit(func(f *flag.Flag) { given = given || f.Name == "rapid.checks" })
	if !given {
		n := "200"
		if testing.Short() {
			n = "40"
		}
		if err := flag.Set("rapid.checks", n); err != nil {
			panic(err)
		}
	}
	os.Exit(m.Run())
}
