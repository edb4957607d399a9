package papers

import (
	"image"
	"image/color"
	"io"

	"lastroad/app/plot"
)

// page is one page as it was laid out: what is drawn on it, in order, in points from its upper left corner,
// and the places that the outline leads to. Print and preview draw the same pages, so that what is seen on
// the screen is what comes out of the printer.
type page struct {
	draw  []func(c plot.Canvas)
	marks []bookmark
}

// bookmark is a line of the outline.
type bookmark struct {
	text  string
	level int // 0 a part of the paper, 1 below it
	y     float64
}

// Pages are the laid-out pages of a printed paper. They may be drawn again and again, by one goroutine at a
// time.
type Pages struct {
	w, h  float64 // points
	pages []page
	sheet *sheet
}

// Len is the number of pages.
func (p *Pages) Len() int { return len(p.pages) }

// Size is the size of every page in points (1/72 inch).
func (p *Pages) Size() (w, h float64) { return p.w, p.h }

// Marks names the parts of the paper and the page on which each begins, counted from 0.
func (p *Pages) Marks() (titles []string, at []int) {
	for i, g := range p.pages {
		for _, m := range g.marks {
			titles, at = append(titles, m.text), append(at, i)
		}
	}
	return titles, at
}

// Picture draws page i, counted from 0, with dpi pixels to the inch, black on white. It panics for a page
// that is not there.
func (p *Pages) Picture(i int, dpi float64) *image.RGBA {
	k := dpi / 72
	img := image.NewRGBA(image.Rect(0, 0, int(p.w*k+0.5), int(p.h*k+0.5)))
	r := plot.NewRaster(p.sheet.fonts)
	r.Begin(img)
	r.Clear(color.NRGBA{255, 255, 255, 255})
	c := inset{r, 0, 0, float32(p.w), float32(p.h), float32(k), p.sheet.fonts, nil}
	for _, draw := range p.pages[i].draw {
		draw(c)
	}
	return img
}

// WriteTo writes the pages as PDF.
func (p *Pages) WriteTo(w io.Writer) (int64, error) {
	n := &counter{w: w}
	err := p.sheet.pdf(n)
	return n.n, err
}

type counter struct {
	w io.Writer
	n int64
}

func (c *counter) Write(b []byte) (int, error) {
	n, err := c.w.Write(b)
	c.n += int64(n)
	return n, err
}

// inset is a canvas on a part of another one: its upper left corner lies at x, y of the other, and one of its
// units is k of the other's.
type inset struct {
	c     plot.Canvas
	x, y  float32 // units of c
	w, h  float32 // own units
	k     float32
	fonts *plot.Fonts
	lost  *bool // set when a text lost letters; nil for nobody to tell
}

func (i inset) at(p plot.Pt) plot.Pt { return plot.Pt{X: i.x + i.k*p.X, Y: i.y + i.k*p.Y} }

func (i inset) paths(in [][]plot.Pt) [][]plot.Pt {
	n := 0
	for _, p := range in {
		n += len(p)
	}
	all, out := make([]plot.Pt, 0, n), make([][]plot.Pt, len(in))
	for j, p := range in {
		from := len(all)
		for _, q := range p {
			all = append(all, i.at(q))
		}
		out[j] = all[from:len(all):len(all)]
	}
	return out
}

func (i inset) rect(r plot.Rect) plot.Rect {
	a, b := i.at(plot.Pt{X: r.X0, Y: r.Y0}), i.at(plot.Pt{X: r.X1, Y: r.Y1})
	return plot.Rect{X0: a.X, Y0: a.Y, X1: b.X, Y1: b.Y}
}

func (i inset) style(t plot.TextStyle) plot.TextStyle {
	t.Size *= i.k
	t.HaloPx *= i.k
	return t
}

func (i inset) Size() (w, h float32) { return i.w, i.h }

func (i inset) Lines(paths [][]plot.Pt, s plot.Stroke) {
	s.Width *= i.k
	if len(s.Dash) > 0 {
		dash := make([]float32, len(s.Dash))
		for j, d := range s.Dash {
			dash[j] = d * i.k
		}
		s.Dash = dash
	}
	i.c.Lines(i.paths(paths), s)
}

func (i inset) Fill(rings [][]plot.Pt, c color.NRGBA) { i.c.Fill(i.paths(rings), c) }

func (i inset) Text(p plot.Pt, s string, t plot.TextStyle) {
	s, lost := i.fonts.Printable(s)
	if lost && i.lost != nil {
		*i.lost = true
	}
	i.c.Text(i.at(p), s, i.style(t))
}

func (i inset) TextWidth(s string, t plot.TextStyle) float32 {
	s, _ = i.fonts.Printable(s)
	return i.fonts.Width(s, t.Size, t.Bold)
}

// Lost reports whether a text of the picture lost letters that the typeface lacks.
func (i inset) Lost() bool { return i.lost != nil && *i.lost }

func (i inset) PushClip(r plot.Rect) { i.c.PushClip(i.rect(r)) }
func (i inset) PopClip()             { i.c.PopClip() }

func (i inset) Image(r plot.Rect, img *image.RGBA) { i.c.Image(i.rect(r), img) }
