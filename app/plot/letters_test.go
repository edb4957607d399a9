package plot

import (
	"bytes"
	"image"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

func TestPrintable(t *testing.T) {
	for _, c := range []struct {
		in, want string
		lost     bool
	}{
		{"Ford End", "Ford End", false},
		{"What next?", "What next?", false},
		{"Çay, Θήρα, Ярославль", "Çay, Θήρα, Ярославль", false},
		{"Cafe\u0301", "Café", false}, // e and its accent are one letter in the face
		{"a\tb\nc\x07", "a b c", false},
		{"長い道", "???", true},
		{"דרך 7", "??? 7", true},
		{"\u200fطريق", "????", true}, // the mark of direction is no letter
		{"x\xffy", "x?y", true},
	} {
		if got, lost := DefaultFonts().Printable(c.in); got != c.want || lost != c.lost {
			t.Errorf("%q is written %q, letters lost %v; want %q and %v", c.in, got, lost, c.want, c.lost)
		}
	}
}

// drawNamed draws a map with one town of a name, and a camp of another.
func drawNamed(c Canvas, town, camp string) {
	s0, _ := invented()
	sv := *s0.Survey
	sv.Marks = []geo.Mark{{Kind: geo.MarkStop, At: orb.Point{20.06, 30.04}, Name: camp}}
	s := NewScene(&sv, &Ground{Names: []GroundName{{NameTown, town, orb.Point{20.03, 30.03}, 0}}})
	v := Fit(s.Extent(), 480, 320, 1, 40)
	DrawGround(c, s, v, Light())
	DrawRoute(c, s, v, Light(), nil, NoStyle)
	DrawFurniture(c, s, v, Light(), Metric)
	if Lost(c) {
		NoteLetters(c, English.Letters, 1, Light())
	}
}

// A picture says that letters were lost when some were, and only then; an SVG keeps them.
func TestMapsSayThatLettersWereLost(t *testing.T) {
	l := &listener{Raster: NewRaster(nil)} // one canvas for all: a picture must not remember the one before
	for _, c := range []struct {
		town, camp string
		lost       bool
	}{
		{"長い道", "Camp", true}, {"Ford End", "מחנה", true}, {"Ярославль", "Çay", false}, {"طريق", "露営", true}, {"Why?", "Camp?", false},
	} {
		l.texts, l.at = nil, nil
		l.Begin(image.NewRGBA(image.Rect(0, 0, 480, 320)))
		drawNamed(l, c.town, c.camp)
		noted := 0
		for i, s := range l.texts {
			if s != English.Letters {
				continue
			}
			noted++
			if a := l.at[i]; a.X0 < 0 || a.Y0 < 0 || a.X1 > 480 || a.Y1 > 320 {
				t.Errorf("%s, %s: the note at %v leaves the picture", c.town, c.camp, a)
			}
			for k, b := range l.at[:i] {
				if strings.HasSuffix(l.texts[k], "km") && b.Meets(l.at[i]) {
					t.Errorf("%s, %s: the note lies on the scale bar's %q", c.town, c.camp, l.texts[k])
				}
			}
		}
		if (noted == 1) != c.lost || noted > 1 {
			t.Errorf("%s, %s: the note stands %d times, letters lost %v", c.town, c.camp, noted, c.lost)
		}
		doc := NewSVG(480, 320)
		drawNamed(doc, c.town, c.camp)
		var b bytes.Buffer
		doc.WriteTo(&b)
		if s := b.String(); !strings.Contains(s, c.town) || !strings.Contains(s, c.camp) || strings.Contains(s, English.Letters) {
			t.Errorf("%s, %s: the drawing must hold both names as they are, and no note", c.town, c.camp)
		}
	}
}

// A strip has no names of its own but its words, in whatever language; the note keeps left of the axis.
func TestStripsSayThatLettersWereLost(t *testing.T) {
	s, j := invented()
	for _, c := range []struct {
		word string
		lost bool
	}{{"高さ", true}, {"גובה", true}, {"Höhe", false}} {
		l := &listener{Raster: NewRaster(nil)}
		l.Begin(image.NewRGBA(image.Rect(0, 0, 640, 300)))
		w := English
		w.Height = c.word
		DrawStrip(l, StripData{Survey: s.Survey, Judgement: j}, Whole(s.Survey), Light(), StripStyle{Chosen: -1, Scale: 1, Words: w})
		noted := false
		for i, text := range l.texts {
			if text == English.Letters {
				noted = true
				for k, b := range l.at {
					if k != i && b.Meets(l.at[i]) {
						t.Errorf("%s: the note lies on %q", c.word, l.texts[k])
					}
				}
			}
		}
		if noted != c.lost {
			t.Errorf("%s: the note stands there: %v, want %v", c.word, noted, c.lost)
		}
	}
}
