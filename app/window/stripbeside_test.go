package window

import (
	"bytes"
	"image"
	"math/rand/v2"
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
		if late := picture(); !bytes.Equal(got, late) {
			t.Error("a picture from before the choice came after it")
		}
		u.p.setRange(plot.Range{FromM: 0.2 * length, ToM: 0.7 * length}, RangeFollows)
		u.settle()
		picture()
	}
}

// In whatever order movements, choices, sizes, paints and late answers come, in the end the strip is as it would be drawn
// within the frames.
func TestStripBesideInAnyOrder(t *testing.T) {
	u := sit(t, realDesk()).openDemo()
	s := u.shell.strip
	length := u.p.Survey().LengthM()
	w, h := 700, 250
	for seed := range uint64(8) {
		random := rand.New(rand.NewPCG(seed, 1))
		for range 25 {
			from := 0.5 * length * random.Float64()
			sight := plot.Range{FromM: from, ToM: from + 0.4*length}
			switch random.IntN(8) {
			case 0, 1, 2:
				u.p.setRange(sight, RangeFollows)
			case 3:
				u.p.SetRange(sight)
			case 4:
				u.p.Choose(random.IntN(4))
			case 5:
				w = 700 + 100*random.IntN(2)
				fallthrough
			case 6:
				s.draw(w, h)
			case 7:
				s.beside.running.Wait()
			}
		}
		u.settle()
		got := bytes.Clone(s.draw(w, h).(*image.RGBA).Pix)
		want := image.NewRGBA(image.Rect(0, 0, w, h))
		if s.sketch().draw(s.pen, want); !bytes.Equal(got, want.Pix) {
			t.Fatalf("seed %d: the strip is another than what is drawn within the frames", seed)
		}
	}
}
