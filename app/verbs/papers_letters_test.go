package verbs

import (
	"strings"
	"testing"

	"lastroad/risk"
)

// Writing papers must say in one line which of them lost letters, and nothing when none did.
func TestPapersVerbNamesPapersThatLostLetters(t *testing.T) {
	t.Setenv("LASTROAD_CACHE", t.TempDir())
	for _, c := range []struct{ name, note string }{
		{"長い道", "lastroad: the typeface lacks some letters, which stand as ? in note-for-home.pdf\n"},
		{"Долгая дорога", ""},
	} {
		path := saved(t, "named", func(tr *risk.Trip) { tr.Name = c.name })
		status, _, errs := runPapers(path, "--out", t.TempDir(), "--only", "home,home-text", "--samples", "0", "--date", "2027-03-01")
		if status != Done {
			t.Fatalf("status %d: %s", status, errs)
		}
		if n := strings.Count(errs, "typeface"); n > 1 || (n == 1) != (c.note != "") || !strings.Contains(errs, c.note) {
			t.Errorf("%s: the notes are %q, want %q among them", c.name, errs, c.note)
		}
	}
}
