package catalogue

import (
	"fmt"
	"maps"
	"math"
	"strings"

	"lastroad/geo"
)

// MaxMassKg is the greatest mass of one item that is believed.
const MaxMassKg = 500.0

// Extend returns a copy of c with a user's own items at its end. It refuses an item without key or name, a
// key that is taken, a place that is none, and numbers outside their range, and says the range. A rating of 0
// means that none can be read. c itself is not changed.
func (c *Catalogue) Extend(items []Item) (*Catalogue, error) {
	if len(items) == 0 {
		return c, nil
	}
	n := c.clone()
	n.item = maps.Clone(c.item)
	for _, it := range items {
		if err := it.check(); err != nil {
			return nil, err
		}
		if _, taken := n.item[it.Key]; taken {
			return nil, &geo.InputError{Where: it.Title, Reason: fmt.Sprintf("the key %q is taken by another item", it.Key), Remedy: "give it another name"}
		}
		if it.Unit == "" {
			it.Unit = "piece"
		}
		if it.Fits == "" {
			it.Fits = "any"
		}
		n.item[it.Key] = len(n.Items)
		n.Items = append(n.Items, it)
	}
	return n, nil
}

func (it *Item) check() error {
	refuse := func(format string, a ...any) error {
		return &geo.InputError{Where: it.Title, Reason: fmt.Sprintf(format, a...)}
	}
	within := func(v, low, high float64) bool { return v >= low && v <= high && !math.IsNaN(v) }
	switch {
	case strings.TrimSpace(it.Key) == "" || strings.TrimSpace(it.Title) == "":
		return &geo.InputError{Where: "own item", Reason: "it has no name", Remedy: "type what you call it"}
	case !places[it.Place]:
		return refuse("place %q is not one of floor, rear, roof, front, cab, ball", it.Place)
	case !within(it.MassKg, 0.001, MaxMassKg):
		return refuse("mass %g kg is outside 0.001 to %g", it.MassKg, MaxMassKg)
	case !within(it.VolumeL, 0, 2000):
		return refuse("volume %g L is outside 0 to 2000", it.VolumeL)
	case !within(it.RatingKN, 0, 1000):
		return refuse("rating %g kN is outside 0 to 1000", it.RatingKN)
	case !within(it.LengthM, 0, 500):
		return refuse("length %g m is outside 0 to 500", it.LengthM)
	}
	return nil
}
