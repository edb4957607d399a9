package plot

import (
	"fmt"
	"image"
	"image/png"
	"io"
	"math"

	"lastroad/risk"
)

// FrontierWords are the texts of [DrawFrontier], so that the window can hand in its translations.
type FrontierWords struct {
	Added, Readiness string // axis titles
	Now              string // at the point without anything added
	Nothing          string // when there is nothing to draw
	Bound            string // what the hollow marks mean
	Comma            bool   // numbers are written 1,5 and not 1.5
}

// FrontierEnglish are the built-in texts.
var FrontierEnglish = FrontierWords{Added: "added, kg", Readiness: "readiness of the trip", Now: "as it is", Nothing: "nothing in the catalogue would win a point",
	Bound: "hollow: the search was cut short"}

// FrontierStyle is how the picture is drawn. Scale is in pixels per unit as for strips; 0 = 1. Chosen is the
// point to mark, -1 for none.
type FrontierStyle struct {
	Scale  float32
	Chosen int
	Words  FrontierWords
}

// frontierFrame is where the curve lies and how its axes run.
type frontierFrame struct {
	box          Rect
	u            float32
	kg           float64
	least, most  float64
	lines, marks []float64 // ticks of readiness and of mass
}

func frameOf(w, h float32, points []risk.Pack, scale float32) (f frontierFrame, ok bool) {
	f.u = scale
	if !(f.u > 0) {
		f.u = 1
	}
	f.box = Rect{52 * f.u, 14 * f.u, w - 20*f.u, h - 40*f.u}
	if len(points) < 2 || f.box.W() < 60*f.u || f.box.H() < 40*f.u {
		return f, false
	}
	f.least, f.most = math.Inf(1), math.Inf(-1)
	for _, p := range points {
		if math.IsNaN(p.Readiness) || math.IsNaN(p.Kg) {
			return f, false
		}
		f.kg, f.least, f.most = math.Max(f.kg, p.Kg), math.Min(f.least, p.Readiness), math.Max(f.most, p.Readiness)
	}
	if !(f.kg > 0) || !(f.most > f.least) {
		return f, false
	}
	room := 0.08 * (f.most - f.least)
	f.least, f.most = f.least-room, math.Min(100, f.most+room)
	f.kg *= 1.04
	f.lines = ticks(f.least, f.most, max(2, int(f.box.H()/(34*f.u))))
	f.marks = ticks(0, f.kg, max(2, int(f.box.W()/(64*f.u))))
	return f, true
}

func (f *frontierFrame) at(kg, readiness float64) Pt {
	return Pt{f.box.X0 + float32(kg/f.kg)*f.box.W(), f.box.Y1 - float32((readiness-f.least)/(f.most-f.least))*f.box.H()}
}

// DrawFrontier draws readiness against the kilograms that are added: a rising staircase with a mark at every
// set that no other beats in both. A hollow mark is one whose search was cut short, so that a better set may exist.
// Fewer than two points, or a picture too small, give a line that says so.
func DrawFrontier(c Canvas, points []risk.Pack, p *Palette, st FrontierStyle) {
	w, h := c.Size()
	Box(c, Rect{0, 0, w, h}, p.Paper)
	f, ok := frameOf(w, h, points, st.Scale)
	small := TextStyle{Size: 11 * f.u, Color: p.SoftInk}
	if !ok {
		small.Align = 0.5
		c.Text(Pt{w / 2, h / 2}, st.Words.Nothing, small)
		return
	}
	hair := Stroke{Width: f.u, Color: p.Line}
	for _, v := range f.lines {
		a := f.at(0, v)
		Line(c, hair, a, Pt{f.box.X1, a.Y})
		t := small
		t.Align = 1
		c.Text(Pt{f.box.X0 - 6*f.u, a.Y + 4*f.u}, tickText(v, st.Words.Comma), t)
	}
	for _, v := range f.marks {
		a := f.at(v, f.least)
		Line(c, hair, a, Pt{a.X, a.Y + 4*f.u})
		t := small
		t.Align = 0.5
		c.Text(Pt{a.X, f.box.Y1 + 17*f.u}, tickText(v, st.Words.Comma), t)
	}
	t := small
	t.Align = 1
	c.Text(Pt{f.box.X1, f.box.Y1 + 32*f.u}, st.Words.Added, t)
	t.Align, t.Turn = 0.5, -math.Pi/2
	c.Text(Pt{13 * f.u, (f.box.Y0 + f.box.Y1) / 2}, st.Words.Readiness, t)

	var stair []Pt
	for i, q := range points {
		if i > 0 {
			stair = append(stair, f.at(q.Kg, points[i-1].Readiness))
		}
		stair = append(stair, f.at(q.Kg, q.Readiness))
	}
	stair = append(stair, Pt{f.box.X1, stair[len(stair)-1].Y})
	Line(c, Stroke{Width: 2 * f.u, Color: p.Accent}, stair...)
	hollow := false
	for i, q := range points {
		a := f.at(q.Kg, q.Readiness)
		if i == st.Chosen {
			Disc(c, a, 8*f.u, fade(p.Accent, 0.3))
		}
		Disc(c, a, 4*f.u, p.Accent)
		if !q.Exact {
			Disc(c, a, 2.4*f.u, p.Paper)
			hollow = true
		}
	}
	ink := TextStyle{Size: 12 * f.u, Color: p.Ink, Halo: p.Halo, HaloPx: 2 * f.u}
	first, last := f.at(points[0].Kg, points[0].Readiness), f.at(points[len(points)-1].Kg, points[len(points)-1].Readiness)
	c.Text(Pt{first.X + 8*f.u, first.Y + 15*f.u}, st.Words.Now+": "+decimals(fmt.Sprintf("%.1f", points[0].Readiness), st.Words.Comma), ink)
	ink.Align = 1
	c.Text(Pt{f.box.X1, last.Y - 9*f.u}, decimals(fmt.Sprintf("%.1f", points[len(points)-1].Readiness), st.Words.Comma)+fmt.Sprintf(", %.0f kg", points[len(points)-1].Kg), ink)
	if hollow {
		t := small
		c.Text(Pt{f.box.X0, f.box.Y1 + 32*f.u}, st.Words.Bound, t)
	}
}

func tickText(v float64, comma bool) string {
	return decimals(fmt.Sprintf("%g", math.Round(v*1000)/1000), comma)
}

// FrontierAt is the index of the point nearest to x, y of a picture of w x h pixels drawn with the same scale,
// within 12 units; -1 when there is none.
func FrontierAt(w, h float32, points []risk.Pack, scale, x, y float32) int {
	f, ok := frameOf(w, h, points, scale)
	if !ok {
		return -1
	}
	best, least := -1, 12*f.u
	for i, q := range points {
		a := f.at(q.Kg, q.Readiness)
		if d := float32(math.Hypot(float64(a.X-x), float64(a.Y-y))); d < least {
			best, least = i, d
		}
	}
	return best
}

// FrontierSVG and FrontierPNG write the picture of a frontier in the light palette with English texts.
func FrontierSVG(w io.Writer, points []risk.Pack, width, height int) error {
	c := NewSVG(width, height)
	DrawFrontier(c, points, Light(), FrontierStyle{Scale: 1, Chosen: -1, Words: FrontierEnglish})
	_, err := c.WriteTo(w)
	return err
}

// FrontierPNG writes the same as [FrontierSVG], scale pixels for each of its units.
func FrontierPNG(w io.Writer, points []risk.Pack, width, height int, scale float32) error {
	img := image.NewRGBA(image.Rect(0, 0, int(float32(width)*scale), int(float32(height)*scale)))
	r := NewRaster(DefaultFonts())
	r.Begin(img)
	DrawFrontier(r, points, Light(), FrontierStyle{Scale: scale, Chosen: -1, Words: FrontierEnglish})
	return png.Encode(w, img)
}
