package papers

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/png"
	"io"
	"math"

	"lastroad/app/plot"
	"lastroad/app/trip"
	"lastroad/geo"
)

// The usual sizes of pictures in units of 1/96 inch, and the bounds of those that may be asked for.
const (
	mapW, mapH     = 1400, 900
	stripW, stripH = 1400, 420

	leastMM, mostMM = 60.0, 1200.0
	mostPixels      = 120e6 // half a gigabyte of memory
)

// CheckPicture reports whether a picture of w by h millimetres can be made at a resolution; 0, 0 is the usual
// size.
func CheckPicture(w, h float64, dpi int) error {
	bad := func(reason, remedy string) error {
		return &geo.InputError{Where: "picture", Reason: reason, Remedy: remedy}
	}
	if dpi < 72 || dpi > 600 {
		return bad("the resolution is outside 72 to 600 dots to the inch", "choose 150 for a screen, 300 for print")
	}
	if w == 0 && h == 0 {
		return nil
	}
	if !(w >= leastMM && w <= mostMM && h >= leastMM && h <= mostMM) {
		return bad("the size is outside 60 to 1200 mm", "A4 across is 297x210")
	}
	if d := float64(dpi) / 25.4; w*d*h*d > mostPixels {
		return bad("a picture of this size and resolution has more than 120 million dots", "take fewer dots to the inch")
	}
	return nil
}

// size is that of a picture in units of 1/96 inch.
func (s *Set) size(w, h int, strip bool) (int, int) {
	if s.Picture[0] > 0 {
		w = int(s.Picture[0]/25.4*96 + 0.5)
		if !strip {
			h = int(s.Picture[1]/25.4*96 + 0.5)
		}
	}
	return w, h
}

// raster draws onto a white picture of w by h units at the chosen resolution and writes it as PNG.
func (s *Set) raster(out io.Writer, w, h int, draw func(c plot.Canvas, w, h int, scale float32)) error {
	dpi := max(72, s.DPI)
	k := float32(dpi) / 96
	pw, ph := int(float32(w)*k+0.5), int(float32(h)*k+0.5)
	img := image.NewRGBA(image.Rect(0, 0, pw, ph))
	fonts, err := newFonts()
	if err != nil {
		return err
	}
	r := plot.NewRaster(fonts)
	r.Begin(img)
	lost := false
	draw(inset{r, 0, 0, float32(pw), float32(ph), 1, fonts, &lost}, pw, ph, k)
	if lost && s.lost != nil {
		*s.lost = true
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		return err
	}
	_, err = out.Write(withDPI(b.Bytes(), dpi))
	return err
}

// withDPI puts the resolution into a PNG: a pHYs chunk behind the header (PNG specification, second edition,
// 11.3.5.3), so that programs print the picture in its size.
func withDPI(data []byte, dpi int) []byte {
	const header = 8 + 4 + 4 + 13 + 4 // signature and IHDR
	if len(data) < header {
		return data
	}
	chunk := []byte("....pHYs.........")
	binary.BigEndian.PutUint32(chunk, 9)
	perM := uint32(math.Round(float64(dpi) / 0.0254))
	binary.BigEndian.PutUint32(chunk[8:], perM)
	binary.BigEndian.PutUint32(chunk[12:], perM)
	chunk[16] = 1 // dots per metre
	chunk = binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE(chunk[4:]))
	return append(append(append([]byte(nil), data[:header]...), chunk...), data[header:]...)
}

func (s *Set) drawMap(c plot.Canvas, w, h int, scale float32) {
	v := plot.Fit(s.Scene.Extent(), w, h, scale, 40*float64(scale))
	pal := plot.Light()
	plot.DrawGround(c, s.Scene, v, pal)
	plot.DrawRoute(c, s.Scene, v, pal, s.Doc.Judgement, plot.NoStyle)
	plot.DrawFurniture(c, s.Scene, v, pal, s.Words.plot())
	s.Words.noteLetters(c, scale, pal)
}

// noteLetters says in the foot of a map, in the reader's language, that letters were lost, where some were.
func (w Words) noteLetters(c plot.Canvas, scale float32, pal *plot.Palette) {
	if plot.Lost(c) {
		plot.NoteLetters(c, w.T("letters_lost"), scale, pal)
	}
}

func (s *Set) drawStrip(c plot.Canvas, _, _ int, scale float32) {
	plot.DrawStrip(c, plot.StripData{Survey: s.Doc.Survey, Judgement: s.Doc.Judgement, Daylight: trip.LightAlong(s.Doc)}, plot.Whole(s.Doc.Survey), plot.Light(),
		plot.StripStyle{Chosen: -1, HoverM: math.NaN(), From: math.NaN(), To: math.NaN(), Scale: scale, Units: s.Words.plot(), Words: s.Words.strip()})
	drawTurns(c, s.Doc, plot.Whole(s.Doc.Survey), scale, s.Words)
}

func (s *Set) mapPNG(w io.Writer) error {
	pw, ph := s.size(mapW, mapH, false)
	return s.raster(w, pw, ph, s.drawMap)
}

func (s *Set) stripPNG(w io.Writer) error {
	pw, ph := s.size(stripW, stripH, true)
	return s.raster(w, pw, ph, s.drawStrip)
}

func (s *Set) mapSVG(w io.Writer) error {
	pw, ph := s.size(mapW, mapH, false)
	return svg(w, pw, ph, s.drawMap)
}

func (s *Set) stripSVG(w io.Writer) error {
	pw, ph := s.size(stripW, stripH, true)
	return svg(w, pw, ph, s.drawStrip)
}

func svg(w io.Writer, pw, ph int, draw func(c plot.Canvas, w, h int, scale float32)) error {
	c := plot.NewSVG(pw, ph)
	draw(c, pw, ph, 1)
	_, err := c.WriteTo(w)
	return err
}
