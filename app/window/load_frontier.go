package window

import (
	"image"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/plot"
	"lastroad/app/units"
	"lastroad/risk"
)

// frontierView is the picture of readiness against kilograms: pointing at a mark says which set it is, a click or
// the arrow keys choose it.
type frontierView struct {
	widget.BaseWidget
	points []risk.Pack
	chosen int
	raster *canvas.Raster
	pick   func(i int)
	ring   *canvas.Rectangle
}

func newFrontierView(points []risk.Pack, pick func(int)) *frontierView {
	v := &frontierView{points: points, chosen: -1, pick: pick, ring: canvas.NewRectangle(nil)}
	v.ring.StrokeWidth = 2
	v.ring.Hide()
	pen := plot.NewRaster(pictureFonts())
	v.raster = newPicture(func(w, h int) image.Image {
		img := image.NewRGBA(image.Rect(0, 0, w, h))
		pen.Begin(img)
		scale := float32(1)
		if z := v.Size(); z.Width > 0 {
			scale = float32(w) / z.Width
		}
		plot.DrawFrontier(pen, v.points, palette(), plot.FrontierStyle{Scale: scale, Chosen: v.chosen, Words: frontierWords()})
		return img
	})
	v.ExtendBaseWidget(v)
	return v
}

func frontierWords() plot.FrontierWords {
	return plot.FrontierWords{Added: tr("added, kg"), Readiness: tr("readiness of the trip"), Now: tr("as it is"),
		Nothing: tr("nothing in the catalogue would win a point"), Bound: tr("hollow: the search was cut short"), Comma: decimalComma()}
}

// CreateRenderer implements fyne.Widget.
func (v *frontierView) CreateRenderer() fyne.WidgetRenderer {
	return widget.NewSimpleRenderer(container.NewStack(v.raster, v.ring))
}

// MinSize implements fyne.Widget.
func (v *frontierView) MinSize() fyne.Size { return fyne.NewSize(200, 190) }

func (v *frontierView) at(p fyne.Position) int {
	z := v.Size()
	return plot.FrontierAt(z.Width, z.Height, v.points, 1, p.X, p.Y)
}

func (v *frontierView) choose(i int) {
	if i < 0 || i >= len(v.points) || i == v.chosen {
		return
	}
	v.chosen = i
	v.raster.Refresh()
	v.pick(i)
}

// Tapped implements fyne.Tappable.
func (v *frontierView) Tapped(e *fyne.PointEvent) { v.choose(v.at(e.Position)) }

// MouseIn implements desktop.Hoverable.
func (v *frontierView) MouseIn(*desktop.MouseEvent) {}

// MouseMoved implements desktop.Hoverable.
func (v *frontierView) MouseMoved(e *desktop.MouseEvent) { v.choose(v.at(e.Position)) }

// MouseOut implements desktop.Hoverable.
func (v *frontierView) MouseOut() {}

// FocusGained implements fyne.Focusable.
func (v *frontierView) FocusGained() {
	v.ring.StrokeColor = theme.Color(theme.ColorNamePrimary)
	v.ring.Show()
	v.ring.Refresh()
}

// FocusLost implements fyne.Focusable.
func (v *frontierView) FocusLost() { v.ring.Hide() }

// TypedRune implements fyne.Focusable.
func (v *frontierView) TypedRune(rune) {}

// TypedKey implements fyne.Focusable.
func (v *frontierView) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeyRight, fyne.KeyUp:
		v.choose(min(len(v.points)-1, v.chosen+1))
	case fyne.KeyLeft, fyne.KeyDown:
		v.choose(max(0, v.chosen-1))
	}
}

// showFrontier puts the picture and the set that is chosen in it into the advice.
func (s *loadScreen) showFrontier() {
	points := s.told.Frontier
	if len(points) < 2 {
		return
	}
	text := prose(tr("Point at a mark to see which set it is; choose one with a click or the arrow keys."))
	take := newAction(tr("Carry this set"), theme.ContentAddIcon(), nil)
	take.Disable()
	why := soft(tr("Choose a mark first."))
	view := newFrontierView(points, func(i int) {
		p := points[i]
		if len(p.Items) == 0 {
			text.SetText(tr("As it is now: {{.R}}.", with("R", f1(p.Readiness))))
			take.Disable()
			why.SetText(tr("There is nothing to add in this one."))
			why.Show()
			return
		}
		t := tr("{{.R}} with {{.What}}, {{.Mass}}", map[string]any{"R": f1(p.Readiness), "What": spoken(p.Title), "Mass": s.p.format().Format(units.Mass, p.Kg)})
		if !p.Exact {
			t += " " + tr("The search was cut short: a better set of this mass may exist, none above {{.N}}.", with("N", f1(p.UpTo)))
		}
		text.SetText(t)
		take.OnTapped = func() { s.p.AddItems(spoken(p.Title), p.Items) }
		take.Enable()
		why.Hide()
	})
	s.advice.Add(bold(tr("Readiness against kilograms")))
	s.advice.Add(soft(tr("Each mark is a set that no other beats in both mass and readiness, up to the payload left.")))
	s.advice.Add(view)
	s.advice.Add(text)
	s.advice.Add(take)
	s.advice.Add(why)
}
