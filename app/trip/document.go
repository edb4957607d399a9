package trip

import (
	"lastroad/geo"
	"lastroad/geo/height"
	"lastroad/geo/osm"
	"lastroad/risk"
)

// Document is one opened trip with everything measured and judged. It is a snapshot: nothing in it is
// changed after it was made, so it may be read from any goroutine.
type Document struct {
	Plan Plan
	Path string // of the .trip file, "" while never saved
	Demo bool   // the built-in invented trip

	RouteBytes []byte    // the route's file as read
	Route      geo.Route // what was read from it, reversed if the plan says so

	Region  *osm.Region   // nil: no region file at hand (the survey may still hold what one told)
	Heights *height.Model // nil: no height tiles at hand

	Survey    *geo.Survey
	Judgement *risk.Judgement

	// Notes says in full sentences what the user should know about opening: a region file that is
	// missing or newer than when the trip was saved, files that were ignored.
	Notes []string

	// memo keeps what repeats between the judgements of this document and of those edited from it.
	memo *risk.Memo

	// disk is the sum of the file at Path as it was opened or saved last, nil while never saved.
	disk []byte
}

// Memo is what to hand to every judging of this document's trip and its variants (risk.Options.Memo): it
// makes judging again several times faster and changes no result. Documents made by [Document.With] share it.
func (d *Document) Memo() *risk.Memo { return d.memo }

// Name is what to call the trip.
func (d *Document) Name() string {
	switch {
	case d.Plan.Trip.Name != "":
		return d.Plan.Trip.Name
	case d.Route.Name != "":
		return d.Route.Name
	}
	return d.Plan.RouteName
}
