package papers

import (
	"image/color"
	"math"

	"lastroad/app/plot"
	"lastroad/app/units"
)

// The drawings of the means beside the winch. They are schemes, not to scale, in black, greys and one warm
// tint that stays a light grey on a grey printer.
var (
	dangerTint = color.NRGBA{150, 50, 20, 28}
	earth      = color.NRGBA{214, 208, 196, 255}
	earthLine  = color.NRGBA{120, 112, 98, 255}
)

// diagram is a canvas with the pens that the drawings share.
type diagram struct {
	c    plot.Canvas
	w, h float32
}

func newDiagram(c plot.Canvas) diagram {
	w, h := c.Size()
	return diagram{c, w, h}
}

func (d diagram) line(width float32, col color.NRGBA, pts ...plot.Pt) {
	d.c.Lines([][]plot.Pt{pts}, plot.Stroke{Width: width, Color: col})
}

func (d diagram) dashed(width float32, col color.NRGBA, pts ...plot.Pt) {
	d.c.Lines([][]plot.Pt{pts}, plot.Stroke{Width: width, Color: col, Dash: []float32{7, 5}})
}

// text writes t with its middle at x, kept inside the picture.
func (d diagram) text(x, y float32, t string, bold bool) {
	st := plot.TextStyle{Size: 11, Bold: bold, Color: ink, Align: 0.5, Halo: color.NRGBA{255, 255, 255, 255}, HaloPx: 2}
	half := d.c.TextWidth(t, st)/2 + 3
	x = max(half, min(d.w-half, x))
	d.c.Text(plot.Pt{X: x, Y: y}, t, st)
}

// pointer draws a thin line with a dot at its end, from a label to a thing.
func (d diagram) pointer(x0, y0, x1, y1 float32) {
	d.line(0.9, soft, plot.Pt{X: x0, Y: y0}, plot.Pt{X: x1, Y: y1})
	plot.Disc(d.c, plot.Pt{X: x1, Y: y1}, 2.2, soft)
}

// arrow points from a to b.
func (d diagram) arrow(width float32, a, b plot.Pt) {
	d.line(width, ink, a, b)
	n := float32(math.Hypot(float64(b.X-a.X), float64(b.Y-a.Y)))
	if n == 0 {
		return
	}
	ux, uy := (b.X-a.X)/n, (b.Y-a.Y)/n
	k := 4 * width
	d.c.Fill([][]plot.Pt{{{X: b.X + ux*k*0.4, Y: b.Y + uy*k*0.4}, {X: b.X - ux*k - uy*k*0.6, Y: b.Y - uy*k + ux*k*0.6}, {X: b.X - ux*k + uy*k*0.6, Y: b.Y - uy*k - ux*k*0.6}}}, ink)
}

// car is a plan view with its front to the right, its middle at x, y.
func (d diagram) car(x, y float32, wheelsLost bool) {
	box := func(x0, y0, x1, y1 float32, col color.NRGBA) {
		plot.Box(d.c, plot.Rect{X0: x + x0, Y0: y + y0, X1: x + x1, Y1: y + y1}, col)
	}
	if wheelsLost { // mired: the ground round its wheels
		for _, wx := range []float32{-28, 18} {
			plot.Disc(d.c, plot.Pt{X: x + wx + 5, Y: y - 17}, 13, earth)
			plot.Disc(d.c, plot.Pt{X: x + wx + 5, Y: y + 17}, 13, earth)
		}
	}
	for _, wx := range []float32{-28, 18} {
		box(wx, -20, wx+11, -14, ink)
		box(wx, 14, wx+11, 20, ink)
	}
	white := color.NRGBA{255, 255, 255, 255}
	box(-38, -15, 38, 15, ink)
	box(-36, -13, 36, 13, white)
	box(10, -11, 16, 11, soft)
	box(-31, -11, -28, 11, soft)
}

// drawPull is a pull between two vehicles: kinetic with a slack line, or steady with a tight one.
func drawPull(c plot.Canvas, w Words, kinetic bool, clearM float64) {
	d := newDiagram(c)
	y := d.h * 0.46
	a, b := d.w*0.14, d.w*0.86
	x0, x1 := a+40, b-40
	plot.Box(c, plot.Rect{X0: a - 60, Y0: y - 44, X1: b + 60, Y1: y + 44}, dangerTint)
	d.dashed(1, warn, plot.Pt{X: a - 60, Y: y - 44}, plot.Pt{X: b + 60, Y: y - 44})
	d.dashed(1, warn, plot.Pt{X: a - 60, Y: y + 44}, plot.Pt{X: b + 60, Y: y + 44})
	d.car(a, y, true)
	d.car(b, y, false)
	var path []plot.Pt
	for k := 0; k <= 60; k++ {
		t := float32(k) / 60
		p := plot.Pt{X: x0 + t*(x1-x0), Y: y}
		if kinetic { // slack in two bends
			p.Y += 13 * float32(math.Sin(2*math.Pi*float64(t))*math.Sin(math.Pi*float64(t)))
		}
		path = append(path, p)
	}
	d.line(4.4, ink, path...)
	d.line(2.2, color.NRGBA{255, 255, 255, 255}, path...)
	for _, x := range []float32{x0, x1} {
		plot.Disc(c, plot.Pt{X: x, Y: y}, 4, ink)
	}
	mid := (x0 + x1) / 2
	plot.Box(c, plot.Rect{X0: mid - 15, Y0: y - 8, X1: mid + 15, Y1: y + 8}, soft)
	d.text(mid, y-14, w.T("d_damper"), false)
	d.text(a, y-28, w.T("d_stuck"), true)
	d.text(b, y-28, w.T("d_tug"), true)
	if kinetic {
		d.text(mid-(x1-x0)*0.3, y+34, w.T("d_slack"), false)
	} else {
		d.text(mid-(x1-x0)*0.3, y+20, w.T("d_tight"), false)
	}
	d.arrow(1.8, plot.Pt{X: b + 46, Y: y}, plot.Pt{X: min(d.w-8, b+84), Y: y})
	d.text(d.w/2, d.h-8, w.T("d_clear", w.least(units.Length, clearM, 0)), false)
}

// drawBoards is a wheel in its hole with the ramp to dig and the board before it, from the side.
func drawBoards(c plot.Canvas, w Words) {
	d := newDiagram(c)
	top := d.h * 0.52
	wheel := plot.Pt{X: d.w * 0.36, Y: top - 8}
	const r = 44
	hole := []plot.Pt{{X: 0, Y: top}, {X: wheel.X - 58, Y: top}, {X: wheel.X - 44, Y: top + 26}, {X: wheel.X - 14, Y: wheel.Y + r}, {X: wheel.X + 18, Y: wheel.Y + r},
		{X: wheel.X + 190, Y: top}, {X: d.w, Y: top}}
	ground := append(append([]plot.Pt(nil), hole...), plot.Pt{X: d.w, Y: top + 46}, plot.Pt{X: 0, Y: top + 46})
	c.Fill([][]plot.Pt{ground}, earth)
	d.line(1.6, earthLine, hole...)
	// What is still there before the wheel and has to be dug away.
	dig := []plot.Pt{{X: wheel.X + 34, Y: wheel.Y + r - 6}, {X: wheel.X + 52, Y: top}, {X: wheel.X + 190, Y: top}}
	c.Fill([][]plot.Pt{append(dig, plot.Pt{X: wheel.X + 18, Y: wheel.Y + r})}, color.NRGBA{120, 112, 98, 70})
	d.dashed(1.2, earthLine, plot.Pt{X: wheel.X + 40, Y: wheel.Y + r - 14}, plot.Pt{X: wheel.X + 52, Y: top}, plot.Pt{X: wheel.X + 188, Y: top})
	plot.Disc(c, wheel, r, ink)
	plot.Disc(c, wheel, r-4, color.NRGBA{150, 150, 150, 255})
	plot.Disc(c, wheel, 20, color.NRGBA{255, 255, 255, 255})
	plot.Disc(c, wheel, 5, ink)
	// The board on the ramp.
	a, b := plot.Pt{X: wheel.X + 22, Y: wheel.Y + r - 3}, plot.Pt{X: wheel.X + 176, Y: top + 1}
	d.line(7, ink, a, b)
	for k := range 9 {
		t := float32(k+1) / 10
		x, y := a.X+t*(b.X-a.X), a.Y+t*(b.Y-a.Y)
		d.line(1.6, color.NRGBA{255, 255, 255, 255}, plot.Pt{X: x - 2, Y: y - 2}, plot.Pt{X: x + 2, Y: y + 2})
	}
	d.arrow(2, plot.Pt{X: wheel.X + 60, Y: top - 38}, plot.Pt{X: wheel.X + 130, Y: top - 38})
	d.text(wheel.X+95, top-46, w.T("d_drive"), false)
	d.pointer(d.w*0.72, top-14, wheel.X+120, top+13)
	d.text(d.w*0.80, top-18, w.T("d_board"), true)
	d.pointer(d.w*0.72, top+36, wheel.X+100, top+6)
	d.text(d.w*0.80, top+40, w.T("d_dig"), false)
	d.pointer(d.w*0.14, top-26, wheel.X-50, top+6)
	d.text(d.w*0.12, top-32, w.T("d_rear"), false)
	d.text(d.w/2, d.h-8, w.T("d_nobody"), false)
}

// drawBuried is the section through a buried anchor: trench, log, cable slot.
func drawBuried(c plot.Canvas, w Words) {
	d := newDiagram(c)
	top := d.h * 0.30
	bottom := d.h - 24
	x := d.w * 0.30 // of the trench's face towards the pull
	log := plot.Pt{X: x + 3, Y: bottom - 22}
	// Ground with the trench: back wall sloped, face undercut, bottom flat.
	surface := []plot.Pt{{X: 0, Y: top}, {X: x - 62, Y: top}, {X: x - 50, Y: bottom - 4}, {X: x + 18, Y: bottom - 4}, {X: x + 2, Y: top}, {X: d.w, Y: top}}
	c.Fill([][]plot.Pt{append(append([]plot.Pt(nil), surface...), plot.Pt{X: d.w, Y: bottom + 4}, plot.Pt{X: 0, Y: bottom + 4})}, earth)
	d.line(1.6, earthLine, surface...)
	// Rope through a sloping slot, 1 up on 2 along, then on to the winch.
	exit := plot.Pt{X: log.X + 2*(log.Y-top), Y: top}
	c.Fill([][]plot.Pt{{{X: log.X + 6, Y: log.Y - 8}, {X: log.X + 6, Y: log.Y + 5}, {X: exit.X + 12, Y: top}, {X: exit.X - 14, Y: top}}}, color.NRGBA{255, 255, 255, 255})
	end := plot.Pt{X: min(d.w-30, exit.X+2*(top-14)), Y: 14}
	d.line(3, ink, log, end)
	d.arrow(2.4, plot.Pt{X: end.X - 26, Y: end.Y + 13}, end)
	plot.Disc(c, log, 15, ink)
	plot.Disc(c, log, 12.5, color.NRGBA{196, 178, 150, 255})
	plot.Disc(c, log, 6, color.NRGBA{170, 150, 120, 255})
	d.text(end.X-40, top-24, w.T("d_to_winch"), true)
	// Depth at the left, counted to the log's middle.
	dx := x - 84
	d.line(1, ink, plot.Pt{X: dx, Y: top}, plot.Pt{X: dx, Y: log.Y})
	for _, y := range []float32{top, log.Y} {
		d.line(1, ink, plot.Pt{X: dx - 5, Y: y}, plot.Pt{X: dx + 5, Y: y})
	}
	d.dashed(0.8, soft, plot.Pt{X: dx, Y: log.Y}, plot.Pt{X: log.X - 16, Y: log.Y})
	d.text(dx-50, (top+log.Y)/2+4, w.T("d_depth"), false)
	d.pointer(d.w*0.16, top-14, log.X-6, log.Y-9)
	d.text(d.w*0.16, top-19, w.T("d_log"), true)
	d.text(exit.X+44, (top+bottom)/2+14, w.T("d_slope"), false)
	d.pointer(exit.X+14, (top+bottom)/2+2, (log.X+exit.X)/2, (log.Y+top)/2+3)
	d.text(d.w*0.72, bottom-2, w.T("d_face"), false)
	d.pointer(d.w*0.52, bottom-6, x+13, bottom-14)
}
