package survey

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"time"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// Schema is the version of the form in which Encode writes.
const Schema = 1

// maxSamples bounds what Decode makes of a file: 20 million samples of 25 m go round the earth twelve times.
const maxSamples = 20_000_000

// The file is one JSON object. Sample numbers are columns of differences (see column.go), everything else is
// plain. Keys are read strictly: an unknown key means a newer writer, whose survey is refused and made anew.
type file struct {
	Schema   int             `json:"survey_schema"`
	Route    routeJSON       `json:"route"`
	StepM    float64         `json:"step_m"`
	Samples  json.RawMessage `json:"samples"`
	Grounds  []geo.GroundMix `json:"grounds"`
	Ways     []geo.WayInfo   `json:"ways"`
	Legs     []geo.Leg       `json:"legs"`
	Marks    []markJSON      `json:"marks"`
	Premises []geo.Premise   `json:"premises,omitempty"`
	Help     []placeJSON     `json:"help"`
	Exits    []exitJSON      `json:"exits,omitempty"`
	Sources  []string        `json:"sources"`
	Notes    []string        `json:"notes"`
}

type routeJSON struct {
	Name      string         `json:"name"`
	Line      []float64      `json:"line"`                // lon, lat, lon, lat ...
	HeightM   []*float64     `json:"height_m,omitempty"`  // null = unknown
	Time      []string       `json:"time,omitempty"`      // RFC 3339, "" = none
	Waypoints []waypointJSON `json:"waypoints,omitempty"` //
	Notes     []string       `json:"notes,omitempty"`
}

type waypointJSON struct {
	Name    string     `json:"name,omitempty"`
	Symbol  string     `json:"symbol,omitempty"`
	Comment string     `json:"comment,omitempty"`
	At      [2]float64 `json:"at"`
	HeightM *float64   `json:"height_m"`
}

type markJSON struct {
	Kind      string     `json:"kind"`
	DistanceM float64    `json:"distance_m"`
	At        [2]float64 `json:"at"`
	Name      string     `json:"name,omitempty"`
	Detail    string     `json:"detail,omitempty"`
	OSM       int64      `json:"osm,omitempty"`
	Chance    float64    `json:"chance,omitempty"`
	Rests     *[2]uint16 `json:"rests,omitempty"`
	WaterL    float64    `json:"water_l,omitempty"`
	Fuel      bool       `json:"fuel,omitempty"`
}

type placeJSON struct {
	Kind   string     `json:"kind"`
	Name   string     `json:"name,omitempty"`
	At     [2]float64 `json:"at"`
	OSM    int64      `json:"osm,omitempty"`
	Tag    string     `json:"tag,omitempty"`
	OffM   *float64   `json:"off_m"`
	RouteM *float64   `json:"route_m"`
}

type exitJSON struct {
	Kind   string  `json:"kind"`
	Sample int     `json:"sample"`
	Place  int32   `json:"place"`
	OffM   float64 `json:"off_m"`
	OffMin float64 `json:"off_min"`
}

var markKeys = [...]string{"ford", "gate", "bridge", "tunnel", "pass", "stop", "private", "water"}

func parseMark(key string) (geo.MarkKind, bool) {
	for i, k := range markKeys {
		if k == key {
			return geo.MarkKind(i), true
		}
	}
	return 0, false
}

func parseHelp(key string) (geo.HelpKind, bool) {
	for k := geo.HelpKind(0); k < geo.NumHelp; k++ {
		if k.Key() == key {
			return k, true
		}
	}
	return 0, false
}

// Encode writes a survey as JSON. A survey made by [Survey] is given back by [Decode] unchanged; other
// samples are rounded to the units of the file (1 mm along the route, 1 cm on the ground, 1e-5 of grade).
func Encode(s *geo.Survey) ([]byte, error) {
	f := file{Schema: Schema, StepM: s.StepM, Grounds: s.Grounds, Ways: s.Ways, Legs: s.Legs, Premises: s.Premises, Sources: s.Sources, Notes: s.Notes,
		Marks: []markJSON{}, Help: []placeJSON{}}
	r := s.Route
	f.Route = routeJSON{Name: r.Name, Line: make([]float64, 0, 2*len(r.Line)), Notes: r.Notes}
	for _, p := range r.Line {
		f.Route.Line = append(f.Route.Line, p[0], p[1])
	}
	for _, h := range r.HeightM {
		f.Route.HeightM = append(f.Route.HeightM, known(h))
	}
	for _, t := range r.Time {
		if t.IsZero() {
			f.Route.Time = append(f.Route.Time, "")
			continue
		}
		f.Route.Time = append(f.Route.Time, t.Format(time.RFC3339Nano))
	}
	for _, w := range r.Waypoints {
		f.Route.Waypoints = append(f.Route.Waypoints, waypointJSON{w.Name, w.Symbol, w.Comment, w.At, known(w.HeightM)})
	}
	for _, m := range s.Marks {
		if int(m.Kind) >= len(markKeys) {
			return nil, fmt.Errorf("mark of kind %d cannot be written", m.Kind)
		}
		j := markJSON{markKeys[m.Kind], m.DistanceM, m.At, m.Name, m.Detail, m.OSM, m.Chance, nil, m.WaterL, m.Fuel}
		if m.Rests != [2]uint16{} {
			j.Rests = &m.Rests
		}
		f.Marks = append(f.Marks, j)
	}
	for _, p := range s.Help {
		if p.Kind >= geo.NumHelp {
			return nil, fmt.Errorf("place of kind %d cannot be written", p.Kind)
		}
		f.Help = append(f.Help, placeJSON{p.Kind.Key(), p.Name, p.At, p.OSM, p.Tag, known(p.OffM), known(p.RouteM)})
	}
	for _, e := range s.Exits {
		if e.Kind >= geo.NumHelp {
			return nil, fmt.Errorf("exit of kind %d cannot be written", e.Kind)
		}
		f.Exits = append(f.Exits, exitJSON{e.Kind.Key(), e.Sample, e.Place, e.OffM, e.OffMin})
	}
	var err error
	if f.Samples, err = encodeSamples(s.Samples); err != nil {
		return nil, err
	}
	return json.Marshal(f)
}

func known(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

func orNaN(p *float64) float64 {
	if p == nil {
		return math.NaN()
	}
	return *p
}

func encodeSamples(samples []geo.Sample) ([]byte, error) {
	n := len(samples)
	dst := make([]byte, 0, 64*n+1000)
	dst = append(dst, '{')
	key := func(k string) {
		if len(dst) > 1 {
			dst = append(dst, ',')
		}
		dst = append(append(append(dst, '"'), k...), `":`...)
	}
	var err error
	for _, f := range fields {
		key(f.key)
		if dst, err = encodeColumn(dst, n, f.scale, func(i int) float64 { return *f.at(&samples[i]) }); err != nil {
			return nil, fmt.Errorf("%s: %w", f.key, err)
		}
	}
	key("way")
	dst = encodeRuns(dst, n, func(i int) int64 { return int64(samples[i].Way) })
	key("ground")
	dst = encodeRuns(dst, n, func(i int) int64 { return int64(samples[i].Ground) })
	key("flags")
	dst = encodeRuns(dst, n, func(i int) int64 { return flagsOf(&samples[i]) })
	for k := geo.HelpKind(0); k < geo.NumHelp; k++ {
		key(k.Key() + "_at")
		dst = encodeRuns(dst, n, func(i int) int64 { return int64(samples[i].HelpAt[k]) })
		key(k.Key() + "_cm")
		if dst, err = encodeColumn(dst, n, helpScale, func(i int) float64 { return samples[i].HelpM[k] }); err != nil {
			return nil, err
		}
	}
	return append(dst, '}'), nil
}

// Decode reads what Encode writes and checks it: every column as long as the others, places on the globe,
// distances rising, every index pointing at something, legs covering the samples in order. Any fault gives
// a geo.InputError; the survey can then be made anew from the route and the region.
func Decode(data []byte) (*geo.Survey, error) {
	s, err := decode(data)
	if err != nil {
		return nil, &geo.InputError{Where: "saved survey", Reason: err.Error(), Remedy: "survey the route anew"}
	}
	return s, nil
}

// fileIn is the file as it is read: with the columns of the samples apart, so that none of them is walked more often
// than need be.
type fileIn struct {
	file
	Samples map[string]json.RawMessage `json:"samples"`
}

// readFile reads the file strictly. What is wrong with a file of another version is its version, whatever else it holds.
func readFile(data []byte) (*fileIn, error) {
	var f fileIn
	err := strict(data, &f)
	if err == nil && f.Schema == Schema {
		return &f, nil
	}
	var version struct {
		Schema *int `json:"survey_schema"`
	}
	if err := json.Unmarshal(data, &version); err != nil {
		return nil, err
	}
	if version.Schema == nil {
		return nil, errors.New("no survey_schema, so this is no saved survey")
	}
	if *version.Schema != Schema {
		return nil, fmt.Errorf("schema %d is not known; this program reads %d", *version.Schema, Schema)
	}
	return nil, err
}

func decode(data []byte) (*geo.Survey, error) {
	f, err := readFile(data)
	if err != nil {
		return nil, err
	}
	s := &geo.Survey{StepM: f.StepM, Grounds: f.Grounds, Ways: f.Ways, Legs: f.Legs, Premises: f.Premises, Sources: f.Sources, Notes: f.Notes}
	if !(f.StepM >= 0) {
		return nil, fmt.Errorf("step of %g m", f.StepM)
	}
	if s.Route, err = decodeRoute(&f.Route); err != nil {
		return nil, fmt.Errorf("route: %w", err)
	}
	for i, m := range f.Marks {
		kind, ok := parseMark(m.Kind)
		if !ok {
			return nil, fmt.Errorf("mark %d: kind %q is not known", i+1, m.Kind)
		}
		mark := geo.Mark{Kind: kind, DistanceM: m.DistanceM, At: m.At, Name: m.Name, Detail: m.Detail, OSM: m.OSM, Chance: m.Chance, WaterL: m.WaterL, Fuel: m.Fuel}
		if m.Rests != nil {
			mark.Rests = *m.Rests
		}
		s.Marks = append(s.Marks, mark)
	}
	for i, p := range f.Help {
		kind, ok := parseHelp(p.Kind)
		if !ok {
			return nil, fmt.Errorf("place %d: kind %q is not known", i+1, p.Kind)
		}
		s.Help = append(s.Help, geo.Place{Kind: kind, Name: p.Name, At: p.At, OSM: p.OSM, Tag: p.Tag, OffM: orNaN(p.OffM), RouteM: orNaN(p.RouteM)})
	}
	for i, e := range f.Exits {
		kind, ok := parseHelp(e.Kind)
		if !ok {
			return nil, fmt.Errorf("exit %d: kind %q is not known", i+1, e.Kind)
		}
		s.Exits = append(s.Exits, geo.Exit{Kind: kind, Sample: e.Sample, Place: e.Place, OffM: e.OffM, OffMin: e.OffMin})
	}
	if s.Samples, err = decodeSamples(f.Samples); err != nil {
		return nil, err
	}
	return s, check(s)
}

func decodeRoute(j *routeJSON) (geo.Route, error) {
	r := geo.Route{Name: j.Name, Notes: j.Notes}
	if len(j.Line)%2 != 0 {
		return r, errors.New("a longitude without a latitude")
	}
	n := len(j.Line) / 2
	for i := 0; i < n; i++ {
		r.Line = append(r.Line, orb.Point{j.Line[2*i], j.Line[2*i+1]})
	}
	if len(j.HeightM) != 0 && len(j.HeightM) != n || len(j.Time) != 0 && len(j.Time) != n {
		return r, errors.New("heights or times do not match the points")
	}
	for _, h := range j.HeightM {
		r.HeightM = append(r.HeightM, orNaN(h))
	}
	for i, t := range j.Time {
		var at time.Time
		if t != "" {
			var err error
			if at, err = time.Parse(time.RFC3339Nano, t); err != nil {
				return r, fmt.Errorf("time of point %d: %w", i+1, err)
			}
		}
		r.Time = append(r.Time, at)
	}
	for _, w := range j.Waypoints {
		r.Waypoints = append(r.Waypoints, geo.Waypoint{Name: w.Name, Symbol: w.Symbol, Comment: w.Comment, At: w.At, HeightM: orNaN(w.HeightM)})
	}
	return r, nil
}
