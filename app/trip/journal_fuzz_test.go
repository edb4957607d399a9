package trip

import (
	"os"
	"path/filepath"
	"testing"

	"lastroad/geo/garble"
)

// What lies in the folder of journals after a crash is offered as it was, or named with its place and what to do;
// a journal is never both and never passed over in silence.
func FuzzJournal(f *testing.F) {
	good := encoded(f, demoSaved(f))
	f.Add(good, "trips/loop.trip")
	f.Add(good, "\x00\xff\n")
	f.Add([]byte{}, "")
	for i, b := range garble.Copies(200, false, good, encoded(f, Saved{Route: []byte("<gpx/>")})) {
		f.Add(b, []string{"loop.trip", DemoPath, "", "a\nb"}[i%4])
	}
	f.Fuzz(func(t *testing.T, data []byte, file string) {
		state := t.TempDir()
		t.Setenv("LASTROAD_STATE", state)
		path := filepath.Join(state, "journal", "000.trip")
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			t.Fatal(err)
		}
		for name, b := range map[string][]byte{path: data, path + "." + journalPath: []byte(file)} {
			if err := os.WriteFile(name, b, 0o600); err != nil {
				t.Fatal(err)
			}
		}
		garble.Bounded(t, len(data)+len(file), func() {
			left, problems := Crashed()
			if len(left)+len(problems) != 1 {
				t.Fatalf("one journal gives %d states and %d problems", len(left), len(problems))
			}
			want, ok := decodeTwice(t, data, "000.trip")
			if ok != (len(left) == 1) {
				t.Fatalf("the journal opens as a saved trip: %v, as a journal: %v", ok, !ok)
			}
			if !ok {
				return
			}
			keepAgain(t, left[0], want, file)
		})
	})
}

// keepAgain writes what a crash left into a journal of its own, and finds it there again.
func keepAgain(t *testing.T, u Unsaved, want Saved, file string) {
	if u.Path != file || string(encoded(t, u.Saved)) != string(encoded(t, want)) {
		t.Fatalf("the journal of %q is offered as that of %q", file, u.Path)
	}
	u.Forget()
	j, err := NewJournal()
	if err != nil {
		t.Fatal(err)
	}
	if err := j.Write(u.Saved, u.Path); err != nil {
		t.Fatal(err)
	}
	j.lock.Unlock() // as when the process ends
	left, problems := Crashed()
	want.Survey = nil // measured again
	if len(left) != 1 || len(problems) > 0 || left[0].Path != file || string(encoded(t, left[0].Saved)) != string(encoded(t, want)) {
		t.Fatalf("kept again it is %d states with problems %v", len(left), problems)
	}
	left[0].Forget()
}
