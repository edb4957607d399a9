package window

import (
	"image"
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"

	"lastroad/app/plot"
	"lastroad/risk"
)

// badge shows a readiness as number, colour and texture, as the strip does.
type badge struct {
	widget.BaseWidget
	score  risk.Score
	min    fyne.Size
	raster *canvas.Raster
	pen    *plot.Raster
	img    *image.RGBA
}

func newBadge(w, h float32) *badge {
	b := &badge{min: fyne.NewSize(w, h), pen: plot.NewRaster(pictureFonts())}
	b.ExtendBaseWidget(b)
	b.raster = newPicture(b.draw)
	return b
}

func (b *badge) set(s risk.Score) {
	if b.score.Readiness != s.Readiness || b.score.Word != s.Word {
		b.score = s
		b.raster.Refresh()
	}
	b.score = s
}

func (b *badge) draw(w, h int) image.Image {
	if b.img == nil || b.img.Rect.Dx() != w || b.img.Rect.Dy() != h {
		b.img = image.NewRGBA(image.Rect(0, 0, w, h))
	}
	b.pen.Begin(b.img)
	b.pen.Clear(color.NRGBA{})
	plot.DrawBadge(b.pen, b.score, palette())
	return b.img
}

// MinSize implements fyne.Widget.
func (b *badge) MinSize() fyne.Size { return b.min }

// CreateRenderer implements fyne.Widget.
func (b *badge) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(b.raster) }
