package papers

import (
	"context"
	"time"

	"github.com/paulmach/orb"

	"lastroad/app/plot"
	"lastroad/app/trip"
	"lastroad/geo/osm"
	"lastroad/risk"
)

// Prepare works out what the papers need beside the document: the map, the judgement with and without
// the second vehicle, the load list, the recovery cards. made is the date that stands on the papers; size ("A4", "letter")
// goes before what the plan says when it is not "". The language is the plan's, English when it has no table.
func Prepare(ctx context.Context, d *trip.Document, made time.Time, size string) (*Set, error) {
	t, err := trip.Builtin()
	if err != nil {
		return nil, err
	}
	if size == "" {
		size = d.Plan.Papers.Size
	}
	if size == "" {
		size = "A4"
	}
	words, ok := Language(d.Plan.Papers.Language)
	if !ok {
		words = english // a language that has no table yet
	}
	words = words.In(d.Plan.Papers.Units)
	cat, err := d.Catalogue()
	if err != nil {
		return nil, err
	}
	judged := d.Plan.Judged(d.Plan.Trip)
	s := &Set{Doc: d, Made: made, Size: size, DPI: 144, Words: words, Care: careOf(d.Plan.Trip.Party, cat, words), Load: loadRowsOf(d.Plan.Trip.Party, cat), Calls: callsOf(d.Plan.Trip.Party, cat, words)}
	s.Scene = Scene(d, func(w *osm.Way) bool { return t.Survey.Ways.Kept(w.Tags) })
	if judged.Partner != nil {
		other := judged
		other.Together = !other.Together
		if s.Other, err = risk.Judge(ctx, d.Survey, other, cat, risk.Options{Quick: true}); err != nil {
			return nil, err
		}
		if judged.Together {
			s.Calls = append(s.Calls, callsOf(*d.Plan.Trip.Partner, cat, words)...)
		}
	}
	if s.Cards, err = cardsOf(d, cat, words); err != nil {
		return nil, err
	}
	for _, f := range t.Figures() {
		s.Numbers = append(s.Numbers, Assumption{f.Path, f.Unit, string(f.From), f.Source, f.Low, f.Central, f.High})
	}
	return s, nil
}

// Scene is the map of a document: its ground with shading and contours, and its route. A credit, when
// given, stands in place of the region's own.
func Scene(d *trip.Document, kept func(*osm.Way) bool, credit ...string) *plot.Scene {
	g := plot.FromRegion(d.Region, kept)
	if d.Region == nil && d.Survey != nil {
		g.Help = d.Survey.Help
	}
	plot.AddHeights(g, d.Heights, shadeBox(d))
	if len(credit) > 0 {
		g.Credit = credit
	}
	return plot.NewScene(d.Survey, g)
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
	const room = 0.1 // degrees, about 10 km
	b = b.Pad(room)
	tiles := empty
	for _, t := range d.Heights.Tiles() {
		if tiles.IsEmpty() {
			tiles = t.Bound()
		} else {
			tiles = tiles.Union(t.Bound())
		}
	}
	if tiles.IsEmpty() {
		return empty
	}
	return orb.Bound{Min: orb.Point{max(b.Min[0], tiles.Min[0]), max(b.Min[1], tiles.Min[1])},
		Max: orb.Point{min(b.Max[0], tiles.Max[0]), min(b.Max[1], tiles.Max[1])}}
}
