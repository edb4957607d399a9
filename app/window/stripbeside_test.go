package window

import (
	"bytes"
	"image"
	"testing"

	"lastroad/app/plot"
)

// The strip drawn beside the frames is the strip that would have been drawn within them, also when the map moves on
// meanwhile; what changes in between is never missing on it.
func TestStripBeside(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	s := u.shell.strip
	length := u.p.Survey().LengthM()
	size := s.raster.Size()
	picture := func() []byte { return bytes.Clone(s.draw(int(size.Width), int(size.Height)).(*image.RGBA).Pix) }
	before := picture()
	u.p.setRange(plot.Range{FromM: 0.1 * length, ToM: 0.6 * length}, RangeFollows)
	u.p.setRange(plot.Range{FromM: 0.2 * length, ToM: 0.7 * length}, RangeFollows)
	u.settle()
	if !s.beside.drawn {
		t.Fatal("the strip was not drawn beside the frames")
	}
	beside := picture()
	if bytes.Equal(beside, before) {
		t.Error("the strip stayed as it was")
	}
	if within := picture(); !bytes.Equal(beside, within) {
		t.Error("drawn beside the frames the strip is another")
	}

	// Drawn and not yet painted, then under way.
	for _, wait := range []bool{true, false} {
		u.p.setRange(plot.Range{FromM: 0, ToM: 0.5 * length}, RangeFollows)
		if wait {
			u.settle()
		}
		u.p.Choose((u.p.chosen + 1) % 4) // in sight
		got := picture()
		u.settle()
		if late := picture(); !bytes.Equal(got, late) || s.beside.drawn {
			t.Error("a picture from before the choice came after it")
		}
		u.p.setRange(plot.Range{FromM: 0.2 * length, ToM: 0.7 * length}, RangeFollows)
		u.settle()
		picture()
	}
}
