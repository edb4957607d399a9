package gpx

import (
	"bytes"
	"context"
	"fmt"
	"slices"

	"lastroad/geo"
)

// scanner walks once over the bytes of a GPX document and refuses what must not reach gpxgo: a wrong
// root, elements that do not close or nest without end, document types (entity bombs), a cut file, and
// points whose coordinates are missing, no numbers or out of range. It reads any encoding in which the
// bytes of ASCII stand for themselves. Text is not looked at: gpxgo's own reader does that.
type scanner struct {
	ctx  context.Context
	name string
	data []byte
	opts Options

	stack  []span // names of the open elements, prefixes included
	path   []elem // what they are
	count  [numElems]int
	closed bool

	bare int // elements since the last point

	root  span  // the start tag of the gpx element
	cuts  []cut // where the document may be read in parts
	apart int   // least distance of cuts in bytes
}

// cut is a place between two points.
type cut struct {
	at   int
	open []span // names of the elements open there, gpx left out
	in   elem   // the innermost of them: trkseg, rte or gpx
}

// chunkBytes is the size of the parts: large enough that what is parsed anew with each does not count.
const chunkBytes = 1 << 20

type span struct{ from, to int }

// elem is what an element is to us: the place in the document decides, not the name alone.
type elem uint8

const (
	other elem = iota
	gpxRoot
	wpt
	rte
	rtept
	trk
	trkseg
	trkpt
	numElems
)

var elemNames = [numElems]string{"", "gpx", "wpt", "rte", "rtept", "trk", "trkseg", "trkpt"}

// maxDepth is the deepest nesting accepted; GPX itself needs seven levels, extensions a few more.
const maxDepth = 64

// Bounds on what no recorder or planner writes and gpxgo takes up to a kilobyte each for: attributes of one element,
// and elements in a row without a point (extensions of one point, empty segments).
const (
	maxAttributes = 256
	maxBare       = 200_000
)

// scan checks the document; count stays filled.
func (s *scanner) scan() error {
	d := s.data
	for i := 0; i < len(d); {
		j := bytes.IndexByte(d[i:], '<')
		if j < 0 {
			break
		}
		i += j
		next, err := s.markup(i)
		if err != nil {
			return err
		}
		i = next
	}
	if len(s.stack) > 0 {
		return s.cut(len(d))
	}
	if !s.closed {
		return s.bad(0, "no gpx element in the file", "export the route as GPX")
	}
	return nil
}

// markup handles what starts at the '<' at i and returns where to go on.
func (s *scanner) markup(i int) (int, error) {
	d := s.data
	skip := func(open, end, what string) (int, error) {
		k := bytes.Index(d[i+len(open):], []byte(end))
		if k < 0 {
			if len(s.stack) > 0 {
				return 0, s.cut(len(d))
			}
			return 0, s.bad(i, what+" does not end", "the file seems to be cut off; export it again")
		}
		return i + len(open) + k + len(end), nil
	}
	switch rest := d[i+1:]; {
	case len(rest) == 0:
		return 0, s.cut(i)
	case rest[0] == '/':
		return s.end(i)
	case rest[0] == '?':
		return skip("<?", "?>", "an instruction")
	case rest[0] == '!':
		switch {
		case bytes.HasPrefix(rest, []byte("!--")):
			return skip("<!--", "-->", "a comment")
		case bytes.HasPrefix(rest, []byte("![CDATA[")):
			return skip("<![CDATA[", "]]>", "a CDATA section")
		}
		return 0, s.bad(i, "holds a document type, which GPX has no use for", "remove the <!DOCTYPE ...> part or export the file again")
	}
	return s.start(i)
}

func isSpace(c byte) bool { return c == ' ' || c == '\n' || c == '\t' || c == '\r' }

// start handles a start tag.
func (s *scanner) start(i int) (int, error) {
	d := s.data
	k := i + 1
	for k < len(d) && !isSpace(d[k]) && d[k] != '>' && d[k] != '/' && d[k] != '<' {
		k++
	}
	name := span{i + 1, k}
	if name.from == name.to {
		return 0, s.bad(i, "a < that begins no element", "the file is damaged; export it again")
	}
	el := s.classify(d[name.from:name.to])
	if el == gpxRoot && s.closed {
		return 0, s.bad(i, "a second document begins here", "split the file into one file a document")
	}
	if len(s.stack) == 0 && el != gpxRoot {
		return 0, s.bad(i, fmt.Sprintf("the outermost element is %.40q, not gpx", d[name.from:name.to]), "export the route as GPX")
	}
	if s.count[el]++; s.count[el]&1023 == 0 {
		if err := s.ctx.Err(); err != nil {
			return 0, err
		}
	}
	var place [2]span // lat and lon
	point := el == wpt || el == rtept || el == trkpt
	if s.bare++; point {
		s.bare = 0
	}
	if s.bare > maxBare {
		return 0, s.bad(i, fmt.Sprintf("more than %d elements without a point among them", maxBare), "export the file without extensions")
	}
	for n := 0; ; n++ {
		if n > maxAttributes {
			return 0, s.bad(i, fmt.Sprintf("more than %d attributes in one element", maxAttributes), "the file is damaged; export it again")
		}
		for k < len(d) && isSpace(d[k]) {
			k++
		}
		if k >= len(d) {
			return 0, s.cut(i)
		}
		if d[k] == '>' || d[k] == '/' {
			break
		}
		a := k
		for k < len(d) && d[k] != '=' && !isSpace(d[k]) && d[k] != '>' && d[k] != '<' && d[k] != '/' {
			k++
		}
		attr := d[a:k]
		for k < len(d) && isSpace(d[k]) {
			k++
		}
		if k < len(d) && d[k] == '=' {
			k++
		} else if k < len(d) {
			return 0, s.bad(i, fmt.Sprintf("attribute %.40q has no value", attr), "the file is damaged; export it again")
		}
		for k < len(d) && isSpace(d[k]) {
			k++
		}
		if k >= len(d) {
			return 0, s.cut(i)
		}
		quote := d[k]
		if quote != '"' && quote != '\'' {
			return 0, s.bad(i, fmt.Sprintf("attribute %.40q is not quoted", attr), "the file is damaged; export it again")
		}
		q := bytes.IndexByte(d[k+1:], quote)
		if q < 0 {
			return 0, s.cut(i)
		}
		if point && len(attr) == 3 && attr[0] == 'l' {
			var at *span
			if attr[1] == 'a' && attr[2] == 't' {
				at = &place[0]
			} else if attr[1] == 'o' && attr[2] == 'n' {
				at = &place[1]
			}
			if at != nil {
				if at.to != 0 {
					return 0, s.badPoint(i, el, fmt.Sprintf("%s given twice", attr), "keep one of them")
				}
				*at = span{k + 1, k + 1 + q}
			}
		}
		k += q + 2
	}
	closed := false
	if d[k] == '/' {
		if k+1 >= len(d) {
			return 0, s.cut(i)
		}
		if d[k+1] != '>' {
			return 0, s.bad(i, "a / inside a tag", "the file is damaged; export it again")
		}
		k, closed = k+1, true
	}
	if point {
		if err := s.point(i, el, place); err != nil {
			return 0, err
		}
	}
	if el == gpxRoot {
		s.root = span{i, k + 1}
	}
	switch {
	case !closed && len(s.stack) >= maxDepth:
		return 0, s.bad(i, fmt.Sprintf("elements nest deeper than %d", maxDepth), "export the file without extensions")
	case !closed:
		s.stack, s.path = append(s.stack, name), append(s.path, el)
	case el == gpxRoot:
		s.closed = true
	case point:
		s.mayCut(k + 1)
	}
	return k + 1, nil
}

// mayCut notes a cut after a point when the last one lies far enough back.
func (s *scanner) mayCut(at int) {
	last := 0
	if len(s.cuts) > 0 {
		last = s.cuts[len(s.cuts)-1].at
	}
	if at-last >= s.apart {
		s.cuts = append(s.cuts, cut{at, slices.Clone(s.stack[1:]), s.path[len(s.path)-1]})
	}
}

// classify tells what an element is by its name, less its prefix, and the element around it.
func (s *scanner) classify(name []byte) elem {
	if p := bytes.IndexByte(name, ':'); p >= 0 {
		name = name[p+1:]
	}
	if len(s.path) == 0 {
		if string(name) == "gpx" {
			return gpxRoot
		}
		return other
	}
	switch s.path[len(s.path)-1] {
	case gpxRoot:
		switch string(name) {
		case "wpt":
			return wpt
		case "rte":
			return rte
		case "trk":
			return trk
		}
	case rte:
		if string(name) == "rtept" {
			return rtept
		}
	case trk:
		if string(name) == "trkseg" {
			return trkseg
		}
	case trkseg:
		if string(name) == "trkpt" {
			return trkpt
		}
	}
	return other
}

// end handles an end tag.
func (s *scanner) end(i int) (int, error) {
	d := s.data
	q := bytes.IndexByte(d[i:], '>')
	if q < 0 {
		return 0, s.cut(i)
	}
	name := bytes.TrimRight(d[i+2:i+q], " \t\r\n")
	if len(s.stack) == 0 {
		return 0, s.bad(i, fmt.Sprintf("</%.40s> closes nothing", name), "the file is damaged; export it again")
	}
	top := len(s.stack) - 1
	if open := d[s.stack[top].from:s.stack[top].to]; !bytes.Equal(open, name) {
		return 0, s.bad(i, fmt.Sprintf("</%.40s> closes <%.40s>", name, open), "the file is damaged; export it again")
	}
	el := s.path[top]
	s.stack, s.path = s.stack[:top], s.path[:top]
	switch el {
	case gpxRoot:
		s.closed = true
	case wpt, rtept, trkpt:
		s.mayCut(i + q + 1)
	}
	return i + q + 1, nil
}

// line number of a place, from 1.
func (s *scanner) lineOf(i int) int {
	return 1 + bytes.Count(s.data[:min(i, len(s.data))], []byte("\n"))
}

func (s *scanner) bad(i int, reason, remedy string) error {
	return &geo.InputError{File: s.name, Where: fmt.Sprintf("line %d", s.lineOf(i)), Reason: reason, Remedy: remedy}
}

func (s *scanner) badPoint(i int, el elem, reason, remedy string) error {
	return &geo.InputError{File: s.name, Where: fmt.Sprintf("line %d: %s %d", s.lineOf(i), elemNames[el], s.count[el]), Reason: reason, Remedy: remedy}
}

// cut is the error for a document that ends too early.
func (s *scanner) cut(i int) error {
	where := fmt.Sprintf("line %d", s.lineOf(i))
	for k := len(s.path) - 1; k > 0; k-- {
		if el := s.path[k]; el != other {
			where += fmt.Sprintf(": %s %d", elemNames[el], s.count[el])
			break
		}
	}
	return &geo.InputError{File: s.name, Where: where, Reason: "the file ends in the middle", Remedy: "it seems to be cut off; copy or export it again"}
}
