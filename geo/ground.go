package geo

import (
	"encoding/json"
	"fmt"
)

// Ground is the surface class of a stretch of the route.
type Ground uint8

// The ground classes. Unknown means that nothing says what lies there; it is
// never driven on as a class of its own but as a mixture of the others.
const (
	Unknown    Ground = iota
	Sealed            // asphalt, concrete, paving
	Gravel            // kept gravel or compacted road
	FirmTrack         // firm natural track, two-track, worn gravel
	Clay              // dry dirt or clay
	Mud               // wet clay, bog, marsh
	Sand              // loose sand, dunes, sandy wash
	LooseRock         // stones, scree, rubble
	LedgeRock         // bare rock with steps
	Scrub             // off-track scrub and heath
	Grass             // meadow, grassland
	Snow              // snow or ice cover
	Salt              // salt or clay-pan crust
	Ford              // the bed of a water crossing
	NumGrounds        // number of classes, Unknown included
)

var groundKeys = [NumGrounds]string{"unknown", "sealed", "gravel", "firm_track", "clay", "mud", "sand",
	"loose_rock", "ledge_rock", "scrub", "grass", "snow", "salt", "ford"}

var groundNames = [NumGrounds]string{"unknown", "sealed", "gravel", "firm track", "dirt or clay", "mud", "sand",
	"loose rock", "ledge rock", "off-track scrub", "grass", "snow", "salt crust", "ford"}

// Key is the name used in files: lower case, underscore for a blank.
func (g Ground) Key() string {
	if g >= NumGrounds {
		return fmt.Sprintf("ground_%d", uint8(g))
	}
	return groundKeys[g]
}

// String is the English name a person reads.
func (g Ground) String() string {
	if g >= NumGrounds {
		return fmt.Sprintf("ground %d", uint8(g))
	}
	return groundNames[g]
}

// ParseGround finds the class with the given key; ok is false for any other text.
func ParseGround(key string) (g Ground, ok bool) {
	for i, k := range groundKeys {
		if k == key {
			return Ground(i), true
		}
	}
	return Unknown, false
}

// MarshalText writes the key.
func (g Ground) MarshalText() ([]byte, error) { return []byte(g.Key()), nil }

// UnmarshalText reads a key and refuses any other text.
func (g *Ground) UnmarshalText(b []byte) error {
	v, ok := ParseGround(string(b))
	if !ok {
		return fmt.Errorf("ground %q is not a ground class", b)
	}
	*g = v
	return nil
}

// GroundMix says what the ground of a stretch is, as far as it is known.
type GroundMix struct {
	// P is the probability of each class; P[Unknown] is always 0 and the rest sum to 1.
	P [NumGrounds]float64
	// Known is true where a tag, an area or the user says what lies there. When it is false P is
	// only a plausible mixture, the stretch is shown as unknown, and rates carry a wider band.
	Known bool
	// Reason tells in words what P rests on ("surface=gravel", "track without ground tags in scree").
	Reason string
}

// Main is the class to show: Unknown when the mix is not Known, else the most probable class,
// the lower class number winning a tie.
func (m GroundMix) Main() Ground {
	if !m.Known {
		return Unknown
	}
	return m.Likeliest()
}

// Likeliest is the most probable class of the mixture whether or not it is known.
func (m GroundMix) Likeliest() Ground {
	best := Unknown
	for g := Sealed; g < NumGrounds; g++ {
		if m.P[g] > m.P[best] || best == Unknown {
			best = g
		}
	}
	return best
}

// Pure is the mixture that is g for certain.
func Pure(g Ground, reason string) GroundMix {
	m := GroundMix{Known: true, Reason: reason}
	m.P[g] = 1
	return m
}

// MarshalJSON writes the classes by key, zero shares left out.
func (m GroundMix) MarshalJSON() ([]byte, error) {
	p := map[string]float64{}
	for g := Sealed; g < NumGrounds; g++ {
		if m.P[g] > 0 {
			p[g.Key()] = m.P[g]
		}
	}
	return json.Marshal(mixJSON{P: p, Known: m.Known, Reason: m.Reason})
}

type mixJSON struct {
	P      map[string]float64 `json:"shares"`
	Known  bool               `json:"known"`
	Reason string             `json:"reason"`
}

// UnmarshalJSON reads what MarshalJSON writes and refuses unknown classes and shares outside 0..1.
func (m *GroundMix) UnmarshalJSON(b []byte) error {
	var j mixJSON
	if err := json.Unmarshal(b, &j); err != nil {
		return err
	}
	*m = GroundMix{Known: j.Known, Reason: j.Reason}
	for k, v := range j.P {
		g, ok := ParseGround(k)
		if !ok || g == Unknown {
			return fmt.Errorf("ground %q is not a ground class", k)
		}
		if !(v >= 0 && v <= 1) {
			return fmt.Errorf("share %v of ground %q is outside 0..1", v, k)
		}
		m.P[g] = v
	}
	return nil
}
