package trip

import (
	"bytes"
	"context"
	"strings"
	"sync"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/gpx"
	"lastroad/geo/network"
	"lastroad/geo/osm"
	"lastroad/geo/survey"
)

// Trace is a line drawn through places.
type Trace struct {
	Line    orb.LineString
	LengthM float64
	Seconds float64 // of driving on the parts that follow ways
	// StraightM is the length of the parts that follow no way, BarredM of those on ways that are private or
	// forbidden.
	StraightM, BarredM float64
}

// LeastSnapM is how near to a way a place means it at any zoom, in metres: farther off than that, and than
// what is near on the screen, the line goes straight. Judgement: a map's error and a hand's.
const LeastSnapM = 250

// graphs keeps the network of the region last drawn on.
type graphs struct {
	mu     sync.Mutex
	region *osm.Region
	graph  *network.Graph
}

func (g *graphs) of(region *osm.Region, t survey.Tables) *network.Graph {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.region != region {
		g.region, g.graph = region, survey.Network(region, t)
	}
	return g.graph
}

// Trace lays a line through places: along the quickest ways of the region where follow is true and ways lie
// within nearM metres (LeastSnapM at least), else straight. Ways that are private or forbidden are driven only where nothing else leads on, and
// counted. Fewer than two places give an empty line.
func (d *Desk) Trace(base *Document, places []orb.Point, follow bool, nearM float64) Trace {
	var out Trace
	if len(places) < 2 {
		return out
	}
	add := func(p orb.Point) {
		if n := len(out.Line); n == 0 || out.Line[n-1] != p {
			out.Line = append(out.Line, p)
		}
	}
	nearM = max(nearM, LeastSnapM)
	var g *network.Graph
	if follow && base != nil && base.Region != nil {
		g = d.graphs.of(base.Region, d.t.Survey)
	}
	for i := 1; i < len(places); i++ {
		if g != nil {
			a, _, okA := g.Snap(places[i-1], nearM)
			b, _, okB := g.Snap(places[i], nearM)
			if okA && okB {
				p, ok := g.Path(a, b, false)
				if !ok {
					p, ok = g.Path(a, b, true)
				}
				if ok && len(p.Line) > 0 {
					for _, q := range p.Line {
						add(q)
					}
					out.Seconds += p.Seconds
					out.BarredM += p.BarredM
					continue
				}
			}
		}
		out.StraightM += geo.Distance(places[i-1], places[i])
		add(places[i-1])
		add(places[i])
	}
	out.LengthM = geo.Length(out.Line)
	return out
}

// Drawn opens a drawn line as the route of base's party on base's region and heights. Between fromM and toM
// the line replaces that part of base's route (a detour), with stops and grounds outside it kept; with
// fromM >= toM it is a route of its own.
func (d *Desk) Drawn(ctx context.Context, base *Document, line orb.LineString, fromM, toM float64, name string, report Progress) (*Document, error) {
	if len(line) < 2 {
		return nil, &geo.InputError{Reason: "a route needs two places", Remedy: "click where it begins and where it ends"}
	}
	n := *base
	n.Plan = base.Plan.Clone()
	n.Path, n.Demo, n.Survey, n.Judgement = "", false, nil, nil
	r := geo.Route{Name: name, Line: line}
	if fromM < toM {
		r.Line = splice(base.Route.Line, line, fromM, toM)
		r.Waypoints = base.Route.Waypoints
		n.Plan.shift(fromM, toM, geo.Length(r.Line)-geo.Length(base.Route.Line))
	} else {
		n.Plan.Stops, n.Plan.Grounds, n.Plan.Legs = nil, nil, nil
		n.Plan.Trip.Name = ""
	}
	n.Plan.Reversed = false
	n.Plan.RouteName = strings.NewReplacer("/", "-", "\\", "-").Replace(name) + ".gpx"
	doc := gpx.FromRoute(r)
	if base.Region != nil {
		doc.Credits = strings.Join(base.Region.Credit, "; ")
	}
	var b bytes.Buffer
	if err := gpx.Write(&b, doc); err != nil {
		return nil, err
	}
	n.RouteBytes = b.Bytes()
	if err := n.readRoute(ctx, 0); err != nil {
		return nil, err
	}
	if err := n.reach(ctx, report); err != nil {
		return nil, err
	}
	if err := n.measure(ctx, report); err != nil {
		return nil, err
	}
	return &n, n.judge(ctx, true, report)
}

// reach reads the region again when the route leaves what was kept of it and the file is at hand.
func (d *Document) reach(ctx context.Context, report Progress) error {
	if d.Region == nil || len(d.Plan.Region) == 0 {
		return nil
	}
	for _, p := range d.Route.Line {
		if !d.Region.Covers(p) {
			var region, heights []string
			d.missing(&region, &heights)
			return d.load(ctx, region, heights, report)
		}
	}
	return nil
}

// splice puts detour in the place of line between two distances along it.
func splice(line, detour orb.LineString, fromM, toM float64) orb.LineString {
	cum := geo.Cumulative(nil, line)
	var out orb.LineString
	for i, p := range line {
		if cum[i] < fromM {
			out = append(out, p)
		}
	}
	for _, p := range detour {
		if n := len(out); n == 0 || out[n-1] != p {
			out = append(out, p)
		}
	}
	for i, p := range line {
		if cum[i] > toM && out[len(out)-1] != p {
			out = append(out, p)
		}
	}
	return out
}

// shift moves what lies behind toM by d metres and takes away what lies between fromM and toM.
func (p *Plan) shift(fromM, toM, d float64) {
	move := func(at *float64) bool {
		switch {
		case *at <= fromM:
		case *at >= toM:
			*at += d
		default:
			return false
		}
		return true
	}
	var stops []Stop
	for _, s := range p.Stops {
		if move(&s.AtM) {
			stops = append(stops, s)
		}
	}
	var grounds []GroundChoice
	for _, g := range p.Grounds {
		// What is said of ground that is no longer driven goes; what reaches beyond stays.
		if before := (GroundChoice{g.FromM, min(g.ToM, fromM), g.Ground}); before.FromM < before.ToM {
			grounds = append(grounds, before)
		}
		if behind := (GroundChoice{max(g.FromM, toM) + d, g.ToM + d, g.Ground}); behind.FromM < behind.ToM {
			grounds = append(grounds, behind)
		}
	}
	var legs []LegEdit
	for _, l := range p.Legs {
		ok := move(&l.FromM)
		if l.ToM != 0 {
			ok = move(&l.ToM) && ok
		}
		if ok {
			legs = append(legs, l)
		}
	}
	p.Stops, p.Grounds, p.Legs = stops, grounds, legs
}
