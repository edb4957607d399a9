package gpx

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/paulmach/orb"
	"pgregory.net/rapid"

	"lastroad/geo"
)

// schema is the order of the child elements that the schema of GPX 1.1 (topografix.com/GPX/1/1/gpx.xsd)
// demands, for the elements that are written.
var schema = map[string][]string{
	"gpx":       {"metadata", "wpt", "rte", "trk", "extensions"},
	"metadata":  {"name", "desc", "author", "copyright", "link", "time", "keywords", "bounds", "extensions"},
	"copyright": {"year", "license"},
	"wpt":       {"ele", "time", "magvar", "geoidheight", "name", "cmt", "desc", "src", "link", "sym", "type", "fix", "sat", "hdop", "vdop", "pdop", "ageofdgpsdata", "dgpsid", "extensions"},
	"rte":       {"name", "cmt", "desc", "src", "link", "number", "type", "extensions", "rtept"},
	"trk":       {"name", "cmt", "desc", "src", "link", "number", "type", "extensions", "trkseg"},
	"trkseg":    {"trkpt", "extensions"},
}

// repeats are the elements of which there may be several.
var repeats = map[string]bool{"wpt": true, "rte": true, "trk": true, "trkseg": true, "trkpt": true, "rtept": true, "link": true}

// checkSchema walks over a document and reports what the schema does not allow.
func checkSchema(doc []byte) error {
	d := xml.NewDecoder(bytes.NewReader(doc))
	type open struct {
		name string
		at   int
	}
	var stack []open
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			name := tok.Name.Local
			if tok.Name.Space != "http://www.topografix.com/GPX/1/1" {
				return fmt.Errorf("%s is in name space %q", name, tok.Name.Space)
			}
			if len(stack) > 0 {
				top := &stack[len(stack)-1]
				rule := top.name
				if rule == "rtept" || rule == "trkpt" {
					rule = "wpt"
				}
				at := slices.Index(schema[rule], name)
				if at < 0 || at < top.at || at == top.at && !repeats[name] {
					return fmt.Errorf("%s in %s stands out of order", name, top.name)
				}
				top.at = at
			}
			attrs := map[string]string{}
			for _, a := range tok.Attr {
				attrs[a.Name.Local] = a.Value
			}
			switch name {
			case "gpx":
				if attrs["version"] != "1.1" || attrs["creator"] == "" {
					return fmt.Errorf("gpx has attributes %v", attrs)
				}
			case "wpt", "rtept", "trkpt":
				lat, err1 := strconv.ParseFloat(attrs["lat"], 64)
				lon, err2 := strconv.ParseFloat(attrs["lon"], 64)
				if err1 != nil || err2 != nil || lat < -90 || lat > 90 || lon < -180 || lon >= 180 || strings.ContainsAny(attrs["lat"]+attrs["lon"], "eE+") {
					return fmt.Errorf("%s has attributes %v", name, attrs)
				}
			}
			stack = append(stack, open{name, -1})
		case xml.EndElement:
			stack = stack[:len(stack)-1]
		}
	}
}

// sample is a document with everything in it.
func sample() Document {
	at := time.Date(2025, 5, 1, 6, 0, 0, 0, time.FixedZone("", 2*3600))
	return Document{
		Name: "Three <days> & \"nights\"", Desc: "line\nbreak", Credits: "© OpenStreetMap contributors",
		License: "https://opendatacommons.org/licenses/odbl/1-0/", Time: at,
		Waypoints: []geo.Waypoint{
			{Name: "Well\x00 of \xff", Symbol: "Water", Comment: "dry in summer", At: orb.Point{180, -10}, HeightM: math.NaN()},
			{At: orb.Point{179.99999999, 0}, HeightM: -430.06},
			{Name: "nowhere", At: orb.Point{math.NaN(), 0}},
		},
		Routes: []Track{{Name: "plan", Segments: []Segment{{Line: orb.LineString{{1, 2}, {1.5, 2.5}}}}}},
		Tracks: []Track{
			{Name: "leg 1", Comment: "sand", Desc: "carry 12 l", Segments: []Segment{
				{Line: orb.LineString{{-0.00000001, 1e-9}, {1, 2}}, HeightM: []float64{1.25, math.NaN()}, Time: []time.Time{at, {}}},
				{Line: orb.LineString{{3, 4}}},
			}},
			{Segments: nil},
		},
	}
}

const sampleText = `<?xml version="1.0" encoding="UTF-8"?>
<gpx version="1.1" creator="Lastroad" xmlns="http://www.topografix.com/GPX/1/1">
<metadata><name>Three &lt;days&gt; &amp; &#34;nights&#34;</name><desc>line&#xA;break</desc><copyright author="© OpenStreetMap contributors"><license>https://opendatacommons.org/licenses/odbl/1-0/</license></copyright><time>2025-05-01T04:00:00Z</time></metadata>
<wpt lat="-10" lon="-180"><name>Well` + "\uFFFD of \uFFFD" + `</name><cmt>dry in summer</cmt><desc>dry in summer</desc><sym>Water</sym></wpt>
<wpt lat="0" lon="-180"><ele>-430.1</ele></wpt>
<rte><name>plan</name>
<rtept lat="2" lon="1"></rtept>
<rtept lat="2.5" lon="1.5"></rtept>
</rte>
<trk><name>leg 1</name><cmt>sand</cmt><desc>carry 12 l</desc>
<trkseg>
<trkpt lat="0" lon="0"><ele>1.2</ele><time>2025-05-01T04:00:00Z</time></trkpt>
<trkpt lat="2" lon="1"></trkpt>
</trkseg><trkseg>
<trkpt lat="4" lon="3"></trkpt>
</trkseg></trk>
<trk>
</trk>
</gpx>
`

func TestWrite(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, sample()); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(sampleText, b.String()); diff != "" {
		t.Errorf("the document differs (- want, + got):\n%s", diff)
	}
	if err := checkSchema(b.Bytes()); err != nil {
		t.Errorf("not valid GPX 1.1: %v", err)
	}
}

// The check itself must refuse what is wrong.
func TestSchemaCheckRefuses(t *testing.T) {
	open := `<gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1">`
	for _, body := range []string{
		"<trk/><wpt lat='1' lon='1'/>", "<wpt lat='1' lon='1'><name/><ele/></wpt>", "<wpt lat='1' lon='180'/>",
		"<wpt lon='1'/>", "<metadata><name/><name/></metadata>", "<trk><trkpt lat='1' lon='1'/></trk>", "<other/>",
	} {
		if checkSchema([]byte(open+body+"</gpx>")) == nil {
			t.Errorf("%s passes the check", body)
		}
	}
}

func TestWriteAnEmptyDocument(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, Document{}); err != nil {
		t.Fatal(err)
	}
	if err := checkSchema(b.Bytes()); err != nil {
		t.Errorf("an empty document is not valid GPX 1.1: %v\n%s", err, b.String())
	}
}

type full struct{ room int }

func (f *full) Write(p []byte) (int, error) {
	if f.room -= len(p); f.room < 0 {
		return 0, os.ErrClosed
	}
	return len(p), nil
}

func TestWriteToAFullDisk(t *testing.T) {
	long := FromRoute(geo.Route{Line: make(orb.LineString, 50_000)})
	for _, room := range []int{0, 100, 70_000} {
		if err := Write(&full{room}, long); !errors.Is(err, os.ErrClosed) {
			t.Errorf("with room for %d bytes Write gives %v, want the writer's error", room, err)
		}
	}
}

// What is written is read again the same, to the decimals that are written.
func TestWriteAndRead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// Names in the letters of all scripts; blanks at the ends are not kept by reading.
		name := rapid.Custom(func(t *rapid.T) string {
			return strings.TrimSpace(rapid.StringMatching(`[\p{L}\p{N}<>&"' ]{0,20}`).Draw(t, "name"))
		})
		r := geo.Route{Name: name.Draw(t, "route")}
		lon, lat := rapid.Float64Range(-180, 180).Draw(t, "lon"), rapid.Float64Range(-80, 80).Draw(t, "lat")
		hasH, hasT := rapid.Bool().Draw(t, "heights"), rapid.Bool().Draw(t, "times")
		n := rapid.IntRange(2, 40).Draw(t, "points")
		for i := range n {
			// Whole units of the last decimal, each point 1e-4 to 5e-4 degrees north of the one before.
			lat += float64(rapid.IntRange(1000, 5000).Draw(t, "step")) * 1e-7
			r.Line = append(r.Line, orb.Point{geo.WrapLon(math.Round(lon*1e7) / 1e7), math.Round(lat*1e7) / 1e7})
			if hasH {
				r.HeightM = append(r.HeightM, float64(rapid.IntRange(-4000, 60000).Draw(t, "height"))/10)
			}
			if hasT {
				r.Time = append(r.Time, time.Unix(1.7e9+int64(i)*60, 0).UTC())
			}
		}
		r.Waypoints = []geo.Waypoint{{Name: name.Draw(t, "mark"), Symbol: name.Draw(t, "symbol"), Comment: name.Draw(t, "comment"), At: r.Line[0], HeightM: math.NaN()}}
		var b bytes.Buffer
		if err := Write(&b, FromRoute(r)); err != nil {
			t.Fatal(err)
		}
		if err := checkSchema(b.Bytes()); err != nil {
			t.Fatalf("not valid GPX 1.1: %v\n%s", err, b.String())
		}
		got, err := Read(context.Background(), &b, "a.gpx", Options{})
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(r, got, cmpopts.EquateNaNs()); diff != "" {
			t.Fatalf("read again it differs (- written, + read):\n%s", diff)
		}
	})
}

func ExampleWrite() {
	route := geo.Route{Name: "To the pass", Line: orb.LineString{{1.60047, 42.56690}, {1.60029, 42.56686}}}
	if err := Write(os.Stdout, FromRoute(route)); err != nil {
		fmt.Println(err)
	}
	// Output:
	// <?xml version="1.0" encoding="UTF-8"?>
	// <gpx version="1.1" creator="Lastroad" xmlns="http://www.topografix.com/GPX/1/1">
	// <metadata><name>To the pass</name></metadata>
	// <trk><name>To the pass</name>
	// <trkseg>
	// <trkpt lat="42.5669" lon="1.60047"></trkpt>
	// <trkpt lat="42.56686" lon="1.60029"></trkpt>
	// </trkseg></trk>
	// </gpx>
}

func ExampleRead() {
	const file = `<gpx version="1.1" creator="x"><trk><name>To the pass</name><trkseg>
		<trkpt lat="42.56690" lon="1.60047"><ele>1537.6</ele></trkpt>
		<trkpt lat="42.56686" lon="1.60029"/>
	</trkseg></trk></gpx>`
	r, err := Read(context.Background(), strings.NewReader(file), "pass.gpx", Options{})
	fmt.Println(r.Name, len(r.Line), "points", r.HeightM, err)
	_, err = Read(context.Background(), strings.NewReader(strings.Replace(file, "1.60029", "x", 1)), "pass.gpx", Options{})
	fmt.Println(err)
	// Output:
	// To the pass 2 points [1537.6 NaN] <nil>
	// pass.gpx: line 3: trkpt 2: lon "x" is not a number; remove the point or correct its longitude
}
