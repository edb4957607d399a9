package plot

import (
	"bytes"
	"encoding/xml"
	"image"
	"image/png"
	"io"
	"math"
	"strings"
	"testing"

	"lastroad/risk"
)

// steps is a made-up frontier whose last search was cut short.
func steps() []risk.Pack {
	return []risk.Pack{{Kg: 0, Readiness: 81.5, Exact: true}, {Kg: 1.2, Readiness: 82.5, Exact: true}, {Kg: 6, Readiness: 90.4, Exact: true}, {Kg: 19.5, Readiness: 93.1, Exact: true}, {Kg: 60, Readiness: 94.2}}
}

func TestFrontierPicture(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 520, 300))
	r := NewRaster(DefaultFonts())
	r.Begin(img)
	DrawFrontier(r, steps(), Light(), FrontierStyle{Scale: 1, Chosen: 2, Words: FrontierEnglish})
	compare(t, "frontier", img)
}

// The drawn points lie where the axes say, and pointing finds them: left to right by mass, bottom to top
// by readiness.
func TestFrontierPoints(t *testing.T) {
	p := steps()
	f, ok := frameOf(520, 300, p, 1)
	if !ok {
		t.Fatal("no frame for five points")
	}
	for i, q := range p {
		a := f.at(q.Kg, q.Readiness)
		if !f.box.Holds(a) {
			t.Errorf("point %d at %v lies outside %v", i, a, f.box)
		}
		if got := FrontierAt(520, 300, p, 1, a.X+1, a.Y-1); got != i {
			t.Errorf("pointing at point %d finds %d", i, got)
		}
		if i > 0 {
			if b := f.at(p[i-1].Kg, p[i-1].Readiness); !(a.X > b.X && a.Y < b.Y) {
				t.Errorf("point %d at %v is not right of and above %v", i, a, b)
			}
		}
	}
	if got := FrontierAt(520, 300, p, 1, 500, 250); got != -1 {
		t.Errorf("pointing at nothing finds point %d", got)
	}
}

func TestFrontierFiles(t *testing.T) {
	for _, points := range [][]risk.Pack{steps(), nil, {{Kg: 0, Readiness: 90}}, {{Kg: 0, Readiness: math.NaN()}, {Kg: 1, Readiness: 90}}} {
		var svg, pic bytes.Buffer
		if err := FrontierSVG(&svg, points, 520, 300); err != nil {
			t.Fatal(err)
		}
		d := xml.NewDecoder(bytes.NewReader(svg.Bytes()))
		for {
			if _, err := d.Token(); err == io.EOF {
				break
			} else if err != nil {
				t.Fatalf("the SVG of %d points is not well-formed: %v", len(points), err)
			}
		}
		if strings.Contains(svg.String(), "NaN") {
			t.Errorf("the SVG of %d points holds NaN", len(points))
		}
		if err := FrontierPNG(&pic, points, 520, 300, 2); err != nil {
			t.Fatal(err)
		}
		if c, err := png.DecodeConfig(&pic); err != nil || c.Width != 1040 || c.Height != 600 {
			t.Errorf("the PNG is %+v (%v), want 1040 by 600", c, err)
		}
	}
}
