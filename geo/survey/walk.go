package survey

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/osm"
	"lastroad/geo/walk"
)

const (
	// walkCellM is the cell of the walking surface: a little finer than the 3 arc-second height grids that
	// are usual, so that ways and rivers keep their shape.
	walkCellM = 60.0
	// walkCells bounds the cells of one stretch of chunkM; beyond it cells grow. 400 000 cells cost some
	// 0.1 s and hold a road 30 km away at 110 m a cell.
	walkCells = 400_000
	// walkSpare is how far beyond the straight distance to the nearest road the surface reaches: the road
	// soonest reached on foot may be another one, behind a ridge or down a valley. Judgement.
	walkSpare  = 1.4
	walkSpareM = 1000.0
)

// walk sets the minutes on foot to a maintained road.
func (w *work) walk(ctx context.Context) error {
	if w.region == nil {
		return nil
	}
	for i := range w.s.Samples {
		s := &w.s.Samples[i]
		switch {
		case s.Kept:
			s.WalkMin = 0
		case !math.IsNaN(s.RoadM):
			s.WalkMin, s.WalkEst = walk.Straight(s.RoadM), true
		}
	}
	if w.heights != nil {
		if err := each(ctx, len(w.chunks), func(k int) error { return w.walkChunk(ctx, &w.chunks[k]) }); err != nil {
			return err
		}
	}
	w.noteStraightWalks()
	return nil
}

// noteStraightWalks says over how much of the route the walk out is reckoned along a straight line, which knows no barriers.
func (w *work) noteStraightWalks() {
	m := 0.0
	for i := 0; i+1 < len(w.s.Samples); i++ {
		if s := &w.s.Samples[i]; s.WalkEst && s.RoadM > 0 && s.WalkMin == walk.Straight(s.RoadM) {
			m += w.s.Samples[i+1].DistanceM - s.DistanceM
		}
	}
	if m > 0 {
		w.note("Over %.1f km the walk out is reckoned along a straight line, since no heights are at hand: lakes, rivers and cliffs that bar the way are not counted, and it may take much longer.", m/1000)
	}
}

func (w *work) walkChunk(ctx context.Context, c *chunk) error {
	far := -1.0
	for i := c.from; i < c.to; i++ {
		if s := &w.s.Samples[i]; s.RoadM > far {
			far = s.RoadM
		}
	}
	if far <= 0 {
		return nil
	}
	box := w.walkBox(c, far*walkSpare+walkSpareM)
	grid, err := walk.NewGrid(box, walkCellM, walkCells, w.heights)
	if err != nil || grid.KnownShare == 0 {
		return nil // the straight estimate stands
	}
	land := walk.NewLand(grid)
	w.cover(land, box)
	for i := range w.region.Waterways {
		if l := &w.region.Waterways[i]; (l.Kind == osm.River || l.Kind == osm.Canal) && !l.Intermittent && meets(box, l.Line.Bound()) {
			land.Barrier(l.Line)
		}
	}
	for i := range w.region.Cliffs {
		if l := &w.region.Cliffs[i]; l.Kind == osm.Cliff && meets(box, l.Line.Bound()) {
			land.Barrier(l.Line)
		}
	}
	for i := range w.region.Ways {
		r := &w.region.Ways[i]
		if !meets(box, r.Line.Bound()) {
			continue
		}
		if w.kept[i] {
			land.Road(r.Line)
		} else if part, ok := w.tables.Ways.FootOnWay(r.Tags); ok {
			land.WayAt(r.Line, part.Central)
		}
	}
	var asked []orb.Point
	for i := c.from; i < c.to; i++ {
		if s := &w.s.Samples[i]; !s.Kept && !math.IsNaN(s.RoadM) {
			asked = append(asked, orb.Point{s.Lon, s.Lat})
		}
	}
	if len(asked) == 0 {
		return nil
	}
	out, err := walk.Surface(ctx, land, walk.Options{OffPath: w.tables.Ways.FootOffWay(osm.AreaNone).Central, Places: asked})
	if errors.Is(err, walk.ErrNoRoad) {
		return nil
	}
	if err != nil {
		return err
	}
	for i := c.from; i < c.to; i++ {
		s := &w.s.Samples[i]
		if s.Kept || math.IsNaN(s.RoadM) {
			continue
		}
		if m := out.Minutes(s.Lon, s.Lat); !math.IsNaN(m) {
			s.WalkMin, s.WalkEst = m, out.Estimate(s.Lon, s.Lat)
		}
	}
	return nil
}

// cover lays the areas on the land: water and glaciers are barriers, since nobody should be sent over them on foot
// (a way across them stays open), other ground is walked at its own pace, the smallest area counting.
func (w *work) cover(land *walk.Land, box orb.Bound) {
	type patch struct {
		area int32
		size float64
	}
	var rough []patch
	open := w.tables.Ways.FootOffWay(osm.AreaNone).Central
	for i := range w.region.Areas {
		a := &w.region.Areas[i]
		if !meets(box, a.Bound) {
			continue
		}
		if a.Kind == osm.Water || a.Kind == osm.Glacier && a.Tags.Has("natural", "glacier") {
			for _, p := range a.Polygons {
				land.Area(p)
			}
			continue
		}
		size := (a.Bound.Max[0] - a.Bound.Min[0]) * (a.Bound.Max[1] - a.Bound.Min[1])
		rough = append(rough, patch{int32(i), size})
	}
	slices.SortStableFunc(rough, func(a, b patch) int { return cmp.Compare(b.size, a.size) })
	painted := false
	for _, r := range rough {
		a := &w.region.Areas[r.area]
		part := w.tables.Ways.FootOffWay(a.Kind).Central
		if part == open && !painted {
			continue // nothing below it to be put right
		}
		painted = true
		for _, p := range a.Polygons {
			land.Ground(p, part)
		}
	}
}

// walkBox is the box of a chunk with a margin, in degrees; its east side may exceed 180.
func (w *work) walkBox(c *chunk, margin float64) orb.Bound {
	a := c.plane.FromXY(c.box[0]-margin, c.box[1]-margin)
	b := c.plane.FromXY(c.box[2]+margin, c.box[3]+margin)
	if b[0] < a[0] {
		b[0] += 360
	}
	return orb.Bound{Min: orb.Point{a[0], math.Max(a[1], -geo.MaxLat)}, Max: orb.Point{b[0], math.Min(b[1], geo.MaxLat)}}
}

// meets reports whether two boxes meet; the first may reach over the antimeridian.
func meets(box, b orb.Bound) bool {
	if box.Intersects(b) {
		return true
	}
	if box.Max[0] > 180 {
		b.Min[0] += 360
		b.Max[0] += 360
		return box.Intersects(b)
	}
	return false
}
