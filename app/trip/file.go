package trip

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"github.com/google/renameio/v2/maybe"

	"lastroad/geo"
)

// The parts of a .trip file, a zip.
const (
	planPart   = "trip.toml"
	routePart  = "route.gpx" // the bytes of the route's file as they were read, whatever its kind
	surveyPart = "survey.json"
	// Above easyPart a part that unpacks to more than mostSwell times its packed size is taken for a bomb: routes
	// and surveys swell by ten to fifty.
	easyPart, mostSwell = 8 << 20, 200
)

// mostPart bounds each unpacked part in bytes, so that a bomb is refused. 64 MiB of route is two million points, as
// much as is read from a route's own file, and a survey of 200 000 samples takes about as much.
var mostPart = map[string]uint64{planPart: mostTOML, routePart: 64 << 20, surveyPart: 256 << 20}

// Saved is the content of a .trip file.
type Saved struct {
	Plan   Plan
	Route  []byte
	Survey []byte // nil when the file holds none
}

// Encode writes the zip. Its bytes depend only on s.
func (s Saved) Encode(w io.Writer) error {
	plan, err := EncodePlan(s.Plan)
	if err != nil {
		return err
	}
	z := zip.NewWriter(w)
	for _, p := range []struct {
		name string
		data []byte
	}{{planPart, plan}, {routePart, s.Route}, {surveyPart, s.Survey}} {
		if p.data == nil {
			continue
		}
		f, err := z.CreateHeader(&zip.FileHeader{Name: p.name, Method: zip.Deflate, Modified: time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)})
		if err != nil {
			return err
		}
		if _, err := f.Write(p.data); err != nil {
			return err
		}
	}
	return z.Close()
}

// DecodeSaved reads a .trip file. name is the file's name for messages.
func DecodeSaved(r io.ReaderAt, size int64, name string) (Saved, error) {
	z, err := zip.NewReader(r, size)
	if err != nil {
		return Saved{}, &geo.InputError{File: name, Reason: "is not a saved trip, or it is cut off", Remedy: "take the backup beside it (" + filepath.Base(backupOf(name)) + ")", Err: err}
	}
	var s Saved
	seen := map[string]bool{}
	for _, f := range z.File {
		switch f.Name {
		case planPart, routePart, surveyPart:
		default:
			continue // written by a newer version; the schema number decides whether that matters
		}
		if seen[f.Name] {
			return Saved{}, &geo.InputError{File: name, Where: f.Name, Reason: "stands twice in the file", Remedy: "take the backup beside it (" + filepath.Base(backupOf(name)) + ")"}
		}
		seen[f.Name] = true
		data, err := part(f)
		if err != nil {
			return Saved{}, &geo.InputError{File: name, Where: f.Name, Reason: "cannot be read", Remedy: "take the backup beside it", Err: err}
		}
		switch f.Name {
		case planPart:
			if s.Plan, err = DecodePlan(data, name+": "+planPart); err != nil {
				return Saved{}, err
			}
		case routePart:
			s.Route = data
		case surveyPart:
			s.Survey = data
		}
	}
	if !seen[planPart] || !seen[routePart] {
		return Saved{}, &geo.InputError{File: name, Reason: "is a zip without " + planPart + " and " + routePart, Remedy: "is it a saved trip?"}
	}
	return s, nil
}

func part(f *zip.File) ([]byte, error) {
	most := mostPart[f.Name]
	if f.UncompressedSize64 > most {
		return nil, fmt.Errorf("unpacks to more than %d MiB", most>>20)
	}
	if f.UncompressedSize64 > easyPart && f.UncompressedSize64/mostSwell > f.CompressedSize64 {
		return nil, fmt.Errorf("unpacks from %d bytes to %d MiB", f.CompressedSize64, f.UncompressedSize64>>20)
	}
	r, err := f.Open()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	// The reader of the zip ends with an error where a part is longer or shorter than it says.
	data := make([]byte, f.UncompressedSize64)
	if _, err := io.ReadFull(r, data); err != nil {
		return nil, err
	}
	if _, err := r.Read(make([]byte, 1)); err != io.EOF {
		if err == nil {
			err = errors.New("is longer than it says")
		}
		return nil, err
	}
	return data, nil
}

func backupOf(path string) string { return path + ".previous" }

// WriteFile saves s as path: written beside it, flushed to disk and renamed over it, so that a crash
// or a full disk leaves the old file whole. The old file is kept as path.previous.
func (s Saved) WriteFile(path string) error {
	var b bytes.Buffer
	if err := s.Encode(&b); err != nil {
		return err
	}
	// A half-written or misread plan must never replace a good one.
	if _, err := DecodeSaved(bytes.NewReader(b.Bytes()), int64(b.Len()), filepath.Base(path)); err != nil {
		return fmt.Errorf("the trip was not saved, it would not open again: %w", err)
	}
	sweep(path, backupOf(path))
	if old, err := os.ReadFile(path); err == nil && !bytes.Equal(old, b.Bytes()) {
		if err := maybe.WriteFile(backupOf(path), old, 0o644); err != nil {
			return saveError(backupOf(path), err)
		}
	} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return saveError(path, err)
	}
	if err := maybe.WriteFile(path, b.Bytes(), 0o644); err != nil {
		return saveError(path, err)
	}
	return nil
}

// sweep removes what writes of paths that were killed half-way left, before the next: on a full disk it would lack the
// room they take. The writer's temporary files are named with a dot before and digits behind.
func sweep(paths ...string) {
	for _, path := range paths {
		left, _ := filepath.Glob(filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+"[0-9]*"))
		for _, l := range left {
			if strings.Trim(strings.TrimPrefix(filepath.Base(l), "."+filepath.Base(path)), "0123456789") == "" {
				os.Remove(l)
			}
		}
	}
}

// openFile opens a file that the user named; folders are refused.
func openFile(path string) (*os.File, os.FileInfo, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, nil, fileError(path, err)
	}
	st, err := f.Stat()
	if err != nil {
		err = fileError(path, err)
	} else if st.IsDir() {
		err = &geo.InputError{File: filepath.Base(path), Reason: "is a folder", Remedy: "name a file in it"}
	}
	if err != nil {
		f.Close()
		return nil, nil, err
	}
	return f, st, nil
}

// ReadSaved opens a .trip file on disk.
func ReadSaved(path string) (Saved, error) {
	f, st, err := openFile(path)
	if err != nil {
		return Saved{}, err
	}
	defer f.Close()
	return DecodeSaved(f, st.Size(), filepath.Base(path))
}

// saveError tells why a file could not be written and that the old one still stands.
func saveError(path string, err error) error {
	e := &geo.InputError{File: filepath.Base(path), Reason: "was not saved; what was there before is untouched", Remedy: "save in another folder", Err: err}
	switch {
	case errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT):
		e.Reason, e.Remedy = "was not saved: the disk is full; what was there before is untouched", "make room, or save on another disk"
	case errors.Is(err, fs.ErrPermission) || errors.Is(err, syscall.EROFS):
		e.Reason = "was not saved: the folder " + filepath.Dir(path) + " may not be written to"
	case errors.Is(err, fs.ErrNotExist):
		e.Reason = "was not saved: the folder " + filepath.Dir(path) + " does not exist"
	}
	return e
}

// fileError turns an error of the file system into words.
func fileError(path string, err error) error {
	e := &geo.InputError{File: filepath.Base(path), Err: err}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		e.Reason, e.Remedy, e.Err = "does not exist", "check the name and the folder ("+filepath.Dir(path)+")", nil
	case errors.Is(err, fs.ErrPermission):
		e.Reason, e.Remedy, e.Err = "may not be read", "check its permissions", nil
	default:
		e.Reason = "cannot be read"
	}
	return e
}
