package trip

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"lastroad/geo"
	"lastroad/geo/table"
	"lastroad/risk"
)

// Schema is the version of a saved plan. Older ones are read; newer ones are refused.
const Schema = 1

// Plan is everything of a trip that the user decides. It is a value: copy it, change the copy (see
// [Plan.Clone]), and hand it to [Document.With].
type Plan struct {
	Schema int       `toml:"schema"`
	Trip   risk.Trip `toml:"trip"`
	// RouteName is the name of the route's file; its bytes are kept beside the plan.
	RouteName string    `toml:"route_name,omitempty"`
	Reversed  bool      `toml:"reversed,omitempty"`
	Region    []FileRef `toml:"region,omitempty"`
	Heights   []FileRef `toml:"heights,omitempty"`
	CorridorM float64   `toml:"corridor_m,omitempty"` // 0 = the default
	Pace      float64   `toml:"pace,omitempty"`       // the user's driving pace against the table's; 0 = 1

	Stops   []Stop         `toml:"stops,omitempty"`
	Grounds []GroundChoice `toml:"grounds,omitempty"`
	Legs    []LegEdit      `toml:"legs,omitempty"`

	Own     []OwnItem   `toml:"own,omitempty"`     // things that the catalogue does not list
	Figures []OwnFigure `toml:"figures,omitempty"` // the user's figures in the place of the tables'
	Log     []LogLine   `toml:"log,omitempty"`     // what the rates of this trip take from the user's log
	Compare Compare     `toml:"compare,omitempty"` // what is set side by side

	Home   Home       `toml:"home,omitempty"`
	Papers PaperPrefs `toml:"papers,omitempty"`

	// Tables names the built-in tables that the trip was last judged with (see [TablesSum]).
	Tables string `toml:"tables,omitempty"`
}

// FileRef names a file on disk and what it was like when it was read, so that a change can be told.
type FileRef struct {
	Path    string `toml:"path"`
	Size    int64  `toml:"size,omitempty"`
	ModUnix int64  `toml:"modified_unix,omitempty"`
	// Sum, of a region file, is that of its content: with it a file that was only copied or touched is the same,
	// and one written anew with its old time is not.
	Sum string `toml:"sum,omitempty"`
}

// Stop is a place on the route where the user stops.
type Stop struct {
	Name  string  `toml:"name"`
	AtM   float64 `toml:"at_m"`  // along the route
	Night bool    `toml:"night"` // a camp: the day ends here
	// Water is what the user declares to take on here, litres of drinking water; Fuel says that tank and cans
	// are filled here. Water counts only where it is declared; a place on the map is only possible.
	Water float64 `toml:"water_l,omitempty"`
	Fuel  bool    `toml:"fuel,omitempty"`
}

// GroundChoice is a stretch whose ground the user knows better than the map.
type GroundChoice struct {
	FromM  float64    `toml:"from_m"`
	ToM    float64    `toml:"to_m"`
	Ground geo.Ground `toml:"ground"`
}

// LegEdit is a change to the legs that the cut proposes: "split" at FromM, "merge" the legs that FromM
// to ToM touch, "rename" the leg at FromM, "lock" or "unlock" it (see geo/split).
type LegEdit struct {
	Do    string  `toml:"do"`
	FromM float64 `toml:"from_m"`
	ToM   float64 `toml:"to_m,omitempty"`
	Name  string  `toml:"name,omitempty"`
}

// Home is who is left at home and whom they call.
type Home struct {
	Contact      string `toml:"contact,omitempty"`
	ContactPhone string `toml:"contact_phone,omitempty"`
	CallFirst    string `toml:"call_first,omitempty"`  // who is called when overdue, as the user typed it
	CallSecond   string `toml:"call_second,omitempty"` // the next one
	VehicleLook  string `toml:"vehicle_look,omitempty"`
	Plate        string `toml:"plate,omitempty"`
	OwnPhones    string `toml:"own_phones,omitempty"`
	DeviceIDs    string `toml:"device_ids,omitempty"` // beacon and messenger numbers
	Remarks      string `toml:"remarks,omitempty"`
	Medical      bool   `toml:"medical,omitempty"` // hand on the medical notes
}

// PaperPrefs are the choices for the papers.
type PaperPrefs struct {
	Size     string `toml:"size,omitempty"`  // "A4" or "letter"
	Units    string `toml:"units,omitempty"` // "metric", "us", "imperial"
	Language string `toml:"language,omitempty"`
}

// Clone returns a copy that shares no memory with p.
func (p Plan) Clone() Plan {
	q := p
	q.Trip.Party = cloneParty(p.Trip.Party)
	if p.Trip.Partner != nil {
		partner := cloneParty(*p.Trip.Partner)
		q.Trip.Partner = &partner
	}
	q.Region = append([]FileRef(nil), p.Region...)
	q.Heights = append([]FileRef(nil), p.Heights...)
	q.Stops = append([]Stop(nil), p.Stops...)
	q.Grounds = append([]GroundChoice(nil), p.Grounds...)
	q.Legs = append([]LegEdit(nil), p.Legs...)
	q.Own = append([]OwnItem(nil), p.Own...)
	q.Figures = append([]OwnFigure(nil), p.Figures...)
	q.Log = append([]LogLine(nil), p.Log...)
	q.Compare = p.Compare.clone()
	return q
}

func cloneParty(p risk.Party) risk.Party {
	p.Load = append([]risk.LoadItem(nil), p.Load...)
	p.People = append([]risk.Person(nil), p.People...)
	for i := range p.People {
		p.People[i].Skills = append([]string(nil), p.People[i].Skills...)
	}
	p.Vehicle.Defaulted = append([]string(nil), p.Vehicle.Defaulted...)
	return p
}

// EncodePlan writes the plan as TOML.
func EncodePlan(p Plan) ([]byte, error) {
	p.Schema = Schema
	return toml.Marshal(p)
}

// DecodePlan reads what EncodePlan wrote, strictly: an unknown key, a wrong type, a newer schema or a
// number that cannot be is refused with its line. file is the name for messages.
func DecodePlan(data []byte, file string) (Plan, error) {
	if err := tooLong(data, file, mendOr(file)); err != nil {
		return Plan{}, err
	}
	var head struct {
		Schema *int `toml:"schema"`
	}
	if err := toml.Unmarshal(data, &head); err != nil {
		return Plan{}, tomlError(err, file)
	}
	switch {
	case head.Schema == nil:
		return Plan{}, &geo.InputError{File: file, Reason: "has no schema number", Remedy: "is it a plan of this program?"}
	case *head.Schema > Schema:
		return Plan{}, &geo.InputError{File: file, Reason: fmt.Sprintf("was written by a newer version (schema %d, this one reads up to %d)", *head.Schema, Schema), Remedy: "open it with that version"}
	case *head.Schema < 1:
		return Plan{}, &geo.InputError{File: file, Reason: fmt.Sprintf("schema %d is not known", *head.Schema), Remedy: mendOr(file)}
	}
	data, err := migrate(data, *head.Schema, Schema, migrations)
	if err != nil {
		return Plan{}, &geo.InputError{File: file, Reason: fmt.Sprintf("could not be brought from schema %d to %d", *head.Schema, Schema), Remedy: "open it with the version that wrote it", Err: err}
	}
	var p Plan
	d := toml.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&p); err != nil {
		return Plan{}, tomlError(err, file)
	}
	if err := p.check(); err != nil {
		return Plan{}, &geo.InputError{File: file, Reason: err.Error(), Remedy: mendOr(file)}
	}
	return p, nil
}

// tooLong refuses TOML of ours that is beyond its limits, before it is parsed.
func tooLong(data []byte, file, remedy string) error {
	if n := bytes.Count(data, []byte("=")); n > mostValues {
		return &geo.InputError{File: file, Reason: fmt.Sprintf("%d values are given, at most %d are read", n, mostValues), Remedy: remedy}
	}
	if len(data) > mostTOML {
		return &geo.InputError{File: file, Reason: fmt.Sprintf("holds more than %d MiB", mostTOML>>20), Remedy: remedy}
	}
	return nil
}

func tomlError(err error, file string) error {
	e := &geo.InputError{File: file, Remedy: mendOr(file)}
	var strict *toml.StrictMissingError
	var bad *toml.DecodeError
	switch {
	case errors.As(err, &strict) && len(strict.Errors) > 0:
		row, col := strict.Errors[0].Position()
		e.Where = fmt.Sprintf("line %d, column %d", row, col)
		e.Reason = fmt.Sprintf("key %.80s is not known", strings.Join(strict.Errors[0].Key(), "."))
		e.Remedy = "remove it, or open the file with the version that wrote it"
	case errors.As(err, &bad):
		row, col := bad.Position()
		e.Where, e.Reason = fmt.Sprintf("line %d, column %d", row, col), table.Plain(bad)
	default:
		e.Reason = strings.TrimPrefix(err.Error(), "toml: ")
	}
	return e
}

// mendOr is what can be done about a file of ours that does not read.
func mendOr(file string) string {
	name, _, _ := strings.Cut(file, ": ") // a part of a saved trip stands behind its name
	return "mend it, or take the backup beside it (" + filepath.Base(backupOf(name)) + ")"
}

// The most of each kind that a plan may hold: some ten times what the longest journey asks for, so that no small file
// keeps the judging busy for minutes.
const (
	mostFiles  = 2000 // regions, height tiles
	mostEdits  = 5000 // stops, painted stretches, changed legs
	mostOwn    = 5000 // own items, figures and lines of the log
	mostPeople = 100  // in one vehicle
	mostLoad   = 2000 // lines of one vehicle's load
	// mostTOML bounds a plan and the log of drives in bytes. The demo's plan takes 6 kB, one with every variant some
	// hundred; a log of fifty drives a year for forty years some 500.
	mostTOML = 1 << 20
	// mostValues bounds all together; the demo has some 200. For each key that it does not know the TOML reader counts
	// its line from the top.
	mostValues = 20_000
)

// tooMany says which list of the plan is longer than it may be.
func (p Plan) tooMany() error {
	type list struct {
		what     string
		is, most int
	}
	lists := []list{
		{"region", len(p.Region), mostFiles}, {"heights", len(p.Heights), mostFiles},
		{"stops", len(p.Stops), mostEdits}, {"grounds", len(p.Grounds), mostEdits}, {"legs", len(p.Legs), mostEdits},
		{"own", len(p.Own), mostOwn}, {"figures", len(p.Figures), mostOwn}, {"log", len(p.Log), mostOwn},
	}
	trips := []risk.Trip{p.Trip}
	for _, v := range p.Compare.Variants {
		trips = append(trips, v.Trip)
	}
	for _, t := range trips {
		for _, party := range []*risk.Party{&t.Party, t.Partner} {
			if party != nil {
				lists = append(lists, list{"people of one vehicle", len(party.People), mostPeople}, list{"load of one vehicle", len(party.Load), mostLoad})
			}
		}
	}
	for _, l := range lists {
		if l.is > l.most {
			return fmt.Errorf("%s: %d are listed, at most %d are read", l.what, l.is, l.most)
		}
	}
	return nil
}

// The numbers of a plan that must hold for the rest to make sense; the party's own figures are
// checked, with their ranges, when it is judged.
func (p Plan) check() error {
	finite := func(what string, v, low, high float64) error {
		if math.IsNaN(v) || v < low || v > high {
			return fmt.Errorf("%s %g is outside %g to %g", what, v, low, high)
		}
		return nil
	}
	if err := p.tooMany(); err != nil {
		return err
	}
	errs := []error{finite("corridor_m", p.CorridorM, 0, 500e3)}
	if p.Pace != 0 {
		errs = append(errs, finite("pace", p.Pace, 0.2, 3))
	}
	for _, s := range p.Stops {
		errs = append(errs, finite(fmt.Sprintf("stop %q: at_m", s.Name), s.AtM, 0, 40e6), finite("water_l", s.Water, 0, 10e3))
	}
	for _, g := range p.Grounds {
		errs = append(errs, finite("grounds: from_m", g.FromM, 0, 40e6), finite("grounds: to_m", g.ToM, g.FromM, 40e6))
	}
	for _, l := range p.Legs {
		switch l.Do {
		case "split", "merge", "rename", "lock", "unlock":
		default:
			errs = append(errs, fmt.Errorf("legs: %q is not split, merge, rename, lock or unlock", l.Do))
		}
		errs = append(errs, finite("legs: from_m", l.FromM, 0, 40e6), finite("legs: to_m", l.ToM, 0, 40e6))
	}
	for _, e := range errs {
		if e != nil {
			return e
		}
	}
	return p.checkOwn()
}
