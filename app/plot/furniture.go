package plot

import (
	"math"
	"strconv"
	"strings"
)

// Units says how lengths are written on pictures.
type Units uint8

// The systems of units.
const (
	Metric Units = iota
	Imperial
)

// metresPerMile is the international mile: 5280 ft of exactly 0.3048 m (NIST SP 811, 2008, appendix B).
const (
	metresPerMile = 5280 * metresPerFoot
	metresPerFoot = 0.3048
)

// DrawFurniture draws what frames a map: scale bar, north arrow and the credits line.
func DrawFurniture(c Canvas, s *Scene, v View, p *Palette, u Units) {
	w, h := c.Size()
	ScaleBar(c, s, v, p, u, Pt{14 * v.Scale, h - 14*v.Scale})
	NorthArrow(c, Pt{w - 24*v.Scale, 30 * v.Scale}, 15*v.Scale, p)
	if s == nil || len(s.Credit) == 0 {
		return
	}
	t := TextStyle{Size: 9.5 * v.Scale, Color: p.SoftInk, Align: 1, Halo: p.Halo, HaloPx: 2 * v.Scale}
	c.Text(Pt{w - 8*v.Scale, h - 7*v.Scale}, strings.Join(s.Credit, " · "), t)
}

// barLengths are the round numbers a scale bar may show.
var barLengths = [...]float64{1, 2, 5}

// BarLength is the round length in metres whose bar is at most maxPx long at the middle of the view, and
// its text.
func BarLength(s *Scene, v View, u Units, maxPx float64) (lengthM float64, text string) {
	perPx := v.MetresPerPx
	if s != nil {
		perPx /= s.Proj.Stretch(v.Y)
	}
	unit, name := 1.0, "m"
	most := perPx * maxPx
	switch {
	case u == Imperial && most >= 0.5*metresPerMile:
		unit, name = metresPerMile, "mi"
	case u == Imperial:
		unit, name = metresPerFoot, "ft"
	case most >= 1000:
		unit, name = 1000, "km"
	}
	n := most / unit
	best := 0.0
	for e := math.Pow(10, math.Floor(math.Log10(n))-1); e <= n; e *= 10 {
		for _, b := range barLengths {
			if b*e <= n*(1+1e-9) {
				best = max(best, b*e)
			}
		}
	}
	return best * unit, strconv.FormatFloat(best, 'g', 4, 64) + " " + name
}

// ScaleBar draws a bar whose left lower corner is at p.
func ScaleBar(c Canvas, s *Scene, v View, p *Palette, u Units, at Pt) {
	lengthM, text := BarLength(s, v, u, 150*float64(v.Scale))
	stretch := 1.0
	if s != nil {
		stretch = s.Proj.Stretch(v.Y)
	}
	n := float32(lengthM * stretch / v.MetresPerPx)
	k := v.Scale
	t := TextStyle{Size: 11 * k, Color: p.Ink, Halo: p.Halo, HaloPx: 2 * k}
	bar := Rect{at.X, at.Y - 4*k, at.X + n, at.Y}
	Box(c, bar.Inset(-2*k), p.Halo)
	Box(c, bar, p.Ink)
	Box(c, Rect{bar.X0 + n/2, bar.Y0 + k, bar.X1 - k, bar.Y1 - k}, p.Paper)
	c.Text(Pt{at.X, at.Y - 8*k}, text, t)
}

// NorthArrow draws an arrow of half-height r with its middle at p.
func NorthArrow(c Canvas, p Pt, r float32, pal *Palette) {
	Disc(c, p, 1.45*r, fade(pal.Paper, 0.8))
	c.Fill([][]Pt{{{p.X, p.Y - r}, {p.X + 0.5*r, p.Y + 0.55*r}, {p.X, p.Y + 0.25*r}}}, pal.Ink)
	c.Fill([][]Pt{{{p.X, p.Y - r}, {p.X - 0.5*r, p.Y + 0.55*r}, {p.X, p.Y + 0.25*r}}}, pal.SoftInk)
	c.Text(Pt{p.X, p.Y + 1.2*r}, "N", TextStyle{Size: 0.75 * r, Bold: true, Color: pal.Ink, Align: 0.5})
}
