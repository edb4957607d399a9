package survey

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// strict reads one JSON value and refuses unknown keys and anything behind it.
func strict(data []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		return err
	}
	if _, err := d.Token(); err != io.EOF {
		return errors.New("something follows the survey")
	}
	return nil
}

// decodeSamples takes the columns out of raw, which has been read as JSON, and puts them together.
func decodeSamples(raw map[string]json.RawMessage) ([]geo.Sample, error) {
	if len(raw) == 0 {
		return nil, errors.New("no samples")
	}
	take := func(key string, into json.Unmarshaler) error {
		b, ok := raw[key]
		if !ok {
			return fmt.Errorf("samples: %s is missing", key)
		}
		delete(raw, key)
		if err := into.UnmarshalJSON(b); err != nil {
			return fmt.Errorf("samples: %s: %w", key, err)
		}
		return nil
	}
	var samples []geo.Sample
	var u units
	number := func(key string, scale float64, at func(s *geo.Sample) *float64) error {
		if err := take(key, &u); err != nil {
			return err
		}
		if samples == nil {
			if len(u) > maxSamples {
				return fmt.Errorf("%d samples are too many", len(u))
			}
			samples = make([]geo.Sample, len(u))
		}
		if len(u) != len(samples) {
			return fmt.Errorf("samples: %s has %d entries, want %d", key, len(u), len(samples))
		}
		for i, v := range u {
			*at(&samples[i]) = v / scale
		}
		return nil
	}
	whole := func(key string, lowest, highest int64, set func(s *geo.Sample, v int64)) error {
		var r runs
		if err := take(key, &r); err != nil {
			return err
		}
		if err := r.spread(len(samples), lowest, highest, func(i int, v int64) { set(&samples[i], v) }); err != nil {
			return fmt.Errorf("samples: %s: %w", key, err)
		}
		return nil
	}
	for _, f := range fields {
		if _, ok := raw[f.key]; !ok && f.later {
			for i := range samples {
				*f.at(&samples[i]) = math.NaN()
			}
			continue
		}
		if err := number(f.key, f.scale, f.at); err != nil {
			return nil, err
		}
	}
	if err := errors.Join(
		whole("way", -1, math.MaxInt32, func(s *geo.Sample, v int64) { s.Way = int32(v) }),
		whole("ground", 0, math.MaxUint16, func(s *geo.Sample, v int64) { s.Ground = uint16(v) }),
		whole("flags", 0, flagsEnd-1, setFlags),
	); err != nil {
		return nil, err
	}
	for k := geo.HelpKind(0); k < geo.NumHelp; k++ {
		if err := whole(k.Key()+"_at", -1, math.MaxInt32, func(s *geo.Sample, v int64) { s.HelpAt[k] = int32(v) }); err != nil {
			return nil, err
		}
		if err := number(k.Key()+"_cm", helpScale, func(s *geo.Sample) *float64 { return &s.HelpM[k] }); err != nil {
			return nil, err
		}
	}
	for key := range raw {
		return nil, fmt.Errorf("samples: %q is not known", key)
	}
	return samples, nil
}

func onGlobe(p orb.Point) bool {
	return math.Abs(p[0]) <= 180 && math.Abs(p[1]) <= 90
}

// check reports the first thing about a survey that no reader could live with.
func check(s *geo.Survey) error {
	for i, p := range s.Route.Line {
		if !onGlobe(p) {
			return fmt.Errorf("point %d of the route is not on the globe", i+1)
		}
	}
	for i := range s.Samples {
		q := &s.Samples[i]
		switch {
		case math.IsNaN(q.DistanceM) || i > 0 && !(q.DistanceM > s.Samples[i-1].DistanceM):
			return fmt.Errorf("sample %d: distances do not rise", i)
		case !onGlobe(orb.Point{q.Lon, q.Lat}):
			return fmt.Errorf("sample %d is not on the globe", i)
		case int(q.Way) >= len(s.Ways):
			return fmt.Errorf("sample %d: way %d of %d", i, q.Way, len(s.Ways))
		case int(q.Ground) >= len(s.Grounds):
			return fmt.Errorf("sample %d: ground %d of %d", i, q.Ground, len(s.Grounds))
		}
		for _, h := range q.HelpAt {
			if int(h) >= len(s.Help) {
				return fmt.Errorf("sample %d: place %d of %d", i, h, len(s.Help))
			}
		}
	}
	for i, g := range s.Grounds {
		sum := 0.0
		for _, p := range g.P {
			sum += p
		}
		if math.Abs(sum-1) > 1e-6 { // shares are written in full, so only rounding may differ
			return fmt.Errorf("ground %d: shares add up to %g", i, sum)
		}
	}
	for i, l := range s.Legs {
		first := 0
		if i > 0 {
			first = s.Legs[i-1].To
		}
		if l.From != first || l.To <= l.From || l.To >= len(s.Samples) || i == len(s.Legs)-1 && l.To != len(s.Samples)-1 {
			return fmt.Errorf("leg %d (samples %d to %d) does not follow the one before", i+1, l.From, l.To)
		}
	}
	for i, p := range s.Premises {
		if err := p.Check(); err != nil {
			return fmt.Errorf("premise %d: %w", i+1, err)
		}
		if p.Key == "" || p.Title == "" || !(p.Low >= 0 && p.High <= 1) {
			return fmt.Errorf("premise %d has no name, or is outside 0..1", i+1)
		}
	}
	for i, m := range s.Marks {
		if !(m.DistanceM >= 0) || !onGlobe(m.At) {
			return fmt.Errorf("mark %d has no place", i+1)
		}
		if !(m.Chance >= 0 && m.Chance <= 1) {
			return fmt.Errorf("mark %d has a chance of %g", i+1, m.Chance)
		}
		if err := rests(s, &m); err != nil {
			return fmt.Errorf("mark %d %w", i+1, err)
		}
		if !(m.WaterL >= 0 && m.WaterL <= 1e5) {
			return fmt.Errorf("mark %d takes on %g L of water", i+1, m.WaterL)
		}
	}
	for i, p := range s.Help {
		if !onGlobe(p.At) {
			return fmt.Errorf("place of help %d is not on the globe", i+1)
		}
	}
	for i, e := range s.Exits {
		before := geo.Exit{Sample: -1}
		if i > 0 {
			before = s.Exits[i-1]
		}
		switch {
		case e.Sample < 0 || e.Sample >= len(s.Samples) || e.Place < 0 || int(e.Place) >= len(s.Help) || s.Help[e.Place].Kind != e.Kind:
			return fmt.Errorf("exit %d leads from nowhere or to no such place", i+1)
		case !(e.OffM >= 0 && e.OffM < 1e9 && e.OffMin >= 0 && e.OffMin < 1e9):
			return fmt.Errorf("exit %d is %g m and %g min long", i+1, e.OffM, e.OffMin)
		case e.Kind < before.Kind || e.Kind == before.Kind && e.Sample <= before.Sample:
			return fmt.Errorf("exit %d is out of order", i+1)
		}
	}
	return nil
}

// rests reports that a mark rests on premises that are not there, or that do not make its chance.
func rests(s *geo.Survey, m *geo.Mark) error {
	if m.Rests == [2]uint16{} {
		return nil
	}
	chance := 1.0
	for _, k := range m.Rests {
		switch {
		case int(k) > len(s.Premises):
			return fmt.Errorf("rests on premise %d of %d", k, len(s.Premises))
		case k > 0:
			chance *= s.Premises[k-1].Central
		}
	}
	if !(chance > 0) || math.Abs(chance-m.Chance) > 1e-9 {
		return fmt.Errorf("has a chance of %g, and its premises make %g", m.Chance, chance)
	}
	return nil
}
