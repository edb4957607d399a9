package gpx

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/paulmach/orb"
	gpxgo "github.com/tkrajina/gpxgo/gpx"
	"golang.org/x/text/encoding/unicode"

	"lastroad/geo"
)

// readGPX checks a document and has gpxgo read it.
func readGPX(ctx context.Context, data []byte, name string, opts Options) (*file, error) {
	data, err := asciiBased(data, name)
	if err != nil {
		return nil, err
	}
	s := scanner{ctx: ctx, name: name, data: data, opts: opts}
	if err := s.scan(); err != nil {
		return nil, err
	}
	opts.Progress(0.1)
	doc, err := gpxgo.ParseBytes(data)
	if err != nil {
		return nil, &geo.InputError{File: name, Reason: "not well-formed", Remedy: "the file is damaged; export it again", Err: err}
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	f := &file{name: name, title: strings.TrimSpace(doc.Name)}
	for i := range doc.Tracks {
		t := &doc.Tracks[i]
		l := line{kind: "track", name: strings.TrimSpace(t.Name)}
		for j := range t.Segments {
			l.add(t.Segments[j].Points)
			t.Segments[j].Points = nil
		}
		f.lines = append(f.lines, l)
	}
	for i := range doc.Routes {
		l := line{kind: "route", name: strings.TrimSpace(doc.Routes[i].Name)}
		l.add(doc.Routes[i].Points)
		f.lines = append(f.lines, l)
	}
	for i := range doc.Waypoints {
		p := &doc.Waypoints[i]
		w := geo.Waypoint{Name: strings.TrimSpace(p.Name), Symbol: strings.TrimSpace(p.Symbol), Comment: strings.TrimSpace(p.Comment),
			At: orb.Point{geo.WrapLon(p.Longitude), p.Latitude}, HeightM: height(p.Elevation)}
		if w.Comment == "" {
			w.Comment = strings.TrimSpace(p.Description)
		}
		f.waypoints = append(f.waypoints, w)
	}
	opts.Progress(1)
	return f, nil
}

// add appends a segment of points.
func (l *line) add(pts []gpxgo.GPXPoint) {
	if len(pts) == 0 {
		return
	}
	l.starts = append(l.starts, len(l.pts))
	for i := range pts {
		p := &pts[i]
		l.pts = append(l.pts, vertex{orb.Point{geo.WrapLon(p.Longitude), p.Latitude}, height(p.Elevation), p.Timestamp})
	}
}

// Heights outside these bounds are not heights of a road: the Dead Sea shore lies at -430 m, the highest
// passes driven below 6 000 m. Receivers and programs write -32768 or 99999 for "none".
const (
	lowest  = -500
	highest = 9000
)

// height is a height as given, NaN when missing or no height of a place on land.
func height(e gpxgo.NullableFloat64) float64 {
	if e.Null() {
		return math.NaN()
	}
	return sane(e.Value())
}

func sane(h float64) float64 {
	if !(h >= lowest && h <= highest) {
		return math.NaN()
	}
	return h
}

// epoch is the beginning of GPS time; earlier stamps are those of a receiver that did not know the time.
var epoch = time.Date(1980, 1, 6, 0, 0, 0, 0, time.UTC)

// asciiBased turns UTF-16 into UTF-8 and refuses encodings in which the bytes of ASCII may mean
// something else.
func asciiBased(data []byte, name string) ([]byte, error) {
	bad := func(enc string) ([]byte, error) {
		return nil, &geo.InputError{File: name, Where: "line 1", Reason: fmt.Sprintf("encoding %.40q is not read", enc), Remedy: "save the file as UTF-8"}
	}
	if bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff")) {
		out, err := unicode.UTF16(unicode.LittleEndian, unicode.ExpectBOM).NewDecoder().Bytes(data)
		if err != nil {
			return bad("UTF-16")
		}
		// The declaration now lies about the encoding: blank it out, keeping the line count.
		if head := bytes.TrimLeft(out, " \t\r\n"); bytes.HasPrefix(head, []byte("<?xml")) {
			if k := bytes.Index(head, []byte("?>")); k >= 0 {
				for i := range head[:k+2] {
					if head[i] != '\n' {
						head[i] = ' '
					}
				}
			}
		}
		return out, nil
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	if !bytes.HasPrefix(data, []byte("<?xml")) {
		return data, nil
	}
	decl := data[:max(0, bytes.Index(data, []byte("?>")))]
	k := bytes.Index(decl, []byte("encoding"))
	if k < 0 {
		return data, nil
	}
	enc := strings.Trim(string(decl[k+len("encoding"):]), " \t\r\n=\"'")
	if q := strings.IndexAny(enc, "\"' \t\r\n"); q >= 0 {
		enc = enc[:q]
	}
	low := strings.ToLower(enc)
	for _, ok := range []string{"utf-8", "utf8", "us-ascii", "ascii", "iso-8859-", "iso8859", "windows-125", "cp125", "latin1", "latin-1"} {
		if low == ok || strings.HasPrefix(low, ok) && !strings.HasSuffix(ok, "8") {
			return data, nil
		}
	}
	return bad(enc)
}
