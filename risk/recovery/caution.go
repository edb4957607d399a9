package recovery

import (
	"fmt"
	"slices"

	"lastroad/geo/table"
)

// A Caution is a warning that stands beside every output it concerns.
type Caution struct {
	ID     string   `toml:"id" json:"id"`
	On     []string `toml:"on" json:"-"` // matters it belongs to
	Text   string   `toml:"text" json:"text"`
	Source string   `toml:"source" json:"source"`
}

// matters are the things a caution can belong to.
var matters = []string{"line", "winch", "kinetic", "anchor", "anchor_vehicle", "tree", "rock", "buried", "slope", "on_side",
	"in_water", "water", "stability", "tyres", "puncture", "jack", "dig", "boards", "tow"}

// Cautions lists those that belong to any of the given matters, in the order of the table. Matters
// that the table does not know are wrong use by the program and panic.
func (t *Tables) Cautions(on ...string) []Caution {
	for _, m := range on {
		if !slices.Contains(matters, m) {
			panic("recovery: no caution is about " + m)
		}
	}
	var out []Caution
	for _, c := range t.Caution {
		if slices.ContainsFunc(c.On, func(m string) bool { return slices.Contains(on, m) }) {
			out = append(out, c)
		}
	}
	return out
}

// ClearDistanceM is how far from the line everyone who is not needed stays: the largest of 1.5 times
// the unstretched strap, twice the paid-out winch rope, and 12 m. Sources differ (see the table).
func (t *Tables) ClearDistanceM(strapM, paidOutM float64) float64 {
	return max(t.Clear["strap"].Central*strapM, t.Clear["wire"].Central*paidOutM, t.Clear["least_m"].Central)
}

// clearCaution puts the distance into words.
func (t *Tables) clearCaution(m float64) Caution {
	return Caution{ID: "clear_distance", Text: fmt.Sprintf("Keep everyone who is not needed at least %.0f m away, to the side.", roundUp(m)), Source: t.Clear["wire"].Source + "; " + t.Clear["strap"].Source}
}

func checkCautions(doc *table.Document, list []Caution) error {
	seen := map[string]bool{}
	about := map[string]bool{}
	for i, c := range list {
		at := fmt.Sprintf("caution.%d", i+1)
		switch {
		case c.ID == "" || c.Text == "":
			return doc.Fault(at, "needs an id and a text")
		case seen[c.ID]:
			return doc.Fault(at+".id", "the id "+c.ID+" is used twice")
		case len(c.On) == 0:
			return doc.Fault(at, "belongs to no matter")
		}
		seen[c.ID] = true
		for _, m := range c.On {
			if !slices.Contains(matters, m) {
				return doc.Fault(at+".on", "the matter "+m+" is not known")
			}
			about[m] = true
		}
	}
	for _, m := range matters {
		if !about[m] {
			return doc.Fault("caution", "no caution is about "+m)
		}
	}
	return nil
}
