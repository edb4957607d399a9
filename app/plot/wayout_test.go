package plot

import (
	"image"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestLineTexts: the texts of lines stand in the picture, near what is in sight of their line, and on nothing that was
// taken; a line out of sight has none.
func TestLineTexts(t *testing.T) {
	r := NewRaster(nil)
	const w, h = 600, 400
	rapid.Check(t, func(t *rapid.T) {
		r.Begin(image.NewRGBA(image.Rect(0, 0, w, h)))
		d := groundPen{c: r, unit: 1, p: &Palette{}}
		taken := &boxes{}
		pt := func(name string) Pt {
			return Pt{rapid.Float32Range(-900, 1500).Draw(t, name), rapid.Float32Range(-900, 1300).Draw(t, name)}
		}
		var before []Rect
		for range rapid.IntRange(1, 4).Draw(t, "lines") {
			a, b := pt("a"), pt("b")
			n := len(d.texts)
			d.lineText(taken, a, b, "24.0 km to a road", d.p.Ink)
			from, to, ok := cutTo(a, b, Rect{0, 0, w, h})
			if !ok {
				if len(d.texts) > n {
					t.Fatalf("the line from %v to %v is out of sight and has a text at %v", a, b, d.texts[n].at)
				}
				continue
			}
			if len(d.texts) == n {
				if len(before) == 0 && math.Hypot(float64(to.X-from.X), float64(to.Y-from.Y)) >= 44 {
					t.Errorf("the line from %v to %v is seen and has no text", a, b)
				}
				continue
			}
			l := d.texts[n]
			box := textBox(r, l.at, l.text, l.t)
			if box.X0 < 0 || box.Y0 < 0 || box.X1 > w || box.Y1 > h {
				t.Errorf("the text of the line from %v to %v stands at %v, beyond the picture", a, b, box)
			}
			seen := Rect{min(from.X, to.X), min(from.Y, to.Y), max(from.X, to.X), max(from.Y, to.Y)}
			if !seen.Inset(-30).Meets(box) {
				t.Errorf("the text at %v is far from what is seen of its line, %v to %v", box, from, to)
			}
			for _, o := range before {
				if box.Meets(o) {
					t.Errorf("the text at %v lies on another at %v", box, o)
				}
			}
			before = append(before, box)
		}
	})
}
