package plot

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"golang.org/x/image/vector"
)

var black = color.NRGBA{A: 255}

// wander makes polylines that bend like tracks, n segments of about step pixels each.
func wander(lines, n int, step, w, h float64) [][]Pt {
	rng := rand.New(rand.NewPCG(7, 11))
	out := make([][]Pt, lines)
	for i := range out {
		x, y, dir := rng.Float64()*w, rng.Float64()*h, rng.Float64()*2*math.Pi
		for range n + 1 {
			out[i] = append(out[i], Pt{float32(x), float32(y)})
			dir += rng.NormFloat64() * 0.3
			x, y = x+step*math.Cos(dir), y+step*math.Sin(dir)
		}
	}
	return out
}

// union is the exact coverage of the union of the strokes, by looking at 16 x 16 points of each pixel.
func union(lines [][]Pt, width float64, w, h int) []float64 {
	const n = 16
	cov := make([]float64, w*h)
	hit := make([]bool, w*n*h*n)
	r := width / 2
	for _, l := range lines {
		for i := 1; i < len(l); i++ {
			ax, ay := float64(l[i-1].X), float64(l[i-1].Y)
			dx, dy := float64(l[i].X)-ax, float64(l[i].Y)-ay
			for sy := int((min(ay, ay+dy) - r) * n); sy <= int((max(ay, ay+dy)+r)*n); sy++ {
				for sx := int((min(ax, ax+dx) - r) * n); sx <= int((max(ax, ax+dx)+r)*n); sx++ {
					if sx < 0 || sy < 0 || sx >= w*n || sy >= h*n {
						continue
					}
					px, py := (float64(sx)+0.5)/n-ax, (float64(sy)+0.5)/n-ay
					t := max(0, min(1, (px*dx+py*dy)/(dx*dx+dy*dy)))
					if math.Hypot(px-t*dx, py-t*dy) <= r {
						hit[sy*w*n+sx] = true
					}
				}
			}
		}
	}
	for i, ok := range hit {
		if ok {
			cov[i/(w*n)/n*w+i%(w*n)/n] += 1.0 / (n * n)
		}
	}
	return cov
}

// TestInk compares the ink of the line drawer (coverage added up) and its pixels with the exact union of
// the strokes. The goal is 5 % of ink; a single pixel may differ more, since a pixel is seen as a band
// across the line and not as a square, which matters most at 45 degrees and for crossings.
func TestInk(t *testing.T) {
	const w, h = 200, 160
	for _, c := range []struct {
		name              string
		lines, n          int
		step, width       float64
		tolInk, tolPxMean float64
	}{
		{"whole state: pixel-long segments", 60, 120, 1, 1.2, 0.05, 0.05},
		{"half-pixel segments", 40, 200, 0.5, 1.2, 0.05, 0.05},
		{"town: short segments", 30, 40, 5, 1.6, 0.05, 0.05},
		{"close: long segments", 12, 6, 40, 2.5, 0.05, 0.05},
		{"hairline", 12, 6, 40, 0.6, 0.05, 0.05},
		{"wide", 6, 6, 30, 7, 0.05, 0.05},
	} {
		lines := wander(c.lines, c.n, c.step, w, h)
		img := image.NewRGBA(image.Rect(0, 0, w, h))
		r := NewRaster(nil)
		r.Begin(img)
		r.Lines(lines, Stroke{Width: float32(c.width), Color: black})
		want := union(lines, c.width, w, h)
		var got, exact, diff float64
		for i, x := range want {
			a := float64(img.Pix[4*i+3]) / 255
			got += a
			exact += x
			diff += math.Abs(a - x)
		}
		if e := got/exact - 1; math.Abs(e) > c.tolInk {
			t.Errorf("%s: ink differs by %.1f %% from the exact union, want at most %.0f %%", c.name, 100*e, 100*c.tolInk)
		} else {
			t.Logf("%s: ink %+.2f %%, mean difference of an inked pixel %.3f", c.name, 100*e, diff/exact)
		}
		if diff/exact > 0.16 {
			t.Errorf("%s: pixels differ by %.3f of the ink, want at most 0.16", c.name, diff/exact)
		}
	}
}

// quads draws with x/image/vector as is usual: a quad for each segment, one rasteriser kept.
func quads(z *vector.Rasterizer, img *image.RGBA, lines [][]Pt, width float32) {
	z.Reset(img.Rect.Dx(), img.Rect.Dy())
	for _, l := range lines {
		for i := 1; i < len(l); i++ {
			a, b := l[i-1], l[i]
			dx, dy := b.X-a.X, b.Y-a.Y
			n := float32(math.Hypot(float64(dx), float64(dy)))
			if n == 0 {
				continue
			}
			ox, oy := -dy/n*width/2, dx/n*width/2
			z.MoveTo(a.X+ox, a.Y+oy)
			z.LineTo(b.X+ox, b.Y+oy)
			z.LineTo(b.X-ox, b.Y-oy)
			z.LineTo(a.X-ox, a.Y-oy)
			z.ClosePath()
		}
	}
	z.Draw(img, img.Rect, image.NewUniform(black), image.Point{})
}

// thin leaves out vertices nearer than 1 px to the last one kept, as a scene's levels do.
func thin(lines [][]Pt) (out [][]Pt, segs int) {
	for _, l := range lines {
		k := []Pt{l[0]}
		for _, p := range l[1:] {
			q := k[len(k)-1]
			if math.Hypot(float64(p.X-q.X), float64(p.Y-q.Y)) >= 1 {
				k = append(k, p)
			}
		}
		out = append(out, k)
		segs += len(k) - 1
	}
	return out, segs
}

// BenchmarkLines draws 2,000 lines of 100 segments (200,000) in three styles on 1280 x 800 pixels, with
// the package's drawer and with x/image/vector in the same run; "thinned" is what a scene hands over.
func BenchmarkLines(b *testing.B) {
	all := wander(2000, 100, 0.6, 1280, 800)
	less, segs := thin(all)
	img := image.NewRGBA(image.Rect(0, 0, 1280, 800))
	widths := []float32{1.2, 1.8, 2.5}
	r := NewRaster(nil)
	z := vector.NewRasterizer(1280, 800)
	for _, c := range []struct {
		name  string
		lines [][]Pt
	}{{"all", all}, {"thinned", less}} {
		third := len(c.lines) / 3
		b.Run(c.name+"/own", func(b *testing.B) {
			b.ReportAllocs()
			b.ReportMetric(float64(segs), "thinned-segs")
			for b.Loop() {
				r.Begin(img)
				for i, w := range widths {
					r.Lines(c.lines[i*third:(i+1)*third], Stroke{Width: w, Color: black})
				}
			}
		})
		b.Run(c.name+"/vector", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				for i, w := range widths {
					quads(z, img, c.lines[i*third:(i+1)*third], w)
				}
			}
		})
	}
}
