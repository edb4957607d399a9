package plot

import (
	"image"
	"testing"
)

// listener is a canvas that remembers the texts written on it with the room they take.
type listener struct {
	*Raster
	texts []string
	at    []Rect
}

func (l *listener) Text(p Pt, s string, t TextStyle) {
	l.texts, l.at = append(l.texts, s), append(l.at, textBox(l, p, s, t))
	l.Raster.Text(p, s, t)
}

// No label may lie on another, on a drawing, outside the picture or far from its thing, in the sizes of the book
// and of the window, with one block and with several.
func TestRigLabelsStandFree(t *testing.T) {
	for _, size := range []image.Rectangle{image.Rect(0, 0, 720, 220), image.Rect(0, 0, 520, 190), image.Rect(0, 0, 420, 170)} {
		for name, d := range rigs(t) {
			l := &listener{Raster: NewRaster(nil)}
			l.Begin(image.NewRGBA(size))
			d.ClearM = 0
			DrawRig(l, d, Light(), 1)
			pen := rigPen{c: l, p: Light(), s: 1}
			w, h := l.Size()
			pen.fit(d, w, h)
			if len(l.texts) < len(d.Nodes) {
				t.Fatalf("%s: %d labels for %d things", name, len(l.texts), len(d.Nodes))
			}
			for i, a := range l.at {
				if a.X0 < 0 || a.Y0 < 0 || a.X1 > w || a.Y1 > h-rigFoot+1 {
					t.Errorf("%s %v: %q is at %v, outside the drawing", name, size.Max, l.texts[i], a)
				}
				for k, b := range l.at[:i] {
					if a.Meets(b) {
						t.Errorf("%s %v: %q lies on %q", name, size.Max, l.texts[i], l.texts[k])
					}
				}
				for _, n := range d.Nodes {
					if a.Meets(pen.symbolBox(n.Kind, pen.at(n.X, n.Y))) {
						t.Errorf("%s %v: %q lies on the %s", name, size.Max, l.texts[i], n.Kind)
					}
				}
			}
			// The labels of the things are written first, in their order.
			for i, n := range d.Nodes {
				// Four heights: a line's end may have the names of winch and vehicle round it.
				if g := rectGap(l.at[i], pen.symbolBox(n.Kind, pen.at(n.X, n.Y))); g > 4*rigLine {
					t.Errorf("%s %v: %q stands %.0f units from its %s, want at most %d", name, size.Max, l.texts[i], g, n.Kind, 4*rigLine)
				}
			}
		}
	}
}
