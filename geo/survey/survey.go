// Package survey measures a route from end to end: it runs, in order, the packages that know one thing
// each, and puts what they find on samples 25 m apart and on the legs cut from them.
//
//	s, err := survey.Survey(ctx, route, region, heights, tables, survey.Options{}, nil)
//
// Region and heights may be nil; what they would have told is then unknown in the result (NaN, Unknown,
// -1) and said in its notes, never guessed. Whatever the number of processors, the same input gives the
// same survey, byte for byte when written by [Encode].
//
// A survey can be kept: Encode and [Decode] write and read it as JSON, [WriteCSV] its samples as a table.
// The package draws no conclusion: what a stretch may do to a vehicle is package risk's business.
package survey

import (
	"context"
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/ground"
	"lastroad/geo/height"
	"lastroad/geo/index"
	"lastroad/geo/match"
	"lastroad/geo/network"
	"lastroad/geo/osm"
	"lastroad/geo/split"
)

// DefaultStepM is the spacing of samples in metres: about the scatter of map against ground and a quarter
// of the posts of a 3 arc-second height grid, so that nothing the data can tell is lost.
const DefaultStepM = 25.0

// Tables are the editable tables that a survey rests on; all must be given.
type Tables struct {
	Ground *ground.Rules
	Ways   *ground.Ways
	Pace   *PaceTable
}

// ParseTables reads ground.toml, ways.toml and pace.toml, given by a function such as assets.Table that
// returns a table's bytes and file name. Errors are of type geo.InputError.
func ParseTables(table func(name string) (data []byte, file string)) (Tables, error) {
	var t Tables
	var err error
	data, file := table("ground")
	if t.Ground, err = ground.ParseRules(data, file); err != nil {
		return t, err
	}
	data, file = table("ways")
	if t.Ways, err = ground.ParseWays(data, file); err != nil {
		return t, err
	}
	data, file = table("pace")
	t.Pace, err = ParsePace(data, file)
	return t, err
}

// Options are what the user decides about the measuring; the zero value decides nothing.
type Options struct {
	StepM   float64 // spacing of samples in metres; 0 = DefaultStepM, at least 1
	Stops   []Stop
	Grounds []GroundChoice // later ones win
	Legs    []split.Edit   // changes to the legs, in the order in which they were made
	Cut     split.Settings
	Pace    float64 // the user's pace against the tables', 0 = 1; 0.1 to 3
}

// Stop is a place on the route where the user stops; a leg begins there.
type Stop struct {
	Name  string
	AtM   float64    // along the route in metres
	Place *orb.Point // when given, the route's nearest place to it instead of AtM
	Night bool
	// WaterL and Fuel are what the user says is taken on here, see geo.Mark.
	WaterL float64
	Fuel   bool
}

// GroundChoice is a stretch whose ground the user knows.
type GroundChoice struct {
	FromM, ToM float64 // along the route in metres
	Ground     geo.Ground
}

// work is a survey being made.
type work struct {
	region  *osm.Region
	heights *height.Model
	tables  Tables
	opts    Options
	step    func(done float64) // within the stage

	s        *geo.Survey
	stations []geo.Station
	chunks   []chunk
	reachM   float64
	edge     []float64
	lines    []*index.Tree
	found    []match.Found   // way is an index into region.Ways
	kept     []bool          // of each of region.Ways
	off      []network.Reach // of each sample: the quickest way to a maintained road by the network
	lengthOf func(r *osm.Way) float64
	bed      []bed                    // of each sample
	same     map[geo.GroundMix]uint16 // s.Grounds by what they are
	stops    []placedStop
	places   []geo.Place // of the region, with OffM and RouteM; nil when it has none
	used     []bool      // of places: nearest to some sample, or behind an exit
}

type placedStop struct {
	Stop
	sample int
	m      float64
}

// Stages are the names that progress is told, in order.
var Stages = []string{"lay samples", "match ways", "name the ground", "read heights", "find roads", "find help", "drive out", "walk out", "cut legs"}

// Survey measures a route. region and heights may be nil. progress, which may be nil, is told the stage
// (one of Stages) and the share of it done. It returns the error of ctx when cancelled, and a
// geo.InputError for a route that cannot be measured (fewer than two points, too near a pole).
func Survey(ctx context.Context, route geo.Route, region *osm.Region, heights *height.Model, tables Tables, opts Options, progress func(stage string, done float64)) (*geo.Survey, error) {
	w, err := begin(route, region, heights, tables, opts)
	if err != nil {
		return nil, err
	}
	if err := w.run(ctx, 0, len(Stages), progress); err != nil {
		return nil, err
	}
	return w.s, nil
}

// begin checks what a survey is made of.
func begin(route geo.Route, region *osm.Region, heights *height.Model, tables Tables, opts Options) (*work, error) {
	if tables.Ground == nil || tables.Ways == nil || tables.Pace == nil {
		panic("survey: tables are missing")
	}
	if err := checkRoute(route); err != nil {
		return nil, err
	}
	if !(opts.StepM >= 1) {
		opts.StepM = DefaultStepM
	}
	if !(opts.Pace > 0) {
		opts.Pace = 1
	}
	opts.Pace = math.Min(3, math.Max(0.1, opts.Pace))
	w := &work{region: region, heights: heights, tables: tables, opts: opts, s: &geo.Survey{Route: route, StepM: opts.StepM}}
	w.lengthOf = func(r *osm.Way) float64 { return geo.Length(r.Line) }
	return w, nil
}

// run goes through the stages from..to-1.
func (w *work) run(ctx context.Context, from, to int, progress func(stage string, done float64)) error {
	stages := []func(context.Context) error{w.lay, w.match, w.ground, w.height, w.roads, w.help, w.drive, w.walk, w.cut}
	for i := from; i < to; i++ {
		if err := ctx.Err(); err != nil {
			return err
		}
		w.step = func(done float64) {
			if progress != nil {
				progress(Stages[i], done)
			}
		}
		w.step(0)
		if err := stages[i](ctx); err != nil {
			return err
		}
		w.step(1)
	}
	return nil
}

func checkRoute(r geo.Route) error {
	if len(r.Line) < 2 {
		return &geo.InputError{Reason: "the route has fewer than two points", Remedy: "choose a file with a track or route"}
	}
	for i, p := range r.Line {
		if !(math.Abs(p[1]) <= geo.MaxLat) || !(math.Abs(p[0]) <= 180) {
			return &geo.InputError{Where: fmt.Sprintf("point %d", i+1), Reason: fmt.Sprintf("latitude %g, longitude %g cannot be measured", p[1], p[0]),
				Remedy: fmt.Sprintf("routes must stay within %g degrees of the equator", geo.MaxLat)}
		}
	}
	return nil
}

func (w *work) note(format string, args ...any) {
	w.s.Notes = append(w.s.Notes, fmt.Sprintf(format, args...))
}

// leastM is the shortest route, and the least distance between the last two samples: a centimetre, ten times the
// millimetre to which samples are kept.
const leastM = 0.01

// mostM is the longest route that is surveyed in one piece. Judgement: more than anybody plans in one file (Cairo to
// Cape Town is some 11 000 km by road, from memory), and 600 000 samples of 25 m, which take about half a gigabyte. One
// wrong digit in a small file makes longer ones.
const mostM = 15_000e3

// lay puts samples on the route and finds out where the region covers it.
func (w *work) lay(context.Context) error {
	if m := geo.Length(w.s.Route.Line); m > mostM {
		return &geo.InputError{Reason: fmt.Sprintf("the route is %.0f km long, and at most %.0f km are surveyed in one piece", m/1000, mostM/1000),
			Remedy: "look whether a point lies far off, or cut it in parts"}
	}
	w.stations = geo.Stations(nil, w.s.Route.Line, w.opts.StepM)
	// Samples are kept to the millimetre, so the last two must not lie nearer together than that.
	if n := len(w.stations); n > 2 && w.stations[n-1].DistanceM-w.stations[n-2].DistanceM < leastM {
		w.stations = append(w.stations[:n-2], w.stations[n-1])
	}
	if n := len(w.stations); n < 2 || w.stations[n-1].DistanceM < leastM {
		return &geo.InputError{Reason: "the route has no length", Remedy: "choose a file with a track or route"}
	}
	w.s.Samples = geo.BlankSamples(w.stations)
	w.reachM = freeReachM
	if w.region != nil && len(w.region.Corridor.Line) > 0 {
		w.reachM = w.region.Corridor.Radius()
	}
	w.chunks = chunksOf(w.s.Samples, w.reachM)
	w.s.Notes = append(w.s.Notes, w.s.Route.Notes...)
	if w.region == nil {
		w.note("No region file is at hand: ways, ground, roads and places of help are unknown along the whole route.")
		return nil
	}
	for i := range w.s.Samples {
		s := &w.s.Samples[i]
		s.InRegion = w.region.Covers(orb.Point{s.Lon, s.Lat})
	}
	w.edge = edges(w.region, w.s.Samples)
	for i, m := range w.edge {
		w.s.Samples[i].EdgeM = m
	}
	w.s.Sources = append(w.s.Sources, fmt.Sprintf("ground: %s", join(w.region.Sources)))
	w.s.Sources = append(w.s.Sources, w.region.Credit...)
	w.s.Notes = append(w.s.Notes, w.region.Notes...)
	return nil
}

// gapNoteM: stretches closer together than this are told as one, metres.
const gapNoteM = 1000.0

// noteStretches notes the stretches for which is holds, up to five by kilometre and then by sum.
func (w *work) noteStretches(is func(s *geo.Sample) bool, what string) {
	type run struct{ from, to float64 }
	var runs []run
	for i := 0; i < len(w.s.Samples); {
		if !is(&w.s.Samples[i]) {
			i++
			continue
		}
		j := i
		for j+1 < len(w.s.Samples) && is(&w.s.Samples[j+1]) {
			j++
		}
		from, to := w.s.Samples[i].DistanceM, w.s.Samples[min(j+1, len(w.s.Samples)-1)].DistanceM
		if k := len(runs) - 1; k >= 0 && from-runs[k].to < gapNoteM {
			runs[k].to = to
		} else {
			runs = append(runs, run{from, to})
		}
		i = j + 1
	}
	sum := 0.0
	for k, r := range runs {
		sum += r.to - r.from
		if k < 5 {
			w.note("Km %.1f to %.1f lie %s.", r.from/1000, r.to/1000, what)
		}
	}
	if len(runs) > 5 {
		w.note("In all %d stretches of %.1f km lie %s.", len(runs), sum/1000, what)
	}
}

func join(s []string) string {
	out := ""
	for i, v := range s {
		if i > 0 {
			out += ", "
		}
		out += v
	}
	return out
}
