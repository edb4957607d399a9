package plot

import (
	"image"
	"math"
)

// wayStyle is how a kind of way is drawn: width of its bed and of the edge lines on each side, in units,
// and the zoom beyond which it is left out.
type wayStyle struct {
	bed, edge float32
	maxMPP    float64
}

// Maintained ways have a light bed with an edge on both sides; all others are a single thin line.
var keptStyle = [numWays]wayStyle{
	WayPath: {1.2, 0.7, 12}, WayTrack: {1.8, 0.8, 60}, RoadService: {1.6, 0.7, 12}, RoadMinor: {2.2, 0.8, 60},
	RoadTertiary: {2.8, 0.9, 160}, RoadSecondary: {3.4, 1, 400}, RoadMain: {4.2, 1.1, 1e9},
}

var trackStyle = [numWays]wayStyle{
	WayPath: {0.9, 0, 25}, WayTrack: {1.35, 0, 120}, RoadService: {1.1, 0, 15}, RoadMinor: {1.4, 0, 120},
	RoadTertiary: {1.7, 0, 200}, RoadSecondary: {1.9, 0, 400}, RoadMain: {2.1, 0, 1e9},
}

var coverMaxMPP = 1500.0

// streamStyle likewise; Dash in units.
var streamStyle = [numStreams]struct {
	width  float32
	maxMPP float64
	dash   []float32
}{
	LineDry: {0.9, 60, []float32{6, 3, 1.2, 3}}, LineStream: {0.9, 45, nil}, LineRiver: {1.9, 500, nil}, LineCliff: {1.1, 15, nil},
}

// DrawGround draws all that depends on the view alone: ground cover, shading, contours, water, ways,
// places and names. Names keep clear of the route, which is drawn over this picture.
func DrawGround(c Canvas, s *Scene, v View, p *Palette) {
	w, h := c.Size()
	if s == nil {
		Box(c, Rect{0, 0, w, h}, p.Ground)
		return
	}
	d := newGroundPen(c, s, v, p, 8)
	d.paper(w, h)
	d.covers()
	s.drawRelief(c, v, p)
	d.contours()
	d.streams()
	d.ways()
	d.labels()
}

type groundPen struct {
	c     Canvas
	s     *Scene
	v     View
	p     *Palette
	seen  Extent
	level int
	unit  float32
	mpp   float64 // metres to a unit: what is shown at a zoom does not depend on the screen's density
	texts []laidText
	*penBuffers
}

// penBuffers are what a pen works with while it draws a picture. A raster keeps them from picture to picture: a map
// that moves would else leave megabytes behind for the collector, which then takes its processor from the frames.
type penBuffers struct {
	buf   []Pt
	paths [][]Pt
	along []float32 // lengths along a line
	taken []Rect
}

func buffersOf(c Canvas) *penBuffers {
	if r, ok := c.(*Raster); ok {
		return &r.pen
	}
	return &penBuffers{}
}

// newGroundPen makes a pen that also draws what lies up to margin units beyond the edge.
func newGroundPen(c Canvas, s *Scene, v View, p *Palette, margin float64) *groundPen {
	k := float64(v.Scale)
	return &groundPen{c: c, s: s, v: v, p: p, seen: v.extent(margin * k), level: levelFor(v.MetresPerPx), unit: v.Scale, mpp: v.MetresPerPx * k,
		penBuffers: buffersOf(c)}
}

// begin empties the buffers; take adds the part of a shape that is on the screen.
func (d *groundPen) begin() { d.buf, d.paths = d.buf[:0], d.paths[:0] }

func (d *groundPen) take(sh *shape) {
	if !sh.box.meets(d.seen) {
		return
	}
	n := len(d.buf)
	d.buf = d.v.toScreen(d.buf, sh.levels[d.level])
	d.paths = append(d.paths, d.buf[n:len(d.buf):len(d.buf)])
}

func (d *groundPen) paper(w, h float32) {
	if len(d.s.outline) == 0 {
		Box(d.c, Rect{0, 0, w, h}, d.p.Ground)
		return
	}
	Box(d.c, Rect{0, 0, w, h}, d.p.Outside)
	for i := range d.s.outline {
		d.begin()
		d.take(&d.s.outline[i])
		if len(d.paths) > 0 {
			d.c.Fill(d.paths, d.p.Ground)
		}
	}
}

func (d *groundPen) covers() {
	if d.mpp > coverMaxMPP {
		return
	}
	for k := range d.s.areas {
		for i := range d.s.areas[k] {
			a := &d.s.areas[k][i]
			small := 1.2 * d.v.MetresPerPx
			if !a.box.meets(d.seen) || a.box.X1-a.box.X0 < small && a.box.Y1-a.box.Y0 < small {
				continue
			}
			d.begin()
			for j := range a.rings {
				r := &a.rings[j]
				n := len(d.buf)
				d.buf = d.v.toScreen(d.buf, r.levels[d.level])
				d.paths = append(d.paths, d.buf[n:len(d.buf):len(d.buf)])
			}
			d.c.Fill(d.paths, d.p.Area[k])
			d.texture(Cover(k), d.paths, boundsOf(d.paths))
			if Cover(k) == CoverWater && d.mpp < 60 {
				d.c.Lines(closed(d.paths), Stroke{Width: 0.9 * d.unit, Color: d.p.Shore})
			}
		}
	}
}

// closed gives rings as lines that end where they begin.
func closed(rings [][]Pt) [][]Pt {
	out := make([][]Pt, len(rings))
	for i, r := range rings {
		out[i] = r
		if n := len(r); n > 1 && r[0] != r[n-1] {
			out[i] = append(append(make([]Pt, 0, n+1), r...), r[0])
		}
	}
	return out
}

func (d *groundPen) contours() {
	if d.mpp > 45 {
		return
	}
	lines := d.s.fine()
	for _, heavy := range []bool{false, true} {
		if !heavy && d.mpp > 9 {
			continue
		}
		d.begin()
		for i := range lines {
			if lines[i].heavy == heavy {
				d.take(&lines[i].shape)
			}
		}
		w := float32(0.6)
		if heavy {
			w = 1
		}
		d.c.Lines(d.paths, Stroke{Width: w * d.unit, Color: d.p.Contour})
	}
}

func (d *groundPen) streams() {
	for k := range d.s.streams {
		st := streamStyle[k]
		if d.mpp > st.maxMPP && (d.mpp > 12*st.maxMPP || d.count(d.s.streams[k]) > sparse/2) {
			continue
		}
		d.begin()
		for i := range d.s.streams[k] {
			d.take(&d.s.streams[k][i].shape)
		}
		col := d.p.Water
		if StreamKind(k) == LineCliff {
			col = d.p.SoftInk
		}
		d.c.Lines(d.paths, Stroke{Width: st.width * d.unit * d.near(), Color: col, Dash: scaled(st.dash, d.unit)})
	}
}

// near widens lines a little when the view is close: a track is not a hair at 2 m a pixel.
func (d *groundPen) near() float32 {
	return float32(max(0.75, min(1.9, math.Pow(12/max(0.1, d.mpp), 0.25))))
}

func scaled(dash []float32, k float32) []float32 {
	if len(dash) == 0 {
		return nil
	}
	out := make([]float32, len(dash))
	for i, v := range dash {
		out[i] = v * k
	}
	return out
}

func (d *groundPen) ways() {
	k := d.unit * d.near()
	for i := range trackStyle {
		st := trackStyle[i]
		if !d.shows(0, i, st.maxMPP) {
			continue
		}
		d.gather(0, i)
		col, dash := d.p.Track, []float32(nil)
		if WayKind(i) == WayPath {
			col, dash = d.p.Path, []float32{2.4 * k, 2.6 * k}
		}
		// A pale bed lifts a track off dark ground without making it a road.
		if WayKind(i) != WayPath && d.mpp < 30 {
			d.c.Lines(d.paths, Stroke{Width: (st.bed + 1.6) * k, Color: fade(d.p.Halo, 0.7)})
		}
		d.c.Lines(d.paths, Stroke{Width: st.bed * k, Color: col, Dash: dash})
	}
	// All edges first, then all beds, so that crossings are open.
	for _, bed := range []bool{false, true} {
		for i := range keptStyle {
			st := keptStyle[i]
			if !d.shows(1, i, st.maxMPP) {
				continue
			}
			d.gather(1, i)
			if bed {
				d.c.Lines(d.paths, Stroke{Width: st.bed * k, Color: d.p.Road})
			} else {
				d.c.Lines(d.paths, Stroke{Width: (st.bed + 2*st.edge) * k, Color: d.p.RoadCase})
			}
		}
	}
}

// sparse is the number of lines of a kind in sight up to which they are drawn at any zoom: in empty country
// the one track is what there is to see.
const sparse = 250

// shows reports whether ways of a kind are drawn at this zoom.
func (d *groundPen) shows(kept, kind int, maxMPP float64) bool {
	if d.mpp <= maxMPP {
		return true
	}
	if d.mpp > 12*maxMPP {
		return false
	}
	return d.count(d.s.ways[kept][kind]) <= sparse
}

// count is the number of lines in sight.
func (d *groundPen) count(list []named) (n int) {
	for i := range list {
		if list[i].box.meets(d.seen) {
			n++
		}
	}
	return n
}

func (d *groundPen) gather(kept, kind int) {
	d.begin()
	for i := range d.s.ways[kept][kind] {
		d.take(&d.s.ways[kept][kind][i].shape)
	}
}

// GroundPicture draws the ground into a new picture with the built-in fonts.
func GroundPicture(s *Scene, v View, p *Palette) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, v.W, v.H))
	r := NewRaster(nil)
	r.Begin(img)
	DrawGround(r, s, v, p)
	return img
}
