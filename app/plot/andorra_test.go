package plot

import (
	"bytes"
	"context"
	"image"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/paulmach/orb"
	"github.com/tkrajina/gpxgo/gpx"

	"lastroad/geo"
	"lastroad/geo/height"
	"lastroad/geo/osm"
	"lastroad/risk"
)

// sharedData is the folder with real ground data; tests that need it are skipped without it.
func sharedData(t testing.TB, name string) []byte {
	t.Helper()
	dir := os.Getenv("LASTROAD_SHARED")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared")
	}
	b, err := os.ReadFile(filepath.Join(dir, "data", name))
	if err != nil {
		t.Skipf("the shared data file %s is not here; set LASTROAD_SHARED to its folder", name)
	}
	return b
}

// andorra is the real line on its region with heights, its survey filled by hand as far as pictures need.
func andorra(t testing.TB) (*Scene, *risk.Judgement) {
	t.Helper()
	line, err := gpx.ParseBytes(sharedData(t, "andorra-ne-tracks.gpx"))
	if err != nil {
		t.Fatal(err)
	}
	pbf := sharedData(t, "andorra-2025-01-19.osm.pbf")
	region, err := osm.Read(context.Background(), osm.Source{Name: "andorra", R: bytes.NewReader(pbf), Size: int64(len(pbf))}, osm.Corridor{}, osm.Options{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	hgt := sharedData(t, "N42E001.hgt.zip")
	tile, err := height.ReadHGT(bytes.NewReader(hgt), int64(len(hgt)), "N42E001.hgt.zip")
	if err != nil {
		t.Fatal(err)
	}
	m := height.NewModel(tile)
	r := geo.Route{}
	for _, p := range line.Tracks[0].Segments[0].Points {
		r.Line = append(r.Line, orb.Point{p.Longitude, p.Latitude})
	}
	s := &geo.Survey{Route: r, StepM: 25, Samples: geo.Resample(r, 25)}
	n := len(s.Samples)
	s.Grounds = []geo.GroundMix{geo.Pure(geo.Sealed, "t"), geo.Pure(geo.Gravel, "t"), geo.Pure(geo.FirmTrack, "t"), geo.Pure(geo.LooseRock, "t"), {}}
	for i := range s.Samples {
		p := &s.Samples[i]
		p.HeightM = m.Height(p.Lon, p.Lat)
		p.RoadM = 1800 * math.Abs(math.Sin(float64(i)/180))
		p.RoadAt = geo.Destination(orb.Point{p.Lon, p.Lat}, 160, p.RoadM)
		p.WalkMin = p.RoadM / 60
		p.DriveMin = p.RoadM / 200
		p.DriveS = float64(i) * 6
		p.InRegion = true
		p.Ground = uint16(i / 140 % len(s.Grounds))
		if i > 4 {
			p.Grade = (p.HeightM - s.Samples[i-4].HeightM) / 100
			p.GradeBand = 0.04
		}
	}
	cuts := []int{0, n / 9, n / 4, n * 4 / 10, n * 6 / 10, n * 7 / 10, n * 17 / 20, n - 1}
	words := []string{"ready", "ready", "thin", "not ready", "thin", "ready", "ready"}
	ready := []float64{96, 88, 63, 31, 55, 82, 93}
	j := &risk.Judgement{}
	for i := 0; i+1 < len(cuts); i++ {
		s.Legs = append(s.Legs, geo.Leg{Name: "leg", From: cuts[i], To: cuts[i+1]})
		j.Legs = append(j.Legs, risk.LegJudgement{Leg: i, Score: risk.Score{Readiness: ready[i], Word: words[i], Ready: words[i] == "ready"},
			Needs: risk.Needs{FuelHaveL: risk.Band{Low: 60 - 6*float64(i), Central: 66 - 5*float64(i), High: 70 - 4*float64(i)}, WaterHaveL: 40 - 4*float64(i)}})
	}
	s.Marks = []geo.Mark{{Kind: geo.MarkFord, DistanceM: 3839, At: orb.Point{s.Samples[153].Lon, s.Samples[153].Lat}},
		{Kind: geo.MarkGate, DistanceM: 11000, At: orb.Point{s.Samples[440].Lon, s.Samples[440].Lat}},
		{Kind: geo.MarkStop, DistanceM: 20000, At: orb.Point{s.Samples[800].Lon, s.Samples[800].Lat}}}
	s.Help = region.Places
	g := FromRegion(region, nil)
	AddHeights(g, m, region.Box)
	return NewScene(s, g), j
}

func save(t testing.TB, name string, img image.Image) {
	t.Helper()
	dir := os.Getenv("LASTROAD_PICTURES")
	if dir == "" {
		return
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, name), b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestAndorraPictures(t *testing.T) {
	s, j := andorra(t)
	for _, p := range []*Palette{Light(), Dark()} {
		name := "light"
		if p.Dark {
			name = "dark"
		}
		whole := Fit(s.Extent(), 1280, 800, 1, 60)
		near := whole
		near.X, near.Y = s.At(600)
		near.MetresPerPx = 4
		for i, v := range []View{whole, near} {
			img := image.NewRGBA(image.Rect(0, 0, v.W, v.H))
			r := NewRaster(nil)
			r.Begin(img)
			DrawGround(r, s, v, p)
			st := NoStyle
			st.Chosen, st.Returns = 3, []int{700}
			DrawRoute(r, s, v, p, j, st)
			DrawFurniture(r, s, v, p, Metric)
			save(t, name+"-"+metres(float64(i))+".png", img)
		}
	}
}

func TestAndorraStrip(t *testing.T) {
	s, j := andorra(t)
	for _, p := range []*Palette{Light(), Dark()} {
		name := "strip-light.png"
		if p.Dark {
			name = "strip-dark.png"
		}
		img := image.NewRGBA(image.Rect(0, 0, 1280, 360))
		r := NewRaster(nil)
		r.Begin(img)
		st := StripStyle{Chosen: 3, HoverM: 21000, From: math.NaN(), To: math.NaN(), Scale: 1, Words: English}
		DrawStrip(r, StripData{Survey: s.Survey, Judgement: j, Daylight: []Daylight{{0, 24000, Day}, {24000, 28000, Twilight}, {28000, 40000, Night}}}, Whole(s.Survey), p, st)
		save(t, name, img)
	}
}

func BenchmarkGround(b *testing.B) {
	s, _ := andorra(b)
	p := Light()
	v := Fit(s.Extent(), 1280, 800, 1, 60)
	img := image.NewRGBA(image.Rect(0, 0, v.W, v.H))
	r := NewRaster(nil)
	b.ReportAllocs()
	for b.Loop() {
		r.Begin(img)
		DrawGround(r, s, v, p)
	}
}
