package papers

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"strings"
	"sync"
	"testing"
	"time"

	"lastroad/app/plot"
	"lastroad/app/trip"
	"lastroad/risk"
)

// demoTogether is the demo with both vehicles, judged in the quick way.
var demoTogether = sync.OnceValues(func() (*Set, error) {
	alone, err := demo()
	if err != nil {
		return nil, err
	}
	t, err := trip.Builtin()
	if err != nil {
		return nil, err
	}
	d := *alone.Doc
	d.Plan = d.Plan.Clone()
	d.Plan.Trip.Together = true
	if d.Judgement, err = risk.Judge(context.Background(), d.Survey, d.Plan.Trip, t.Catalogue, risk.Options{Quick: true}); err != nil {
		return nil, err
	}
	return Prepare(context.Background(), &d, alone.Made, "A4")
})

// banded gives scores the bands that drawing samples would give them, for the room they take.
func banded(s *Set) *Set {
	wide := func(sc *risk.Score) {
		sc.Band = [3]float64{sc.Readiness - 8, sc.Readiness, min(100, sc.Readiness+2)}
		for _, o := range []*risk.Odds{&sc.Stopped, &sc.NotUnaided, &sc.NoHelp} {
			o.Low, o.High = o.P/30, min(1, 30*o.P)
		}
	}
	n, d, j := *s, *s.Doc, *s.Doc.Judgement
	j.Legs = append([]risk.LegJudgement(nil), j.Legs...)
	wide(&j.Trip)
	for i := range j.Legs {
		wide(&j.Legs[i].Score)
	}
	d.Judgement, n.Doc = &j, &d
	return &n
}

// in gives the set in another language.
func in(t testing.TB, s *Set, lang, system, size string) *Set {
	t.Helper()
	tables, err := trip.Builtin()
	if err != nil {
		t.Fatal(err)
	}
	n := *s
	n.Size, n.Scene = size, bare(s)
	n.Words, _ = Language(lang)
	n.Words = n.Words.In(system)
	if n.Cards, err = cardsOf(n.Doc, tables.Catalogue, n.Words); err != nil {
		t.Fatal(err)
	}
	return &n
}

// bare is the map without land: where texts lie does not depend on it, and it is drawn in no time.
func bare(s *Set) *plot.Scene { return plot.NewScene(s.Doc.Survey, plot.FromRegion(nil, nil)) }

// faults lists what a reader of the pages would stumble on: texts that were cut or broken inside a word,
// texts outside the page's edges, texts over each other or over a picture.
func faults(s *sheet) []string {
	var out []string
	seen := map[string]bool{}
	for _, c := range s.cut {
		if seen[c] {
			continue
		}
		seen[c] = true
		out = append(out, fmt.Sprintf("%q is cut or broken inside a word", c))
	}
	const near = 0.6 // points that boxes may touch: they are taken round the whole line height
	for i, a := range s.written {
		foot := a.y0 > s.h-35 && a.y1 < s.h-20
		if a.x0 < margin-0.5 || a.x1 > s.w-margin+0.5 || a.y0 < margin-8 || a.y1 > s.h-bottom+6 && !foot {
			out = append(out, fmt.Sprintf("page %d: %q lies at %.0f..%.0f, %.0f..%.0f, outside the page's edges", a.page, a.text, a.x0, a.x1, a.y0, a.y1))
		}
		for _, b := range s.written[i+1:] {
			if a.page == b.page && a.x0 < b.x1-near && b.x0 < a.x1-near && a.y0 < b.y1-near && b.y0 < a.y1-near {
				out = append(out, fmt.Sprintf("page %d: %q and %q lie over each other", a.page, a.text, b.text))
			}
		}
	}
	return out
}

func TestNothingIsCutOrOverlapsInAnyLanguage(t *testing.T) {
	alone := demoSet(t)
	both, err := demoTogether()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, size, system string
		set                *Set
	}{{"alone", "A4", "metric", banded(alone)}, {"together", "letter", "us", banded(both)}} {
		for _, lang := range Languages {
			if testing.Short() && lang != "de" {
				continue // the longest words
			}
			size := c.size
			s := in(t, c.set, lang, c.system, size)
			b, err := s.book().Pages()
			if err != nil {
				t.Fatal(err)
			}
			h, err := s.home().Pages()
			if err != nil {
				t.Fatal(err)
			}
			// A leg takes one page, two quiet legs may share one: the sheets end on the page before the load list.
			titles, at := b.Marks()
			first, last := -1, 0
			for i, m := range titles {
				if strings.HasPrefix(m, s.Words.T("leg_n", 1)) && first < 0 {
					first = at[i]
				}
				if m == s.Words.T("load_list") {
					last = at[i]
				}
			}
			if n, legs := last-first, len(s.Doc.Judgement.Legs); n > legs || first < 0 || n < legs/2 {
				t.Errorf("%s, %s, %s: %d legs take %d pages, want at most one each", c.name, lang, size, legs, n)
			}
			for what, sheet := range map[string]*sheet{"book": b.sheet, "note": h.sheet} {
				if len(sheet.written) < 40 {
					t.Errorf("%s, %s, %s, %s: only %d texts were recorded", c.name, what, lang, size, len(sheet.written))
				}
				for i, f := range faults(sheet) {
					if i == 5 {
						t.Log("...")
						break
					}
					t.Errorf("%s, %s, %s, %s: %s", c.name, what, lang, size, f)
				}
			}
		}
	}
}

// The check above finds what it looks for.
func TestFaultsAreFound(t *testing.T) {
	s, err := newSheet("A4", "t", "f", time.Unix(0, 0), english)
	if err != nil {
		t.Fatal(err)
	}
	s.newPage()
	s.font(10, false, ink)
	s.write(margin, 100, "one")
	if got := faults(s); len(got) != 0 {
		t.Fatalf("a single word has faults: %v", got)
	}
	s.write(margin+4, 103, "two")
	s.write(s.w-20, 300, "outside")
	s.shrink(margin, 400, "much too long for so little room", 10, 20, false, ink)
	if got := strings.Join(faults(s), "\n"); !strings.Contains(got, "over each other") || !strings.Contains(got, "outside") || !strings.Contains(got, "is cut") {
		t.Errorf("three faults were made, found: %s", got)
	}
}

// listener is a canvas that only remembers where texts lie.
type listener struct {
	w, h  float32
	fonts *plot.Fonts
	texts []placed
}

func (l *listener) Size() (w, h float32)           { return l.w, l.h }
func (l *listener) Lines([][]plot.Pt, plot.Stroke) {}
func (l *listener) Fill([][]plot.Pt, color.NRGBA)  {}
func (l *listener) PushClip(plot.Rect)             {}
func (l *listener) PopClip()                       {}
func (l *listener) Image(plot.Rect, *image.RGBA)   {}
func (l *listener) TextWidth(s string, t plot.TextStyle) float32 {
	return l.fonts.Width(s, t.Size, t.Bold)
}
func (l *listener) Text(p plot.Pt, s string, t plot.TextStyle) {
	n := l.TextWidth(s, t)
	x := p.X - t.Align*n
	l.texts = append(l.texts, placed{1, float64(x), float64(p.Y - 0.7*t.Size), float64(x + n), float64(p.Y + 0.2*t.Size), s})
}

func TestDrawingsKeepTheirLabelsApart(t *testing.T) {
	fonts, err := newFonts()
	if err != nil {
		t.Fatal(err)
	}
	for _, lang := range Languages {
		w, _ := Language(lang)
		for name, draw := range map[string]func(plot.Canvas){
			"boards": func(c plot.Canvas) { drawBoards(c, w) }, "buried": func(c plot.Canvas) { drawBuried(c, w) },
			"kinetic": func(c plot.Canvas) { drawPull(c, w, true, 14) }, "static": func(c plot.Canvas) { drawPull(c, w, false, 15) },
		} {
			height := map[string]float32{"boards": 128, "buried": 150, "kinetic": 120, "static": 100}[name]
			l := &listener{w: 511 / 0.75, h: height / 0.75, fonts: fonts}
			draw(l)
			if len(l.texts) < 4 {
				t.Errorf("%s, %s: %d labels", lang, name, len(l.texts))
			}
			for i, a := range l.texts {
				if a.x0 < 0 || a.x1 > float64(l.w) || a.y0 < 0 || a.y1 > float64(l.h) {
					t.Errorf("%s, %s: %q lies outside the drawing", lang, name, a.text)
				}
				for _, b := range l.texts[i+1:] {
					if a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1 {
						t.Errorf("%s, %s: %q and %q lie over each other", lang, name, a.text, b.text)
					}
				}
			}
		}
	}
}

// 0.65 s for the 23 pages of the demo, half of it for pictures, on two cores of a virtual machine (November 2026).
func BenchmarkBook(b *testing.B) {
	s := demoSet(b)
	b.ReportAllocs()
	for b.Loop() {
		var out bytes.Buffer
		if err := s.book().Write(&out); err != nil {
			b.Fatal(err)
		}
	}
}
