package window

import (
	"image"
	"image/color"
	"math"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/plot"
)

// mapView is the plotted route on its ground. The ground comes from a buffer that a worker keeps; route and
// frame are drawn over it whenever the view or the choice changes. Pointing only moves a small mark.
type mapView struct {
	widget.BaseWidget
	p *Presenter

	raster  *canvas.Raster
	mark    *hoverDot
	focus   focusRing
	parts   []fyne.CanvasObject // all of them
	worker  *groundWorker
	ground  *groundBuffer
	pen     *plot.Raster
	frame   *image.RGBA
	view    plot.View
	placed  bool // the view was set for the present route
	pending bool // fit once the size is known
	fitted  bool // the view is still that of the last fit
	fitTo   plot.Extent

	pressed  fyne.Position
	moved    bool
	focused  bool
	drawing  *drawing // nil while nothing is drawn
	onPlace  func(lonLat string)
	onMoved  func() // with each step of a movement of the view
	onLeft   func() // when the pointer leaves
	shown    *plot.Scene
	rangeAt  time.Time // of the last change of the strip's kilometres
	rangeDue bool
}

var (
	_ fyne.Draggable         = (*mapView)(nil)
	_ fyne.Scrollable        = (*mapView)(nil)
	_ fyne.Focusable         = (*mapView)(nil)
	_ fyne.SecondaryTappable = (*mapView)(nil)
	_ desktop.Hoverable      = (*mapView)(nil)
	_ desktop.Mouseable      = (*mapView)(nil)
	_ desktop.Cursorable     = (*mapView)(nil)
)

func newMapView(p *Presenter) *mapView {
	m := &mapView{p: p, pen: plot.NewRaster(pictureFonts()), onPlace: func(string) {}, onMoved: func() {}, onLeft: func() {}}
	m.ExtendBaseWidget(m)
	m.raster = newPicture(m.draw)
	m.mark = newHoverDot()
	m.focus = newFocusRing()
	m.parts = append([]fyne.CanvasObject{m.raster, m.mark.ring, m.mark.dot}, m.focus.bars()...)
	m.worker = newGroundWorker(func(b *groundBuffer) {
		p.post(func() {
			m.worker.handBack(m.ground)
			m.ground = b
			m.raster.Refresh()
		})
	})
	p.Watch(m.onChange)
	return m
}

func (m *mapView) onChange(c Change) {
	if c&SceneChanged != 0 {
		scene := m.p.scene
		if m.shown == nil || scene == nil || !sameGround(m.shown, scene) || !m.placed {
			m.fit(m.wholeExtent())
		}
		m.shown = scene
	}
	if c&(SceneChanged|DocChanged|ChosenChanged|StretchChanged|SettingsChanged) != 0 {
		m.raster.Refresh()
	}
	if c&(HoverChanged|SceneChanged) != 0 {
		m.moveMark()
	}
}

func (m *mapView) wholeExtent() plot.Extent {
	if m.p.scene == nil {
		return plot.NoExtent
	}
	return m.p.scene.Extent()
}

// fit shows an extent with a margin.
func (m *mapView) fit(e plot.Extent) {
	m.fitTo, m.pending, m.fitted = e, true, true
	m.placed = true
	m.raster.Refresh()
}

// FitAll shows the whole route, FitLeg the chosen leg.
func (m *mapView) FitAll() { m.fit(m.wholeExtent()); m.rangeFromView(true) }

// FitLeg shows the chosen leg; without one nothing happens.
func (m *mapView) FitLeg() {
	if s, i := m.p.scene, m.p.chosen; s != nil && i >= 0 {
		m.fit(s.LegExtent(i))
		if sv := m.p.Survey(); sv != nil && i < len(sv.Legs) {
			n := sv.ToM(i) - sv.FromM(i)
			m.p.SetRange(plot.Range{FromM: sv.FromM(i) - 0.15*n, ToM: sv.ToM(i) + 0.15*n})
		}
	}
}

// scale is the number of device pixels to a unit.
func (m *mapView) scale() float32 {
	if w := m.Size().Width; w > 0 && m.view.W > 0 {
		return float32(m.view.W) / w
	}
	return 1
}

// draw makes the picture; it is called while painting, with the size in device pixels.
func (m *mapView) draw(w, h int) image.Image {
	if m.frame == nil || m.frame.Rect.Dx() != w || m.frame.Rect.Dy() != h {
		m.frame = image.NewRGBA(image.Rect(0, 0, w, h))
	}
	pal := palette()
	if m.fitted && (m.view.W != w || m.view.H != h) {
		m.pending = true // another size, and the user has not moved the view: all is shown again
	}
	m.view.W, m.view.H = w, h
	m.view.Scale = 1
	if s := m.Size().Width; s > 0 {
		m.view.Scale = max(0.5, float32(w)/s) * m.p.settings.TextSize
	}
	if m.view.MetresPerPx <= 0 {
		m.view.MetresPerPx = 50
	}
	if m.pending && w > 1 && h > 1 {
		m.pending = false
		v := plot.Fit(m.fitTo, w, h, m.view.Scale, max(0.1*float64(min(w, h)), float64(44*m.view.Scale)))
		m.view = v
	}
	scene := m.p.scene
	fresh := m.ground.fits(m.view, scene, pal)
	if !fresh && scene != nil {
		m.worker.ask(scene, m.view, pal)
	}
	m.pen.Begin(m.frame)
	switch {
	case m.ground != nil && m.ground.pal == pal && sameGround(m.ground.scene, scene):
		m.ground.show(m.frame, m.view)
	default:
		m.pen.Clear(pal.Ground)
	}
	if scene != nil {
		st := plot.NoStyle
		st.Chosen = m.p.chosen
		st.Returns = m.p.turnBacks()
		st.NoFuel, st.NoWater, st.NoReturn = m.p.noReturns()
		st.RoadText, st.HelpText = m.p.wayOutTexts()
		if a, ok := m.p.SampleAt(m.p.stretch[0]); ok {
			if b, ok := m.p.SampleAt(m.p.stretch[1]); ok {
				st.From, st.To = a, b
			}
		}
		plot.DrawRoute(m.pen, scene, m.view, pal, m.p.Judgement(), st)
		if m.drawing != nil {
			plot.DrawSketch(m.pen, scene, m.view, pal, m.drawing.trace.Line, m.drawing.places)
		}
		plot.DrawFurniture(m.pen, scene, m.view, pal, m.p.settings.plotUnits())
		if plot.Lost(m.pen) || m.ground != nil && m.ground.lost && sameGround(m.ground.scene, scene) {
			plot.NoteLetters(m.pen, lettersNote(), m.view.Scale, pal)
		}
	}
	return m.frame
}

// changedView redraws and brings the strip in step.
func (m *mapView) changedView() {
	m.fitted = false
	m.onMoved()
	m.raster.Refresh()
	m.moveMark()
	m.soonRange()
}

// rangeDelay is how often the strip follows a moving map: drawing both on every frame would cost the map its
// smoothness, and nobody reads kilometres while they fly by.
const rangeDelay = 80 * time.Millisecond

// soonRange brings the strip in step, now or, after a change just before, a little later.
func (m *mapView) soonRange() {
	if m.rangeDue {
		return
	}
	if wait := rangeDelay - time.Since(m.rangeAt); wait > 0 {
		m.rangeDue = true
		time.AfterFunc(wait, func() { m.p.post(m.flushRange) })
		return
	}
	m.rangeAt = time.Now()
	m.rangeFromView(false)
}

// flushRange brings the strip in step when that is due.
func (m *mapView) flushRange() {
	if m.rangeDue {
		m.rangeDue = false
		m.rangeAt = time.Now()
		m.rangeFromView(false)
	}
}

// rangeFromView sets the kilometres of the strip to those in sight on the map.
func (m *mapView) rangeFromView(whole bool) {
	s, sv := m.p.scene, m.p.Survey()
	if s == nil || sv == nil || len(sv.Samples) == 0 {
		return
	}
	if whole {
		m.p.SetRange(plot.Whole(sv))
		return
	}
	first, last := s.InSight(m.view)
	if first < 0 {
		return
	}
	m.p.setRange(plot.Range{FromM: sv.Samples[first].DistanceM, ToM: sv.Samples[last].DistanceM}, RangeFollows)
}

func (m *mapView) pixel(pos fyne.Position) plot.Pt {
	k := m.scale()
	return plot.Pt{X: pos.X * k, Y: pos.Y * k}
}

// pick is the place of the route within 18 units of the pointer; ok is false when none is near.
func (m *mapView) pick(pos fyne.Position) (atM float64, ok bool) {
	s, sv := m.p.scene, m.p.Survey()
	if s == nil || sv == nil {
		return 0, false
	}
	x, y := m.view.Plane(m.pixel(pos))
	i, d, ok := s.Nearest(x, y)
	if !ok || d > 18*float64(m.scale())*m.view.MetresPerPx {
		return 0, false
	}
	return sv.Samples[i].DistanceM, true
}

// zoom changes the zoom about a place of the widget.
func (m *mapView) zoom(at fyne.Position, factor float64) {
	if m.view.W == 0 {
		return
	}
	m.view = m.view.ZoomAt(m.pixel(at), factor)
	m.changedView()
}

// ZoomIn and ZoomOut zoom about the middle.
func (m *mapView) ZoomIn() { m.zoom(m.middle(), 1.5) }

// ZoomOut shows more.
func (m *mapView) ZoomOut() { m.zoom(m.middle(), 1/1.5) }

func (m *mapView) middle() fyne.Position {
	return fyne.NewPos(m.Size().Width/2, m.Size().Height/2)
}

// Scrolled zooms about the pointer.
func (m *mapView) Scrolled(e *fyne.ScrollEvent) {
	dy := float64(max(-100, min(100, e.Scrolled.DY)))
	m.zoom(e.Position, math.Exp(0.008*dy))
}

// Dragged moves the ground with the pointer.
func (m *mapView) Dragged(e *fyne.DragEvent) {
	k := float64(m.scale())
	m.moved = true
	m.view = m.view.PanPx(float64(e.Dragged.DX)*k, float64(e.Dragged.DY)*k)
	m.changedView()
}

// DragEnd implements fyne.Draggable.
func (m *mapView) DragEnd() {}

// MouseDown and MouseUp tell a click from a drag, with a tolerance of 4 units.
func (m *mapView) MouseDown(e *desktop.MouseEvent) {
	m.pressed, m.moved = e.Position, false
	if c := fyne.CurrentApp().Driver().CanvasForObject(m); c != nil {
		c.Focus(m)
	}
}

// MouseUp chooses the leg under the pointer.
func (m *mapView) MouseUp(e *desktop.MouseEvent) {
	d := e.Position.Subtract(m.pressed)
	if e.Button != desktop.MouseButtonPrimary || math.Hypot(float64(d.X), float64(d.Y)) > 4 || m.moved {
		return
	}
	at, ok := m.pick(e.Position)
	if m.drawing != nil && m.p.scene != nil {
		x, y := m.view.Plane(m.pixel(e.Position))
		m.drawing.click(m.p.scene.Proj.LonLat(x, y), ok, at)
		return
	}
	if ok {
		m.p.Choose(m.p.LegAt(at))
	}
}

// TappedSecondary opens the menu of the place under the pointer.
func (m *mapView) TappedSecondary(e *fyne.PointEvent) {
	at, ok := m.pick(e.Position)
	if m.p.placeMenu != nil {
		m.p.placeMenu(at, ok, e.AbsolutePosition)
	}
}

// MouseIn implements desktop.Hoverable.
func (m *mapView) MouseIn(e *desktop.MouseEvent) { m.MouseMoved(e) }

// MouseMoved points at the route where the pointer is near it.
func (m *mapView) MouseMoved(e *desktop.MouseEvent) {
	if s := m.p.scene; s != nil && m.view.MetresPerPx > 0 {
		x, y := m.view.Plane(m.pixel(e.Position))
		m.onPlace(placeText(s.Proj.LonLat(x, y)))
	}
	if at, ok := m.pick(e.Position); ok {
		m.p.Point(at)
	} else {
		m.p.Point(math.NaN())
	}
}

// MouseOut implements desktop.Hoverable.
func (m *mapView) MouseOut() {
	m.onLeft()
	m.p.Point(math.NaN())
	m.onPlace("")
}

// Cursor implements desktop.Cursorable.
func (m *mapView) Cursor() desktop.Cursor {
	if m.p.hoverM == m.p.hoverM {
		return desktop.PointerCursor
	}
	return desktop.CrosshairCursor
}

// moveMark puts the mark of the place pointed at where it belongs.
func (m *mapView) moveMark() {
	i, ok := m.p.SampleAt(m.p.hoverM)
	s := m.p.scene
	if !ok || s == nil || m.view.W == 0 || s.Survey != m.p.Survey() {
		m.mark.hide()
		return
	}
	x, y := s.At(i)
	q := m.view.Screen(x, y)
	k := m.scale()
	pos := fyne.NewPos(q.X/k, q.Y/k)
	if pos.X < 0 || pos.Y < 0 || pos.X > m.Size().Width || pos.Y > m.Size().Height {
		m.mark.hide()
		return
	}
	m.mark.show(pos)
}

// FocusGained implements fyne.Focusable.
func (m *mapView) FocusGained() { m.focused = true; m.Refresh() }

// FocusLost implements fyne.Focusable.
func (m *mapView) FocusLost() { m.focused = false; m.Refresh() }

// TypedRune zooms with + and -.
func (m *mapView) TypedRune(r rune) {
	switch r {
	case '+', '=':
		m.ZoomIn()
	case '-', '_':
		m.ZoomOut()
	}
}

// TypedKey moves the view with the arrows, walks the legs with page up and down, shows all with Home.
func (m *mapView) TypedKey(e *fyne.KeyEvent) {
	const step = 80
	k := float64(m.scale())
	if m.drawing != nil {
		switch e.Name {
		case fyne.KeyReturn, fyne.KeyEnter:
			m.drawing.finish()
			return
		case fyne.KeyEscape:
			m.drawing.leave()
			return
		case fyne.KeyBackspace, fyne.KeyDelete:
			m.drawing.back()
			return
		}
	}
	switch e.Name {
	case fyne.KeyLeft:
		m.view = m.view.PanPx(step*k, 0)
	case fyne.KeyRight:
		m.view = m.view.PanPx(-step*k, 0)
	case fyne.KeyUp:
		m.view = m.view.PanPx(0, step*k)
	case fyne.KeyDown:
		m.view = m.view.PanPx(0, -step*k)
	case fyne.KeyPageDown:
		m.p.Step(1)
		return
	case fyne.KeyPageUp:
		m.p.Step(-1)
		return
	case fyne.KeyHome:
		m.FitAll()
		return
	case fyne.KeyEnd, fyne.KeyReturn, fyne.KeyEnter:
		m.FitLeg()
		return
	case fyne.KeyEscape:
		m.p.SetStretch(math.NaN(), math.NaN())
		return
	default:
		return
	}
	m.changedView()
}

// MinSize implements fyne.Widget.
func (m *mapView) MinSize() fyne.Size { return fyne.NewSize(240, 160) }

// CreateRenderer implements fyne.Widget.
func (m *mapView) CreateRenderer() fyne.WidgetRenderer { return &mapRenderer{m} }

type mapRenderer struct{ m *mapView }

func (r *mapRenderer) Layout(s fyne.Size) {
	r.m.raster.Resize(s)
	r.m.focus.resize(s)
	r.m.moveMark()
}
func (r *mapRenderer) MinSize() fyne.Size { return r.m.MinSize() }
func (r *mapRenderer) Refresh() {
	r.m.focus.show(r.m.focused)
	r.m.mark.recolor()
	r.m.raster.Refresh()
}
func (r *mapRenderer) Objects() []fyne.CanvasObject {
	return r.m.parts
}
func (r *mapRenderer) Destroy() {}

// hoverDot is the mark of the place pointed at: two circles that take no events.
type hoverDot struct{ ring, dot *canvas.Circle }

func newHoverDot() *hoverDot {
	d := &hoverDot{canvas.NewCircle(color.Black), canvas.NewCircle(color.White)}
	d.recolor()
	d.hide()
	return d
}

func (d *hoverDot) recolor() {
	p := palette()
	d.ring.FillColor, d.ring.StrokeColor, d.ring.StrokeWidth = p.Hover, p.Paper, 2
	d.dot.FillColor = p.Paper
}

func (d *hoverDot) show(p fyne.Position) {
	d.ring.Resize(fyne.NewSize(17, 17))
	d.ring.Move(p.SubtractXY(8.5, 8.5))
	d.dot.Resize(fyne.NewSize(7, 7))
	d.dot.Move(p.SubtractXY(3.5, 3.5))
	d.ring.Show()
	d.dot.Show()
}

func (d *hoverDot) hide() {
	if d.ring.Visible() {
		d.ring.Hide()
		d.dot.Hide()
	}
}
