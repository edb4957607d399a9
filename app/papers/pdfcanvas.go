package papers

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"

	"codeberg.org/go-pdf/fpdf"

	"lastroad/app/plot"
)

// pdfCanvas draws a picture of package plot into a rectangle of a page. One pixel of the picture is
// perPx points of the page.
type pdfCanvas struct {
	pdf   *fpdf.Fpdf
	x, y  float64 // upper left corner on the page, points
	w, h  float64 // size in points
	perPx float64
	fonts *plot.Fonts
	depth int
	// widths are those of the images in the document so far.
	widths map[int]bool
}

// newPDFCanvas starts a picture; everything drawn is clipped to its rectangle until close.
func newPDFCanvas(s *sheet, x, y, w, h, perPx float64) *pdfCanvas {
	pdf := s.pdf
	c := &pdfCanvas{pdf, x, y, w, h, perPx, s.fonts, 0, s.widths}
	pdf.ClipRect(x, y, w, h, false)
	pdf.SetLineCapStyle("round")
	pdf.SetLineJoinStyle("round")
	return c
}

func (c *pdfCanvas) close() {
	for c.depth > 0 {
		c.PopClip()
	}
	c.pdf.ClipEnd()
	c.pdf.SetAlpha(1, "Normal")
	c.pdf.SetLineCapStyle("butt")
	c.pdf.SetLineJoinStyle("miter")
	c.pdf.SetDashPattern(nil, 0)
}

func (c *pdfCanvas) px(v float32) float64 { return float64(v) * c.perPx }

func (c *pdfCanvas) at(p plot.Pt) (x, y float64) { return c.x + c.px(p.X), c.y + c.px(p.Y) }

// Size is the picture's size in pixels.
func (c *pdfCanvas) Size() (w, h float32) { return float32(c.w / c.perPx), float32(c.h / c.perPx) }

func (c *pdfCanvas) alpha(col color.NRGBA) { c.pdf.SetAlpha(float64(col.A)/255, "Normal") }

// Lines strokes all paths as one figure.
func (c *pdfCanvas) Lines(paths [][]plot.Pt, s plot.Stroke) {
	if s.Width <= 0 || s.Color.A == 0 {
		return
	}
	c.alpha(s.Color)
	c.pdf.SetDrawColor(int(s.Color.R), int(s.Color.G), int(s.Color.B))
	c.pdf.SetLineWidth(c.px(s.Width))
	var dash []float64
	for _, d := range s.Dash {
		dash = append(dash, c.px(d))
	}
	c.pdf.SetDashPattern(dash, 0)
	drawn := false
	for _, p := range paths {
		if len(p) == 0 {
			continue
		}
		x, y := c.at(p[0])
		c.pdf.MoveTo(x, y)
		if len(p) == 1 || len(p) == 2 && p[0] == p[1] {
			c.pdf.LineTo(x+0.001, y) // a dot: the round end draws it
		}
		for _, q := range p[1:] {
			x, y := c.at(q)
			c.pdf.LineTo(x, y)
		}
		drawn = true
	}
	if drawn {
		c.pdf.DrawPath("D")
	}
}

// Fill fills a polygon: the first ring less the others (even-odd rule).
func (c *pdfCanvas) Fill(rings [][]plot.Pt, col color.NRGBA) {
	if col.A == 0 {
		return
	}
	c.alpha(col)
	c.pdf.SetFillColor(int(col.R), int(col.G), int(col.B))
	drawn := false
	for _, r := range rings {
		if len(r) < 3 {
			continue
		}
		x, y := c.at(r[0])
		c.pdf.MoveTo(x, y)
		for _, q := range r[1:] {
			x, y := c.at(q)
			c.pdf.LineTo(x, y)
		}
		c.pdf.ClosePath()
		drawn = true
	}
	if drawn {
		c.pdf.DrawPath("F*")
	}
}

// TextWidth is the length of s in pixels.
func (c *pdfCanvas) TextWidth(s string, t plot.TextStyle) float32 {
	return c.fonts.Width(s, t.Size, t.Bold)
}

// Text writes s with its base line at p. The halo is drawn by writing the text's outline first.
func (c *pdfCanvas) Text(p plot.Pt, s string, t plot.TextStyle) {
	s = printable(c.fonts, s)
	if s == "" || t.Color.A == 0 {
		return
	}
	x, y := c.at(p)
	style := ""
	if t.Bold {
		style = "B"
	}
	c.pdf.SetFont(face, style, c.px(t.Size))
	left := -float64(t.Align) * c.pdf.GetStringWidth(s)
	c.pdf.TransformBegin()
	if t.Turn != 0 {
		c.pdf.TransformRotate(-float64(t.Turn)*57.29577951308232, x, y)
	}
	if t.HaloPx > 0 && t.Halo.A > 0 {
		c.alpha(t.Halo)
		c.pdf.SetTextRenderingMode(1)
		c.pdf.SetDrawColor(int(t.Halo.R), int(t.Halo.G), int(t.Halo.B))
		c.pdf.SetLineWidth(2 * c.px(t.HaloPx))
		c.pdf.SetDashPattern(nil, 0)
		c.pdf.Text(x+left, y, s)
		c.pdf.SetTextRenderingMode(0)
	}
	c.alpha(t.Color)
	c.pdf.SetTextColor(int(t.Color.R), int(t.Color.G), int(t.Color.B))
	c.pdf.Text(x+left, y, s)
	c.pdf.TransformEnd()
}

// PushClip limits drawing to r.
func (c *pdfCanvas) PushClip(r plot.Rect) {
	x, y := c.at(plot.Pt{X: r.X0, Y: r.Y0})
	c.pdf.ClipRect(x, y, c.px(r.W()), c.px(r.H()), false)
	c.depth++
}

// PopClip ends the last PushClip.
func (c *pdfCanvas) PopClip() {
	c.pdf.ClipEnd()
	c.depth--
}

// Image draws img into r. The library orders a document's images by width alone, so that images of one
// width would come in random order: each is given a width of its own by empty columns at its right.
func (c *pdfCanvas) Image(r plot.Rect, img *image.RGBA) {
	b := img.Bounds()
	w := b.Dx()
	for c.widths[w] {
		w++
	}
	c.widths[w] = true
	if w > b.Dx() {
		wide := image.NewRGBA(image.Rect(0, 0, w, b.Dy()))
		draw.Draw(wide, b.Sub(b.Min), img, b.Min, draw.Src)
		r.X1 = r.X0 + r.W()*float32(w)/float32(b.Dx())
		img = wide
	}
	var out bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.BestSpeed} // the library packs the pixels again
	if err := enc.Encode(&out, img); err != nil {
		c.pdf.SetError(err)
		return
	}
	name := fmt.Sprintf("picture-%d", w)
	opt := fpdf.ImageOptions{ImageType: "png"}
	c.pdf.SetAlpha(1, "Normal")
	c.pdf.RegisterImageOptionsReader(name, opt, &out)
	x, y := c.at(plot.Pt{X: r.X0, Y: r.Y0})
	c.pdf.ImageOptions(name, x, y, c.px(r.W()), c.px(r.H()), false, opt, 0, "")
}
