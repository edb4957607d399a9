package plot

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// Fonts are the two faces a picture is written with, with the outlines of the letters used so far.
// They may be shared by goroutines.
type Fonts struct {
	face [2]*sfnt.Font
	mu   sync.Mutex
	buf  sfnt.Buffer
	kept [2]map[rune]*glyph
}

// glyph is a letter's outline at unitsPerEm pixels an em, flattened, y down from the base line.
type glyph struct {
	index   sfnt.GlyphIndex
	advance float32 // ems
	rings   [][]Pt  // ems
	missing bool
}

// NewFonts parses a regular and a bold face (TrueType or OpenType).
func NewFonts(regular, bold []byte) (*Fonts, error) {
	f := &Fonts{}
	for i, data := range [][]byte{regular, bold} {
		face, err := sfnt.Parse(data)
		if err != nil {
			return nil, fmt.Errorf("font %d: %w", i+1, err)
		}
		f.face[i], f.kept[i] = face, map[rune]*glyph{}
	}
	return f, nil
}

// DefaultFonts gives the Go fonts (Latin, Greek and Cyrillic letters), parsed once.
var DefaultFonts = sync.OnceValue(func() *Fonts {
	f, err := NewFonts(goregular.TTF, gobold.TTF)
	if err != nil {
		panic("plot: the built-in fonts do not parse: " + err.Error())
	}
	return f
})

// outlinePPEM is the size at which outlines are read: fine enough that flattening shows at no size used.
const outlinePPEM = 512

func (f *Fonts) glyph(bold bool, r rune) *glyph {
	k := 0
	if bold {
		k = 1
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if g := f.kept[k][r]; g != nil {
		return g
	}
	g := &glyph{}
	face, ppem := f.face[k], fixed.I(outlinePPEM)
	if i, err := face.GlyphIndex(&f.buf, r); err == nil {
		g.index, g.missing = i, i == 0
		if a, err := face.GlyphAdvance(&f.buf, i, ppem, font.HintingNone); err == nil {
			g.advance = float32(a) / 64 / outlinePPEM
		}
		if segs, err := face.LoadGlyph(&f.buf, i, ppem, nil); err == nil {
			g.rings = flatten(segs)
		}
	}
	f.kept[k][r] = g
	return g
}

// Missing reports whether neither face has a letter for one of the runes of s.
func (f *Fonts) Missing(s string) bool {
	for _, r := range s {
		if f.glyph(false, r).missing {
			return true
		}
	}
	return false
}

// Width is the length of s in pixels at the given size.
func (f *Fonts) Width(s string, size float32, bold bool) float32 {
	var w float32
	for _, r := range s {
		w += f.glyph(bold, r).advance
	}
	return w * size
}

// flatten turns curves into chords of at most a fiftieth of an em.
func flatten(segs sfnt.Segments) [][]Pt {
	var rings [][]Pt
	var cur []Pt
	em := func(p fixed.Point26_6) Pt {
		return Pt{float32(p.X) / 64 / outlinePPEM, float32(p.Y) / 64 / outlinePPEM}
	}
	for _, s := range segs {
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			if len(cur) > 2 {
				rings = append(rings, cur)
			}
			cur = []Pt{em(s.Args[0])}
		case sfnt.SegmentOpLineTo:
			cur = append(cur, em(s.Args[0]))
		case sfnt.SegmentOpQuadTo:
			a, b, c := cur[len(cur)-1], em(s.Args[0]), em(s.Args[1])
			n := chords(a, b, c)
			for i := 1; i <= n; i++ {
				t := float32(i) / float32(n)
				u := 1 - t
				cur = append(cur, Pt{u*u*a.X + 2*u*t*b.X + t*t*c.X, u*u*a.Y + 2*u*t*b.Y + t*t*c.Y})
			}
		case sfnt.SegmentOpCubeTo:
			a, b, c, d := cur[len(cur)-1], em(s.Args[0]), em(s.Args[1]), em(s.Args[2])
			n := chords(a, b, d) + 1
			for i := 1; i <= n; i++ {
				t := float32(i) / float32(n)
				u := 1 - t
				cur = append(cur, Pt{
					u*u*u*a.X + 3*u*u*t*b.X + 3*u*t*t*c.X + t*t*t*d.X,
					u*u*u*a.Y + 3*u*u*t*b.Y + 3*u*t*t*c.Y + t*t*t*d.Y})
			}
		}
	}
	if len(cur) > 2 {
		rings = append(rings, cur)
	}
	return rings
}

func chords(a, b, c Pt) int {
	l := math.Hypot(float64(b.X-a.X), float64(b.Y-a.Y)) + math.Hypot(float64(c.X-b.X), float64(c.Y-b.Y))
	return 1 + int(math.Min(l*30, 8))
}

// TextWidth implements Canvas.
func (r *Raster) TextWidth(s string, t TextStyle) float32 {
	s, _ = r.fonts.Printable(s)
	return r.fonts.Width(s, t.Size, t.Bold)
}

// Text implements Canvas. Letters the faces lack are drawn as question marks; see [Raster.Lost].
func (r *Raster) Text(p Pt, s string, t TextStyle) {
	if s == "" || !(t.Size > 0) || !(p.X == p.X && p.Y == p.Y) {
		return
	}
	s, lost := r.fonts.Printable(s)
	sin, cos := math.Sincos(float64(t.Turn))
	ux, uy := Pt{float32(cos), float32(sin)}, Pt{float32(-sin), float32(cos)}
	x := -t.Align * r.TextWidth(s, t)
	text, rings := r.text[:0], r.rings[:0]
	for _, c := range s {
		g := r.fonts.glyph(t.Bold, c)
		for _, ring := range g.rings {
			from := len(text)
			for _, q := range ring {
				gx, gy := x+q.X*t.Size, q.Y*t.Size
				text = append(text, Pt{p.X + gx*ux.X + gy*uy.X, p.Y + gx*ux.Y + gy*uy.Y})
			}
			text = append(text, text[from]) // closed
			rings = append(rings, text[from:len(text):len(text)])
		}
		x += g.advance * t.Size
	}
	r.text, r.rings = text, rings
	bound, ok := boundAll(rings, t.HaloPx+1)
	clip := r.clip()
	part := image.Rect(int(bound.X0), int(bound.Y0), int(bound.X1)+1, int(bound.Y1)+1).Intersect(clip)
	if !ok || part.Empty() {
		return
	}
	r.lost = r.lost || lost
	if t.HaloPx > 0 && t.Halo.A > 0 {
		r.strokeMask(rings, 2*t.HaloPx)
		r.mask.lay(r.img.Pix, r.img.Stride, t.Halo)
		r.glyphs(rings, part, t.Halo)
	}
	r.glyphs(rings, part, t.Color)
}

// glyphs fills the outlines of letters, which end where they begin.
func (r *Raster) glyphs(rings [][]Pt, part image.Rectangle, c color.NRGBA) {
	r.area.Reset(part.Dx(), part.Dy())
	for _, g := range rings {
		r.addRing(g[:len(g)-1], part.Min, false)
	}
	r.layArea(part, c)
}

func boundAll(rings [][]Pt, margin float32) (b Rect, ok bool) {
	b = Rect{math.MaxFloat32, math.MaxFloat32, -math.MaxFloat32, -math.MaxFloat32}
	for _, ring := range rings {
		for _, p := range ring {
			b.X0, b.X1 = min(b.X0, p.X), max(b.X1, p.X)
			b.Y0, b.Y1 = min(b.Y0, p.Y), max(b.Y1, p.Y)
		}
	}
	ok = b.X0 <= b.X1 && b.X1 < 1e6 && b.X0 > -1e6 && b.Y1 < 1e6 && b.Y0 > -1e6
	return Rect{b.X0 - margin, b.Y0 - margin, b.X1 + margin, b.Y1 + margin}, ok
}
