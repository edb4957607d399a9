package trip

import (
	"bytes"
	"context"

	"lastroad/assets"
	"lastroad/geo"
	"lastroad/geo/osm"
	"lastroad/geo/survey"
	"lastroad/risk"
	"lastroad/risk/catalogue"
)

// Desk does the work behind a window: every long step in one place, so that a window needs to know no
// reader and no table. What it opens is judged quickly, without bands and cures; [Desk.With] completes it. Its methods are safe to call from workers.
type Desk struct {
	t      *Tables
	graphs graphs
}

// NewDesk parses the built-in tables.
func NewDesk() (*Desk, error) {
	t, err := Builtin()
	if err != nil {
		return nil, err
	}
	return &Desk{t: t}, nil
}

// Demo gives the built-in invented trip, judged.
func (d *Desk) Demo(ctx context.Context, report Progress) (*Document, error) {
	return Demo(ctx, Request{Quick: true}, report)
}

// Open reads the files. A route or a saved trip makes a new document; region and height files alone are
// added to base, which may be nil. base is never changed.
func (d *Desk) Open(ctx context.Context, base *Document, paths []string, report Progress) (*Document, error) {
	return Open(ctx, Request{Files: paths, Base: base, Quick: true}, report)
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
	cat, err := base.Catalogue()
	if err != nil {
		return nil, err
	}
	return risk.Judge(ctx, base.Survey, base.Plan.Judged(t), cat, risk.Options{Quick: true, Memo: base.memo})
}

// Advise says what to add to a plan's load, what may stay at home, and what hangs on one thing.
func (d *Desk) Advise(ctx context.Context, base *Document, t risk.Trip, report Progress) (*risk.Advice, error) {
	cat, err := base.Catalogue()
	if err != nil {
		return nil, err
	}
	return risk.Advise(ctx, base.Survey, base.Plan.Judged(t), cat, risk.PackLimit{}, risk.Options{Progress: report, Memo: base.memo})
}

// Compare judges two to four variants on the document's survey with the same samples (see [Plan.Columns]).
func (d *Desk) Compare(ctx context.Context, base *Document, columns []risk.Variant, report Progress) (*risk.Comparison, error) {
	cat, err := base.Catalogue()
	if err != nil {
		return nil, err
	}
	return risk.Compare(ctx, base.Survey, columns, cat, risk.Options{Progress: report, Memo: base.memo})
}

// Simulate plays whole trips that use things up, as a check on the readiness of the document's trip.
func (d *Desk) Simulate(ctx context.Context, base *Document, trips int, report Progress) (*risk.SimReport, error) {
	cat, err := base.Catalogue()
	if err != nil {
		return nil, err
	}
	return risk.Simulate(ctx, base.Survey, base.Plan.Judged(base.Plan.Trip), cat, trips, risk.Options{Progress: report, Memo: base.memo})
}

// Effects says what each number of the tables does to the readiness of the document's trip and of its legs between its low
// and its high value, largest first (see [risk.Effects]): some seconds, more on a long route. The numbers by which the
// route was measured are among them while the files that it was measured with are at hand.
func (d *Desk) Effects(ctx context.Context, base *Document, report Progress) ([]risk.Effect, error) {
	cat, err := base.Catalogue()
	if err != nil {
		return nil, err
	}
	measuring, err := base.measuring(ctx, d.t.Survey)
	if err != nil {
		return nil, err
	}
	return risk.Effects(ctx, base.Survey, base.Plan.Judged(base.Plan.Trip), cat, measuring, risk.Options{Progress: report, Memo: base.memo})
}

// Numbers lists every number of the tables as the document is judged with them, sorted by table and path.
func (d *Desk) Numbers(base *Document) ([]Number, error) {
	t := *d.t
	if base != nil {
		cat, err := base.Catalogue()
		if err != nil {
			return nil, err
		}
		t.Catalogue = cat
	}
	return t.Figures(), nil
}

// DemoPath stands for the built-in trip where a journal names the file it belongs to.
const DemoPath = "demo"

// Recover opens what a crashed window left, with the files it names as far as they are at hand. The
// document's path is that of the file it belonged to; nothing is written.
func (d *Desk) Recover(ctx context.Context, u Unsaved, report Progress) (*Document, error) {
	if u.Path == DemoPath {
		doc, err := d.Demo(ctx, report)
		if err != nil {
			return nil, err
		}
		return doc.With(ctx, u.Plan, report)
	}
	doc := &Document{Path: u.Path, Plan: u.Plan, RouteBytes: u.Route, disk: fileSum(u.Path)}
	var region, heights []string
	doc.missing(&region, &heights)
	if len(region) < len(u.Plan.Region) || len(heights) < len(u.Plan.Heights) {
		doc.Survey = keptSurvey(u)
	}
	if err := doc.readRoute(ctx, 0); err != nil {
		return nil, err
	}
	if doc.ofDemo() {
		if err := doc.demoGround(ctx, assets.Demo, report); err != nil {
			return nil, err
		}
	}
	if err := doc.load(ctx, region, heights, report); err != nil {
		return nil, err
	}
	if err := doc.measure(ctx, report); err != nil {
		return nil, err
	}
	return doc, doc.judge(ctx, true, report)
}

// keptSurvey is what the saved file of a crashed window still knows of the ground, for when the files it was
// measured from are not at hand; nil when it holds none, or one of another route, direction, stops or legs.
func keptSurvey(u Unsaved) *geo.Survey {
	if u.Path == "" {
		return nil
	}
	s, err := ReadSaved(u.Path)
	if err != nil || len(s.Survey) == 0 || !bytes.Equal(s.Route, u.Route) || !s.Plan.MeasuresLike(u.Plan) {
		return nil
	}
	out, err := survey.Decode(s.Survey)
	if err != nil {
		return nil
	}
	return out
}

// MeasuresLike reports whether two plans differ in nothing that the survey of one route depends on.
func (p Plan) MeasuresLike(q Plan) bool {
	return p.Reversed == q.Reversed && p.CorridorM == q.CorridorM && p.Pace == q.Pace &&
		same(p.Grounds, q.Grounds) && same(p.Stops, q.Stops) && same(p.Legs, q.Legs)
}
