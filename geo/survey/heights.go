package survey

import (
	"context"
	"math"

	"lastroad/geo"
	"lastroad/geo/height"
)

const (
	// A road in a tunnel or on a bridge leaves the ground that a height grid knows, so its height is drawn
	// straight from end to end. Such ends are read from the grid to some 5 m, standard deviation, by
	// judgement: the grid's noise, and the portal in a slope that it rounds off.
	spanEndSD = 5.0
	// spanSD is how much the grade within may differ from the straight one: tunnels and bridges are built
	// nearly evenly. Judgement.
	spanSD = 0.01
	// spanSide is the half-width of the band of their side slope, which is taken as level: a cross fall.
	spanSide = 0.05
	// spanLeastM is the least length of a way that is treated so, metres: a shorter bridge is within a cell of
	// the common 3 arc-second grid.
	spanLeastM = 90.0
)

// height puts heights, grade and side slope on the samples. Each stretch between tunnels and bridges is
// measured by itself, so that what the grid says of the mountain over a tunnel does not spoil its ends.
func (w *work) height(context.Context) error {
	own := geo.ResampleHeights(w.s.Route, w.stations)
	var grid, fromFile float64
	notes := map[string]bool{}
	measure := func(from, to int) { // to excluded
		o := height.Options{}
		if own != nil {
			o.Own = own[from:to]
		}
		m := height.Profile(w.s.Samples[from:to], w.heights, o)
		grid += m.GridM
		fromFile += m.OwnM
		for _, n := range m.Notes {
			if !notes[n] {
				notes[n] = true
				w.s.Notes = append(w.s.Notes, n)
			}
		}
	}
	n := len(w.s.Samples)
	from := 0
	type span struct{ from, to int } // first sample on the span, first one behind it
	var spans []span
	for i := 0; i < n; {
		if !w.isSpan(i) {
			i++
			continue
		}
		j := i
		for j < n && w.isSpan(j) {
			j++
		}
		if i > from {
			measure(from, i)
		}
		spans = append(spans, span{i, j})
		i, from = j, j
	}
	if from < n {
		measure(from, n)
	}
	for _, s := range spans {
		w.bridge(s.from, s.to)
	}
	if w.heights != nil && grid > 0 {
		var names []string
		for _, t := range w.heights.Tiles() {
			names = append(names, t.Name)
		}
		w.s.Sources = append(w.s.Sources, "heights: "+join(names))
	}
	if fromFile > 0 {
		w.s.Sources = append(w.s.Sources, "heights: the route's own file")
	}
	return nil
}

// isSpan reports whether sample i lies in a tunnel or on a bridge. Galleries and passages through buildings
// are on the ground.
func (w *work) isSpan(i int) bool {
	f := w.found[i].Way
	if f < 0 {
		return false
	}
	t := w.region.Ways[f].Tags
	switch t.Get("tunnel") {
	case "", "no":
		return t.Yes("bridge") && geo.Length(w.region.Ways[f].Line) >= spanLeastM
	case "avalanche_protector", "building_passage", "culvert":
		return false
	}
	return geo.Length(w.region.Ways[f].Line) >= spanLeastM
}

// bridge draws heights straight over samples from..to-1, between the samples before and behind them.
func (w *work) bridge(from, to int) {
	nan := math.NaN()
	a, b := geo.Sample{HeightM: nan}, geo.Sample{HeightM: nan}
	if from > 0 {
		a = w.s.Samples[from-1]
	}
	if to < len(w.s.Samples) {
		b = w.s.Samples[to]
	}
	rise, run := b.HeightM-a.HeightM, b.DistanceM-a.DistanceM
	for i := from; i < to; i++ {
		s := &w.s.Samples[i]
		s.HeightM = a.HeightM + rise*(s.DistanceM-a.DistanceM)/run
		s.Grade = rise / run
		s.GradeBand = 1.96 * math.Hypot(math.Sqrt2*spanEndSD/run, spanSD)
		s.Side, s.SideBand = 0, spanSide
		if math.IsNaN(s.Grade) { // an end is not known: the route begins or ends here, or without heights
			s.HeightM, s.GradeBand, s.Side, s.SideBand = nan, nan, nan, nan
		}
	}
}
