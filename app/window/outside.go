package window

import (
	"fmt"
	"image"
	"os"
	"sort"
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
	m, clock := s.mapv, &frameClock{}
	strip := s.strip.raster.Generator
	s.strip.raster.Generator = func(w, h int) image.Image {
		defer clock.drawing(threadWork())
		return strip(w, h)
	}
	moved := m.onMoved
	m.onMoved = func() { clock.moved = true; moved() }
	draw := m.raster.Generator
	shown := false
	m.raster.Generator = func(w, h int) image.Image {
		clock.frame(clock.moved)
		clock.moved = false
		defer clock.drawing(threadWork())
		img := draw(w, h)
		if !shown && s.p.doc != nil && m.ground != nil {
			shown = true
			// What is posted now runs after this frame was handed to the screen.
			go fyne.Do(func() { say("shown") })
		}
		return img
	}
}

// frameClock follows the frames of a movement. All of it runs on the window's goroutine and its thread.
type frameClock struct {
	gaps    []time.Duration // from picture to picture
	thread  []time.Duration // of the window's thread's time at work from picture to picture: input, layout, painting
	ours    []time.Duration // how much of it went into drawing our own pictures
	last    time.Time       // picture
	at, all time.Duration   // work of the thread and of the whole program up to the last picture
	first   time.Duration   // work of the whole program up to the first
	own     time.Duration   // drawing since the last picture
	n       int             // frames so far
	moved   bool            // the map, since the last picture
}

// drawing counts the work since a picture of ours was begun.
func (c *frameClock) drawing(since time.Duration) { c.own += threadWork() - since }

// frame counts a frame while it is painted. One without a movement since the last, as when new ground comes to a map at
// rest, is none that could have been late.
func (c *frameClock) frame(moved bool) {
	now, work, all := time.Now(), threadWork(), programWork()
	if c.last.IsZero() {
		c.first = all
	} else if moved {
		c.gaps, c.thread, c.ours = append(c.gaps, now.Sub(c.last)), append(c.thread, work-c.at), append(c.ours, c.own)
	}
	c.last, c.at, c.all, c.own = now, work, all, 0
	c.n++
	n := c.n
	const rest = 300 * time.Millisecond
	time.AfterFunc(rest, func() {
		fyne.Do(func() {
			if n == c.n {
				c.say()
				c.gaps, c.thread, c.ours, c.last = nil, nil, nil, time.Time{}
			}
		})
	})
}

// say says how many frames a movement had, how long each stood and what it took, in milliseconds.
func (c *frameClock) say() {
	if len(c.gaps) < 8 {
		return // no movement to speak of
	}
	sum, late := time.Duration(0), 0
	for _, g := range c.gaps {
		sum += g
		if g > 25*time.Millisecond { // half a frame over the 16.7 ms of one
			late++
		}
	}
	ms := func(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }
	at := func(d []time.Duration, q float64) float64 {
		sort.Slice(d, func(i, k int) bool { return d[i] < d[k] })
		return ms(d[int(q*float64(len(d)-1))])
	}
	say("frames n=%d fps=%.1f median=%.1f p95=%.1f p99=%.1f max=%.1f late=%d thread=%.2f ours=%.2f all=%.2f", len(c.gaps), float64(len(c.gaps))/sum.Seconds(),
		at(c.gaps, 0.5), at(c.gaps, 0.95), at(c.gaps, 0.99), at(c.gaps, 1), late, at(c.thread, 0.5), at(c.ours, 0.5), ms(c.all-c.first)/float64(len(c.gaps)))
}
