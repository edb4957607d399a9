package window

import (
	"image"
	"strings"
	"testing"

	"lastroad/app/plot"
)

// TestWayOutLines: for the chosen leg the map names the distance to a maintained road and the place of help,
// the sheet tells the same, and both lines are on the picture.
func TestWayOutLines(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	u.choose(8)
	sv := u.p.Survey()
	i, ok := plot.Remotest(sv, 8)
	if !ok {
		t.Fatal("leg 9 of the demo has no remotest place")
	}
	place, m, ok := plot.NearestHelp(sv, i)
	if !ok || !(m > 0) {
		t.Fatalf("no help is known from there: %v %v", place, m)
	}
	for k := range sv.Help { // none of those that can act lies nearer than the one named
		h := &sv.Help[k]
		if at := sv.Samples[i].HelpAt[h.Kind]; int(at) == k && sv.Samples[i].HelpM[h.Kind] < m && strings.Contains(" settlement medical police workshop phone ", " "+h.Kind.Key()+" ") {
			t.Errorf("%s at %.0f m lies nearer than the help named at %.0f m", h.Kind.Key(), sv.Samples[i].HelpM[h.Kind], m)
		}
	}
	road, help := u.p.wayOutTexts()
	if !strings.Contains(road, "km to a road") || !strings.Contains(help, place.Name) {
		t.Errorf("the lines say %q and %q, want kilometres and %q", road, help, place.Name)
	}
	u.sees("Nearest help from there")
	draw := func(leg int) *image.RGBA {
		u.choose(leg)
		return u.shell.mapv.draw(800, 600).(*image.RGBA)
	}
	count := func(img *image.RGBA) (n int) {
		c := palette().WayOut
		for k := 0; k+3 < len(img.Pix); k += 4 {
			if img.Pix[k] == c.R && img.Pix[k+1] == c.G && img.Pix[k+2] == c.B {
				n++
			}
		}
		return n
	}
	with := count(draw(8))
	if without := count(draw(-1)); with < without+50 {
		t.Errorf("with a leg chosen %d pixels have the colour of the way out, without %d", with, without)
	}
	u.choose(-1)
	if road, help := u.p.wayOutTexts(); road != "" || help != "" {
		t.Errorf("without a leg the lines say %q and %q", road, help)
	}
}
