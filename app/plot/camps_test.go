package plot

import (
	"image"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// A camp's name is written over the ground, so the ground's names must leave it its place wherever they stand
// round the camp.
func TestCampNamesCoverNoOtherName(t *testing.T) {
	s0, _ := invented()
	camp := orb.Point{20.06, 30.04}
	for i := range 40 {
		// Peaks on a grid of about 60 m round the camp.
		at := orb.Point{camp[0] + float64(i%8-2)*0.0006, camp[1] + float64(i/8-2)*0.0006}
		sv := *s0.Survey
		sv.Marks = []geo.Mark{{Kind: geo.MarkStop, At: camp, Name: "Camp under the cliff"}}
		s := NewScene(&sv, &Ground{Names: []GroundName{{NamePeak, "Grey Head", at, 1240}}})
		x, y := s.Proj.XY(camp)
		v := View{X: x, Y: y, W: 480, H: 320, MetresPerPx: 4, Scale: 1}
		l := &listener{Raster: NewRaster(nil)}
		l.Begin(image.NewRGBA(image.Rect(0, 0, v.W, v.H)))
		DrawGround(l, s, v, Light())
		ground := len(l.texts)
		DrawRoute(l, s, v, Light(), nil, NoStyle)
		seen := false
		for k := ground; k < len(l.texts); k++ {
			if l.texts[k] != "Camp under the cliff" {
				continue
			}
			seen = true
			for g := range ground {
				if l.at[g].Meets(l.at[k]) {
					t.Errorf("peak %d: the camp's name lies on %q", i, l.texts[g])
				}
			}
		}
		if !seen {
			t.Errorf("peak %d: the camp's name is not written", i)
		}
	}
}

// A window may keep a picture of the ground only as long as the camps it keeps clear of stand where they did.
func TestSameCamps(t *testing.T) {
	s, _ := invented()
	with := func(m ...geo.Mark) *Scene {
		sv := *s.Survey
		sv.Marks = m
		return s.WithSurvey(&sv)
	}
	a := geo.Mark{Kind: geo.MarkStop, At: orb.Point{20.06, 30.04}, Name: "A"}
	moved, named, gate := a, a, a
	moved.At[0] += 0.001
	named.Name = "B"
	gate.Kind = geo.MarkGate
	if !with(a).SameCamps(with(gate, a)) || !with(a).SameCamps(with(a)) || !s.SameCamps(s) {
		t.Error("the same camps are taken for others")
	}
	for i, o := range []*Scene{with(), with(moved), with(named), with(a, moved)} {
		if with(a).SameCamps(o) || o.SameCamps(with(a)) {
			t.Errorf("%d: other camps are taken for the same", i)
		}
	}
}

// The number of a leg must not hide a camp's name, wherever on the route the camp is.
func TestLegNumbersLeaveCampNames(t *testing.T) {
	s0, j := invented()
	numbers := 0
	for i := 0; i < len(s0.Survey.Samples); i += 5 {
		p := s0.Survey.Samples[i]
		sv := *s0.Survey
		sv.Marks = []geo.Mark{{Kind: geo.MarkStop, At: orb.Point{p.Lon, p.Lat}, Name: "Night camp"}}
		s := s0.WithSurvey(&sv)
		v := Fit(s.Extent(), 480, 320, 1, 60)
		l := &listener{Raster: NewRaster(nil)}
		l.Begin(image.NewRGBA(image.Rect(0, 0, v.W, v.H)))
		DrawRoute(l, s, v, Light(), j, NoStyle)
		for k, a := range l.texts {
			if a != "Night camp" {
				numbers++
				continue
			}
			for n, b := range l.at {
				if n != k && b.Meets(l.at[k]) {
					t.Errorf("camp at sample %d: its name lies under %q", i, l.texts[n])
				}
			}
		}
	}
	if all := 3 * ((len(s0.Survey.Samples) + 4) / 5); numbers < all*9/10 {
		t.Errorf("of %d leg numbers only %d are written; they should have moved aside", all, numbers)
	}
}

// The texts on the ways out of the chosen leg and the numbers of the legs leave each other their room at any zoom, and
// so do the two texts.
func TestLegNumbersLeaveTheWaysOut(t *testing.T) {
	s, j := invented()
	texts := map[string]int{}
	for leg := range s.Survey.Legs {
		for _, margin := range []float64{10, 40, 90, 150} {
			for _, size := range [][2]int{{480, 320}, {900, 500}, {240, 400}} {
				st := NoStyle
				st.Chosen, st.RoadText, st.HelpText = leg, "27.9 km to a road", "31.4 km to help"
				v := Fit(s.Extent(), size[0], size[1], 1, margin)
				l := &listener{Raster: NewRaster(nil)}
				l.Begin(image.NewRGBA(image.Rect(0, 0, v.W, v.H)))
				DrawRoute(l, s, v, Light(), j, st)
				for k, a := range l.texts {
					texts[a]++
					if a != st.RoadText && a != st.HelpText {
						continue
					}
					for n, b := range l.at {
						if n != k && b.Meets(l.at[k]) {
							t.Errorf("leg %d, %d by %d, margin %g: %q and %q lie on each other", leg, size[0], size[1], margin, a, l.texts[n])
						}
					}
				}
			}
		}
	}
	if texts["27.9 km to a road"] < 12 {
		t.Errorf("the text on the way to a road is written %d times; all that was drawn: %v", texts["27.9 km to a road"], texts)
	}
}
