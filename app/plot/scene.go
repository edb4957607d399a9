package plot

import (
	"slices"
	"sort"
	"sync"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// Cover is what an area of the map is painted as.
type Cover uint8

// The covers in the order in which they are painted.
const (
	CoverBuilt Cover = iota
	CoverFarm
	CoverGrass
	CoverScrub
	CoverWood
	CoverScree
	CoverRock
	CoverSand
	CoverSalt
	CoverDug
	CoverWet
	CoverIce
	CoverWater
	numCovers
)

// WayKind is how a way is drawn.
type WayKind uint8

// The ways, least first. Those from RoadService on are roads with a light bed and an edge line; a way of
// any kind that is not maintained is drawn as a track, however it is called.
const (
	WayPath WayKind = iota
	WayTrack
	RoadService
	RoadMinor
	RoadTertiary
	RoadSecondary
	RoadMain
	numWays
)

// StreamKind is how a watercourse or another line of the ground is drawn.
type StreamKind uint8

// The lines of the ground.
const (
	LineDry    StreamKind = iota // carries water only at times
	LineStream                   // stream, ditch
	LineRiver                    // river, canal
	LineCliff
	numStreams
)

// NameKind is the kind of a name on the map.
type NameKind uint8

// The names, most important first.
const (
	NameCity NameKind = iota
	NameTown
	NameVillage
	NameHamlet
	NamePeak
	NamePass
	NameWater
	numNames
)

// Ground is what [NewScene] draws the ground from; positions are degrees. All of it may be empty.
type Ground struct {
	Areas   []GroundArea
	Streams []GroundLine
	Ways    []GroundWay
	Names   []GroundName
	Help    []geo.Place
	// Relief is the hillshade, nil for none. Contours gives lines of equal height, drawn heavier where Heavy; nil for
	// none. It is called once, when a picture first shows them, by whichever goroutine draws that.
	Relief   *Relief
	Contours func() []Contour
	// Outline bounds the data; empty draws no border. Credit are the lines that must be shown.
	Outline []orb.Ring
	Credit  []string
}

// GroundArea is an area with holes.
type GroundArea struct {
	Cover Cover
	Poly  orb.MultiPolygon
}

// GroundLine is a watercourse or a cliff.
type GroundLine struct {
	Kind StreamKind
	Line orb.LineString
	Name string
}

// GroundWay is a way.
type GroundWay struct {
	Kind WayKind
	Kept bool // counts as a maintained road
	Line orb.LineString
	Name string
}

// GroundName is a name with its place.
type GroundName struct {
	Kind    NameKind
	Name    string
	At      orb.Point
	HeightM float64 // 0 or NaN = not shown
}

// Contour is a line of equal height.
type Contour struct {
	HeightM float64
	Heavy   bool
	Line    orb.LineString
}

// Scene is everything that may be drawn of a survey and its region, projected and at several levels of
// detail. It is never changed after [NewScene] and may be drawn by several goroutines.
type Scene struct {
	Proj   Projection
	Survey *geo.Survey // nil for a bare region
	Credit []string

	base    *int // the same for all scenes of one ground
	areas   [numCovers][]area
	streams [numStreams][]named
	ways    [2][numWays][]named // not kept, kept
	names   []placed
	help    []placed
	relief  *Relief
	fine    func() []levelLine
	outline []shape

	route  []Pt      // one point a sample
	legs   [][]shape // each leg in parts of at most partSamples samples
	extent Extent    // of the route, or of the region when there is none
	centre [][]chunk // boxes of route parts for picking
}

type area struct {
	box   Extent
	rings []shape
}

type named struct {
	shape
	name string
}

type levelLine struct {
	shape
	heavy bool
	label string
}

type placed struct {
	x, y  float64
	kind  int
	name  string
	extra string
}

// chunk is a stretch of samples with its box, for finding the nearest.
type chunk struct {
	from, to int
	box      Extent
}

// partSamples keeps the boxes of route parts small, so that a zoomed-in picture touches few of them.
const partSamples = 256

// NewScene prepares a scene. survey may be nil; ground too, for a route without a region.
func NewScene(survey *geo.Survey, ground *Ground) *Scene {
	s := &Scene{Survey: survey, extent: NoExtent, base: new(int)}
	if ground == nil {
		ground = &Ground{}
	}
	s.Proj = NewProjection(middle(survey, ground))
	s.Credit = ground.Credit
	s.addRoute(survey)
	s.addGround(ground)
	if s.extent.Empty() {
		for _, o := range s.outline {
			s.extent = join(s.extent, o.box)
		}
	}
	return s
}

// middle is the origin of the plane: the middle of the route, or of the ground.
func middle(survey *geo.Survey, g *Ground) orb.Point {
	if survey != nil && len(survey.Samples) > 0 {
		// Halfway between the extremes, taking longitudes from the first sample so that a route across
		// the antimeridian has its middle there and not on the other side of the world.
		first := survey.Samples[0]
		var lo, hi float64
		south, north := first.Lat, first.Lat
		for _, p := range survey.Samples {
			d := geo.LonDiff(first.Lon, p.Lon)
			lo, hi = min(lo, d), max(hi, d)
			south, north = min(south, p.Lat), max(north, p.Lat)
		}
		return orb.Point{geo.WrapLon(first.Lon + (lo+hi)/2), (south + north) / 2}
	}
	for _, r := range g.Outline {
		return r.Bound().Center()
	}
	for _, w := range g.Ways {
		return w.Line.Bound().Center()
	}
	return orb.Point{}
}

func join(a, b Extent) Extent {
	if b.Empty() {
		return a
	}
	return a.Add(b.X0, b.Y0).Add(b.X1, b.Y1)
}

func (s *Scene) project(line []orb.Point) []Pt { return s.Proj.project(line) }

func (p Projection) project(line []orb.Point) []Pt {
	out := make([]Pt, len(line))
	for i, q := range line {
		x, y := p.XY(q)
		out[i] = Pt{float32(x), float32(y)}
	}
	return out
}

func (s *Scene) addRoute(v *geo.Survey) {
	if v == nil {
		return
	}
	s.route = make([]Pt, len(v.Samples))
	for i, p := range v.Samples {
		x, y := s.Proj.XY(orb.Point{p.Lon, p.Lat})
		s.route[i] = Pt{float32(x), float32(y)}
		s.extent = s.extent.Add(x, y)
	}
	legs := v.Legs
	if len(legs) == 0 && len(v.Samples) > 1 {
		legs = []geo.Leg{{From: 0, To: len(v.Samples) - 1}}
	}
	for _, l := range legs {
		var parts []shape
		var boxes []chunk
		for a := l.From; a < l.To; a += partSamples {
			b := min(l.To, a+partSamples)
			sh := newShape(s.route[a:b+1], false)
			parts = append(parts, sh)
			boxes = append(boxes, chunk{a, b, sh.box})
		}
		s.legs = append(s.legs, parts)
		s.centre = append(s.centre, boxes)
	}
}

func (s *Scene) addGround(g *Ground) {
	for _, a := range g.Areas {
		for _, poly := range a.Poly {
			ar := area{box: NoExtent}
			for i, ring := range poly {
				if len(ring) < 4 {
					continue
				}
				sh := newShape(s.project(ring), true)
				if i == 0 {
					ar.box = sh.box
				}
				ar.rings = append(ar.rings, sh)
			}
			if len(ar.rings) > 0 && a.Cover < numCovers {
				s.areas[a.Cover] = append(s.areas[a.Cover], ar)
			}
		}
	}
	for c := range s.areas {
		// Large ones first, so that a pond in a wood in a moor is seen whatever the file's order.
		sort.SliceStable(s.areas[c], func(i, j int) bool { return size(s.areas[c][i].box) > size(s.areas[c][j].box) })
	}
	for _, l := range g.Streams {
		if len(l.Line) > 1 && l.Kind < numStreams {
			s.streams[l.Kind] = append(s.streams[l.Kind], named{newShape(s.project(l.Line), false), l.Name})
		}
	}
	for _, w := range g.Ways {
		if len(w.Line) > 1 && w.Kind < numWays {
			k := 0
			if w.Kept {
				k = 1
			}
			s.ways[k][w.Kind] = append(s.ways[k][w.Kind], named{newShape(s.project(w.Line), false), w.Name})
		}
	}
	for _, n := range g.Names {
		x, y := s.Proj.XY(n.At)
		p := placed{x: x, y: y, kind: int(n.Kind), name: n.Name}
		if n.HeightM == n.HeightM && n.HeightM != 0 {
			p.extra = metres(n.HeightM)
		}
		s.names = append(s.names, p)
	}
	sort.SliceStable(s.names, func(i, j int) bool { return s.names[i].kind < s.names[j].kind })
	for _, h := range g.Help {
		x, y := s.Proj.XY(h.At)
		s.help = append(s.help, placed{x: x, y: y, kind: int(h.Kind), name: h.Name})
	}
	sort.SliceStable(s.help, func(i, j int) bool { return helpRank[s.help[i].kind] < helpRank[s.help[j].kind] })
	s.relief = g.Relief
	s.fine = sync.OnceValue(func() []levelLine { return levelLines(g.Contours, s.Proj) })
	for _, r := range g.Outline {
		if len(r) > 3 {
			s.outline = append(s.outline, newShape(s.project(r), true))
		}
	}
}

// levelLines are contours on the plane.
func levelLines(contours func() []Contour, on Projection) (out []levelLine) {
	if contours == nil {
		return nil
	}
	for _, c := range contours() {
		if len(c.Line) > 1 {
			out = append(out, levelLine{newShape(on.project(c.Line), false), c.Heavy, metres(c.HeightM)})
		}
	}
	return out
}

func size(e Extent) float64 { return (e.X1 - e.X0) * (e.Y1 - e.Y0) }

// Extent is the part of the plane that holds the route (without one, the region's outline).
func (s *Scene) Extent() Extent { return s.extent }

// LegExtent is the part of the plane that holds leg i; empty for an index that is not a leg.
func (s *Scene) LegExtent(i int) Extent {
	e := NoExtent
	if i >= 0 && i < len(s.legs) {
		for _, p := range s.legs[i] {
			e = join(e, p.box)
		}
	}
	return e
}

// At is the place of sample i on the plane.
func (s *Scene) At(i int) (x, y float64) { return float64(s.route[i].X), float64(s.route[i].Y) }

// Nearest finds the sample nearest to a place of the plane and its distance there; ok is false without a
// route. Of equally near samples the first is given.
func (s *Scene) Nearest(x, y float64) (sample int, metres float64, ok bool) {
	p := Pt{float32(x), float32(y)}
	best := float32(0)
	for _, leg := range s.centre {
		for _, c := range leg {
			if ok {
				dx := max(0, c.box.X0-x, x-c.box.X1)
				dy := max(0, c.box.Y0-y, y-c.box.Y1)
				if float32(dx*dx+dy*dy) > best {
					continue
				}
			}
			for i := c.from; i <= c.to; i++ {
				dx, dy := s.route[i].X-p.X, s.route[i].Y-p.Y
				if d := dx*dx + dy*dy; !ok || d < best {
					sample, best, ok = i, d, true
				}
			}
		}
	}
	return sample, float64(hypot32(s.route0(sample).X-p.X, s.route0(sample).Y-p.Y)), ok
}

func (s *Scene) route0(i int) Pt {
	if i < len(s.route) {
		return s.route[i]
	}
	return Pt{}
}

// LegOf is the leg that holds sample i, the later one where two meet; -1 without legs.
func (s *Scene) LegOf(sample int) int {
	for k := len(s.centre) - 1; k >= 0; k-- {
		if c := s.centre[k]; len(c) > 0 && sample >= c[0].from {
			return k
		}
	}
	return -1
}

// WithSurvey is the scene with another survey of the same route: the ground is shared, legs and marks are
// those of v.
func (s *Scene) WithSurvey(v *geo.Survey) *Scene {
	n := *s
	n.Survey, n.route, n.legs, n.centre, n.extent = v, nil, nil, nil, NoExtent
	n.addRoute(v)
	return &n
}

// SharesGround reports whether o shows the same ground as s: one was made from the other by
// [Scene.WithSurvey].
func (s *Scene) SharesGround(o *Scene) bool { return s.base == o.base }

// SameCamps reports whether the camps of o stand where those of s do, under the same names: then the names of the
// ground, which keep clear of them, lie where they did.
func (s *Scene) SameCamps(o *Scene) bool {
	if s.Survey == o.Survey {
		return true
	}
	return slices.EqualFunc(s.stops(), o.stops(), func(a, b geo.Mark) bool { return a.At == b.At && a.Name == b.Name })
}

// stops are the marks of the camps.
func (s *Scene) stops() []geo.Mark {
	var out []geo.Mark
	if s.Survey != nil {
		for _, m := range s.Survey.Marks {
			if m.Kind == geo.MarkStop {
				out = append(out, m)
			}
		}
	}
	return out
}

// InSight gives the first and the last sample that a view shows; first is -1 when it shows none.
func (s *Scene) InSight(v View) (first, last int) {
	e := v.extent(0)
	first, last = -1, -1
	for _, leg := range s.centre {
		for _, c := range leg {
			if !c.box.meets(e) {
				continue
			}
			for i := c.from; i <= c.to; i++ {
				x, y := float64(s.route[i].X), float64(s.route[i].Y)
				if x >= e.X0 && x <= e.X1 && y >= e.Y0 && y <= e.Y1 {
					if first < 0 {
						first = i
					}
					last = i
				}
			}
		}
	}
	return first, last
}

// StretchExtent is the part of the plane that holds the samples from..to.
func (s *Scene) StretchExtent(from, to int) Extent {
	e := NoExtent
	for i := max(0, from); i <= to && i < len(s.route); i++ {
		e = e.Add(float64(s.route[i].X), float64(s.route[i].Y))
	}
	return e
}
