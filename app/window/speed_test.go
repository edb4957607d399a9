package window

import (
	"math"
	"math/rand/v2"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"github.com/paulmach/orb"

	"lastroad/app/plot"
	"lastroad/app/trip"
	"lastroad/geo"
	"lastroad/risk"
)

// dense is a made-up country of 2,000 ways with 100 segments each and a route of 4,000 samples through it.
func dense() *trip.Document {
	rng := rand.New(rand.NewPCG(3, 5))
	wander := func(n int, step float64) (l orb.LineString) {
		x, y, dir := 20+rng.Float64()*0.4, 40+rng.Float64()*0.3, rng.Float64()*2*math.Pi
		for range n {
			l = append(l, orb.Point{x, y})
			dir += rng.NormFloat64() * 0.3
			x, y = x+step*math.Cos(dir), y+step*math.Sin(dir)
		}
		return l
	}
	g := &plot.Ground{}
	for i := range 2000 {
		g.Ways = append(g.Ways, plot.GroundWay{Kind: plot.WayKind(1 + i%5), Kept: i%3 == 0, Line: wander(101, 0.0004)})
	}
	r := geo.Route{Line: wander(400, 0.0025)}
	s := &geo.Survey{Route: r, StepM: 25, Samples: geo.Resample(r, 25)}
	n := len(s.Samples)
	j := &risk.Judgement{}
	for i := range 40 {
		s.Legs = append(s.Legs, geo.Leg{From: i * (n - 1) / 40, To: (i + 1) * (n - 1) / 40})
		j.Legs = append(j.Legs, risk.LegJudgement{Leg: i, Score: risk.Score{Readiness: 60 + float64(i), Word: []string{"ready", "thin", "not ready"}[i%3]}})
	}
	d := &trip.Document{Route: r, Survey: s, Judgement: j}
	denseScene = plot.NewScene(s, g)
	return d
}

var denseScene *plot.Scene

func denseWindow(b *testing.B) *user {
	u := &user{t: &testing.T{}}
	test.NewTempApp(b)
	u.win = test.NewTempWindow(b, nil)
	u.p = NewPresenter(realDesk(), func(f func()) { u.mu.Lock(); u.queue = append(u.queue, f); u.mu.Unlock() })
	u.shell = newShell(u.p, u.win, nil)
	u.win.Resize(fyne.NewSize(1600, 1000))
	d := dense()
	u.p.arrive(d, denseScene)
	u.settle()
	u.win.Canvas().Capture()
	u.settle()
	return u
}

// BenchmarkPan is one frame of dragging the map at 1280 x 800 with 200,000 segments in the region: copying
// the window out of the buffer and drawing the route over it. The ground itself is drawn by the worker.
func BenchmarkPan(b *testing.B) {
	u := denseWindow(b)
	m := u.shell.mapv
	m.draw(1280, 800)
	m.worker.running.Wait()
	u.settle()
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		dx := 3.0
		if i/40%2 == 1 {
			dx = -3
		}
		i++
		m.view = m.view.PanPx(dx, 1-2*float64(i%2))
		m.draw(1280, 800)
	}
}

// BenchmarkZoom is one frame of zooming: the old picture stretched, the route drawn anew.
func BenchmarkZoom(b *testing.B) {
	u := denseWindow(b)
	m := u.shell.mapv
	m.draw(1280, 800)
	m.worker.running.Wait()
	u.settle()
	i := 0
	for b.Loop() {
		f := 1.02
		if i/20%2 == 1 {
			f = 1 / 1.02
		}
		i++
		m.view = m.view.ZoomAt(plot.Pt{X: 600, Y: 400}, f)
		m.draw(1280, 800)
	}
}

// BenchmarkGround is the worker's picture of 200,000 segments, 1.5 times the screen each way.
func BenchmarkGround(b *testing.B) {
	u := denseWindow(b)
	v := u.shell.mapv.view
	v.W, v.H = 1920, 1200
	for b.Loop() {
		plot.GroundPicture(denseScene, v, lightPalette)
	}
}

// BenchmarkHover is one motion of the pointer over the map, all views told.
func BenchmarkHover(b *testing.B) {
	u := denseWindow(b)
	m := u.shell.mapv
	i := 0
	for b.Loop() {
		k := i * 37 % len(u.p.Survey().Samples)
		i++
		x, y := denseScene.At(k)
		q := m.view.Screen(x, y)
		m.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(q.X/m.scale(), q.Y/m.scale())}})
	}
}

// BenchmarkStrip is the strip drawn anew at 1280 x 300.
func BenchmarkStrip(b *testing.B) {
	u := denseWindow(b)
	for b.Loop() {
		u.shell.strip.draw(1280, 300)
	}
}
