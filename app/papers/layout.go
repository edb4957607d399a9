package papers

import (
	"fmt"
	"image/color"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/text/unicode/norm"

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
	words       Words
	size        float64 // of the font that is set
	bold        bool
	// measure makes a sheet without end on which nothing is drawn: it only tells heights.
	measure bool
	scratch *sheet
	// written are the boxes of all texts and pictures, cut the texts that did not fit their place:
	// tests look for texts over each other, outside the page, or cut.
	written []placed
	cut     []string
	marks   []string // of the outline
}

// placed is the box of a text or picture on a page, in points.
type placed struct {
	page           int
	x0, y0, x1, y1 float64
	text           string
}

const (
	margin = 42.0
	bottom = 46.0
)

// newSheet starts a document. made stands in its properties; foot on every page.
func newSheet(size, title, foot string, made time.Time, words Words) (*sheet, error) {
	paper, ok := paperSizes[size]
	if !ok {
		return nil, fmt.Errorf("paper size %q is not known; use A4 or letter", size)
	}
	fonts, err := newFonts()
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
	s := &sheet{pdf: pdf, fonts: fonts, w: paper.Wd, h: paper.Ht, left: margin, right: paper.Wd - margin, foot: foot, widths: map[int]bool{}, words: words}
	s.scratch = &sheet{pdf: pdf, fonts: fonts, w: s.w, h: 1e6, left: s.left, right: s.right, words: words, measure: true}
	s.scratch.scratch = s.scratch
	pdf.SetTitle(s.safe(shorten(title, 200)), true)
	pdf.SetFooterFunc(func() {
		s.font(7.5, false, soft)
		// A long name gives way to the words behind it.
		foot, room := s.safe(s.foot), s.w-2*margin-80
		if name, words, ok := strings.Cut(foot, " · "); ok && pdf.GetStringWidth(foot) > room {
			if left := room - pdf.GetStringWidth(" · "+words); left > 40 {
				foot = s.clip(name, left) + " · " + words
			}
		}
		pdf.Text(margin, s.h-26, s.fit(foot, room))
		page := s.words.T("page", pdf.PageNo(), "{pages}")
		pdf.Text(s.w-margin-pdf.GetStringWidth(strings.Replace(page, "{pages}", "00", 1)), s.h-26, page)
	})
	return s, nil
}

func newFonts() (*plot.Fonts, error) { return plot.NewFonts(goregular.TTF, gobold.TTF) }

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
	// Letters with marks are joined where one letter exists for both.
	for _, r := range norm.NFC.String(strings.ToValidUTF8(t, "?")) {
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

// write puts t on the page with its base line at x, y in the font that is set.
func (s *sheet) write(x, y float64, t string) {
	if s.measure || t == "" {
		return
	}
	s.pdf.Text(x, y, t)
	s.written = append(s.written, placed{s.pdf.PageNo(), x, y - 0.7*s.size, x + s.pdf.GetStringWidth(t), y + 0.2*s.size, t})
}

// height is how much room draw takes between the edges that are set now.
func (s *sheet) height(draw func(*sheet)) float64 {
	t := s.scratch
	keepY, keepL, keepR := t.y, t.left, t.right
	t.left, t.right = s.left, s.right
	t.y = 0
	draw(t)
	h := t.y
	t.y, t.left, t.right = keepY, keepL, keepR
	return h
}

// together draws a block on this page, or on the next one when it does not fit here but does there.
func (s *sheet) together(draw func(*sheet)) {
	s.room(s.height(draw))
	draw(s)
}

// columns draws blocks beside each other, each with its share of the width, all on one page; blocks that no
// page holds beside each other are drawn one below the other.
func (s *sheet) columns(gap float64, shares []float64, draw ...func(*sheet)) {
	left, right := s.left, s.right
	total := 0.0
	for _, v := range shares {
		total += v
	}
	wide := right - left - gap*float64(len(draw)-1)
	place := func(k int) {
		x := left
		for i := range k {
			x += wide*shares[i]/total + gap
		}
		s.left, s.right = x, x+wide*shares[k]/total
	}
	most := 0.0
	for k, d := range draw {
		place(k)
		most = max(most, s.height(d))
	}
	s.left, s.right = left, right
	if most > s.h-bottom-margin {
		for _, d := range draw {
			d(s)
		}
		return
	}
	s.room(most)
	top := s.y
	for k, d := range draw {
		place(k)
		s.y = top
		d(s)
	}
	s.left, s.right, s.y = left, right, top+most
}

func (s *sheet) font(size float64, bold bool, c color.NRGBA) {
	style := ""
	if bold {
		style = "B"
	}
	s.size, s.bold = size, bold
	s.pdf.SetFont(face, style, size)
	s.pdf.SetTextColor(int(c.R), int(c.G), int(c.B))
}

// shrink writes t at x, y at the largest size up to size at which it is at most w wide, and cuts it below 60 % of that.
func (s *sheet) shrink(x, y float64, t string, size, w float64, bold bool, c color.NRGBA) {
	s.font(size, bold, c)
	if have := s.pdf.GetStringWidth(t); have > w {
		s.font(max(0.6*size, size*w/have), bold, c)
	}
	s.write(x, y, s.fit(t, w))
}

// fit cuts t with an ellipsis so that it is at most w wide in the current font.
func (s *sheet) fit(t string, w float64) string {
	if s.pdf.GetStringWidth(t) <= w {
		return t
	}
	if !s.measure {
		s.cut = append(s.cut, t)
	}
	return s.clip(t, w)
}

// clip is fit for texts that may be cut: the user's own.
func (s *sheet) clip(t string, w float64) string {
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

// breaks reports whether a line may end at r: at blanks, but not at those that hold a number to its unit.
func breaks(r rune) bool { return r == ' ' || r == '\n' || r == '\t' || r == '\r' }

// lines breaks t at blanks, and inside words that are too long, into lines at most w wide.
func (s *sheet) lines(t string, w float64) []string {
	var out []string
	line := ""
	for _, word := range strings.FieldsFunc(t, breaks) {
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
			if !s.measure {
				s.cut = append(s.cut, word)
			}
			r := []rune(word)
			n := min(len(r), 400) // more letters than any line holds
			for n > 1 && s.pdf.GetStringWidth(string(r[:n])) > w {
				n = n * 9 / 10
			}
			if n == len(r) && s.pdf.GetStringWidth(word) <= w {
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
	if s.measure {
		return
	}
	s.pdf.AddPage()
	s.y = margin
}

// part begins a part of the document: on this page when more than half of it is free, else on the next.
func (s *sheet) part() {
	if s.y > s.h/2 || s.pdf.PageNo() == 0 {
		s.newPage()
		return
	}
	s.y += 16
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
	s.bookmark(shorten(t, 120), level)
	s.font(size, true, ink)
	const most = 4 // lines: a name of a book's length is cut
	ls := s.lines(s.safe(shorten(t, 1000)), s.right-s.left)
	if len(ls) > most {
		ls = append(ls[:most-1:most-1], ls[most-1]+"…")
	}
	for _, l := range ls {
		s.y += size * 1.2
		s.write(s.left, s.y, l)
	}
	s.y += size * 0.5
}

// shorten is t, cut to n letters with an ellipsis.
func shorten(t string, n int) string {
	if r := []rune(t); len(r) > n {
		return string(r[:n-1]) + "…"
	}
	return t
}

// bookmark names this place in the outline of the document.
func (s *sheet) bookmark(t string, level int) {
	if !s.measure {
		s.marks = append(s.marks, t)
		s.pdf.Bookmark(s.safe(strings.ReplaceAll(t, "\n", " ")), level, max(0, s.y-4))
	}
}

// head writes a small heading inside a sheet.
func (s *sheet) head(t string, keep float64) {
	s.room(22 + keep)
	if s.y > margin+1 || s.measure {
		s.y += 4
	}
	s.y += 10
	s.font(9.5, true, ink)
	s.write(s.left, s.y, s.fit(s.safe(t), s.right-s.left))
	s.y += 3
	s.rule(hair, 0.5)
	s.y += 2
}

func (s *sheet) rule(c color.NRGBA, width float64) {
	if s.measure {
		return
	}
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
		s.write(s.left+indent, s.y, l)
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
				s.write(s.left, s.y, mark)
			}
		}
		s.write(s.left+indent, s.y, l)
	}
	s.y += 1.5
}

// fill paints a rectangle.
func (s *sheet) fill(x, y, w, h float64, c color.NRGBA) {
	if s.measure {
		return
	}
	s.pdf.SetFillColor(int(c.R), int(c.G), int(c.B))
	s.pdf.Rect(x, y, w, h, "F")
}

// box draws an empty check box.
func (s *sheet) box(x, y, a float64) {
	if s.measure {
		return
	}
	s.pdf.SetDrawColor(int(ink.R), int(ink.G), int(ink.B))
	s.pdf.SetLineWidth(0.8)
	s.pdf.Rect(x, y, a, a, "D")
}

// picture reserves a rectangle of the text's width and h high, and lets draw fill it. One pixel of the
// picture is perPx points.
func (s *sheet) picture(h, perPx float64, draw func(c *pdfCanvas)) {
	s.room(h + 4)
	if !s.measure {
		c := newPDFCanvas(s, s.left, s.y, s.right-s.left, h, perPx)
		draw(c)
		c.close()
		s.written = append(s.written, placed{s.pdf.PageNo(), s.left, s.y, s.right, s.y + h, "picture"})
	}
	s.y += h + 4
}
