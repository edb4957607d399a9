package window

import (
	"image"
	"math"
	"sync"
	"time"

	"lastroad/app/plot"
)

// groundBuffer is a picture of the ground that reaches beyond what is on the screen, so that dragging only
// copies out of it. It is not changed once it was handed over.
type groundBuffer struct {
	img   *image.RGBA
	view  plot.View // of the whole buffer
	scene *plot.Scene
	pal   *plot.Palette
	lost  bool // a name lost letters that the typeface lacks
}

// bufferMargin is how far the buffer reaches beyond the screen on each side, as a share of the screen's longer side: the
// map is dragged as far up as sideways.
const bufferMargin = 0.25

// groundWorker draws ground pictures one at a time; a request that comes while one is drawn replaces the
// request before it, so that only the newest view is drawn next. While the zoom changes it waits until the view
// comes to rest: the old picture stands in, stretched, and the processors belong to the frames.
type groundWorker struct {
	mu      sync.Mutex
	next    *groundBuffer // wanted, img not drawn yet
	asked   time.Time     // when next was asked for
	since   time.Time     // when the first request after the last picture was
	coming  *groundBuffer // the last that was begun
	busy    bool
	spare   []*image.RGBA         // pictures that nobody shows any more
	done    func(b *groundBuffer) // runs on the worker
	raster  *plot.Raster
	running sync.WaitGroup
}

// zoomRest is how long the zoom must stand still before the ground is drawn anew, zoomMost how long a zoom that
// goes on and on is followed by the stretched picture alone.
const (
	zoomRest = 80 * time.Millisecond
	zoomMost = 400 * time.Millisecond
)

func newGroundWorker(done func(*groundBuffer)) *groundWorker {
	return &groundWorker{done: done, raster: plot.NewRaster(pictureFonts())}
}

// ask has the ground drawn for a screen view.
func (g *groundWorker) ask(scene *plot.Scene, v plot.View, pal *plot.Palette) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.coming.fits(v, scene, pal) { // it will be shown soon, and has room
		g.next = nil
		return
	}
	margin := int(bufferMargin * float64(max(v.W, v.H)))
	v.W, v.H = v.W+2*margin, v.H+2*margin
	g.asked = time.Now()
	if g.next == nil {
		g.since = g.asked
	}
	g.next = &groundBuffer{view: v, scene: scene, pal: pal}
	if !g.busy {
		g.busy = true
		g.running.Add(1)
		go g.run()
	}
}

// rest is how long to wait before drawing what is wanted.
func (g *groundWorker) rest() time.Duration {
	if g.coming == nil || g.coming.view.MetresPerPx == g.next.view.MetresPerPx {
		return 0
	}
	due := g.asked.Add(zoomRest)
	if most := g.since.Add(zoomMost); most.Before(due) {
		due = most
	}
	return time.Until(due)
}

func (g *groundWorker) run() {
	defer g.running.Done()
	for {
		g.mu.Lock()
		if g.next == nil {
			g.busy = false
			g.mu.Unlock()
			return
		}
		if wait := g.rest(); wait > 0 {
			g.mu.Unlock()
			time.Sleep(wait)
			continue
		}
		b := g.next
		g.next, g.coming = nil, b
		b.img = g.picture(b.view.W, b.view.H)
		g.mu.Unlock()
		g.raster.Begin(b.img)
		plot.DrawGround(g.raster, b.scene, b.view, b.pal)
		b.lost = g.raster.Lost()
		g.done(b)
	}
}

// picture is one to draw on, of those that were handed back if one fits. mu is held.
func (g *groundWorker) picture(w, h int) *image.RGBA {
	for i, img := range g.spare {
		if img.Rect.Dx() == w && img.Rect.Dy() == h {
			g.spare = append(g.spare[:i], g.spare[i+1:]...)
			return img
		}
	}
	g.spare = nil // of another size: the window was resized
	return image.NewRGBA(image.Rect(0, 0, w, h))
}

// handBack takes a buffer that is not shown any more; nil does nothing.
func (g *groundWorker) handBack(b *groundBuffer) {
	if b == nil || b.img == nil {
		return
	}
	g.mu.Lock()
	defer g.mu.Unlock()
	if len(g.spare) < 2 { // a picture may be begun before the one shown is handed back
		g.spare = append(g.spare, b.img)
	}
}

// fits reports whether the buffer shows the view at its own scale with a quarter of its margin left; if
// not, a new one is wanted.
func (b *groundBuffer) fits(v plot.View, scene *plot.Scene, pal *plot.Palette) bool {
	if b == nil || b.pal != pal || !sameGround(b.scene, scene) || scene != nil && !b.scene.SameCamps(scene) {
		return false
	}
	if b.view.MetresPerPx != v.MetresPerPx || b.view.Scale != v.Scale {
		return false
	}
	dx := math.Abs(b.view.X-v.X) / v.MetresPerPx
	dy := math.Abs(b.view.Y-v.Y) / v.MetresPerPx
	mx, my := float64(b.view.W-v.W)/2, float64(b.view.H-v.H)/2
	return dx <= 0.75*mx && dy <= 0.75*my
}

// sameGround reports whether two scenes show the same ground: one made from the other by WithSurvey.
func sameGround(a, b *plot.Scene) bool { return a == b || a != nil && b != nil && a.SharesGround(b) }

// show copies the part of the buffer under v into dst, at its own scale or stretched to v's. What lies
// beyond the buffer is the colour of bare ground.
func (b *groundBuffer) show(dst *image.RGBA, v plot.View) {
	w, h := dst.Rect.Dx(), dst.Rect.Dy()
	// Pixel x of dst shows pixel x*k + ox of the buffer.
	k := v.MetresPerPx / b.view.MetresPerPx
	left, top := v.Plane(plot.Pt{})
	o := b.view.Screen(left, top)
	ox, oy := float64(o.X), float64(o.Y)
	if k == 1 {
		ix, iy := int(math.Round(ox)), int(math.Round(oy))
		src := b.img
		for y := range h {
			sy := y + iy
			row := dst.Pix[y*dst.Stride : y*dst.Stride+4*w]
			if sy < 0 || sy >= src.Rect.Dy() {
				b.bare(row)
				continue
			}
			x0, x1 := max(0, -ix), min(w, src.Rect.Dx()-ix)
			if x0 >= x1 {
				b.bare(row)
				continue
			}
			b.bare(row[:4*x0])
			copy(row[4*x0:4*x1], src.Pix[sy*src.Stride+4*(x0+ix):])
			b.bare(row[4*x1:])
		}
		return
	}
	cols := make([]int32, w) // the byte in a row of the buffer, -1 beyond it
	sw, sh := b.img.Rect.Dx(), b.img.Rect.Dy()
	for x := range cols {
		sx := math.Floor((float64(x)+0.5)*k + ox)
		if cols[x] = -1; sx >= 0 && sx < float64(sw) {
			cols[x] = 4 * int32(sx)
		}
	}
	c := b.pal.Outside
	bare := [4]uint8{c.R, c.G, c.B, 255}
	last := -1
	for y := range h {
		row := dst.Pix[y*dst.Stride : y*dst.Stride+4*w]
		sy := int(math.Floor((float64(y)+0.5)*k + oy))
		switch {
		case sy < 0 || sy >= sh:
			b.bare(row)
			continue
		case sy == last: // zoomed in, the row above again
			copy(row, dst.Pix[(y-1)*dst.Stride:])
			continue
		}
		last = sy
		src := b.img.Pix[sy*b.img.Stride : sy*b.img.Stride+4*sw]
		for x, at := range cols {
			if at < 0 {
				*(*[4]uint8)(row[4*x:]) = bare
			} else {
				*(*[4]uint8)(row[4*x:]) = *(*[4]uint8)(src[at:])
			}
		}
	}
}

func (b *groundBuffer) bare(row []uint8) {
	c := b.pal.Outside
	for i := 0; i+4 <= len(row); i += 4 {
		row[i], row[i+1], row[i+2], row[i+3] = c.R, c.G, c.B, 255
	}
}
