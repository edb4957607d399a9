package trip

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"sort"

	"github.com/adrg/xdg"
	"github.com/gofrs/flock"
	"github.com/google/renameio/v2/maybe"
)

// StateDir is where the program keeps what is not the user's document: journals, locks, recent files.
// LASTROAD_STATE names another folder (tests use it).
func StateDir() string {
	if d := os.Getenv("LASTROAD_STATE"); d != "" {
		return d
	}
	return filepath.Join(xdg.StateHome, "lastroad")
}

// CacheDir is where what can be made again is kept. LASTROAD_CACHE names another folder.
func CacheDir() string {
	if d := os.Getenv("LASTROAD_CACHE"); d != "" {
		return d
	}
	return filepath.Join(xdg.CacheHome, "lastroad")
}

// Journal keeps the unsaved state of one window, so that a crash loses at most the last change.
// It is one file, replaced whole at each change and removed when the window closes in order; a lock
// beside it tells a living window from a crashed one.
type Journal struct {
	path string
	lock *flock.Flock
	last []byte
}

// Unsaved is the state that a crashed window left behind.
type Unsaved struct {
	Saved
	Path    string // of the .trip file it belonged to, "" when never saved
	journal string
}

const journalPath = "document.path" // kept beside the journal

// NewJournal starts a journal for a new window.
func NewJournal() (*Journal, error) {
	dir := filepath.Join(StateDir(), "journal")
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, err
	}
	for i := range 1000 {
		path := filepath.Join(dir, fmt.Sprintf("%03d.trip", i))
		lock := flock.New(path + ".lock")
		ok, err := lock.TryLock()
		if err != nil {
			return nil, err
		}
		if !ok {
			continue
		}
		if _, err := os.Stat(path); err == nil { // left by a crash, not ours to overwrite
			lock.Unlock()
			continue
		}
		sweep(path, path+"."+journalPath)
		return &Journal{path: path, lock: lock}, nil
	}
	return nil, fmt.Errorf("no free journal in %s", dir)
}

// Write replaces the journal with s, if it differs from what was written last. file is the document's path.
func (j *Journal) Write(s Saved, file string) error {
	s.Survey = nil // measured again on recovery
	var b bytes.Buffer
	if err := s.Encode(&b); err != nil {
		return err
	}
	if bytes.Equal(b.Bytes(), j.last) {
		return nil
	}
	sweep(j.path, j.path+"."+journalPath)
	if err := maybe.WriteFile(j.path+"."+journalPath, []byte(file), 0o600); err != nil {
		return err
	}
	if err := maybe.WriteFile(j.path, b.Bytes(), 0o600); err != nil {
		return err
	}
	j.last = append(j.last[:0], b.Bytes()...)
	return nil
}

// Clear removes the written state: everything is saved, or the user threw it away.
func (j *Journal) Clear() {
	os.Remove(j.path)
	os.Remove(j.path + "." + journalPath)
	j.last = j.last[:0]
}

// Close clears the journal and ends it.
func (j *Journal) Close() {
	j.Clear()
	j.lock.Unlock()
	os.Remove(j.path + ".lock")
}

// Crashed lists the states that crashed windows left, oldest first. A journal that cannot be read is
// left where it is and named in problems.
func Crashed() (left []Unsaved, problems []string) {
	names, _ := filepath.Glob(filepath.Join(StateDir(), "journal", "*.trip"))
	sort.Strings(names)
	for _, n := range names {
		lock := flock.New(n + ".lock")
		ok, err := lock.TryLock()
		if err != nil || !ok {
			continue // a living window
		}
		sweep(n, n+"."+journalPath)
		s, err := ReadSaved(n)
		lock.Unlock()
		if err != nil {
			problems = append(problems, err.Error())
			continue
		}
		path, _ := os.ReadFile(n + "." + journalPath)
		left = append(left, Unsaved{s, string(path), n})
	}
	return left, problems
}

// Forget removes what a crashed window left.
func (u Unsaved) Forget() {
	os.Remove(u.journal)
	os.Remove(u.journal + "." + journalPath)
	os.Remove(u.journal + ".lock")
}
