package gpx

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/paulmach/orb"
	gpxgo "github.com/tkrajina/gpxgo/gpx"

	"lastroad/geo"
	"lastroad/geo/garble"
)

const head = `<?xml version="1.0" encoding="UTF-8"?>` + "\n" + `<gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1">` + "\n"

// track is a document with one track through the given points, "lat lon" each on its own line.
func track(points ...string) string {
	var b strings.Builder
	b.WriteString(head + "<trk><trkseg>\n")
	for _, p := range points {
		lat, lon, _ := strings.Cut(p, " ")
		fmt.Fprintf(&b, "<trkpt lat=%q lon=%q></trkpt>\n", lat, lon)
	}
	b.WriteString("</trkseg></trk></gpx>\n")
	return b.String()
}

func TestBadInputNamesThePlace(t *testing.T) {
	good := track("42 1", "42.1 1")
	deep := head + strings.Repeat("<a>", 70) + strings.Repeat("</a>", 70) + "</gpx>"
	bomb := `<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]><gpx version="1.1"><name>&b;</name></gpx>`
	for _, c := range []struct{ name, input, where, reason string }{
		{"empty", "", "", "empty"},
		{"blank", " \n\t", "", "empty"},
		{"text", "hello", "", "neither GPX nor GeoJSON"},
		{"packed", "\x1f\x8b\x08\x00", "", "packed"},
		{"other root", "<kml><Document/></kml>", "line 1", `"kml", not gpx`},
		{"no element", "<?xml version=\"1.0\"?>\n<!-- nothing -->", "line 1", "no gpx element"},
		{"latitude missing", head + "<trk><trkseg>\n<trkpt lat=\"1\" lon=\"1\"/>\n<trkpt lon=\"1\"/></trkseg></trk></gpx>", "line 5: trkpt 2", "lat is missing"},
		{"longitude missing", head + "<rte><rtept lat=\"3\"/></rte></gpx>", "line 3: rtept 1", "lon is missing"},
		{"latitude NaN", track("42 1", "NaN 1"), "line 5: trkpt 2", `"NaN" is not a number`},
		{"infinite", track("42 1", "1e999 1"), "line 5: trkpt 2", "is not a number"},
		{"hexadecimal", track("0x10 1", "2 2"), "line 4: trkpt 1", "is not a number"},
		{"degrees and minutes", track("42° 1", "2 2"), "line 4: trkpt 1", "is not a number"},
		{"empty number", track(" 1", "2 2"), "line 4: trkpt 1", "is not a number"},
		{"two points", track("1.2.3 1", "2 2"), "line 4: trkpt 1", "is not a number"},
		{"latitude 95", track("42 1", "43 1", "95 1"), "line 6: trkpt 3", "lat 95 is outside -90..90"},
		{"longitude 181", track("42 181"), "line 4: trkpt 1", "lon 181 is outside -180..180"},
		{"waypoint out of range", head + "<wpt lat=\"-91\" lon=\"0\"/></gpx>", "line 3: wpt 1", "lat -91"},
		{"pole", track("86 1", "86.1 1"), "line 4: trkpt 1", "nearer to the pole than 85"},
		{"twice", head + "<wpt lat=\"1\" lat=\"2\" lon=\"0\"/></gpx>", "line 3: wpt 1", "lat given twice"},
		{"cut in a point", good[:strings.LastIndex(good, "</trkpt>")], "line 5: trkpt 2", "ends in the middle"},
		{"cut in an attribute", good[:strings.LastIndex(good, "lon")+5], "line 5: trkseg 1", "ends in the middle"},
		{"cut after a segment", strings.TrimSuffix(good, "</trk></gpx>\n"), "line 6: trk 1", "ends in the middle"},
		{"cut in a comment", head + "<!-- never", "line 3", "ends in the middle"},
		{"crossed elements", head + "<trk><trkseg></trk></trkseg></gpx>", "line 3", "</trk> closes <trkseg>"},
		{"closes nothing", "</gpx>", "line 1", "closes nothing"},
		{"two documents", good + good, "line 8", "second document"},
		{"deep", deep, "line 3", "deeper than 64"},
		{"document type", bomb, "line 1", "document type"},
		{"unquoted", head + "<wpt lat=1 lon=2/></gpx>", "line 3", "not quoted"},
		{"unknown entity", head + "<trk><name>&who;</name></trk></gpx>", "line 3", "not well-formed"},
		{"encoding", `<?xml version="1.0" encoding="EBCDIC-CP-BE"?><gpx/>`, "line 1", `encoding "EBCDIC-CP-BE"`},
		{"no points", head + "</gpx>", "", "no line with two points"},
		{"one point", track("42 1"), "", "no line with two points"},
		{"only waypoints", head + `<wpt lat="1" lon="2"/></gpx>`, "", "only 1 single points"},
		{"one place", track("42 1", "42 1", "42.0 1.0"), "", "all points of the line lie at one place"},

		{"json cut", `{"type":"LineString","coordinates":[[1,2],`, "line 1", "not well-formed GeoJSON"},
		{"json of another kind", `{"type":"Topology"}`, "", `"Topology" is no GeoJSON type`},
		{"json without type", `{"a":1}`, "", "is no GeoJSON type"},
		{"json latitude", `{"type":"LineString","coordinates":[[1,2],[2,93]]}`, "position 2", "latitude 93 is outside"},
		{"json in a feature", `{"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"LineString","coordinates":[[1,2],[200,3]]}}]}`, "feature 1: position 2", "longitude 200"},
		{"json short", `{"type":"LineString","coordinates":[[1,2],[3]]}`, "position 2", "missing"},
		{"json text", `{"type":"LineString","coordinates":[[1,2],["a",3]]}`, "", "not well-formed GeoJSON"},
		{"json projected", `{"type":"LineString","crs":{"properties":{"name":"EPSG:25831"}},"coordinates":[[1,2],[2,3]]}`, "", "not in WGS84"},
		{"json pole", `{"type":"LineString","coordinates":[[1,2],[2,-85.5]]}`, "position 2", "pole"},
		{"json polygon", `{"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1],[0,0]]]}`, "", "no line with two points"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Read(context.Background(), strings.NewReader(c.input), "day.gpx", Options{})
			var in *geo.InputError
			if !errors.As(err, &in) {
				t.Fatalf("Read gives error %v, want an InputError", err)
			}
			if in.File != "day.gpx" || in.Where != c.where || !strings.Contains(in.Error(), c.reason) {
				t.Errorf("Read says %q (where %q), want %q at %q", in.Error(), in.Where, c.reason, c.where)
			}
			if in.Remedy == "" {
				t.Errorf("Read says %q without a remedy", in.Error())
			}
			if strings.Contains(in.Error(), "\n") {
				t.Errorf("the error takes more than one line: %q", in.Error())
			}
		})
	}
}

func TestLimits(t *testing.T) {
	doc := track("42 1", "42.1 1", "42.2 1")
	for _, c := range []struct {
		name   string
		opts   Options
		reason string
	}{
		{"bytes", Options{MaxBytes: 100}, "larger than"},
		{"points", Options{MaxPoints: 2}, "more than 2 points"},
		{"within both", Options{MaxBytes: int64(len(doc)), MaxPoints: 3}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Read(context.Background(), strings.NewReader(doc), "a.gpx", c.opts)
			if c.reason == "" && err != nil || c.reason != "" && (err == nil || !strings.Contains(err.Error(), c.reason)) {
				t.Errorf("Read gives error %v, want one with %q", err, c.reason)
			}
		})
	}
}

// What would take many times its own size in memory is refused before it is read.
func TestSwellingDocuments(t *testing.T) {
	for _, c := range []struct{ name, doc, want string }{
		{"extensions", head + `<trk><trkseg><trkpt lat="1" lon="1"><extensions>` + strings.Repeat("<a/>", maxBare+1), "elements without a point"},
		{"empty segments", head + strings.Repeat("<trk><trkseg/></trk>", maxBare/2+1), "elements without a point"},
		{"attributes", head + "<trk" + strings.Repeat(` a="b"`, maxAttributes+2) + "/>", "attributes in one element"},
		{"nesting", head + strings.Repeat("<a>", maxDepth+1), "nest deeper"},
		{"lists", `{"type":"LineString","coordinates":[` + strings.Repeat("[],", 2*maxPoints+1000) + "[1,2]]}", "points or lists"},
		{"nested lists", `{"type":"LineString","coordinates":` + strings.Repeat("[", 100_000), "max depth"},
		{"one long number", `{"type":"LineString","coordinates":[[` + strings.Repeat("9", 1_000_000) + ",2],[1,2]]}", "GeoJSON"},
	} {
		t.Run(c.name, func(t *testing.T) {
			garble.Bounded(t, len(c.doc), func() {
				_, err := Read(context.Background(), strings.NewReader(c.doc), "a.gpx", Options{})
				if err == nil || !strings.Contains(err.Error(), c.want) || len(err.Error()) > 1000 {
					t.Errorf("%.1000v, want a short refusal with %q", err, c.want)
				}
			})
		})
	}
}

func TestBrokenReaderAndCancel(t *testing.T) {
	_, err := Read(context.Background(), io.MultiReader(strings.NewReader(head), failing{}), "a.gpx", Options{})
	var in *geo.InputError
	if !errors.As(err, &in) || !errors.Is(err, io.ErrClosedPipe) {
		t.Errorf("Read from a broken reader gives %v, want an InputError with its cause", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Read(ctx, strings.NewReader(track("1 1", "2 2")), "a.gpx", Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("Read with a cancelled context gives %v, want context.Canceled", err)
	}
}

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, io.ErrClosedPipe }

func read1(t *testing.T, doc string, opts Options) geo.Route {
	t.Helper()
	r, err := Read(context.Background(), strings.NewReader(doc), "a.gpx", opts)
	if err != nil {
		t.Fatalf("Read: %v", err)
	}
	return r
}

func TestEncodings(t *testing.T) {
	utf16 := func(s string, big bool) string {
		var b strings.Builder
		b.WriteString(map[bool]string{true: "\xfe\xff", false: "\xff\xfe"}[big])
		for _, r := range s {
			if hi, lo := byte(r>>8), byte(r); big {
				b.WriteString(string([]byte{hi, lo}))
			} else {
				b.WriteString(string([]byte{lo, hi}))
			}
		}
		return b.String()
	}
	doc := func(enc, name string) string {
		return `<?xml version="1.0" encoding="` + enc + `"?><gpx version="1.1" creator="x"><trk><name>` + name + `</name><trkseg><trkpt lat="1" lon="2"/><trkpt lat="1" lon="3"/></trkseg></trk></gpx>`
	}
	for _, c := range []struct{ name, doc string }{
		{"utf-8", doc("UTF-8", "Piste à côté")},
		{"byte-order mark", "\xef\xbb\xbf" + doc("UTF-8", "Piste à côté")},
		{"iso-8859-1", doc("ISO-8859-1", "Piste \xe0 c\xf4t\xe9")},
		{"windows-1252", doc("windows-1252", "Piste \xe0 c\xf4t\xe9")},
		{"utf-16 little end first", utf16(doc("UTF-16", "Piste à côté"), false)},
		{"utf-16 big end first", utf16(doc("UTF-16", "Piste à côté"), true)},
		{"character references", doc("us-ascii", "Piste &#224; c&#xF4;t&#233;")},
	} {
		t.Run(c.name, func(t *testing.T) {
			if r := read1(t, c.doc, Options{}); r.Name != "Piste à côté" || len(r.Line) != 2 {
				t.Errorf("Read gives %q with %d points, want Piste à côté with 2", r.Name, len(r.Line))
			}
		})
	}
}

func TestRouteAsRead(t *testing.T) {
	doc := `<g:gpx xmlns:g="http://www.topografix.com/GPX/1/0" version="1.0" creator="x">
<g:wpt lat=" +1.5 " lon='2'><g:ele>-12.5</g:ele><g:name> Well </g:name><g:desc>dry</g:desc><g:sym>Water</g:sym></g:wpt>
<g:trk><g:name>Out</g:name><g:trkseg>
<g:trkpt lat="1" lon="180"><g:ele>10</g:ele><g:time>2024-05-01T06:00:00Z</g:time></g:trkpt>
<g:trkpt lat="1" lon="-180"><g:ele>11</g:ele></g:trkpt>
<g:trkpt lat="1.001" lon="-180"><g:ele>-32768</g:ele><x><trkpt/></x></g:trkpt>
<g:trkpt lat="1.002" lon="-179.99"><g:time>2024-05-01T06:10:00.250Z</g:time></g:trkpt>
</g:trkseg></g:trk></g:gpx>`
	r := read1(t, doc, Options{})
	want := orb.LineString{{-180, 1}, {-180, 1.001}, {-179.99, 1.002}}
	if !r.Line.Equal(want) {
		t.Errorf("line is %v, want %v", r.Line, want)
	}
	if len(r.HeightM) != 3 || r.HeightM[0] != 10 || !math.IsNaN(r.HeightM[1]) || !math.IsNaN(r.HeightM[2]) {
		t.Errorf("heights are %v, want 10 NaN NaN", r.HeightM)
	}
	if len(r.Time) != 3 || !r.Time[0].Equal(time.Date(2024, 5, 1, 6, 0, 0, 0, time.UTC)) || !r.Time[1].IsZero() || r.Time[2].IsZero() {
		t.Errorf("times are %v, want 06:00, none, 06:10", r.Time)
	}
	if len(r.Waypoints) != 1 || r.Waypoints[0] != (geo.Waypoint{Name: "Well", Symbol: "Water", Comment: "dry", At: orb.Point{2, 1.5}, HeightM: -12.5}) {
		t.Errorf("waypoints are %+v, want the dry well", r.Waypoints)
	}
	if len(r.Notes) != 1 || !strings.Contains(r.Notes[0], "1 points equal to the one before") {
		t.Errorf("notes are %q, want one on the equal point", r.Notes)
	}
}

// Three days: the first two follow on each other, the third begins elsewhere.
const days = head + `
<rte><name>plan</name><rtept lat="0" lon="0"/><rtept lat="1" lon="1"/></rte>
<trk><name>one</name><trkseg><trkpt lat="10" lon="10"/><trkpt lat="10" lon="10.01"/></trkseg><trkseg><trkpt lat="10" lon="10.02"/></trkseg></trk>
<trk><name>two</name><trkseg><trkpt lat="10" lon="10.021"/><trkpt lat="10" lon="10.03"/></trkseg></trk>
`

func TestChoosingAmongLines(t *testing.T) {
	far := days + `<trk><name>three</name><trkseg><trkpt lat="11" lon="11"/><trkpt lat="11" lon="11.01"/></trkseg></trk></gpx>`
	near := days + `</gpx>`
	for _, c := range []struct {
		name, doc string
		choose    int
		points    int
		route     string
		note      string
	}{
		{"a chain is joined", near, 0, 5, "", "joined were"},
		{"no chain takes the first", far, 0, 3, "one", `only track 1 "one" was taken`},
		{"all joins the tracks", far, All, 7, "", "joined were"},
		{"by number", far, 3, 2, "three", `only track 3 "three"`},
		{"the route after the tracks", far, 4, 2, "plan", `only route 1 "plan"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := read1(t, c.doc, Options{Choose: c.choose})
			if len(r.Line) != c.points || r.Name != c.route || !strings.Contains(strings.Join(r.Notes, " "), c.note) {
				t.Errorf("%d points, name %q, notes %q; want %d, %q, a note with %q", len(r.Line), r.Name, r.Notes, c.points, c.route, c.note)
			}
		})
	}
	for _, choose := range []int{5, -2} {
		if _, err := Read(context.Background(), strings.NewReader(far), "a.gpx", Options{Choose: choose}); err == nil || !strings.Contains(err.Error(), "the file holds 4") {
			t.Errorf("choosing line %d of 4 gives %v, want an error", choose, err)
		}
	}
	lines, err := List(context.Background(), strings.NewReader(far), "a.gpx", Options{})
	if err != nil || len(lines) != 4 || lines[0].Segments != 2 || lines[0].Points != 3 || lines[3].Kind != "route" || lines[2].Name != "three" {
		t.Errorf("List gives %+v, %v; want three tracks and a route", lines, err)
	}
}

func TestGapsAreSaid(t *testing.T) {
	r := read1(t, head+`<trk><trkseg><trkpt lat="0" lon="0"/><trkpt lat="0" lon="0.01"/></trkseg>
<trkseg><trkpt lat="0" lon="0.03"/><trkpt lat="0" lon="0.04"/></trkseg></trk></gpx>`, Options{})
	// 0.02 degrees of the equator: 2 226 m.
	if len(r.Line) != 4 || len(r.Notes) != 1 || !strings.Contains(r.Notes[0], "1 gaps between them, the longest of 2.2 km") {
		t.Errorf("%d points, notes %q; want 4 and the gap of 2.2 km", len(r.Line), r.Notes)
	}
}

// A line north with a point every 0.001 degrees (110 m) and one point put aside.
func spiked(at int, spike string) []string {
	var p []string
	for i := range 60 {
		if i == at {
			p = append(p, spike)
		}
		p = append(p, fmt.Sprintf("%.3f 10", 40+float64(i)*0.001))
	}
	return p
}

func TestSpikes(t *testing.T) {
	mark := `<wpt lat="40.5" lon="10.2"><name>spring</name></wpt><trk>`
	timed := func(step time.Duration) string {
		var b strings.Builder
		b.WriteString(head + "<trk><trkseg>")
		at := time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC)
		for _, p := range spiked(30, "40.5 10.2") {
			lat, lon, _ := strings.Cut(p, " ")
			fmt.Fprintf(&b, "<trkpt lat=%q lon=%q><time>%s</time></trkpt>", lat, lon, at.Format(time.RFC3339))
			at = at.Add(step)
		}
		return b.String() + "</trkseg></trk></gpx>"
	}
	for _, c := range []struct {
		name, doc string
		points    int
	}{
		{"a jump of 50 km and back", track(spiked(30, "40.5 10.2")...), 60},
		{"to nought, nought", track(spiked(1, "0 0")...), 60},
		{"a detour of 500 m stays", track(spiked(30, "40.03 10.006")...), 61},
		{"at the end it stays", track(spiked(59, "40.0580 10.0001")...), 61},
		{"a marked place stays", strings.Replace(track(spiked(30, "40.5 10.2")...), "<trk>", mark, 1), 61},
		{"driven in ten minutes it goes", timed(10 * time.Minute), 60}, // 50 km in 10 minutes
		{"driven in an hour it stays", timed(time.Hour), 61},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := read1(t, c.doc, Options{})
			if len(r.Line) != c.points {
				t.Errorf("%d points are left, want %d", len(r.Line), c.points)
			}
			if said := strings.Contains(strings.Join(r.Notes, " "), "jump far off"); said != (c.points == 60) {
				t.Errorf("notes are %q; want the spike said only when it went", r.Notes)
			}
		})
	}
}

func TestGeoJSON(t *testing.T) {
	for _, c := range []struct {
		name, doc   string
		points, way int
		title       string
	}{
		{"line", `{"type":"LineString","coordinates":[[1,2,100],[1.001,2]]}`, 2, 0, ""},
		{"lines", `{"type":"MultiLineString","coordinates":[[[1,2],[1.001,2]],[],[[1.002,2],[1.003,2]]]}`, 4, 0, ""},
		{"feature", `{"type":"Feature","properties":{"name":"Wadi"},"geometry":{"type":"LineString","coordinates":[[1,2],[1.001,2]]}}`, 2, 0, "Wadi"},
		{"collection", "\xef\xbb\xbf" + `{"type":"FeatureCollection","features":[
			{"type":"Feature","properties":null,"geometry":null},
			{"type":"Feature","properties":{"name":7},"geometry":{"type":"Point","coordinates":[1,2]}},
			{"type":"Feature","properties":{"name":"L"},"geometry":{"type":"GeometryCollection","geometries":[{"type":"LineString","coordinates":[[1,2],[3,4]]},{"type":"Polygon","coordinates":[]}]}}]}`, 2, 1, "L"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := read1(t, c.doc, Options{})
			if len(r.Line) != c.points || len(r.Waypoints) != c.way || r.Name != c.title {
				t.Errorf("%d points, %d waypoints, name %q; want %d, %d, %q", len(r.Line), len(r.Waypoints), r.Name, c.points, c.way, c.title)
			}
		})
	}
	r := read1(t, `{"type":"LineString","coordinates":[[1,2,100],[1.001,2]]}`, Options{})
	if len(r.HeightM) != 2 || r.HeightM[0] != 100 || !math.IsNaN(r.HeightM[1]) {
		t.Errorf("heights are %v, want 100 and NaN", r.HeightM)
	}
}

// carried is a file that the gpxgo module brings along.
func carried(t testing.TB, name string) []byte {
	t.Helper()
	dir, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/tkrajina/gpxgo").Output()
	if err != nil {
		t.Skipf("the go command does not find the gpxgo module: %v", err)
	}
	b, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(dir)), "test_files", name))
	if err != nil {
		t.Skipf("the gpxgo module comes without its test files: %v", err)
	}
	return b
}

// Points, kilometres and heights as counted outside this program when the tracks were catalogued. Those
// lengths rest on a sphere and are given to 10 m; a sphere is up to 0.3 % off at these latitudes.
func TestRecordedTracks(t *testing.T) {
	for _, c := range []struct {
		file      string
		points    int
		km        float64
		low, high float64
	}{
		{"korita-zbevnica.gpx", 871, 27.61, 722, 1051},
		{"Mojstrovka.gpx", 184, 2.70, 1615, 2057},
		{"visnjan.gpx", 413, 4.45, 245, 304},
		{"cerknicko-without-times.gpx", 296, 13.67, 507, 579},
	} {
		t.Run(c.file, func(t *testing.T) {
			data := carried(t, c.file)
			lines, err := List(context.Background(), bytes.NewReader(data), c.file, Options{})
			if err != nil {
				t.Fatalf("List: %v", err)
			}
			points := 0
			for _, l := range lines {
				points += l.Points
			}
			if points != c.points {
				t.Errorf("%d points in %d lines, want %d", points, len(lines), c.points)
			}
			r, err := Read(context.Background(), bytes.NewReader(data), c.file, Options{Choose: All})
			if err != nil {
				t.Fatalf("Read: %v", err)
			}
			if km := geo.Length(r.Line) / 1000; math.Abs(km-c.km) > 0.003*c.km+0.01 {
				t.Errorf("joined they are %.3f km long, want %.2f", km, c.km)
			}
			low, high := math.Inf(1), math.Inf(-1)
			for _, h := range r.HeightM {
				low, high = math.Min(low, h), math.Max(high, h)
			}
			if math.Round(low) != c.low || math.Round(high) != c.high {
				t.Errorf("heights run from %.1f to %.1f m, want %v to %v", low, high, c.low, c.high)
			}
		})
	}
}

// shared is a file of the test data beside the repository.
func shared(t testing.TB, name string) []byte {
	t.Helper()
	dir := os.Getenv("LASTROAD_SHARED")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared")
	}
	b, err := os.ReadFile(filepath.Join(dir, "data", name))
	if err != nil {
		t.Skipf("test data %s is not here (set LASTROAD_SHARED to the folder): %v", name, err)
	}
	return b
}

// The length is GeographicLib's sum of geodesics over the 1484 steps of the file.
func TestAndorraLine(t *testing.T) {
	r, err := Read(context.Background(), bytes.NewReader(shared(t, "andorra-ne-tracks.gpx")), "andorra-ne-tracks.gpx", Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Line) != 1485 || len(r.Waypoints) != 6 || len(r.Notes) != 0 {
		t.Errorf("%d points, %d waypoints, notes %q; want 1485, 6 and none", len(r.Line), len(r.Waypoints), r.Notes)
	}
	// A millimetre: the reference is given to one.
	if got := geo.Length(r.Line); math.Abs(got-38280.122) > 0.001 {
		t.Errorf("length %.4f m, want 38280.122", got)
	}
	st := geo.Stations(nil, r.Line, 25)
	if got := st[len(st)-1].DistanceM; math.Abs(got-38280.122) > 0.001 {
		t.Errorf("the stations end at %.4f m, want 38280.122", got)
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, h := range r.HeightM {
		low, high = math.Min(low, h), math.Max(high, h)
	}
	if low != 1532.3 || high != 2541.2 {
		t.Errorf("heights run from %v to %v m, want 1532.3 to 2541.2", low, high)
	}
}

// big is a GPX document of about the given size with heights and times, as receivers write it.
func big(bytes int) []byte {
	var b strings.Builder
	b.WriteString(head + "<trk><name>long</name><trkseg>\n")
	at := time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC)
	for i := 0; b.Len() < bytes; i++ {
		fmt.Fprintf(&b, "<trkpt lat=\"%.7f\" lon=\"%.7f\"><ele>%.1f</ele><time>%s</time></trkpt>\n",
			40+math.Sin(float64(i)/9000)*5, 10+float64(i)*1e-5, 1000+200*math.Sin(float64(i)/500), at.Add(time.Duration(i)*time.Second).Format(time.RFC3339))
	}
	b.WriteString("</trkseg></trk></gpx>\n")
	return []byte(b.String())
}

func BenchmarkRead(b *testing.B) {
	data := big(10 << 20)
	b.Run("gpxgo-alone", func(b *testing.B) {
		b.SetBytes(int64(len(data)))
		b.ReportAllocs()
		for b.Loop() {
			if _, err := gpxgo.ParseBytes(data); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("read", func(b *testing.B) {
		b.SetBytes(int64(len(data)))
		b.ReportAllocs()
		for b.Loop() {
			if _, err := Read(context.Background(), bytes.NewReader(data), "a.gpx", Options{}); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("scan", func(b *testing.B) {
		b.SetBytes(int64(len(data)))
		for b.Loop() {
			s := scanner{ctx: context.Background(), data: data, opts: Options{MaxPoints: maxPoints}}
			if err := s.scan(); err != nil {
				b.Fatal(err)
			}
		}
	})
}
