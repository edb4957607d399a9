package window

import (
	"fmt"
	"image"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/papers"
)

// pageView leafs through the pages of a printed paper, as they will come out of the printer. The pages are
// drawn by a worker, one at a time, in the dots of the screen.
type pageView struct {
	s     *shell
	pages *papers.Pages
	page  int
	zoom  float32 // screen units a point; 0 fits the width, negative the whole page
	shown float32 // the zoom of the picture on the screen

	root   fyne.CanvasObject
	sheet  *pageSheet
	scroll *container.Scroll
	count  *widget.Label
	parts  *widget.Select
	starts []int // pages on which the parts begin
	back   *widget.Button
	next   *widget.Button

	drawing bool // a worker draws
	stale   bool // something changed meanwhile
}

// zooms are the steps of the buttons.
const zoomStep = 1.25

func newPageView(s *shell, pages *papers.Pages, page int) *pageView {
	v := &pageView{s: s, pages: pages}
	v.sheet = newPageSheet(v)
	v.scroll = container.NewScroll(container.NewCenter(v.sheet))
	v.count = widget.NewLabel("")
	v.back = widget.NewButtonWithIcon("", theme.NavigateBackIcon(), func() { v.turn(v.page - 1) })
	v.next = widget.NewButtonWithIcon("", theme.NavigateNextIcon(), func() { v.turn(v.page + 1) })
	small := widget.NewButtonWithIcon("", theme.ZoomOutIcon(), func() { v.scale(1 / zoomStep) })
	large := widget.NewButtonWithIcon("", theme.ZoomInIcon(), func() { v.scale(zoomStep) })
	width := widget.NewButton(tr("Width"), func() { v.setZoom(0) })
	whole := widget.NewButton(tr("Page"), func() { v.setZoom(-1) })
	for _, b := range []*widget.Button{v.back, v.next, small, large, width, whole} {
		b.Importance = widget.LowImportance
	}
	titles, starts := pages.Marks()
	v.starts = starts
	for i := range titles { // the page behind it makes each title the only one of its kind
		titles[i] += fmt.Sprintf("  ·  %d", starts[i]+1)
	}
	v.parts = widget.NewSelect(titles, nil)
	v.parts.PlaceHolder = tr("Go to…")
	bar := container.NewHBox(v.back, v.count, v.next)
	zooms := container.NewHBox(small, large, width, whole)
	v.root = container.NewBorder(container.NewBorder(nil, nil, bar, zooms, container.New(narrow{}, v.parts)), nil, nil, nil,
		container.New(&watched{resized: v.resized}, v.scroll))
	v.turn(page)
	v.parts.OnChanged = func(string) {
		if i := v.parts.SelectedIndex(); i >= 0 && v.starts[i] != v.page {
			v.turn(v.starts[i])
		}
	}
	return v
}

// turn shows another page; before the first and behind the last there is none.
func (v *pageView) turn(to int) {
	v.page = max(0, min(v.pages.Len()-1, to))
	v.count.SetText(tr("{{.N}} of {{.M}}", map[string]any{"N": v.page + 1, "M": v.pages.Len()}))
	enable(v.back, v.page > 0)
	enable(v.next, v.page < v.pages.Len()-1)
	for i := len(v.starts) - 1; i >= 0; i-- {
		if v.starts[i] <= v.page { // the part that this page belongs to
			if v.parts.SelectedIndex() != i && (v.parts.SelectedIndex() < 0 || v.starts[v.parts.SelectedIndex()] != v.page) {
				f := v.parts.OnChanged
				v.parts.OnChanged = nil
				v.parts.SetSelectedIndex(i)
				v.parts.OnChanged = f
			}
			break
		}
	}
	v.scroll.ScrollToTop()
	v.redraw()
}

func enable(b *widget.Button, on bool) {
	if on {
		b.Enable()
	} else {
		b.Disable()
	}
}

func (v *pageView) scale(by float32) {
	v.setZoom(max(0.2, min(6, v.units()*by)))
}

func (v *pageView) setZoom(z float32) {
	v.zoom = z
	v.redraw()
}

// units are the screen units that a point of the page takes.
func (v *pageView) units() float32 {
	w, h := v.pages.Size()
	have := v.scroll.Size()
	const edge = 14 // the scroll bar
	wide := max(0.1, (have.Width-edge)/float32(w))
	switch {
	case v.zoom > 0:
		return v.zoom
	case v.zoom < 0:
		return min(wide, max(0.1, (have.Height-2)/float32(h)))
	}
	return wide
}

func (v *pageView) resized() {
	if math.Abs(float64(v.units()-v.shown)) > 1e-4 {
		v.redraw()
	}
}

// mostDots bounds a drawn page: about 30 MB.
const mostDots = 2800

// redraw has the page drawn; while a worker is at it, once more after it.
func (v *pageView) redraw() {
	if v.scroll.Size().Width < 20 {
		return // not laid out yet: resized calls again
	}
	w, h := v.pages.Size()
	k := v.units()
	v.shown = k
	v.sheet.resize(fyne.NewSize(k*float32(w), k*float32(h)))
	v.scroll.Refresh()
	if v.drawing {
		v.stale = true
		return
	}
	v.drawing, v.stale = true, false
	// The driver knows no canvas of an object before it is first painted: the window's own is the same.
	dpi := min(72*float64(k)*float64(v.s.win.Canvas().Scale()), 72*mostDots/h)
	page := v.page
	v.s.p.workers.Add(1)
	go func() {
		defer v.s.p.workers.Done()
		img, err := guarded(func() (*image.RGBA, error) { return v.pages.Picture(page, dpi), nil })
		v.s.p.post(func() {
			v.drawing = false
			if err == nil {
				v.sheet.show(img)
			}
			if v.stale {
				v.redraw()
			}
		})
	}()
}

// pageSheet is the page on the screen. The keys leaf while it has the focus.
type pageSheet struct {
	widget.BaseWidget
	v       *pageView
	picture *canvas.Image
	ring    *canvas.Rectangle
	size    fyne.Size
}

func newPageSheet(v *pageView) *pageSheet {
	p := &pageSheet{v: v, picture: canvas.NewImageFromImage(image.NewRGBA(image.Rect(0, 0, 1, 1))), ring: canvas.NewRectangle(nil)}
	p.picture.ScaleMode = canvas.ImageScaleFastest // the picture has the dots of the screen
	p.ring.StrokeWidth = 1
	p.ring.StrokeColor = theme.Color(theme.ColorNameSeparator)
	p.ExtendBaseWidget(p)
	return p
}

func (p *pageSheet) resize(s fyne.Size) {
	p.size = s
	p.Refresh()
}

func (p *pageSheet) show(img *image.RGBA) {
	p.picture.Image = img
	p.picture.Refresh()
}

// MinSize is the size of the page.
func (p *pageSheet) MinSize() fyne.Size { return p.size }

// CreateRenderer implements fyne.Widget.
func (p *pageSheet) CreateRenderer() fyne.WidgetRenderer {
	return widget.NewSimpleRenderer(container.NewStack(p.picture, p.ring))
}

// Tapped takes the focus, for the keys.
func (p *pageSheet) Tapped(*fyne.PointEvent) {
	if c := fyne.CurrentApp().Driver().CanvasForObject(p); c != nil {
		c.Focus(p)
	}
}

// FocusGained implements fyne.Focusable.
func (p *pageSheet) FocusGained() { p.edge(theme.ColorNamePrimary) }

// FocusLost implements fyne.Focusable.
func (p *pageSheet) FocusLost() { p.edge(theme.ColorNameSeparator) }

func (p *pageSheet) edge(c fyne.ThemeColorName) {
	p.ring.StrokeColor = theme.Color(c)
	p.ring.Refresh()
}

// TypedRune implements fyne.Focusable: plus and minus zoom.
func (p *pageSheet) TypedRune(r rune) {
	switch r {
	case '+', '=':
		p.v.scale(zoomStep)
	case '-':
		p.v.scale(1 / zoomStep)
	}
}

// TypedKey implements fyne.Focusable: page keys and arrows leaf, Home and End go to the ends.
func (p *pageSheet) TypedKey(k *fyne.KeyEvent) {
	switch k.Name {
	case fyne.KeyPageDown, fyne.KeyRight, fyne.KeySpace:
		p.v.turn(p.v.page + 1)
	case fyne.KeyPageUp, fyne.KeyLeft, fyne.KeyBackspace:
		p.v.turn(p.v.page - 1)
	case fyne.KeyHome:
		p.v.turn(0)
	case fyne.KeyEnd:
		p.v.turn(p.v.pages.Len() - 1)
	case fyne.KeyDown:
		p.v.scroll.Scrolled(&fyne.ScrollEvent{Scrolled: fyne.NewDelta(0, -60)})
	case fyne.KeyUp:
		p.v.scroll.Scrolled(&fyne.ScrollEvent{Scrolled: fyne.NewDelta(0, 60)})
	}
}

// watched gives its object all the room and tells after each layout.
type watched struct{ resized func() }

// Layout implements fyne.Layout.
func (w *watched) Layout(o []fyne.CanvasObject, s fyne.Size) {
	for _, x := range o {
		x.Resize(s)
		x.Move(fyne.Position{})
	}
	w.resized()
}

// MinSize implements fyne.Layout.
func (w *watched) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(120, 120) }
