package trip

import (
	"context"

	"lastroad/geo/osm"
	"lastroad/risk"
	"lastroad/risk/catalogue"
)

// Desk does the work behind a window: every long step in one place, so that a window needs to know no
// reader and no table. Its methods are safe to call from workers.
type Desk struct{ t *Tables }

// NewDesk parses the built-in tables.
func NewDesk() (*Desk, error) {
	t, err := Builtin()
	if err != nil {
		return nil, err
	}
	return &Desk{t}, nil
}

// Demo gives the built-in invented trip, judged.
func (d *Desk) Demo(ctx context.Context, report Progress) (*Document, error) {
	return Demo(ctx, Request{}, report)
}

// Open reads the files. A route or a saved trip makes a new document; region and height files alone are
// added to base, which may be nil. base is never changed.
func (d *Desk) Open(ctx context.Context, base *Document, paths []string, report Progress) (*Document, error) {
	return Open(ctx, Request{Files: paths, Base: base}, report)
}

// With gives the document for an edited plan.
func (d *Desk) With(ctx context.Context, base *Document, plan Plan, report Progress) (*Document, error) {
	return base.With(ctx, plan, report)
}

// Save writes the document whole or not at all.
func (d *Desk) Save(_ context.Context, doc *Document, path string) (*Document, error) {
	return doc.Save(path)
}

// Catalogue is what can be carried and known.
func (d *Desk) Catalogue() *catalogue.Catalogue { return d.t.Catalogue }

// Kept reports whether a way counts as a maintained road.
func (d *Desk) Kept(w *osm.Way) bool { return d.t.Survey.Ways.Kept(w.Tags) }

// Try judges a plan on the document's survey without bands and cures, for comparing many plans; the plan
// must not change what was measured (stops, grounds, legs, direction).
func (d *Desk) Try(ctx context.Context, base *Document, t risk.Trip) (*risk.Judgement, error) {
	return risk.Judge(ctx, base.Survey, t, d.t.Catalogue, risk.Options{Quick: true})
}

// Advise says what to add to a plan's load, what may stay at home, and what hangs on one thing.
func (d *Desk) Advise(ctx context.Context, base *Document, t risk.Trip, report Progress) (*risk.Advice, error) {
	return risk.Advise(ctx, base.Survey, t, d.t.Catalogue, risk.PackLimit{}, risk.Options{Progress: report})
}
