package catalogue

import (
	"strings"

	"lastroad/geo"
)

// Trials calls yield with every number of the tables of this package that has a band, and a function that
// gives the catalogue with that number at another value, all else as it is: what one assumption does to an
// answer. A share of a hazard is moved against the others of the same hazard and ground, which are scaled so
// that they still add up to 1. The catalogue that try gives is good until yield returns; c is not changed.
// Yield returns false to stop.
func (c *Catalogue) Trials(yield func(e Entry, try func(v float64) *Catalogue) bool) {
	n := c.clone()
	give := func() *Catalogue { m := *n; return &m }
	point := func(f geo.Figure, v float64) geo.Figure {
		f.Low, f.Central, f.High = v, v, v
		return f
	}
	going := true
	n.numbers(func(e Entry, set func(geo.Figure)) {
		if !going || e.Figure.Low == e.Figure.High || strings.HasPrefix(e.Key, "share/") {
			return
		}
		was := e.Figure
		going = yield(e, func(v float64) *Catalogue { set(point(was, v)); return give() })
		set(was)
	})
	for i := range n.Events {
		for g := geo.Sealed; going && g < geo.NumGrounds; g++ {
			was := n.Events[i].Share[g]
			if was.Low == was.High || was.Central >= 1 {
				continue
			}
			ev := &n.Events[i]
			e := Entry{Key: "share/" + ev.Key + "/" + g.Key(), Title: ev.Title + ": share of " + n.Hazards[ev.Hazard].Title + " on " + g.String(), File: "hazards.toml", Figure: was}
			going = yield(e, func(v float64) *Catalogue {
				n.share(c, i, g, v)
				return give()
			})
			n.share(c, i, g, was.Central)
			n.Events[i].Share[g] = was
		}
	}
}

// share puts the share of event i on ground g at v and scales those of the other events of its hazard, from
// what they are in from.
func (c *Catalogue) share(from *Catalogue, i int, g geo.Ground, v float64) {
	rest := 1 - from.Events[i].Share[g].Central
	for k := range c.Events {
		if c.Events[k].Hazard != c.Events[i].Hazard {
			continue
		}
		f := from.Events[k].Share[g]
		switch {
		case k == i:
			f.Low, f.Central, f.High = v, v, v
		case v != from.Events[i].Share[g].Central:
			f.Central *= (1 - v) / rest
			f.Low, f.High = f.Central, f.Central
		}
		c.Events[k].Share[g] = f
	}
}
