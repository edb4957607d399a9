package geo

import (
	"fmt"
	"math"
	"os/exec"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"
)

// Recorded from GeoConvert (-u -p 6, -m -p 0, -m -p -2) of Debian's geographiclib-tools 2.1.2; the wider
// zones of Norway and Svalbard, the edges of zones and bands and both hemispheres are among the rows.
func TestUTMAgainstRecordedGeoConvert(t *testing.T) {
	for _, c := range []struct {
		lat, lon      float64
		zone          int
		east, north   float64
		metre, square string
	}{
		{42.5668986, 1.6004708, 31, 385127.770772, 4713670.578279, "31TCH 85127 13670", "31TCH 851 136"},
		{42.5466861, 1.7306002, 31, 395775.210053, 4711257.829097, "31TCH 95775 11257", "31TCH 957 112"},
		{0, 0, 31, 166021.443081, 0.000000, "31NAA 66021 00000", "31NAA 660 000"},
		{-0.000001, -0.000001, 30, 833978.445491, 9999999.889317, "30MZE 33978 99999", "30MZE 339 999"},
		{31.5, 35.5, 36, 737445.264164, 3487724.385509, "36RYV 37445 87724", "36RYV 374 877"},
		{-28.75, -71.1, 19, 294945.073505, 6817903.734779, "19JBJ 94945 17903", "19JBJ 949 179"},
		{-28.68, -70, 19, 402298.903619, 6827057.593577, "19JDJ 02298 27057", "19JDJ 022 270"},
		{60.5, 4.5, 32, 252928.532130, 6715548.233706, "32VKN 52928 15548", "32VKN 529 155"},
		{72.5, -179.99, 1, 399682.845224, 8047201.804951, "1XCA 99682 47201", "1XCA 996 472"},
		{78.2232, 15.6267, 33, 514278.715113, 8683355.469471, "33XWG 14278 83355", "33XWG 142 833"},
		{83.9999, 41.9, 37, 533829.719664, 9328934.300476, "37XEP 33829 28934", "37XEP 338 289"},
		{-79.999, -179.999, 1, 441881.394339, 1117027.514737, "1CDM 41881 17027", "1CDM 418 170"},
		{56, 3, 32, 126049.970713, 6222336.335317, "32VJH 26049 22336", "32VJH 260 223"},
		{63.999, 2.9999, 31, 499995.108608, 7096902.729846, "31VDL 99995 96902", "31VDL 999 969"},
		{40, 179.999999, 60, 756099.562590, 4432069.054022, "60TYK 56099 32069", "60TYK 560 320"},
		{-33.8688, 151.2093, 56, 334368.633648, 6250948.345385, "56HLH 34368 50948", "56HLH 343 509"},
		{71.9, 9.1, 32, 503467.551600, 7977781.276490, "32WNE 03467 77781", "32WNE 034 777"},
		{75, 21, 35, 326931.734075, 8332368.952479, "35XLD 26931 32368", "35XLD 269 323"},
		{-0.1807, -78.4678, 17, 781861.457456, 9980007.566888, "17MQV 81861 80007", "17MQV 818 800"},
		{47.9, 106.9, 48, 642002.543054, 5306933.018303, "48TXU 42002 06933", "48TXU 420 069"},
	} {
		u, ok := ToUTM(orb.Point{c.lon, c.lat})
		if !ok {
			t.Errorf("ToUTM(%v, %v) has no answer", c.lon, c.lat)
			continue
		}
		// The record has six decimals.
		if u.Zone != c.zone || math.Abs(u.Easting-c.east) > 2e-6 || math.Abs(u.Northing-c.north) > 2e-6 {
			t.Errorf("%v, %v is zone %d %.6f %.6f, want %d %.6f %.6f", c.lat, c.lon, u.Zone, u.Easting, u.Northing, c.zone, c.east, c.north)
		}
		if got := u.MGRS(5); got != c.metre {
			t.Errorf("%v, %v is %s, want %s", c.lat, c.lon, got, c.metre)
		}
		if got := u.MGRS(3); got != c.square {
			t.Errorf("%v, %v is %s to 100 m, want %s", c.lat, c.lon, got, c.square)
		}
	}
}

func TestUTMAgainstGeoConvert(t *testing.T) {
	if _, err := exec.LookPath("GeoConvert"); err != nil {
		t.Skip("GeoConvert of Debian's geographiclib-tools is not installed; recorded results are tested all the same")
	}
	a, _ := pairs("anywhere", 3000)
	var in strings.Builder
	var pts []orb.Point
	for _, p := range a {
		if p[1] >= -80 && p[1] < 84 {
			pts = append(pts, p)
			fmt.Fprintf(&in, "%.17g %.17g\n", p[1], p[0])
		}
	}
	run := func(args ...string) []string {
		cmd := exec.Command("GeoConvert", args...)
		cmd.Stdin = strings.NewReader(in.String())
		out, err := cmd.Output()
		if err != nil {
			t.Fatal(err)
		}
		return strings.Split(strings.TrimSpace(string(out)), "\n")
	}
	utm, mgrs := run("-u", "-p", "6"), run("-m", "-p", "0")
	for i, p := range pts {
		var zone string
		var e, n float64
		fmt.Sscan(utm[i], &zone, &e, &n)
		u, ok := ToUTM(p)
		if !ok || fmt.Sprintf("%02d", u.Zone) != zone[:2] || math.Abs(u.Easting-e) > 2e-6 || math.Abs(u.Northing-n) > 2e-6 {
			t.Errorf("ToUTM(%v) = %+v, want %s", p, u, utm[i])
		}
		if got := strings.ReplaceAll(u.MGRS(5), " ", ""); got != strings.TrimPrefix(mgrs[i], "0") {
			t.Errorf("%v is %s, want %s", p, got, mgrs[i])
		}
	}
}

func TestUTMThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := orb.Point{rapid.Float64Range(-180, 179.999).Draw(t, "lon"), rapid.Float64Range(-80, 83.999).Draw(t, "lat")}
		u, ok := ToUTM(p)
		if !ok {
			t.Fatalf("ToUTM(%v) has no answer", p)
		}
		if q := u.Point(); Distance(p, q) > 1e-6 {
			t.Fatalf("%v comes back as %v", p, q)
		}
	})
}

func TestUTMOutside(t *testing.T) {
	for _, p := range []orb.Point{{0, 84}, {0, -80.001}, {math.NaN(), 0}, {0, math.NaN()}, {math.Inf(1), 0}} {
		if u, ok := ToUTM(p); ok {
			t.Errorf("ToUTM(%v) = %+v, want no answer", p, u)
		}
	}
}

func ExampleUTM() {
	u, _ := ToUTM(orb.Point{1.6004708, 42.5668986})
	fmt.Println(u)
	fmt.Println(u.MGRS(5))
	// Output:
	// 31T 385127 4713670
	// 31TCH 85127 13670
}
