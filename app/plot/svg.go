package plot

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"strconv"
	"strings"
)

// SVG is a [Canvas] that writes scalable pictures. Texts stay texts; the file names the Go fonts first and
// any sans-serif face after. Write the document with [SVG.WriteTo].
type SVG struct {
	w, h  float32
	body  bytes.Buffer
	defs  bytes.Buffer
	clips int
	fonts *Fonts
}

// NewSVG makes an empty picture of w x h pixels.
func NewSVG(w, h int) *SVG {
	return &SVG{w: float32(w), h: float32(h), fonts: DefaultFonts()}
}

// Size implements Canvas.
func (s *SVG) Size() (w, h float32) { return s.w, s.h }

func num(v float32) string {
	t := strconv.FormatFloat(float64(v), 'f', 2, 32)
	t = strings.TrimRight(strings.TrimRight(t, "0"), ".")
	if t == "-0" || t == "" {
		return "0"
	}
	return t
}

func paint(kind string, c color.NRGBA) string {
	t := fmt.Sprintf(` %s="#%02x%02x%02x"`, kind, c.R, c.G, c.B)
	if c.A != 255 {
		t += fmt.Sprintf(` %s-opacity="%s"`, kind, num(float32(c.A)/255))
	}
	return t
}

// Lines implements Canvas.
func (s *SVG) Lines(paths [][]Pt, st Stroke) {
	if !(st.Width > 0) || st.Color.A == 0 {
		return
	}
	var d bytes.Buffer
	for _, p := range paths {
		writePath(&d, p, false)
	}
	if d.Len() == 0 {
		return
	}
	fmt.Fprintf(&s.body, `<path d="%s" fill="none"%s stroke-width="%s" stroke-linecap="round" stroke-linejoin="round"`,
		d.String(), paint("stroke", st.Color), num(st.Width))
	if len(st.Dash) > 0 {
		s.body.WriteString(` stroke-dasharray="`)
		for i, v := range st.Dash {
			if i > 0 {
				s.body.WriteByte(' ')
			}
			s.body.WriteString(num(v))
		}
		s.body.WriteByte('"')
	}
	s.body.WriteString("/>\n")
}

// writePath leaves out points that are not numbers and lines of one point; a dot is a line of no length.
func writePath(d *bytes.Buffer, p []Pt, close bool) {
	if len(p) < 2 {
		return
	}
	first := true
	for _, q := range p {
		if q.X != q.X || q.Y != q.Y {
			continue
		}
		op := "L"
		if first {
			op = "M"
		}
		first = false
		d.WriteString(op + num(q.X) + " " + num(q.Y))
	}
	if close && !first {
		d.WriteByte('Z')
	}
}

// Fill implements Canvas.
func (s *SVG) Fill(rings [][]Pt, c color.NRGBA) {
	var d bytes.Buffer
	for _, r := range rings {
		writePath(&d, r, true)
	}
	if d.Len() == 0 || c.A == 0 {
		return
	}
	fmt.Fprintf(&s.body, `<path d="%s" fill-rule="evenodd"%s/>`+"\n", d.String(), paint("fill", c))
}

// TextWidth implements Canvas.
func (s *SVG) TextWidth(text string, t TextStyle) float32 { return s.fonts.Width(text, t.Size, t.Bold) }

var escapeXML = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;")

// Text implements Canvas.
func (s *SVG) Text(p Pt, text string, t TextStyle) {
	if text == "" || !(t.Size > 0) || p.X != p.X || p.Y != p.Y {
		return
	}
	anchor := "start"
	switch {
	case t.Align > 0.75:
		anchor = "end"
	case t.Align > 0.25:
		anchor = "middle"
	}
	weight, turn := "", ""
	if t.Bold {
		weight = ` font-weight="bold"`
	}
	if t.Turn != 0 {
		turn = fmt.Sprintf(` transform="rotate(%s %s %s)"`, num(t.Turn*180/3.14159265), num(p.X), num(p.Y))
	}
	clean := escapeXML.Replace(strings.Map(xmlRune, text))
	open := fmt.Sprintf(`<text x="%s" y="%s" font-family="Go, Helvetica, Arial, sans-serif" font-size="%s" text-anchor="%s"%s%s`,
		num(p.X), num(p.Y), num(t.Size), anchor, weight, turn)
	if t.HaloPx > 0 && t.Halo.A > 0 {
		fmt.Fprintf(&s.body, `%s fill="none"%s stroke-width="%s" stroke-linejoin="round">%s</text>`+"\n",
			open, paint("stroke", t.Halo), num(2*t.HaloPx), clean)
	}
	fmt.Fprintf(&s.body, "%s%s>%s</text>\n", open, paint("fill", t.Color), clean)
}

// xmlRune leaves out what XML 1.0 (section 2.2) does not allow.
func xmlRune(r rune) rune {
	if r == '\t' || r == '\n' || r == '\r' || r >= 0x20 && r <= 0xd7ff || r >= 0xe000 && r <= 0xfffd || r >= 0x10000 {
		return r
	}
	return -1
}

// PushClip implements Canvas.
func (s *SVG) PushClip(r Rect) {
	s.clips++
	fmt.Fprintf(&s.defs, `<clipPath id="c%d"><rect x="%s" y="%s" width="%s" height="%s"/></clipPath>`+"\n",
		s.clips, num(r.X0), num(r.Y0), num(max(0, r.W())), num(max(0, r.H())))
	fmt.Fprintf(&s.body, `<g clip-path="url(#c%d)">`+"\n", s.clips)
}

// PopClip implements Canvas.
func (s *SVG) PopClip() { s.body.WriteString("</g>\n") }

// Image implements Canvas; the picture is put in as PNG.
func (s *SVG) Image(r Rect, img *image.RGBA) {
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		return // only a picture without pixels fails, and that shows nothing
	}
	fmt.Fprintf(&s.body, `<image x="%s" y="%s" width="%s" height="%s" preserveAspectRatio="none" href="data:image/png;base64,%s"/>`+"\n",
		num(r.X0), num(r.Y0), num(r.W()), num(r.H()), base64.StdEncoding.EncodeToString(b.Bytes()))
}

// WriteTo writes the whole document.
func (s *SVG) WriteTo(w io.Writer) (int64, error) {
	var b bytes.Buffer
	fmt.Fprintf(&b, `<?xml version="1.0" encoding="UTF-8"?>`+"\n"+
		`<svg xmlns="http://www.w3.org/2000/svg" width="%s" height="%s" viewBox="0 0 %s %s">`+"\n", num(s.w), num(s.h), num(s.w), num(s.h))
	if s.defs.Len() > 0 {
		b.WriteString("<defs>\n")
		b.Write(s.defs.Bytes())
		b.WriteString("</defs>\n")
	}
	b.Write(s.body.Bytes())
	b.WriteString("</svg>\n")
	return b.WriteTo(w)
}
