package window

import (
	"context"

	"lastroad/app/trip"
	"lastroad/geo/osm"
	"lastroad/risk"
	"lastroad/risk/catalogue"
)

// Report tells how far a long step is: what is being done, and its share from 0 to 1 (negative when no
// share can be told). It may be called from any goroutine and as often as is handy.
type Report = trip.Progress

// Desk does the work behind the window. Its methods are called from workers, never two at once for the
// same document, and give up with the context's error when it is cancelled.
type Desk interface {
	// Demo gives the built-in invented trip, judged.
	Demo(ctx context.Context, report Report) (*trip.Document, error)
	// Open reads the files. A route or a saved trip makes a new document; region and height files alone
	// are added to base, which may be nil. base is never changed.
	Open(ctx context.Context, base *trip.Document, paths []string, report Report) (*trip.Document, error)
	// With gives the document for an edited plan, doing only the work that the edit makes necessary.
	With(ctx context.Context, base *trip.Document, plan trip.Plan, report Report) (*trip.Document, error)
	// Save writes the document whole or not at all and gives it with its new path.
	Save(ctx context.Context, d *trip.Document, path string) (*trip.Document, error)
	// Try judges a trip on the document's survey without bands and cures: quick enough for every key.
	Try(ctx context.Context, base *trip.Document, t risk.Trip) (*risk.Judgement, error)
	// Advise says what to add to the load, what may stay at home, and what hangs on one thing.
	Advise(ctx context.Context, base *trip.Document, t risk.Trip, report Report) (*risk.Advice, error)
	// Compare judges two to four variants on the same samples.
	Compare(ctx context.Context, base *trip.Document, columns []risk.Variant, report Report) (*risk.Comparison, error)
	// Simulate plays whole trips, as a check on the readiness.
	Simulate(ctx context.Context, base *trip.Document, trips int, report Report) (*risk.SimReport, error)
	// Effects says what every number does to the readiness of the trip and of each leg.
	Effects(ctx context.Context, base *trip.Document, report Report) ([]risk.Effect, error)
	// Numbers lists every number that the document is judged with.
	Numbers(base *trip.Document) ([]trip.Number, error)
	// Catalogue is what can be carried and known.
	Catalogue() *catalogue.Catalogue
	// Kept reports whether a way counts as a maintained road.
	Kept(w *osm.Way) bool
}
