package gpx

import (
	"bytes"
	"context"
	"fmt"
	"io"

	"lastroad/geo"
)

// Options are the limits and choices of reading. The zero value is the usual reading.
type Options struct {
	// Choose says which line of a file with several becomes the route: 1, 2, ... the line with that number
	// in the order of [List]; All every track joined in that order, or every route where there is no track;
	// 0 the same if each begins within 1 km of where the one before ends, else the first with two points.
	Choose int
	// MaxBytes is the largest file that is read; 0 = 64 MiB.
	MaxBytes int64
	// MaxPoints is the largest number of points (waypoints included) of a file; 0 = 2 000 000.
	MaxPoints int
	// Progress, when set, is called now and then with the share done, 0..1.
	Progress func(done float64)
}

// All as Options.Choose joins every line of the file.
const All = -1

const (
	maxBytes  = 64 << 20
	maxPoints = 2_000_000
)

// Line is one line of a file.
type Line struct {
	Kind     string // "track", "route" or "line"
	Name     string
	Points   int
	Segments int
	LengthM  float64 // on the ellipsoid, joins of segments included
}

// Read reads a route. name is the file's name for error texts. Errors are of type [*geo.InputError],
// or the context's.
func Read(ctx context.Context, r io.Reader, name string, opts Options) (geo.Route, error) {
	f, err := read(ctx, r, name, opts)
	if err != nil {
		return geo.Route{}, err
	}
	return f.route(opts.Choose)
}

// List tells which lines a file holds, numbered from 1 in the order given: tracks, then routes.
// A file that holds no line gives an empty list and no error.
func List(ctx context.Context, r io.Reader, name string, opts Options) ([]Line, error) {
	f, err := read(ctx, r, name, opts)
	if err != nil {
		return nil, err
	}
	out := make([]Line, len(f.lines))
	for i := range f.lines {
		out[i] = f.lines[i].summary()
	}
	return out, nil
}

// file is a file as read, before a route is made of it.
type file struct {
	name      string // for errors
	title     string
	lines     []line
	waypoints []geo.Waypoint
	notes     []string
}

func read(ctx context.Context, r io.Reader, name string, opts Options) (*file, error) {
	if opts.MaxBytes <= 0 {
		opts.MaxBytes = maxBytes
	}
	if opts.MaxPoints <= 0 {
		opts.MaxPoints = maxPoints
	}
	if opts.Progress == nil {
		opts.Progress = func(float64) {}
	}
	data, err := slurp(ctx, r, name, opts.MaxBytes)
	if err != nil {
		return nil, err
	}
	bad := func(reason, remedy string) (*file, error) {
		return nil, &geo.InputError{File: name, Reason: reason, Remedy: remedy}
	}
	switch head := bytes.TrimLeft(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")), " \t\r\n"); {
	case len(head) == 0:
		return bad("the file is empty", "export the route again")
	case head[0] == '{':
		return readJSON(ctx, data, name, opts)
	case head[0] == '<', bytes.HasPrefix(data, []byte("\xff\xfe")), bytes.HasPrefix(data, []byte("\xfe\xff")):
		return readGPX(ctx, data, name, opts)
	case bytes.HasPrefix(data, []byte("\x1f\x8b")), bytes.HasPrefix(data, []byte("PK\x03\x04")):
		return bad("the file is packed", "unpack it and open the .gpx file inside")
	default:
		return bad("neither GPX nor GeoJSON", "export the route as GPX")
	}
}

// slurp reads at most limit bytes.
func slurp(ctx context.Context, r io.Reader, name string, limit int64) ([]byte, error) {
	var buf bytes.Buffer
	for {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		n, err := io.CopyN(&buf, r, min(4<<20, limit+1-int64(buf.Len())))
		if int64(buf.Len()) > limit {
			return nil, &geo.InputError{File: name, Reason: fmt.Sprintf("larger than %d MiB", limit>>20),
				Remedy: "export only the line that you mean to drive, without recorded sensor values"}
		}
		if err == io.EOF {
			return buf.Bytes(), nil
		}
		if err != nil {
			return nil, &geo.InputError{File: name, Reason: "cannot be read", Err: err}
		}
		_ = n
	}
}
