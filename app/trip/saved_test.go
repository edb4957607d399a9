package trip

import (
	"bytes"
	"context"
	"errors"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"lastroad/geo"
)

// state gives the test a state and a cache folder of its own.
func state(t *testing.T) {
	t.Helper()
	dir := t.TempDir()
	t.Setenv("LASTROAD_STATE", filepath.Join(dir, "state"))
	t.Setenv("LASTROAD_CACHE", filepath.Join(dir, "cache"))
}

const frozen = "../../testdata/trips"

// A file of every schema there ever was is kept and opens for ever: with its plan, and without the region
// and height files that it names.
func TestEveryOldSchemaOpens(t *testing.T) {
	state(t)
	files, err := filepath.Glob(filepath.Join(frozen, "v*.trip"))
	if err != nil || len(files) != Schema {
		t.Fatalf("%d frozen files (%v), want one for each of the %d schemas", len(files), err, Schema)
	}
	for _, f := range files {
		d, err := Open(context.Background(), Request{Files: []string{f}}, nil)
		if err != nil {
			t.Errorf("%s: %v", f, err)
			continue
		}
		p := d.Plan
		if d.Name() != "Frozen loop of schema 1" || !p.Trip.Together || p.Trip.Partner == nil || len(p.Stops) != 2 || p.Home.Plate != "AB 123" || !p.Home.Medical ||
			p.Trip.Party.People[0].Conditions != "allergic to bee stings" || p.Papers.Language != "de" || p.Pace != 0.9 || len(p.Grounds) != 1 || p.Grounds[0].Ground != geo.Gravel || len(p.Legs) != 1 {
			t.Errorf("%s: the plan lost something on the way: %+v", f, p)
		}
		// 228.0 km and 18 legs were measured when the file was frozen.
		if math.Abs(d.Survey.LengthM()-228e3) > 500 || len(d.Judgement.Legs) != len(d.Survey.Legs) || len(d.Survey.Legs) < 10 {
			t.Errorf("%s: %.0f m in %d legs, %d judged", f, d.Survey.LengthM(), len(d.Survey.Legs), len(d.Judgement.Legs))
		}
		notes := strings.Join(d.Notes, "\n")
		for _, want := range []string{"region.osm.pbf is not at hand", "N00E000.hgt is not at hand", "tables"} {
			if !strings.Contains(notes, want) {
				t.Errorf("%s: the notes do not tell of %q: %s", f, want, notes)
			}
		}
		// What it opens as is saved in the newest schema and opens again.
		n, err := d.Save(filepath.Join(t.TempDir(), "again"))
		if err != nil {
			t.Fatal(err)
		}
		again, err := Open(context.Background(), Request{Files: []string{n.Path}}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(strings.Join(again.Notes, " "), "tables") {
			t.Errorf("%s: saved now, it still says that the tables changed: %v", f, again.Notes)
		}
		a, _ := EncodePlan(n.Plan)
		b, _ := EncodePlan(again.Plan)
		if !bytes.Equal(a, b) {
			t.Errorf("%s: saving and opening changed the plan:\n%s\n---\n%s", f, a, b)
		}
	}
}

// The steps of migration are tried on an invented history, since there is only one schema so far.
func TestMigrationSteps(t *testing.T) {
	steps := []migration{
		func(doc map[string]any) error { doc["title"] = doc["name"]; delete(doc, "name"); return nil },
		func(doc map[string]any) error {
			if doc["title"] == "bad" {
				return errors.New("no good")
			}
			doc["rooms"] = []any{doc["title"]}
			return nil
		},
	}
	got, err := migrate([]byte("schema = 1\nname = 'x'\n"), 1, 3, steps)
	if want := "rooms = ['x']\nschema = 3\ntitle = 'x'\n"; err != nil || string(got) != want {
		t.Errorf("two steps gave %q, %v; want %q", got, err, want)
	}
	if got, err := migrate([]byte("schema = 2 # mine\n"), 2, 2, steps); err != nil || string(got) != "schema = 2 # mine\n" {
		t.Errorf("no step gave %q, %v; want the text as it was", got, err)
	}
	for _, c := range []struct {
		name, text string
		from, to   int
		want       string
	}{
		{"step refuses", "schema = 2\ntitle = 'bad'\n", 2, 3, "schema 2 to 3: no good"},
		{"step missing", "schema = 3\n", 3, 4, "no step"},
		{"not toml", "[[[", 1, 2, "toml"},
	} {
		if _, err := migrate([]byte(c.text), c.from, c.to, steps); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want %q in it", c.name, err, c.want)
		}
	}
	if len(migrations) != Schema-1 {
		t.Errorf("%d steps lead to schema %d, want %d", len(migrations), Schema, Schema-1)
	}
}

func TestAChangedRegionFileIsTold(t *testing.T) {
	state(t)
	d := &Document{Plan: Plan{Region: []FileRef{{Path: "made.osm", Size: 1, ModUnix: 1}}}}
	here := t.TempDir()
	t.Chdir(here)
	if err := os.WriteFile("made.osm", []byte("<osm version=\"0.6\"/>"), 0o600); err != nil {
		t.Fatal(err)
	}
	var region, heights []string
	d.missing(&region, &heights)
	if len(region) != 1 || !strings.Contains(strings.Join(d.Notes, " "), "made.osm has changed") {
		t.Errorf("files to read %v, notes %v; want the region again and word of its change", region, d.Notes)
	}
}

// openCopy is a copy of the frozen file as an opened document, without the judging that saving does not need.
func openCopy(t *testing.T) (*Document, string) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(frozen, "v1.trip"))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "loop.trip")
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return opened(t, path), path
}

func opened(t *testing.T, path string) *Document {
	t.Helper()
	s, err := ReadSaved(path)
	if err != nil {
		t.Fatal(err)
	}
	return &Document{Plan: s.Plan, Path: path, RouteBytes: s.Route, disk: fileSum(path)}
}

func TestSavingOverAnotherWindowsWorkIsRefused(t *testing.T) {
	state(t)
	a, path := openCopy(t)
	b := opened(t, path)
	b.Plan.Trip.Name = "the other's"
	b, err := b.Save(path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := a.Save(path); err == nil || !strings.Contains(err.Error(), "was changed by another window") {
		t.Errorf("saving over what another window saved gave %v, want a refusal", err)
	}
	if _, err := a.Save(filepath.Join(filepath.Dir(path), "mine.trip")); err != nil {
		t.Errorf("saving under another name gave %v", err)
	}
	b.Plan.Trip.Name = "the other's again"
	if _, err := b.Save(path); err != nil {
		t.Errorf("the last one to save cannot save again: %v", err)
	}
}

// Another process that has the file open bars saving; the own lock does not.
func TestSaveHonoursTheLock(t *testing.T) {
	if path := os.Getenv("LASTROAD_TEST_HOLDER"); path != "" {
		l, ok, err := LockFile(path)
		if err != nil || !ok {
			t.Fatal(ok, err)
		}
		os.Stdout.WriteString("held\n")
		buf := make([]byte, 1)
		os.Stdin.Read(buf)
		l.Release()
		return
	}
	state(t)
	d, path := openCopy(t)
	own, ok, err := LockFile(path)
	if err != nil || !ok {
		t.Fatalf("the lock of a free file: %v, %v", ok, err)
	}
	if d, err = d.Save(path); err != nil {
		t.Errorf("the window that has the file open cannot save it: %v", err)
	}
	own.Release()
	own.Release()

	self, err := os.Executable()
	if err != nil {
		t.Skip("cannot find this test's own program:", err)
	}
	cmd := exec.Command(self, "-test.run=^TestSaveHonoursTheLock$")
	cmd.Env = append(os.Environ(), "LASTROAD_TEST_HOLDER="+path)
	in, _ := cmd.StdinPipe()
	out, _ := cmd.StdoutPipe()
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	buf := make([]byte, 5)
	if _, err := out.Read(buf); err != nil || string(buf[:4]) != "held" {
		t.Fatalf("the other process said %q, %v", buf, err)
	}
	if _, ok, _ := LockFile(path); ok {
		t.Error("two processes hold one lock")
	}
	if _, err := d.Save(path); err == nil || !strings.Contains(err.Error(), "open in another window") {
		t.Errorf("saving a file that another process has open gave %v, want a refusal", err)
	}
	in.Close()
	cmd.Wait()
	if _, err := d.Save(path); err != nil {
		t.Errorf("after the other process ended saving gave %v", err)
	}
}

func TestUnwritableAndMissingFolders(t *testing.T) {
	state(t)
	d, _ := openCopy(t)
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "file"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, path, want string }{
		{"missing folder", filepath.Join(dir, "none", "x.trip"), "does not exist"},
		{"a file for a folder", filepath.Join(dir, "file", "x.trip"), "was not saved"},
		{"a folder for a file", dir + "/sub.trip", "was not saved"},
	} {
		if strings.HasPrefix(c.name, "a folder") {
			if err := os.MkdirAll(filepath.Join(c.path, "full"), 0o700); err != nil {
				t.Fatal(err)
			}
		}
		_, err := d.Save(c.path)
		var bad *geo.InputError
		if !errors.As(err, &bad) || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: error %v, want one line with %q", c.name, err, c.want)
		}
	}
	if os.Geteuid() != 0 {
		if err := os.Chmod(dir, 0o500); err != nil {
			t.Fatal(err)
		}
		if _, err := d.Save(filepath.Join(dir, "x.trip")); err == nil || !strings.Contains(err.Error(), "may not be written") {
			t.Errorf("a folder that may not be written to gave %v", err)
		}
		os.Chmod(dir, 0o700)
	}
}

// A full disk leaves the old file and says what is the matter. The disk is one of 64 KiB, in memory.
func TestFullDisk(t *testing.T) {
	state(t)
	dir := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", dir).CombinedOutput(); err != nil {
		t.Skipf("no small disk can be mounted here: %s", bytes.TrimSpace(out))
	}
	defer exec.Command("umount", dir).Run()
	path := filepath.Join(dir, "loop.trip")
	s := Saved{Plan: demoSaved(t).Plan, Route: []byte("<gpx/>")}
	if err := s.WriteFile(path); err != nil {
		t.Fatalf("a small file on a small disk: %v", err)
	}
	before, _ := os.ReadFile(path)
	big := demoSaved(t)
	big.Survey = make([]byte, 200<<10)
	for i := range big.Survey {
		big.Survey[i] = byte(i * i >> 3 * 2654435761 >> 7) // hard to pack
	}
	err := big.WriteFile(path)
	if err == nil || !strings.Contains(err.Error(), "disk is full") {
		t.Errorf("saving %d bytes on a full disk gave %v, want word of it", len(big.Survey), err)
	}
	if after, _ := os.ReadFile(path); !bytes.Equal(before, after) {
		t.Error("a save that found the disk full changed the file")
	}
	entries, _ := os.ReadDir(dir)
	for _, e := range entries {
		if e.Name() != "loop.trip" && e.Name() != "loop.trip.previous" {
			t.Errorf("%s was left on the full disk", e.Name())
		}
	}
}

func TestTablesSumIsSteady(t *testing.T) {
	if a, b := TablesSum(), TablesSum(); a != b || len(a) != 16 {
		t.Errorf("the tables' sum is %q, then %q", a, b)
	}
	entries, err := os.ReadDir("../../assets/tables")
	if err != nil {
		t.Skip("the tables' folder is not at hand:", err)
	}
	n := 0
	for _, e := range entries {
		if strings.HasSuffix(e.Name(), ".toml") {
			n++
		}
	}
	if n != len(tableNames) {
		t.Errorf("%d tables stand in the folder, the sum covers %d", n, len(tableNames))
	}
}
