package papers

import (
	"bytes"
	"image/png"
	"math"
	"os/exec"
	"strconv"
	"strings"
	"testing"
)

// The picture has the size and the resolution asked for, and says so in the file.
func TestPicturesOfChosenSize(t *testing.T) {
	s := demoSet(t)
	s.Scene = bare(s)
	for _, c := range []struct {
		name                string
		mm                  [2]float64
		dpi                 int
		mapW, mapH, stripW0 int // dots: millimetres / 25.4 x dpi, by hand
	}{
		{"usual", [2]float64{}, 96, 1400, 900, 1400},
		{"A4 for print", [2]float64{297, 210}, 300, 3510, 2481, 3510}, // 297 mm are 1122.5, taken as 1123 units of 1/96 in
		{"A5 for a screen", [2]float64{210, 148}, 150, 1241, 873, 1241},
	} {
		s.Picture, s.DPI = c.mm, c.dpi
		if err := CheckPicture(c.mm[0], c.mm[1], c.dpi); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		var m, strip bytes.Buffer
		if err := s.mapPNG(&m); err != nil {
			t.Fatal(err)
		}
		if err := s.stripPNG(&strip); err != nil {
			t.Fatal(err)
		}
		a, err := png.DecodeConfig(bytes.NewReader(m.Bytes()))
		if err != nil {
			t.Fatal(err)
		}
		b, err := png.DecodeConfig(bytes.NewReader(strip.Bytes()))
		if err != nil {
			t.Fatal(err)
		}
		near := func(have, want int) bool { return math.Abs(float64(have-want)) <= 3 } // a unit of 1/96 inch
		if !near(a.Width, c.mapW) || !near(a.Height, c.mapH) || !near(b.Width, c.stripW0) {
			t.Errorf("%s: the map is %d by %d, the strip %d wide; want %d by %d and %d", c.name, a.Width, a.Height, b.Width, c.mapW, c.mapH, c.stripW0)
		}
		if path, err := exec.LookPath("identify"); err == nil {
			cmd := exec.Command(path, "-units", "PixelsPerInch", "-format", "%x", "-")
			cmd.Stdin = bytes.NewReader(m.Bytes())
			out, err := cmd.Output()
			dpi, _ := strconv.ParseFloat(strings.Fields(string(out) + " x")[0], 64)
			if err != nil || math.Abs(dpi-float64(c.dpi)) > 0.1 {
				t.Errorf("%s: another program reads %q dots to the inch, want %d", c.name, out, c.dpi)
			}
		}
	}
	for _, c := range []struct {
		w, h float64
		dpi  int
	}{{20, 200, 150}, {5000, 200, 150}, {math.NaN(), 200, 150}, {200, 0, 150}, {1200, 1200, 600}, {0, 0, 30}} {
		if CheckPicture(c.w, c.h, c.dpi) == nil {
			t.Errorf("a picture of %g by %g mm at %d dpi is let pass", c.w, c.h, c.dpi)
		}
	}
}
