package survey

import (
	"context"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// maxPlaces bounds the places of one kind that a survey keeps besides those that are nearest to some
// sample: in a city there are hundreds of doctors, and nobody reads a list of them. Judgement.
const maxPlaces = 100

// farPlaceM bounds how far a place of a region may lie from the stretch of the route that is nearest to it,
// metres: far beyond every corridor, and within what a plane is good for.
const farPlaceM = 500_000.0

// help puts the nearest place of each kind on the samples; keepPlaces then chooses the places to keep.
func (w *work) help(ctx context.Context) error {
	if w.region == nil || len(w.region.Places) == 0 {
		return nil
	}
	places := slices.Clone(w.region.Places)
	if err := w.along(ctx, places); err != nil {
		return err
	}
	w.places, w.used = places, make([]bool, len(places))
	for kind := geo.HelpKind(0); kind < geo.NumHelp; kind++ {
		var t things
		for i := range places {
			if places[i].Kind == kind {
				t.add(places[i].At, places[i].At, int32(i))
			}
		}
		err := nearest(ctx, w.s.Samples, w.chunks, &t, w.reachM, func(i int, id int32, m float64, _ orb.Point) {
			w.s.Samples[i].HelpM[kind], w.s.Samples[i].HelpAt[kind] = m, id
		})
		if err != nil {
			return err
		}
	}
	for i := range w.s.Samples {
		for _, id := range w.s.Samples[i].HelpAt {
			if id >= 0 {
				w.used[id] = true
			}
		}
	}
	return nil
}

// keepPlaces keeps the places in reach, and makes the numbers of places in samples and exits those of the kept.
func (w *work) keepPlaces() {
	places, used := w.places, w.used
	order := make([]int32, len(places))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortStableFunc(order, func(a, b int32) int {
		p, q := &places[a], &places[b]
		switch {
		case p.Kind != q.Kind:
			return int(p.Kind) - int(q.Kind)
		case p.OffM < q.OffM:
			return -1
		case p.OffM > q.OffM:
			return 1
		}
		return int(a - b)
	})
	to := make([]int32, len(places))
	var count [geo.NumHelp]int
	for _, id := range order {
		p := places[id]
		if !used[id] && (math.IsNaN(p.OffM) || p.OffM > w.reachM || count[p.Kind] >= maxPlaces) {
			continue
		}
		count[p.Kind]++
		to[id] = int32(len(w.s.Help))
		w.s.Help = append(w.s.Help, p)
	}
	for i := range w.s.Samples {
		for k, id := range w.s.Samples[i].HelpAt {
			if id >= 0 {
				w.s.Samples[i].HelpAt[k] = to[id]
			}
		}
	}
	for i := range w.s.Exits {
		w.s.Exits[i].Place = to[w.s.Exits[i].Place]
	}
}

// along sets OffM and RouteM of places: the straight distance from the route, and where on it that is.
func (w *work) along(ctx context.Context, places []geo.Place) error {
	lines := w.routeTrees()
	return each(ctx, len(places), func(k int) error {
		p := &places[k]
		p.OffM, p.RouteM = math.NaN(), math.NaN()
		best := math.Inf(1)
		for c := range w.chunks {
			ch := &w.chunks[c]
			x, y := ch.plane.ToXY(p.At)
			dx := math.Max(0, math.Max(ch.box[0]-x, x-ch.box[2]))
			dy := math.Max(0, math.Max(ch.box[1]-y, y-ch.box[3]))
			low := math.Hypot(dx, dy)
			if low*0.99 > best || low > farPlaceM {
				continue
			}
			seg, _, _, _ := lines[c].Nearest(x, y, -1)
			if seg < 0 {
				continue
			}
			a, b := w.s.Samples[ch.from+seg], w.s.Samples[min(ch.from+seg+1, len(w.s.Samples)-1)]
			m, at := toSegment(p.At, orb.Point{a.Lon, a.Lat}, orb.Point{b.Lon, b.Lat})
			if m > planeM {
				m = geo.Distance(p.At, at)
			}
			if m < best {
				best = m
				p.OffM, p.RouteM = m, math.Min(b.DistanceM, a.DistanceM+geo.Distance(orb.Point{a.Lon, a.Lat}, at))
			}
		}
		return nil
	})
}
