package window

import (
	"errors"
	"math"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/trip"
	"lastroad/app/units"
)

// panel is a rectangle in a colour of the theme that follows the theme.
type panel struct {
	widget.BaseWidget
	name   fyne.ThemeColorName
	radius float32
	rect   *canvas.Rectangle
}

func newPanel(name fyne.ThemeColorName, radius float32) *panel {
	p := &panel{name: name, radius: radius, rect: canvas.NewRectangle(theme.Color(name))}
	p.rect.CornerRadius = radius
	p.ExtendBaseWidget(p)
	return p
}

// CreateRenderer implements fyne.Widget.
func (p *panel) CreateRenderer() fyne.WidgetRenderer { return &panelRenderer{p} }

type panelRenderer struct{ p *panel }

func (r *panelRenderer) Layout(s fyne.Size)           { r.p.rect.Resize(s) }
func (r *panelRenderer) MinSize() fyne.Size           { return fyne.NewSize(1, 1) }
func (r *panelRenderer) Refresh()                     { r.p.rect.FillColor = theme.Color(r.p.name); r.p.rect.Refresh() }
func (r *panelRenderer) Destroy()                     {}
func (r *panelRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.p.rect} }

// card is a titled box.
func card(title string, o ...fyne.CanvasObject) fyne.CanvasObject {
	inner := container.New(column{gap: 3}, o...)
	rows := []fyne.CanvasObject{heading(title), inner}
	return container.NewStack(newPanel(theme.ColorNameHeaderBackground, 6), container.NewPadded(container.NewPadded(container.New(column{gap: 2}, rows...))))
}

// quantityField is an entry for a number with its unit. What is typed is taken as soon as it can be read and
// lies in its range; until then the field says what is wrong and the trip stays as it was. An empty field
// means "not given": the default shows through in grey and the mark beside it says so.
type quantityField struct {
	widget.BaseWidget
	p        *Presenter
	spec     fieldSpec
	entry    *focusEntry
	note     *widget.Label
	alarm    *widget.Label // what is wrong, under the line, with the range that is allowed
	applying bool
}

// fieldSpec says what a field edits.
type fieldSpec struct {
	id, label string
	quantity  units.Quantity
	low, high float64
	// read and write stand in for get and set where a field edits no plan (the bench); format too, where
	// the usual unit of the quantity does not fit.
	read   func() float64
	write  func(float64)
	format func() units.Formatter
	// needed is what the mark beside an empty field says; "" = "not given".
	needed string
	// get reads the value from a plan, 0 or NaN when it is not given; set writes it, 0 for not given.
	get func(*trip.Plan) float64
	set func(*trip.Plan, float64)
	// standard is the default for the plan, NaN when there is none.
	standard func(*trip.Plan) float64
	zero     bool // 0 is a value of its own and not "not given"
}

func newQuantityField(p *Presenter, spec fieldSpec) *quantityField {
	f := &quantityField{p: p, spec: spec, entry: newFocusEntry(), note: caption(""), alarm: soft("")}
	f.note.Truncation = fyne.TextTruncateEllipsis
	f.alarm.Importance = widget.DangerImportance
	f.alarm.Hide()
	f.entry.OnChanged = f.typed
	f.entry.onLost = f.show
	f.ExtendBaseWidget(f)
	if spec.read == nil {
		p.Watch(func(c Change) {
			if c&(PlanChanged|DocChanged|SettingsChanged) != 0 {
				f.show()
			}
		})
	}
	f.show()
	return f
}

// shown reports whether there is something to edit.
func (f *quantityField) shown() bool { return f.spec.read != nil || f.p.doc != nil }

func (f *quantityField) value() float64 {
	if f.spec.read != nil {
		return f.spec.read()
	}
	return f.spec.get(&f.p.plan)
}

func (f *quantityField) formatter() units.Formatter {
	if f.spec.format != nil {
		return f.spec.format()
	}
	return f.p.format()
}

// show brings the field in line with the plan, unless it is being typed in.
func (f *quantityField) show() {
	if !f.shown() || f.entry.focused {
		f.mark()
		return
	}
	v := f.value()
	text := ""
	if f.given(v) {
		text = f.formatter().Edit(f.spec.quantity, v)
	}
	f.applying = true
	f.entry.SetPlaceHolder(f.standardText())
	if f.entry.Text != text {
		f.entry.SetText(text)
	}
	f.content()
	f.applying = false
	f.mark()
}

// content takes back what was said against the text.
func (f *quantityField) content() {
	f.entry.SetValidationError(nil)
	if f.alarm.Visible() {
		f.alarm.Hide()
		f.Refresh()
	}
}

func (f *quantityField) given(v float64) bool { return v == v && (v != 0 || f.spec.zero) }

func (f *quantityField) standardText() string {
	if f.spec.standard == nil || !f.shown() {
		return ""
	}
	if d := f.spec.standard(&f.p.plan); d == d && d != 0 {
		return f.formatter().Format(f.spec.quantity, d)
	}
	return ""
}

func (f *quantityField) mark() {
	if !f.shown() {
		return
	}
	note := ""
	if !f.given(f.value()) {
		switch {
		case f.standardText() != "":
			note = tr("default")
		case f.spec.needed != "":
			note = f.spec.needed
		default:
			note = tr("not given")
		}
	}
	if f.note.Text != note {
		f.note.Importance = widget.LowImportance
		f.note.SetText(note)
	}
}

func (f *quantityField) typed(text string) {
	if f.applying || !f.shown() {
		return
	}
	v := 0.0
	if strings.TrimSpace(text) != "" {
		fm := f.formatter()
		read, err := fm.Parse(f.spec.quantity, text)
		allowed := map[string]any{"A": fm.Format(f.spec.quantity, f.spec.low), "B": fm.Format(f.spec.quantity, f.spec.high)}
		switch {
		case err != nil:
			f.complain(tr("Not read as a figure; write it like {{.A}}. From {{.A}} to {{.B}} is allowed.", allowed))
			return
		case read < f.spec.low || read > f.spec.high:
			f.complain(tr("From {{.A}} to {{.B}} is allowed.", allowed))
			return
		}
		v = read
	} else if f.spec.zero {
		v = math.NaN()
	}
	f.content()
	if old := f.value(); v == old || v != v && old != old {
		f.mark()
		return
	}
	if f.spec.write != nil {
		f.spec.write(v)
		f.mark()
		return
	}
	f.p.Edit(f.spec.label, "field:"+f.spec.id, func(pl *trip.Plan) { f.spec.set(pl, v) })
	f.mark()
}

func (f *quantityField) complain(text string) {
	f.entry.SetValidationError(errors.New(text))
	f.alarm.SetText("✗ " + text)
	f.alarm.Show()
	f.Refresh()
}

// CreateRenderer implements fyne.Widget.
func (f *quantityField) CreateRenderer() fyne.WidgetRenderer {
	l := prose(f.spec.label)
	return widget.NewSimpleRenderer(container.New(column{}, container.New(fieldRow{}, l, f.entry, f.note), f.alarm))
}

// fieldRow gives a label, an entry and a note their shares of a line.
type fieldRow struct{}

func (fieldRow) Layout(o []fyne.CanvasObject, s fyne.Size) {
	x := float32(0)
	for i, share := range []float32{0.44, 0.32, 0.24} {
		putLine(o[i], x, s.Width*share-2, s.Height)
		x += s.Width * share
	}
}

func (fieldRow) MinSize(o []fyne.CanvasObject) fyne.Size {
	h := float32(0)
	for _, x := range o {
		h = max(h, x.MinSize().Height)
	}
	return fyne.NewSize(260, h)
}

// focusEntry is an entry that knows whether it is being typed in.
type focusEntry struct {
	widget.Entry
	focused bool
	onLost  func()
}

func newFocusEntry() *focusEntry {
	e := &focusEntry{}
	e.ExtendBaseWidget(e)
	e.Scroll = container.ScrollHorizontalOnly
	return e
}

// FocusGained implements fyne.Focusable.
func (e *focusEntry) FocusGained() {
	e.focused = true
	e.Entry.FocusGained()
}

// FocusLost implements fyne.Focusable.
func (e *focusEntry) FocusLost() {
	e.focused = false
	e.Entry.FocusLost()
	if e.onLost != nil {
		e.onLost()
	}
}

// textField edits a text of the plan.
func textField(p *Presenter, id, label, hint string, get func(*trip.Plan) string, set func(*trip.Plan, string)) fyne.CanvasObject {
	e := newFocusEntry()
	e.SetPlaceHolder(hint)
	applying := false
	show := func() {
		if p.doc == nil || e.focused {
			return
		}
		if t := get(&p.plan); t != e.Text {
			applying = true
			e.SetText(t)
			applying = false
		}
	}
	e.OnChanged = func(t string) {
		if applying || p.doc == nil || t == get(&p.plan) {
			return
		}
		p.Edit(label, "field:"+id, func(pl *trip.Plan) { set(pl, t) })
	}
	e.onLost = show
	p.Watch(func(c Change) {
		if c&(PlanChanged|DocChanged) != 0 {
			show()
		}
	})
	show()
	return container.New(pairRow{}, prose(label), e)
}

// putLine gives an object its width and, in the middle of a line, the height that it asks for with that: a
// label may wrap, an entry stays one line high.
func putLine(o fyne.CanvasObject, x, width, height float32) {
	o.Resize(fyne.NewSize(width, o.MinSize().Height))
	h := min(height, o.MinSize().Height)
	o.Resize(fyne.NewSize(width, h))
	o.Move(fyne.NewPos(x, (height-h)/2))
}

// pairRow gives a label and one object their shares of a line.
type pairRow struct{}

func (pairRow) Layout(o []fyne.CanvasObject, s fyne.Size) {
	a := s.Width * 0.44
	putLine(o[0], 0, a-2, s.Height)
	putLine(o[1], a, s.Width-a-2, s.Height)
}

func (pairRow) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(260, max(o[0].MinSize().Height, o[1].MinSize().Height))
}

// checkField edits a yes or no of the plan.
func checkField(p *Presenter, label string, get func(*trip.Plan) bool, set func(*trip.Plan, bool)) *widget.Check {
	c := widget.NewCheck(label, nil)
	show := func() {
		if p.doc != nil {
			if v := get(&p.plan); v != c.Checked {
				c.Checked = v
				c.Refresh()
			}
		}
	}
	c.OnChanged = func(v bool) {
		if p.doc != nil && v != get(&p.plan) {
			p.Edit(label, "", func(pl *trip.Plan) { set(pl, v) })
		}
	}
	p.Watch(func(ch Change) {
		if ch&(PlanChanged|DocChanged) != 0 {
			show()
		}
	})
	show()
	return c
}

// choiceField edits one of some choices; keys and names go together.
func choiceField(p *Presenter, label string, keys, names []string, get func(*trip.Plan) string, set func(*trip.Plan, string)) fyne.CanvasObject {
	sel := widget.NewSelect(names, nil)
	applying := false
	show := func() {
		if p.doc == nil {
			return
		}
		if i := indexOf(keys, get(&p.plan)); i >= 0 && sel.SelectedIndex() != i {
			applying = true
			sel.SetSelectedIndex(i)
			applying = false
		}
	}
	sel.OnChanged = func(string) {
		i := sel.SelectedIndex()
		if applying || p.doc == nil || i < 0 || keys[i] == get(&p.plan) {
			return
		}
		p.Edit(label, "", func(pl *trip.Plan) { set(pl, keys[i]) })
	}
	p.Watch(func(ch Change) {
		if ch&(PlanChanged|DocChanged) != 0 {
			show()
		}
	})
	show()
	return container.New(pairRow{}, prose(label), sel)
}
