package trip

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"github.com/paulmach/orb"

	"lastroad/assets"
	"lastroad/geo"
	"lastroad/geo/gpx"
	"lastroad/geo/height"
	"lastroad/geo/osm"
	"lastroad/geo/split"
	"lastroad/geo/survey"
	"lastroad/risk"
	"lastroad/risk/catalogue"
)

// Tables are the program's built-in tables, parsed once.
type Tables struct {
	Catalogue *catalogue.Catalogue
	Survey    survey.Tables
}

// Builtin parses the built-in tables on first use. They are part of the program and tested, so an
// error here is a broken build.
var Builtin = sync.OnceValues(func() (*Tables, error) {
	t := &Tables{}
	var err error
	if t.Catalogue, err = catalogue.Load(assets.Table); err != nil {
		return nil, fmt.Errorf("built-in tables: %w", err)
	}
	if t.Survey, err = survey.ParseTables(assets.Table); err != nil {
		return nil, fmt.Errorf("built-in tables: %w", err)
	}
	return t, nil
})

// Progress is told what is being done and how much of it, 0 to 1; it may be called from any goroutine.
type Progress func(stage string, done float64)

func (p Progress) say(stage string, done float64) {
	if p != nil {
		p(stage, done)
	}
}

// Request names the files to open. Their kinds are found out by looking at them (see [KindOf]).
type Request struct {
	// Files are routes, saved trips, regions and heights in any order, or the word "demo".
	Files []string
	// Region and Heights are files whose kind the user has said.
	Region, Heights []string
	// Base, when not nil, is the document that the files are added to: a region or height file joins
	// its route, a new route keeps its party.
	Base *Document
	// CorridorM, when above 0, is the half-width of the region that is kept.
	CorridorM float64
	// Track chooses a line of a file with several, see gpx.Options.Choose.
	Track int
	// Samples asks for uncertainty bands from so many samples; 0 = none.
	Samples int
	// Quick leaves out bands and cures: a first answer, to be followed by [Document.With].
	Quick bool
	// Edit, when set, changes the plan that was read before the trip is judged; its error ends the opening.
	Edit func(*Plan) error
}

// edit changes a plan as the request asks for.
func (r *Request) edit(p *Plan) error {
	if r.Samples > 0 {
		p.Trip.Policy.Samples = r.Samples
	}
	if r.Edit != nil {
		return r.Edit(p)
	}
	return nil
}

// Open reads the files, measures the route and judges the trip.
func Open(ctx context.Context, req Request, progress Progress) (*Document, error) {
	d := &Document{}
	var trips, routes []string
	region, heights := append([]string(nil), req.Region...), append([]string(nil), req.Heights...)
	for _, f := range req.Files {
		if f == "demo" {
			if len(req.Files) > 1 && req.Base == nil {
				return nil, &geo.InputError{File: "demo", Reason: "the demo stands alone", Remedy: "open it without other files"}
			}
			return Demo(ctx, req, progress)
		}
		kind, err := KindOf(f)
		if err != nil {
			return nil, err
		}
		switch kind {
		case KindTrip:
			trips = append(trips, f)
		case KindRoute:
			routes = append(routes, f)
		case KindRegion:
			region = append(region, f)
		case KindHeights:
			heights = append(heights, f)
		default:
			return nil, &geo.InputError{File: filepath.Base(f), Reason: "is neither a route, a saved trip, a region nor a height tile",
				Remedy: "routes are .gpx or GeoJSON lines, regions .osm.pbf or .osm (also .gz, .bz2), heights .hgt (also .zip) or GeoTIFF"}
		}
	}
	if len(trips)+len(routes) > 1 {
		return nil, &geo.InputError{File: filepath.Base(append(trips, routes...)[1]), Reason: "is a second route or trip", Remedy: "open one at a time"}
	}
	switch {
	case len(trips) == 1:
		progress.say("read the trip", 0)
		s, err := ReadSaved(trips[0])
		if err != nil {
			return nil, err
		}
		d.Path, d.Plan, d.RouteBytes = trips[0], s.Plan, s.Route
		if len(s.Survey) > 0 {
			if d.Survey, err = survey.Decode(s.Survey); err != nil {
				d.Notes = append(d.Notes, fmt.Sprintf("The measurements kept in the trip were not usable (%v); the route is measured again.", err))
				d.Survey = nil
			}
		}
		d.disk = fileSum(trips[0])
		d.missing(&region, &heights)
		d.newTables()
	case len(routes) == 1:
		data, err := readAll(routes[0], 64<<20)
		if err != nil {
			return nil, err
		}
		d.RouteBytes = data
		d.Plan = newPlan(req.Base)
		if req.Base == nil || req.Base.Demo {
			d.Notes = append(d.Notes, "People, vehicle and load are invented ones to begin with: put in your own before anything here is relied on.")
		}
		d.Plan.RouteName = filepath.Base(routes[0])
	case req.Base != nil:
		*d = *req.Base
		d.Plan = req.Base.Plan.Clone()
		d.Judgement = nil
	case len(req.Files) > 0:
		return nil, &geo.InputError{File: filepath.Base(req.Files[0]), Reason: "is no route and no saved trip", Remedy: "name a .gpx file, a saved .trip, or the word demo, and regions and heights beside it"}
	default:
		return nil, &geo.InputError{Reason: "no route was given", Remedy: "name a .gpx file, a saved .trip, or the word demo"}
	}
	if req.CorridorM > 0 {
		d.Plan.CorridorM = req.CorridorM
	}
	if err := req.edit(&d.Plan); err != nil {
		return nil, err
	}
	if err := d.readRoute(ctx, req.Track); err != nil {
		return nil, err
	}
	if len(trips) == 1 && d.ofDemo() {
		if err := d.demoGround(ctx, assets.Demo, progress); err != nil {
			return nil, err
		}
	}
	if c := &d.Plan.Trip.Conditions; len(routes) == 1 && c.Start.IsZero() && c.Utcoffset == 0 && len(d.Route.Line) > 0 {
		c.Utcoffset = math.Round(d.Route.Line[0][0] / 15) // the sun's hours; the clocks there may differ by one or two
	}
	if len(routes) == 1 && req.Base != nil && !req.Base.Demo {
		// A new route in the same country keeps the files that are open.
		for _, f := range req.Base.Plan.Region {
			region = appendNew(region, f.Path)
		}
		for _, f := range req.Base.Plan.Heights {
			heights = appendNew(heights, f.Path)
		}
	}
	if err := d.load(ctx, region, heights, progress); err != nil {
		return nil, err
	}
	if err := d.measure(ctx, progress); err != nil {
		return nil, err
	}
	return d, d.judge(ctx, req.Quick, progress)
}

func appendNew(list []string, s string) []string {
	for _, l := range list {
		if l == s {
			return list
		}
	}
	return append(list, s)
}

// newPlan is the plan for a new route: that of base, without what belongs to its route, or a plan with
// the demo's party as a starting point that says so.
func newPlan(base *Document) Plan {
	if base != nil && !base.Demo {
		p := base.Plan.Clone()
		return Plan{Schema: Schema, Trip: p.Trip, CorridorM: p.CorridorM, Pace: p.Pace, Own: p.Own, Figures: p.Figures, Log: p.Log, Compare: p.Compare, Home: p.Home, Papers: p.Papers}
	}
	p, err := DecodePlan(assets.Demo("trip.toml"), "demo")
	if err != nil {
		panic("trip: the demo's plan does not read: " + err.Error())
	}
	p.Trip.Name = ""
	for _, party := range []*risk.Party{&p.Trip.Party, p.Trip.Partner} {
		if party == nil {
			continue
		}
		for i := range party.People {
			party.People[i].Name = "" // nobody invented is to stand in a note for home
		}
	}
	p.Stops, p.Grounds, p.Legs, p.Home = nil, nil, nil, Home{}
	// The demo's day, weather and zone mean nothing elsewhere: temperatures come from the climate of the place.
	c := &p.Trip.Conditions
	c.Start, c.Utcoffset = time.Time{}, 0
	c.DayMeanC, c.DayMaxC, c.NightMinC, c.AdverseC = 0, 0, 0, 0
	return p
}

// missing moves the files that a saved trip names into the lists of files to read, and notes what is
// not there any more or has changed.
func (d *Document) missing(region, heights *[]string) {
	look := func(refs []FileRef, list *[]string, what string) {
		for _, r := range refs {
			st, err := os.Stat(r.Path)
			switch {
			case err != nil:
				d.Notes = append(d.Notes, fmt.Sprintf("The %s file %s is not at hand; what it told when the trip was saved still stands.", what, r.Path))
				continue
			case r.Sum != "": // whether it has changed is told when it is read
			case r.Size != 0 && (st.Size() != r.Size || st.ModTime().Unix() != r.ModUnix):
				d.changed(what, r.Path)
			}
			*list = appendNew(*list, r.Path)
		}
	}
	look(d.Plan.Region, region, "region")
	look(d.Plan.Heights, heights, "height")
}

// changed notes that a file is not what it was when the trip was saved.
func (d *Document) changed(what, path string) {
	d.Notes = append(d.Notes, fmt.Sprintf("The %s file %s has changed since the trip was saved; the route is measured again.", what, filepath.Base(path)))
}

func (d *Document) readRoute(ctx context.Context, track int) error {
	r, err := gpx.Read(ctx, bytes.NewReader(d.RouteBytes), d.Plan.RouteName, gpx.Options{Choose: track})
	if e, ok := err.(*geo.InputError); ok && d.Path != "" {
		c := *e // the route stands in the saved trip, not in the file that it came from
		c.File = filepath.Base(d.Path) + ": " + c.File
		return &c
	}
	if err != nil {
		return err
	}
	if d.Plan.Reversed {
		r = Reverse(r)
	}
	d.Route = r
	return nil
}

// Reverse is the route driven the other way.
func Reverse(r geo.Route) geo.Route {
	n := len(r.Line)
	out := r
	out.Line = append(r.Line[:0:0], r.Line...)
	out.HeightM = append(r.HeightM[:0:0], r.HeightM...)
	out.Time = nil // the times belong to the other direction
	for i := range n / 2 {
		out.Line[i], out.Line[n-1-i] = out.Line[n-1-i], out.Line[i]
		if len(out.HeightM) == n {
			out.HeightM[i], out.HeightM[n-1-i] = out.HeightM[n-1-i], out.HeightM[i]
		}
	}
	return out
}

// load reads region and height files that are not read yet.
func (d *Document) load(ctx context.Context, region, heights []string, progress Progress) error {
	for _, path := range region {
		r, ref, err := readRegion(ctx, path, osm.Corridor{Line: d.Route.Line, RadiusM: d.Plan.CorridorM}, progress)
		if err != nil {
			return err
		}
		if !covers(d.Route.Line, func(p orb.Point) bool { return r.Covers(p) }) {
			return &geo.InputError{File: filepath.Base(path), Reason: fmt.Sprintf("does not cover the route: its data lie in %s, the route in %s", boxText(r.Box), boxText(d.Route.Line.Bound())),
				Remedy: "fetch the region of the route"}
		}
		for _, old := range d.Plan.Region {
			if old.Path == ref.Path && old.Sum != "" && old.Sum != ref.Sum {
				d.changed("region", path)
			}
		}
		if d.Region == nil {
			d.Region = r
		} else {
			d.Region = osm.Merge(d.Region, r)
		}
		d.Plan.Region = addRef(d.Plan.Region, ref)
		d.Survey = nil
	}
	var tiles []*height.Tile
	if d.Heights != nil {
		tiles = append(tiles, d.Heights.Tiles()...)
	}
	for _, path := range heights {
		progress.say("read heights: "+filepath.Base(path), 0)
		t, ref, err := readHeights(path, d.heightBound())
		if err != nil {
			return err
		}
		m := height.NewModel(t...)
		if !covers(d.Route.Line, func(p orb.Point) bool { h := m.Height(p[0], p[1]); return h == h }) {
			return &geo.InputError{File: filepath.Base(path), Reason: fmt.Sprintf("has no height anywhere along the route, which lies in %s", boxText(d.Route.Line.Bound())),
				Remedy: "fetch the tiles of the route"}
		}
		tiles = append(tiles, t...)
		d.Plan.Heights = addRef(d.Plan.Heights, ref)
		d.Survey = nil
	}
	if len(heights) > 0 {
		d.Heights = height.NewModel(tiles...)
	}
	return ctx.Err()
}

// covers reports whether some point of the line fulfils is.
func covers(line orb.LineString, is func(p orb.Point) bool) bool {
	for _, p := range line {
		if is(p) {
			return true
		}
	}
	return false
}

func boxText(b orb.Bound) string {
	if b.IsEmpty() {
		return "nowhere"
	}
	return fmt.Sprintf("%.2f to %.2f north, %.2f to %.2f east", b.Min[1], b.Max[1], b.Min[0], b.Max[0])
}

func addRef(refs []FileRef, r FileRef) []FileRef {
	out := append([]FileRef(nil), refs...)
	for i := range out {
		if out[i].Path == r.Path {
			out[i] = r
			return out
		}
	}
	return append(out, r)
}

// heightBound is the land round the route whose heights are wanted: as far as one may walk out.
func (d *Document) heightBound() orb.Bound {
	r := osm.Corridor{RadiusM: d.Plan.CorridorM}.Radius()
	b := d.Route.Line.Bound()
	dLat := r / 110e3
	dLon := r / (111e3 * math.Max(0.05, math.Cos(b.Center()[1]*math.Pi/180)))
	return orb.Bound{Min: orb.Point{b.Min[0] - dLon, b.Min[1] - dLat}, Max: orb.Point{b.Max[0] + dLon, b.Max[1] + dLat}}
}

func readHeights(path string, within orb.Bound) ([]*height.Tile, FileRef, error) {
	f, st, err := openFile(path)
	if err != nil {
		return nil, FileRef{}, err
	}
	defer f.Close()
	t, err := height.Read(f, st.Size(), filepath.Base(path), within)
	return t, refOf(path, st), err
}

func refOf(path string, st os.FileInfo) FileRef {
	if full, err := filepath.Abs(path); err == nil {
		path = full
	}
	return FileRef{Path: path, Size: st.Size(), ModUnix: st.ModTime().Unix()}
}

func readAll(path string, limit int64) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fileError(path, err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, limit+1))
	if err != nil {
		return nil, fileError(path, err)
	}
	if int64(len(data)) > limit {
		return nil, &geo.InputError{File: filepath.Base(path), Reason: fmt.Sprintf("is larger than %d MiB", limit>>20), Remedy: "export only the line you mean to drive"}
	}
	return data, nil
}

// options translates the plan's choices for the survey.
func (p Plan) options() survey.Options {
	o := survey.Options{Pace: p.Pace}
	for _, s := range p.Stops {
		o.Stops = append(o.Stops, survey.Stop{Name: s.Name, AtM: s.AtM, Night: s.Night, WaterL: s.Water, Fuel: s.Fuel})
	}
	for _, g := range p.Grounds {
		o.Grounds = append(o.Grounds, survey.GroundChoice(g))
	}
	for _, l := range p.Legs {
		o.Legs = append(o.Legs, split.Edit(l))
	}
	return o
}

// measure surveys the route unless a survey is there.
func (d *Document) measure(ctx context.Context, progress Progress) error {
	if d.Survey != nil {
		return nil
	}
	t, err := Builtin()
	if err != nil {
		return err
	}
	d.Survey, err = survey.Survey(ctx, d.Route, d.Region, d.Heights, t.Survey, d.Plan.options(), progress)
	if err != nil {
		return named(err, d.Plan.RouteName)
	}
	return nil
}

// named puts the file's name into an input error that has none.
func named(err error, file string) error {
	if e, ok := err.(*geo.InputError); ok && e.File == "" {
		c := *e
		c.File = file
		return &c
	}
	return err
}

func (d *Document) judge(ctx context.Context, quick bool, progress Progress) error {
	cat, err := d.Catalogue()
	if err != nil {
		return err
	}
	if d.memo == nil {
		d.memo = &risk.Memo{}
	}
	progress.say("judge", 0)
	d.Judgement, err = risk.Judge(ctx, d.Survey, d.Plan.Judged(d.Plan.Trip), cat, risk.Options{Quick: quick, Samples: d.Plan.Trip.Policy.Samples, Memo: d.memo})
	if d.Path != "" {
		err = named(err, filepath.Base(d.Path))
	}
	return err
}

// With returns a document for an edited plan. It measures again only when the edit touches the
// measuring, and cuts legs again only when it touches stops or legs.
func (d *Document) With(ctx context.Context, p Plan, progress Progress) (*Document, error) {
	n := *d
	n.Plan = p.Clone()
	n.Demo = d.Demo
	t, err := Builtin()
	if err != nil {
		return nil, err
	}
	if p.Reversed != d.Plan.Reversed {
		if err := n.readRoute(ctx, 0); err != nil {
			return nil, err
		}
	}
	again := p.Reversed != d.Plan.Reversed || p.CorridorM != d.Plan.CorridorM || p.Pace != d.Plan.Pace ||
		!same(p.Grounds, d.Plan.Grounds) || !same(p.Stops, d.Plan.Stops) || !same(p.Legs, d.Plan.Legs)
	if again && n.Region == nil && len(n.Plan.Region) > 0 {
		return nil, &geo.InputError{File: n.Plan.Region[0].Path, Reason: "this change needs the region file, and it is not at hand", Remedy: "open the region file again first"}
	}
	if again {
		n.Survey, err = survey.Survey(ctx, n.Route, n.Region, n.Heights, t.Survey, n.Plan.options(), progress)
		if err != nil {
			return nil, named(err, n.Plan.RouteName)
		}
	}
	return &n, n.judge(ctx, false, progress)
}

// Remeasured returns the document measured and judged anew from its route, region and heights, as when a
// region file has come back.
func (d *Document) Remeasured(ctx context.Context) (*Document, error) {
	n := *d
	n.Survey = nil
	if err := n.measure(ctx, nil); err != nil {
		return nil, err
	}
	return &n, n.judge(ctx, false, nil)
}

func same[T comparable](a, b []T) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// Saved is the document as it goes into a file.
func (d *Document) Saved() (Saved, error) {
	s := Saved{Plan: d.Plan, Route: d.RouteBytes}
	s.Plan.Schema, s.Plan.Tables = Schema, TablesSum()
	if d.Survey != nil {
		var err error
		if s.Survey, err = survey.Encode(d.Survey); err != nil {
			return Saved{}, err
		}
	}
	return s, nil
}

// InFileOf is d as it is, in the file in which o stands: for an answer to a document that was saved while the answer was
// being worked out.
func (d *Document) InFileOf(o *Document) *Document {
	n := *d
	n.Path, n.Demo, n.disk = o.Path, o.Demo, o.disk
	return &n
}

// SameRoute reports whether both come from one opened route that has not been changed in either.
func (d *Document) SameRoute(o *Document) bool { return bytes.Equal(d.RouteBytes, o.RouteBytes) }

// Save writes the document to path and returns it under that path. It refuses when another window has
// the file open, and when the file is not the one any more that was opened, so that nobody's work is lost.
func (d *Document) Save(path string) (*Document, error) {
	if !strings.HasSuffix(strings.ToLower(path), ".trip") {
		path += ".trip"
	}
	release, err := guard(path)
	if err != nil {
		return nil, err
	}
	defer release()
	if now := fileSum(path); samePath(path, d.Path) && d.disk != nil && now != nil && !bytes.Equal(now, d.disk) {
		return nil, &geo.InputError{File: filepath.Base(path), Reason: "was changed by another window or program since it was opened here", Remedy: "save under another name, then compare the two"}
	}
	s, err := d.Saved()
	if err != nil {
		return nil, err
	}
	if err := s.WriteFile(path); err != nil {
		return nil, err
	}
	n := *d
	n.Path, n.Demo, n.Plan, n.disk = path, false, s.Plan, fileSum(path)
	return &n, nil
}

// fileSum is the SHA-256 of a file, nil when it cannot be read.
func fileSum(path string) []byte {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil
	}
	sum := sha256.Sum256(data)
	return sum[:]
}

func samePath(a, b string) bool {
	x, err1 := filepath.Abs(a)
	y, err2 := filepath.Abs(b)
	return err1 == nil && err2 == nil && x == y
}
