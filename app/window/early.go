package window

import (
	"context"
	"sync"

	"github.com/paulmach/orb"

	"lastroad/app/plot"
	"lastroad/app/trip"
)

// early opens the demo trip while the window is still being made, on the other core, so that a first start
// shows a judged trip as soon as it shows anything.
type early struct {
	Desk
	demo func() (*trip.Document, error)
}

func openEarly(d Desk) Desk {
	var once sync.Once
	var doc *trip.Document
	var err error
	demo := func() (*trip.Document, error) {
		once.Do(func() {
			doc, err = guarded(func() (*trip.Document, error) { return d.Demo(context.Background(), func(string, float64) {}) })
			if err == nil {
				drawnEarly.Store(doc, sceneOf(doc, d))
			}
		})
		return doc, err
	}
	go demo()
	return &early{d, demo}
}

// Demo implements Desk. Only the first start waits for it; giving up is not worth a special way.
func (e *early) Demo(context.Context, Report) (*trip.Document, error) { return e.demo() }

// Recover hands on to the desk within.
func (e *early) Recover(ctx context.Context, u trip.Unsaved, report Report) (*trip.Document, error) {
	return e.Desk.(recoverer).Recover(ctx, u, report)
}

// Trace and Drawn hand on to the desk within.
func (e *early) Trace(base *trip.Document, places []orb.Point, follow bool, nearM float64) trip.Trace {
	return e.Desk.(drawer).Trace(base, places, follow, nearM)
}

// Drawn implements drawer.
func (e *early) Drawn(ctx context.Context, base *trip.Document, line orb.LineString, fromM, toM float64, name string, report Report) (*trip.Document, error) {
	return e.Desk.(drawer).Drawn(ctx, base, line, fromM, toM, name, report)
}

// drawnEarly holds the scene of the demo that was opened early.
var drawnEarly sync.Map

func sceneOf(doc *trip.Document, d Desk) *plot.Scene { return buildScene(doc, d.Kept) }
