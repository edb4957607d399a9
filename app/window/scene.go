package window

import (
	"path/filepath"

	"github.com/paulmach/orb"

	"lastroad/app/plot"
	"lastroad/app/trip"
	"lastroad/geo/osm"
)

// buildScene prepares what the map shows of a document.
func buildScene(d *trip.Document, kept func(*osm.Way) bool) (*plot.Scene, error) {
	g := plot.FromRegion(d.Region, kept)
	if d.Survey != nil {
		if d.Region == nil {
			g.Help = d.Survey.Help
		}
	}
	// Contours that cannot be drawn leave a map without them; nothing else depends on them.
	_ = plot.AddHeights(g, d.Heights, shadeBox(d))
	if d.Demo {
		g.Credit = append(g.Credit[:0:0], tr("Invented ground"))
	}
	return plot.NewScene(d.Survey, g), nil
}

// shadeBox is the box to shade: the route's with room to look around, within the heights that are known.
func shadeBox(d *trip.Document) orb.Bound {
	empty := orb.Bound{Min: orb.Point{1, 1}, Max: orb.Point{-1, -1}}
	if d.Heights == nil || len(d.Route.Line) == 0 {
		return empty
	}
	b := d.Route.Line.Bound()
	if d.Region != nil && !d.Region.Box.IsEmpty() {
		b = b.Union(d.Region.Box)
	}
	const marginDeg = 0.1
	b = b.Pad(marginDeg)
	tiles := empty
	for _, t := range d.Heights.Tiles() {
		tb := orb.Bound{Min: orb.Point{t.West, t.North - float64(t.Rows-1)*t.DLat}, Max: orb.Point{t.West + float64(t.Cols-1)*t.DLon, t.North}}
		if tiles.IsEmpty() {
			tiles = tb
		} else {
			tiles = tiles.Union(tb)
		}
	}
	if tiles.IsEmpty() {
		return empty
	}
	return orb.Bound{Min: orb.Point{max(b.Min[0], tiles.Min[0]), max(b.Min[1], tiles.Min[1])},
		Max: orb.Point{min(b.Max[0], tiles.Max[0]), min(b.Max[1], tiles.Max[1])}}
}

func baseName(path string) string { return filepath.Base(path) }
