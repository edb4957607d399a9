package geo

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"
)

// geodesics are the twenty test cases of GeographicLib (class GeodesicTest of its Python version 2.0,
// MIT licence): latitude, longitude and azimuth at the start, the same at the end, length in metres.
var geodesics = [][7]float64{
	{35.60777, -139.44815, 111.09874842956033, -11.17491, -69.95921, 129.28927088970877, 8935244.56048183},
	{55.52454, 106.05087, 22.0200598809828, 77.03196, 197.18234, 109.11204111067151, 4105086.171392441},
	{-21.97856, 142.59065, -32.44456876433189, 41.84138, 98.56635, -41.84359951440466, 8394328.894657671},
	{-66.99028, 112.2363, 173.73491240878403, -12.70631, 285.90344, 2.512956620913668, 11150344.231208025},
	{-17.42761, 173.34268, -159.03355766119293, -15.84784, 5.93557, -20.78748465153699, 16076603.163118068},
	{32.84994, 48.28919, 150.492927788122, -56.28556, 202.29132, 48.11344939981676, 16727068.943816446},
	{6.96833, 52.74123, 92.58158538631771, -7.39675, 206.17291, 90.72169216592391, 17102477.249695837},
	{-50.56724, -16.30485, -105.43967990759016, -33.56571, -94.97412, -47.34854783565033, 6455670.511866869},
	{-58.93002, -8.90775, 140.96539790250068, -8.91104, 133.13503, 19.255429433416598, 11756066.021986462},
	{-68.82867, -74.28391, 93.77434776311487, -50.63005, -8.36685, 34.65564085411343, 3956936.926063544},
	{-10.62672, -32.0898, -86.42671328674776, 5.883, -134.31681, -80.47378097103487, 11470869.386456301},
	{-21.76221, 166.90563, 29.31942120693643, 48.72884, 213.97627, 43.50867194641017, 9098627.398655491},
	{-19.79938, -174.47484, 71.16727578017154, -11.99349, -154.35109, 65.58909977519923, 2319004.860116939},
	{-11.95887, -116.94513, 92.71261983045255, 4.57352, 7.16501, 78.64960934409585, 13834722.580140138},
	{-87.85331, 85.66836, -65.12031304024275, 66.48646, 16.09921, -4.888658719272296, 17286615.314714465},
	{1.74708, 128.32011, -101.58484363117385, -11.16617, 11.87109, -86.32579329643748, 12942901.124134742},
	{-25.72959, -144.90758, -153.6474686931172, -57.70581, -269.17879, -48.34398315887649, 9413446.745245311},
	{-41.22777, 122.32875, 14.285113402275739, -7.57291, 130.37946, 10.805303085187369, 3812686.035106021},
	{11.01307, 138.25278, 79.43682622782374, 6.62726, 247.05981, 103.70809021552266, 11911190.819018409},
	{-29.47124, 95.14681, -163.77913044168838, -27.46601, -69.15955, -15.90933594555497, 13487015.838114548},
}

func TestGeodesicsOfGeographicLib(t *testing.T) {
	for i, g := range geodesics {
		a, b, s := orb.Point{g[1], g[0]}, orb.Point{g[4], g[3]}, g[6]
		// Vincenty states half a millimetre; 0.2 mm leaves room for nothing worse.
		if got := Distance(a, b); math.Abs(got-s) > 2e-4 {
			t.Errorf("case %d: Distance = %.6f m, want %.6f", i+1, got, s)
		}
		if got := Distance(b, a); math.Abs(got-s) > 2e-4 {
			t.Errorf("case %d backwards: Distance = %.6f m, want %.6f", i+1, got, s)
		}
		if got := Bearing(a, b); math.Abs(LonDiff(got, g[2])) > 1e-8 {
			t.Errorf("case %d: Bearing = %.10f, want %.10f", i+1, got, g[2])
		}
		if got := Destination(a, g[2], s); Distance(got, b) > 2e-4 {
			t.Errorf("case %d: Destination = %v, want %v", i+1, got, b)
		}
	}
}

// Recorded from GeodSolve -i -p 9 of Debian's geographiclib-tools 2.1.2.
func TestDistanceAgainstRecordedGeodSolve(t *testing.T) {
	for _, c := range []struct {
		name                          string
		lat1, lon1, lat2, lon2, az, s float64
	}{
		{"the Andorra line, end to end", 42.5668986, 1.6004708, 42.5466861, 1.7306002, 101.82118520140655, 10920.140651365},
		{"15 m", 42.5668986, 1.6004708, 42.5668565, 1.6002937, -107.82761368841693, 15.275422466},
		{"10 m north", 31.5, 35.5, 31.50009, 35.5, 0.00000000000000, 9.979028864},
		{"10 m east", 31.5, 35.5, 31.5, 35.50011, 89.99997126257894, 10.450255379},
		{"7 km, south-west", -28.75, -71.1, -28.7, -71.05, 41.40759864586560, 7387.152839412},
		{"over the antimeridian", -16.5, 179.995, -16.51, -179.98, 112.52350054086580, 2889.359866117},
		{"Iceland", 64.1466, -21.9426, 64.2, -21.7, 63.11482266826435, 13214.149152609},
		{"Svalbard", 78.2, 15.6, 78.25, 15.9, 50.62198285353568, 8826.503894076},
		{"just below 85 degrees", 84.9, 100, 84.95, 101, 60.02747441507327, 11348.856407547},
		{"crossing the equator", 0, 30, 0.05, 30.05, 45.19241225907336, 7845.173108613},
		{"100 km north", 42.5, 1.5, 43.4, 1.5, 0.00000000000000, 99982.587548471},
		{"99 km east", 42.5, 1.5, 42.5, 2.7, 89.59463779142821, 98637.991298768},
		{"100 km, Georgia", 33.8, -84.4, 34.5, -85.1, -39.54385588019080, 100977.288765379},
		{"311 km, Australia", -23, 133, -25.2, 131.1, -141.97696425699993, 310943.550456127},
		{"5 000 km along a parallel", 60, 10, 60, 110, 44.09263839751973, 5026644.058677769},
		{"London to Sydney", 51.5, -0.12, -33.9, 151.2, 60.44232708474971, 16991292.115164191},
		{"along the equator", 0, 0, 0, 179.3, 90.00000000000000, 19959584.699233953},
		{"past the equator's reach", 0, 0, 0, 179.5, 55.96649514015864, 19980861.908890963},
		{"nearly opposite", 0, 0, 0.5, 179.5, 25.67187286829188, 19936288.578965314},
		{"opposite", 30, 10, -30, -170, -0.00000000000000, 20003931.458625447},
		{"nearly opposite poles", -89.9, 0, 89.9, 179, 89.50052872705716, 20003736.621350147},
		{"pole to pole", 90, 0, -90, 0, 180.00000000000000, 20003931.458625447},
		{"opposite on the equator", 0, 0, 0, 180, 0.00000000000000, 20003931.458625447},
		{"the same point", 1, 2, 1, 2, 180.00000000000000, 0.000000000},
	} {
		a, b := orb.Point{c.lon1, c.lat1}, orb.Point{c.lon2, c.lat2}
		// A tenth of a millimetre, or 2e-8 of the length for the mid-latitude formula near 85 degrees.
		if got := Distance(a, b); math.Abs(got-c.s) > math.Max(2e-4, 2e-8*c.s) {
			t.Errorf("%s: Distance = %.6f m, want %.6f", c.name, got, c.s)
		}
		if c.name == "opposite on the equator" || c.name == "the same point" || strings.Contains(c.name, "pole to") || c.name == "opposite" {
			continue // the azimuth is a matter of convention
		}
		if got := Bearing(a, b); math.Abs(LonDiff(got, c.az)) > 1e-7 {
			t.Errorf("%s: Bearing = %.8f, want %.8f", c.name, got, c.az)
		}
	}
}

// pairs gives point pairs of a kind, named for the failure text.
func pairs(kind string, n int) (a, b []orb.Point) {
	r := rand.New(rand.NewPCG(1, 2))
	anywhere := func() orb.Point { return orb.Point{r.Float64()*360 - 180, math.Asin(r.Float64()*2-1) / radian} }
	for range n {
		p, q := anywhere(), anywhere()
		switch kind {
		case "opposite":
			q = orb.Point{WrapLon(p[0] + 180 + r.NormFloat64()), math.Max(-90, math.Min(90, -p[1]+r.NormFloat64()/2))}
		case "equator":
			p[1], q[1] = 0, 0
		case "whole degrees":
			p, q = orb.Point{float64(r.IntN(360) - 180), float64(r.IntN(181) - 90)}, orb.Point{float64(r.IntN(360) - 180), float64(r.IntN(181) - 90)}
		case "up to 20 km":
			p[1] = r.Float64()*170 - 85
			q = Destination(p, r.Float64()*360, math.Pow(10, r.Float64()*4.3))
		case "up to 100 km":
			p[1] = r.Float64()*150 - 75
			q = Destination(p, r.Float64()*360, 1e5*r.Float64())
		}
		a, b = append(a, p), append(b, q)
	}
	return a, b
}

func TestDistanceAgainstGeodSolve(t *testing.T) {
	if _, err := exec.LookPath("GeodSolve"); err != nil {
		t.Skip("GeodSolve of Debian's geographiclib-tools is not installed; recorded results are tested all the same")
	}
	for _, c := range []struct {
		kind     string
		abs, rel float64 // error allowed: the larger of the two
	}{
		{"anywhere", 2e-4, 0}, {"opposite", 2e-4, 0}, {"equator", 2e-4, 0}, {"whole degrees", 2e-4, 0},
		{"up to 20 km", 1e-6, 5e-8}, {"up to 100 km", 1e-4, 5e-8},
	} {
		t.Run(c.kind, func(t *testing.T) {
			a, b := pairs(c.kind, 2000)
			var in strings.Builder
			for i := range a {
				fmt.Fprintf(&in, "%.17g %.17g %.17g %.17g\n", a[i][1], a[i][0], b[i][1], b[i][0])
			}
			cmd := exec.Command("GeodSolve", "-i", "-p", "9")
			cmd.Stdin = strings.NewReader(in.String())
			out, err := cmd.Output()
			if err != nil {
				t.Fatal(err)
			}
			for i, l := range strings.Split(strings.TrimSpace(string(out)), "\n") {
				var az1, az2, s float64
				if _, err := fmt.Sscan(l, &az1, &az2, &s); err != nil {
					t.Fatal(err)
				}
				if got := Distance(a[i], b[i]); !(math.Abs(got-s) <= math.Max(c.abs, c.rel*s)) {
					t.Errorf("Distance(%v, %v) = %.9f m, want %.9f", a[i], b[i], got, s)
				}
			}
		})
	}
}

func TestDistanceProperties(t *testing.T) {
	point := rapid.Custom(func(t *rapid.T) orb.Point {
		return orb.Point{rapid.Float64Range(-180, 180).Draw(t, "lon"), rapid.Float64Range(-90, 90).Draw(t, "lat")}
	})
	rapid.Check(t, func(t *rapid.T) {
		a, b := point.Draw(t, "a"), point.Draw(t, "b")
		d := Distance(a, b)
		if !(d >= 0 && d < 20003932) { // half a meridian is the longest geodesic
			t.Fatalf("Distance(%v, %v) = %v", a, b, d)
		}
		if back := Distance(b, a); math.Abs(back-d) > 2e-4 {
			t.Fatalf("Distance(%v, %v) = %v but backwards %v", a, b, d, back)
		}
		// Adding 360 rounds the longitude by up to 2.9e-14 degrees, which is 3.2e-9 m of the equator.
		if turned := Distance(orb.Point{a[0] + 360, a[1]}, b); math.Abs(turned-d) > 1e-8+1e-9*d {
			t.Fatalf("a full turn changes Distance(%v, %v) from %v to %v", a, b, d, turned)
		}
		if brg := Bearing(a, b); !(brg >= 0 && brg < 360) {
			t.Fatalf("Bearing(%v, %v) = %v", a, b, brg)
		}
	})
	rapid.Check(t, func(t *rapid.T) { // going out and measuring
		a := orb.Point{rapid.Float64Range(-180, 180).Draw(t, "lon"), rapid.Float64Range(-89.9, 89.9).Draw(t, "lat")}
		brg, d := rapid.Float64Range(0, 360).Draw(t, "bearing"), rapid.Float64Range(0, 1.9e7).Draw(t, "metres")
		if got := Distance(a, Destination(a, brg, d)); math.Abs(got-d) > math.Max(2e-4, 5e-7*math.Min(d, 2e4)) {
			t.Fatalf("%v m from %v at %v degrees measure %v m", d, a, brg, got)
		}
	})
}

func TestDistanceOfNonsense(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	good := orb.Point{1, 2}
	for _, p := range []orb.Point{{nan, 1}, {1, nan}, {inf, 1}, {1, inf}, {1, 90.0001}, {1, -91}} {
		if d := Distance(good, p); !math.IsNaN(d) {
			t.Errorf("Distance(%v, %v) = %v, want NaN", good, p, d)
		}
		if d := Distance(p, p); !math.IsNaN(d) {
			t.Errorf("Distance(%v, %v) = %v, want NaN", p, p, d)
		}
		if d := Bearing(p, good); !math.IsNaN(d) {
			t.Errorf("Bearing(%v, %v) = %v, want NaN", p, good, d)
		}
	}
	if p := Destination(orb.Point{0, 91}, 0, 1); !math.IsNaN(p[0]) {
		t.Errorf("Destination from latitude 91 = %v, want NaN", p)
	}
}

func TestLonDiff(t *testing.T) {
	for _, c := range []struct{ a, b, want float64 }{
		{1, 2, 1}, {2, 1, -1}, {179, -179, 2}, {-179, 179, -2}, {180, -180, 0}, {0, 180, 180}, {-90, 90, 180}, {10, 730, 0}, {-179.5, 540.5, 0},
	} {
		if got := LonDiff(c.a, c.b); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("LonDiff(%v, %v) = %v, want %v", c.a, c.b, got, c.want)
		}
	}
	for _, c := range []struct{ lon, want float64 }{{180, -180}, {-180, -180}, {540, -180}, {-181, 179}, {359, -1}, {-1e-20, -1e-20}, {-540.5, 179.5}} {
		if got := WrapLon(c.lon); got != c.want {
			t.Errorf("WrapLon(%v) = %v, want %v", c.lon, got, c.want)
		}
	}
	if !math.IsNaN(WrapLon(math.NaN())) || !math.IsNaN(WrapLon(math.Inf(-1))) {
		t.Error("WrapLon of NaN or infinity is not NaN")
	}
}

func TestLengthAndCumulative(t *testing.T) {
	line := orb.LineString{{30, 0}, {30.05, 0.05}, {30.05, 0.05}, {30, 0}}
	want := []float64{0, 7845.173109, 7845.173109, 2 * 7845.173109} // the row "crossing the equator" above
	got := Cumulative(nil, line)
	for i := range want {
		if math.Abs(got[i]-want[i]) > 1e-4 {
			t.Errorf("Cumulative gives %v at point %d, want %v", got[i], i, want[i])
		}
	}
	if l := Length(line); l != got[3] {
		t.Errorf("Length = %v, want %v", l, got[3])
	}
	if Length(nil) != 0 || Length(line[:1]) != 0 || len(Cumulative(nil, nil)) != 0 {
		t.Error("an empty line or a single point has a length")
	}
}

func ExampleDistance() {
	// From a pass road in the Pyrenees to the valley.
	a, b := orb.Point{1.6004708, 42.5668986}, orb.Point{1.7306002, 42.5466861}
	fmt.Printf("%.3f m, leaving at %.1f degrees\n", Distance(a, b), Bearing(a, b))
	// Output: 10920.141 m, leaving at 101.8 degrees
}

func BenchmarkDistance(b *testing.B) {
	p := orb.Point{1.6, 42.5}
	for _, c := range []struct {
		name string
		q    orb.Point
	}{{"1km", orb.Point{1.61, 42.505}}, {"100km", orb.Point{2.6, 43}}, {"opposite", orb.Point{-178.5, -42.4}}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Distance(p, c.q)
			}
		})
	}
}
