package window

import (
	"bytes"
	"image"
	"sync"
	"testing"
	"time"

	"fyne.io/fyne/v2/test"

	"lastroad/app/plot"
)

// A picture drawn on one that was handed back is the same as one drawn on new paper, and while the zoom runs on
// the ground is not drawn at each step.
func TestGroundWorker(t *testing.T) {
	test.NewTempApp(t)
	dense()
	var mu sync.Mutex
	var got []*groundBuffer
	g := newGroundWorker(func(b *groundBuffer) { mu.Lock(); got = append(got, b); mu.Unlock() })
	v := plot.Fit(denseScene.Extent(), 300, 200, 1, 10)
	g.ask(denseScene, v, lightPalette)
	g.running.Wait()
	first := got[0]
	fresh := bytes.Clone(first.img.Pix)
	away := v.PanPx(500, 300)
	g.handBack(first)
	g.ask(denseScene, away, lightPalette)
	g.running.Wait()
	if got[1].img != first.img {
		t.Error("a picture of the right size was handed back and not taken")
	}
	g.handBack(got[1])
	g.ask(denseScene, v, lightPalette)
	g.running.Wait()
	if !bytes.Equal(got[2].img.Pix, fresh) {
		t.Error("drawn again on a used picture the ground is another")
	}

	got = nil
	began := time.Now()
	for i := range 200 {
		v = v.ZoomAt(plot.Pt{X: 150, Y: 100}, []float64{1.1, 1 / 1.1}[i/20%2])
		g.ask(denseScene, v, lightPalette)
		time.Sleep(time.Millisecond)
	}
	g.running.Wait()
	if most := int(time.Since(began)/zoomRest) + 1; len(got) == 0 || len(got) > most {
		t.Errorf("200 steps of zoom gave %d pictures, want 1 to %d", len(got), most)
	}
	if last := got[len(got)-1]; last.view.MetresPerPx != v.MetresPerPx {
		t.Errorf("the last picture has %g m to a pixel, the view %g", last.view.MetresPerPx, v.MetresPerPx)
	}
}

// While a picture is drawn, what is asked for within its margin is not drawn after it, whatever was asked for between;
// what is asked for beyond it is.
func TestGroundUnderWay(t *testing.T) {
	test.NewTempApp(t)
	dense()
	at := plot.Fit(denseScene.Extent(), 300, 200, 1, 10)
	beyond := at.PanPx(200, 0)
	for _, c := range []struct {
		name string
		asks []plot.View
		want int
	}{
		{"within the margin", []plot.View{at.PanPx(20, 10), at.PanPx(40, -20), at.PanPx(50, 30)}, 1},
		{"beyond it and back", []plot.View{beyond, at.PanPx(30, 0)}, 1},
		{"beyond it", []plot.View{at.PanPx(30, 0), beyond}, 2},
	} {
		drawn, enter, leave := 0, make(chan bool), make(chan bool)
		g := newGroundWorker(func(*groundBuffer) {
			drawn++
			enter <- true
			<-leave
		})
		g.ask(denseScene, at, lightPalette)
		<-enter
		for _, v := range c.asks {
			g.ask(denseScene, v, lightPalette)
		}
		close(leave)
		go func() {
			for range enter {
			}
		}()
		g.running.Wait()
		close(enter)
		if drawn != c.want {
			t.Errorf("%s: %d pictures, want %d", c.name, drawn, c.want)
		}
	}
}

// Stretched or not, each pixel shows the ground that lies under it.
func TestGroundBufferShows(t *testing.T) {
	test.NewTempApp(t)
	dense()
	var b *groundBuffer
	g := newGroundWorker(func(x *groundBuffer) { b = x })
	v := plot.Fit(denseScene.Extent(), 300, 200, 1, 10)
	g.ask(denseScene, v, lightPalette)
	g.running.Wait()
	for _, f := range []float64{1, 1.6, 0.5, 3.1} {
		w := v.ZoomAt(plot.Pt{X: 40, Y: 170}, f)
		img := image.NewRGBA(image.Rect(0, 0, 300, 200))
		b.show(img, w)
		wrong := 0
		for y := range 200 {
			for x := range 300 {
				px, py := w.Plane(plot.Pt{X: float32(x) + 0.5, Y: float32(y) + 0.5})
				q := b.view.Screen(px, py)
				want := lightPalette.Outside
				ix, iy := int(q.X+1e4)-1e4, int(q.Y+1e4)-1e4
				if ix >= 0 && iy >= 0 && ix < b.view.W && iy < b.view.H {
					c := b.img.RGBAAt(ix, iy)
					want.R, want.G, want.B = c.R, c.G, c.B
				}
				if c := img.RGBAAt(x, y); c.R != want.R || c.G != want.G || c.B != want.B || c.A != 255 {
					wrong++
				}
			}
		}
		// Where a pixel's middle falls on the edge of another, rounding may take the neighbour.
		if share := float64(wrong) / (300 * 200); share > 0.02 {
			t.Errorf("zoomed by %g, %.1f %% of the pixels show other ground", f, 100*share)
		}
	}
}
