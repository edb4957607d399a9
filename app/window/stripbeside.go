package window

import (
	"image"
	"math"
	"sync"

	"lastroad/app/plot"
)

// stripSketch is all that a picture of the strip is drawn from.
type stripSketch struct {
	data  plot.StripData
	rng   plot.Range
	pal   *plot.Palette
	style plot.StripStyle
}

func (s *stripView) sketch() stripSketch {
	return stripSketch{plot.StripData{Survey: s.p.Survey(), Judgement: s.p.Judgement(), Daylight: s.p.daylight()}, s.p.rng, palette(),
		plot.StripStyle{Chosen: s.p.chosen, HoverM: math.NaN(), From: s.p.stretch[0], To: s.p.stretch[1], Scale: s.unit(),
			Units: s.p.settings.plotUnits(), Words: stripWords()}}
}

func (k stripSketch) draw(pen *plot.Raster, on *image.RGBA) {
	pen.Begin(on)
	plot.DrawStrip(pen, k.data, k.rng, k.pal, k.style)
}

// stripBeside draws the strip beside the frames while it follows a moving map: half a frame's time on the window's
// goroutine would hold up every fifth of them.
type stripBeside struct {
	pen     *plot.Raster
	spare   *image.RGBA // not on the screen
	rev     int         // counts what only the window's goroutine draws
	busy    bool
	again   bool // the map has moved on meanwhile
	drawn   bool // the frame was drawn beside
	running sync.WaitGroup
}

// drop makes what was or is being drawn beside of no use.
func (b *stripBeside) drop() {
	b.rev++
	b.drawn = false
}

// drawBeside has the strip drawn for the kilometres that are in sight now. A picture that comes too late is dropped.
func (s *stripView) drawBeside() {
	b := &s.beside
	if b.busy || s.frame == nil {
		b.again = b.busy
		return
	}
	if b.pen == nil {
		b.pen = plot.NewRaster(pictureFonts())
	}
	on, k, rev := b.spare, s.sketch(), b.rev
	if on == nil || on.Rect != s.frame.Rect {
		on = image.NewRGBA(s.frame.Rect)
	}
	b.busy, b.again, b.spare = true, false, nil
	b.running.Add(1)
	go func() {
		defer b.running.Done()
		k.draw(b.pen, on)
		s.p.post(func() {
			b.busy, b.spare = false, on
			if rev == b.rev {
				s.frame, b.spare, b.drawn = on, s.frame, true
				s.raster.Refresh()
			}
			if b.again {
				s.drawBeside()
			}
		})
	}()
}
