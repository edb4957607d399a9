package osm

import (
	"bufio"
	"bytes"
	"compress/bzip2"
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/klauspost/compress/gzip"

	"lastroad/geo"
)

// What a packed text may unpack to: XML packs to a tenth or a twentieth by gzip and bzip2. A stream that
// gives more than maxRatio times its size, as a blob may, beyond a first free share, is a bomb. One that gives more
// than maxText could not be read in an hour.
const (
	freeText = 1 << 20
	maxText  = 256 << 30
)

var (
	errBomb    = errors.New("it unpacks to more than any honest file of its size")
	errTooLong = fmt.Errorf("it unpacks to more than %d GiB of text; cut out the region of the route first", maxText>>30)
)

// textLimit is how much text a packed file of the given size may hold, and the error of one that holds more.
func textLimit(size int64) (int64, error) {
	if size < maxText/maxRatio {
		return min(maxText, freeText+maxRatio*size), errBomb
	}
	return maxText, errTooLong
}

// stream is the plain text of a source, unpacked by a goroutine of its own while the reader parses.
type stream struct {
	chunks chan []byte
	free   chan []byte
	stop   chan struct{}
	err    error // of the unpacking; set before chunks is closed
	cur    []byte
	rest   []byte
}

// chunkSize is how much is unpacked ahead at a time, two chunks at most.
const chunkSize = 256 << 10

// openText opens the plain text of a source. close must be called.
func openText(ctx context.Context, src Source, p *progress) (*stream, error) {
	counted := &countedReader{r: io.NewSectionReader(src.R, 0, src.Size), ctx: ctx, p: p}
	var r io.Reader = bufio.NewReaderSize(counted, 64<<10)
	head, _ := r.(*bufio.Reader).Peek(4)
	packed := true
	switch sniff(head) {
	case formatGzip:
		z, err := gzip.NewReader(r)
		if err != nil {
			return nil, packedError(src, err)
		}
		r = z
	case formatBzip2:
		r = bzip2.NewReader(r)
	default:
		packed = false
	}
	s := &stream{chunks: make(chan []byte, 1), free: make(chan []byte, 2), stop: make(chan struct{})}
	s.free <- make([]byte, chunkSize)
	s.free <- make([]byte, chunkSize)
	go s.unpack(r, src.Size, packed)
	return s, nil
}

func (s *stream) unpack(r io.Reader, size int64, packed bool) {
	defer close(s.chunks)
	limit, tooMuch := textLimit(size)
	if !packed {
		limit = size
	}
	total := int64(0)
	for {
		var b []byte
		select {
		case b = <-s.free:
		case <-s.stop:
			return
		}
		// Not io.ReadFull, which gives the same error for a cut-off stream as for its proper end.
		n, err := 0, error(nil)
		for n < chunkSize && err == nil {
			var k int
			k, err = r.Read(b[n:chunkSize])
			n += k
		}
		if total += int64(n); total > limit {
			err = tooMuch
		}
		if err != nil && err != io.EOF {
			s.err = err
			return
		}
		if n > 0 {
			select {
			case s.chunks <- b[:n]:
			case <-s.stop:
				return
			}
		}
		if err != nil {
			return
		}
	}
}

// Read gives the plain text.
func (s *stream) Read(p []byte) (int, error) {
	if len(s.rest) == 0 {
		if s.cur != nil {
			s.free <- s.cur[:chunkSize]
			s.cur = nil
		}
		b, ok := <-s.chunks
		if !ok {
			if s.err != nil {
				return 0, s.err
			}
			return 0, io.EOF
		}
		s.cur, s.rest = b, b
	}
	n := copy(p, s.rest)
	s.rest = s.rest[n:]
	return n, nil
}

// close ends the unpacking and waits for its goroutine, so that no progress is told afterwards.
func (s *stream) close() {
	close(s.stop)
	for range s.chunks {
	}
}

// countedReader tells progress and stops when the context is done.
type countedReader struct {
	r   io.Reader
	ctx context.Context
	p   *progress
}

func (c *countedReader) Read(b []byte) (int, error) {
	if err := c.ctx.Err(); err != nil {
		return 0, err
	}
	n, err := c.r.Read(b)
	c.p.add(int64(n))
	return n, err
}

// packedError is an error of unpacking or reading as the user sees it; a cancelled context stays as it is.
func packedError(src Source, err error) error {
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return &geo.InputError{File: src.Name, Reason: "the file does not unpack", Err: err, Remedy: "download it again"}
}

// readText reads XML or GeoJSON.
func readText(ctx context.Context, src Source, kept *mask, opts Options, p *progress) (*collection, error) {
	first, err := firstByte(ctx, src)
	if err != nil {
		return nil, err
	}
	switch first {
	case '<':
		return readXML(ctx, src, kept, opts, p)
	case '{':
		return readGeoJSON(ctx, src, kept, opts, p)
	case 0:
		return nil, &geo.InputError{File: src.Name, Reason: "the file is empty"}
	}
	return nil, &geo.InputError{File: src.Name, Reason: fmt.Sprintf("the text begins with %q: it is neither OpenStreetMap XML nor GeoJSON", first)}
}

// firstByte is the first byte of the text that is no blank; 0 for a text without one.
func firstByte(ctx context.Context, src Source) (byte, error) {
	s, err := openText(ctx, src, nil)
	if err != nil {
		return 0, err
	}
	defer s.close()
	b := make([]byte, 1024)
	n := 0
	for n < len(b) {
		k, err := s.Read(b[n:])
		n += k
		if err == io.EOF {
			break
		}
		if err != nil && n == 0 { // a fault further on is told when the reading comes there
			return 0, packedError(src, err)
		}
		if err != nil {
			break
		}
	}
	b = bytes.TrimLeft(bytes.TrimPrefix(b[:n], []byte("\xef\xbb\xbf")), " \t\r\n")
	if len(b) == 0 {
		return 0, nil
	}
	return b[0], nil
}
