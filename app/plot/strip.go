package plot

import (
	"image/color"
	"math"
	"slices"

	"lastroad/geo"
	"lastroad/risk"
)

// Range is the part of the route that a strip shows, in metres from its start.
type Range struct{ FromM, ToM float64 }

// Whole is the range of a whole survey.
func Whole(s *geo.Survey) Range {
	if s == nil {
		return Range{0, 1}
	}
	return Range{0, max(1, s.LengthM())}
}

// Clip keeps r inside the survey and at least minM long, moving it rather than shortening it.
func (r Range) Clip(s *geo.Survey, minM float64) Range {
	w := Whole(s)
	n := max(minM, min(r.ToM-r.FromM, w.ToM))
	from := max(0, min(r.FromM, w.ToM-n))
	return Range{from, min(w.ToM, from+n)}
}

// Zoom is r narrowed by factor (above 1 is nearer) with the place atM kept in its place.
func (r Range) Zoom(atM, factor float64) Range {
	return Range{atM - (atM-r.FromM)/factor, atM + (r.ToM-atM)/factor}
}

// Daylight is a stretch of the route driven by one kind of light.
type Daylight struct {
	FromM, ToM float64
	Sky        Sky
}

// Sky is day, twilight or night.
type Sky uint8

// The kinds of light.
const (
	Day Sky = iota
	Twilight
	Night
)

// StripData is what the strip shows. Judgement may be nil, Daylight empty: those bands say so.
type StripData struct {
	Survey    *geo.Survey
	Judgement *risk.Judgement
	Daylight  []Daylight
}

// Words are the texts of pictures, so that the window can hand in its translations. English gives ours.
type Words struct {
	Readiness, Height, Grade, Road, Walk, Ground, Light, Supplies string
	Fuel, Water, Unknown, NoDate, NoHeights, NotJudged            string
	Minutes, Hours                                                string
	Up, Down                                                      string
	Letters                                                       string // what stands in a foot when letters were lost; "" for nothing
	NoReturn, NoFuel, NoWater                                     string // points of no return: in fuel and water, in one
	Comma                                                         bool   // numbers are written 1,5 and not 1.5
	// Grounds are the names of the ground classes; an empty one stands for the English name.
	Grounds [geo.NumGrounds]string
}

// English are the built-in texts.
var English = Words{
	Readiness: "Readiness", Height: "Height", Grade: "Grade", Road: "To a maintained road", Walk: "Walk out",
	Ground: "Ground", Light: "Light", Supplies: "Fuel and water", Fuel: "fuel", Water: "water",
	Unknown: "unknown", NoDate: "no start time", NoHeights: "no heights", NotJudged: "not judged yet",
	Minutes: "min", Hours: "h", Up: "up", Down: "down",
	Letters:  "? = letter the typeface cannot print",
	NoReturn: "no return", NoFuel: "fuel: on is nearer", NoWater: "water: on is nearer",
}

// StripStyle is how a strip is drawn.
type StripStyle struct {
	Chosen   int     // leg, -1 for none
	HoverM   float64 // metres along the route, NaN for none
	From, To float64 // a stretch marked by the user in metres, NaN for none
	Scale    float32
	Units    Units
	Words    Words
	// Only names the bands to draw ("readiness", "height", "grade", "road", "walk", "ground", "light",
	// "supplies"); empty for as many as fit.
	Only []string
}

// StripInsets are the widths in units left and right of the bands: names on the left, values on the right.
const (
	StripLeft  = 148
	StripRight = 58
)

// StripX is the pixel of a place of the route in a strip w pixels wide, StripM the reverse. The value may
// lie outside the bands or the range.
func StripX(r Range, w, scale float32, m float64) float32 {
	x0, x1 := StripLeft*scale, w-StripRight*scale
	return x0 + float32((m-r.FromM)/(r.ToM-r.FromM))*(x1-x0)
}

// StripM is the place of the route at pixel x.
func StripM(r Range, w, scale, x float32) float64 {
	x0, x1 := StripLeft*scale, w-StripRight*scale
	return r.FromM + float64((x-x0)/max(1, x1-x0))*(r.ToM-r.FromM)
}

// band is one row of the strip.
type band struct {
	name   string
	weight float32 // share of the height
	least  float32 // units; a strip too low for all bands drops those of the highest rank
	rank   int
	draw   func(*stripPen, Rect)
}

var bands = []band{
	{"readiness", 1.1, 24, 0, (*stripPen).readiness},
	{"height", 2.6, 46, 1, (*stripPen).height},
	{"grade", 1.2, 26, 4, (*stripPen).grade},
	{"road", 1.3, 26, 2, (*stripPen).road},
	{"walk", 1.2, 24, 5, (*stripPen).walk},
	{"ground", 0.8, 16, 3, (*stripPen).ground},
	{"light", 0.55, 13, 7, (*stripPen).light},
	{"supplies", 1.3, 26, 6, (*stripPen).supplies},
}

const axisHeight = 22 // units

// DrawStrip draws the bands of the route, one under the other on the same kilometres.
func DrawStrip(c Canvas, data StripData, r Range, p *Palette, st StripStyle) {
	w, h := c.Size()
	Box(c, Rect{0, 0, w, h}, p.Paper)
	if data.Survey == nil || len(data.Survey.Samples) < 2 || !(r.ToM > r.FromM) {
		return
	}
	d := &stripPen{c: c, data: data, sv: data.Survey, r: r, p: p, st: st, u: st.Scale, w: w}
	d.x0, d.x1 = StripLeft*d.u, w-StripRight*d.u
	d.first, d.last = d.samples()
	axisY := h - axisHeight*d.u
	d.legStripes(axisY)
	y := 6 * d.u
	for _, b := range d.chosenBands(axisY - y - 4*d.u) {
		d.c.PushClip(Rect{0, b.r.Y0 - d.u, w, b.r.Y1 + d.u})
		b.draw(d, b.r)
		d.c.PopClip()
		switch b.name {
		case "height":
			d.names = b.r.Y0
		case "ground":
			d.crossings(b.r.Y0)
		}
	}
	d.noReturns(axisY)
	d.axis(axisY, h)
	d.selection(axisY)
	if d.st.Words.Letters != "" && Lost(c) {
		d.lettersNote(h)
	}
	if st.HoverM == st.HoverM {
		x := d.x(st.HoverM)
		Line(c, Stroke{Width: 1.2 * d.u, Color: p.Hover}, Pt{x, 0}, Pt{x, axisY})
	}
}

type placedBand struct {
	band
	r Rect
}

// chosenBands shares the height among as many bands as fit, in their order.
func (d *stripPen) chosenBands(height float32) []placedBand {
	gap := 5 * d.u
	var pick []band
	for _, b := range bands {
		if len(d.st.Only) == 0 || slices.Contains(d.st.Only, b.name) {
			pick = append(pick, b)
		}
	}
	for len(pick) > 1 {
		var least float32
		worst := 0
		for i, b := range pick {
			least += b.least*d.u + gap
			if b.rank > pick[worst].rank {
				worst = i
			}
		}
		if least <= height {
			break
		}
		pick = append(pick[:worst:worst], pick[worst+1:]...)
	}
	var weights, least float32
	for _, b := range pick {
		weights += b.weight
		least += b.least*d.u + gap
	}
	spare := max(0, height-least)
	y := 6 * d.u
	var out []placedBand
	for _, b := range pick {
		n := b.least*d.u + spare*b.weight/weights
		out = append(out, placedBand{b, Rect{d.x0, y, d.x1, y + n}})
		y += n + gap
	}
	return out
}

// StripUnits is the height in units at which all bands have their least room.
func StripUnits() float32 {
	var n float32 = axisHeight + 10
	for _, b := range bands {
		n += b.least + 5
	}
	return n
}

type stripPen struct {
	c           Canvas
	data        StripData
	sv          *geo.Survey
	r           Range
	p           *Palette
	st          StripStyle
	u, w        float32
	x0, x1      float32
	first, last int     // samples in sight, both included
	names       float32 // where the names of the points of no return begin: the top of the band of heights
	taken       []Rect  // what those names keep clear of
}

func (d *stripPen) x(m float64) float32 { return StripX(d.r, d.w, d.u, m) }

// samples finds the samples in sight with one more on each side.
func (d *stripPen) samples() (a, b int) {
	s := d.sv.Samples
	a, b = 0, len(s)-1
	for a+1 < len(s) && s[a+1].DistanceM < d.r.FromM {
		a++
	}
	for b > 0 && s[b-1].DistanceM > d.r.ToM {
		b--
	}
	return a, max(a, b)
}

// column is what lies under one pixel of the strip.
type column struct {
	min, max, mean float64
	n              int
}

// columns gathers a value of the samples pixel by pixel; pixels between two samples are drawn on the line
// between them. Unknown values leave a gap.
func (d *stripPen) columns(value func(*geo.Sample) float64) []column {
	n := max(1, int(d.x1-d.x0))
	out := make([]column, n)
	add := func(i int, v float64) {
		if i < 0 || i >= n || v != v {
			return
		}
		c := &out[i]
		if c.n == 0 {
			c.min, c.max = v, v
		}
		c.min, c.max = min(c.min, v), max(c.max, v)
		c.mean += v
		c.n++
	}
	s := d.sv.Samples
	for i := d.first; i <= d.last; i++ {
		x := float64(d.x(s[i].DistanceM) - d.x0)
		v := value(&s[i])
		add(int(math.Floor(x)), v)
		if i < d.last {
			x2, v2 := float64(d.x(s[i+1].DistanceM)-d.x0), value(&s[i+1])
			if v == v && v2 == v2 {
				for k := max(0, int(math.Floor(x))+1); k < min(n, int(math.Floor(x2))); k++ {
					t := (float64(k) + 0.5 - x) / (x2 - x)
					add(k, v+t*(v2-v))
				}
			}
		}
	}
	for i := range out {
		if out[i].n > 0 {
			out[i].mean /= float64(out[i].n)
		}
	}
	return out
}

func (d *stripPen) text(size float32, col color.NRGBA) TextStyle {
	return TextStyle{Size: size * d.u, Color: col}
}

// label writes a band's name on the left and, under it where there is room, what the values mean.
func (d *stripPen) label(r Rect, name, note string) {
	t := d.text(11.5, d.p.Ink)
	// Long words of other languages are written smaller rather than over the bands.
	if w, room := d.c.TextWidth(name, t), d.x0-16*d.u; w > room && room > 0 {
		t.Size *= room / w
	}
	y := (r.Y0+r.Y1)/2 + 0.36*t.Size
	if note != "" && r.H() >= 27*d.u {
		d.c.Text(Pt{10 * d.u, y - 6.5*d.u}, name, t)
		d.c.Text(Pt{10 * d.u, y + 6.5*d.u}, note, d.text(10, d.p.SoftInk))
		return
	}
	d.c.Text(Pt{10 * d.u, y}, name, t)
}

// lettersNote says left of the axis that letters were lost, as small as the room there needs.
func (d *stripPen) lettersNote(h float32) {
	t := d.text(10, d.p.Ink)
	if w, room := d.c.TextWidth(d.st.Words.Letters, t), d.x0-20*d.u; w > room && room > 0 {
		t.Size *= room / w
	}
	d.c.Text(Pt{10 * d.u, h - 7*d.u}, d.st.Words.Letters, t)
}

// legStripes shades every other leg and the chosen one through all bands.
func (d *stripPen) legStripes(bottom float32) {
	for i := range d.sv.Legs {
		a, b := max(d.x0, d.x(d.sv.FromM(i))), min(d.x1, d.x(d.sv.ToM(i)))
		if a >= b {
			continue
		}
		switch {
		case i == d.st.Chosen:
			Box(d.c, Rect{a, 0, b, bottom}, fade(d.p.Accent, 0.13))
		case i%2 == 1:
			Box(d.c, Rect{a, 0, b, bottom}, fade(d.p.Line, 0.28))
		}
	}
}

func (d *stripPen) selection(bottom float32) {
	if i := d.st.Chosen; i >= 0 && i < len(d.sv.Legs) {
		a, b := d.x(d.sv.FromM(i)), d.x(d.sv.ToM(i))
		for _, x := range []float32{a, b} {
			if x >= d.x0-1 && x <= d.x1+1 {
				Line(d.c, Stroke{Width: 1.4 * d.u, Color: d.p.Accent}, Pt{x, 0}, Pt{x, bottom})
			}
		}
	}
	if d.st.From == d.st.From && d.st.To == d.st.To {
		a, b := max(d.x0, d.x(min(d.st.From, d.st.To))), min(d.x1, d.x(max(d.st.From, d.st.To)))
		if a < b {
			Box(d.c, Rect{a, 0, b, bottom}, fade(d.p.Accent, 0.25))
		}
	}
}

// steps are the distances between kilometre marks, in kilometres or miles.
var axisSteps = []float64{0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000}

func (d *stripPen) axis(top, bottom float32) {
	unitM, name := 1000.0, "km"
	if d.st.Units == Imperial {
		unitM, name = metresPerMile, "mi"
	}
	perUnit := float64(d.x1-d.x0) / (d.r.ToM - d.r.FromM) * unitM
	step := axisSteps[len(axisSteps)-1]
	for _, s := range axisSteps {
		if s*perUnit >= 64*float64(d.u) {
			step = s
			break
		}
	}
	Line(d.c, Stroke{Width: d.u, Color: d.p.SoftInk}, Pt{d.x0, top}, Pt{d.x1, top})
	t := d.text(11, d.p.SoftInk)
	t.Align = 0.5
	for k := math.Ceil(d.r.FromM / unitM / step); k*step*unitM <= d.r.ToM*(1+1e-9); k++ {
		x := d.x(k * step * unitM)
		Line(d.c, Stroke{Width: d.u, Color: d.p.SoftInk}, Pt{x, top}, Pt{x, top + 4*d.u})
		d.c.Text(Pt{x, top + 15*d.u}, d.number(math.Round(k*step*1e4)/1e4), t)
	}
	t.Align = 0
	d.c.Text(Pt{d.x1 + 18*d.u, top + 15*d.u}, name, t)
}
