package papers

import (
	"fmt"
	"image/color"
	"strings"
	"time"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"

	"lastroad/app/plot"
)

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
var paperSizes = map[string]struct{ w, h float64 }{"A4": {595.276, 841.890}, "letter": {612, 792}}

// sheet lays text and tables on pages from top to bottom. Nothing is placed below bottom; a block that
// does not fit begins a new page.
type sheet struct {
	name        string // of the document
	made        time.Time
	pages       []page
	fonts       *plot.Fonts
	w, h        float64
	left, right float64 // x of the text's edges
	y           float64
	foot        string
	unprintable bool  // something was written with a stand-in letter
	lost        *bool // set when a document written to a file has stand-in letters; nil for nobody to tell
	words       Words
	size        float64 // of the font that is set
	bold        bool
	ink         color.NRGBA
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
	s := &sheet{name: title, made: made, fonts: fonts, w: paper.w, h: paper.h, left: margin, right: paper.w - margin, foot: foot, words: words}
	s.scratch = &sheet{fonts: fonts, w: s.w, h: 1e6, left: s.left, right: s.right, words: words, measure: true}
	s.scratch.scratch = s.scratch
	return s, nil
}

// finish writes the foot of every page, now that their number is known, and gives the pages.
func (s *sheet) finish() *Pages {
	for i := range s.pages {
		p := &s.pages[i]
		s.font(7.5, false, soft)
		number := s.words.T("page", i+1, fmt.Sprint(len(s.pages)))
		// A long name gives way to the words behind it.
		foot, room := s.safe(s.foot), s.w-2*margin-s.width(number)-14
		if name, words, ok := strings.Cut(foot, " · "); ok && s.width(foot) > room {
			if left := room - s.width(" · "+words); left > 40 {
				foot = s.clip(name, left) + " · " + words
			}
		}
		s.letter(p, i+1, margin, s.h-26, s.fit(foot, room))
		s.letter(p, i+1, s.w-margin-s.width(number), s.h-26, number)
	}
	return &Pages{s.w, s.h, s.pages, s}
}

func newFonts() (*plot.Fonts, error) { return plot.NewFonts(goregular.TTF, gobold.TTF) }

// safe is text with letters that the typeface lacks replaced, and notes that it did.
func (s *sheet) safe(t string) string {
	p, lost := s.fonts.Printable(t)
	s.unprintable = s.unprintable || lost
	return p
}

// width is the length of t in the font that is set.
func (s *sheet) width(t string) float64 { return float64(s.fonts.Width(t, float32(s.size), s.bold)) }

// put draws something on the page, in points.
func (s *sheet) put(draw func(c plot.Canvas)) {
	if !s.measure {
		p := &s.pages[len(s.pages)-1]
		p.draw = append(p.draw, draw)
	}
}

// write puts t on the page with its base line at x, y in the font that is set.
func (s *sheet) write(x, y float64, t string) {
	if !s.measure {
		s.letter(&s.pages[len(s.pages)-1], len(s.pages), x, y, t)
	}
}

func (s *sheet) letter(p *page, number int, x, y float64, t string) {
	if t == "" {
		return
	}
	at, st := plot.Pt{X: float32(x), Y: float32(y)}, plot.TextStyle{Size: float32(s.size), Bold: s.bold, Color: s.ink}
	p.draw = append(p.draw, func(c plot.Canvas) { c.Text(at, t, st) })
	s.written = append(s.written, placed{number, x, y - 0.7*s.size, x + s.width(t), y + 0.2*s.size, t})
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

func (s *sheet) font(size float64, bold bool, c color.NRGBA) { s.size, s.bold, s.ink = size, bold, c }

// shrink writes t at x, y at the largest size up to size at which it is at most w wide, and cuts it below 60 % of that.
func (s *sheet) shrink(x, y float64, t string, size, w float64, bold bool, c color.NRGBA) {
	s.font(size, bold, c)
	if have := s.width(t); have > w {
		s.font(max(0.6*size, size*w/have), bold, c)
	}
	s.write(x, y, s.fit(t, w))
}

// fit cuts t with an ellipsis so that it is at most w wide in the current font.
func (s *sheet) fit(t string, w float64) string {
	if s.width(t) <= w+0.01 { // shrink comes out at the width itself
		return t
	}
	if !s.measure {
		s.cut = append(s.cut, t)
	}
	return s.clip(t, w)
}

// clip is fit for texts that may be cut: the user's own.
func (s *sheet) clip(t string, w float64) string {
	if s.width(t) <= w {
		return t
	}
	r := []rune(t)
	lo, hi := 0, len(r)
	for lo < hi {
		m := (lo + hi + 1) / 2
		if s.width(string(r[:m])+"…") <= w {
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
			if s.width(try) <= w {
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
			for n > 1 && s.width(string(r[:n])) > w {
				n = n * 9 / 10
			}
			if n == len(r) && s.width(word) <= w {
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
	s.pages = append(s.pages, page{})
	s.y = margin
}

// part begins a part of the document: on this page when more than half of it is free, else on the next.
func (s *sheet) part() {
	if s.y > s.h/2 || len(s.pages) == 0 {
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
		p := &s.pages[len(s.pages)-1]
		p.marks = append(p.marks, bookmark{s.safe(strings.ReplaceAll(t, "\n", " ")), level, max(0, s.y-4)})
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

func (s *sheet) rule(c color.NRGBA, width float64) { s.line(s.left, s.y, s.right, s.y, width, c) }

// line draws a straight line with round ends.
func (s *sheet) line(x0, y0, x1, y1, width float64, col color.NRGBA) {
	path := [][]plot.Pt{{{X: float32(x0), Y: float32(y0)}, {X: float32(x1), Y: float32(y1)}}}
	s.put(func(c plot.Canvas) { c.Lines(path, plot.Stroke{Width: float32(width), Color: col}) })
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
func (s *sheet) fill(x, y, w, h float64, col color.NRGBA) {
	r := plot.Rect{X0: float32(x), Y0: float32(y), X1: float32(x + w), Y1: float32(y + h)}
	s.put(func(c plot.Canvas) { plot.Box(c, r, col) })
}

// box draws an empty check box.
func (s *sheet) box(x, y, a float64) {
	x0, y0, x1, y1 := float32(x), float32(y), float32(x+a), float32(y+a)
	s.put(func(c plot.Canvas) {
		plot.Line(c, plot.Stroke{Width: 0.8, Color: ink}, plot.Pt{X: x0, Y: y0}, plot.Pt{X: x1, Y: y0}, plot.Pt{X: x1, Y: y1}, plot.Pt{X: x0, Y: y1}, plot.Pt{X: x0, Y: y0})
	})
}

// picture reserves a rectangle of the text's width and h high, and lets draw fill it. One pixel of the
// picture is perPx points.
func (s *sheet) picture(h, perPx float64, draw func(c plot.Canvas)) {
	s.room(h + 4)
	if !s.measure {
		w, x, y, k := s.right-s.left, s.left, s.y, float32(perPx)
		s.put(func(c plot.Canvas) {
			c.PushClip(plot.Rect{X0: float32(x), Y0: float32(y), X1: float32(x + w), Y1: float32(y + h)})
			lost := false
			draw(inset{c, float32(x), float32(y), float32(w / perPx), float32(h / perPx), k, s.fonts, &lost})
			s.unprintable = s.unprintable || lost
			c.PopClip()
		})
		s.written = append(s.written, placed{len(s.pages), s.left, s.y, s.right, s.y + h, "picture"})
	}
	s.y += h + 4
}
