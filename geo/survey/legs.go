package survey

import (
	"context"
	"math"
	"sort"

	"lastroad/geo"
	"lastroad/geo/split"
)

// farStopM is how far from the route a stop given by its place may lie before that is said, metres.
const farStopM = 2000.0

// cut places stops and marks, rounds the samples to the units in which they are kept, and cuts the legs.
func (w *work) cut(ctx context.Context) error {
	w.placeStops()
	w.marks()
	round(w.s.Samples)
	var musts []split.Must
	for _, st := range w.stops {
		musts = append(musts, split.Must{At: st.sample, Why: stopWords(st.Stop)})
	}
	legs, notes, err := split.Legs(ctx, w.s, musts, w.opts.Legs, w.opts.Cut)
	if err != nil {
		return err
	}
	w.s.Legs = legs
	w.s.Notes = append(w.s.Notes, notes...)
	return nil
}

func stopWords(s Stop) string {
	kind := "your stop"
	if s.Night {
		kind = "your night"
	}
	if s.Name == "" {
		return kind
	}
	return kind + ": " + s.Name
}

// placeStops finds the sample of every stop.
func (w *work) placeStops() {
	for _, st := range w.opts.Stops {
		m := st.AtM
		if st.Place != nil {
			p := []geo.Place{{At: *st.Place}}
			if err := w.along(context.Background(), p); err != nil || math.IsNaN(p[0].RouteM) {
				w.note("The stop %q was left out: it lies too far from the route.", st.Name)
				continue
			}
			m = p[0].RouteM
			if p[0].OffM > farStopM {
				w.note("The stop %q lies %.1f km beside the route; it is taken at km %.1f.", st.Name, p[0].OffM/1000, m/1000)
			}
		}
		if !(m >= 0 && m <= w.s.LengthM()+w.opts.StepM) {
			w.note("The stop %q at km %.1f was left out: the route has only %.1f km.", st.Name, m/1000, w.s.LengthM()/1000)
			continue
		}
		n := len(w.s.Samples)
		k := sort.Search(n, func(i int) bool { return w.s.Samples[i].DistanceM >= m })
		if k == n || k > 0 && m-w.s.Samples[k-1].DistanceM <= w.s.Samples[k].DistanceM-m {
			k--
		}
		w.stops = append(w.stops, placedStop{st, k, math.Min(m, w.s.LengthM())})
	}
	sort.SliceStable(w.stops, func(i, j int) bool { return w.stops[i].m < w.stops[j].m })
}
