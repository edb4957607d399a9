package survey

import (
	"context"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/match"
	"lastroad/geo/osm"
)

// Doubts for package match: how unlikely a planned drive follows such a way. Judgements: on open map data a
// route over a path is rare but happens (an old track mapped as a path), over steps or a pavement it is an error.
const (
	pathDoubt   = 1.0
	footDoubt   = 2.0
	barredDoubt = 0.3
)

// match finds the way under each sample.
func (w *work) match(ctx context.Context) error {
	w.found = make([]match.Found, len(w.s.Samples))
	for i := range w.found {
		w.found[i] = match.Found{Way: -1, OffM: math.NaN()}
	}
	if w.region == nil || len(w.region.Ways) == 0 {
		return nil
	}
	ways := make([]match.Way, len(w.region.Ways))
	w.kept = make([]bool, len(ways))
	for i := range ways {
		r := &w.region.Ways[i]
		w.kept[i] = w.tables.Ways.Kept(r.Tags)
		ways[i] = match.Way{Line: r.Line, Nodes: r.Nodes, OneWay: int8(r.Tags.OneWay()), Doubt: w.doubt(r)}
	}
	cum := geo.Cumulative(nil, w.s.Route.Line)
	points := make([]match.Point, len(w.stations))
	for i, st := range w.stations {
		points[i] = match.Point{At: st.At(), AlongM: st.DistanceM}
		if k := int(st.Seg); k+1 < len(cum) {
			points[i].GapM = math.Min(float64(st.T), 1-float64(st.T)) * (cum[k+1] - cum[k])
		}
	}
	g := match.NewGraph(ways, points)
	var err error
	if w.found, err = match.Match(ctx, g, points, match.Options{Line: w.s.Route.Line}, w.step); err != nil {
		return err
	}
	index := map[int32]int32{}
	for i, f := range w.found {
		s := &w.s.Samples[i]
		if f.Way < 0 {
			continue
		}
		k, ok := index[f.Way]
		if !ok {
			k = int32(len(w.s.Ways))
			index[f.Way] = k
			info := w.region.Ways[f.Way].Info()
			info.Kept = w.kept[f.Way]
			w.s.Ways = append(w.s.Ways, info)
		}
		s.Way, s.Kept = k, w.kept[f.Way]
		s.InRegion = true
	}
	return nil
}

func (w *work) doubt(r *osm.Way) float64 {
	d := 0.0
	switch r.Highway() {
	case "path", "bridleway":
		d = pathDoubt
	case "footway", "steps", "cycleway", "pedestrian", "corridor", "elevator", "via_ferrata", "platform", "proposed", "construction":
		d = footDoubt
	}
	if a := w.tables.Ways.Legality(r.Tags); d == 0 && (a == osm.Private || a == osm.Forbidden) {
		d = barredDoubt
	}
	return d
}

// ground names the ground of every sample: by the user's word, the way's tags, the area, or not at all.
func (w *work) ground(context.Context) error {
	if w.region != nil { // now that ways which leave it are known to be followed
		w.noteStretches(func(s *geo.Sample) bool { return !s.InRegion }, "outside the region file: ways, ground, roads and help are unknown there")
	}
	w.beds()
	w.dry()
	w.regionMarks()
	for _, m := range w.water() {
		if !w.chosen(m.DistanceM) { // the user knows better what is there
			w.s.Marks = append(w.s.Marks, m)
		}
	}
	w.crossed()
	for _, c := range w.opts.Grounds {
		if !slices.ContainsFunc(w.s.Samples, func(s geo.Sample) bool { return w.covers(c, s.DistanceM) }) && c.Ground != geo.Unknown && c.Ground < geo.NumGrounds {
			w.note("The ground that you set for km %.1f to %.1f lies outside the route.", c.FromM/1000, c.ToM/1000)
		}
	}
	return nil
}

// covers reports whether the ground that the user has named holds for a sample.
func (w *work) covers(c GroundChoice, atM float64) bool {
	return atM >= c.FromM-w.opts.StepM/2 && atM < c.ToM-w.opts.StepM/2
}

// bed is what the ground of a sample is named by.
type bed struct {
	way   int32  // index into region.Ways, offWay or outside
	areas string // kinds of areas under it, the smallest first, a byte each
}

const (
	offWay  = -1
	outside = -2 // the ground data
)

// beds finds out what lies under the samples.
func (w *work) beds() {
	under := func(orb.Point) []osm.AreaKind { return nil }
	if w.region != nil {
		under = w.areas()
	}
	w.bed = make([]bed, len(w.s.Samples))
	for i := range w.s.Samples {
		s := &w.s.Samples[i]
		if !s.InRegion {
			w.bed[i].way = outside
			continue
		}
		w.bed[i] = bed{w.found[i].Way, string(areaBytes(under(orb.Point{s.Lon, s.Lat})))}
	}
}

// add numbers mixtures as they come; equal ones have one number.
func (w *work) add(m geo.GroundMix) uint16 {
	k, ok := w.same[m]
	if !ok {
		k = uint16(len(w.s.Grounds))
		w.same[m] = k
		w.s.Grounds = append(w.s.Grounds, m)
	}
	return k
}

// dry names the ground of what lies under the samples by the tables.
func (w *work) dry() {
	w.same = map[geo.GroundMix]uint16{}
	seen := map[bed]uint16{}
	rules := w.tables.Ground
	if w.region != nil {
		rules = rules.WithRegion(w.region.Ways, w.lengthOf)
	}
	for i, b := range w.bed {
		g, ok := seen[b]
		if !ok {
			areas := areaKinds(b.areas)
			switch b.way {
			case outside:
				m := rules.OffWay()
				m.Known, m.Reason = false, "outside the ground data"
				g = w.add(m)
			case offWay:
				g = w.add(rules.OffWay(areas...))
			default:
				g = w.add(rules.Classify(w.region.Ways[b.way].Tags, areas...))
			}
			seen[b] = g
		}
		w.s.Samples[i].Ground = g
	}
}

// crossed adds to the ground what crossings and the user say of it.
func (w *work) crossed() {
	for _, m := range w.s.Marks {
		if m.Kind == geo.MarkFord || m.Kind == geo.MarkWater {
			s := &w.s.Samples[w.sampleAt(m.DistanceM)]
			s.Ground = w.add(wet(w.s.Grounds[s.Ground], m))
		}
	}
	for _, c := range w.opts.Grounds {
		if c.Ground == geo.Unknown || c.Ground >= geo.NumGrounds {
			continue
		}
		for i := range w.s.Samples {
			if w.covers(c, w.s.Samples[i].DistanceM) {
				w.s.Samples[i].Ground = w.add(geo.Pure(c.Ground, "as you set it"))
			}
		}
	}
}

// chosen reports whether the user has named the ground at a distance along the route.
func (w *work) chosen(m float64) bool {
	for _, c := range w.opts.Grounds {
		if c.Ground != geo.Unknown && c.Ground < geo.NumGrounds && m >= c.FromM && m < c.ToM {
			return true
		}
	}
	return false
}

func areaKinds(bytes string) []osm.AreaKind {
	out := make([]osm.AreaKind, len(bytes))
	for i := range out {
		out[i] = osm.AreaKind(bytes[i])
	}
	return out
}

func areaBytes(kinds []osm.AreaKind) []byte {
	out := make([]byte, len(kinds))
	for i, k := range kinds {
		out[i] = byte(k)
	}
	return out
}

// areas gives a function that tells the kinds of areas under a place, the smallest first. Only areas near
// the route are looked at.
func (w *work) areas() func(orb.Point) []osm.AreaKind {
	var boxes []orb.Bound
	for i := range w.chunks {
		boxes = append(boxes, w.walkBox(&w.chunks[i], 100))
	}
	var near []osm.Area
	for i := range w.region.Areas {
		a := &w.region.Areas[i]
		for _, b := range boxes {
			if meets(b, a.Bound) {
				near = append(near, *a)
				break
			}
		}
	}
	x := osm.NewAreaIndex(near)
	var kinds []osm.AreaKind
	return func(p orb.Point) []osm.AreaKind {
		kinds = x.Kinds(kinds[:0], p)
		return kinds
	}
}
