//go:build unix

package trip

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// kills is how often a test kills: a few in the suite, 500 with LASTROAD_LONG.
func kills(few int) int {
	switch {
	case os.Getenv("LASTROAD_LONG") != "":
		return 500
	case testing.Short():
		return 5
	}
	return few
}

// killed starts this test anew as a second process with env, kills it at a random moment after it has said
// "wrote N" once, and gives the last N, -1 for none.
func killed(t *testing.T, rng *rand.Rand, name, env string) (last int) {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Skip("cannot find this test's own program:", err)
	}
	cmd := exec.Command(self, "-test.run=^"+name+"$", "-test.v")
	cmd.Env = append(os.Environ(), env)
	pipe, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	last = -1
	first, ended := make(chan bool, 1), make(chan bool)
	var said bytes.Buffer
	go func() {
		lines := bufio.NewScanner(pipe)
		for lines.Scan() {
			if n, _ := fmt.Sscanf(lines.Text(), "wrote %d", &last); n == 1 {
				select {
				case first <- true:
				default:
				}
			} else {
				said.WriteString(lines.Text() + "\n")
			}
		}
		close(ended)
	}()
	select {
	case <-first:
	case <-ended:
	case <-time.After(60 * time.Second):
	}
	time.Sleep(time.Duration(rng.IntN(40_000)) * time.Microsecond)
	cmd.Process.Kill()
	<-ended
	cmd.Wait()
	if strings.Contains(said.String(), "FAIL") {
		t.Fatalf("the process to be killed failed: %s", said.String())
	}
	return last
}

// The window may be killed at any moment of keeping an edit: what is recovered is the last edit or the one that
// was being written, and nothing half-written lies in the way, however many crashes there were.
func TestKilledWhileAutosaving(t *testing.T) {
	const env = "LASTROAD_TEST_JOURNAL"
	if dir := os.Getenv(env); dir != "" {
		t.Setenv("LASTROAD_STATE", dir)
		j, err := NewJournal()
		if err != nil {
			t.Fatal(err)
		}
		s := demoSaved(t)
		for i := 0; ; i++ {
			s.Plan.Trip.Name = fmt.Sprintf("edit %d", i)
			if err := j.Write(s, fmt.Sprintf("trip %d", i/1000)); err != nil {
				t.Fatal(err)
			}
			fmt.Printf("wrote %d\n", i)
		}
	}
	dir := t.TempDir()
	t.Setenv("LASTROAD_STATE", dir)
	rng := rand.New(rand.NewPCG(7, 8))
	n, after := kills(20), 0
	for i := range n {
		last := killed(t, rng, "TestKilledWhileAutosaving", env+"="+dir)
		left, problems := Crashed()
		if len(problems) > 0 {
			t.Fatalf("kill %d: %v", i, problems)
		}
		if last < 0 {
			for _, l := range left {
				l.Forget()
			}
			continue
		}
		if len(left) != 1 {
			t.Fatalf("kill %d: %d journals left, want one", i, len(left))
		}
		got := -1
		fmt.Sscanf(left[0].Plan.Trip.Name, "edit %d", &got)
		if got < last || got > last+1 || !strings.HasPrefix(left[0].Path, "trip ") {
			t.Fatalf("kill %d: the journal holds edit %d of %q, want %d or the one after", i, got, left[0].Path, last)
		}
		left[0].Forget()
		after++
	}
	if after < n/2 {
		t.Errorf("only %d of %d kills came after an edit: the test proves little", after, n)
	}
	// One window that ends in order leaves nothing behind.
	j, err := NewJournal()
	if err != nil {
		t.Fatal(err)
	}
	if err := j.Write(demoSaved(t), "x"); err != nil {
		t.Fatal(err)
	}
	j.Close()
	if entries, _ := os.ReadDir(filepath.Join(dir, "journal")); len(entries) > 0 {
		t.Errorf("after %d kills and one good end %s still lies about", n, entries[0].Name())
	}
	t.Logf("%d kills, %d after an edit was kept", n, after)
}

// fullDisk is a folder that takes so many bytes and no more: a disk in memory where one can be mounted, else a
// limit on the size of files for the process that asks (then how says so). Mount it before, limit it inside.
func fullDisk(t *testing.T, dir string, kib int) (how string) {
	t.Helper()
	out, err := exec.Command("mount", "-t", "tmpfs", "-o", fmt.Sprintf("size=%dk", kib), "tmpfs", dir).CombinedOutput()
	if err != nil {
		t.Logf("no small disk can be mounted here (%s); the size of files is limited instead", bytes.TrimSpace(out))
		return "limit"
	}
	t.Cleanup(func() { exec.Command("umount", dir).Run() })
	return "disk"
}

// On a disk that has room for some saves only, with kills in between, the last trip that was saved opens each
// time, and the journal too.
func TestKilledOnAFullDisk(t *testing.T) {
	const env = "LASTROAD_TEST_FULL"
	if arg := os.Getenv(env); arg != "" {
		how, dir, _ := strings.Cut(arg, ":")
		if how == "limit" {
			signal.Ignore(syscall.SIGXFSZ)
			if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: 100 << 10, Max: 100 << 10}); err != nil {
				t.Skip("files cannot be limited here:", err)
			}
		}
		t.Setenv("LASTROAD_STATE", filepath.Join(dir, "state"))
		j, err := NewJournal()
		if err != nil {
			t.Fatal(err)
		}
		small, big := demoSaved(t), demoSaved(t)
		small.Route, small.Survey = []byte("<gpx/>"), nil
		big.Survey = unpackable(200 << 10)
		path := filepath.Join(dir, "loop.trip")
		for i := 0; ; i++ {
			small.Plan.Trip.Name = fmt.Sprintf("version %d", i)
			// The file first: it makes room where the process before this one was killed amid a big one.
			if err := small.WriteFile(path); err != nil {
				t.Fatal(err)
			}
			if err := j.Write(small, "x"); err != nil {
				t.Fatal(err)
			}
			fmt.Printf("wrote %d\n", i)
			big.Plan.Trip.Name = "too big"
			if err := big.WriteFile(path); err == nil {
				t.Fatal("more fitted on the disk than it holds")
			}
			if err := j.Write(Saved{Plan: big.Plan, Route: big.Survey}, "x"); err == nil {
				t.Fatal("more fitted into the journal than the disk holds")
			}
		}
	}
	dir := t.TempDir()
	how := fullDisk(t, dir, 160)
	t.Setenv("LASTROAD_STATE", filepath.Join(dir, "state"))
	rng := rand.New(rand.NewPCG(9, 10))
	n, after := kills(10), 0
	for i := range n {
		last := killed(t, rng, "TestKilledOnAFullDisk", env+"="+how+":"+dir)
		left, problems := Crashed()
		if len(problems) > 0 {
			t.Fatalf("kill %d: %v", i, problems)
		}
		if last >= 0 {
			got := -1
			s, err := ReadSaved(filepath.Join(dir, "loop.trip"))
			if err != nil {
				t.Fatalf("kill %d: the saved trip does not open: %v", i, err)
			}
			if fmt.Sscanf(s.Plan.Trip.Name, "version %d", &got); got < last || got > last+1 {
				t.Fatalf("kill %d: the file holds %q, want version %d or the one after", i, s.Plan.Trip.Name, last)
			}
			if len(left) != 1 {
				t.Fatalf("kill %d: %d journals left, want one", i, len(left))
			}
			if fmt.Sscanf(left[0].Plan.Trip.Name, "version %d", &got); got < last || got > last+1 {
				t.Fatalf("kill %d: the journal holds %q, want version %d or the one after", i, left[0].Plan.Trip.Name, last)
			}
			after++
		}
		for _, l := range left {
			l.Forget()
		}
	}
	if after < n/2 {
		t.Errorf("only %d of %d kills came after a save: the test proves little", after, n)
	}
	t.Logf("%d kills on a full disk (%s), %d after a save", n, how, after)
}

// What a save that was killed left behind takes no room from the next, nor does what a killed window left of its journal.
func TestLeftoversMakeRoom(t *testing.T) {
	dir := t.TempDir()
	if fullDisk(t, dir, 160) != "disk" {
		t.Skip("no small disk can be mounted here")
	}
	t.Setenv("LASTROAD_STATE", filepath.Join(dir, "state"))
	path := filepath.Join(dir, "loop.trip")
	s := demoSaved(t)
	s.Route, s.Survey = []byte("<gpx/>"), nil
	if err := os.MkdirAll(filepath.Join(dir, "state", "journal"), 0o700); err != nil {
		t.Fatal(err)
	}
	for name, do := range map[string]func() error{
		filepath.Join(dir, ".loop.trip12345"):          func() error { return s.WriteFile(path) },
		filepath.Join(dir, ".loop.trip.previous12345"): func() error { return s.WriteFile(path) },
		filepath.Join(dir, "state", "journal", ".000.trip12345"): func() error {
			j, err := NewJournal()
			if err != nil {
				return err
			}
			defer j.Close()
			return j.Write(s, path)
		},
	} {
		if err := os.WriteFile(name, unpackable(400<<10), 0o600); err == nil {
			t.Fatal("more fitted on the disk than it holds")
		}
		if err := do(); err != nil {
			t.Errorf("with %s left: %v", filepath.Base(name), err)
		}
		if _, err := os.Stat(name); err == nil {
			t.Errorf("%s still lies about", filepath.Base(name))
		}
	}
}

// unpackable are bytes that do not pack.
func unpackable(n int) []byte {
	rng := rand.New(rand.NewPCG(11, 12))
	b := make([]byte, n)
	for i := range b {
		b[i] = byte(rng.Uint32())
	}
	return b
}

// A crash while the region file is on a stick that is not plugged in must not cost what the saved file knows
// of the ground.
func TestRecoveryKeepsWhatWasMeasured(t *testing.T) {
	state(t)
	frozenFile, err := os.ReadFile(filepath.Join(frozen, "v1.trip"))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "loop.trip")
	if err := os.WriteFile(path, frozenFile, 0o600); err != nil {
		t.Fatal(err)
	}
	s, err := ReadSaved(path)
	if err != nil {
		t.Fatal(err)
	}
	s.Plan.Trip.Name = "edited before the crash"
	desk, err := NewDesk()
	if err != nil {
		t.Fatal(err)
	}
	d, err := desk.Recover(context.Background(), Unsaved{Saved: Saved{Plan: s.Plan, Route: s.Route}, Path: path}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if d.Name() != "edited before the crash" || d.Path != path {
		t.Errorf("recovered %q of %q", d.Name(), d.Path)
	}
	known := 0
	for i := range d.Survey.Samples {
		if d.Survey.Samples[i].InRegion {
			known++
		}
	}
	if known == 0 || len(d.Judgement.Legs) < 10 {
		t.Errorf("of %d samples %d lie in the region that was measured, %d legs are judged; the measuring was lost", len(d.Survey.Samples), known, len(d.Judgement.Legs))
	}
}
