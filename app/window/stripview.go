package window

import (
	"image"
	"image/color"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/plot"
)

// stripView is the bands under the map. A click chooses a leg, a drag marks a stretch, the wheel zooms the
// kilometres (with the map following), the wheel with shift moves along. The same goes by keys.
type stripView struct {
	widget.BaseWidget
	p      *Presenter
	raster *canvas.Raster
	line   *canvas.Line
	focus  focusRing
	parts  []fyne.CanvasObject // all of them
	pen    *plot.Raster
	frame  *image.RGBA
	beside stripBeside

	pressed fyne.Position
	dragged bool
	focused bool
	width   int
	begun   float64          // where a stretch was begun by key, metres; NaN for nowhere
	onRange func(plot.Range) // the map follows
}

var (
	_ fyne.Draggable     = (*stripView)(nil)
	_ fyne.Scrollable    = (*stripView)(nil)
	_ fyne.Focusable     = (*stripView)(nil)
	_ desktop.Hoverable  = (*stripView)(nil)
	_ desktop.Mouseable  = (*stripView)(nil)
	_ desktop.Cursorable = (*stripView)(nil)
)

func newStripView(p *Presenter) *stripView {
	s := &stripView{p: p, pen: plot.NewRaster(pictureFonts()), begun: math.NaN(), onRange: func(plot.Range) {}}
	s.ExtendBaseWidget(s)
	s.raster = newPicture(s.draw)
	s.line = canvas.NewLine(color.Black)
	s.line.StrokeWidth = 1.5
	s.line.Hide()
	s.focus = newFocusRing()
	s.parts = append([]fyne.CanvasObject{s.raster, s.line}, s.focus.bars()...)
	p.Watch(func(c Change) {
		if c&(DocChanged|SceneChanged|ChosenChanged|RangeChanged|StretchChanged|SettingsChanged) != 0 {
			s.beside.drop()
			s.raster.Refresh()
		} else if c&RangeFollows != 0 {
			s.drawBeside()
		}
		if c&(HoverChanged|RangeChanged|RangeFollows|DocChanged) != 0 {
			s.moveLine()
		}
	})
	return s
}

func (s *stripView) scale() float32 {
	if w := s.Size().Width; w > 0 && s.width > 0 {
		return float32(s.width) / w
	}
	return 1
}

// unit is the scale of letters and widths: device pixels a unit, times the user's text size.
func (s *stripView) unit() float32 { return s.scale() * s.p.settings.TextSize }

func (s *stripView) draw(w, h int) image.Image {
	if s.frame == nil || s.frame.Rect.Dx() != w || s.frame.Rect.Dy() != h {
		s.frame = image.NewRGBA(image.Rect(0, 0, w, h))
		s.beside.drop()
	} else if s.beside.drawn {
		s.beside.drawn = false
		return s.frame
	}
	s.width = w
	s.sketch().draw(s.pen, s.frame)
	return s.frame
}

// at is the place of the route under x; ok is false beside the bands.
func (s *stripView) at(pos fyne.Position) (m float64, ok bool) {
	if s.p.Survey() == nil || s.width == 0 {
		return 0, false
	}
	x := pos.X * s.scale()
	if x < plot.StripLeft*s.unit() || x > float32(s.width)-plot.StripRight*s.unit() {
		return 0, false
	}
	return plot.StripM(s.p.rng, float32(s.width), s.unit(), x), true
}

func (s *stripView) moveLine() {
	m := s.p.hoverM
	if m != m || s.width == 0 || m < s.p.rng.FromM || m > s.p.rng.ToM {
		if s.line.Visible() {
			s.line.Hide()
		}
		return
	}
	x := plot.StripX(s.p.rng, float32(s.width), s.unit(), m) / s.scale()
	s.line.StrokeColor = palette().Hover
	s.line.Position1, s.line.Position2 = fyne.NewPos(x, 0), fyne.NewPos(x, s.Size().Height)
	s.line.Show()
	s.line.Refresh()
}

// MouseIn implements desktop.Hoverable.
func (s *stripView) MouseIn(e *desktop.MouseEvent) { s.MouseMoved(e) }

// MouseMoved points at the place under the pointer.
func (s *stripView) MouseMoved(e *desktop.MouseEvent) {
	if m, ok := s.at(e.Position); ok {
		s.p.Point(m)
	} else {
		s.p.Point(math.NaN())
	}
}

// MouseOut implements desktop.Hoverable.
func (s *stripView) MouseOut() { s.p.Point(math.NaN()) }

// MouseDown and MouseUp tell a click, which chooses a leg, from a drag, which marks a stretch.
func (s *stripView) MouseDown(e *desktop.MouseEvent) {
	s.pressed, s.dragged = e.Position, false
	if c := fyne.CurrentApp().Driver().CanvasForObject(s); c != nil {
		c.Focus(s)
	}
}

// MouseUp implements desktop.Mouseable.
func (s *stripView) MouseUp(e *desktop.MouseEvent) {
	if s.dragged || e.Button != desktop.MouseButtonPrimary {
		return
	}
	if m, ok := s.at(e.Position); ok {
		if s.p.stretch[0] == s.p.stretch[0] {
			s.p.SetStretch(math.NaN(), math.NaN())
		}
		s.p.Choose(s.p.LegAt(m))
	}
}

// Dragged marks the stretch from where the button went down.
func (s *stripView) Dragged(e *fyne.DragEvent) {
	s.dragged = true
	a, ok := s.at(s.pressed)
	if !ok {
		return
	}
	w := float32(s.width)
	x := max(plot.StripLeft*s.unit(), min(w-plot.StripRight*s.unit(), e.Position.X*s.scale()))
	b := plot.StripM(s.p.rng, w, s.unit(), x)
	s.p.SetStretch(a, b)
	s.p.Point(b)
}

// DragEnd implements fyne.Draggable.
func (s *stripView) DragEnd() {}

// TappedSecondary opens the menu of the place under the pointer.
func (s *stripView) TappedSecondary(e *fyne.PointEvent) {
	m, ok := s.at(e.Position)
	if s.p.placeMenu != nil {
		s.p.placeMenu(m, ok, e.AbsolutePosition)
	}
}

// Scrolled zooms the kilometres about the pointer; sideways it moves along.
func (s *stripView) Scrolled(e *fyne.ScrollEvent) {
	r := s.p.rng
	if dx := e.Scrolled.DX; math.Abs(float64(dx)) > math.Abs(float64(e.Scrolled.DY)) {
		d := -float64(dx) / 400 * (r.ToM - r.FromM)
		s.setRange(plot.Range{FromM: r.FromM + d, ToM: r.ToM + d})
		return
	}
	m, ok := s.at(e.Position)
	if !ok {
		return
	}
	dy := float64(max(-100, min(100, e.Scrolled.DY)))
	s.setRange(r.Zoom(m, math.Exp(0.01*dy)))
}

func (s *stripView) setRange(r plot.Range) {
	s.p.SetRange(r)
	s.onRange(s.p.rng)
}

// Cursor implements desktop.Cursorable.
func (s *stripView) Cursor() desktop.Cursor { return desktop.CrosshairCursor }

// FocusGained implements fyne.Focusable.
func (s *stripView) FocusGained() { s.focused = true; s.Refresh() }

// FocusLost implements fyne.Focusable.
func (s *stripView) FocusLost() { s.focused = false; s.Refresh() }

// TypedRune zooms with + and -.
func (s *stripView) TypedRune(r rune) {
	mid := (s.p.rng.FromM + s.p.rng.ToM) / 2
	switch r {
	case '+', '=':
		s.setRange(s.p.rng.Zoom(mid, 1.5))
	case '-', '_':
		s.setRange(s.p.rng.Zoom(mid, 1/1.5))
	}
}

// step moves the mark along the route by a little of the kilometres in sight; without a mark it begins in
// their middle.
func (s *stripView) step(by float64) {
	sv := s.p.Survey()
	if sv == nil {
		return
	}
	at, part := s.p.hoverM, (s.p.rng.ToM-s.p.rng.FromM)/150
	if at != at || at < s.p.rng.FromM || at > s.p.rng.ToM {
		at = (s.p.rng.FromM + s.p.rng.ToM) / 2
	} else {
		at += by * max(part, sv.StepM)
	}
	s.p.Point(max(s.p.rng.FromM, min(s.p.rng.ToM, at)))
}

// mark begins a stretch at the mark, or ends the one begun.
func (s *stripView) mark() {
	at := s.p.hoverM
	switch {
	case at != at:
	case s.begun == s.begun && s.begun != at:
		s.p.SetStretch(s.begun, at)
		s.begun = math.NaN()
	default:
		s.begun = at
		s.p.SetStretch(at, at)
	}
}

// menu opens the menu of the marked place.
func (s *stripView) menu() {
	if at := s.p.hoverM; at == at && s.p.placeMenu != nil {
		x := plot.StripX(s.p.rng, float32(s.width), s.unit(), at) / s.scale()
		s.p.placeMenu(at, true, fyne.CurrentApp().Driver().AbsolutePositionForObject(s).AddXY(x, s.Size().Height/3))
	}
}

// TypedKey walks the legs with left and right, moves the mark with up and down, marks a stretch with Space and
// opens the menu of the place with Enter.
func (s *stripView) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeyLeft, fyne.KeyPageUp:
		s.p.Step(-1)
	case fyne.KeyRight, fyne.KeyPageDown:
		s.p.Step(1)
	case fyne.KeyUp:
		s.step(1)
	case fyne.KeyDown:
		s.step(-1)
	case fyne.KeySpace:
		s.mark()
	case fyne.KeyReturn, fyne.KeyEnter:
		s.menu()
	case fyne.KeyHome:
		if sv := s.p.Survey(); sv != nil {
			s.setRange(plot.Whole(sv))
		}
	case fyne.KeyEscape:
		s.begun = math.NaN()
		s.p.SetStretch(math.NaN(), math.NaN())
	}
}

// MinSize implements fyne.Widget.
func (s *stripView) MinSize() fyne.Size { return fyne.NewSize(320, 90) }

// CreateRenderer implements fyne.Widget.
func (s *stripView) CreateRenderer() fyne.WidgetRenderer { return &stripRenderer{s} }

type stripRenderer struct{ s *stripView }

func (r *stripRenderer) Layout(z fyne.Size) {
	r.s.raster.Resize(z)
	r.s.focus.resize(z)
	r.s.moveLine()
}
func (r *stripRenderer) MinSize() fyne.Size { return r.s.MinSize() }
func (r *stripRenderer) Refresh() {
	r.s.focus.show(r.s.focused)
	r.s.raster.Refresh()
}
func (r *stripRenderer) Objects() []fyne.CanvasObject {
	return r.s.parts
}
func (r *stripRenderer) Destroy() {}
