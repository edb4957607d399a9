package papers

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// The GPX 1.1 schema (topografix.com/GPX/1/1/gpx.xsd) as tables. Its own file is not kept: its licence is not
// stated. Every type of it stands here, so that a file without faults is one that the schema takes.
const gpxSpace = "http://www.topografix.com/GPX/1/1"

// child is an element in the order of its parent's sequence; most is how often it may stand there, 0 for as
// often as one likes.
type child struct {
	name, kind string
	most       int
}

type gpxType struct {
	attrs    map[string]string // name -> simple type; all are required
	children []child
}

var gpxPoint = gpxType{map[string]string{"lat": "latitude", "lon": "longitude"}, []child{{"ele", "decimal", 1}, {"time", "dateTime", 1}, {"magvar", "degrees", 1}, {"geoidheight", "decimal", 1},
	{"name", "string", 1}, {"cmt", "string", 1}, {"desc", "string", 1}, {"src", "string", 1}, {"link", "link", 0}, {"sym", "string", 1}, {"type", "string", 1}, {"fix", "fix", 1},
	{"sat", "count", 1}, {"hdop", "decimal", 1}, {"vdop", "decimal", 1}, {"pdop", "decimal", 1}, {"ageofdgpsdata", "decimal", 1}, {"dgpsid", "station", 1}, {"extensions", "any", 1}}}

func gpxLine(points child) []child {
	return []child{{"name", "string", 1}, {"cmt", "string", 1}, {"desc", "string", 1}, {"src", "string", 1}, {"link", "link", 0}, {"number", "count", 1}, {"type", "string", 1}, {"extensions", "any", 1}, points}
}

var gpxTypes = map[string]gpxType{
	"gpx": {map[string]string{"version": "version", "creator": "string"}, []child{{"metadata", "metadata", 1}, {"wpt", "point", 0}, {"rte", "rte", 0}, {"trk", "trk", 0}, {"extensions", "any", 1}}},
	"metadata": {nil, []child{{"name", "string", 1}, {"desc", "string", 1}, {"author", "person", 1}, {"copyright", "copyright", 1}, {"link", "link", 0}, {"time", "dateTime", 1},
		{"keywords", "string", 1}, {"bounds", "bounds", 1}, {"extensions", "any", 1}}},
	"point":     gpxPoint,
	"rte":       {nil, gpxLine(child{"rtept", "point", 0})},
	"trk":       {nil, gpxLine(child{"trkseg", "trkseg", 0})},
	"trkseg":    {nil, []child{{"trkpt", "point", 0}, {"extensions", "any", 1}}},
	"copyright": {map[string]string{"author": "string"}, []child{{"year", "year", 1}, {"license", "uri", 1}}},
	"link":      {map[string]string{"href": "uri"}, []child{{"text", "string", 1}, {"type", "string", 1}}},
	"email":     {map[string]string{"id": "string", "domain": "string"}, nil},
	"person":    {nil, []child{{"name", "string", 1}, {"email", "email", 1}, {"link", "link", 1}}},
	"bounds":    {map[string]string{"minlat": "latitude", "minlon": "longitude", "maxlat": "latitude", "maxlon": "longitude"}, nil},
}

var decimalForm = regexp.MustCompile(`^[+-]?(\d+(\.\d*)?|\.\d+)$`) // xsd:decimal knows no exponent

// gpxSimple says whether a text is of a simple type.
func gpxSimple(kind, v string) bool {
	if kind == "string" || kind == "any" {
		return true
	}
	v = strings.TrimSpace(v)
	number := func() float64 {
		f, err := strconv.ParseFloat(v, 64)
		if err != nil || !decimalForm.MatchString(v) {
			return math.NaN()
		}
		return f
	}
	switch kind {
	case "version":
		return v == "1.1"
	case "decimal":
		return !math.IsNaN(number())
	case "latitude":
		f := number()
		return f >= -90 && f <= 90
	case "longitude":
		f := number()
		return f >= -180 && f < 180
	case "degrees":
		f := number()
		return f >= 0 && f < 360
	case "fix":
		return v == "none" || v == "2d" || v == "3d" || v == "dgps" || v == "pps"
	case "count":
		n, err := strconv.Atoi(v)
		return err == nil && n >= 0
	case "station":
		n, err := strconv.Atoi(v)
		return err == nil && n >= 0 && n <= 1023
	case "year":
		_, err := time.Parse("2006", v)
		return err == nil
	case "uri":
		_, err := url.Parse(v)
		return err == nil && v != "" && !strings.ContainsAny(v, " <>\"")
	case "dateTime":
		_, err := time.Parse(time.RFC3339Nano, v)
		if err != nil {
			_, err = time.Parse("2006-01-02T15:04:05.999999999", v)
		}
		return err == nil
	}
	panic("no type " + kind)
}

// gpxFaults are the places at which data break the schema.
func gpxFaults(data []byte) []string {
	var out []string
	bad := func(format string, a ...any) { out = append(out, fmt.Sprintf(format, a...)) }
	type level struct {
		name, kind string
		at, times  int // where in the sequence the last child stood, and how many like it
		text       strings.Builder
	}
	d := xml.NewDecoder(bytes.NewReader(data))
	d.Strict = true
	var stack []*level
	roots := 0
	for {
		tok, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			return append(out, "not well-formed: "+err.Error())
		}
		switch e := tok.(type) {
		case xml.StartElement:
			l := &level{name: e.Name.Local}
			if len(stack) > 0 && stack[len(stack)-1].kind == "any" {
				l.kind = "any"
				stack = append(stack, l)
				break
			}
			if e.Name.Space != gpxSpace {
				bad("<%s> stands in the name space %q", l.name, e.Name.Space)
			}
			if len(stack) == 0 {
				roots++
				if l.kind = "gpx"; l.name != "gpx" {
					bad("the root is <%s>", l.name)
				}
			} else {
				top := stack[len(stack)-1]
				found := false
				for k, c := range gpxTypes[top.kind].children {
					if c.name != l.name {
						continue
					}
					found, l.kind = true, c.kind
					if k < top.at {
						bad("<%s> in <%s> is out of order", l.name, top.name)
					}
					if k == top.at {
						top.times++
					} else {
						top.times = 1
					}
					if top.at = max(top.at, k); c.most > 0 && top.times > c.most {
						bad("<%s> in <%s> stands %d times", l.name, top.name, top.times)
					}
				}
				if !found {
					bad("<%s> in <%s> is not known", l.name, top.name)
					l.kind = "any"
				}
			}
			have := map[string]bool{}
			for _, a := range e.Attr {
				if a.Name.Space == "xmlns" || a.Name.Local == "xmlns" || strings.HasSuffix(a.Name.Space, "XMLSchema-instance") {
					continue
				}
				have[a.Name.Local] = true
				if kind, ok := gpxTypes[l.kind].attrs[a.Name.Local]; !ok || a.Name.Space != "" {
					bad("<%s> has no attribute %s", l.name, a.Name.Local)
				} else if !gpxSimple(kind, a.Value) {
					bad("%s=%q of <%s> is no %s", a.Name.Local, a.Value, l.name, kind)
				}
			}
			for a := range gpxTypes[l.kind].attrs {
				if !have[a] {
					bad("<%s> lacks %s", l.name, a)
				}
			}
			l.at = -1
			stack = append(stack, l)
		case xml.CharData:
			if len(stack) > 0 {
				stack[len(stack)-1].text.Write(e)
			}
		case xml.EndElement:
			l := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			_, compound := gpxTypes[l.kind]
			switch text := l.text.String(); {
			case l.kind == "any":
			case compound:
				if strings.TrimSpace(text) != "" {
					bad("<%s> holds text: %q", l.name, text)
				}
			case !gpxSimple(l.kind, text):
				bad("<%s>%s</%s> is no %s", l.name, text, l.name, l.kind)
			}
		}
	}
	if roots != 1 {
		bad("%d roots", roots)
	}
	return out
}

func TestGPXKeepsTheSchema(t *testing.T) {
	s := demoSet(t)
	var b bytes.Buffer
	if err := GPX(&b, s.Doc, s.Made); err != nil {
		t.Fatal(err)
	}
	for i, f := range gpxFaults(b.Bytes()) {
		if i == 10 {
			break
		}
		t.Error(f)
	}
	if n := strings.Count(b.String(), "<trkseg>"); n != len(s.Doc.Survey.Legs) {
		t.Errorf("%d segments, want one for each of %d legs", n, len(s.Doc.Survey.Legs))
	}
	if n := strings.Count(b.String(), "<wpt "); n < 20 {
		t.Errorf("%d waypoints", n)
	}
}

// The check finds each kind of fault in a file that had none.
func TestFaultsOfGPXAreFound(t *testing.T) {
	const good = `<?xml version="1.0"?><gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1"><metadata><name>n</name><copyright author="a"><license>https://example.org/l</license></copyright>` +
		`<time>2027-03-01T12:00:00Z</time></metadata><wpt lat="1" lon="2"><ele>3.5</ele><name>a</name><sym>camp</sym></wpt><trk><name>t</name><trkseg><trkpt lat="-90" lon="-180"/></trkseg></trk></gpx>`
	if f := gpxFaults([]byte(good)); len(f) != 0 {
		t.Fatalf("the good file has faults: %v", f)
	}
	for _, c := range []struct{ name, from, to, want string }{
		{"version", `version="1.1"`, `version="1.0"`, "version"},
		{"no creator", ` creator="x"`, ``, "lacks creator"},
		{"name space", gpxSpace, "http://www.topografix.com/GPX/1/0", "name space"},
		{"order of children", `<ele>3.5</ele><name>a</name>`, `<name>a</name><ele>3.5</ele>`, "out of order"},
		{"order of parts", `<wpt lat="1" lon="2"><ele>3.5</ele><name>a</name><sym>camp</sym></wpt><trk>`, `<trk>`, ""},
		{"waypoint behind a track", `</trk>`, `</trk><wpt lat="1" lon="2"/>`, "out of order"},
		{"twice", `<name>a</name>`, `<name>a</name><name>b</name>`, "stands 2 times"},
		{"unknown child", `<sym>camp</sym>`, `<symbol>camp</symbol>`, "not known"},
		{"unknown attribute", `<trkpt lat`, `<trkpt speed="3" lat`, "no attribute speed"},
		{"latitude", `lat="1"`, `lat="90.1"`, "latitude"},
		{"longitude of 180", `lon="2"`, `lon="180"`, "longitude"},
		{"exponent", `3.5`, `3.5e2`, "decimal"},
		{"not a number", `3.5`, `NaN`, "decimal"},
		{"no longitude", ` lon="2"`, ``, "lacks lon"},
		{"time", `2027-03-01T12:00:00Z`, `1 March`, "dateTime"},
		{"licence", `https://example.org/l`, `a b`, "uri"},
		{"text between elements", `</trkseg>`, `</trkseg>hello`, "holds text"},
		{"broken", `</gpx>`, ``, "well-formed"},
	} {
		f := gpxFaults([]byte(strings.Replace(good, c.from, c.to, 1)))
		if got := strings.Join(f, "; "); c.want == "" != (got == "") || !strings.Contains(got, c.want) {
			t.Errorf("%s: found %q, want %q in it", c.name, got, c.want)
		}
	}
}
