package papers

import (
	"fmt"
	"image/color"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"

	"lastroad/app/plot"
)

const face = "go" // the family of the embedded typeface: Latin, Greek and Cyrillic letters

// The inks are dark enough to be told apart on a grey printer.
var (
	ink     = color.NRGBA{25, 28, 30, 255}
	soft    = color.NRGBA{88, 94, 98, 255}
	hair    = color.NRGBA{170, 174, 176, 255}
	pale    = color.NRGBA{236, 238, 236, 255}
	warn    = color.NRGBA{150, 50, 20, 255}
	warnBed = color.NRGBA{250, 236, 226, 255}
)

// Sizes of paper in points.
var paperSizes = map[string]fpdf.SizeType{"A4": {Wd: 595.276, Ht: 841.890}, "letter": {Wd: 612, Ht: 792}}

// sheet lays text and tables on pages from top to bottom. Nothing is placed below bottom; a block that
// does not fit begins a new page.
type sheet struct {
	pdf         *fpdf.Fpdf
	fonts       *plot.Fonts
	w, h        float64
	left, right float64 // x of the text's edges
	y           float64
	foot        string
	unprintable bool // something was written with a stand-in letter
	widths      map[int]bool
}

const (
	margin = 42.0
	bottom = 46.0
)

// newSheet starts a document. made stands in its properties; foot on every page.
func newSheet(size, title, foot string, made time.Time) (*sheet, error) {
	paper, ok := paperSizes[size]
	if !ok {
		return nil, fmt.Errorf("paper size %q is not known; use A4 or letter", size)
	}
	fonts, err := plot.NewFonts(goregular.TTF, gobold.TTF)
	if err != nil {
		return nil, err
	}
	pdf := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "pt", Size: paper})
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(made.UTC())
	pdf.SetModificationDate(made.UTC())
	pdf.SetProducer("lastroad", true)
	pdf.SetCreator("lastroad", true)
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetMargins(0, 0, 0)
	pdf.SetCellMargin(0)
	pdf.AddUTF8FontFromBytes(face, "", goregular.TTF)
	pdf.AddUTF8FontFromBytes(face, "B", gobold.TTF)
	pdf.AliasNbPages("{pages}")
	s := &sheet{pdf: pdf, fonts: fonts, w: paper.Wd, h: paper.Ht, left: margin, right: paper.Wd - margin, foot: foot, widths: map[int]bool{}}
	pdf.SetTitle(s.safe(title), true)
	pdf.SetFooterFunc(func() {
		s.font(7.5, false, soft)
		pdf.Text(s.left, s.h-26, s.fit(s.safe(s.foot), s.right-s.left-80))
		page := fmt.Sprintf("page %d of {pages}", pdf.PageNo())
		pdf.Text(s.right-pdf.GetStringWidth(strings.Replace(page, "{pages}", "00", 1)), s.h-26, page)
	})
	return s, nil
}

// safe is text with letters that the typeface lacks replaced, and notes that it did.
func (s *sheet) safe(t string) string {
	p := printable(s.fonts, t)
	if p != t {
		s.unprintable = s.unprintable || strings.ContainsRune(p, '?') && strings.Count(p, "?") != strings.Count(t, "?")
	}
	return p
}

// printable replaces what the typeface cannot write: tabs and line ends by a blank, other control
// characters by nothing, letters it lacks by a question mark.
func printable(fonts *plot.Fonts, t string) string {
	clean := true
	for _, r := range t {
		if r < 32 || r == 127 || r > 126 {
			clean = false
			break
		}
	}
	if clean {
		return t
	}
	var b strings.Builder
	for _, r := range strings.ToValidUTF8(t, "?") {
		switch {
		case r == '\t' || r == '\n' || r == '\r':
			b.WriteByte(' ')
		case r < 32 || r >= 127 && r < 160 || r == 0x200b || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069:
		case r > 0xffff || fonts.Missing(string(r)):
			b.WriteByte('?')
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

func (s *sheet) font(size float64, bold bool, c color.NRGBA) {
	style := ""
	if bold {
		style = "B"
	}
	s.pdf.SetFont(face, style, size)
	s.pdf.SetTextColor(int(c.R), int(c.G), int(c.B))
}

// shrink writes t at x, y at the largest size up to size at which it is at most w wide, and cuts it below 60 % of that.
func (s *sheet) shrink(x, y float64, t string, size, w float64, bold bool, c color.NRGBA) {
	s.font(size, bold, c)
	if have := s.pdf.GetStringWidth(t); have > w {
		s.font(max(0.6*size, size*w/have), bold, c)
	}
	s.pdf.Text(x, y, s.fit(t, w))
}

// fit cuts t with an ellipsis so that it is at most w wide in the current font.
func (s *sheet) fit(t string, w float64) string {
	if s.pdf.GetStringWidth(t) <= w {
		return t
	}
	r := []rune(t)
	lo, hi := 0, len(r)
	for lo < hi {
		m := (lo + hi + 1) / 2
		if s.pdf.GetStringWidth(string(r[:m])+"…") <= w {
			lo = m
		} else {
			hi = m - 1
		}
	}
	return string(r[:lo]) + "…"
}

// lines breaks t at blanks, and inside words that are too long, into lines at most w wide.
func (s *sheet) lines(t string, w float64) []string {
	var out []string
	line := ""
	for _, word := range strings.Fields(t) {
		for {
			try := word
			if line != "" {
				try = line + " " + word
			}
			if s.pdf.GetStringWidth(try) <= w {
				line = try
				break
			}
			if line != "" {
				out, line = append(out, line), ""
				continue
			}
			// A word wider than the line: cut it.
			r := []rune(word)
			n := len(r)
			for n > 1 && s.pdf.GetStringWidth(string(r[:n])) > w {
				n = n * 9 / 10
			}
			if n == len(r) {
				line = word
				break
			}
			n = max(1, n)
			out, word = append(out, string(r[:n])), string(r[n:])
		}
	}
	if line != "" {
		out = append(out, line)
	}
	return out
}

func (s *sheet) newPage() {
	s.pdf.AddPage()
	s.y = margin
}

// room begins a new page unless h points are left on this one.
func (s *sheet) room(h float64) {
	if s.y+h > s.h-bottom {
		s.newPage()
	}
}

// title writes a heading of level 0 (a part of the book) or 1 and makes a bookmark of it.
func (s *sheet) title(level int, t string, keep float64) {
	size := []float64{17, 12.5}[level]
	s.room(size*1.6 + keep)
	s.pdf.Bookmark(s.safe(t), level, s.y)
	s.font(size, true, ink)
	for _, l := range s.lines(s.safe(t), s.right-s.left) {
		s.y += size * 1.2
		s.pdf.Text(s.left, s.y, l)
	}
	s.y += size * 0.5
}

// head writes a small heading inside a sheet.
func (s *sheet) head(t string, keep float64) {
	s.room(22 + keep)
	s.y += 13
	s.font(9.5, true, ink)
	s.pdf.Text(s.left, s.y, s.fit(s.safe(t), s.right-s.left))
	s.y += 3
	s.rule(hair, 0.5)
	s.y += 2
}

func (s *sheet) rule(c color.NRGBA, width float64) {
	s.pdf.SetDrawColor(int(c.R), int(c.G), int(c.B))
	s.pdf.SetLineWidth(width)
	s.pdf.Line(s.left, s.y, s.right, s.y)
}

// text writes a paragraph; it may run over pages.
func (s *sheet) text(t string, size float64, bold bool, c color.NRGBA, indent float64) {
	s.font(size, bold, c)
	for _, l := range s.lines(s.safe(t), s.right-s.left-indent) {
		s.room(size * 1.32)
		s.font(size, bold, c) // a new page sets its own font for the foot
		s.y += size * 1.32
		s.pdf.Text(s.left+indent, s.y, l)
	}
}

// item writes a paragraph behind a mark that hangs in the margin of the text: "•", "1." or a box.
func (s *sheet) item(mark, t string, size float64, c color.NRGBA) {
	s.font(size, false, c)
	indent := 13.0
	ls := s.lines(s.safe(t), s.right-s.left-indent)
	s.room(size * 1.32 * float64(min(len(ls), 3)))
	for i, l := range ls {
		s.room(size * 1.32)
		s.font(size, false, c)
		s.y += size * 1.32
		if i == 0 {
			if mark == "box" {
				s.box(s.left, s.y-size*0.78, size*0.85)
			} else {
				s.pdf.Text(s.left, s.y, mark)
			}
		}
		s.pdf.Text(s.left+indent, s.y, l)
	}
	s.y += 1.5
}

// box draws an empty check box.
func (s *sheet) box(x, y, a float64) {
	s.pdf.SetDrawColor(int(ink.R), int(ink.G), int(ink.B))
	s.pdf.SetLineWidth(0.8)
	s.pdf.Rect(x, y, a, a, "D")
}

// panel writes paragraphs on a coloured bed with a bar at its left; it is kept whole where a page holds it.
func (s *sheet) panel(paras []string, size float64, bed, bar color.NRGBA) {
	s.font(size, false, ink)
	var all []string
	for _, p := range paras {
		all = append(all, s.lines(s.safe(p), s.right-s.left-20)...)
		all = append(all, "")
	}
	if len(all) == 0 {
		return
	}
	all = all[:len(all)-1]
	step := size * 1.32
	for len(all) > 0 {
		fits := int((s.h - bottom - s.y - 14) / step)
		if fits < min(len(all), 4) {
			s.newPage()
			fits = int((s.h - bottom - s.y - 14) / step)
		}
		n := min(len(all), fits)
		h := float64(n)*step + 10
		s.pdf.SetFillColor(int(bed.R), int(bed.G), int(bed.B))
		s.pdf.Rect(s.left, s.y+2, s.right-s.left, h, "F")
		s.pdf.SetFillColor(int(bar.R), int(bar.G), int(bar.B))
		s.pdf.Rect(s.left, s.y+2, 3, h, "F")
		s.font(size, false, ink)
		y := s.y + 4
		for _, l := range all[:n] {
			y += step
			s.pdf.Text(s.left+11, y, l)
		}
		s.y += h + 6
		all = all[n:]
	}
}

// cell is one field of a table.
type cell struct {
	text string
	bold bool
	tick bool // an empty check box instead of text
}

// tableColumn is a column of a table: its share of the width, and whether numbers stand at its right.
type tableColumn struct {
	head  string
	share float64
	right bool
}

// table draws rows under a repeated head. Cells wrap; a row is never parted between pages unless it is
// taller than one.
func (s *sheet) table(cols []tableColumn, rows [][]cell, size float64) {
	total := 0.0
	for _, c := range cols {
		total += c.share
	}
	width := make([]float64, len(cols))
	for i, c := range cols {
		width[i] = c.share / total * (s.right - s.left)
	}
	const pad = 2.5
	step := size * 1.25
	wrapRow := func(texts []string, bold []bool) ([][]string, float64) {
		n := 1
		out := make([][]string, len(texts))
		for i, t := range texts {
			s.font(size, bold[i], ink)
			out[i] = s.lines(s.safe(t), width[i]-2*pad)
			n = max(n, len(out[i]))
		}
		return out, float64(n)*step + 4
	}
	put := func(ls [][]string, bold []bool, tick []bool, h float64) {
		x := s.left
		for i := range ls {
			if tick[i] {
				s.box(x+pad, s.y+3, size*0.9)
			}
			s.font(size, bold[i], ink)
			for k, l := range ls[i] {
				tx := x + pad
				if cols[i].right {
					tx = x + width[i] - pad - s.pdf.GetStringWidth(l)
				}
				s.pdf.Text(tx, s.y+float64(k+1)*step, l)
			}
			x += width[i]
		}
		s.y += h
	}
	heads, hb, ht := make([]string, len(cols)), make([]bool, len(cols)), make([]bool, len(cols))
	for i, c := range cols {
		heads[i], hb[i] = c.head, true
	}
	headLines, headH := wrapRow(heads, hb)
	header := func() {
		s.pdf.SetFillColor(int(pale.R), int(pale.G), int(pale.B))
		s.pdf.Rect(s.left, s.y, s.right-s.left, headH, "F")
		put(headLines, hb, ht, headH)
		s.rule(soft, 0.6)
	}
	s.room(headH + 3*step)
	header()
	for _, r := range rows {
		texts, bold, tick := make([]string, len(cols)), make([]bool, len(cols)), make([]bool, len(cols))
		for i := range cols {
			texts[i], bold[i], tick[i] = r[i].text, r[i].bold, r[i].tick
		}
		ls, h := wrapRow(texts, bold)
		// A row taller than a page is cut to what a page holds; its last line says so.
		if most := int((s.h - margin - bottom - headH - 8) / step); h > float64(most)*step {
			for i := range ls {
				if len(ls[i]) > most {
					ls[i] = append(ls[i][:most-1], "… (too long to print)")
				}
			}
			h = float64(most)*step + 4
		}
		if s.y+h > s.h-bottom {
			s.newPage()
			header()
		}
		put(ls, bold, tick, h)
		s.rule(hair, 0.3)
	}
	s.y += 4
}

// picture reserves a rectangle of the page and returns a canvas on it; call close on the canvas.
func (s *sheet) picture(h, perPx float64) *pdfCanvas {
	s.room(h + 4)
	c := newPDFCanvas(s, s.left, s.y, s.right-s.left, h, perPx)
	s.y += h + 4
	return c
}

// words is plain texts as cells.
func words(texts ...string) []cell {
	out := make([]cell, len(texts))
	for i, t := range texts {
		out[i].text = t
	}
	return out
}
