package main

import (
	"os/exec"
	"strings"
	"testing"
)

// allowed says which of our own top folders a top folder may import.
var allowed = map[string][]string{
	"geo":    {"geo"},
	"risk":   {"risk", "geo"},
	"assets": {},
	"app":    {"app", "risk", "geo", "assets"},
	"cmd":    {"cmd", "app", "risk", "geo", "assets"},
}

// wrongArrow tells what is wrong with package from importing to, "" when it may.
func wrongArrow(from, to string) string {
	own := func(p string) string {
		p, ok := strings.CutPrefix(p, "lastroad/")
		if !ok {
			return ""
		}
		return strings.SplitN(p, "/", 2)[0]
	}
	f, t := own(from), own(to)
	core := f == "geo" || f == "risk" || f == "assets"
	switch {
	case core && (to == "os" || to == "net" || strings.HasPrefix(to, "net/") || to == "path/filepath" || to == "os/exec" || to == "math/rand"):
		return "core packages take readers and values: no files, network or global random source"
	case strings.HasPrefix(to, "fyne.io/") && !strings.HasPrefix(from, "lastroad/app/window"):
		return "only app/window may use Fyne"
	case to == "net/http" || to == "net":
		return "the program opens no connection"
	case t == "":
		return ""
	}
	for _, a := range allowed[f] {
		if a == t {
			return ""
		}
	}
	return "arrows point one way: cmd -> app -> risk -> geo"
}

func TestImportsPointOneWay(t *testing.T) {
	list := exec.Command("go", "list", "-tags", "migrated_fynedo", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "lastroad/...")
	out, err := list.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	packages := 0
	for _, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		f := strings.Fields(line)
		packages++
		for _, to := range f[1:] {
			if why := wrongArrow(f[0], to); why != "" {
				t.Errorf("%s imports %s: %s", f[0], to, why)
			}
		}
	}
	if packages < 5 {
		t.Errorf("go list found %d packages, want at least 5: the test looked at nothing", packages)
	}
}

func TestWrongArrowIsSeen(t *testing.T) {
	for _, c := range []struct {
		from, to string
		wrong    bool
	}{
		{"lastroad/geo/osm", "lastroad/geo", false},
		{"lastroad/geo", "lastroad/risk", true},
		{"lastroad/risk", "lastroad/app/trip", true},
		{"lastroad/risk", "lastroad/assets", true},
		{"lastroad/assets", "lastroad/geo", true},
		{"lastroad/app/papers", "lastroad/risk", false},
		{"lastroad/app/papers", "fyne.io/fyne/v2", true},
		{"lastroad/app/window", "fyne.io/fyne/v2", false},
		{"lastroad/geo/osm", "os", true},
		{"lastroad/cmd/lastroad", "net/http", true},
		{"lastroad/app", "lastroad/cmd/dev", true},
	} {
		if got := wrongArrow(c.from, c.to) != ""; got != c.wrong {
			t.Errorf("%s importing %s counted as wrong: %v, want %v", c.from, c.to, got, c.wrong)
		}
	}
}
