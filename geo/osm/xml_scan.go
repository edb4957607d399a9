package osm

import (
	"bytes"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// xmlScanner walks over the tags of an XML document of UTF-8. It knows what OSM files use: elements
// with attributes, comments, CDATA and processing instructions (passed over), the five named entities
// and character numbers. Document types are refused, so that no entity can be defined. It is written by
// hand because encoding/xml takes about ten times as long on files of which there are gigabytes; the
// tests hold the two against one another.
type xmlScanner struct {
	r     io.Reader
	buf   []byte
	pos   int
	end   int
	eof   bool
	err   error
	line  int // of buf[pos], from 1
	attrs []attr

	name  []byte // of the current tag
	open  bool   // a start tag
	empty bool   // a start tag that ends itself
}

// attr is an attribute; its value still has its entities.
type attr struct{ name, value []byte }

// maxTag bounds a single tag; OSM values have at most 255 characters.
const maxTag = 1 << 20

func newXMLScanner(r io.Reader) *xmlScanner {
	return &xmlScanner{r: r, buf: make([]byte, 64<<10), line: 1}
}

// more reads on; what is before keep may be dropped. It gives the number of bytes by which buf moved.
func (s *xmlScanner) more(keep int) (moved int) {
	if keep > 0 {
		copy(s.buf, s.buf[keep:s.end])
		s.end -= keep
		s.pos -= keep
	}
	if s.end == len(s.buf) {
		if len(s.buf) >= maxTag {
			s.fail("a tag of more than %d bytes", maxTag)
			return keep
		}
		s.buf = append(s.buf, make([]byte, len(s.buf))...)
	}
	n, err := s.r.Read(s.buf[s.end:])
	s.end += n
	if err == io.EOF {
		s.eof = true
	} else if err != nil && s.err == nil {
		s.err, s.eof = err, true
	}
	return keep
}

func (s *xmlScanner) fail(format string, args ...any) {
	if s.err == nil {
		s.err = &xmlError{fmt.Sprintf(format, args...)}
	}
	s.eof = true
}

// xmlError is a fault of the text, in contrast to one of reading it.
type xmlError struct{ text string }

func (e *xmlError) Error() string { return e.text }

// next goes to the next start or end tag; false at the end of the text or on an error. name and attrs are
// valid until the next call.
func (s *xmlScanner) next() bool {
	for s.err == nil {
		// To the next '<'.
		i := bytes.IndexByte(s.buf[s.pos:s.end], '<')
		if i < 0 {
			s.line += bytes.Count(s.buf[s.pos:s.end], newline)
			s.pos = s.end
			if s.eof {
				return false
			}
			s.more(s.pos)
			continue
		}
		s.line += bytes.Count(s.buf[s.pos:s.pos+i], newline)
		s.pos += i
		for s.end-s.pos < 9 && !s.eof {
			s.more(s.pos)
		}
		b := s.buf[s.pos:s.end]
		switch {
		case bytes.HasPrefix(b, []byte("<!--")):
			s.skip("-->", "comment")
		case bytes.HasPrefix(b, []byte("<![CDATA[")):
			s.skip("]]>", "CDATA section")
		case bytes.HasPrefix(b, []byte("<!")):
			s.fail("a document type or other declaration, which is not read here")
		case bytes.HasPrefix(b, []byte("<?")):
			if bytes.HasPrefix(b, []byte("<?xml")) {
				s.declaration()
			}
			s.skip("?>", "processing instruction")
		default:
			return s.tag()
		}
	}
	return false
}

var newline = []byte{'\n'}

// skip passes over what ends with the given text.
func (s *xmlScanner) skip(until, what string) {
	from := s.pos
	for s.err == nil {
		if i := bytes.Index(s.buf[from:s.end], []byte(until)); i >= 0 {
			to := from + i + len(until)
			s.line += bytes.Count(s.buf[s.pos:to], newline)
			s.pos = to
			return
		}
		if s.eof {
			s.fail("the text ends inside a %s", what)
			return
		}
		// Keep a few bytes, in which the end may begin.
		to := max(s.pos, s.end-len(until)+1)
		s.line += bytes.Count(s.buf[s.pos:to], newline)
		s.pos = to
		s.more(s.pos)
		from = s.pos
	}
}

// declaration looks at <?xml ...?> for the encoding.
func (s *xmlScanner) declaration() {
	for bytes.Index(s.buf[s.pos:s.end], []byte("?>")) < 0 && !s.eof && s.end-s.pos < 1024 {
		s.more(s.pos)
	}
	b := s.buf[s.pos:s.end]
	if i := bytes.Index(b, []byte("?>")); i >= 0 {
		b = b[:i]
	}
	_, enc, ok := bytes.Cut(b, []byte("encoding"))
	if !ok {
		return
	}
	name := strings.ToLower(strings.Trim(string(enc), " =\t\r\n'\""))
	if name, _, _ = strings.Cut(name, " "); name != "utf-8" && name != "utf8" && name != "us-ascii" && name != "ascii" {
		s.fail("the encoding %s, and only UTF-8 is read", strings.Trim(name, "'\""))
	}
}

// tag takes the tag at pos apart.
func (s *xmlScanner) tag() bool {
	// Its end: the first '>' outside quotes.
	i := s.pos + 1
	quote := byte(0)
scan:
	for {
		for ; i < s.end; i++ {
			switch c := s.buf[i]; {
			case quote != 0:
				if c == quote {
					quote = 0
				} else if j := bytes.IndexByte(s.buf[i:s.end], quote); j > 0 {
					i += j - 1
				} else {
					i = s.end - 1
				}
			case c == '"' || c == '\'':
				quote = c
			case c == '>':
				break scan
			case c == '<':
				s.fail("a tag inside a tag")
				return false
			}
		}
		if s.eof {
			s.fail("the text ends inside a tag; the file is cut off")
			return false
		}
		i -= s.more(s.pos)
		if s.err != nil {
			return false
		}
	}
	b := s.buf[s.pos+1 : i]
	lines := bytes.Count(b, newline)
	s.pos = i + 1
	s.open, s.empty = true, false
	if len(b) > 0 && b[0] == '/' {
		s.open, b = false, b[1:]
	} else if len(b) > 0 && b[len(b)-1] == '/' {
		s.empty, b = true, b[:len(b)-1]
	}
	n := 0
	for n < len(b) && !isBlank(b[n]) {
		n++
	}
	s.name = b[:n]
	if n == 0 {
		s.fail("a tag without a name")
		return false
	}
	s.attrs = s.attrs[:0]
	for b = b[n:]; ; {
		b = trimLeft(b)
		if len(b) == 0 {
			break
		}
		eq := bytes.IndexByte(b, '=')
		if eq <= 0 || !s.open {
			s.fail("a tag %q with something that is no attribute", s.name)
			return false
		}
		name := bytes.TrimRight(b[:eq], " \t\r\n")
		b = trimLeft(b[eq+1:])
		if len(b) < 2 || b[0] != '"' && b[0] != '\'' {
			s.fail("an attribute %q without quotes", name)
			return false
		}
		end := bytes.IndexByte(b[1:], b[0])
		if end < 0 {
			s.fail("an attribute %q without an end", name)
			return false
		}
		s.attrs = append(s.attrs, attr{name, b[1 : 1+end]})
		b = b[end+2:]
	}
	s.line += lines
	return true
}

func isBlank(c byte) bool { return c == ' ' || c == '\n' || c == '\t' || c == '\r' }

func trimLeft(b []byte) []byte {
	for len(b) > 0 && isBlank(b[0]) {
		b = b[1:]
	}
	return b
}

// attr is the value of an attribute as it stands, nil when the tag does not have it.
func (s *xmlScanner) attr(name string) []byte {
	for i := range s.attrs {
		if string(s.attrs[i].name) == name {
			return s.attrs[i].value
		}
	}
	return nil
}

// unescape replaces the entities of a value; those that are not known stay as they are.
func unescape(v []byte) string {
	if bytes.IndexByte(v, '&') < 0 {
		return string(v)
	}
	var out strings.Builder
	for len(v) > 0 {
		i := bytes.IndexByte(v, '&')
		if i < 0 {
			out.Write(v)
			break
		}
		out.Write(v[:i])
		v = v[i:]
		end := bytes.IndexByte(v, ';')
		r, ok := rune(0), false
		if end > 0 && end < 12 {
			r, ok = entity(string(v[1:end]))
		}
		if !ok {
			out.WriteByte('&')
			v = v[1:]
			continue
		}
		out.WriteRune(r)
		v = v[end+1:]
	}
	return out.String()
}

func entity(name string) (rune, bool) {
	switch name {
	case "amp":
		return '&', true
	case "lt":
		return '<', true
	case "gt":
		return '>', true
	case "quot":
		return '"', true
	case "apos":
		return '\'', true
	}
	if digits, ok := strings.CutPrefix(name, "#x"); ok {
		n, err := strconv.ParseUint(digits, 16, 21)
		return rune(n), err == nil && n > 0 && n <= 0x10ffff
	}
	if digits, ok := strings.CutPrefix(name, "#"); ok {
		n, err := strconv.ParseUint(digits, 10, 21)
		return rune(n), err == nil && n > 0 && n <= 0x10ffff
	}
	return 0, false
}

// degrees reads a coordinate into units of 1e-7 degree; digits beyond the seventh are rounded.
func degrees(v []byte) (int64, bool) {
	i, neg := 0, false
	if len(v) > 0 && (v[0] == '-' || v[0] == '+') {
		neg = v[0] == '-'
		i++
	}
	n, digits, places := int64(0), 0, -1
	for ; i < len(v); i++ {
		c := v[i]
		if c == '.' && places < 0 {
			places = 0
			continue
		}
		if c < '0' || c > '9' {
			break
		}
		digits++
		switch {
		case places < 0:
			if n = n*10 + int64(c-'0'); n > 1000 {
				return 0, false
			}
		case places < 7:
			n = n*10 + int64(c-'0')
			places++
		case places == 7:
			if c >= '5' {
				n++
			}
			places++
		}
	}
	if i < len(v) || digits == 0 { // an exponent, or nonsense
		f, err := strconv.ParseFloat(string(v), 64)
		if err != nil || !(f >= -1000 && f <= 1000) {
			return 0, false
		}
		if f < 0 {
			return int64(f*1e7 - 0.5), true
		}
		return int64(f*1e7 + 0.5), true
	}
	for places = max(places, 0); places < 7; places++ {
		n *= 10
	}
	if neg {
		n = -n
	}
	return n, true
}
