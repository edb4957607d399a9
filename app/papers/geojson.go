package papers

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"sort"
	"strconv"

	"github.com/paulmach/orb"

	"lastroad/app/report"
	"lastroad/app/trip"
	"lastroad/geo"
	"lastroad/geo/facts"
	"lastroad/risk"
)

// legLine is the part of the route's own line that leg i covers, ends included.
func legLine(s *geo.Survey, i int) orb.LineString {
	l := s.Legs[i]
	a, b := s.Samples[l.From], s.Samples[l.To]
	line := orb.LineString{{a.Lon, a.Lat}}
	along := geo.Cumulative(nil, s.Route.Line)
	first := sort.SearchFloat64s(along, a.DistanceM+1e-3)
	for k := first; k < len(along) && along[k] < b.DistanceM-1e-3; k++ {
		line = append(line, s.Route.Line[k])
	}
	return append(line, orb.Point{b.Lon, b.Lat})
}

// coord is a position with seven decimals (about a centimetre).
type coord [2]float64

func (c coord) MarshalJSON() ([]byte, error) {
	b := append([]byte{'['}, strconv.FormatFloat(c[0], 'f', 7, 64)...)
	b = append(b, ',')
	b = append(b, strconv.FormatFloat(c[1], 'f', 7, 64)...)
	return append(b, ']'), nil
}

type geometry struct {
	Type        string `json:"type"`
	Coordinates any    `json:"coordinates"`
}

type feature struct {
	Type       string         `json:"type"`
	ID         string         `json:"id"`
	Geometry   geometry       `json:"geometry"`
	Properties map[string]any `json:"properties"`
}

// GeoJSON writes legs as lines and marked places as points (RFC 7946: WGS84, longitude first). A leg that
// crosses the 180th meridian is cut there into a MultiLineString, as section 3.1.9 of the RFC asks.
func GeoJSON(w io.Writer, d *trip.Document) error {
	out := struct {
		Type     string    `json:"type"`
		Caution  string    `json:"caution"`
		Features []feature `json:"features"`
	}{Type: "FeatureCollection", Caution: report.Caution}
	cols := legColumns()
	for i, r := range rows(d) {
		props := map[string]any{"kind": "leg"}
		for k, c := range cols {
			if unknown(r[k]) {
				props[c.header] = nil
			} else if f, ok := r[k].(float64); ok {
				props[c.header] = round(f, 4)
			} else {
				props[c.header] = r[k]
			}
		}
		pieces := cutAtDateLine(legLine(d.Survey, d.Judgement.Legs[i].Leg))
		g := geometry{Type: "LineString", Coordinates: coords(pieces[0])}
		if len(pieces) > 1 {
			var all [][]coord
			for _, p := range pieces {
				all = append(all, coords(p))
			}
			g = geometry{Type: "MultiLineString", Coordinates: all}
		}
		out.Features = append(out.Features, feature{"Feature", fmt.Sprintf("leg-%d", i+1), g, props})
	}
	for i, p := range Points(d) {
		out.Features = append(out.Features, feature{"Feature", fmt.Sprintf("point-%d", i+1), geometry{"Point", coord(p.At)},
			map[string]any{"kind": p.Kind, "name": p.Name, "note": p.Note, "route (km)": round(p.RouteM/1000, 3)}})
	}
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ")
	return e.Encode(out)
}

func coords(line orb.LineString) []coord {
	out := make([]coord, len(line))
	for i, p := range line {
		out[i] = coord(p)
	}
	return out
}

// cutAtDateLine splits a line where it jumps between +180 and -180 degrees.
func cutAtDateLine(line orb.LineString) []orb.LineString {
	var out []orb.LineString
	start := 0
	for i := 1; i < len(line); i++ {
		if math.Abs(line[i][0]-line[i-1][0]) <= 180 {
			continue
		}
		a, b := line[i-1], line[i]
		side := math.Copysign(180, a[0])
		span := 360 - math.Abs(b[0]-a[0])
		t := 0.0
		if span > 0 {
			t = math.Abs(side-a[0]) / span
		}
		lat := a[1] + t*(b[1]-a[1])
		out = append(out, append(append(orb.LineString{}, line[start:i]...), orb.Point{side, lat}))
		rest := append(orb.LineString{{-side, lat}}, line[i:]...)
		line, i, start = rest, 0, 0
	}
	return append(out, line[start:])
}

// Point is a place worth having on a navigation device. Kind is a plain word.
type Point struct {
	Kind, Name, Note string
	At               orb.Point
	RouteM           float64
}

// Points lists, in route order within each kind: where legs begin, fords and gates, the user's stops,
// points of no easy return, places to bail out to (the nearest maintained road from each leg's most remote
// point), fuel, water and medical help near the line.
func Points(d *trip.Document) []Point {
	s := d.Survey
	var out []Point
	for i, l := range s.Legs {
		p := s.Samples[l.From]
		out = append(out, Point{"leg", fmt.Sprintf("Leg %d", i+1), l.Name, orb.Point{p.Lon, p.Lat}, p.DistanceM})
	}
	kinds := map[geo.MarkKind]string{geo.MarkFord: "ford", geo.MarkGate: "gate", geo.MarkPass: "pass", geo.MarkStop: "stop", geo.MarkWater: "possible ford"}
	for _, m := range s.Marks {
		if k := kinds[m.Kind]; k != "" {
			if m.Kind == geo.MarkStop && m.Detail == "night" {
				k = "camp"
			}
			name := m.Name
			if name == "" {
				name = k
			}
			note := m.Detail
			if m.Kind == geo.MarkWater {
				note += "; perhaps a ford, depth unknown"
			}
			out = append(out, Point{k, name, note, m.At, m.DistanceM})
		}
	}
	for _, t := range trip.TurnBacks(s) {
		p := s.Samples[sampleAt(s, t.AtM)]
		out = append(out, Point{"no return", "Point of no easy return", fmt.Sprintf("from here on driving ahead to a maintained road (km %.1f) is shorter than back to the last one (km %.1f)", t.ToM/1000, t.FromM/1000),
			orb.Point{p.Lon, p.Lat}, t.AtM})
	}
	for _, r := range trip.NoReturns(d.Judgement) {
		p := s.Samples[sampleAt(s, r.AtM)]
		name := map[string]string{risk.ReturnBoth: "Point of no return (fuel and water)", risk.ReturnFuel: "Fuel: going on is nearer from here", risk.ReturnWater: "Water: going on is nearer from here"}[r.Kind]
		out = append(out, Point{"no return " + r.Kind, name, report.NoReturn(r), orb.Point{p.Lon, p.Lat}, r.AtM})
	}
	for i := range s.Legs {
		f := facts.Of(s, i)
		if f.WorstRoadIndex < 0 || f.RoadM < 100 {
			continue
		}
		p := s.Samples[f.WorstRoadIndex]
		out = append(out, Point{"bail-out", fmt.Sprintf("Road nearest to leg %d", i+1), fmt.Sprintf("%.1f km straight from km %.1f", p.RoadM/1000, p.DistanceM/1000), p.RoadAt, p.DistanceM})
	}
	for _, h := range s.Help {
		switch h.Kind {
		case geo.HelpFuel, geo.HelpWater, geo.HelpSpring, geo.HelpMedical:
			name := h.Name
			if name == "" {
				name = h.Kind.Key()
			}
			out = append(out, Point{h.Kind.Key(), name, fmt.Sprintf("%s, %.1f km off the line at km %.1f; check that it is open or flowing", h.Tag, h.OffM/1000, h.RouteM/1000), h.At, h.RouteM})
		}
	}
	return out
}

// sampleAt is the sample at or before a distance along the route.
func sampleAt(s *geo.Survey, m float64) int {
	i := sort.Search(len(s.Samples), func(i int) bool { return s.Samples[i].DistanceM > m })
	return max(0, i-1)
}

// KML writes the same as GeoJSON in the Open Geospatial Consortium's KML 2.2.
func KML(w io.Writer, d *trip.Document) error {
	esc := func(s string) string {
		var b bytes.Buffer
		xml.EscapeText(&b, []byte(s))
		return b.String()
	}
	p := &printer{w: w}
	p.f("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<kml xmlns=\"http://www.opengis.net/kml/2.2\">\n<Document>\n <name>%s</name>\n <description>%s</description>\n", esc(d.Name()), esc(report.Caution))
	p.f(" <Folder>\n  <name>Legs</name>\n")
	for i, l := range d.Judgement.Legs {
		f := facts.Of(d.Survey, l.Leg)
		p.f("  <Placemark>\n   <name>%s</name>\n   <description>%s</description>\n", esc(fmt.Sprintf("Leg %d %s", i+1, f.Name)),
			esc(fmt.Sprintf("km %.1f to %.1f; %s; readiness %s of 100, %s", f.FromM/1000, f.ToM/1000, groundWords(f), dec(l.Score.Readiness, 0), l.Score.Word)))
		pieces := cutAtDateLine(legLine(d.Survey, l.Leg))
		if len(pieces) > 1 {
			p.f("   <MultiGeometry>\n")
		}
		for _, piece := range pieces {
			p.f("   <LineString><tessellate>1</tessellate><coordinates>")
			for k, c := range piece {
				if k > 0 {
					p.f(" ")
				}
				p.f("%.7f,%.7f", c[0], c[1])
			}
			p.f("</coordinates></LineString>\n")
		}
		if len(pieces) > 1 {
			p.f("   </MultiGeometry>\n")
		}
		p.f("  </Placemark>\n")
	}
	p.f(" </Folder>\n <Folder>\n  <name>Places</name>\n")
	for _, q := range Points(d) {
		p.f("  <Placemark>\n   <name>%s</name>\n   <description>%s</description>\n   <Point><coordinates>%.7f,%.7f</coordinates></Point>\n  </Placemark>\n", esc(q.Name), esc(q.Kind+"; "+q.Note), q.At[0], q.At[1])
	}
	p.f(" </Folder>\n</Document>\n</kml>\n")
	return p.err
}
