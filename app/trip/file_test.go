package trip

import (
	"bufio"
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"lastroad/assets"
	"lastroad/geo/garble"
)

func demoSaved(t testing.TB) Saved {
	t.Helper()
	p, err := DecodePlan(assets.Demo("trip.toml"), "trip.toml")
	if err != nil {
		t.Fatal(err)
	}
	return Saved{Plan: p, Route: assets.Demo("route.gpx"), Survey: []byte(`{"made":"up"}`)}
}

func encoded(t testing.TB, s Saved) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := s.Encode(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestSavedRoundTrip(t *testing.T) {
	s := demoSaved(t)
	path := filepath.Join(t.TempDir(), "loop.trip")
	if err := s.WriteFile(path); err != nil {
		t.Fatal(err)
	}
	got, err := ReadSaved(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got.Route, s.Route) || !bytes.Equal(got.Survey, s.Survey) {
		t.Error("route or survey changed on the way through the file")
	}
	if a, b := encoded(t, s), encoded(t, got); !bytes.Equal(a, b) {
		t.Errorf("the same trip gave %d and %d bytes that differ", len(a), len(b))
	}
}

func TestThePreviousVersionIsKept(t *testing.T) {
	s := demoSaved(t)
	path := filepath.Join(t.TempDir(), "loop.trip")
	for _, name := range []string{"first", "second"} {
		s.Plan.Trip.Name = name
		if err := s.WriteFile(path); err != nil {
			t.Fatal(err)
		}
	}
	old, err := ReadSaved(backupOf(path))
	if err != nil {
		t.Fatal(err)
	}
	if old.Plan.Trip.Name != "first" {
		t.Errorf("the backup is %q, want first", old.Plan.Trip.Name)
	}
}

func TestDamagedFilesAreRefusedInOneLine(t *testing.T) {
	good := encoded(t, demoSaved(t))
	rng := rand.New(rand.NewPCG(3, 4))
	for i := range 300 {
		bad := append([]byte(nil), good...)
		switch i % 3 {
		case 0:
			bad = bad[:rng.IntN(len(bad))]
		case 1:
			bad[rng.IntN(len(bad))] ^= byte(1 + rng.IntN(255))
		default:
			at := rng.IntN(len(bad))
			copy(bad[at:], bytes.Repeat([]byte{0}, min(64, len(bad)-at)))
		}
		_, err := DecodeSaved(bytes.NewReader(bad), int64(len(bad)), "x.trip")
		if err != nil && (strings.Contains(err.Error(), "\n") || !strings.Contains(err.Error(), "x.trip")) {
			t.Fatalf("damage %d: error %q, want one line with the file's name", i, err)
		}
		if i%3 == 0 && err == nil {
			t.Errorf("a file cut to %d of %d bytes was read without error", len(bad), len(good))
		}
	}
}

func TestABombIsRefused(t *testing.T) {
	for _, c := range []struct {
		name string
		swap func(s *Saved)
		want string
	}{
		{"a survey beyond its limit", func(s *Saved) { s.Survey = make([]byte, mostPart[surveyPart]+10) }, "256 MiB"},
		{"a route beyond its limit", func(s *Saved) { s.Route = make([]byte, mostPart[routePart]+10) }, "64 MiB"},
		{"a plan beyond its limit", func(s *Saved) { s.Plan.Trip.Name = strings.Repeat("n", int(mostPart[planPart])) }, "1 MiB"},
		{"a survey of nothing", func(s *Saved) { s.Survey = make([]byte, easyPart+10) }, "unpacks from"},
	} {
		s := demoSaved(t)
		c.swap(&s)
		data := encoded(t, s)
		_, err := DecodeSaved(bytes.NewReader(data), int64(len(data)), "b.trip")
		garble.Refused(t, err, "b.trip")
		if !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s gave error %v, want %q named", c.name, err, c.want)
		}
	}
}

func TestAFailedSaveLeavesTheOldFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "loop.trip")
	s := demoSaved(t)
	if err := s.WriteFile(path); err != nil {
		t.Fatal(err)
	}
	before, _ := os.ReadFile(path)
	s.Plan.CorridorM = -1 // does not read back
	if err := s.WriteFile(path); err == nil {
		t.Error("a plan that cannot be read back was saved")
	}
	if after, _ := os.ReadFile(path); !bytes.Equal(before, after) {
		t.Error("a refused save changed the file")
	}
	if err := demoSaved(t).WriteFile(filepath.Join(dir, "no such folder", "x.trip")); err == nil {
		t.Error("saving into a missing folder gave no error")
	}
}

// The window may be killed at any moment: whatever was saved last opens, and nothing half-written lies in
// the way. This test starts itself as a second process that saves without pause and kills it.
func TestKilledWhileSaving(t *testing.T) {
	if dir := os.Getenv("LASTROAD_TEST_SAVER"); dir != "" {
		t.Setenv("LASTROAD_STATE", filepath.Join(dir, "state"))
		j, err := NewJournal()
		if err != nil {
			t.Fatal(err)
		}
		s := demoSaved(t)
		for i := 0; ; i++ {
			s.Plan.Trip.Name = fmt.Sprintf("version %d", i)
			if err := j.Write(s, "x"); err != nil {
				t.Fatal(err)
			}
			if err := s.WriteFile(filepath.Join(dir, "loop.trip")); err != nil {
				t.Fatal(err)
			}
			fmt.Printf("saved %d\n", i)
		}
	}
	kills := 20
	if testing.Short() {
		kills = 5
	}
	if os.Getenv("LASTROAD_LONG") != "" {
		kills = 500
	}
	self, err := os.Executable()
	if err != nil {
		t.Skip("cannot find this test's own program:", err)
	}
	dir := t.TempDir()
	t.Setenv("LASTROAD_STATE", filepath.Join(dir, "state"))
	rng := rand.New(rand.NewPCG(5, 6))
	opened := 0
	for i := range kills {
		cmd := exec.Command(self, "-test.run=^TestKilledWhileSaving$", "-test.v")
		cmd.Env = append(os.Environ(), "LASTROAD_TEST_SAVER="+dir)
		pipe, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		// The kill falls at a random moment after the first save has begun to repeat, however slow the machine is.
		last, saves := -1, make(chan bool, 1)
		ended := make(chan bool)
		go func() {
			lines := bufio.NewScanner(pipe)
			for lines.Scan() {
				if n, _ := fmt.Sscanf(lines.Text(), "saved %d", &last); n == 1 {
					select {
					case saves <- true:
					default:
					}
				}
			}
			close(ended)
		}()
		select {
		case <-saves:
		case <-ended:
		case <-time.After(30 * time.Second):
		}
		time.Sleep(time.Duration(rng.IntN(60_000)) * time.Microsecond)
		cmd.Process.Kill()
		<-ended
		cmd.Wait()
		if last < 0 { // killed before the first save, perhaps after the first journal
			left, _ := Crashed()
			for _, l := range left {
				l.Forget()
			}
			continue
		}
		s, err := ReadSaved(filepath.Join(dir, "loop.trip"))
		if err != nil {
			t.Fatalf("kill %d: the saved trip does not open: %v", i, err)
		}
		got := -1
		fmt.Sscanf(s.Plan.Trip.Name, "version %d", &got)
		if got < last || got > last+1 {
			t.Fatalf("kill %d: the file holds version %d, want %d or the one after", i, got, last)
		}
		left, problems := Crashed()
		if len(problems) > 0 || len(left) != 1 {
			t.Fatalf("kill %d: %d journals left, problems %v; want one that opens", i, len(left), problems)
		}
		fmt.Sscanf(left[0].Plan.Trip.Name, "version %d", &got)
		if got < last || got > last+1 {
			t.Fatalf("kill %d: the journal holds version %d, want %d or the one after", i, got, last)
		}
		left[0].Forget()
		opened++
	}
	if opened < kills/2 {
		t.Errorf("only %d of %d kills came after a save: the test proves little", opened, kills)
	}
	if err := demoSaved(t).WriteFile(filepath.Join(dir, "loop.trip")); err != nil {
		t.Fatal(err)
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		switch e.Name() {
		case "loop.trip", "loop.trip.previous", "state":
		default:
			t.Errorf("after %d kills and one good save %s still lies about", kills, e.Name())
		}
	}
	t.Logf("%d kills, %d after a save", kills, opened)
}

func FuzzDecodeSaved(f *testing.F) {
	small := encoded(f, Saved{Plan: Plan{}, Route: []byte("<gpx/>")})
	f.Add(small)
	f.Add([]byte("PK\x03\x04"))
	for _, b := range garble.Copies(200, false, small, encoded(f, demoSaved(f))) {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		garble.Bounded(t, len(data), func() { decodeTwice(t, data, "f.trip") })
	})
}

// decodeTwice reads a saved trip, and again what it is written as, which must be the same. ok is false when it was
// refused as a file is to be.
func decodeTwice(t *testing.T, data []byte, name string) (s Saved, ok bool) {
	s, err := DecodeSaved(bytes.NewReader(data), int64(len(data)), name)
	if err != nil {
		garble.Refused(t, err, name)
		return s, false
	}
	first := encoded(t, s)
	again, err := DecodeSaved(bytes.NewReader(first), int64(len(first)), name)
	if err != nil {
		t.Fatalf("a trip that was read and written does not open: %v", err)
	}
	if !bytes.Equal(first, encoded(t, again)) {
		t.Fatal("a trip differs after writing and reading")
	}
	return s, true
}
