package trip

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"path/filepath"
	"sync"

	"github.com/gofrs/flock"

	"lastroad/geo"
)

// Lock guards a .trip file against a second window. It is advisory and lives in the state folder, so
// that nothing is left beside the user's file.
type Lock struct {
	f    *flock.Flock
	full string
}

// held are the files that this process has locked: a lock does not bar its own owner from saving.
var held = struct {
	sync.Mutex
	files map[string]int
}{files: map[string]int{}}

// LockFile takes the lock of path for as long as the file is open in a window; ok is false when another
// window holds it.
func LockFile(path string) (l *Lock, ok bool, err error) {
	f, full, err := lockOf(path)
	if err != nil {
		return nil, false, err
	}
	ok, err = f.TryLock()
	if err != nil || !ok {
		return nil, false, err
	}
	held.Lock()
	held.files[full]++
	held.Unlock()
	return &Lock{f, full}, true, nil
}

// lockOf is the lock that belongs to path. Links are followed, so that one file has one lock.
func lockOf(path string) (f *flock.Flock, full string, err error) {
	if full, err = filepath.Abs(path); err != nil {
		return nil, "", err
	}
	if real, err := filepath.EvalSymlinks(full); err == nil {
		full = real
	}
	dir := filepath.Join(StateDir(), "locks")
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, "", err
	}
	sum := sha256.Sum256([]byte(full))
	return flock.New(filepath.Join(dir, hex.EncodeToString(sum[:8]))), full, nil
}

// Release gives the lock back. Releasing twice, or a nil lock, does nothing.
func (l *Lock) Release() {
	if l == nil || l.f == nil {
		return
	}
	held.Lock()
	if held.files[l.full]--; held.files[l.full] <= 0 {
		delete(held.files, l.full)
	}
	held.Unlock()
	l.f.Unlock()
	l.f = nil
}

// guard takes the lock of path for the time of a save. It refuses when another process holds it. A state
// folder that cannot be written is no reason not to save: then there is no lock.
func guard(path string) (release func(), err error) {
	f, full, err := lockOf(path)
	if err != nil {
		return func() {}, nil
	}
	held.Lock()
	own := held.files[full] > 0
	held.Unlock()
	if own {
		return func() {}, nil
	}
	ok, err := f.TryLock()
	if err != nil {
		return func() {}, nil
	}
	if !ok {
		return nil, &geo.InputError{File: filepath.Base(path), Reason: "is open in another window", Remedy: "close it there, or save under another name"}
	}
	return func() { f.Unlock() }, nil
}
