package plot

import (
	"image/color"
	"math"
	"strconv"
	"strings"

	"lastroad/geo"
	"lastroad/risk"
)

// readiness: one bar a leg, coloured, textured, and with its number.
func (d *stripPen) readiness(r Rect) {
	d.label(r, d.st.Words.Readiness, "")
	if d.data.Judgement == nil {
		d.none(r, d.st.Words.NotJudged)
		return
	}
	for i := range d.sv.Legs {
		a, b := d.x(d.sv.FromM(i)), d.x(d.sv.ToM(i))
		vd, readiness := verdictOf(d.data.Judgement, i)
		bar := Rect{max(d.x0, a) + d.u, r.Y0 + d.u, min(d.x1, b) - d.u, r.Y1 - d.u}
		if bar.W() <= 0 {
			continue
		}
		d.c.PushClip(bar)
		Box(d.c, bar, d.p.ReadinessColor(readiness))
		mid := bar.Y0 + bar.H()*0.84
		d.texture(bar, mid, vd)
		d.c.PopClip()
		if i == d.st.Chosen {
			d.frame(bar, 2*d.u, d.p.Ink)
		}
		s := strconv.Itoa(int(math.Round(readiness)))
		t := TextStyle{Size: 12 * d.u, Bold: true, Color: color.NRGBA{255, 255, 255, 255}, Align: 0.5, Halo: color.NRGBA{20, 14, 30, 190}, HaloPx: 1.6 * d.u}
		if d.c.TextWidth(s, t)+4*d.u < bar.W() {
			d.c.Text(Pt{(bar.X0 + bar.X1) / 2, (bar.Y0+bar.Y1)/2 + 0.3*t.Size}, s, t)
		}
	}
	if d.data.Judgement != nil {
		d.value((r.Y0+r.Y1)/2, strconv.Itoa(int(math.Round(d.data.Judgement.Trip.Readiness))), true)
	}
}

// texture is the verdict's pattern along the foot of a bar, as on the map's line.
func (d *stripPen) texture(bar Rect, y float32, vd verdict) {
	path := [][]Pt{{{bar.X0 + 3*d.u, y}, {bar.X1 - 3*d.u, y}}}
	switch vd {
	case beaded:
		d.c.Lines(path, Stroke{Width: 2 * d.u, Color: color.NRGBA{255, 255, 255, 235}, Dash: []float32{5 * d.u, 6.5 * d.u}})
	case notched:
		d.c.Lines(notches([][]Pt{{{bar.X0, y}, {bar.X1, y}}}, 3.4*d.u, 6*d.u), Stroke{Width: 1.5 * d.u, Color: d.p.Case})
	}
}

func (d *stripPen) frame(r Rect, w float32, col color.NRGBA) {
	h := w / 2
	Line(d.c, Stroke{Width: w, Color: col}, Pt{r.X0 + h, r.Y0 + h}, Pt{r.X1 - h, r.Y0 + h}, Pt{r.X1 - h, r.Y1 - h}, Pt{r.X0 + h, r.Y1 - h}, Pt{r.X0 + h, r.Y0 + h})
}

// value writes on the right of the bands.
func (d *stripPen) value(y float32, s string, bold bool) {
	t := d.text(10.5, d.p.SoftInk)
	if bold {
		t.Bold, t.Size, t.Color = true, 13*d.u, d.p.Ink
	}
	d.besides(y+0.36*t.Size, s, t)
}

// number writes v with the decimals that it has.
func (d *stripPen) number(v float64) string {
	return decimals(strconv.FormatFloat(v, 'f', -1, 64), d.st.Words.Comma)
}

// decimals puts a comma for the point of a number where the language writes one.
func decimals(number string, comma bool) string {
	if comma {
		return strings.Replace(number, ".", ",", 1)
	}
	return number
}

// besides writes in the room on the right of the bands, smaller where it is too wide for it.
func (d *stripPen) besides(y float32, s string, t TextStyle) {
	if w, room := d.c.TextWidth(s, t), (StripRight-8)*d.u; w > room {
		t.Size *= room / w
	}
	d.c.Text(Pt{d.x1 + 7*d.u, y}, s, t)
}

// none says in the middle of an empty band why it is empty; other names keep clear of that.
func (d *stripPen) none(r Rect, why string) {
	t := d.text(11, d.p.SoftInk)
	t.Align = 0.5
	at := Pt{(d.x0 + d.x1) / 2, (r.Y0+r.Y1)/2 + 0.36*t.Size}
	d.taken = append(d.taken, textBox(d.c, at, why, t))
	d.c.Text(at, why, t)
}

// height: the profile, filled; its line thickens with the grade.
func (d *stripPen) height(r Rect) {
	cols := d.columns(func(s *geo.Sample) float64 { return s.HeightM })
	lo, hi, ok := span(cols)
	if !ok {
		d.label(r, d.st.Words.Height, "")
		// Low in the band: the names of the points of no return stand in its upper part.
		d.none(Rect{r.X0, r.Y0 + 0.55*r.H(), r.X1, r.Y1}, d.st.Words.NoHeights)
		return
	}
	unit, k := "m", 1.0
	if d.st.Units == Imperial {
		unit, k = "ft", 1/metresPerFoot
	}
	d.label(r, d.st.Words.Height, unit)
	if hi-lo < 50 {
		mid := (hi + lo) / 2
		lo, hi = mid-25, mid+25
	}
	pad := (hi - lo) * 0.08
	y := func(v float64) float32 { return r.Y1 - float32((v-lo+pad)/(hi-lo+2*pad))*r.H() }
	for _, v := range ticks(lo*k, hi*k, int(r.H()/(17*d.u))) {
		d.rule(y(v / k))
		d.value(y(v/k), d.number(v), false)
	}
	d.area(cols, r.Y1, y, fade(d.p.SoftInk, 0.28))
	d.outline(cols, y, Stroke{Width: 1.5 * d.u, Color: d.p.Ink})
	d.gaps(r, cols)
}

// grade: per cent up above the middle line and down below it, with the band of what the data leave open.
func (d *stripPen) grade(r Rect) {
	d.label(r, d.st.Words.Grade, "%")
	cols := d.columns(func(s *geo.Sample) float64 { return 100 * s.Grade })
	lo, hi, ok := span(cols)
	if !ok {
		d.none(r, d.st.Words.NoHeights)
		return
	}
	top := max(5, math.Ceil(max(hi, -lo)/5)*5)
	mid := (r.Y0 + r.Y1) / 2
	y := func(v float64) float32 { return mid - float32(max(-1, min(1, v/top)))*r.H()/2 }
	band := d.columns(func(s *geo.Sample) float64 { return 100 * s.GradeBand })
	var upper, lower []Pt
	for i := range cols {
		if cols[i].n == 0 || band[i].n == 0 {
			continue
		}
		x := d.x0 + float32(i) + 0.5
		upper = append(upper, Pt{x, y(cols[i].max + band[i].mean)})
		lower = append(lower, Pt{x, y(cols[i].min - band[i].mean)})
	}
	for i := len(lower) - 1; i >= 0; i-- {
		upper = append(upper, lower[i])
	}
	if len(upper) > 2 {
		d.c.Fill([][]Pt{upper}, fade(d.p.SoftInk, 0.16))
	}
	for i, c := range cols {
		if c.n == 0 {
			continue
		}
		x := d.x0 + float32(i)
		steep := max(c.max, -c.min)
		col := blend(d.p.SoftInk, d.p.Warn, max(0, min(1, (steep-10)/20)))
		a, b := y(max(0, c.max)), y(min(0, c.min))
		if b-a < 0.5 {
			continue
		}
		Box(d.c, Rect{x, a, x + 1, b}, col)
	}
	Line(d.c, Stroke{Width: 0.8 * d.u, Color: d.p.SoftInk}, Pt{d.x0, mid}, Pt{d.x1, mid})
	s := strconv.Itoa(int(top))
	d.value(r.Y0+5*d.u, "+"+s, false)
	if r.H() > 28*d.u {
		d.value(r.Y1-5*d.u, "-"+s, false)
	}
}

// road: straight distance to the nearest maintained road, on a square-root scale so that 200 m and 20 km
// can both be read.
func (d *stripPen) road(r Rect) {
	unitM, unit := 1000.0, "km"
	if d.st.Units == Imperial {
		unitM, unit = metresPerMile, "mi"
	}
	d.label(r, d.st.Words.Road, unit)
	d.rooted(r, d.columns(func(s *geo.Sample) float64 { return s.RoadM / unitM }), []float64{0.1, 0.5, 1, 2, 5, 10, 20, 50, 100}, d.p.WayOut)
}

// walk: minutes on foot to a maintained road.
func (d *stripPen) walk(r Rect) {
	d.label(r, d.st.Words.Walk, d.st.Words.Hours)
	d.rooted(r, d.columns(func(s *geo.Sample) float64 { return s.WalkMin / 60 }), []float64{0.25, 0.5, 1, 2, 4, 8, 16, 32, 64}, d.p.Help)
}

func (d *stripPen) rooted(r Rect, cols []column, marks []float64, col color.NRGBA) {
	_, hi, ok := span(cols)
	if !ok {
		d.none(r, d.st.Words.Unknown)
		return
	}
	hi = max(hi*1.05, marks[0])
	y := func(v float64) float32 { return r.Y1 - float32(math.Sqrt(max(0, v)/hi))*r.H() }
	last := float32(math.MaxFloat32)
	for _, v := range marks {
		if v <= hi {
			at := y(v)
			d.rule(at)
			// The lowest figure stands on the floor, not half below it.
			label := min(at, r.Y1-5*d.u)
			if last-label > 11*d.u && at > r.Y0-2*d.u {
				d.value(label, d.number(v), false)
				last = label
			}
		}
	}
	for i := range cols {
		cols[i].mean = cols[i].max
	}
	d.area(cols, r.Y1, y, fade(col, 0.3))
	d.outline(cols, y, Stroke{Width: 1.4 * d.u, Color: col})
	d.gaps(r, cols)
}

// ground: a run of colours with a texture for loose and soft grounds, named where there is room.
func (d *stripPen) ground(r Rect) {
	d.label(r, d.st.Words.Ground, "")
	s := d.sv.Samples
	class := func(i int) geo.Ground {
		if g := int(s[i].Ground); g < len(d.sv.Grounds) {
			return d.sv.Grounds[g].Main()
		}
		return geo.Unknown
	}
	for a := d.first; a < d.last; {
		g := class(a)
		b := a + 1
		for b < d.last && class(b) == g {
			b++
		}
		run := Rect{max(d.x0, d.x(s[a].DistanceM)), r.Y0, min(d.x1, d.x(s[b].DistanceM)), r.Y1}
		if run.W() > 0 {
			d.c.PushClip(run)
			Box(d.c, Rect{float32(math.Floor(float64(run.X0))), run.Y0, run.X1, run.Y1}, d.p.Classes[g])
			d.groundTexture(run, g)
			d.c.PopClip()
			t := d.text(10, d.p.Ink)
			t.Align, t.Halo, t.HaloPx = 0.5, fade(d.p.Paper, 0.85), 2*d.u
			if d.c.TextWidth(d.groundName(g), t)+8*d.u < run.W() {
				d.c.Text(Pt{(run.X0 + run.X1) / 2, (r.Y0+r.Y1)/2 + 0.36*t.Size}, d.groundName(g), t)
			}
		}
		a = b
	}
}

func (d *stripPen) groundName(g geo.Ground) string {
	if g == geo.Unknown {
		return d.st.Words.Unknown
	}
	if n := d.st.Words.Grounds[g]; n != "" {
		return n
	}
	return g.String()
}

// each draws a mark at every gap, anchored to the strip so that neighbouring runs fit.
func (d *stripPen) each(r Rect, gap float32, mark func(x float32, k int) [][]Pt, st Stroke) {
	var out [][]Pt
	for k := int(math.Floor(float64(r.X0 / gap))); float32(k)*gap < r.X1+gap; k++ {
		out = append(out, mark(float32(k)*gap, k)...)
	}
	d.c.Lines(out, st)
}

// groundTexture tells the classes apart without colour: a centre line for sealed, two wheel tracks for a firm
// track, dots by size for gravel, sand and loose rock, broken rows for clay, waves of dashes for wet ground,
// steps for ledges, the map's signs for scrub, grass, snow and salt, a slanting hatch for unknown.
func (d *stripPen) groundTexture(r Rect, g geo.Ground) {
	u := d.u
	ink := fade(d.p.Case, 0.45)
	switch g {
	case geo.Unknown:
		var ls [][]Pt
		// Anchored to the strip and not to the run, so that neighbouring runs fit and panning is calm.
		for x := r.X0 - r.H() - float32(math.Mod(float64(r.X0), float64(9*u))); x < r.X1; x += 9 * u {
			ls = append(ls, []Pt{{x, r.Y1}, {x + r.H(), r.Y0}})
		}
		d.c.Lines(ls, Stroke{Width: 1 * u, Color: fade(d.p.Ink, 0.3)})
	case geo.Gravel, geo.Sand, geo.LooseRock:
		size := float32(1.1)
		switch g {
		case geo.LooseRock:
			size = 3.2
		case geo.Gravel:
			size = 1.9
		}
		var dots [][]Pt
		k := 0
		for x := r.X0 - float32(math.Mod(float64(r.X0), float64(7*u))); x < r.X1; x += 7 * u {
			y := r.Y0 + r.H()*(0.3+0.4*float32(k%2))
			dots = append(dots, []Pt{{x, y}, {x, y}})
			k++
		}
		d.c.Lines(dots, Stroke{Width: size * u, Color: ink})
	case geo.Mud, geo.Ford:
		y := (r.Y0 + r.Y1) / 2
		d.c.Lines([][]Pt{{{r.X0, y - 3*u}, {r.X1, y - 3*u}}, {{r.X0 + 4*u, y + 3*u}, {r.X1, y + 3*u}}},
			Stroke{Width: 1.2 * u, Color: fade(d.p.Paper, 0.6), Dash: []float32{5 * u, 4 * u}})
	case geo.Sealed:
		y := (r.Y0 + r.Y1) / 2
		d.c.Lines([][]Pt{{{r.X0, y}, {r.X1, y}}}, Stroke{Width: 1.4 * u, Color: fade(d.p.Paper, 0.85), Dash: []float32{9 * u, 6 * u}})
	case geo.FirmTrack:
		y := (r.Y0 + r.Y1) / 2
		d.c.Lines([][]Pt{{{r.X0, y - 3.4*u}, {r.X1, y - 3.4*u}}, {{r.X0, y + 3.4*u}, {r.X1, y + 3.4*u}}}, Stroke{Width: 1 * u, Color: ink})
	case geo.Clay:
		d.each(r, 9*u, func(x float32, k int) [][]Pt {
			y := r.Y0 + r.H()*(0.32+0.36*float32(k%2))
			return [][]Pt{{{x, y}, {x + 4*u, y}}}
		}, Stroke{Width: 1.2 * u, Color: ink})
	case geo.Scrub, geo.Grass, geo.Snow:
		d.each(r, 9*u, func(x float32, k int) [][]Pt {
			y := r.Y0 + r.H()*(0.36+0.3*float32(k%2))
			switch g {
			case geo.Scrub:
				return [][]Pt{{{x - 2.4*u, y + 1.4*u}, {x - 1.2*u, y - 1.4*u}, {x + 1.2*u, y - 1.4*u}, {x + 2.4*u, y + 1.4*u}}}
			case geo.Snow:
				return [][]Pt{{{x - 2.2*u, y}, {x + 2.2*u, y}}, {{x - 1.1*u, y - 2*u}, {x + 1.1*u, y + 2*u}}, {{x - 1.1*u, y + 2*u}, {x + 1.1*u, y - 2*u}}}
			}
			return [][]Pt{{{x - 1.4*u, y - 2*u}, {x - 0.4*u, y + 1.6*u}}, {{x + 1.4*u, y - 2*u}, {x + 0.4*u, y + 1.6*u}}}
		}, Stroke{Width: 1 * u, Color: ink})
	case geo.Salt:
		d.each(r, 9*u, func(x float32, k int) [][]Pt {
			y := r.Y0 + r.H()*(0.32+0.36*float32(k%2))
			return [][]Pt{{{x - 2*u, y}, {x + 2*u, y}}, {{x, y - 2*u}, {x, y + 2*u}}}
		}, Stroke{Width: 1 * u, Color: ink})
	case geo.LedgeRock:
		var ls [][]Pt
		for x := r.X0 - float32(math.Mod(float64(r.X0), float64(8*u))); x < r.X1; x += 8 * u {
			ls = append(ls, []Pt{{x, r.Y1}, {x, r.Y0 + r.H()*0.55}, {x + 4*u, r.Y0 + r.H()*0.55}})
		}
		d.c.Lines(ls, Stroke{Width: 1.1 * u, Color: ink})
	}
}

// light: day, twilight and night by the planned times.
func (d *stripPen) light(r Rect) {
	d.label(r, d.st.Words.Light, "")
	if len(d.data.Daylight) == 0 {
		d.none(r, d.st.Words.NoDate)
		return
	}
	for _, l := range d.data.Daylight {
		a, b := max(d.x0, d.x(l.FromM)), min(d.x1, d.x(l.ToM))
		if a < b && int(l.Sky) < len(d.p.Sky) {
			Box(d.c, Rect{a, r.Y0, b, r.Y1}, d.p.Sky[l.Sky])
			if l.Sky == Night {
				d.c.PushClip(Rect{a, r.Y0, b, r.Y1})
				var dots [][]Pt
				for x, k := a+6*d.u, 0; x < b; x, k = x+11*d.u, k+1 {
					y := r.Y0 + r.H()*(0.3+0.4*float32(k%2))
					dots = append(dots, []Pt{{x, y}, {x, y}})
				}
				d.c.Lines(dots, Stroke{Width: 1.3 * d.u, Color: color.NRGBA{255, 255, 255, 170}})
				d.c.PopClip()
			}
		}
	}
}

// supplies: fuel and drinking water left at the start of each leg, as two lines on their own scales.
func (d *stripPen) supplies(r Rect) {
	j := d.data.Judgement
	d.label(r, d.st.Words.Supplies, "L")
	if j == nil || len(j.Legs) < len(d.sv.Legs) || len(d.sv.Legs) == 0 {
		d.none(r, d.st.Words.NotJudged)
		return
	}
	var fuel, low, water []Pt
	hiF, hiW := 1.0, 1.0
	for i := range d.sv.Legs {
		hiF, hiW = max(hiF, j.Legs[i].Needs.FuelHaveL.High), max(hiW, j.Legs[i].Needs.WaterHaveL)
	}
	y := func(v, hi float64) float32 { return r.Y1 - float32(max(0, min(1, v/hi)))*(r.H()-2*d.u) }
	for i := range d.sv.Legs {
		n := &j.Legs[i].Needs
		x := d.x(d.sv.FromM(i))
		fuel = append(fuel, Pt{x, y(n.FuelHaveL.Central, hiF)})
		low = append(low, Pt{x, y(n.FuelHaveL.Low, hiF)})
		water = append(water, Pt{x, y(n.WaterHaveL, hiW)})
	}
	end := d.x(d.sv.LengthM())
	last := &j.Legs[len(d.sv.Legs)-1].Needs
	fuel = append(fuel, Pt{end, y(last.FuelHaveL.Central-last.FuelL.Central, hiF)})
	low = append(low, Pt{end, y(last.FuelHaveL.Low-last.FuelL.High, hiF)})
	water = append(water, Pt{end, water[len(water)-1].Y})
	d.c.PushClip(Rect{d.x0, r.Y0, d.x1, r.Y1 + d.u})
	poly := append([]Pt(nil), fuel...)
	for i := len(low) - 1; i >= 0; i-- {
		poly = append(poly, low[i])
	}
	d.c.Fill([][]Pt{poly}, fade(d.p.Ink, 0.14))
	d.c.Lines([][]Pt{fuel}, Stroke{Width: 1.6 * d.u, Color: d.p.Ink})
	d.c.Lines([][]Pt{water}, Stroke{Width: 1.8 * d.u, Color: d.p.Water, Dash: []float32{6 * d.u, 4 * d.u}})
	d.c.PopClip()
	d.value(r.Y0+5*d.u, strconv.Itoa(int(math.Round(hiF)))+" "+d.st.Words.Fuel, false)
	if r.H() > 24*d.u {
		t := d.text(10.5, d.p.Water)
		d.besides(r.Y1-2*d.u, strconv.Itoa(int(math.Round(hiW)))+" "+d.st.Words.Water, t)
	}
}

func (d *stripPen) rule(y float32) {
	Line(d.c, Stroke{Width: 0.8 * d.u, Color: d.p.Line}, Pt{d.x0, y}, Pt{d.x1, y})
}

// area fills between the columns' means and the floor; outline strokes their tops. Gaps stay gaps.
func (d *stripPen) area(cols []column, floor float32, y func(float64) float32, col color.NRGBA) {
	for _, run := range d.runs(cols, y) {
		poly := append([]Pt{{run[0].X, floor}}, run...)
		d.c.Fill([][]Pt{append(poly, Pt{run[len(run)-1].X, floor})}, col)
	}
}

// gaps hatches what is not known, as the band of the ground does.
func (d *stripPen) gaps(r Rect, cols []column) {
	for a := 0; a < len(cols); {
		if cols[a].n > 0 {
			a++
			continue
		}
		b := a
		for b < len(cols) && cols[b].n == 0 {
			b++
		}
		gap := Rect{d.x0 + float32(a), r.Y0 + 2*d.u, d.x0 + float32(b), r.Y1}
		d.c.PushClip(gap)
		d.groundTexture(gap, geo.Unknown)
		d.c.PopClip()
		t := d.text(10, d.p.SoftInk)
		t.Align, t.Halo, t.HaloPx = 0.5, d.p.Paper, 2*d.u
		if d.c.TextWidth(d.st.Words.Unknown, t)+8*d.u < gap.W() {
			d.c.Text(Pt{(gap.X0 + gap.X1) / 2, (gap.Y0+gap.Y1)/2 + 0.36*t.Size}, d.st.Words.Unknown, t)
		}
		a = b
	}
}

func (d *stripPen) outline(cols []column, y func(float64) float32, s Stroke) {
	d.c.Lines(d.runs(cols, y), s)
}

func (d *stripPen) runs(cols []column, y func(float64) float32) (out [][]Pt) {
	var cur []Pt
	for i, c := range cols {
		if c.n == 0 {
			if len(cur) > 1 {
				out = append(out, cur)
			}
			cur = nil
			continue
		}
		cur = append(cur, Pt{d.x0 + float32(i) + 0.5, y(c.mean)})
	}
	if len(cur) > 1 {
		out = append(out, cur)
	}
	return out
}

func span(cols []column) (lo, hi float64, ok bool) {
	for _, c := range cols {
		if c.n == 0 {
			continue
		}
		if !ok {
			lo, hi, ok = c.min, c.max, true
		}
		lo, hi = min(lo, c.min), max(hi, c.max)
	}
	return lo, hi, ok
}

// ticks are up to n round values in lo..hi.
func ticks(lo, hi float64, n int) (out []float64) {
	n = max(1, min(n, 6))
	raw := (hi - lo) / float64(n)
	e := math.Pow(10, math.Floor(math.Log10(raw)))
	step := 10 * e
	for _, m := range []float64{1, 2, 5} {
		if m*e >= raw {
			step = m * e
			break
		}
	}
	for k := math.Ceil(lo / step); k*step <= hi; k++ {
		out = append(out, k*step)
	}
	return out
}

// DrawBadge fills the picture with a score: its colour, its texture along the foot and its number.
func DrawBadge(c Canvas, s risk.Score, p *Palette) {
	w, h := c.Size()
	u := h / 26
	vd := wordVerdict(s.Word)
	bar := Rect{0, 0, w, h}
	r := 5 * u
	mid := h / 2
	// A bar with round ends: its core line as wide as the badge is high less the rounding.
	c.Lines([][]Pt{{{r, r}, {w - r, r}, {w - r, h - r}, {r, h - r}, {r, r}}}, Stroke{Width: 2 * r, Color: p.ReadinessColor(s.Readiness)})
	Box(c, bar.Inset(r), p.ReadinessColor(s.Readiness))
	d := &stripPen{c: c, p: p, u: u}
	d.texture(Rect{r, 0, w - r, h}, h-3.6*u, vd)
	if vd == unjudged || s.Readiness != s.Readiness {
		return
	}
	t := TextStyle{Size: 14 * u, Bold: true, Color: color.NRGBA{255, 255, 255, 255}, Align: 0.5, Halo: color.NRGBA{20, 14, 30, 170}, HaloPx: 1.5 * u}
	c.Text(Pt{w / 2, mid + 0.27*t.Size}, strconv.Itoa(int(math.Round(s.Readiness))), t)
}
