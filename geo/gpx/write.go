package gpx

import (
	"bufio"
	"encoding/xml"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// Document is what [Write] writes.
type Document struct {
	Name, Desc string
	Creator    string    // the program's name; "Lastroad" when empty
	Credits    string    // whose data the line rests on, written as author of the copyright; "" for none
	License    string    // address of that data's licence; used with Credits
	Time       time.Time // zero for none
	Waypoints  []geo.Waypoint
	Routes     []Track // the segments of each are written one after another
	Tracks     []Track
}

// Track is a named line in pieces.
type Track struct {
	Name, Comment, Desc string
	Segments            []Segment
}

// Segment is an unbroken line.
type Segment struct {
	Line    orb.LineString
	HeightM []float64   // of each point, NaN for none; nil when no point has one
	Time    []time.Time // of each point, zero for none; nil when no point has one
}

// FromRoute is a document that holds a route as one track with its waypoints.
func FromRoute(r geo.Route) Document {
	return Document{Name: r.Name, Waypoints: r.Waypoints,
		Tracks: []Track{{Name: r.Name, Segments: []Segment{{r.Line, r.HeightM, r.Time}}}}}
}

// Write writes a document as GPX 1.1, valid against the schema (topografix.com/GPX/1/1): elements in its
// order, coordinates with seven decimals (a centimetre) and longitudes below 180, heights with one, times
// in UTC. Characters that XML cannot hold are replaced. The same document gives the same bytes.
// Points with a coordinate that is no number are left out. The only errors are the writer's.
func Write(w io.Writer, d Document) error {
	e := encoder{w: bufio.NewWriterSize(w, 1<<16)}
	creator := d.Creator
	if creator == "" {
		creator = "Lastroad"
	}
	e.raw(xml.Header)
	e.raw(`<gpx version="1.1" creator="`)
	e.escape(creator)
	e.raw("\" xmlns=\"http://www.topografix.com/GPX/1/1\">\n")
	e.metadata(d)
	for i := range d.Waypoints {
		p := &d.Waypoints[i]
		e.point("wpt", p.At, p.HeightM, time.Time{}, func() {
			e.text("name", p.Name)
			// Devices differ in which of the two they show.
			e.text("cmt", p.Comment)
			e.text("desc", p.Comment)
			e.text("sym", p.Symbol)
		})
	}
	for i := range d.Routes {
		e.raw("<rte>")
		e.names(&d.Routes[i])
		for j := range d.Routes[i].Segments {
			e.points("rtept", &d.Routes[i].Segments[j])
		}
		e.raw("</rte>\n")
	}
	for i := range d.Tracks {
		e.raw("<trk>")
		e.names(&d.Tracks[i])
		for j := range d.Tracks[i].Segments {
			e.raw("<trkseg>\n")
			e.points("trkpt", &d.Tracks[i].Segments[j])
			e.raw("</trkseg>")
		}
		e.raw("</trk>\n")
	}
	e.raw("</gpx>\n")
	if e.err != nil {
		return e.err
	}
	return e.w.Flush()
}

// encoder writes and remembers the first error.
type encoder struct {
	w   *bufio.Writer
	buf []byte
	err error
}

func (e *encoder) raw(s string) {
	if e.err == nil {
		_, e.err = e.w.WriteString(s)
	}
}

func (e *encoder) escape(s string) {
	if e.err == nil {
		e.err = xml.EscapeText(e.w, []byte(strings.ToValidUTF8(s, "\uFFFD")))
	}
}

// text writes an element with text, nothing for empty text.
func (e *encoder) text(name, s string) {
	if s == "" {
		return
	}
	e.raw("<" + name + ">")
	e.escape(s)
	e.raw("</" + name + ">")
}

func (e *encoder) names(t *Track) {
	e.text("name", t.Name)
	e.text("cmt", t.Comment)
	e.text("desc", t.Desc)
	e.raw("\n")
}

func (e *encoder) metadata(d Document) {
	e.raw("<metadata>")
	e.text("name", d.Name)
	e.text("desc", d.Desc)
	if d.Credits != "" {
		e.raw(`<copyright author="`)
		e.escape(d.Credits)
		e.raw(`">`)
		e.text("license", d.License)
		e.raw("</copyright>")
	}
	if !d.Time.IsZero() {
		e.text("time", stamp(d.Time))
	}
	e.raw("</metadata>\n")
}

func stamp(t time.Time) string { return t.UTC().Format("2006-01-02T15:04:05Z") }

func (e *encoder) points(name string, s *Segment) {
	for i, p := range s.Line {
		h, t := math.NaN(), time.Time{}
		if len(s.HeightM) > 0 {
			h = s.HeightM[i]
		}
		if len(s.Time) > 0 {
			t = s.Time[i]
		}
		e.point(name, p, h, t, nil)
	}
}

// point writes one point; more writes its further elements.
func (e *encoder) point(name string, p orb.Point, h float64, t time.Time, more func()) {
	lon := geo.WrapLon(p[0])
	if !(math.Abs(p[1]) <= 90) || math.IsNaN(lon) {
		return
	}
	b := append(e.buf[:0], '<')
	b = append(b, name...)
	b = append(b, ` lat="`...)
	b = decimal(b, p[1], 7)
	b = append(b, `" lon="`...)
	at := len(b)
	if b = decimal(b, lon, 7); string(b[at:]) == "180" { // rounded up to the edge that the schema leaves out
		b = append(b[:at], "-180"...)
	}
	b = append(b, '"', '>')
	if !math.IsNaN(h) && !math.IsInf(h, 0) {
		b = append(b, "<ele>"...)
		b = decimal(b, h, 1)
		b = append(b, "</ele>"...)
	}
	if !t.IsZero() {
		b = append(b, "<time>"...)
		b = append(b, stamp(t)...)
		b = append(b, "</time>"...)
	}
	e.buf = b
	if e.err == nil {
		_, e.err = e.w.Write(b)
	}
	if more != nil {
		more()
	}
	e.raw("</" + name + ">\n")
}

// decimal appends a number with at most the given decimals, trailing zeros cut.
func decimal(b []byte, v float64, places int) []byte {
	at := len(b)
	b = strconv.AppendFloat(b, v, 'f', places, 64)
	for b[len(b)-1] == '0' {
		b = b[:len(b)-1]
	}
	if b[len(b)-1] == '.' {
		b = b[:len(b)-1]
	}
	if string(b[at:]) == "-0" {
		b = append(b[:at], '0')
	}
	return b
}
