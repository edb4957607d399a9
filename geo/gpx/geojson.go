package gpx

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// jsonObject is any GeoJSON object (RFC 7946); members of other objects stay empty.
type jsonObject struct {
	Type        string            `json:"type"`
	Name        json.RawMessage   `json:"name"`
	CRS         json.RawMessage   `json:"crs"`
	Coordinates json.RawMessage   `json:"coordinates"`
	Geometry    json.RawMessage   `json:"geometry"`
	Geometries  []json.RawMessage `json:"geometries"`
	Features    []json.RawMessage `json:"features"`
	Properties  json.RawMessage   `json:"properties"`
}

// jsonReader collects the lines and points of a GeoJSON document.
type jsonReader struct {
	ctx     context.Context
	name    string
	data    []byte
	opts    Options
	f       *file
	points  int
	skipped map[string]int
}

// readJSON reads LineString, MultiLineString, Point and MultiPoint, alone or in features and collections.
// Other geometries are left out and counted in a note.
func readJSON(ctx context.Context, data []byte, name string, opts Options) (*file, error) {
	r := jsonReader{ctx: ctx, name: name, data: bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")), opts: opts, f: &file{name: name}, skipped: map[string]int{}}
	// Each position opens one bracket, so this many lists are too many points, or empty ones; looked at first, since the
	// lists take ten times their text in memory.
	if most := 2*opts.MaxPoints + 1000; bytes.Count(data, []byte("[")) > most {
		return nil, r.bad("", fmt.Sprintf("more than %d points or lists", most), "thin the line out before opening it")
	}
	if err := r.object(r.data, "", "", 0); err != nil {
		return nil, err
	}
	for _, kind := range []string{"Polygon", "MultiPolygon"} {
		if n := r.skipped[kind]; n > 0 {
			r.f.notes = append(r.f.notes, fmt.Sprintf("%d objects of type %s are no lines and were left out.", n, kind))
		}
	}
	opts.Progress(1)
	return r.f, nil
}

func (r *jsonReader) bad(where, reason, remedy string) error {
	return &geo.InputError{File: r.name, Where: where, Reason: reason, Remedy: remedy}
}

// decode reads JSON and turns its errors into ours; line numbers are known for the whole document only.
func (r *jsonReader) decode(data []byte, where string, v any) error {
	err := json.Unmarshal(data, v)
	if err == nil {
		return nil
	}
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) && where == "" {
		where = fmt.Sprintf("line %d", 1+bytes.Count(data[:min(int(syntax.Offset), len(data))], []byte("\n")))
	}
	return &geo.InputError{File: r.name, Where: where, Reason: "not well-formed GeoJSON", Remedy: "the file is damaged or of another kind; export it again", Err: err}
}

func (r *jsonReader) object(data []byte, where, title string, depth int) error {
	if err := r.ctx.Err(); err != nil {
		return err
	}
	if depth > 8 {
		return r.bad(where, "collections nest deeper than 8", "export the route as a single line")
	}
	var o jsonObject
	if err := r.decode(data, where, &o); err != nil {
		return err
	}
	if crs := string(o.CRS); crs != "" && crs != "null" && !strings.Contains(crs, "CRS84") && !strings.Contains(crs, "4326") {
		return r.bad(where, "coordinates are not in WGS84", "export the file in longitude and latitude (WGS84)")
	}
	switch o.Type {
	case "FeatureCollection":
		r.f.title = text(o.Name)
		for i, f := range o.Features {
			if err := r.object(f, fmt.Sprintf("feature %d", i+1), "", depth+1); err != nil {
				return err
			}
		}
	case "Feature":
		var p struct {
			Name json.RawMessage `json:"name"`
		}
		if len(o.Properties) > 0 && o.Properties[0] == '{' {
			if err := r.decode(o.Properties, where, &p); err != nil {
				return err
			}
		}
		if len(o.Geometry) == 0 || string(o.Geometry) == "null" {
			return nil // a feature without a place is allowed
		}
		return r.object(o.Geometry, where, text(p.Name), depth+1)
	case "GeometryCollection":
		for i, g := range o.Geometries {
			if err := r.object(g, join(where, fmt.Sprintf("geometry %d", i+1)), title, depth+1); err != nil {
				return err
			}
		}
	case "LineString":
		var c [][]float64
		if err := r.decode(o.Coordinates, where, &c); err != nil {
			return err
		}
		return r.line([][][]float64{c}, where, title)
	case "MultiLineString":
		var c [][][]float64
		if err := r.decode(o.Coordinates, where, &c); err != nil {
			return err
		}
		return r.line(c, where, title)
	case "Point":
		var c []float64
		if err := r.decode(o.Coordinates, where, &c); err != nil {
			return err
		}
		return r.mark([][]float64{c}, where, title)
	case "MultiPoint":
		var c [][]float64
		if err := r.decode(o.Coordinates, where, &c); err != nil {
			return err
		}
		return r.mark(c, where, title)
	case "Polygon", "MultiPolygon":
		r.skipped[o.Type]++
	default:
		return r.bad(where, fmt.Sprintf("type %.40q is no GeoJSON type", o.Type), "export the route as GPX or GeoJSON")
	}
	return nil
}

// text is a JSON string, "" for anything else.
func text(raw json.RawMessage) string {
	var s string
	if json.Unmarshal(raw, &s) != nil {
		return ""
	}
	return strings.TrimSpace(s)
}

func join(a, b string) string {
	if a == "" {
		return b
	}
	return a + ": " + b
}

func (r *jsonReader) line(parts [][][]float64, where, title string) error {
	l := line{kind: "line", name: title}
	n := 0
	for _, part := range parts {
		if len(part) > 0 {
			l.starts = append(l.starts, len(l.pts))
		}
		for _, c := range part {
			n++
			v, err := r.position(c, join(where, fmt.Sprintf("position %d", n)))
			if err != nil {
				return err
			}
			l.pts = append(l.pts, v)
		}
	}
	r.f.lines = append(r.f.lines, l)
	return nil
}

func (r *jsonReader) mark(c [][]float64, where, title string) error {
	for i := range c {
		v, err := r.position(c[i], join(where, fmt.Sprintf("position %d", i+1)))
		if err != nil {
			return err
		}
		r.f.waypoints = append(r.f.waypoints, geo.Waypoint{Name: title, At: v.at, HeightM: v.h})
	}
	return nil
}

// position checks one position: longitude, latitude and perhaps a height.
func (r *jsonReader) position(c []float64, where string) (vertex, error) {
	if r.points++; r.points > r.opts.MaxPoints {
		return vertex{}, r.bad(where, fmt.Sprintf("more than %d points", r.opts.MaxPoints), "thin the line out before opening it")
	}
	if len(c) < 2 {
		return vertex{}, r.bad(where, "longitude or latitude is missing", "remove the position or complete it")
	}
	switch lon, lat := c[0], c[1]; {
	case math.Abs(lat) > 90:
		return vertex{}, r.bad(where, fmt.Sprintf("latitude %g is outside -90..90", lat), "GeoJSON gives longitude first; they may have been swapped")
	case math.Abs(lon) > 180:
		return vertex{}, r.bad(where, fmt.Sprintf("longitude %g is outside -180..180", lon), "export the file in longitude and latitude (WGS84 degrees)")
	case math.Abs(lat) > geo.MaxLat:
		return vertex{}, r.bad(where, fmt.Sprintf("latitude %g lies nearer to the pole than %g degrees", lat, geo.MaxLat), "such routes cannot be measured")
	}
	v := vertex{at: orb.Point{geo.WrapLon(c[0]), c[1]}, h: math.NaN()}
	if len(c) > 2 {
		v.h = sane(c[2])
	}
	return v, nil
}
