package window

import (
	"image"
	"math"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
)

// The toolkit paints all of the window for each frame, and a panel of a hundred texts beside the map takes half of what
// a frame may. So while the map moves, such a panel stands as a picture of itself: the very pixels that were on the
// screen. It comes back when the map rests, when the pointer leaves the map, and whenever anything in the window changes.

// grabPixels gives a part of the frame that is being painted, in dots of the screen from its upper left corner; the
// frame is high dots high. It is nil where the frame cannot be read: then panels stay as they are. It may be called only
// while painting.
var grabPixels func(x, y, w, h, high int) *image.RGBA

// How long the map must have moved before panels become pictures, so that a single step of the wheel or a click on a
// zoom button costs none, and how long after its last movement they come back. Stated judgement.
const (
	stillAfter = 60 * time.Millisecond
	stillRest  = 250 * time.Millisecond
)

// stillState is what a panel shows.
type stillState int

const (
	stillLive  stillState = iota
	stillTaken            // live, and its picture is wanted or just taken
	stillShown            // the picture
)

// still is a panel that can stand as its picture.
type still struct {
	widget.BaseWidget
	of    fyne.CanvasObject
	taker *canvas.Raster // a dot that is painted after the panel, to take the picture
	pic   *canvas.Raster
	img   *image.RGBA
	post  func(func())
	state stillState
	least fyne.Size // of the panel when it became a picture
}

func newStill(of fyne.CanvasObject, post func(func())) *still {
	s := &still{of: of, post: post}
	s.taker = newPicture(s.take)
	s.pic = newPicture(func(int, int) image.Image { return s.img })
	s.ExtendBaseWidget(s)
	return s
}

// hold makes a picture of the panel and shows it.
func (s *still) hold() {
	if s.state != stillLive || grabPixels == nil {
		return
	}
	s.state = stillTaken
	s.taker.Refresh()
	s.Refresh()
}

// release shows the panel itself.
func (s *still) release() {
	if s.state == stillLive {
		return
	}
	s.state, s.img = stillLive, nil
	s.Refresh()
}

// take reads the picture off the frame; it is called while painting, when the panel has just been painted.
func (s *still) take(int, int) image.Image {
	dot := image.NewRGBA(image.Rect(0, 0, 1, 1))
	d := fyne.CurrentApp().Driver()
	c := d.CanvasForObject(s)
	if s.state != stillTaken || s.img != nil || grabPixels == nil || c == nil {
		return dot
	}
	at := d.AbsolutePositionForObject(s)
	one, high := c.PixelCoordinateForPosition(fyne.NewPos(1000, c.Size().Height))
	scale := float32(one) / 1000
	x0, y0 := floor(at.X*scale), floor(at.Y*scale)
	x1, y1 := ceil((at.X+s.Size().Width)*scale), ceil((at.Y+s.Size().Height)*scale)
	if x1 <= x0 || y1 <= y0 {
		return dot
	}
	s.img = grabPixels(x0, y0, x1-x0, y1-y0, high)
	s.pic.Move(fyne.NewPos(float32(x0)/scale-at.X, float32(y0)/scale-at.Y))
	s.pic.Resize(fyne.NewSize(float32(x1-x0)/scale, float32(y1-y0)/scale))
	s.post(func() {
		if s.state == stillTaken && s.img != nil {
			s.least = s.of.MinSize()
			s.state = stillShown
			s.pic.Refresh()
			s.Refresh()
		}
	})
	return dot
}

func floor(v float32) int { return int(math.Floor(float64(v))) }
func ceil(v float32) int  { return int(math.Ceil(float64(v))) }

// CreateRenderer implements fyne.Widget.
func (s *still) CreateRenderer() fyne.WidgetRenderer { return &stillRenderer{s} }

type stillRenderer struct{ s *still }

func (r *stillRenderer) Layout(size fyne.Size) {
	if r.s.of.Size() != size {
		r.s.release()
	}
	r.s.of.Resize(size)
	r.s.taker.Resize(fyne.NewSize(1, 1))
}

func (r *stillRenderer) MinSize() fyne.Size {
	if r.s.state == stillShown {
		return r.s.least
	}
	return r.s.of.MinSize()
}

func (r *stillRenderer) Refresh() { canvas.Refresh(r.s) }

func (r *stillRenderer) Objects() []fyne.CanvasObject {
	switch r.s.state {
	case stillTaken:
		return []fyne.CanvasObject{r.s.of, r.s.taker}
	case stillShown:
		return []fyne.CanvasObject{r.s.pic}
	}
	return []fyne.CanvasObject{r.s.of}
}

func (r *stillRenderer) Destroy() {}

// stills are the panels beside a map that moves.
type stills struct {
	panels      []*still
	post        func(func())
	after, rest time.Duration // stillAfter and stillRest
	began       time.Time     // of the movement
	last        time.Time     // of its latest step
	timing      bool
}

func newStills(post func(func())) *stills {
	return &stills{post: post, after: stillAfter, rest: stillRest}
}

// add makes a panel that stands still while the map moves.
func (s *stills) add(of fyne.CanvasObject) fyne.CanvasObject {
	p := newStill(of, s.post)
	s.panels = append(s.panels, p)
	return p
}

// moved is told of each step of the map.
func (s *stills) moved() {
	now := time.Now()
	if now.Sub(s.last) > s.rest {
		s.began = now
	}
	s.last = now
	if now.Sub(s.began) < s.after {
		return
	}
	for _, p := range s.panels {
		p.hold()
	}
	if !s.timing {
		s.timing = true
		time.AfterFunc(s.rest, func() { s.post(s.rested) })
	}
}

// rested lets the panels come back when the map has rested.
func (s *stills) rested() {
	s.timing = false
	if wait := s.rest - time.Since(s.last); wait > 0 {
		s.timing = true
		time.AfterFunc(wait, func() { s.post(s.rested) })
		return
	}
	s.release()
}

// release lets the panels come back; the next movement begins anew.
func (s *stills) release() {
	s.last = time.Time{}
	for _, p := range s.panels {
		p.release()
	}
}
