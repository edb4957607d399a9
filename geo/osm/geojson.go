package osm

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// GeoJSON (RFC 7946) is an alternative for ground data that do not come from OpenStreetMap, with the same
// names for keys and values in the properties: lines become ways and watercourses, polygons areas, points
// places and fords. Lines meet where they have the same position (to 1e-7 degree); the node ids made for
// that are negative. A line that has a surface, tracktype, smoothness or 4wd_only but says nothing of what
// it is counts as a road of unknown class (highway=road), and a note says how many did.

// geoFeature is one feature as it stands in the file.
type geoFeature struct {
	Type       string                     `json:"type"`
	ID         json.RawMessage            `json:"id"`
	Properties map[string]json.RawMessage `json:"properties"`
	Geometry   *geoGeometry               `json:"geometry"`
}

type geoGeometry struct {
	Type        string          `json:"type"`
	Coordinates json.RawMessage `json:"coordinates"`
	Geometries  []geoGeometry   `json:"geometries"`
}

// maxGeometryDepth bounds collections within collections.
const maxGeometryDepth = 8

// geoReader builds a collection from features.
type geoReader struct {
	src    Source
	kept   *mask
	parts  Parts
	limit  int
	budget *budget
	c      *collection
	out    batch
	points int // positions kept
	areas  []Area
	number int // of the feature, from 1
	broken int // features with a geometry that is none
	taken  int // lines taken as roads
	other  int // features of no use
}

func readGeoJSON(ctx context.Context, src Source, kept *mask, opts Options, p *progress) (*collection, error) {
	s, err := openText(ctx, src, p)
	if err != nil {
		return nil, err
	}
	defer s.close()
	g := &geoReader{src: src, kept: kept, parts: opts.parts(), limit: opts.maxNodes(), budget: budgetOf(src.Size), c: &collection{}}
	if err := g.document(ctx, s); err != nil {
		return nil, err
	}
	g.c.add(&g.out)
	g.c.areas = g.areas
	if g.broken > 0 {
		g.c.notes = append(g.c.notes, fmt.Sprintf("%d features have a geometry that cannot be read and were left out.", g.broken))
	}
	if g.taken > 0 {
		g.c.notes = append(g.c.notes, fmt.Sprintf("%d lines say nothing of their class and were taken as roads of unknown class.", g.taken))
	}
	g.c.foreign = true
	return g.c, nil
}

func (g *geoReader) fault(reason string, err error) error {
	var syntax *json.SyntaxError
	where := fmt.Sprintf("feature %d", g.number)
	if errors.As(err, &syntax) {
		where += fmt.Sprintf(", byte %d", syntax.Offset)
	}
	return &geo.InputError{File: g.src.Name, Where: where, Reason: reason, Err: err}
}

// document reads a FeatureCollection feature by feature, or a single Feature or several on lines of their own.
func (g *geoReader) document(ctx context.Context, r io.Reader) error {
	d := json.NewDecoder(skipBOM(r))
	var kind string
	for {
		t, err := d.Token()
		if err == io.EOF && g.number > 0 {
			return nil
		}
		if err != nil {
			return g.broke(err)
		}
		if t != json.Delim('{') {
			return g.fault("this is not a GeoJSON object", nil)
		}
		// A feature at the top: its members are gathered until the end of the object.
		members := map[string]json.RawMessage{}
		for d.More() {
			t, err := d.Token()
			if err != nil {
				return g.broke(err)
			}
			key, _ := t.(string)
			if key == "features" {
				if err := g.features(ctx, d); err != nil {
					return err
				}
				kind = "FeatureCollection"
				continue
			}
			var v json.RawMessage
			if err := d.Decode(&v); err != nil {
				return g.broke(err)
			}
			switch key {
			case "type", "id", "properties", "geometry", "coordinates", "geometries":
				members[key] = v
			}
		}
		if _, err := d.Token(); err != nil {
			return g.broke(err)
		}
		if kind == "FeatureCollection" {
			return nil
		}
		g.number++
		whole, err := json.Marshal(members)
		if err != nil {
			return g.broke(err)
		}
		var f geoFeature
		if err := json.Unmarshal(whole, &f); err != nil {
			return g.broke(err)
		}
		switch f.Type {
		case "Feature":
			if err := g.feature(&f); err != nil {
				return err
			}
		case "Point", "LineString", "Polygon", "MultiPoint", "MultiLineString", "MultiPolygon", "GeometryCollection":
			g.other++ // a geometry without properties says nothing
		default:
			return g.fault(fmt.Sprintf("an object of type %q, and GeoJSON has Feature or FeatureCollection here", f.Type), nil)
		}
	}
}

// skipBOM takes the byte order mark off.
func skipBOM(r io.Reader) io.Reader {
	b := make([]byte, 3)
	n, _ := io.ReadFull(r, b)
	return io.MultiReader(strings.NewReader(strings.TrimPrefix(string(b[:n]), "\xef\xbb\xbf")), r)
}

func (g *geoReader) broke(err error) error {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax), errors.As(err, &kind):
		return g.fault("the JSON is broken", err)
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return g.fault("the file ends too early; it is cut off", nil)
	}
	return packedError(g.src, err)
}

func (g *geoReader) features(ctx context.Context, d *json.Decoder) error {
	t, err := d.Token()
	if err != nil {
		return g.broke(err)
	}
	if t == nil { // "features": null
		return nil
	}
	if t != json.Delim('[') {
		return g.fault("features is not a list", nil)
	}
	for d.More() {
		if g.number%1024 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		g.number++
		var f geoFeature
		if err := d.Decode(&f); err != nil {
			var kind *json.UnmarshalTypeError
			if errors.As(err, &kind) { // a well-formed value of another shape
				g.broken++
				continue
			}
			return g.broke(err)
		}
		if err := g.feature(&f); err != nil {
			return err
		}
	}
	_, err = d.Token()
	if err != nil {
		return g.broke(err)
	}
	return nil
}

// feature takes one feature in.
func (g *geoReader) feature(f *geoFeature) error {
	if f.Geometry == nil {
		g.other++
		return nil
	}
	tags := g.tags(f)
	id := g.id(f)
	before := g.points
	if !g.geometry(id, tags, f.Geometry, 0) {
		g.broken++
	}
	if !g.budget.spend(g.points - before + len(tags)) {
		return &geo.InputError{File: g.src.Name, Where: fmt.Sprintf("feature %d", g.number),
			Reason: "the file holds far more features and positions than one of its size can", Remedy: "download the file again or take another extract"}
	}
	if g.points > g.limit {
		return tooMuch(g.src.Name, g.limit)
	}
	return nil
}

// tags turns properties, and those in a nested object called tags, into tags in the order of their keys.
func (g *geoReader) tags(f *geoFeature) Tags {
	var t Tags
	add := func(m map[string]json.RawMessage) {
		for k, raw := range m {
			use := keys[k]
			if use == 0 {
				continue
			}
			if v, ok := scalar(raw); ok {
				t = append(t, Tag{k, cleanValue(use, v)})
			}
		}
	}
	if raw, ok := f.Properties["tags"]; ok {
		var m map[string]json.RawMessage
		if json.Unmarshal(raw, &m) == nil {
			add(m)
		}
	}
	if len(t) == 0 {
		add(f.Properties)
	}
	slices.SortFunc(t, func(a, b Tag) int { return strings.Compare(a.Key, b.Key) })
	return t
}

// scalar is a JSON string, number or truth value as a tag value.
func scalar(raw json.RawMessage) (string, bool) {
	var v any
	if json.Unmarshal(raw, &v) != nil {
		return "", false
	}
	switch v := v.(type) {
	case string:
		return v, v != ""
	case float64:
		return strconv.FormatFloat(v, 'f', -1, 64), true
	case bool:
		if v {
			return "yes", true
		}
		return "no", true
	}
	return "", false
}

// id is the feature's own number, from "id", "@id" or "osm_id", also as "way/123"; else the negative
// number of the feature in the file.
func (g *geoReader) id(f *geoFeature) int64 {
	for _, raw := range []json.RawMessage{f.ID, f.Properties["@id"], f.Properties["osm_id"], f.Properties["id"]} {
		if raw == nil {
			continue
		}
		if v, ok := scalar(raw); ok {
			if i := strings.LastIndexByte(v, '/'); i >= 0 {
				v = v[i+1:]
			}
			if n, err := strconv.ParseInt(v, 10, 64); err == nil {
				return n
			}
		}
	}
	return -int64(g.number)
}

// geometry takes a geometry in; false when it cannot be read.
func (g *geoReader) geometry(id int64, tags Tags, m *geoGeometry, depth int) bool {
	switch m.Type {
	case "Point":
		var p []float64
		return json.Unmarshal(m.Coordinates, &p) == nil && g.point(id, tags, p)
	case "MultiPoint":
		var ps [][]float64
		if json.Unmarshal(m.Coordinates, &ps) != nil {
			return false
		}
		for _, p := range ps {
			if !g.point(id, tags, p) {
				return false
			}
		}
		return true
	case "LineString":
		var l [][]float64
		return json.Unmarshal(m.Coordinates, &l) == nil && g.line(id, tags, l)
	case "MultiLineString":
		var ls [][][]float64
		if json.Unmarshal(m.Coordinates, &ls) != nil {
			return false
		}
		for _, l := range ls {
			if !g.line(id, tags, l) {
				return false
			}
		}
		return true
	case "Polygon":
		var p [][][]float64
		return json.Unmarshal(m.Coordinates, &p) == nil && g.polygons(id, tags, [][][][]float64{p})
	case "MultiPolygon":
		var mp [][][][]float64
		return json.Unmarshal(m.Coordinates, &mp) == nil && g.polygons(id, tags, mp)
	case "GeometryCollection":
		if depth >= maxGeometryDepth {
			return false
		}
		for i := range m.Geometries {
			if !g.geometry(id, tags, &m.Geometries[i], depth+1) {
				return false
			}
		}
		return true
	}
	return false
}

// position reads a position; ok is false off the globe.
func position(p []float64) (q e7, ok bool) {
	if len(p) < 2 || !(math.Abs(p[0]) <= 180 && math.Abs(p[1]) <= 90) {
		return nowhere, false
	}
	return e7{int32(math.Round(p[0] * 1e7)), int32(math.Round(p[1] * 1e7))}, true
}

// seen counts a position and reports whether it lies in the corridor.
func (g *geoReader) seen(q e7) bool {
	g.out.counts.Nodes++
	g.c.hull.add(q)
	return g.kept == nil || g.kept.has(float64(q.lon)/1e7, float64(q.lat)/1e7)
}

func (g *geoReader) point(id int64, tags Tags, p []float64) bool {
	q, ok := position(p)
	if !ok {
		return false
	}
	if g.seen(q) && (NodeKindOf(tags) != NodeNone || isPlace(tags)) {
		g.out.points = append(g.out.points, rawNode{id: positionID(q), pos: q, tags: tags})
	}
	return true
}

// positionID is the node id of a position: negative, and the same for the same position in every file.
func positionID(q e7) int64 {
	return -1 - (int64(q.lon)+1_800_000_000)<<31 - (int64(q.lat) + 900_000_000)
}

func (g *geoReader) line(id int64, tags Tags, l [][]float64) bool {
	if len(l) < 2 {
		return false
	}
	pos := make([]e7, len(l))
	touches := false
	for i, p := range l {
		q, ok := position(p)
		if !ok {
			return false
		}
		pos[i] = q
		touches = g.seen(q) || touches
	}
	g.out.counts.Ways++
	use := useOf(tags, g.parts)
	if use == 0 && g.parts&Roads != 0 && isRoadOnly(tags) {
		tags = append(Tags{{"highway", "road"}}, tags...)
		use = useWay
		if touches {
			g.taken++
		}
	}
	if use == 0 || !touches {
		return true
	}
	from := len(g.out.refs)
	g.points += len(pos)
	for _, q := range pos {
		g.out.refs, g.out.pos = append(g.out.refs, positionID(q)), append(g.out.pos, q)
	}
	g.out.ways = append(g.out.ways, rawWay{id: id, use: use, tags: tags, from: int32(from), to: int32(len(g.out.refs))})
	if len(g.out.refs) > 1<<20 {
		g.c.add(&g.out)
		g.out = batch{}
	}
	return true
}

// isRoadOnly reports whether tags tell how a road is, and not that it is one or something else.
func isRoadOnly(t Tags) bool {
	road := false
	for _, tag := range t {
		switch tag.Key {
		case "surface", "tracktype", "smoothness", "4wd_only":
			road = true
		case "highway", "waterway", "natural", "landuse", "barrier", "leisure", "aeroway":
			return false
		}
	}
	return road
}

func (g *geoReader) polygons(id int64, tags Tags, mp [][][][]float64) bool {
	var all []orb.Ring
	var pieces []piece
	touches := false
	for _, p := range mp {
		for _, r := range p {
			var x piece
			for _, c := range r {
				q, ok := position(c)
				if !ok {
					return false
				}
				touches = g.seen(q) || touches
				x.pos = append(x.pos, q)
			}
			ring, _, ok := ringOf(x)
			if !ok {
				return false
			}
			all, pieces = append(all, ring), append(pieces, x)
		}
	}
	g.out.counts.Ways++
	if len(all) == 0 {
		return false
	}
	polygons := nest(all)
	if !touches && g.kept != nil && !around(polygons, g.kept) {
		return true
	}
	if kind := AreaKindOf(tags); kind != AreaNone && g.parts&Areas != 0 {
		for _, r := range all {
			g.points += len(r)
		}
		g.areas = append(g.areas, Area{ID: id, Kind: kind, Tags: tags, Polygons: polygons, Bound: polygons.Bound()})
	}
	if g.parts&Places != 0 && isPlace(tags) {
		if at, ok := middleOfAll(pieces); ok {
			g.out.points = append(g.out.points, rawNode{id: id, pos: e7{int32(math.Round(at[0] * 1e7)), int32(math.Round(at[1] * 1e7))}, tags: tags})
		}
	}
	return true
}
