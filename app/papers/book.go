package papers

import (
	"image/color"
	"io"
	"math"
	"strings"
	"time"

	"lastroad/app/plot"
	"lastroad/app/trip"
	"lastroad/risk"
)

// Book is what the trip book is made from.
type Book struct {
	Doc   *trip.Document
	Other *risk.Judgement // the other of solo and together, nil when there is none
	Scene *plot.Scene
	Load  []LoadRow
	Cards []Card // recovery cards of the means that this trip uses
	Made  time.Time
	Size  string // "A4" or "letter"
	Words Words  // fixed sentences in the reader's language
	lost  *bool  // set when the book written has letters replaced; nil for nobody to tell
}

// Write makes the PDF: cover, legs at a glance, days and supplies, one sheet for each leg, load list, tyre card, recovery cards,
// emergency page, and what the book rests on.
func (b Book) Write(w io.Writer) error {
	p, err := b.Pages()
	if err != nil {
		return err
	}
	_, err = p.WriteTo(w)
	return err
}

// Pages lays out the whole book.
func (b Book) Pages() (*Pages, error) {
	name := shorten(b.Doc.Name(), 400)
	s, err := newSheet(b.Size, name, strings.ReplaceAll(name, " · ", " - ")+" · "+b.Words.T("foot"), b.Made, b.Words)
	if err != nil {
		return nil, err
	}
	s.lost = b.lost
	b.cover(s)
	b.glance(s)
	b.days(s)
	b.cautions(s)
	b.legs(s, b.commonCautions())
	b.loadList(s)
	b.tyres(s)
	b.cards(s)
	b.emergency(s)
	b.basis(s)
	s.confess()
	return s.finish(), nil
}

// confess says at the end that letters had to be replaced, when that happened.
func (s *sheet) confess() {
	if s.unprintable {
		s.y += 8
		s.panel([]string{s.words.T("unprintable")}, 8.5, warnBed, warn)
	}
}

func (b Book) drawMap(c plot.Canvas, e plot.Extent, st plot.RouteStyle) {
	w, h := c.Size()
	v := plot.Fit(e, int(w), int(h), 1, 38)
	pal := plot.Light()
	plot.DrawGround(c, b.Scene, v, pal)
	st.NoFuel, st.NoWater, st.NoReturn = plot.NoReturns(b.Doc.Survey, b.Doc.Judgement)
	plot.DrawRoute(c, b.Scene, v, pal, b.Doc.Judgement, st)
	plot.DrawFurniture(c, b.Scene, v, pal, b.Words.plot())
	b.Words.noteLetters(c, 1, pal)
}

// drawStrip draws the bands named, all that fit for none, and over them the points of no easy return.
func (b Book) drawStrip(c plot.Canvas, r plot.Range, chosen int, only ...string) {
	plot.DrawStrip(c, plot.StripData{Survey: b.Doc.Survey, Judgement: b.Doc.Judgement, Daylight: trip.LightAlong(b.Doc)}, r, plot.Light(),
		plot.StripStyle{Chosen: chosen, HoverM: math.NaN(), From: math.NaN(), To: math.NaN(), Scale: 1, Units: b.Words.plot(), Words: b.Words.strip(), Only: only})
	drawTurns(c, b.Doc, r, 1, b.Words)
}

// drawTurns marks the points of no easy return in a strip that was drawn with the range and scale.
func drawTurns(c plot.Canvas, d *trip.Document, r plot.Range, scale float32, words Words) {
	w, h := c.Size()
	for _, t := range trip.TurnBacks(d.Survey) {
		if t.AtM < r.FromM || t.AtM > r.ToM {
			continue
		}
		x := plot.StripX(r, w, scale, t.AtM)
		foot := h - 24*scale
		c.Lines([][]plot.Pt{{{X: x, Y: 4 * scale}, {X: x, Y: foot}}}, plot.Stroke{Width: 1.4 * scale, Color: ink, Dash: []float32{5 * scale, 3.5 * scale}})
		st := plot.TextStyle{Size: 10 * scale, Color: ink, Halo: color.NRGBA{255, 255, 255, 230}, HaloPx: 2 * scale}
		label := words.T("no_return")
		at := plot.Pt{X: x + 4*scale, Y: foot - 3*scale}
		if at.X+c.TextWidth(label, st) > w-plot.StripRight*scale {
			at.X, st.Align = x-4*scale, 1
		}
		c.Text(at, label, st)
	}
}
