package plot

import (
	"bytes"
	"encoding/xml"
	"image"
	"image/color"
	"io"
	"math"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"

	"lastroad/geo"
)

// TestProjection compares the plane with geodesic distances: near the origin a metre is a metre, and
// Stretch tells how far it is off elsewhere. 1e-4 is what the curve of the Earth leaves over 2 km.
func TestProjection(t *testing.T) {
	for _, o := range []orb.Point{{1.6, 42.5}, {-71, -28.5}, {179.99, 60}, {0, 0}} {
		p := NewProjection(o)
		for _, brg := range []float64{0, 73, 180, 260} {
			for _, from := range []float64{0, 80_000} {
				a := geo.Destination(o, brg, from)
				b := geo.Destination(a, brg, 2000)
				ax, ay := p.XY(a)
				bx, by := p.XY(b)
				got := math.Hypot(bx-ax, by-ay) / p.Stretch((ay+by)/2)
				if math.Abs(got-2000) > 0.2 {
					t.Errorf("2 km at bearing %v, %v m from %v, is %.2f m on the plane", brg, from, o, got)
				}
				if back := p.LonLat(bx, by); geo.Distance(back, b) > 1e-5 {
					t.Errorf("%v comes back as %v", b, back)
				}
			}
		}
	}
}

func TestZoomKeepsPlace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := View{W: 800, H: 600, Scale: 1, X: rapid.Float64Range(-1e5, 1e5).Draw(t, "x"), Y: rapid.Float64Range(-1e5, 1e5).Draw(t, "y"),
			MetresPerPx: rapid.Float64Range(1, 500).Draw(t, "m")}
		p := Pt{rapid.Float32Range(0, 800).Draw(t, "px"), rapid.Float32Range(0, 600).Draw(t, "py")}
		x, y := v.Plane(p)
		q := v.ZoomAt(p, rapid.Float64Range(0.01, 100).Draw(t, "factor")).Screen(x, y)
		if math.Abs(float64(q.X-p.X)) > 0.05 || math.Abs(float64(q.Y-p.Y)) > 0.05 {
			t.Fatalf("zooming at %v moved its place to %v", p, q)
		}
	})
}

// TestSimplify: no vertex of the full line is further from the simplified one than all tolerances down to
// its level together, and the ends stay.
func TestSimplify(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var pts []Pt
		x, y := 0.0, 0.0
		for range rapid.IntRange(2, 60).Draw(t, "n") {
			x += rapid.Float64Range(-20, 60).Draw(t, "dx")
			y += rapid.Float64Range(-40, 40).Draw(t, "dy")
			pts = append(pts, Pt{float32(x), float32(y)})
		}
		s := newShape(pts, false)
		var allowed float32
		for k, level := range s.levels {
			allowed += levelTolM[k]
			if level[0] != pts[0] || level[len(level)-1] != pts[len(pts)-1] {
				t.Fatalf("level %d lost an end", k)
			}
			for _, p := range pts {
				best := float32(math.MaxFloat32)
				for i := 1; i < len(level); i++ {
					best = min(best, segDist2(p, level[i-1], level[i]))
				}
				if best > allowed*allowed*1.001+0.01 {
					t.Fatalf("level %d is %.1f m off at %v, want at most %.1f", k, math.Sqrt(float64(best)), p, allowed)
				}
			}
		}
	})
}

// TestNearest compares the search by boxes with looking at every sample.
func TestNearest(t *testing.T) {
	s, _ := invented()
	e := s.Extent()
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(e.X0-3000, e.X1+3000).Draw(t, "x")
		y := rapid.Float64Range(e.Y0-3000, e.Y1+3000).Draw(t, "y")
		_, m, ok := s.Nearest(x, y)
		best := math.MaxFloat64
		for _, p := range s.route {
			best = min(best, math.Hypot(float64(p.X)-x, float64(p.Y)-y))
		}
		if !ok || math.Abs(m-best) > 0.01 {
			t.Fatalf("nearest sample to %.0f, %.0f is %.2f m off, want %.2f m", x, y, m, best)
		}
	})
	if _, _, ok := NewScene(nil, nil).Nearest(0, 0); ok {
		t.Error("an empty scene has a nearest sample")
	}
}

// TestFill checks areas against hand-counted ink: a triangle off the left edge, a square with a hole, a
// ring drawn the other way round, all clear of the picture's stride.
func TestFill(t *testing.T) {
	for _, c := range []struct {
		name  string
		rings [][]Pt
		ink   float64 // pixels covered
	}{
		{"triangle", [][]Pt{{{10, 10}, {50, 10}, {10, 40}}}, 600},
		{"square with a hole", [][]Pt{{{5, 5}, {45, 5}, {45, 45}, {5, 45}}, {{15, 15}, {25, 15}, {25, 25}, {15, 25}}}, 1500},
		{"hole wound the other way", [][]Pt{{{5, 5}, {45, 5}, {45, 45}, {5, 45}}, {{15, 15}, {15, 25}, {25, 25}, {25, 15}}}, 1500},
		{"beyond the left edge", [][]Pt{{{-20, 10}, {20, 10}, {20, 30.5}, {-20, 30.5}}}, 20 * 20.5},
		{"covers everything", [][]Pt{{{-1000, -900}, {1200, -800}, {900, 1000}, {-1100, 900}}}, 61 * 53},
		{"half a pixel", [][]Pt{{{10.25, 10}, {10.75, 10}, {10.75, 20}, {10.25, 20}}}, 5},
	} {
		img := image.NewRGBA(image.Rect(0, 0, 61, 53))
		r := NewRaster(nil)
		r.Begin(img)
		r.Fill(c.rings, black)
		var ink float64
		for i := 3; i < len(img.Pix); i += 4 {
			ink += float64(img.Pix[i]) / 255
		}
		if math.Abs(ink-c.ink) > 0.01*c.ink+0.2 {
			t.Errorf("%s covers %.1f pixels, want %.1f", c.name, ink, c.ink)
		}
	}
}

// TestTranslucentOnce: a line that crosses itself is not darker at the crossing.
func TestTranslucentOnce(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 40, 40))
	r := NewRaster(nil)
	r.Begin(img)
	r.Lines([][]Pt{{{5, 20}, {35, 20}, {35, 5}, {20, 5}, {20, 35}}}, Stroke{Width: 6, Color: color.NRGBA{A: 128}})
	if a, b := img.RGBAAt(10, 20).A, img.RGBAAt(20, 20).A; a != b || a != 128 {
		t.Errorf("coverage is %d beside and %d on the crossing, want 128 on both", a, b)
	}
}

// TestRampInOrder: lightness (CIE L*, from sRGB by IEC 61966-2-1) falls as readiness rises, so that the
// ramp reads in order in grey and with any colour vision.
func TestRampInOrder(t *testing.T) {
	lin := func(v uint8) float64 {
		c := float64(v) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	for _, p := range []*Palette{Light(), Dark()} {
		last := math.Inf(1)
		for _, q := range []float64{40, 50, 60, 70, 80, 85, 90, 93, 95, 97, 98, 99} {
			c := p.ReadinessColor(q)
			y := 0.2126*lin(c.R) + 0.7152*lin(c.G) + 0.0722*lin(c.B)
			l := 116*math.Cbrt(y) - 16
			if l >= last {
				t.Errorf("lightness rises from %.1f to %.1f at readiness %.0f", last, l, q)
			}
			last = l
		}
	}
	if Light().ReadinessColor(math.NaN()) != Light().Unknown {
		t.Error("an unknown readiness has a colour of the ramp")
	}
}

// TestSVG: the document is well formed whatever the names hold, and another program can draw it.
func TestSVG(t *testing.T) {
	s, j := invented()
	v := Fit(s.Extent(), 480, 320, 1, 40)
	doc := NewSVG(v.W, v.H)
	DrawGround(doc, s, v, Light())
	DrawRoute(doc, s, v, Light(), j, NoStyle)
	DrawFurniture(doc, s, v, Light(), Metric)
	doc.Text(Pt{5, 5}, "<a & \"b\"\x01>", TextStyle{Size: 8, Color: black})
	var b bytes.Buffer
	if _, err := doc.WriteTo(&b); err != nil {
		t.Fatal(err)
	}
	dec := xml.NewDecoder(bytes.NewReader(b.Bytes()))
	texts := 0
	for {
		tok, err := dec.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatalf("the picture is not well-formed XML: %v", err)
		}
		if e, ok := tok.(xml.StartElement); ok && e.Name.Local == "text" {
			texts++
		}
	}
	if texts < 5 || !strings.Contains(b.String(), "Ford End") {
		t.Errorf("the picture has %d texts and %v the town's name", texts, strings.Contains(b.String(), "Ford End"))
	}
	if _, err := exec.LookPath("rsvg-convert"); err != nil {
		t.Skip("rsvg-convert is not here to draw the picture")
	}
	cmd := exec.Command("rsvg-convert", "-o", filepath.Join(t.TempDir(), "out.png"))
	cmd.Stdin = &b
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Errorf("rsvg-convert refuses the picture: %v %s", err, out)
	}
}

// TestStripX: a place and its pixel turn into each other, and zooming keeps the place under the pointer.
func TestStripX(t *testing.T) {
	r := Range{2000, 9000}
	for _, m := range []float64{2000, 5555, 9000} {
		if got := StripM(r, 900, 1, StripX(r, 900, 1, m)); math.Abs(got-m) > 1 {
			t.Errorf("%v m comes back as %v", m, got)
		}
		z := r.Zoom(m, 3)
		if a, b := StripX(r, 900, 1, m), StripX(z, 900, 1, m); math.Abs(float64(a-b)) > 0.01 {
			t.Errorf("zooming at %v m moved it from %v to %v", m, a, b)
		}
	}
	s := &geo.Survey{Samples: []geo.Sample{{}, {DistanceM: 10_000}}}
	if got := (Range{9000, 14_000}).Clip(s, 100); got != (Range{5000, 10_000}) {
		t.Errorf("a range beyond the end is moved to %v, want 5 to 10 km", got)
	}
}

func TestBarLength(t *testing.T) {
	for _, c := range []struct {
		mpp  float64
		u    Units
		want string
	}{{10, Metric, "1 km"}, {1, Metric, "100 m"}, {100, Metric, "10 km"}, {10, Imperial, "0.5 mi"}, {1, Imperial, "200 ft"}, {0.2, Metric, "20 m"}} {
		if _, got := BarLength(nil, View{MetresPerPx: c.mpp}, c.u, 150); got != c.want {
			t.Errorf("at %v m a pixel the bar is %s, want %s", c.mpp, got, c.want)
		}
	}
}
