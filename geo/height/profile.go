package height

import (
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"lastroad/geo"
)

// Options say how [Profile] works; the zero value is the usual way.
type Options struct {
	// Own are the heights that came with the route, one a sample, NaN where there is none; empty for
	// none. They fill in where the model knows nothing.
	Own []float64
	// Prior gives what is known of the grade at sample i beforehand; nil takes PriorKept, PriorTrack
	// or PriorOpen by the sample's way.
	Prior func(i int) GradePrior
	// Noise says how wrong readings are; the zero value takes DefaultNoise.
	Noise Noise
	// GapM is the longest stretch without any height that is bridged; zero takes 300 m, three
	// cells of the coarser SRTM grid. Beyond it height, grade and side slope stay unknown.
	GapM float64
}

// Measured is what [Profile] hands back beside the samples.
type Measured struct {
	// SmoothM is the estimated height of the road at each sample in metres, SmoothBand the
	// half-width of its 95 % band; NaN where unknown.
	SmoothM, SmoothBand []float64
	// GridM, OwnM and UnknownM are metres of route with heights from the model, from the route's own
	// file, and from neither.
	GridM, OwnM, UnknownM float64
	// Notes says in full sentences where heights are missing or come from elsewhere.
	Notes []string
}

// Profile puts HeightM, Grade, GradeBand, Side and SideBand on samples, which must carry place,
// distance, Way and Kept. HeightM is the plain reading (bilinear on the model, else the route's own
// height brought to the model's level); Grade that of the estimated profile of the road, in driving
// direction, with its band (see the package comment); Side the slope of the ground across the line,
// which on a benched track is more than the tilt of the track itself. What is not known is NaN: no
// height within Options.GapM, or ground without a grid for the side slope. A nil model, and one
// sample or none, are allowed. It panics when Options.Own has another length than samples.
func Profile(samples []geo.Sample, m *Model, o Options) Measured {
	if len(o.Own) != 0 && len(o.Own) != len(samples) {
		panic("height: Own must have one height a sample")
	}
	if o.Noise == (Noise{}) {
		o.Noise = DefaultNoise
	}
	if o.GapM == 0 {
		o.GapM = 300
	}
	if o.Prior == nil {
		o.Prior = func(i int) GradePrior { return priorOf(&samples[i]) }
	}
	p := profiler{samples: samples, o: o, in: make([]reading, len(samples)), own: make([]bool, len(samples)), steep: make([]float64, len(samples))}
	p.readGrid(m)
	p.readOwn()
	p.limitPriors()
	p.estimate()
	p.note()
	return p.out
}

func priorOf(s *geo.Sample) GradePrior {
	switch {
	case s.Kept:
		return PriorKept
	case s.Way >= 0:
		return PriorTrack
	}
	return PriorOpen
}

type profiler struct {
	samples []geo.Sample
	o       Options
	in      []reading
	own     []bool    // height of the sample is the route's own
	steep   []float64 // square of the steepness of the ground, NaN where unknown
	shiftM  float64
	shifted bool
	out     Measured
}

// readGrid reads height and slope under every sample.
func (p *profiler) readGrid(m *Model) {
	pts := make([]orb.Point, len(p.samples))
	for i := range p.samples {
		pts[i] = orb.Point{p.samples[i].Lon, p.samples[i].Lat}
	}
	heights := m.Heights(nil, pts)
	for i := range p.samples {
		s := &p.samples[i]
		s.HeightM, s.Side, s.SideBand = heights[i], math.NaN(), math.NaN()
		in := &p.in[i]
		*in = reading{z: s.HeightM, prior: p.o.Prior(i), white: p.o.Noise.WhiteM * p.o.Noise.WhiteM}
		if i > 0 {
			in.stepM = s.DistanceM - p.samples[i-1].DistanceM
		}
		slope := m.Slope(s.Lon, s.Lat)
		side := slope.Across(p.bearing(i))
		if s.HeightM != s.HeightM {
			// A hole in the grid: the slope of posts around it says nothing reliable here.
			side = math.NaN()
		}
		p.steep[i] = slope.East*slope.East + slope.North*slope.North
		in.sd = p.o.Noise.SD(slope, side)
		in.length = p.o.Noise.CorrelationM
		if l := p.o.Noise.CorrelationCells * slope.CellM; l > in.length {
			in.length = l
		}
		if side == side {
			s.Side = math.Abs(side)
			s.SideBand = sideBand(slope, p.o.Noise)
		}
	}
}

// sideBand is the half-width of the 95 % band of a slope read from the grid in one direction.
// Horn's weights (1, 2, 1 over 8 cells, both sides) leave sqrt(12)/8 of the noise of a post per
// cell; the spread of the slope within the cell stands for what the grid does not show.
func sideBand(s Slope, n Noise) float64 {
	post := math.Sqrt(12) / 8 * n.GridM / s.CellM
	return 1.96 * math.Hypot(post, s.Spread)
}

// bearing is the direction of travel at a sample in degrees, between its two neighbours; NaN where
// they lie at one place.
func (p *profiler) bearing(i int) float64 {
	a, b := &p.samples[max(i-1, 0)], &p.samples[min(i+1, len(p.samples)-1)]
	mer, nor := geo.Radii(p.samples[i].Lat)
	x := geo.LonDiff(a.Lon, b.Lon) * nor * math.Cos(p.samples[i].Lat*math.Pi/180)
	y := (b.Lat - a.Lat) * mer
	if x == 0 && y == 0 {
		return math.NaN()
	}
	return math.Atan2(x, y) * 180 / math.Pi
}

// readOwn fills in the route's own heights. Receivers and maps may count from another level than the
// grid; where both are known the median difference brings the own heights to the grid's level.
func (p *profiler) readOwn() {
	if len(p.o.Own) == 0 {
		return
	}
	var diff []float64
	for i, own := range p.o.Own {
		if d := p.in[i].z - own; d == d {
			diff = append(diff, d)
		}
	}
	if len(diff) > 0 {
		slices.Sort(diff)
		p.shiftM, p.shifted = diff[len(diff)/2], true
	}
	for i, own := range p.o.Own {
		in := &p.in[i]
		if in.z == in.z || own != own || math.IsInf(own, 0) {
			continue
		}
		in.z, in.sd, in.length = own+p.shiftM, p.o.Noise.OwnM, p.o.Noise.OwnLengthM
		p.samples[i].HeightM = in.z
		p.own[i] = true
	}
}

// steepWindowM is how far before and behind a sample the ground is looked at for the steepness that
// a road may have: far enough to see past the noise of single cells, short enough for one hillside.
// Tried from 100 to 400 m.
const steepWindowM = 200

// flatGrade is the least standard deviation of grades, for steps and ramps that no grid shows; judgement.
const flatGrade = 0.01

// limitPriors holds the prior grade to what the ground allows: a road that crosses a slope G at any
// angle has a grade of G times a cosine, whose standard deviation is G over the square root of two.
// Without this a plain is given the grades of a mountain track.
func (p *profiler) limitPriors() {
	n := len(p.samples)
	sum, count := make([]float64, n+1), make([]int, n+1)
	for i, q := range p.steep {
		sum[i+1], count[i+1] = sum[i], count[i]
		if q == q {
			sum[i+1] += q
			count[i+1]++
		}
	}
	from, to := 0, 0
	for i := range p.in {
		for p.samples[i].DistanceM-p.samples[from].DistanceM > steepWindowM {
			from++
		}
		for to < n && p.samples[to].DistanceM-p.samples[i].DistanceM <= steepWindowM {
			to++
		}
		if known := count[to] - count[from]; known > 0 {
			most := math.Sqrt(flatGrade*flatGrade + (sum[to]-sum[from])/float64(known)/2)
			p.in[i].prior.SD = min(p.in[i].prior.SD, most)
		}
	}
}

// estimate runs the estimator over every stretch without too long a gap.
func (p *profiler) estimate() {
	n := len(p.samples)
	p.out.SmoothM, p.out.SmoothBand = make([]float64, n), make([]float64, n)
	for i := range p.samples {
		s := &p.samples[i]
		s.Grade, s.GradeBand = math.NaN(), math.NaN()
		p.out.SmoothM[i], p.out.SmoothBand[i] = math.NaN(), math.NaN()
	}
	var dst []estimate
	var work []kept
	for from := 0; from < n; {
		if p.in[from].z != p.in[from].z {
			from++
			continue
		}
		// to is the last sample with a height that can be reached without a gap too long.
		to := from
		for i := from + 1; i < n && p.samples[i].DistanceM-p.samples[to].DistanceM <= p.o.GapM; i++ {
			if p.in[i].z == p.in[i].z {
				to = i
			}
		}
		if to > from {
			dst, work = robust(dst, work, p.in[from:to+1])
			for k, e := range dst {
				s := &p.samples[from+k]
				s.Grade, s.GradeBand = e.g, 1.96*e.gSD
				p.out.SmoothM[from+k], p.out.SmoothBand[from+k] = e.h, 1.96*e.hSD
			}
		}
		from = to + 1
	}
}

// note adds up where heights come from and says what is missing.
func (p *profiler) note() {
	o := &p.out
	for i := 1; i < len(p.samples); i++ {
		d := p.in[i].stepM
		switch {
		case p.in[i].z != p.in[i].z:
			o.UnknownM += d
		case p.own[i]:
			o.OwnM += d
		default:
			o.GridM += d
		}
	}
	switch total := o.GridM + o.OwnM + o.UnknownM; {
	case total == 0:
		return
	case o.GridM == 0 && o.OwnM == 0:
		o.Notes = append(o.Notes, "No heights are known: there is no height grid under the route and the route file has none. Grades and side slopes are unknown.")
		return
	case o.GridM == 0:
		o.Notes = append(o.Notes, "There is no height grid under the route; heights are those of the route file, and side slopes are unknown.")
	case o.OwnM > 0:
		o.Notes = append(o.Notes, fmt.Sprintf("%.1f km lie outside the height grid or over holes in it; heights there are those of the route file, moved by %+.0f m to the level of the grid.", o.OwnM/1000, p.shiftM))
	}
	if o.UnknownM > 0 {
		o.Notes = append(o.Notes, fmt.Sprintf("The height is unknown on %.1f km; the grid has a hole there or ends.", o.UnknownM/1000))
	}
}
