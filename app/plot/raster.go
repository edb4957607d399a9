package plot

import (
	"image"
	"image/color"
	"image/draw"
	"math"

	xdraw "golang.org/x/image/draw"
	"golang.org/x/image/vector"
)

// Raster is a [Canvas] of pixels. It keeps its buffers from picture to picture; one Raster serves one
// goroutine at a time.
type Raster struct {
	img   *image.RGBA
	mask  mask
	area  *vector.Rasterizer // kept: a new one costs its buffers
	fonts *Fonts
	clips []image.Rectangle
	cover []uint8 // coverage of the area being filled
	dash  [][]Pt
	cut   [2][]Pt
	text  []Pt // the outlines of the text being written
	rings [][]Pt
	pen   penBuffers
	lost  bool
}

// NewRaster makes a canvas that writes with the given fonts; nil takes the built-in ones.
func NewRaster(fonts *Fonts) *Raster {
	if fonts == nil {
		fonts = DefaultFonts()
	}
	return &Raster{area: vector.NewRasterizer(1, 1), fonts: fonts}
}

// Begin directs all drawing to img, whose upper left corner must be 0, 0.
func (r *Raster) Begin(img *image.RGBA) {
	if img.Rect.Min != (image.Point{}) {
		panic("plot: a raster must begin at 0, 0")
	}
	r.img, r.lost = img, false
	r.mask.reset(img.Rect.Dx(), img.Rect.Dy())
	r.clips = append(r.clips[:0], img.Rect)
}

// Lost reports whether a text seen in the picture since [Raster.Begin] lost letters that the typeface lacks.
func (r *Raster) Lost() bool { return r.lost }

// Clear fills the whole picture with c, alpha included.
func (r *Raster) Clear(c color.NRGBA) {
	p := r.img.Pix
	if len(p) < 4 {
		return
	}
	a := uint32(c.A)
	p[0], p[1], p[2], p[3] = uint8(uint32(c.R)*a/255), uint8(uint32(c.G)*a/255), uint8(uint32(c.B)*a/255), c.A
	for n := 4; n < len(p); n *= 2 {
		copy(p[n:], p[:n])
	}
}

// Size implements Canvas.
func (r *Raster) Size() (w, h float32) {
	return float32(r.img.Rect.Dx()), float32(r.img.Rect.Dy())
}

func (r *Raster) clip() image.Rectangle { return r.clips[len(r.clips)-1] }

// PushClip implements Canvas; the edges are rounded to whole pixels.
func (r *Raster) PushClip(c Rect) {
	round := func(v float32) int { return int(math.Floor(float64(max(-1e6, min(1e6, v))) + 0.5)) }
	r.clips = append(r.clips, r.clip().Intersect(image.Rect(round(c.X0), round(c.Y0), round(c.X1), round(c.Y1))))
}

// PopClip implements Canvas.
func (r *Raster) PopClip() {
	if len(r.clips) < 2 {
		panic("plot: PopClip without PushClip")
	}
	r.clips = r.clips[:len(r.clips)-1]
}

// Lines implements Canvas.
func (r *Raster) Lines(paths [][]Pt, s Stroke) {
	if !(s.Width > 0) || s.Color.A == 0 {
		return
	}
	if len(s.Dash) > 0 {
		r.dash = dashed(r.dash[:0], paths, s.Dash, r.clip(), s.Width)
		paths = r.dash
	}
	r.strokeMask(paths, s.Width)
	r.mask.lay(r.img.Pix, r.img.Stride, s.Color)
}

func (r *Raster) strokeMask(paths [][]Pt, width float32) {
	c := r.clip()
	if c.Empty() {
		return
	}
	clip := [4]int{c.Min.X, c.Min.Y, c.Max.X, c.Max.Y}
	reach := r.mask.table(width)
	for _, p := range paths {
		if len(p) == 0 {
			continue
		}
		// Vertices nearer than 0.7 px to the last one kept are passed over: a third of a pixel of
		// sag at most; TestInk sees what that costs in ink.
		last, end := p[0], len(p)-1
		for i := 1; i <= end; i++ {
			dx, dy := p[i].X-last.X, p[i].Y-last.Y
			if dx*dx+dy*dy < 0.5 && i < end {
				continue
			}
			r.mask.segment(last, p[i], reach, clip)
			last = p[i]
		}
	}
}

// Fill implements Canvas.
func (r *Raster) Fill(rings [][]Pt, col color.NRGBA) {
	c := r.clip()
	if len(rings) == 0 || col.A == 0 || c.Empty() {
		return
	}
	if box, ok := boxOf(rings); ok && r.fillBox(box, col) {
		return
	}
	window := Rect{float32(c.Min.X) - 1, float32(c.Min.Y) - 1, float32(c.Max.X) + 1, float32(c.Max.Y) + 1}
	// The rasteriser sweeps its whole picture, so it is given no more than the polygon's part of the clip.
	bound, ok := boundOf(rings[0], window)
	if !ok {
		return
	}
	part := image.Rect(int(math.Floor(float64(bound.X0))), int(math.Floor(float64(bound.Y0))),
		int(math.Ceil(float64(bound.X1))), int(math.Ceil(float64(bound.Y1)))).Intersect(c)
	if part.Empty() {
		return
	}
	r.area.Reset(part.Dx(), part.Dy())
	for i, ring := range rings {
		pts := r.cutRing(ring, window)
		if len(pts) < 3 {
			continue
		}
		if len(rings) == 1 && math.Abs(ringArea(pts)) >= 2*float64(window.W())*float64(window.H())*(1-1e-6) &&
			r.fillBox(Rect{float32(c.Min.X), float32(c.Min.Y), float32(c.Max.X), float32(c.Max.Y)}, col) {
			return
		}
		// One winding for the outer ring and the other for holes: the rasteriser adds signed areas.
		r.addRing(pts, part.Min, (ringArea(pts) > 0) != (i == 0))
	}
	r.layArea(part, col)
}

// layArea draws what the area rasteriser holds into part. Accumulating bytes and laying one colour over
// them is several times as fast as the rasteriser's own blending.
func (r *Raster) layArea(part image.Rectangle, col color.NRGBA) {
	w, h := part.Dx(), part.Dy()
	if n := w * h; cap(r.cover) < n {
		r.cover = make([]uint8, n)
	}
	// Rows without gaps: the rasteriser's quick way heeds no stride.
	cover := &image.Alpha{Pix: r.cover[:w*h], Stride: w, Rect: image.Rect(0, 0, w, h)}
	r.area.DrawOp = draw.Src
	r.area.Draw(cover, cover.Rect, image.Opaque, image.Point{})
	layCover(cover.Pix, w, w, h, r.img.Pix[r.img.PixOffset(part.Min.X, part.Min.Y):], r.img.Stride, col, r.mask.share(col.A))
}

func (r *Raster) addRing(pts []Pt, origin image.Point, backwards bool) {
	ox, oy := float32(origin.X), float32(origin.Y)
	n := len(pts)
	at := func(i int) Pt {
		if backwards {
			i = n - 1 - i
		}
		return Pt{pts[i].X - ox, pts[i].Y - oy}
	}
	p := at(0)
	r.area.MoveTo(p.X, p.Y)
	for i := 1; i < n; i++ {
		p = at(i)
		r.area.LineTo(p.X, p.Y)
	}
	r.area.ClosePath()
}

// fillBox fills an upright rectangle whose edges lie on whole pixels without the rasteriser.
func (r *Raster) fillBox(b Rect, col color.NRGBA) bool {
	whole := func(v float32) bool { return v == float32(int(v)) }
	if col.A != 255 || !whole(b.X0) || !whole(b.Y0) || !whole(b.X1) || !whole(b.Y1) {
		return false
	}
	part := image.Rect(int(b.X0), int(b.Y0), int(b.X1), int(b.Y1)).Intersect(r.clip())
	for y := part.Min.Y; y < part.Max.Y; y++ {
		row := r.img.Pix[r.img.PixOffset(part.Min.X, y):r.img.PixOffset(part.Max.X, y)]
		for i := 0; i+4 <= len(row); i += 4 {
			row[i], row[i+1], row[i+2], row[i+3] = col.R, col.G, col.B, 255
		}
	}
	return true
}

// Image implements Canvas.
func (r *Raster) Image(to Rect, img *image.RGBA) {
	dst := image.Rect(int(math.Round(float64(to.X0))), int(math.Round(float64(to.Y0))),
		int(math.Round(float64(to.X1))), int(math.Round(float64(to.Y1))))
	c := r.clip()
	if dst.Intersect(c).Empty() {
		return
	}
	sub := r.img.SubImage(c).(*image.RGBA)
	if dst.Size() == img.Rect.Size() {
		xdraw.Copy(sub, dst.Min, img, img.Rect, xdraw.Over, nil)
		return
	}
	xdraw.ApproxBiLinear.Scale(sub, dst, img, img.Rect, xdraw.Over, nil)
}
