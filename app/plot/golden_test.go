package plot

import (
	"bytes"
	"flag"
	"image"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/risk"
)

var update = flag.Bool("update", false, "write the golden pictures anew; look at them before you commit them")

// compare fails when more than a hundredth of the pixels differ by more than 16 of 255 in a channel:
// letters and thin lines may fall a little differently on other processors, a missing or moved thing
// touches more.
func compare(t *testing.T, name string, got *image.RGBA) {
	t.Helper()
	path := filepath.Join("testdata", name+".png")
	if *update {
		var b bytes.Buffer
		if err := png.Encode(&b, got); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatalf("the golden picture is missing: %v; make it with go test -update", err)
	}
	defer f.Close()
	want, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	if want.Bounds() != got.Bounds() {
		t.Fatalf("%s is %v, want %v", name, got.Bounds(), want.Bounds())
	}
	bad, n := 0, 0
	for y := got.Rect.Min.Y; y < got.Rect.Max.Y; y++ {
		for x := got.Rect.Min.X; x < got.Rect.Max.X; x++ {
			a, b := got.RGBAAt(x, y), want.At(x, y)
			r, g, bl, al := b.RGBA()
			n++
			for _, d := range [...]int{int(a.R) - int(r>>8), int(a.G) - int(g>>8), int(a.B) - int(bl>>8), int(a.A) - int(al>>8)} {
				if d > 16 || d < -16 {
					bad++
					break
				}
			}
		}
	}
	if share := float64(bad) / float64(n); share > 0.01 {
		out := filepath.Join(t.TempDir(), name+".png")
		if dir := os.Getenv("LASTROAD_PICTURES"); dir != "" {
			out = filepath.Join(dir, "failed-"+name+".png")
		}
		var b bytes.Buffer
		png.Encode(&b, got)
		os.WriteFile(out, b.Bytes(), 0o644)
		t.Errorf("%s: %.2f %% of the pixels differ from the golden picture, want at most 1 %%; the new one is %s", name, 100*share, out)
	}
}

// invented is a small made-up piece of ground with a route of three legs, one of each verdict, for
// pictures that need no data.
func invented() (*Scene, *risk.Judgement) {
	at := func(x, y float64) orb.Point { return orb.Point{20 + x/1000, 30 + y/1000} } // about 100 m steps
	line := func(xy ...float64) (l orb.LineString) {
		for i := 0; i+1 < len(xy); i += 2 {
			l = append(l, at(xy[i], xy[i+1]))
		}
		return l
	}
	poly := func(xy ...float64) orb.MultiPolygon {
		r := orb.Ring(line(xy...))
		return orb.MultiPolygon{{append(r, r[0])}}
	}
	g := &Ground{
		Areas: []GroundArea{
			{CoverWood, poly(2, 30, 20, 28, 26, 44, 10, 52, 1, 46)}, {CoverSand, poly(40, 4, 66, 2, 70, 20, 52, 26)},
			{CoverWater, poly(30, 36, 40, 34, 44, 42, 34, 46)}, {CoverSalt, poly(52, 34, 70, 34, 72, 50, 56, 52)},
			{CoverBuilt, poly(4, 6, 12, 6, 12, 13, 4, 13)}, {CoverRock, poly(20, 2, 34, 4, 30, 14, 22, 12)},
		},
		Streams: []GroundLine{{LineRiver, line(0, 24, 16, 22, 30, 27, 48, 29, 78, 26), "Long River"}, {LineDry, line(60, 56, 50, 30), ""}},
		Ways: []GroundWay{
			{RoadMain, true, line(0, 9, 10, 10, 24, 16, 40, 15), "Range Road"}, {RoadMinor, true, line(10, 10, 8, 30, 4, 56), ""},
			{WayTrack, false, line(40, 15, 50, 24, 60, 40, 76, 46), "Salt Track"}, {WayPath, false, line(24, 16, 28, 30, 20, 50), ""},
			{WayTrack, false, line(50, 24, 72, 10), ""},
		},
		Names: []GroundName{{NameTown, "Ford End", at(8, 9), 0}, {NamePeak, "Grey Head", at(28, 8), 1240}, {NamePass, "Low Gap", at(44, 19), 980},
			{NameWater, "Still Water", at(37, 40), 0}, {NameHamlet, "Last Well", at(62, 42), 0}},
		Help:   []geo.Place{{Kind: geo.HelpFuel, At: at(9, 11)}, {Kind: geo.HelpWater, At: at(63, 44)}, {Kind: geo.HelpMedical, At: at(6, 7)}, {Kind: geo.HelpHut, At: at(24, 40)}},
		Credit: []string{"Invented ground"},
	}
	r := &Relief{W: 80, H: 60, West: 20, South: 30, East: 20.08, North: 30.06, Shade: make([]uint8, 80*60)}
	for i := range r.Shade {
		x, y := float64(i%80), float64(i/80)
		r.Shade[i] = uint8(128 + 60*math.Sin(x/6)*math.Cos(y/7))
	}
	g.Relief = r
	var contours []Contour
	for k := range 5 {
		var c orb.LineString
		for i := range 40 {
			a := 2 * math.Pi * float64(i) / 39
			c = append(c, at(27+float64(3+2*k)*math.Cos(a), 8+float64(2+2*k)*math.Sin(a)))
		}
		contours = append(contours, Contour{HeightM: float64(1200 - 20*k), Heavy: k == 2, Line: c})
	}
	g.Contours = func() []Contour { return contours }
	route := geo.Route{Line: line(2, 9, 10, 10, 24, 16, 40, 15, 50, 24, 60, 40, 76, 46)}
	s := &geo.Survey{Route: route, StepM: 25, Samples: geo.Resample(route, 25), Help: g.Help}
	n := len(s.Samples)
	s.Grounds = []geo.GroundMix{geo.Pure(geo.Sealed, ""), geo.Pure(geo.Sand, ""), {}, geo.Pure(geo.Salt, "")}
	for i := range s.Samples {
		p := &s.Samples[i]
		f := float64(i) / float64(n)
		p.HeightM = 900 + 200*math.Sin(5*f) + 30*math.Sin(40*f)
		if f > 0.55 && f < 0.6 {
			p.HeightM = math.NaN()
		}
		p.Grade, p.GradeBand = 0.2*math.Cos(40*f), 0.03
		p.RoadM = 9000 * max(0, f-0.3)
		p.RoadAt = at(40, 15)
		p.WalkMin = p.RoadM / 60
		p.HelpAt[geo.HelpMedical], p.HelpM[geo.HelpMedical] = 2, 9000*f
		p.Ground = uint16(4 * f * 0.999)
	}
	s.Legs = []geo.Leg{{From: 0, To: n / 3}, {From: n / 3, To: 2 * n / 3}, {From: 2 * n / 3, To: n - 1}}
	s.Marks = []geo.Mark{{Kind: geo.MarkFord, At: at(50, 24), DistanceM: 5230}, {Kind: geo.MarkGate, At: at(24, 16)}, {Kind: geo.MarkStop, At: at(60, 40)}, {Kind: geo.MarkWater, At: at(32, 15.6), DistanceM: 3130}}
	j := &risk.Judgement{Trip: risk.Score{Readiness: 71, Word: "thin"}}
	for i, w := range []string{"ready", "thin", "not ready"} {
		j.Legs = append(j.Legs, risk.LegJudgement{Leg: i, Score: risk.Score{Readiness: []float64{94, 66, 28}[i], Word: w},
			Needs: risk.Needs{FuelHaveL: risk.Band{Low: 50 - 12*float64(i), Central: 56 - 10*float64(i), High: 60 - 8*float64(i)},
				FuelL: risk.Band{Low: 6, Central: 8, High: 10}, WaterHaveL: 40 - 6*float64(i)}})
	}
	return NewScene(s, g), j
}

func inventedDay(s *Scene) []Daylight {
	l := s.Survey.LengthM()
	return []Daylight{{0, 0.6 * l, Day}, {0.6 * l, 0.75 * l, Twilight}, {0.75 * l, l, Night}}
}

// TestPictures compares map and strip with pictures that were looked at, light and dark, plain and dense.
func TestPictures(t *testing.T) {
	s, j := invented()
	for _, c := range []struct {
		name   string
		pal    *Palette
		scale  float32
		chosen int
	}{{"map-light", Light(), 1, 2}, {"map-dark", Dark(), 1, -1}, {"map-dense", Light(), 2, 1}} {
		w, h := int(480*c.scale), int(320*c.scale)
		v := Fit(s.Extent(), w, h, c.scale, 40*float64(c.scale))
		img := image.NewRGBA(image.Rect(0, 0, w, h))
		r := NewRaster(nil)
		r.Begin(img)
		st := NoStyle
		n := len(s.Survey.Samples)
		st.Chosen, st.Returns, st.NoFuel, st.NoWater = c.chosen, []int{n / 2}, []int{n / 5}, []int{4 * n / 5}
		st.RoadText, st.HelpText = "7 km to a road", "9 km to help"
		DrawGround(r, s, v, c.pal)
		DrawRoute(r, s, v, c.pal, j, st)
		DrawFurniture(r, s, v, c.pal, Metric)
		compare(t, c.name, img)
	}
	for _, c := range []struct {
		name   string
		pal    *Palette
		h      int
		judged *risk.Judgement
		units  Units
	}{{"strip-light", Light(), 300, j, Metric}, {"strip-dark", Dark(), 300, j, Imperial}, {"strip-low", Light(), 110, nil, Metric}} {
		img := image.NewRGBA(image.Rect(0, 0, 640, c.h))
		r := NewRaster(nil)
		r.Begin(img)
		DrawStrip(r, StripData{Survey: s.Survey, Judgement: c.judged, Daylight: inventedDay(s)}, Whole(s.Survey), c.pal,
			StripStyle{Chosen: 1, HoverM: 3000, From: math.NaN(), To: math.NaN(), Scale: 1, Units: c.units, Words: English})
		compare(t, c.name, img)
	}
}

// TestSamePicture holds the promise that the same input gives the same bytes, whatever the raster drew before.
func TestSamePicture(t *testing.T) {
	s, j := invented()
	v := Fit(s.Extent(), 300, 200, 1, 20)
	draw := func(r *Raster) []byte {
		img := image.NewRGBA(image.Rect(0, 0, v.W, v.H))
		r.Begin(img)
		DrawGround(r, s, v, Light())
		DrawRoute(r, s, v, Light(), j, NoStyle)
		return img.Pix
	}
	used := NewRaster(nil)
	first := draw(used)
	if !bytes.Equal(first, draw(used)) || !bytes.Equal(first, draw(NewRaster(nil))) {
		t.Error("the same scene and view gave different pictures")
	}
}

// TestEmptyThings must draw without panic: no survey, no ground, one sample, unknown numbers, far views.
func TestEmptyThings(t *testing.T) {
	one := &geo.Survey{Samples: make([]geo.Sample, 1), Legs: []geo.Leg{{}}}
	nan := &geo.Survey{Samples: geo.Resample(geo.Route{Line: orb.LineString{{1, 2}, {1.1, 2}}}, 100)}
	nan.Legs = []geo.Leg{{From: 0, To: len(nan.Samples) - 1}}
	full, j := invented()
	r := NewRaster(nil)
	for _, s := range []*Scene{nil, NewScene(nil, nil), NewScene(one, nil), NewScene(nan, nil), full} {
		for _, v := range []View{{W: 60, H: 40, MetresPerPx: 100, Scale: 1}, {W: 1, H: 1, MetresPerPx: 1, Scale: 1},
			{W: 50, H: 50, MetresPerPx: MinMetresPerPx, Scale: 2}, {W: 50, H: 50, X: 1e7, Y: 1e7, MetresPerPx: MaxMetresPerPx, Scale: 1}} {
			img := image.NewRGBA(image.Rect(0, 0, v.W, v.H))
			r.Begin(img)
			DrawGround(r, s, v, Light())
			for _, jj := range []*risk.Judgement{nil, {}, j} {
				DrawRoute(r, s, v, Light(), jj, RouteStyle{Chosen: 0, Hover: 5, Returns: []int{99, -1, 2}, From: 1, To: 3})
			}
			DrawFurniture(r, s, v, Light(), Imperial)
			if s != nil {
				DrawStrip(r, StripData{Survey: s.Survey, Judgement: j}, Whole(s.Survey), Light(), StripStyle{Chosen: 7, HoverM: math.NaN(), From: 1, To: 5, Scale: 1, Words: English})
			}
		}
	}
}
