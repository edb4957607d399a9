package gpx

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"fmt"
	"math"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/paulmach/orb"
	gpxgo "github.com/tkrajina/gpxgo/gpx"
	"golang.org/x/text/encoding/unicode"

	"lastroad/geo"
)

// readGPX checks a document and has gpxgo read it.
func readGPX(ctx context.Context, data []byte, name string, opts Options) (*file, error) {
	return readParts(ctx, data, name, opts, chunkBytes)
}

// readParts is readGPX with parts of the given size.
func readParts(ctx context.Context, data []byte, name string, opts Options, apart int) (*file, error) {
	data, err := asciiBased(data, name)
	if err != nil {
		return nil, err
	}
	s := scanner{ctx: ctx, name: name, data: data, opts: opts, apart: apart}
	if err := s.scan(); err != nil {
		return nil, err
	}
	parts, err := parse(&s)
	if err != nil {
		return nil, err
	}
	f := &file{name: name}
	var tracks, routes []line
	for i := range parts {
		p := &parts[i]
		if f.title == "" {
			f.title = p.title
		}
		f.waypoints = append(f.waypoints, p.waypoints...)
		tracks, routes = splice(tracks, p.tracks, p.in == trkseg, p.between), splice(routes, p.routes, p.in == rte, false)
		*p = part{}
	}
	f.lines = append(tracks, routes...)
	return f, nil
}

// splice appends lines; with goesOn the first of them continues the last, with between in a new segment.
func splice(lines, more []line, goesOn, between bool) []line {
	if goesOn && len(lines) > 0 && len(more) > 0 {
		last, first := &lines[len(lines)-1], &more[0]
		if last.name == "" {
			last.name = first.name
		}
		for i, s := range first.starts {
			// The first piece goes on with the last one, if there is a last one.
			if i > 0 || between || len(last.starts) == 0 {
				last.starts = append(last.starts, len(last.pts)+s)
			}
		}
		last.pts = append(last.pts, first.pts...)
		more = more[1:]
	}
	return append(lines, more...)
}

// part is what one part of a document holds.
type part struct {
	in             elem // what the part begins inside of
	between        bool // it begins inside a segment of which no more points follow
	title          string
	waypoints      []geo.Waypoint
	tracks, routes []line
}

// parse has gpxgo read a scanned document part by part, several at once, so that what gpxgo takes to read
// (a kilobyte and more for a point) is bounded by the parts and not by the file.
func parse(s *scanner) ([]part, error) {
	bounds := append([]cut{{}}, s.cuts...)
	parts, errs := make([]part, len(bounds)), make([]error, len(bounds))
	var next, done atomic.Int32
	var report sync.Mutex
	var wg sync.WaitGroup
	for range min(len(bounds), runtime.GOMAXPROCS(0), 8) {
		wg.Go(func() {
			for {
				i := int(next.Add(1)) - 1
				if i >= len(bounds) || s.ctx.Err() != nil {
					return
				}
				if errs[i] = s.parsePart(bounds, i, &parts[i]); errs[i] != nil {
					return
				}
				n := done.Add(1)
				report.Lock()
				s.opts.Progress(float64(n) / float64(len(bounds)))
				report.Unlock()
			}
		})
	}
	wg.Wait()
	if err := s.ctx.Err(); err != nil {
		return nil, err
	}
	for _, err := range errs { // the first in the order of the file, whoever met it first
		if err != nil {
			return nil, err
		}
	}
	return parts, nil
}

// parsePart reads the part of the document after cut i. It is made a document of its own by repeating the
// start of the file up to the gpx tag, opening what is open at its beginning and closing what is at its end.
func (s *scanner) parsePart(bounds []cut, i int, p *part) error {
	from, d := bounds[i], s.data
	doc := d
	prefix := 0
	if len(bounds) > 1 {
		var b bytes.Buffer
		to := cut{at: len(d)}
		if i > 0 {
			b.Write(d[:s.root.to])
			for _, n := range from.open {
				fmt.Fprintf(&b, "<%s>", d[n.from:n.to])
			}
			prefix = b.Len()
		}
		if i+1 < len(bounds) {
			to = bounds[i+1]
		}
		b.Write(d[from.at:to.at])
		if i+1 < len(bounds) {
			for k := len(to.open) - 1; k >= 0; k-- {
				fmt.Fprintf(&b, "</%s>", d[to.open[k].from:to.open[k].to])
			}
			fmt.Fprintf(&b, "</%s>", d[s.rootName().from:s.rootName().to])
		}
		doc = b.Bytes()
	}
	g, err := gpxgo.ParseBytes(doc)
	if err != nil {
		bad := &geo.InputError{File: s.name, Reason: "not well-formed", Remedy: "the file is damaged; export it again", Err: err}
		var syntax *xml.SyntaxError
		if errors.As(err, &syntax) {
			line := syntax.Line - bytes.Count(doc[:prefix], []byte("\n")) + s.lineOf(from.at) - 1
			bad.Where, bad.Err = fmt.Sprintf("line %d", line), errors.New(syntax.Msg)
		}
		return bad
	}
	p.in, p.title = from.in, strings.TrimSpace(g.Name)
	p.between = from.in == trkseg && len(g.Tracks[0].Segments[0].Points) == 0
	for i := range g.Tracks {
		t := &g.Tracks[i]
		l := line{kind: "track", name: strings.TrimSpace(t.Name)}
		for j := range t.Segments {
			l.add(t.Segments[j].Points)
		}
		p.tracks = append(p.tracks, l)
	}
	for i := range g.Routes {
		l := line{kind: "route", name: strings.TrimSpace(g.Routes[i].Name)}
		l.add(g.Routes[i].Points)
		p.routes = append(p.routes, l)
	}
	for i := range g.Waypoints {
		q := &g.Waypoints[i]
		w := geo.Waypoint{Name: strings.TrimSpace(q.Name), Symbol: strings.TrimSpace(q.Symbol), Comment: strings.TrimSpace(q.Comment),
			At: orb.Point{geo.WrapLon(q.Longitude), q.Latitude}, HeightM: height(q.Elevation)}
		if w.Comment == "" {
			w.Comment = strings.TrimSpace(q.Description)
		}
		p.waypoints = append(p.waypoints, w)
	}
	return nil
}

// rootName is the name of the gpx element, prefix included.
func (s *scanner) rootName() span {
	to := s.root.from + 1
	for !isSpace(s.data[to]) && s.data[to] != '>' && s.data[to] != '/' {
		to++
	}
	return span{s.root.from + 1, to}
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
