package trip

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"time"

	"github.com/adrg/xdg"
	"github.com/gofrs/flock"
	"github.com/google/renameio/v2/maybe"
	"github.com/pelletier/go-toml/v2"

	"lastroad/geo"
	"lastroad/risk/catalogue"
)

// DataDir is where the program keeps what belongs to the user and not to one trip. LASTROAD_DATA, or else
// LASTROAD_STATE, names another folder (tests use them).
func DataDir() string {
	for _, name := range []string{"LASTROAD_DATA", "LASTROAD_STATE"} {
		if d := os.Getenv(name); d != "" {
			return d
		}
	}
	return filepath.Join(xdg.DataHome, "lastroad")
}

// UserLog is what the user drove and met, drive by drive. It belongs to the person; a trip takes over its sums
// as [Plan.Log], so that a saved trip is judged alike on every computer.
type UserLog struct {
	Schema int     `toml:"schema"`
	Drives []Drive `toml:"drives,omitempty"`
}

// Drive is one journey that was driven.
type Drive struct {
	Date       string             `toml:"date"` // 2026-03-01
	Note       string             `toml:"note,omitempty"`
	Km         map[string]float64 `toml:"km,omitempty"` // by ground key
	Crossings  float64            `toml:"crossings,omitempty"`
	PersonDays float64            `toml:"person_days,omitempty"`
	Troubles   []Trouble          `toml:"troubles,omitempty"`
}

// Trouble is what happened on a drive.
type Trouble struct {
	Hazard string  `toml:"hazard"`           // key of a hazard with a rate
	Ground string  `toml:"ground,omitempty"` // key; "" for hazards not counted by distance
	Count  float64 `toml:"count"`
}

const logSchema = 1

// LogPath is the file of the user's log.
func LogPath() string { return filepath.Join(DataDir(), "log.toml") }

// ReadLog reads the user's log; none is an empty one.
func ReadLog() (UserLog, error) { return readLog(LogPath()) }

func readLog(path string) (UserLog, error) {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return UserLog{Schema: logSchema}, nil
	}
	f, _, err := openFile(path)
	if err != nil {
		return UserLog{}, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, mostTOML+1)) // one more than is taken: enough to refuse it
	if err != nil {
		return UserLog{}, fileError(path, err)
	}
	return DecodeLog(data, filepath.Base(path))
}

// DecodeLog reads a log, strictly, of at most 1 MiB and 20 000 values. file is the name for messages.
func DecodeLog(data []byte, file string) (UserLog, error) {
	if err := tooLong(data, file, "take the oldest drives out, or write their sums as one drive"); err != nil {
		return UserLog{}, err
	}
	var l UserLog
	d := toml.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&l); err != nil {
		return UserLog{}, tomlError(err, file)
	}
	if l.Schema != logSchema {
		return UserLog{}, &geo.InputError{File: file, Reason: fmt.Sprintf("schema %d of the log is not known", l.Schema), Remedy: "open it with the version that wrote it"}
	}
	t, err := Builtin()
	if err != nil {
		return UserLog{}, err
	}
	for i, dr := range l.Drives {
		if err := dr.Check(t.Catalogue); err != nil {
			return UserLog{}, &geo.InputError{File: file, Where: fmt.Sprintf("drive %d", i+1), Reason: err.Error(), Remedy: mendOr(file)}
		}
	}
	return l, nil
}

// encode writes the log as TOML.
func (l UserLog) encode() ([]byte, error) {
	l.Schema = logSchema
	return toml.Marshal(l)
}

// Check refuses a drive that cannot have been.
func (d Drive) Check(cat *catalogue.Catalogue) error {
	bad := func(format string, a ...any) error { return &geo.InputError{Reason: fmt.Sprintf(format, a...)} }
	within := func(v, most float64) bool { return v >= 0 && v <= most }
	if _, err := time.Parse(time.DateOnly, d.Date); err != nil {
		return bad("%q is not a date like 2026-03-01", d.Date)
	}
	if !within(d.Crossings, 1e5) || !within(d.PersonDays, 1e5) {
		return bad("%g crossings and %g person-days must lie between 0 and 100000", d.Crossings, d.PersonDays)
	}
	for _, k := range slices.Sorted(maps.Keys(d.Km)) {
		g, ok := geo.ParseGround(k)
		if !ok || g == geo.Unknown {
			return bad("%q is not a ground", k)
		}
		if !within(d.Km[k], 1e6) {
			return bad("%g km on %s must lie between 0 and 1000000", d.Km[k], g)
		}
	}
	for _, t := range d.Troubles {
		h, ok := hazardOf(cat, t.Hazard)
		if !ok || h.Per == "trip" {
			return bad("hazard %q is not one with a rate", t.Hazard)
		}
		if !within(t.Count, 1e4) {
			return bad("%g troubles must lie between 0 and 10000", t.Count)
		}
		if t.Count == 0 {
			continue
		}
		switch h.Per {
		case "1000km":
			if d.Km[t.Ground] == 0 {
				return bad("%s on a ground without any kilometres driven", h.Title)
			}
		case "crossing":
			if d.Crossings == 0 {
				return bad("%s without any crossing", h.Title)
			}
		case "person_day":
			if d.PersonDays == 0 {
				return bad("%s without any person-days", h.Title)
			}
		}
	}
	return nil
}

func hazardOf(cat *catalogue.Catalogue, key string) (*catalogue.Hazard, bool) {
	for i := range cat.Hazards {
		if cat.Hazards[i].Key == key {
			return &cat.Hazards[i], true
		}
	}
	return nil, false
}

// Lines are the sums of the log for the rates: for every hazard what was driven and what was met, in the order
// of the tables. Driving without a trouble counts as much as a trouble does.
func (l UserLog) Lines(cat *catalogue.Catalogue) []LogLine {
	var out []LogLine
	for i := range cat.Hazards {
		h := &cat.Hazards[i]
		met := map[string]float64{}
		km := map[string]float64{}
		amount := 0.0
		for _, d := range l.Drives {
			for _, t := range d.Troubles {
				if t.Hazard == h.Key {
					met[t.Ground] += t.Count
				}
			}
			for k, v := range d.Km {
				km[k] += v
			}
			switch h.Per {
			case "crossing":
				amount += d.Crossings
			case "person_day":
				amount += d.PersonDays
			}
		}
		switch h.Per {
		case "1000km":
			for g := geo.Sealed; g < geo.NumGrounds; g++ {
				if k := g.Key(); km[k] > 0 && h.Rate[g].Central > 0 {
					out = append(out, LogLine{Hazard: h.Key, Ground: g, Amount: km[k], Events: met[k]})
				}
			}
		case "crossing", "person_day":
			n := 0.0
			for _, v := range met {
				n += v
			}
			if amount > 0 {
				out = append(out, LogLine{Hazard: h.Key, Ground: geo.Sealed, Amount: amount, Events: n})
			}
		}
	}
	return out
}

// ChangeLog reads the user's log, changes it and writes it back, whole or not at all, while no other window
// does. What it was before stays beside it as log.toml.previous. An error leaves the file as it was.
func ChangeLog(change func(*UserLog) error) (UserLog, error) {
	path := LogPath()
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return UserLog{}, saveError(path, err)
	}
	lock := flock.New(path + ".lock")
	if err := lock.Lock(); err != nil {
		return UserLog{}, saveError(path, err)
	}
	defer lock.Unlock()
	l, err := readLog(path)
	if err != nil {
		return UserLog{}, err
	}
	if err := change(&l); err != nil {
		return UserLog{}, err
	}
	l.Schema = logSchema
	sort.SliceStable(l.Drives, func(a, b int) bool { return l.Drives[a].Date > l.Drives[b].Date })
	data, err := l.encode()
	if err != nil {
		return UserLog{}, err
	}
	if _, err := DecodeLog(data, filepath.Base(path)); err != nil {
		return UserLog{}, err
	}
	sweep(path, backupOf(path))
	if old, err := os.ReadFile(path); err == nil && !bytes.Equal(old, data) {
		if err := maybe.WriteFile(backupOf(path), old, 0o600); err != nil {
			return UserLog{}, saveError(path, err)
		}
	}
	if err := maybe.WriteFile(path, data, 0o600); err != nil {
		return UserLog{}, saveError(path, err)
	}
	return l, nil
}

// DriveOf is the document's route as a drive of the given day: its kilometres by what the survey says of the
// ground, its fords, and days times people. Ground that is not known is left out.
func DriveOf(d *Document, date string) Drive {
	dr := Drive{Date: date, Note: d.Name(), Km: map[string]float64{}}
	s := d.Survey
	if s == nil {
		return dr
	}
	for i := 0; i+1 < len(s.Samples); i++ {
		if k := int(s.Samples[i].Ground); k < len(s.Grounds) {
			if g := s.Grounds[k].Main(); g != geo.Unknown {
				dr.Km[g.Key()] += (s.Samples[i+1].DistanceM - s.Samples[i].DistanceM) / 1000
			}
		}
	}
	for k, v := range dr.Km {
		dr.Km[k] = float64(int(v*10+0.5)) / 10
		if dr.Km[k] == 0 {
			delete(dr.Km, k)
		}
	}
	for _, m := range s.Marks {
		if m.Kind == geo.MarkFord {
			dr.Crossings++
		}
	}
	days := 1.0
	for _, st := range d.Plan.Stops {
		if st.Night {
			days++
		}
	}
	people := len(d.Plan.Trip.Party.People)
	if d.Plan.Trip.Together && d.Plan.Trip.Partner != nil {
		people += len(d.Plan.Trip.Partner.People)
	}
	dr.PersonDays = days * float64(people)
	return dr
}
