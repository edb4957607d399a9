package window

import (
	"fmt"
	"image"
	"image/color"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/words"
)

func heading(t string) *widget.Label {
	l := widget.NewLabel(t)
	l.TextStyle.Bold = true
	l.SizeName = theme.SizeNameSubHeadingText
	l.Wrapping = fyne.TextWrapWord
	return l
}

func prose(t string) *widget.Label {
	l := widget.NewLabel(t)
	l.Wrapping = fyne.TextWrapWord
	return l
}

func plainText(t string) *widget.Label { return widget.NewLabel(t) }

func soft(t string) *widget.Label {
	l := prose(t)
	l.SizeName = theme.SizeNameCaptionText
	return l
}

func caption(t string) *widget.Label {
	l := widget.NewLabel(t)
	l.SizeName = theme.SizeNameCaptionText
	return l
}

func cautionLine(t string) *widget.Label {
	l := prose("⚠ " + t)
	l.Importance = widget.WarningImportance
	return l
}

func newAction(text string, icon fyne.Resource, f func()) *wrapButton {
	return newWrapButton(text, icon, f)
}

// offer is a proposal that wraps, with a button to take it. A button's own text cannot wrap, and a long one
// would push the pane wide.
func offer(text string, take func()) fyne.CanvasObject {
	b := widget.NewButtonWithIcon(tr("Carry"), theme.ContentAddIcon(), take)
	return container.NewStack(newPanel(theme.ColorNameHeaderBackground, 4), container.NewBorder(nil, nil, nil, container.NewCenter(b), prose(text)))
}

// newPicture is a picture drawn in the dots of the screen. So it needs no smoothing, which costs a frame several
// milliseconds where the processor paints the screen.
func newPicture(draw func(w, h int) image.Image) *canvas.Raster {
	r := canvas.NewRaster(draw)
	r.ScaleMode = canvas.ImageScalePixels
	return r
}

// shareBar is a thin bar whose length is a share of the width.
type shareBar struct {
	widget.BaseWidget
	share float32
	bar   *canvas.Rectangle
	rest  *canvas.Rectangle
}

func newShareBar(share float32, c color.Color) *shareBar {
	b := &shareBar{share: max(0, min(1, share)), bar: canvas.NewRectangle(c), rest: canvas.NewRectangle(theme.Color(theme.ColorNameSeparator))}
	b.bar.CornerRadius, b.rest.CornerRadius = 2.5, 2.5
	b.ExtendBaseWidget(b)
	return b
}

// CreateRenderer implements fyne.Widget.
func (b *shareBar) CreateRenderer() fyne.WidgetRenderer { return &shareBarRenderer{b} }

type shareBarRenderer struct{ b *shareBar }

func (r *shareBarRenderer) Layout(s fyne.Size) {
	x := theme.InnerPadding()
	w := max(0, s.Width-2*x)
	r.b.rest.Move(fyne.NewPos(x, 0))
	r.b.rest.Resize(fyne.NewSize(w, s.Height))
	r.b.bar.Move(fyne.NewPos(x, 0))
	r.b.bar.Resize(fyne.NewSize(w*r.b.share, s.Height))
}
func (r *shareBarRenderer) MinSize() fyne.Size { return fyne.NewSize(40, 5) }
func (r *shareBarRenderer) Refresh()           {}
func (r *shareBarRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.b.rest, r.b.bar}
}
func (r *shareBarRenderer) Destroy() {}

func f0(v float64) string { return fmt.Sprintf("%.0f", v) }
func f1(v float64) string { return point(fmt.Sprintf("%.1f", v)) }

// trim writes a count without needless digits.
func trim(v float64) string { return point(strings.TrimSuffix(fmt.Sprintf("%.1f", v), ".0")) }

// minutes writes a duration given in minutes.
func minutes(m float64) string {
	if m != m {
		return tr("unknown")
	}
	if m < 90 {
		return tr("{{.N}} min", with("N", f0(m)))
	}
	h := int(m) / 60
	return tr("{{.H}} h {{.M}} min", map[string]any{"H": h, "M": fmt.Sprintf("%02d", int(m)-60*h)})
}

func firstOf(s ...string) string {
	for _, v := range s {
		if v != "" {
			return v
		}
	}
	return ""
}

// capital begins a text with a capital letter.
var capital = words.Capital
