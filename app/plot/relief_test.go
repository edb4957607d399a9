package plot

import (
	"bytes"
	"image"
	"testing"

	"github.com/paulmach/orb"
)

// Shading laid on in bands is what it is laid on at once, for pictures of any height beside that of a band.
func TestReliefInBands(t *testing.T) {
	r := &Relief{W: 40, H: 30, West: 20, South: 30, East: 20.08, North: 30.06, Shade: make([]uint8, 40*30)}
	for i := range r.Shade {
		r.Shade[i] = uint8(i * 37)
	}
	scene := &Scene{Proj: NewProjection(orb.Point{20.04, 30.03}), relief: r}
	for _, h := range []int{1, reliefBand - 1, reliefBand, reliefBand + 1, 3*reliefBand - 7} {
		v := View{MetresPerPx: 40, W: 150, H: h, Scale: 1}
		draw := func(asFile bool) []uint8 {
			img := image.NewRGBA(image.Rect(0, 0, v.W, v.H))
			r := NewRaster(nil)
			r.Begin(img)
			r.Clear(Light().Ground)
			if asFile {
				scene.drawRelief(struct{ Canvas }{r}, v, Light())
			} else {
				scene.drawRelief(r, v, Light())
			}
			return img.Pix
		}
		bands, whole := draw(false), draw(true)
		if !bytes.Equal(bands, whole) {
			t.Errorf("a picture %d pixels high differs when it is shaded in bands", h)
		}
		if plain := bytes.Repeat(whole[:4], len(whole)/4); bytes.Equal(plain, whole) {
			t.Errorf("nothing is shaded in a picture %d pixels high", h)
		}
	}
}
