package main

import "testing"

func TestFuzzTargets(t *testing.T) {
	top, err := root()
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(top)
	all, err := fuzzTargets(nil)
	if err != nil {
		t.Fatal(err)
	}
	has := map[fuzzTarget]bool{}
	for _, f := range all {
		has[f] = true
	}
	for _, f := range []fuzzTarget{{"geo/gpx", "FuzzRead"}, {"app/trip", "FuzzJournal"}, {"risk/supply", "FuzzParseClimate"}} {
		if !has[f] {
			t.Errorf("%s %s is not among the %d targets", f.folder, f.name, len(all))
		}
	}
	some, err := fuzzTargets([]string{"GPX"})
	if err != nil || len(some) != 1 || some[0] != (fuzzTarget{"geo/gpx", "FuzzRead"}) {
		t.Errorf("of gpx: %v, %v", some, err)
	}
	if _, err := fuzzTargets([]string{"nosuch"}); err == nil {
		t.Error("a word that no target holds is let pass")
	}
}

// The outputs are Go 1.26's, shortened.
func TestAtTheBell(t *testing.T) {
	const bell = "fuzz: elapsed: 20m0s, execs: 582431 (0/sec), new interesting: 495 (total: 596)\n--- FAIL: FuzzParseVehicles (1201.59s)\n    context deadline exceeded\nFAIL\n"
	const finding = "--- FAIL: FuzzParse (0.10s)\n    --- FAIL: FuzzParse (0.00s)\n        units_test.go:12: -1 is let pass\n    \n    Failing input written to testdata/fuzz/FuzzParse/0a1b\n    To re-run:\nFAIL\n"
	for _, c := range []struct {
		out  string
		want bool
	}{{bell, true}, {finding, false}, {bell + finding, false}, {"panic: x\n" + bell, false}, {"", false}} {
		if got := atTheBell([]byte(c.out)); got != c.want {
			t.Errorf("%t for %q", got, c.out)
		}
	}
}
