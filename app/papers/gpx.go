package papers

import (
	"fmt"
	"io"
	"math"
	"time"

	"lastroad/app/report"
	"lastroad/app/trip"
	"lastroad/geo"
	"lastroad/geo/gpx"
)

// GPX writes the trip as GPX 1.1: one track whose segments are the legs in order, and waypoints for leg
// starts, camps, points of no easy return, ways out, fuel, water and the marks on the line, their symbols as plain words. Read back, the
// segments join to the same line, and the same ground files give the same legs.
func GPX(w io.Writer, d *trip.Document, made time.Time) error {
	doc := gpx.Document{Name: d.Name(), Desc: report.Caution, Creator: "lastroad", Time: made}
	if len(d.Survey.Sources) > 0 && d.Region != nil && len(d.Region.Credit) > 0 && !d.Demo {
		doc.Credits, doc.License = "OpenStreetMap contributors", "https://opendatacommons.org/licenses/odbl/1-0/"
	}
	for _, p := range Points(d) {
		doc.Waypoints = append(doc.Waypoints, geo.Waypoint{Name: p.Name, Symbol: p.Kind, Comment: p.Note, At: p.At, HeightM: math.NaN()})
	}
	t := gpx.Track{Name: d.Name(), Comment: fmt.Sprintf("%d legs, one segment each", len(d.Survey.Legs))}
	for i := range d.Survey.Legs {
		t.Segments = append(t.Segments, gpx.Segment{Line: legLine(d.Survey, i)})
	}
	doc.Tracks = []gpx.Track{t}
	return gpx.Write(w, doc)
}
