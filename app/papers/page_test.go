package papers

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"lastroad/app/plot"
)

// sample is a page with text, a rule, a filled field and a picture, and a second page behind it.
func samplePages(t *testing.T) *Pages {
	t.Helper()
	s, err := newSheet("A4", "sample", "foot", time.Unix(0, 0), english)
	if err != nil {
		t.Fatal(err)
	}
	s.newPage()
	s.title(0, "First part", 0)
	s.text("Words to be read on paper and on the screen alike.", 10, false, ink, 0)
	s.y += 10
	s.fill(margin, s.y, 200, 40, warn)
	s.y += 50
	s.rule(ink, 2)
	s.y += 10
	s.picture(120, 0.5, func(c plot.Canvas) {
		w, h := c.Size()
		plot.Box(c, plot.Rect{X0: 20, Y0: 20, X1: w - 20, Y1: h - 20}, hair)
		plot.Line(c, plot.Stroke{Width: 6, Color: ink, Dash: []float32{20, 14}}, plot.Pt{X: 0, Y: h / 2}, plot.Pt{X: w + 500, Y: h / 2})
		c.Text(plot.Pt{X: w / 2, Y: 60}, "picture", plot.TextStyle{Size: 30, Color: ink, Align: 0.5})
		shade := image.NewRGBA(image.Rect(0, 0, 40, 20))
		for i := range shade.Pix {
			shade.Pix[i] = 128 | uint8(i%4/3)*127
		}
		c.Image(plot.Rect{X0: 40, Y0: h - 80, X1: 200, Y1: h - 30}, shade)
	})
	s.newPage()
	s.title(0, "Second part", 0)
	return s.finish()
}

// darkness is how dark a picture is in each of n by n fields, 0 white to 255 black.
func darkness(img image.Image, n int) []float64 {
	out, count := make([]float64, n*n), make([]float64, n*n)
	b := img.Bounds()
	for y := range b.Dy() {
		for x := range b.Dx() {
			g := color.GrayModel.Convert(img.At(b.Min.X+x, b.Min.Y+y)).(color.Gray).Y
			k := y*n/b.Dy()*n + x*n/b.Dx()
			out[k] += 255 - float64(g)
			count[k]++
		}
	}
	for k := range out {
		out[k] /= count[k]
	}
	return out
}

// What the preview shows is what a PDF reader draws: page by page the ink lies in the same places. Poppler is
// the outside reader. Fields of a fiftieth of the page's edge hold about 12 by 17 points; letters drawn by two
// programs differ at their edges, by less than 20 of 255 in the mean of such a field.
func TestPreviewIsThePaper(t *testing.T) {
	wants(t, "pdftoppm")
	compare := func(name string, p *Pages, pages []int) {
		dir := t.TempDir()
		file := filepath.Join(dir, "p.pdf")
		f, err := os.Create(file)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := p.WriteTo(f); err != nil {
			t.Fatal(err)
		}
		f.Close()
		for _, i := range pages {
			n := strconv.Itoa(i + 1)
			out, err := exec.Command("pdftoppm", "-r", "72", "-png", "-singlefile", "-f", n, "-l", n, file, filepath.Join(dir, "page"+n)).CombinedOutput()
			if err != nil {
				t.Fatalf("pdftoppm: %v %s", err, out)
			}
			data, err := os.ReadFile(filepath.Join(dir, "page"+n+".png"))
			if err != nil {
				t.Fatal(err)
			}
			printed, err := png.Decode(bytes.NewReader(data))
			if err != nil {
				t.Fatal(err)
			}
			const fields = 50
			a, b := darkness(p.Picture(i, 72), fields), darkness(printed, fields)
			worst, at, sum := 0.0, 0, 0.0
			for k := range a {
				sum += a[k]
				if d := math.Abs(a[k] - b[k]); d > worst {
					worst, at = d, k
				}
			}
			if worst > 20 {
				t.Errorf("%s, page %s: field %d, %d is %.0f dark in the preview and %.0f in print", name, n, at%fields, at/fields, a[at], b[at])
			}
			if sum < 500 {
				t.Errorf("%s, page %s is empty in the preview", name, n)
			}
		}
	}
	compare("sample", samplePages(t), []int{0, 1})
	s := demoSet(t)
	book, err := s.book().Pages()
	if err != nil {
		t.Fatal(err)
	}
	compare("book", book, []int{0, 2, book.Len() - 2})
}

func TestPagesNameTheirParts(t *testing.T) {
	p := samplePages(t)
	titles, at := p.Marks()
	if p.Len() != 2 || len(titles) != 2 || titles[1] != "Second part" || at[0] != 0 || at[1] != 1 {
		t.Errorf("%d pages with the parts %q on pages %v, want 2 with one part each", p.Len(), titles, at)
	}
	// 100 dpi on A4: 210/25.4 = 8.268 in, 297/25.4 = 11.693 in.
	if b := p.Picture(0, 100).Bounds(); b.Dx() != 827 || b.Dy() != 1169 {
		t.Errorf("A4 with 100 dots an inch is %d by %d dots, want 827 by 1169", b.Dx(), b.Dy())
	}
}

// 60 ms for the cover of the demo at 110 dpi (a wide preview), map and all, on two cores of a virtual
// machine (November 2026).
func BenchmarkPagePicture(b *testing.B) {
	p, err := demoSet(b).book().Pages()
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		p.Picture(0, 110)
	}
}
