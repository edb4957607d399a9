package window

import (
	"image"
	"math"
	"sync"

	"lastroad/app/plot"
)

// groundBuffer is a picture of the ground that reaches beyond what is on the screen, so that dragging only
// copies out of it. It is not changed once it was handed over.
type groundBuffer struct {
	img   *image.RGBA
	view  plot.View // of the whole buffer
	scene *plot.Scene
	pal   *plot.Palette
}

// bufferShare is how much larger than the screen the buffer is, each way.
const bufferShare = 1.5

// groundWorker draws ground pictures one at a time; a request that comes while one is drawn replaces the
// request before it, so that only the newest view is drawn next.
type groundWorker struct {
	mu      sync.Mutex
	next    *groundBuffer // wanted, img not drawn yet
	busy    bool
	done    func(*groundBuffer) // runs on the worker
	raster  *plot.Raster
	running sync.WaitGroup
}

func newGroundWorker(done func(*groundBuffer)) *groundWorker {
	return &groundWorker{done: done, raster: plot.NewRaster(pictureFonts())}
}

// ask has the ground drawn for a screen view.
func (g *groundWorker) ask(scene *plot.Scene, v plot.View, pal *plot.Palette) {
	g.mu.Lock()
	defer g.mu.Unlock()
	v.W, v.H = int(float64(v.W)*bufferShare), int(float64(v.H)*bufferShare)
	g.next = &groundBuffer{view: v, scene: scene, pal: pal}
	if !g.busy {
		g.busy = true
		g.running.Add(1)
		go g.run()
	}
}

func (g *groundWorker) run() {
	defer g.running.Done()
	for {
		g.mu.Lock()
		b := g.next
		g.next = nil
		if b == nil {
			g.busy = false
			g.mu.Unlock()
			return
		}
		g.mu.Unlock()
		b.img = image.NewRGBA(image.Rect(0, 0, b.view.W, b.view.H))
		g.raster.Begin(b.img)
		plot.DrawGround(g.raster, b.scene, b.view, b.pal)
		g.done(b)
	}
}

// fits reports whether the buffer shows the view at its own scale with a quarter of its margin left; if
// not, a new one is wanted.
func (b *groundBuffer) fits(v plot.View, scene *plot.Scene, pal *plot.Palette) bool {
	if b == nil || b.pal != pal || !sameGround(b.scene, scene) {
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
	cols := make([]int32, w)
	for x := range cols {
		cols[x] = int32(math.Floor((float64(x)+0.5)*k + ox))
	}
	sw, sh := b.img.Rect.Dx(), b.img.Rect.Dy()
	for y := range h {
		row := dst.Pix[y*dst.Stride : y*dst.Stride+4*w]
		sy := int(math.Floor((float64(y)+0.5)*k + oy))
		if sy < 0 || sy >= sh {
			b.bare(row)
			continue
		}
		src := b.img.Pix[sy*b.img.Stride:]
		for x, sx := range cols {
			if sx < 0 || int(sx) >= sw {
				b.bare(row[4*x : 4*x+4])
				continue
			}
			copy(row[4*x:4*x+4], src[4*sx:4*sx+4])
		}
	}
}

func (b *groundBuffer) bare(row []uint8) {
	c := b.pal.Outside
	for i := 0; i+4 <= len(row); i += 4 {
		row[i], row[i+1], row[i+2], row[i+3] = c.R, c.G, c.B, 255
	}
}
