package survey

import (
	"context"
	"errors"
	"math"

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
	if w.heights == nil {
		return nil
	}
	return each(ctx, len(w.chunks), func(k int) error { return w.walkChunk(ctx, &w.chunks[k]) })
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
	for i := range w.region.Areas {
		if a := &w.region.Areas[i]; a.Kind == osm.Water && meets(box, a.Bound) {
			for _, p := range a.Polygons {
				land.Area(p)
			}
		}
	}
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
		} else if _, ok := w.tables.Ways.FootOnWay(r.Tags); ok {
			land.Way(r.Line)
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
	out, err := walk.Surface(ctx, land, walk.Options{Places: asked})
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
