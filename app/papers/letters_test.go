package papers

import (
	"image/png"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lastroad/app/plot"
	"lastroad/app/trip"
	"lastroad/geo"
)

// The set must name the files in which letters were replaced, no others, and none from the writing before; the
// drawing and the texts keep the names.
func TestWriteToNamesThePapersThatLostLetters(t *testing.T) {
	for _, c := range []struct {
		stop string
		want []string
	}{
		{"露営地", []string{"note-for-home.pdf", "map.png"}},
		{"מחנה ראשון", []string{"note-for-home.pdf", "map.png"}},
		{"Лагерь Çay?", nil},
	} {
		s := with(t, func(p *trip.Plan) { p.Stops[0].Name = c.stop })
		sv := *s.Doc.Survey
		sv.Marks = slices.Clone(sv.Marks)
		named := 0
		for i := range sv.Marks {
			if sv.Marks[i].Kind == geo.MarkStop {
				sv.Marks[i].Name = c.stop
				named++
			}
		}
		if named == 0 {
			t.Fatal("the demo has no camp on its map")
		}
		d := *s.Doc
		d.Survey = &sv
		s.Doc = &d
		s.Scene = bare(s)
		s.DPI, s.Picture = 96, [2]float64{120, 90}
		papers, err := Pick([]string{"home", "home-text", "map-png", "map-svg", "strip-png", "strip-svg"})
		if err != nil {
			t.Fatal(err)
		}
		dir := t.TempDir()
		for range 2 {
			if _, err := s.WriteTo(dir, papers, nil); err != nil {
				t.Fatal(err)
			}
			if !slices.Equal(s.Replaced, c.want) {
				t.Errorf("%s: letters are said to be lost in %v, want %v", c.stop, s.Replaced, c.want)
			}
		}
		for _, name := range []string{"map.svg", "note-for-home.txt"} {
			text, err := os.ReadFile(filepath.Join(dir, name))
			if err != nil {
				t.Fatal(err)
			}
			if !strings.Contains(string(text), c.stop) {
				t.Errorf("%s: %s lost the name", c.stop, name)
			}
		}
	}
}

// hearing is a canvas that remembers its texts.
type hearing struct {
	plot.Canvas
	texts []string
}

func (h *hearing) Text(p plot.Pt, s string, t plot.TextStyle) {
	h.texts = append(h.texts, s)
	h.Canvas.Text(p, s, t)
}

// The note on a map stands in the reader's language, in a picture as in the book.
func TestTheNoteOnLettersSpeaksTheReadersLanguage(t *testing.T) {
	fonts, err := newFonts()
	if err != nil {
		t.Fatal(err)
	}
	s := demoSet(t)
	sv := *s.Doc.Survey
	sv.Marks = append(slices.Clone(sv.Marks), geo.Mark{Kind: geo.MarkStop, At: s.Doc.Route.Line[len(s.Doc.Route.Line)/2], Name: "露営地"})
	d := *s.Doc
	d.Survey = &sv
	s.Doc = &d
	s.Scene = bare(s)
	seen := map[string]bool{}
	for _, l := range Languages {
		s.Words, _ = Language(l)
		want := s.Words.T("letters_lost")
		seen[want] = true
		for name, draw := range map[string]func(c plot.Canvas){
			"map":  func(c plot.Canvas) { s.drawMap(c, 700, 450, 1) },
			"book": func(c plot.Canvas) { s.book().drawMap(c, s.Scene.Extent(), plot.NoStyle) },
		} {
			h := &hearing{Canvas: plot.NewSVG(700, 450)}
			lost := false
			draw(inset{h, 0, 0, 700, 450, 1, fonts, &lost})
			if !slices.Contains(h.texts, "???") || !slices.Contains(h.texts, want) {
				t.Errorf("%s %s: ??? stands there: %v, %q stands there: %v; want both", l, name, slices.Contains(h.texts, "???"), want, slices.Contains(h.texts, want))
			}
		}
	}
	if len(seen) != len(Languages) {
		t.Errorf("%d languages have %d notes", len(Languages), len(seen))
	}
}

// With LASTROAD_PICTURES set, a map that lost letters is written there to be looked at.
func TestLookAtLostLetters(t *testing.T) {
	dir := os.Getenv("LASTROAD_PICTURES")
	if dir == "" {
		t.Skip("LASTROAD_PICTURES names no folder for pictures")
	}
	s := with(t, func(p *trip.Plan) { p.Trip.Name = "長い道"; p.Stops[0].Name = "露営地" })
	sv := *s.Doc.Survey
	sv.Marks = append(slices.Clone(sv.Marks), geo.Mark{Kind: geo.MarkStop, At: s.Doc.Route.Line[len(s.Doc.Route.Line)/2], Name: "露営地"})
	d := *s.Doc
	d.Survey = &sv
	s.Doc = &d
	s.Scene = bare(s)
	s.DPI, s.Picture = 96, [2]float64{200, 120}
	p, _ := Pick([]string{"map-png"})
	if _, err := s.WriteTo(dir, p, nil); err != nil {
		t.Fatal(err)
	}
	f, err := os.Open(filepath.Join(dir, "map.png"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, err := png.Decode(f); err != nil {
		t.Error(err)
	}
}
