package height

import (
	"bytes"
	"encoding/csv"
	"encoding/xml"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// sharedFile reads a file of the shared open data, which is not part of the repository, or skips.
func sharedFile(t testing.TB, name string) []byte {
	t.Helper()
	dir := os.Getenv("LASTROAD_SHARED")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared")
	}
	b, err := os.ReadFile(filepath.Join(dir, "data", name))
	if err != nil {
		t.Skipf("the shared open data are not here (set LASTROAD_SHARED): %v", err)
	}
	return b
}

func sharedTile(t testing.TB, name string) *Tile {
	t.Helper()
	b := sharedFile(t, name)
	tile, err := ReadHGT(bytes.NewReader(b), int64(len(b)), name)
	if err != nil {
		t.Fatal(err)
	}
	return tile
}

// andorraLine is the line of andorra-ne-tracks.gpx with the heights written in it.
func andorraLine(t testing.TB) geo.Route {
	t.Helper()
	var doc struct {
		Points []struct {
			Lat float64 `xml:"lat,attr"`
			Lon float64 `xml:"lon,attr"`
			Ele float64 `xml:"ele"`
		} `xml:"trk>trkseg>trkpt"`
	}
	if err := xml.Unmarshal(sharedFile(t, "andorra-ne-tracks.gpx"), &doc); err != nil {
		t.Fatal(err)
	}
	var r geo.Route
	for _, p := range doc.Points {
		r.Line = append(r.Line, orb.Point{p.Lon, p.Lat})
		r.HeightM = append(r.HeightM, p.Ele)
	}
	if len(r.Line) != 1485 {
		t.Fatalf("the line has %d points, want 1485", len(r.Line))
	}
	return r
}

// Counts and posts of the three tiles as found by other programs when the data were collected.
func TestSharedTiles(t *testing.T) {
	type post struct{ lat, lon, want float64 }
	for _, c := range []struct {
		file                string
		voids               int
		lowest, highest     float64
		posts               []post
		belowSea, atSea     float64 // shares of posts, NaN when not listed
		west, south, degree float64
	}{
		{"N42E001.hgt.zip", 7652, 349, 3100, []post{{42.5, 1.5, 1095}, {42.6, 1.6, 2408}, {42.55, 1.7, 2111}, {43, 1, 838}, {42, 2, 707}}, 0, math.NaN(), 1, 42, 1},
		{"N31E035.hgt.zip", 0, -424, 1301, []post{{31.5, 35.5, -415}, {31.25, 35.25, 398}, {31.75, 35.1, 688}, {32, 35, 210}}, 0.228, math.NaN(), 35, 31, 1},
		{"S29W072.hgt.zip", 21, -5, 1899, []post{{-28.5, -71.05, 194}, {-28.75, -71.1, 970}, {-28, -71, 629}}, math.NaN(), 0.72, -72, -29, 1},
	} {
		t.Run(c.file, func(t *testing.T) {
			tile := sharedTile(t, c.file)
			if tile.Cols != 1201 || tile.Rows != 1201 || tile.Voids != c.voids {
				t.Errorf("%d x %d posts with %d voids, want 1201 x 1201 with %d", tile.Cols, tile.Rows, tile.Voids, c.voids)
			}
			if b := tile.Bound(); b.Min != (orb.Point{c.west, c.south}) || math.Abs(b.Max[0]-c.west-1) > 1e-12 || b.Max[1] != c.south+1 {
				t.Errorf("the tile lies in %v, want one degree from %g, %g", b, c.west, c.south)
			}
			if l, h, ok := tile.Range(); !ok || l != c.lowest || h != c.highest {
				t.Errorf("heights %g to %g, want %g to %g", l, h, c.lowest, c.highest)
			}
			m := NewModel(tile)
			for _, p := range c.posts {
				if got := m.Height(p.lon, p.lat); got != p.want {
					t.Errorf("Height(%g, %g) = %g, want exactly %g", p.lon, p.lat, got, p.want)
				}
				if got := m.Heights(nil, []orb.Point{{p.lon, p.lat}})[0]; got != p.want {
					t.Errorf("Heights at %g, %g = %g, want exactly %g", p.lon, p.lat, got, p.want)
				}
			}
			below, zero := 0, 0
			for _, h := range tile.whole {
				if h != void16 && h < 0 {
					below++
				}
				if h == 0 {
					zero++
				}
			}
			n := float64(len(tile.whole))
			if s := float64(below) / n; math.Abs(s-c.belowSea) > 0.0005 {
				t.Errorf("%.4f of the posts lie below the sea, want %.3f", s, c.belowSea)
			}
			if s := float64(zero) / n; math.Abs(s-c.atSea) > 0.005 {
				t.Errorf("%.4f of the posts are 0, want %.2f", s, c.atSea)
			}
		})
	}
}

// The southern, western tile against heights published with the tests of another reader of it,
// which takes a post without interpolation: 1678 m is the post south-east of the place, 93 m away
// at most on ground that rises 3 in 10. So the post must be met exactly and the reading lie near.
func TestSouthWestTile(t *testing.T) {
	m := NewModel(sharedTile(t, "S29W072.hgt.zip"))
	if h := m.Height(-72+1116.0/1200, -28-1060.0/1200); h != 1678 {
		t.Errorf("the post south-east of 28.88316 S, 71.070557 W is %g m, want 1678", h)
	}
	if h := m.Height(-71.070557, -28.88316); math.Abs(h-1678) > 20 {
		t.Errorf("Height at 28.88316 S, 71.070557 W = %.1f m, want about 1678", h)
	}
	if h := m.Height(-71.38916, -28.671311); h != 0 {
		t.Errorf("Height on the sea = %.1f m, want 0", h)
	}
}

// Tagged heights of passes against the grid: more than nine in ten of 93 within 30 m, the median
// within 10 m. Peaks are no test, a 90 m grid cuts them off.
func TestSaddles(t *testing.T) {
	m := NewModel(sharedTile(t, "N42E001.hgt.zip"))
	rows, err := csv.NewReader(bytes.NewReader(sharedFile(t, "andorra-spot-heights.csv"))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var diff []float64
	voids, worst := 0, 0.0
	for _, r := range rows[1:] {
		num := func(i int) float64 {
			v, err := strconv.ParseFloat(r[i], 64)
			if err != nil {
				return math.NaN()
			}
			return v
		}
		h := m.Height(num(4), num(3))
		if h != h {
			voids++
		}
		if d := math.Abs(h - num(6)); d > worst {
			worst = d
		}
		if (h != h) != (num(6) != num(6)) {
			t.Errorf("%s: read %g, recorded %q", r[0], h, r[6])
		}
		if r[1] == "saddle" && h == h {
			diff = append(diff, h-num(5))
		}
	}
	slices.Sort(diff)
	within := 0
	for _, d := range diff {
		if math.Abs(d) <= 30 {
			within++
		}
	}
	if len(diff) != 93 || voids != 6 {
		t.Errorf("%d saddles and %d voids, want 93 and 6", len(diff), voids)
	}
	if share := float64(within) / float64(len(diff)); share <= 0.9 {
		t.Errorf("%.1f %% of the saddles agree within 30 m, want more than 90", 100*share)
	}
	if med := diff[len(diff)/2]; math.Abs(med) > 10 {
		t.Errorf("the median difference at saddles is %.1f m, want within 10", med)
	}
	// The recorded readings are rounded to 0.1 m.
	if worst > 0.0501 {
		t.Errorf("readings differ from the recorded bilinear ones by up to %.3f m, want rounding only (0.05)", worst)
	}
}

// Climbing along the Andorra line by plain readings every 50 m: 2317 up and 1710 down with a
// threshold of 5 m, 2268 and 1662 with 10 m, worked out elsewhere.
func TestAscentOfTheAndorraLine(t *testing.T) {
	m := NewModel(sharedTile(t, "N42E001.hgt.zip"))
	r := andorraLine(t)
	samples := geo.Resample(r, 50)
	pts := make([]orb.Point, len(samples))
	for i, s := range samples {
		pts[i] = orb.Point{s.Lon, s.Lat}
	}
	h := m.Heights(nil, pts)
	for _, c := range []struct{ threshold, up, down float64 }{{5, 2317, 1710}, {10, 2268, 1662}} {
		up, down := Ascent(h, c.threshold)
		t.Logf("threshold %g m: %.1f up, %.1f down", c.threshold, up, down)
		// Where along the line the readings of the other program lie is not known; laying ours 49.5 to
		// 50.5 m apart moves the sums by up to 27 m from their middle.
		if math.Abs(up-c.up) > 30 || math.Abs(down-c.down) > 30 {
			t.Errorf("threshold %g m: %.0f up and %.0f down, want %.0f and %.0f within 30", c.threshold, up, down, c.up, c.down)
		}
	}
	// The heights in the file are the same readings, rounded.
	for i, h := range m.Heights(nil, r.Line) {
		if math.Abs(h-r.HeightM[i]) > 0.0501 {
			t.Fatalf("point %d: %.3f m, the file says %.1f", i, h, r.HeightM[i])
		}
	}
}

// The Andorra line: where it runs along hillsides the estimate is milder than the raw grade over 100 m;
// where it runs down the fall line for hundreds of metres (km 35.3 to 36, a slope of 33 % for 700 m
// under it) no estimate may talk the slope away, for there it is the ground's, not the grid's.
func TestProfileOfTheAndorraLine(t *testing.T) {
	m := NewModel(sharedTile(t, "N42E001.hgt.zip"))
	samples := geo.Resample(andorraLine(t), 25)
	for i := range samples {
		samples[i].Way = 0
	}
	got := Profile(samples, m, Options{})
	var h, ours, raw []float64
	for _, s := range samples {
		h = append(h, s.HeightM)
		if !(s.GradeBand > 0.01 && s.GradeBand < 0.14 && s.SideBand > 0 && s.Side >= 0) {
			t.Fatalf("at %.0f m: grade %.3f with band %.3f, side %.3f with band %.3f", s.DistanceM, s.Grade, s.GradeBand, s.Side, s.SideBand)
		}
	}
	straight := slopeOver(h, 2)
	falls := 0
	for i, s := range samples {
		if s.Side > 0.3 {
			ours, raw = append(ours, math.Abs(s.Grade)), append(raw, math.Abs(straight[i]))
		}
		if s.DistanceM > 35400 && s.DistanceM < 35800 && s.Grade < -0.25 {
			falls++
		}
	}
	slices.Sort(ours)
	slices.Sort(raw)
	n := len(ours)
	up, down := Ascent(got.SmoothM, 5)
	t.Logf("on %d samples with side slopes above 30 %%: grade median %.1f, 95 %% %.1f, greatest %.1f; raw %.1f, %.1f, %.1f; climbing of the estimate %.0f up, %.0f down",
		n, 100*ours[n/2], 100*ours[n*95/100], 100*ours[n-1], 100*raw[n/2], 100*raw[n*95/100], 100*raw[n-1], up, down)
	if n < 200 || ours[n*95/100] >= raw[n*95/100] || ours[n-1] >= 0.8*raw[n-1] {
		t.Errorf("on hillsides the estimate is no milder than the raw grade")
	}
	if falls < 15 {
		t.Errorf("the descent of km 35.4 to 35.8 is lost: %d of 15 samples below -25 %%", falls)
	}
	if len(got.Notes) != 0 || got.UnknownM != 0 || math.Abs(got.GridM-samples[len(samples)-1].DistanceM) > 1e-6 {
		t.Errorf("notes %q, %.0f m from the grid, %.0f m unknown", got.Notes, got.GridM, got.UnknownM)
	}
}
