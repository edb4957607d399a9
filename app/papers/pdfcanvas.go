package papers

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"

	"lastroad/app/plot"
)

const face = "go" // the family of the embedded typeface: Latin, Greek and Cyrillic letters

// pdf writes the pages that were laid out.
func (s *sheet) pdf(w io.Writer) error {
	pdf := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "pt", Size: fpdf.SizeType{Wd: s.w, Ht: s.h}})
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(s.made.UTC())
	pdf.SetModificationDate(s.made.UTC())
	pdf.SetProducer("lastroad", true)
	pdf.SetCreator("lastroad", true)
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetMargins(0, 0, 0)
	pdf.SetCellMargin(0)
	pdf.AddUTF8FontFromBytes(face, "", goregular.TTF)
	pdf.AddUTF8FontFromBytes(face, "B", gobold.TTF)
	pdf.SetTitle(s.safe(shorten(s.name, 200)), true)
	c := &pdfCanvas{pdf: pdf, w: s.w, h: s.h, fonts: s.fonts, widths: map[int]bool{}}
	for _, p := range s.pages {
		pdf.AddPage()
		pdf.SetLineCapStyle("round")
		pdf.SetLineJoinStyle("round")
		for _, m := range p.marks {
			pdf.Bookmark(m.text, m.level, m.y)
		}
		for _, draw := range p.draw {
			draw(c)
		}
	}
	if s.unprintable && s.lost != nil {
		*s.lost = true
	}
	return pdf.Output(w)
}

// pdfCanvas draws on the page of a PDF that was added last, in points.
type pdfCanvas struct {
	pdf   *fpdf.Fpdf
	w, h  float64
	fonts *plot.Fonts
	// widths are those of the images in the document so far.
	widths map[int]bool
}

// Size is the size of the page.
func (c *pdfCanvas) Size() (w, h float32) { return float32(c.w), float32(c.h) }

func (c *pdfCanvas) alpha(col color.NRGBA) { c.pdf.SetAlpha(float64(col.A)/255, "Normal") }

// Lines strokes all paths as one figure.
func (c *pdfCanvas) Lines(paths [][]plot.Pt, s plot.Stroke) {
	if s.Width <= 0 || s.Color.A == 0 {
		return
	}
	c.alpha(s.Color)
	c.pdf.SetDrawColor(int(s.Color.R), int(s.Color.G), int(s.Color.B))
	c.pdf.SetLineWidth(float64(s.Width))
	var dash []float64
	for _, d := range s.Dash {
		dash = append(dash, float64(d))
	}
	c.pdf.SetDashPattern(dash, 0)
	drawn := false
	for _, p := range paths {
		if len(p) == 0 {
			continue
		}
		x, y := at(p[0])
		c.pdf.MoveTo(x, y)
		if len(p) == 1 || len(p) == 2 && p[0] == p[1] {
			c.pdf.LineTo(x+0.001, y) // a dot: the round end draws it
		}
		for _, q := range p[1:] {
			x, y := at(q)
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
		x, y := at(r[0])
		c.pdf.MoveTo(x, y)
		for _, q := range r[1:] {
			x, y := at(q)
			c.pdf.LineTo(x, y)
		}
		c.pdf.ClosePath()
		drawn = true
	}
	if drawn {
		c.pdf.DrawPath("F*")
	}
}

func at(p plot.Pt) (x, y float64) { return float64(p.X), float64(p.Y) }

// TextWidth is the length of s in points.
func (c *pdfCanvas) TextWidth(s string, t plot.TextStyle) float32 {
	return c.fonts.Width(s, t.Size, t.Bold)
}

// Text writes s with its base line at p. The halo is drawn by writing the text's outline first.
func (c *pdfCanvas) Text(p plot.Pt, s string, t plot.TextStyle) {
	if s == "" || t.Color.A == 0 {
		return
	}
	x, y := at(p)
	style := ""
	if t.Bold {
		style = "B"
	}
	c.pdf.SetFont(face, style, float64(t.Size))
	left := -float64(t.Align) * c.pdf.GetStringWidth(s)
	c.pdf.TransformBegin() // the alpha and the way of rendering end with it
	if t.Turn != 0 {
		c.pdf.TransformRotate(-float64(t.Turn)*57.29577951308232, x, y)
	}
	if t.HaloPx > 0 && t.Halo.A > 0 {
		c.alpha(t.Halo)
		c.pdf.SetTextRenderingMode(1)
		c.pdf.SetDrawColor(int(t.Halo.R), int(t.Halo.G), int(t.Halo.B))
		c.pdf.SetLineWidth(2 * float64(t.HaloPx))
		c.pdf.SetDashPattern(nil, 0)
		c.pdf.Text(x+left, y, s)
		c.pdf.SetTextRenderingMode(0)
	}
	c.alpha(t.Color)
	// The library writes a text's colour only where it differs from the fill colour it remembers, which the end
	// of a clip has taken back on the page: say both.
	c.pdf.SetFillColor(int(t.Color.R), int(t.Color.G), int(t.Color.B))
	c.pdf.SetTextColor(int(t.Color.R), int(t.Color.G), int(t.Color.B))
	c.pdf.Text(x+left, y, s)
	c.pdf.TransformEnd()
}

// PushClip limits drawing to r.
func (c *pdfCanvas) PushClip(r plot.Rect) {
	x, y := at(plot.Pt{X: r.X0, Y: r.Y0})
	c.pdf.ClipRect(x, y, float64(r.W()), float64(r.H()), false)
}

// PopClip ends the last PushClip.
func (c *pdfCanvas) PopClip() {
	c.pdf.ClipEnd()
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
	x, y := at(plot.Pt{X: r.X0, Y: r.Y0})
	c.pdf.ImageOptions(name, x, y, float64(r.W()), float64(r.H()), false, opt, 0, "")
}
