package contour

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/paulmach/orb"
)

// Planes under one sun at 45 degrees from the north-west: the light is the cosine between the
// upward normal (-e, -n, 1)/sqrt(1+e^2+n^2) and the sun (-1/2, 1/2, 1/sqrt 2).
func TestPlanesAreLitByTheCosine(t *testing.T) {
	for _, c := range []struct {
		name        string
		east, north float64 // rise over run
		want        uint8   // 255 (sqrt(1/2) + east/2 - north/2) / sqrt(1 + east^2 + north^2)
	}{
		{"level", 0, 0, 180},                     // 255 x 0.7071
		{"facing the sun", 0.7071, -0.7071, 255}, // normal along the sun
		{"facing east", -1, 0, 37},               // 255 x (0.7071 - 0.5)/1.4142 = 37.3
		{"facing south-east at 45", -0.7071, 0.7071, 0},
	} {
		f := made(7, 6, func(col, row float64) float64 { return 1000 + 30*(c.east*col-c.north*row) })
		s := Hillshade(Shade{}, f, nil, 1)
		for i, g := range s.Grey {
			if !s.Known[i] || math.Abs(float64(g)-float64(c.want)) > 1 {
				t.Fatalf("%s: post %d has light %d (known %v), want %d", c.name, i, g, s.Known[i], c.want)
			}
		}
	}
}

func TestUnknownPostsAreTransparent(t *testing.T) {
	f := made(9, 9, func(c, r float64) float64 { return 0 })
	f.HeightM[4*9+4] = float32(math.NaN())
	s := Hillshade(Shade{}, f, FourSuns, 1)
	for r := range 9 {
		for c := range 9 {
			near := abs(r-4) <= 1 && abs(c-4) <= 1
			if s.Known[r*9+c] == near {
				t.Errorf("post %d, %d is known = %v", c, r, !near)
			}
		}
	}
}

func abs(n int) int { return max(n, -n) }

func bumpy(cols, rows int) Field {
	return made(cols, rows, func(c, r float64) float64 {
		return 300*math.Sin(c/11)*math.Cos(r/7) + 40*math.Sin(c/3+r/5)
	})
}

// GDAL's hillshade with Horn's formula writes 1 + 254 x cosine, 0 for shadow; ours 255 x cosine.
func TestHillshadeAgreesWithGDAL(t *testing.T) {
	gdaldem, err := exec.LookPath("gdaldem")
	if err != nil {
		t.Skip("gdaldem is not installed; planes are checked by TestPlanesAreLitByTheCosine")
	}
	f := bumpy(80, 60)
	in := writeVRT(t, f, 30)
	out := filepath.Join(filepath.Dir(in), "out.bin")
	if b, err := exec.Command(gdaldem, "hillshade", in, out, "-of", "ENVI", "-az", "300", "-alt", "40", "-z", "1.5").CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, b)
	}
	want, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	got := Hillshade(Shade{}, f, []Sun{{300, 40, 1}}, 1.5)
	for r := 1; r < f.Rows-1; r++ {
		for c := 1; c < f.Cols-1; c++ {
			i := r*f.Cols + c
			w := 0.0
			if want[i] > 0 {
				w = float64(want[i]-1) / 254 * 255
			}
			// One grey for each of the two roundings.
			if math.Abs(float64(got.Grey[i])-w) > 2 {
				t.Fatalf("post %d, %d: light %d, GDAL %.1f", c, r, got.Grey[i], w)
			}
		}
	}
}

func TestPlaceOfAFieldWithoutHeights(t *testing.T) {
	f := FromModel(nil, orb.Bound{Min: orb.Point{1, 42}, Max: orb.Point{2, 43}}, 5, 3)
	if p := f.Place(orb.Point{4, 2}); p != (orb.Point{2, 42}) {
		t.Errorf("the last post lies at %v, want 2, 42", p)
	}
	for _, h := range f.HeightM {
		if h == h {
			t.Fatal("a field without a model has heights")
		}
	}
	// One degree of longitude at 42.5 N is 82.2 km, of latitude 111.1 km (geod, WGS84), to 0.1 %.
	if math.Abs(f.EastM*4/82186-1) > 1e-3 || math.Abs(f.NorthM*2/111079-1) > 1e-3 {
		t.Errorf("steps of %.0f and %.0f m", f.EastM, f.NorthM)
	}
}

func BenchmarkHillshade(b *testing.B) {
	f := bumpy(1201, 1201)
	for _, c := range []struct {
		name string
		suns []Sun
	}{{"one", OneSun}, {"four", FourSuns}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			var s Shade
			for b.Loop() {
				s = Hillshade(s, f, c.suns, 1)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(f.HeightM)), "ns/post")
		})
	}
}
