package verbs

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func runPapers(args ...string) (status int, out, errs string) {
	var o, e bytes.Buffer
	status = papersVerb(context.Background(), args, Streams{Out: &o, Err: &e})
	return status, o.String(), e.String()
}

func TestPapersVerb(t *testing.T) {
	t.Setenv("LASTROAD_CACHE", t.TempDir())
	dir := filepath.Join(t.TempDir(), "new", "folder")
	status, out, errs := runPapers("demo", "--out", dir, "--only", "home-text,gpx,leg-csv", "--date", "2027-03-01", "--lang", "de")
	if status != Done {
		t.Fatalf("status %d: %s", status, errs)
	}
	for _, f := range []string{"note-for-home.txt", "route.gpx", "legs.csv"} {
		if st, err := os.Stat(filepath.Join(dir, f)); err != nil || st.Size() == 0 {
			t.Errorf("%s: %v", f, err)
		}
		if !strings.Contains(out, f) {
			t.Errorf("the verb does not name %s: %s", f, out)
		}
	}
	if entries, _ := os.ReadDir(dir); len(entries) != 3 {
		t.Errorf("%d files were written, want the 3 asked for", len(entries))
	}
	note, _ := os.ReadFile(filepath.Join(dir, "note-for-home.txt"))
	if !strings.Contains(string(note), "WAS ZU TUN IST") || !strings.Contains(string(note), "1 März 2027") {
		t.Errorf("the German note does not begin as one:\n%.300s", note)
	}
	// The same date gives the same bytes in another run.
	again := t.TempDir()
	if status, _, errs := runPapers("demo", "--out", again, "--only", "home-text,gpx,leg-csv", "--date", "2027-03-01", "--lang", "de"); status != Done {
		t.Fatal(errs)
	}
	for _, f := range []string{"note-for-home.txt", "route.gpx", "legs.csv"} {
		a, _ := os.ReadFile(filepath.Join(dir, f))
		b, _ := os.ReadFile(filepath.Join(again, f))
		if !bytes.Equal(a, b) {
			t.Errorf("%s differs between two runs with one date", f)
		}
	}
}

func TestPapersVerbRefusesInOneLine(t *testing.T) {
	t.Setenv("LASTROAD_CACHE", t.TempDir())
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	out := t.TempDir()
	for _, c := range []struct {
		name string
		args []string
		want string
	}{
		{"no folder", []string{"demo"}, "--out"},
		{"unknown paper", []string{"demo", "--out", out, "--only", "poster"}, "poster"},
		{"bad date", []string{"demo", "--out", out, "--date", "1st of May"}, "--date"},
		{"bad language", []string{"demo", "--out", out, "--lang", "xx"}, "en, de, es, fr"},
		{"bad size", []string{"demo", "--out", out, "--size", "A3"}, "A3"},
		{"bad resolution", []string{"demo", "--out", out, "--dpi", "10"}, "72 to 600"},
		{"missing file", []string{filepath.Join(out, "none.gpx"), "--out", out}, "does not exist"},
		{"folder is a file", []string{"demo", "--out", filepath.Join(file, "below"), "--only", "home-text"}, "cannot be made"},
	} {
		status, _, errs := runPapers(c.args...)
		if status != BadInput || !strings.Contains(errs, c.want) || strings.Count(strings.TrimSpace(errs), "\n") != 0 {
			t.Errorf("%s: status %d, said %q; want status %d and one line with %q", c.name, status, errs, BadInput, c.want)
		}
	}
}

// The note in US units names miles and gallons, and the table of numbers stays in kilometres.
func TestPapersVerbUnits(t *testing.T) {
	t.Setenv("LASTROAD_CACHE", t.TempDir())
	dir := t.TempDir()
	status, _, errs := runPapers("demo", "--out", dir, "--only", "home-text,leg-csv", "--units", "us")
	if status != Done {
		t.Fatalf("status %d: %s", status, errs)
	}
	note, _ := os.ReadFile(filepath.Join(dir, "note-for-home.txt"))
	for _, want := range []string{"228 km", " mi", " US gal"} {
		if (want != "228 km") != strings.Contains(strings.ReplaceAll(string(note), "\u00a0", " "), want) {
			t.Errorf("the note in US units: %q stands there, or does not, against the wish:\n%.1500s", want, note)
		}
	}
	table, _ := os.ReadFile(filepath.Join(dir, "legs.csv"))
	if !strings.Contains(string(table), "length (km)") {
		t.Error("the table of numbers does not say that it is in kilometres")
	}
	if status, _, errs := runPapers("demo", "--out", dir, "--units", "cubits"); status != BadInput || !strings.Contains(errs, "units") {
		t.Errorf("units that nobody knows gave status %d: %s", status, errs)
	}
}
