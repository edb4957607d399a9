package recovery

import (
	"fmt"
	"math"
)

// Winch is a winch with its line, or a hand winch.
type Winch struct {
	Name    string  `json:"name"`
	RatedKN float64 `json:"rated_kn"` // on the first layer of rope, dead weight on the level
	Rope    Rope    `json:"rope"`
	// DrumMM and DrumWidthMM are the bare drum's diameter and the width between its flanges; 0 = a
	// typical 12 V winch's, which is said in the working.
	DrumMM      float64 `json:"drum_mm,omitempty"`
	DrumWidthMM float64 `json:"drum_width_mm,omitempty"`
	Wraps       int     `json:"wraps,omitempty"` // that stay on the drum; 0 = by rope material
	// Manual: a hand winch, whose pull does not change with layers.
	Manual bool `json:"manual,omitempty"`
	// Place is the end of the vehicle it pulls from: "front" (also "") or "rear". Its line can only come
	// back to a recovery point at the same end.
	Place string `json:"place,omitempty"`
	// AmpsRated is the current at rated pull; 0 = estimated. BatteryAh is the battery's capacity; 0 = not said.
	AmpsRated float64 `json:"amps_rated,omitempty"`
	BatteryAh float64 `json:"battery_ah,omitempty"`
}

func (w Winch) check() error {
	opt := func(field string, l limit, v float64) error {
		if v == 0 {
			return nil
		}
		return l.check(field, v)
	}
	if w.Place != "" && w.Place != "front" && w.Place != "rear" {
		return refuse("winch place", fmt.Sprintf("%q is not an end of the vehicle", w.Place), "use front or rear")
	}
	if w.Wraps < 0 || w.Wraps > 50 {
		return refuse("wraps on the drum", fmt.Sprintf("%d is outside 0 to 50", w.Wraps), "")
	}
	return first(rangeForce.check("winch rated pull", w.RatedKN), w.Rope.check(),
		opt("drum diameter", rangeDrum, w.DrumMM), opt("drum width", rangeDrum, w.DrumWidthMM),
		opt("winch current", rangeAmps, w.AmpsRated), opt("battery", rangeBattery, w.BatteryAh))
}

// LayerPull is the pull on layer n (from 1) of a winch rated p1 on its first layer, with bare drum
// diameter D and rope diameter d in the same unit: p1 (D+d)/(D+(2n-1)d). The line speed rises as it falls.
func LayerPull(p1, drum, rope float64, n int) float64 {
	return p1 * (drum + rope) / (drum + float64(2*n-1)*rope)
}

// LayerPullBare is the same for a rating at the bare drum: p D/(D+(2n-1)d). Some trade pages rate so;
// the two conventions must not be mixed, and [Winch] uses the first-layer one.
func LayerPullBare(p, drum, rope float64, n int) float64 {
	return p * drum / (drum + float64(2*n-1)*rope)
}

// WrapsPerLayer is how many wraps of rope lie side by side on a drum (both in the same unit).
func WrapsPerLayer(width, rope float64) int { return int(math.Floor(width/rope + 1e-9)) }

// LeadDistanceM is how far the first sheave must stand from a drum for the fleet angle to stay within
// fleetDeg when the rope runs from flange to flange, halfWidth being half of the drum's width in metres.
func LeadDistanceM(halfWidth, fleetDeg float64) float64 {
	return halfWidth / math.Tan(fleetDeg*math.Pi/180)
}

// Spool is the state of a winch with so much line paid out.
type Spool struct {
	PaidOutM  float64 `json:"paid_out_m"`
	Layer     int     `json:"layer"` // that the line comes off, from 1
	Layers    int     `json:"layers"`
	PullKN    float64 `json:"pull_kn"`
	TopPullKN float64 `json:"top_pull_kn"` // with the drum full
	UsableM   float64 `json:"usable_m"`    // line that may leave the drum
	Wraps     int     `json:"wraps"`
	DrumMM    float64 `json:"drum_mm"`
	WidthMM   float64 `json:"width_mm"`
	Assumed   bool    `json:"assumed"` // the drum is a typical one
}

// Spool works out the layer in use and the pull there. paidOutM beyond what the drum may give counts as
// all of it. Layers are filled side by side from the bare drum, each wrap pi(D+(2n-1)d) long.
func (t *Tables) Spool(w Winch, paidOutM float64) (Spool, error) {
	if err := w.check(); err != nil {
		return Spool{}, err
	}
	if math.IsNaN(paidOutM) || paidOutM < 0 {
		return Spool{}, refuse("line paid out", fmt.Sprintf("%g m is not a length", paidOutM), "")
	}
	s := Spool{DrumMM: w.DrumMM, WidthMM: w.DrumWidthMM, Wraps: w.Wraps, PaidOutM: paidOutM}
	if w.Manual {
		s.Layer, s.Layers, s.PullKN, s.TopPullKN, s.UsableM, s.Wraps = 1, 1, w.RatedKN, w.RatedKN, w.Rope.LengthM, 0
		s.PaidOutM = min(paidOutM, s.UsableM)
		return s, nil
	}
	if s.DrumMM == 0 {
		s.DrumMM, s.Assumed = t.Rope["drum_mm"].Central, true
	}
	if s.WidthMM == 0 {
		s.WidthMM, s.Assumed = t.Rope["drum_width_mm"].Central, true
	}
	if s.Wraps == 0 {
		s.Wraps = int(t.Rope["wraps_"+string(w.Rope.Material)].Central)
	}
	d := w.Rope.DiameterMM
	perLayer := float64(WrapsPerLayer(s.WidthMM, d))
	if perLayer < 1 {
		return Spool{}, refuse("drum width", fmt.Sprintf("%g mm does not take one wrap of %g mm rope", s.WidthMM, d), "")
	}
	layerLen := func(n int) float64 { return perLayer * math.Pi * (s.DrumMM + float64(2*n-1)*d) / 1000 }
	s.UsableM = w.Rope.LengthM
	for left, n := s.Wraps, 1; left > 0; n++ { // the wraps that stay lie on the first layers
		k := min(left, int(perLayer))
		s.UsableM -= float64(k) * math.Pi * (s.DrumMM + float64(2*n-1)*d) / 1000
		left -= k
	}
	s.UsableM = max(0, s.UsableM)
	s.PaidOutM = min(paidOutM, s.UsableM)
	at := func(left float64) int {
		n := 1
		for left > layerLen(n)+1e-9 && n < 100 {
			left -= layerLen(n)
			n++
		}
		return n
	}
	s.Layer, s.Layers = at(w.Rope.LengthM-s.PaidOutM), at(w.Rope.LengthM)
	s.PullKN = LayerPull(w.RatedKN, s.DrumMM, d, s.Layer)
	s.TopPullKN = LayerPull(w.RatedKN, s.DrumMM, d, s.Layers)
	return s, nil
}

// WinchFitKN is the rated pull that common practice asks of a winch for a vehicle of massKg loaded: 1.5
// times its weight.
func (t *Tables) WinchFitKN(massKg float64) float64 {
	return t.Winch["rated_share"].Central * KN(massKg)
}

// Duty is what a pull asks of an electric winch and its battery.
type Duty struct {
	Amps     float64 `json:"amps"`
	SpellS   float64 `json:"spell_s"`   // seconds of pulling before a rest
	BatteryS float64 `json:"battery_s"` // seconds until half of the battery is used with the engine off; 0 = battery not said
	Text     string  `json:"text"`
}

// Duty estimates the current at a line pull of kN as its share of the current at rated pull (a
// series-wound motor's current rises a little less than in proportion, so this errs high above idle),
// and the length of a spell: the full-load spell divided by the load share, at most ten minutes.
func (t *Tables) Duty(w Winch, lineKN float64) Duty {
	if w.Manual || !(w.RatedKN > 0) || !(lineKN >= 0) {
		return Duty{Text: "Hand winch: no current; change the person at the lever often."}
	}
	full := w.AmpsRated
	if full == 0 {
		full = t.Winch["amps_per_kn"].Central * w.RatedKN
	}
	share := math.Max(lineKN/w.RatedKN, 0.1)
	d := Duty{Amps: full * share, SpellS: math.Min(600, t.Winch["full_load_s"].Central/share)}
	d.Text = fmt.Sprintf("About %.0f A at this pull: spells of at most %.0f s with rests, engine running.", d.Amps, d.SpellS)
	if w.BatteryAh > 0 {
		d.BatteryS = 0.5 * w.BatteryAh * 3600 / d.Amps
		d.Text += fmt.Sprintf(" With the engine off half of the battery is gone in %.0f s.", d.BatteryS)
	}
	return d
}
