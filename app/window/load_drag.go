package window

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"

	"lastroad/app/trip"
	"lastroad/app/units"
	"lastroad/risk"
)

// loadDrag is a row on its way between the lists or to a place in the vehicle. What is drawn takes no events.
type loadDrag struct {
	s     *loadScreen
	layer *fyne.Container
	back  *canvas.Rectangle
	text  *canvas.Text
	goal  *canvas.Rectangle // shows where it would land
	row   loadRow
	on    bool
	at    fyne.Position
}

func newLoadDrag(s *loadScreen) *loadDrag {
	d := &loadDrag{s: s, back: canvas.NewRectangle(color.Transparent), text: canvas.NewText("", color.Transparent), goal: canvas.NewRectangle(color.Transparent)}
	d.back.CornerRadius, d.back.StrokeWidth, d.goal.StrokeWidth, d.goal.CornerRadius = 4, 1, 2, 4
	d.layer = container.NewWithoutLayout(d.goal, d.back, d.text)
	d.layer.Hide()
	return d
}

// move follows the pointer; at is in the window's coordinates.
func (d *loadDrag) move(r loadRow, at fyne.Position) {
	if r.item == nil {
		return
	}
	if !d.on {
		d.on, d.row = true, r
		d.text.Text = capital(spoken(r.item.Title))
		d.text.TextSize = theme.TextSize()
		d.text.Color = theme.Color(theme.ColorNameForeground)
		d.back.FillColor, d.back.StrokeColor = theme.Color(theme.ColorNameOverlayBackground), theme.Color(theme.ColorNamePrimary)
		d.goal.StrokeColor = theme.Color(theme.ColorNamePrimary)
		m := d.text.MinSize()
		d.text.Resize(m)
		d.back.Resize(m.AddWidthHeight(14, 8))
		d.layer.Show()
	}
	d.at = at
	zero := fyne.CurrentApp().Driver().AbsolutePositionForObject(d.layer)
	p := at.Subtract(zero).AddXY(10, 8)
	d.back.Move(p)
	d.text.Move(p.AddXY(7, 4))
	if o := d.target(); o != nil {
		d.goal.Move(fyne.CurrentApp().Driver().AbsolutePositionForObject(o).Subtract(zero))
		d.goal.Resize(o.Size())
		d.goal.Show()
	} else {
		d.goal.Hide()
	}
	d.layer.Refresh()
}

// target is what the row would land on, nil for nowhere.
func (d *loadDrag) target() fyne.CanvasObject {
	over := func(o fyne.CanvasObject) bool {
		p := fyne.CurrentApp().Driver().AbsolutePositionForObject(o)
		z := o.Size()
		return d.at.X >= p.X && d.at.Y >= p.Y && d.at.X < p.X+z.Width && d.at.Y < p.Y+z.Height
	}
	for _, c := range d.s.rides {
		if over(c.box) {
			return c.box
		}
	}
	switch {
	case d.row.at < 0 && over(d.s.rightPane):
		return d.s.rightPane
	case d.row.at >= 0 && over(d.s.leftPane):
		return d.s.leftPane
	}
	return nil
}

// drop does what the target says and ends the drag.
func (d *loadDrag) drop() {
	if !d.on {
		return
	}
	o, r := d.target(), d.row
	d.on = false
	d.layer.Hide()
	if o == nil {
		return
	}
	for _, c := range d.s.rides {
		if o == c.box {
			d.s.ride(r, c.key)
			return
		}
	}
	if r.at < 0 {
		d.s.change(r, 1)
	} else {
		d.s.leave(r)
	}
}

// leave takes all pieces of a carried thing out of the load.
func (s *loadScreen) leave(r loadRow) {
	w := s.whose
	s.p.Edit(tr("Leave {{.What}} behind", with("What", spoken(r.item.Title))), "", func(pl *trip.Plan) {
		pt := w.of(pl)
		if r.at < len(pt.Load) && pt.Load[r.at].Item == r.item.Key {
			pt.Load = append(pt.Load[:r.at:r.at], pt.Load[r.at+1:]...)
		}
	})
}

// ride says where in the vehicle a thing rides; one that is left behind is carried there.
func (s *loadScreen) ride(r loadRow, place string) {
	w := s.whose
	s.p.Edit(tr("Carry {{.What}}: {{.Place}}", map[string]any{"What": spoken(r.item.Title), "Place": tr(place)}), "", func(pl *trip.Plan) {
		pt := w.of(pl)
		if r.at < 0 {
			addItem(pt, risk.LoadItem{Item: r.item.Key, Count: stepOf(r), Place: place})
		} else if r.at < len(pt.Load) && pt.Load[r.at].Item == r.item.Key {
			pt.Load[r.at].Place = place
		}
	})
}

// rideCell is one place of the vehicle with the mass that rides there; a row can be dropped on it.
type rideCell struct {
	key  string
	box  *fyne.Container
	name *canvas.Text
	mass *canvas.Text
}

// newRides makes the row of places under the load.
func newRides() (cells []*rideCell, row fyne.CanvasObject) {
	keys, names := places()
	var all []fyne.CanvasObject
	for i, k := range keys {
		c := &rideCell{key: k, name: canvas.NewText(names[i], color.Transparent), mass: canvas.NewText("", color.Transparent)}
		c.name.Alignment, c.mass.Alignment = fyne.TextAlignCenter, fyne.TextAlignCenter
		c.box = container.NewStack(newPanel(theme.ColorNameHeaderBackground, 4), container.NewPadded(container.New(column{gap: -2}, c.name, c.mass)))
		cells = append(cells, c)
		all = append(all, c.box)
	}
	return cells, container.New(&even{gap: 4}, all...)
}

// showRides adds up what rides where.
func (s *loadScreen) showRides() {
	kg := map[string]float64{}
	cat := s.p.catalogue()
	for _, l := range s.whose.of(&s.p.plan).Load {
		m, place := l.MassKg, l.Place
		if it, ok := cat.Item(l.Item); ok {
			if m == 0 {
				m = it.MassKg
			}
			place = firstOf(place, it.Place)
		}
		kg[place] += m * l.Count
	}
	for _, c := range s.rides {
		c.name.TextSize, c.mass.TextSize = theme.Size(theme.SizeNameCaptionText), theme.Size(theme.SizeNameCaptionText)
		c.name.Color, c.mass.Color = theme.Color(theme.ColorNamePlaceHolder), theme.Color(theme.ColorNameForeground)
		c.mass.Text = "–"
		if kg[c.key] > 0 {
			c.mass.Text = s.p.format().Format(units.Mass, kg[c.key])
		}
		c.box.Refresh()
	}
}

// --- rows as things that can be dragged ---

// Dragged implements fyne.Draggable.
func (l *loadLine) Dragged(e *fyne.DragEvent) { l.s.drag.move(l.row, e.AbsolutePosition) }

// DragEnd implements fyne.Draggable.
func (l *loadLine) DragEnd() { l.s.drag.drop() }

var _ fyne.Draggable = (*loadLine)(nil)
