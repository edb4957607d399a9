package plot

import (
	"strings"

	"golang.org/x/text/unicode/norm"
)

// Printable is s as the faces can write it: letters and their marks joined where one letter exists for both, tabs
// and line ends as blanks, other control characters and marks of direction left out, and a question mark for each
// letter that the faces lack. lost reports whether there was such a letter.
func (f *Fonts) Printable(s string) (out string, lost bool) {
	clean := true
	for i := 0; i < len(s) && clean; i++ {
		clean = s[i] >= 32 && s[i] < 127
	}
	if clean {
		return s, false
	}
	var b strings.Builder
	for _, r := range norm.NFC.String(strings.ToValidUTF8(s, "\ufffd")) {
		switch {
		case r == '\t' || r == '\n' || r == '\r':
			b.WriteByte(' ')
		case r < 32 || r >= 127 && r < 160 || r >= 0x200b && r <= 0x200f || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069:
		case r == '\ufffd' || r > 0xffff || f.Missing(string(r)): // the PDF library has no letters beyond the basic plane
			b.WriteByte('?')
			lost = true
		default:
			b.WriteRune(r)
		}
	}
	return b.String(), lost
}

// loser is a canvas that knows whether a text written on it since its picture began lost letters.
type loser interface{ Lost() bool }

// Lost reports whether a text of the picture on c lost letters that the typeface lacks. An [SVG] keeps its texts as
// they are, for the reader's own typefaces to show, and loses none.
func Lost(c Canvas) bool {
	l, ok := c.(loser)
	return ok && l.Lost()
}

// NoteLetters writes note (see [Words.Letters]) into the foot of a map, above the credits and clear of the scale bar;
// call it where letters were lost, after all that the picture shows.
func NoteLetters(c Canvas, note string, scale float32, p *Palette) {
	w, h := c.Size()
	t := TextStyle{Size: 10 * scale, Color: p.Ink, Align: 1, Halo: p.Halo, HaloPx: 2 * scale}
	wide := c.TextWidth(note, t)
	if room := w - 16*scale; wide > room && room > 0 {
		t.Size *= room / wide
		wide = room
	}
	y := h - 21*scale
	if w-8*scale-wide < 180*scale { // the scale bar's room
		y = h - 44*scale
	}
	c.Text(Pt{w - 8*scale, y}, note, t)
}
