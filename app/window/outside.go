package window

import (
	"fmt"
	"image"
	"os"
	"sort"
	"sync/atomic"
	"time"

	"fyne.io/fyne/v2"
)

// A program that drives the window from outside (a test on a virtual screen) cannot read its pictures. With
// LASTROAD_READY=1 the window says on standard output what stands on it, one line for each change.

var outside = os.Getenv("LASTROAD_READY") == "1"

func say(format string, args ...any) {
	if outside {
		fmt.Printf(format+"\n", args...)
	}
}

// tellOutside says what changes in the window; it does nothing unless somebody listens.
func (s *shell) tellOutside() {
	if !outside {
		return
	}
	p := s.p
	p.Watch(func(c Change) {
		if c&(DocChanged|PlanChanged|WorkChanged) != 0 && p.doc != nil && p.doc.Judgement != nil {
			j := p.doc.Judgement
			say("judged readiness=%.1f word=%q legs=%d load=%.1f kinds=%d unsaved=%v settled=%v together=%v name=%q", j.Trip.Readiness, j.Trip.Word, len(j.Legs),
				j.Load.ItemsKg, len(p.plan.Trip.Party.Load), p.Unsaved(), p.judging == nil && p.work == nil, p.plan.Trip.Together, p.doc.Name())
		}
		if c&(DocChanged|ChosenChanged) != 0 && p.doc != nil && p.doc.Judgement != nil {
			if i := p.chosen; i >= 0 && i < len(p.doc.Judgement.Legs) {
				sc := p.doc.Judgement.Legs[i].Score
				say("leg n=%d readiness=%.1f word=%q", i+1, sc.Readiness, sc.Word)
			}
		}
		if c&ScreenChanged != 0 {
			say("screen %d", p.screen+1)
		}
	})
	s.countFrames()
	tellPlaces(s)
}

// tellPlaces says where the words of the window stand; only a build made for it does (see outside_places.go).
var tellPlaces = func(*shell) {}

// countFrames follows every picture of the map that is painted: it says when the judged route and its ground
// are first on the screen, and, when the map has come to rest after moving, how evenly the frames came.
func (s *shell) countFrames() {
	m := s.mapv
	draw := m.raster.Generator
	var frames []time.Duration // gaps between frames of one movement
	var last time.Time
	var count atomic.Int64
	shown := false
	m.raster.Generator = func(w, h int) image.Image {
		img := draw(w, h)
		now := time.Now()
		if !last.IsZero() {
			frames = append(frames, now.Sub(last))
		}
		last = now
		n := count.Add(1)
		if !shown && s.p.doc != nil && m.ground != nil {
			shown = true
			// What is posted now runs after this frame was handed to the screen.
			go fyne.Do(func() { say("shown") })
		}
		const rest = 300 * time.Millisecond
		time.AfterFunc(rest, func() {
			fyne.Do(func() {
				if n == count.Load() {
					sayFrames(frames)
					frames, last = nil, time.Time{}
				}
			})
		})
		return img
	}
}

// sayFrames says how many frames a movement had and how long each stood.
func sayFrames(gaps []time.Duration) {
	if len(gaps) < 8 {
		return // no movement to speak of
	}
	sort.Slice(gaps, func(i, k int) bool { return gaps[i] < gaps[k] })
	sum, late := time.Duration(0), 0
	for _, g := range gaps {
		sum += g
		if g > 25*time.Millisecond { // half a frame over the 16.7 ms of one
			late++
		}
	}
	at := func(q float64) float64 { return float64(gaps[int(q*float64(len(gaps)-1))].Microseconds()) / 1000 }
	say("frames n=%d fps=%.1f median=%.1f p95=%.1f p99=%.1f max=%.1f late=%d", len(gaps), float64(len(gaps))/sum.Seconds(), at(0.5), at(0.95), at(0.99), at(1), late)
}
