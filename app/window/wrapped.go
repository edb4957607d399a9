package window

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// wrapButton is a button whose text wraps: a toolkit button with a long text pushes its pane wide, and what
// stands in the pane is then cut at the edge.
type wrapButton struct {
	widget.BaseWidget
	Text string
	// Importance: low for no ground of its own, high for the screen's main thing to do.
	Importance widget.Importance

	sign     fyne.Resource
	icon     *widget.Icon
	label    *widget.Label
	back     *canvas.Rectangle
	ring     *canvas.Rectangle
	OnTapped func()
	off      bool
	away     bool // out of sight: it can have the focus and shows nothing
	hovered  bool
	hasFocus bool
}

var (
	_ fyne.Tappable      = (*wrapButton)(nil)
	_ fyne.Focusable     = (*wrapButton)(nil)
	_ fyne.Disableable   = (*wrapButton)(nil)
	_ desktop.Hoverable  = (*wrapButton)(nil)
	_ desktop.Cursorable = (*wrapButton)(nil)
)

func newWrapButton(text string, icon fyne.Resource, run func()) *wrapButton {
	b := &wrapButton{Text: text, sign: icon, icon: widget.NewIcon(icon), label: prose(text), OnTapped: run, back: canvas.NewRectangle(color.Transparent), ring: canvas.NewRectangle(color.Transparent)}
	b.label.TextStyle.Bold = true
	b.back.CornerRadius, b.ring.CornerRadius = theme.InputRadiusSize(), theme.InputRadiusSize()
	b.ring.StrokeWidth = 2
	b.ExtendBaseWidget(b)
	b.paint()
	return b
}

// SetText changes the text.
func (b *wrapButton) SetText(t string) {
	if t != b.Text {
		b.Text = t
		b.label.SetText(t)
		b.Refresh()
	}
}

// SetIcon changes the icon.
func (b *wrapButton) SetIcon(r fyne.Resource) {
	b.sign = r
	b.paint()
}

func (b *wrapButton) paint() {
	var c color.Color = color.Transparent
	switch {
	case b.off && b.Importance != widget.LowImportance:
		c = theme.Color(theme.ColorNameDisabledButton)
	case b.hovered && b.Importance == widget.LowImportance:
		c = theme.Color(theme.ColorNameHover)
	case b.hovered:
		c = theme.Color(theme.ColorNameSelection)
	case b.Importance == widget.HighImportance:
		c = theme.Color(theme.ColorNameHover)
	case b.Importance != widget.LowImportance:
		c = theme.Color(theme.ColorNameButton)
	}
	b.back.FillColor = c
	b.ring.StrokeColor = color.Transparent
	if b.Importance == widget.HighImportance && !b.off {
		b.ring.StrokeColor = theme.Color(theme.ColorNamePrimary)
	}
	if b.hasFocus {
		b.ring.StrokeColor = theme.Color(theme.ColorNameFocus)
	}
	b.label.Importance = widget.MediumImportance
	b.label.TextStyle.Bold = true
	sign := b.sign
	if b.off {
		b.label.Importance = widget.LowImportance
		if sign != nil {
			sign = theme.NewDisabledResource(sign)
		}
	}
	b.icon.SetResource(sign)
	b.back.Refresh()
	b.ring.Refresh()
	b.label.Refresh()
}

// Refresh implements fyne.Widget.
func (b *wrapButton) Refresh() {
	b.paint()
	b.BaseWidget.Refresh()
}

// Tapped implements fyne.Tappable.
func (b *wrapButton) Tapped(*fyne.PointEvent) {
	if !b.off && b.OnTapped != nil {
		b.OnTapped()
	}
}

// TypedKey presses with Space and Enter.
func (b *wrapButton) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeySpace, fyne.KeyReturn, fyne.KeyEnter:
		b.Tapped(nil)
	}
}

// TypedRune implements fyne.Focusable.
func (b *wrapButton) TypedRune(rune) {}

// FocusGained implements fyne.Focusable.
func (b *wrapButton) FocusGained() { b.hasFocus = true; b.paint() }

// FocusLost implements fyne.Focusable.
func (b *wrapButton) FocusLost() { b.hasFocus = false; b.paint() }

// MouseIn implements desktop.Hoverable.
func (b *wrapButton) MouseIn(*desktop.MouseEvent) { b.hovered = !b.off; b.paint() }

// MouseMoved implements desktop.Hoverable.
func (b *wrapButton) MouseMoved(*desktop.MouseEvent) {}

// MouseOut implements desktop.Hoverable.
func (b *wrapButton) MouseOut() { b.hovered = false; b.paint() }

// Cursor implements desktop.Cursorable.
func (b *wrapButton) Cursor() desktop.Cursor { return desktop.DefaultCursor }

// Enable implements fyne.Disableable.
func (b *wrapButton) Enable() { b.off = false; b.paint() }

// Disable implements fyne.Disableable.
func (b *wrapButton) Disable() { b.off, b.hovered = true, false; b.paint() }

// Disabled implements fyne.Disableable.
func (b *wrapButton) Disabled() bool { return b.off }

// CreateRenderer implements fyne.Widget.
func (b *wrapButton) CreateRenderer() fyne.WidgetRenderer {
	return &wrapRenderer{widget.NewSimpleRenderer(container.NewStack(b.back, container.New(iconText{}, b.icon, b.label), b.ring)), b}
}

type wrapRenderer struct {
	fyne.WidgetRenderer
	b *wrapButton
}

// Objects implements fyne.WidgetRenderer.
func (r *wrapRenderer) Objects() []fyne.CanvasObject {
	if r.b.away {
		return nil
	}
	return r.WidgetRenderer.Objects()
}

// iconText puts a small picture before the first line of a text that may wrap.
type iconText struct{}

func (iconText) Layout(o []fyne.CanvasObject, s fyne.Size) {
	n := theme.IconInlineSize()
	pad := theme.InnerPadding()
	line := theme.TextSize() + 2*pad
	o[0].Resize(fyne.NewSize(n, n))
	o[0].Move(fyne.NewPos(pad, (min(line*1.2, s.Height)-n)/2))
	o[1].Resize(fyne.NewSize(s.Width-n-pad, s.Height))
	o[1].Move(fyne.NewPos(n+pad, 0))
}

func (iconText) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(90, max(theme.IconInlineSize(), o[1].MinSize().Height))
}

// tapLabel is a wrapped text that can be tapped, such as the text of a check.
type tapLabel struct {
	widget.Label
	run func()
}

func newTapLabel(text string, run func()) *tapLabel {
	l := &tapLabel{run: run}
	l.Text, l.Wrapping = text, fyne.TextWrapWord
	l.ExtendBaseWidget(l)
	return l
}

// Tapped implements fyne.Tappable.
func (l *tapLabel) Tapped(*fyne.PointEvent) { l.run() }

// checkRow gives a check a text that wraps beside it.
func checkRow(c *widget.Check, text string) fyne.CanvasObject {
	c.Text = ""
	return container.NewBorder(nil, nil, c, nil, newTapLabel(text, func() {
		if !c.Disabled() {
			c.SetChecked(!c.Checked)
		}
	}))
}

// pairLine is a name and a figure side by side, each wrapped in its half.
func pairLine(name string, figure *widget.Label) fyne.CanvasObject {
	figure.Wrapping, figure.Alignment = fyne.TextWrapWord, fyne.TextAlignTrailing
	return container.New(shares{0.5, 0.5}, prose(name), figure)
}
