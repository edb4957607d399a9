package survey

import (
	"context"
	"math"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/ground"
	"lastroad/geo/network"
	"lastroad/geo/osm"
)

// roads finds the nearest maintained road of every sample.
func (w *work) roads(ctx context.Context) error {
	if w.region == nil {
		return nil
	}
	var t things
	for i := range w.region.Ways {
		if !w.kept[i] {
			continue
		}
		line := w.region.Ways[i].Line
		for k := 0; k+1 < len(line); k++ {
			t.add(line[k], line[k+1], int32(i))
		}
	}
	if err := nearest(ctx, w.s.Samples, w.chunks, &t, w.reachM, func(i int, _ int32, m float64, at orb.Point) {
		s := &w.s.Samples[i]
		s.RoadM, s.RoadAt = m, at
	}); err != nil {
		return err
	}
	none := false
	for i := range w.s.Samples {
		s := &w.s.Samples[i]
		switch {
		case s.Kept:
			s.RoadM, s.RoadAtMost = 0, false
			r := &w.region.Ways[w.found[i].Way]
			a, b := r.Line[w.found[i].Seg], r.Line[w.found[i].Seg+1]
			s.RoadAt = orb.Point{geo.WrapLon(a[0] + w.found[i].T*geo.LonDiff(a[0], b[0])), a[1] + w.found[i].T*(b[1]-a[1])}
		case !s.InRegion:
			// Nothing is known of the roads here; a distance to the edge of the data would mislead.
			s.RoadM, s.RoadAt = math.NaN(), orb.Point{math.NaN(), math.NaN()}
		case math.IsNaN(s.RoadM):
			none = true
		default:
			s.RoadAtMost = s.RoadM > w.edge[i]
		}
	}
	if none {
		w.note("On some of the route there is no maintained road within %.0f km, as far as the data reach; the distance to one is unknown there.", w.reachM/1000)
	}
	w.noteStretches(func(s *geo.Sample) bool { return s.RoadAtMost }, "near the edge of the region data, where a road beyond it may be nearer than the one shown")
	return nil
}

// paceOf is the pace on a way in m/s on gentle ground, by its tags and mixture.
func (w *work) paceOf(t osm.Tags, mix geo.GroundMix) float64 {
	return w.tables.Ways.Pace(t, mix).Central / 3.6 * w.opts.Pace
}

// drive sets the driving time along the route and the ways out by driving.
func (w *work) drive(ctx context.Context) error {
	sec := w.times()
	if w.region == nil {
		return nil
	}
	g := network.Build(w.region.Ways, w.use())
	w.off = w.waysOff(g)
	w.leave(sec)
	if err := w.exits(ctx, g); err != nil {
		return err
	}
	w.keepPlaces()
	return nil
}

// times sets the driving time along the route, and gives the seconds from each sample to the next.
func (w *work) times() []float64 {
	sec := make([]float64, len(w.s.Samples))
	total := 0.0
	for i := range w.s.Samples {
		s := &w.s.Samples[i]
		s.DriveS = total
		if i+1 == len(sec) {
			break
		}
		m := w.s.Samples[i+1].DistanceM - s.DistanceM
		sec[i] = m / w.sampleSpeed(i)
		total += sec[i]
	}
	return sec
}

var never = network.Reach{Seconds: math.Inf(1), Metres: math.Inf(1)}

// waysOff finds the quickest way from every sample to a maintained road by what the network holds.
func (w *work) waysOff(g *network.Graph) []network.Reach {
	field := g.Kept(network.ToSeed, false)
	off := make([]network.Reach, len(w.s.Samples))
	for i := range off {
		off[i] = never
		if w.s.Samples[i].Kept {
			off[i] = network.Reach{}
		} else if f := w.found[i]; f.Way >= 0 {
			if r, ok := field.At(network.Position{Way: f.Way, Seg: f.Seg, T: f.T}); ok {
				off[i] = r
			}
		}
	}
	return off
}

// leave sets the ways out by driving: along the route, and from there by the quickest way.
func (w *work) leave(sec []float64) {
	n, off := len(w.s.Samples), w.off
	// run goes along the route from one of its ends and hands every sample the journey to that side; leave
	// says where the route may be left.
	run := func(i, step int, leave func(i int) network.Reach, put func(i int, r network.Reach)) {
		best := never
		for ; i >= 0 && i < n; i += step {
			if prev := i - step; prev >= 0 && prev < n {
				k := min(i, prev)
				best.Seconds += sec[k]
				best.Metres += w.s.Samples[k+1].DistanceM - w.s.Samples[k].DistanceM
			}
			if r := leave(i); r.Seconds < best.Seconds {
				best = r
			}
			put(i, best)
		}
	}
	stay := func(i int) network.Reach {
		if i == 0 || i == n-1 || w.s.Samples[i].Kept {
			return off[i]
		}
		return never
	}
	run(n-1, -1, stay, func(i int, r network.Reach) { w.s.Samples[i].AheadM, w.s.Samples[i].AheadMin = r.Metres, r.Seconds/60 })
	run(0, 1, stay, func(i int, r network.Reach) { w.s.Samples[i].BackM, w.s.Samples[i].BackMin = r.Metres, r.Seconds/60 })
	any := func(i int) network.Reach { return off[i] }
	out := make([]network.Reach, n)
	run(n-1, -1, any, func(i int, r network.Reach) { out[i] = r })
	run(0, 1, any, func(i int, r network.Reach) {
		if r.Seconds < out[i].Seconds {
			out[i] = r
		}
		w.s.Samples[i].DriveM, w.s.Samples[i].DriveMin = out[i].Metres, out[i].Seconds/60
	})
}

// sampleSpeed is the pace in m/s from sample i to the next: by way, ground and grade.
func (w *work) sampleSpeed(i int) float64 {
	s := &w.s.Samples[i]
	var tags osm.Tags
	if f := w.found[i]; f.Way >= 0 {
		tags = w.region.Ways[f.Way].Tags
	}
	return w.paceOf(tags, w.s.Grounds[s.Ground]) * w.tables.Pace.Factor(s.Grade)
}

// use tells the network how ways are driven.
func (w *work) use() func(r *osm.Way) network.Use {
	i := -1
	rules := w.tables.Ground
	return func(r *osm.Way) network.Use {
		i++
		if !w.tables.Ways.Drivable(r.Tags) {
			return network.Use{}
		}
		v := w.paceOf(r.Tags, rules.Classify(r.Tags))
		u := network.Use{Forward: v, Back: v, Kept: w.kept[i], Barred: barred(w.tables.Ways, r.Tags)}
		switch r.Tags.OneWay() {
		case 1:
			u.Back = 0
		case -1:
			u.Forward = 0
		}
		return u
	}
}

func barred(ways *ground.Ways, t osm.Tags) bool {
	switch ways.Legality(t) {
	case osm.Private, osm.Forbidden, osm.Trades:
		return true
	}
	return false
}
