package survey

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sort"

	"lastroad/geo"
	"lastroad/geo/network"
	"lastroad/geo/walk"
)

// besideM is how far beside a way, or beside the route, a place of help may lie and still be driven to: what is
// left is walked. Judgement: a pump, a village's middle or a spring is mapped within a few hundred metres of
// where one can park; a hut farther off is a walk, not a drive.
const besideM = 500.0

// exit is a place where the route may be left, its place an index into w.places.
type exit struct {
	sample int32
	place  int32
	m, sec float64
}

// exits finds where the route is left for each kind of help. For every kind the quickest way from each sample
// to a place is known from one search over the network; the route is left where that way goes neither on along
// the route nor back along it, and of those exits the ones are kept that are the best for somebody going on or
// for somebody turning back.
func (w *work) exits(ctx context.Context, g *network.Graph) error {
	var kinds [geo.NumHelp][]exit
	err := each(ctx, int(geo.NumHelp), func(k int) error {
		kinds[k] = w.exitsTo(g, geo.HelpKind(k))
		return nil
	})
	if err != nil {
		return err
	}
	for k, list := range kinds {
		for _, e := range list {
			w.used[e.place] = true
			w.s.Exits = append(w.s.Exits, geo.Exit{Kind: geo.HelpKind(k), Sample: int(e.sample), Place: e.place,
				OffM: toUnits(e.m, 10), OffMin: toUnits(e.sec/60, 1000)})
		}
	}
	return nil
}

func (w *work) exitsTo(g *network.Graph, kind geo.HelpKind) []exit {
	var seeds []network.Seed
	var list []exit
	for i := range w.places {
		p := &w.places[i]
		if p.Kind != kind {
			continue
		}
		if at, off, ok := g.SnapOpen(p.At, besideM); ok {
			seeds = append(seeds, network.Seed{At: at, Seconds: walk.Straight(off) * 60, Metres: off, Tag: int32(i)})
		}
		if p.OffM <= besideM {
			k := sort.Search(len(w.s.Samples), func(n int) bool { return w.s.Samples[n].DistanceM > p.RouteM })
			list = append(list, exit{int32(max(0, k-1)), int32(i), p.OffM, walk.Straight(p.OffM) * 60})
		}
	}
	if len(seeds) > 0 {
		list = w.leaving(list, g.Field(seeds, network.ToSeed, false))
	}
	slices.SortFunc(list, func(a, b exit) int {
		return cmp.Or(cmp.Compare(a.sample, b.sample), cmp.Compare(a.sec, b.sec), cmp.Compare(a.place, b.place))
	})
	return w.best(list)
}

// leaving appends the samples from which the quickest way to a place leaves the route.
func (w *work) leaving(list []exit, field *network.Field) []exit {
	n := len(w.s.Samples)
	reach := make([]network.Reach, n)
	for i := range reach {
		reach[i] = network.Reach{Seconds: math.Inf(1), Tag: -1}
		if f := w.found[i]; f.Way >= 0 {
			if r, ok := field.At(network.Position{Way: f.Way, Seg: f.Seg, T: f.T}); ok {
				reach[i] = r
			}
		}
	}
	// follows reports whether the way from i goes along the route to j, its neighbour: then the place is nearer
	// from there by about the step. Half of it tells the one from the other wherever the way branches off
	// between the two.
	follows := func(i, j int) bool {
		if j < 0 || j >= n || reach[j].Tag != reach[i].Tag {
			return false
		}
		step := math.Abs(w.s.Samples[j].DistanceM - w.s.Samples[i].DistanceM)
		return reach[i].Metres-reach[j].Metres > step/2
	}
	for i := range reach {
		if r := reach[i]; r.Tag >= 0 && !follows(i, i+1) && !follows(i, i-1) {
			list = append(list, exit{int32(i), r.Tag, r.Metres, r.Seconds})
		}
	}
	return list
}

// best keeps of exits in the order of samples those that no other one beats both for going on and for turning back.
func (w *work) best(list []exit) []exit {
	keep := make([]bool, len(list))
	least := math.Inf(1)
	for i := range slices.Backward(list) { // going on: the least of time to the exit and beyond
		if v := w.s.Samples[list[i].sample].DriveS + list[i].sec; v < least {
			least, keep[i] = v, true
		}
	}
	least = math.Inf(1)
	for i := range list {
		if v := list[i].sec - w.s.Samples[list[i].sample].DriveS; v < least {
			least, keep[i] = v, true
		}
	}
	out := list[:0]
	for i, k := range keep {
		if k && (len(out) == 0 || out[len(out)-1].sample != list[i].sample) {
			out = append(out, list[i])
		}
	}
	return out
}
