package window

import (
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// tipLayer lies over the whole content and shows one line of help beside what is pointed at. It is made of
// things that take no events; a pop-up would take the pointer away from what it explains.
type tipLayer struct {
	layer *fyne.Container
	back  *canvas.Rectangle
	text  *canvas.Text
	timer *time.Timer
	for_  fyne.CanvasObject
	post  func(func()) // hands work to the window's goroutine
}

// tipDelay is how long the pointer must rest: long enough not to flicker while passing.
const tipDelay = 500 * time.Millisecond

func newTipLayer(post func(func())) *tipLayer {
	t := &tipLayer{post: post, back: canvas.NewRectangle(nil), text: canvas.NewText("", nil)}
	t.back.CornerRadius = 4
	t.back.StrokeWidth = 1
	t.layer = container.NewWithoutLayout(t.back, t.text)
	t.back.Hide()
	t.text.Hide()
	return t
}

// want shows the text beside o after a while.
func (t *tipLayer) want(o fyne.CanvasObject, text string) {
	t.hide()
	if text == "" {
		return
	}
	t.for_ = o
	t.timer = time.AfterFunc(tipDelay, func() {
		t.post(func() {
			if t.for_ == o {
				t.show(o, text)
			}
		})
	})
}

func (t *tipLayer) show(o fyne.CanvasObject, text string) {
	d := fyne.CurrentApp().Driver()
	at := d.AbsolutePositionForObject(o).Subtract(d.AbsolutePositionForObject(t.layer))
	t.text.Text, t.text.Color = text, theme.Color(theme.ColorNameForeground)
	t.text.TextSize = theme.Size(theme.SizeNameCaptionText)
	t.back.FillColor, t.back.StrokeColor = theme.Color(theme.ColorNameOverlayBackground), theme.Color(theme.ColorNameInputBorder)
	m := t.text.MinSize()
	box := fyne.NewSize(m.Width+12, m.Height+6)
	pos := fyne.NewPos(at.X, at.Y+o.Size().Height+4)
	all := t.layer.Size()
	if pos.X+box.Width > all.Width {
		pos.X = max(0, all.Width-box.Width-2)
	}
	if pos.Y+box.Height > all.Height {
		pos.Y = at.Y - box.Height - 4
	}
	t.back.Move(pos)
	t.back.Resize(box)
	t.text.Move(pos.AddXY(6, 3))
	t.text.Resize(m)
	t.back.Show()
	t.text.Show()
	t.layer.Refresh()
}

func (t *tipLayer) hide() {
	if t.timer != nil {
		t.timer.Stop()
	}
	t.for_ = nil
	if t.back.Visible() {
		t.back.Hide()
		t.text.Hide()
	}
}

// toolButton is a button with a tip, for the toolbar and the map.
type toolButton struct {
	widget.Button
	tips *tipLayer
	tip  func() string
}

var _ desktop.Hoverable = (*toolButton)(nil)

func newToolButton(icon fyne.Resource, tips *tipLayer, tip func() string, run func()) *toolButton {
	b := &toolButton{tips: tips, tip: tip}
	b.Icon, b.OnTapped = icon, run
	b.ExtendBaseWidget(b)
	return b
}

// MouseIn implements desktop.Hoverable.
func (b *toolButton) MouseIn(e *desktop.MouseEvent) {
	b.Button.MouseIn(e)
	b.want()
}

// MouseOut implements desktop.Hoverable.
func (b *toolButton) MouseOut() {
	b.Button.MouseOut()
	b.done()
}

// FocusGained shows the tip for those who use the keyboard.
func (b *toolButton) FocusGained() {
	b.Button.FocusGained()
	b.want()
}

// want asks for the tip, where there is one.
func (b *toolButton) want() {
	if b.tips != nil && b.tip != nil {
		b.tips.want(b, b.tip())
	}
}

// FocusLost hides it.
func (b *toolButton) FocusLost() {
	b.Button.FocusLost()
	b.done()
}

func (b *toolButton) done() {
	if b.tips != nil {
		b.tips.hide()
	}
}

// tipLabel is a line that is cut short where there is no room, and shows itself whole when it is pointed at.
type tipLabel struct {
	widget.Label
	tips *tipLayer
}

var _ desktop.Hoverable = (*tipLabel)(nil)

func newTipLabel(tips *tipLayer, size fyne.ThemeSizeName) *tipLabel {
	l := &tipLabel{tips: tips}
	l.SizeName, l.Truncation = size, fyne.TextTruncateEllipsis
	l.ExtendBaseWidget(l)
	return l
}

// MouseIn implements desktop.Hoverable.
func (l *tipLabel) MouseIn(*desktop.MouseEvent) {
	if fyne.MeasureText(l.Text, theme.Size(l.SizeName), l.TextStyle).Width > l.Size().Width-2*theme.InnerPadding() {
		l.tips.want(l, l.Text)
	}
}

// MouseMoved implements desktop.Hoverable.
func (l *tipLabel) MouseMoved(*desktop.MouseEvent) {}

// MouseOut implements desktop.Hoverable.
func (l *tipLabel) MouseOut() { l.tips.hide() }
