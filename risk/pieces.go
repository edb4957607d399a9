package risk

import (
	"cmp"
	"math"
	"slices"

	"lastroad/geo"
)

// A piece is a stretch of the route on which everything that matters is alike: one mixture of grounds,
// one band of grade, and short enough for one distance from help. Everything is computed on pieces; legs and the
// trip only add pieces up, so cutting a leg changes no figure of the trip. Pieces know nothing of legs.
type piece struct {
	FromM, ToM  float64
	First, Last int // samples
	Mix         int // into Survey.Grounds
	Band        int // grade band, see gradeBands
	// Ford is set for a crossing: a piece without length. Chance is how likely there is water to drive through, 1 where
	// the map has a ford; Perhaps says that it has a watercourse there and neither ford nor bridge.
	Ford, Perhaps bool
	Chance        float64
	Rests         [2]uint16 // premises of the survey that Chance is the product of, see geo.Mark
	// TrackKm is the mean driving distance to a maintained road, WalkMin the mean time on foot; NaN unknown.
	TrackKm, WalkMin float64
	TownKm           float64 // straight distance to the nearest settlement, mean; NaN unknown
	DriveH           float64
	FromS            float64 // seconds of driving from the start of the route
	steep            []float64
	side             []float64
}

// LengthM is the length of the piece, 0 for a crossing.
func (p *piece) LengthM() float64 { return p.ToM - p.FromM }

// gradeBands are the edges of the bands of grade in the direction of driving, rise over run, and the
// grade that forces are reckoned with: the steep end. Downhill a pull forward is eased by the slope,
// which is not counted. Judgement: bands of about the width of the grade's own uncertainty on a 90 m grid.
var gradeBands = []struct{ Above, Pull float64 }{
	{math.Inf(-1), 0}, {-0.20, 0}, {-0.06, 0.06}, {0.06, 0.12}, {0.12, 0.20}, {0.20, 0.30}, {0.30, 0.45},
}

func gradeBand(g float64) int {
	if math.IsNaN(g) {
		return 2
	}
	b := 0
	for i := range gradeBands {
		if g > gradeBands[i].Above {
			b = i
		}
	}
	return b
}

// On top of ground and grade, pieces end at marks of a fixed spacing, so that distance from help varies
// little within one. Bands of that distance itself would move with it: with everything half as far again the
// cuts fall elsewhere, and averages over other stretches could raise readiness by some tenths of a point.
// The spacing is 2.5 km (an hour's walk at the slow pace of rough ground), and a two-hundredth of the route
// when that is more.
const (
	markM     = 2500
	mostMarks = 200
)

func markSpacing(lengthM float64) float64 { return math.Max(markM, lengthM/mostMarks) }

// shortPieceM is the length below which a change of grade or a mark alone makes no piece of its
// own: below a few grid cells of the heights (90 m) a grade band is noise. Rates keep the grade of every
// sample, so nothing steep is lost.
const shortPieceM = 300

// driveKm is the driving distance to a maintained road; where no way is known, the straight distance
// with the stated detour factor of 1.4 (judgement: between straight and the square grid's 1.57 worst case).
func driveKm(s *geo.Sample) float64 {
	if !math.IsNaN(s.DriveM) {
		return s.DriveM / 1000
	}
	return s.RoadM * 1.4 / 1000
}

// cutPieces cuts a survey into pieces, in route order, with a piece of its own for every ford and possible ford.
func cutPieces(s *geo.Survey) []piece {
	n := len(s.Samples)
	if n < 2 {
		return nil
	}
	runs := groundRuns(s)
	spacing := markSpacing(s.LengthM())
	var out []piece
	for _, r := range runs {
		for _, q := range splitRun(s, r[0], r[1], spacing) {
			out = append(out, measure(s, q[0], q[1]))
		}
	}
	return withFords(s, out)
}

// groundRuns are the runs [from,to] of samples with one mixture. The step from i to i+1 belongs to sample i.
func groundRuns(s *geo.Survey) [][2]int {
	var out [][2]int
	from := 0
	n := len(s.Samples)
	for i := 1; i < n; i++ {
		if i == n-1 || s.Samples[i].Ground != s.Samples[from].Ground {
			out = append(out, [2]int{from, i})
			from = i
		}
	}
	return out
}

// splitRun cuts a run at the marks and where the grade band changes for long enough.
func splitRun(s *geo.Survey, from, to int, spacing float64) [][2]int {
	key := func(i int) [2]int {
		return [2]int{gradeBand(s.Samples[i].Grade), int(s.Samples[i].DistanceM / spacing)}
	}
	var cuts [][2]int
	start := from
	for i := from + 1; i <= to; i++ {
		if i < to && key(i) == key(start) {
			continue
		}
		length := s.Samples[i].DistanceM - s.Samples[start].DistanceM
		if length < shortPieceM && len(cuts) > 0 {
			cuts[len(cuts)-1][1] = i
		} else {
			cuts = append(cuts, [2]int{start, i})
		}
		start = i
	}
	if len(cuts) > 1 && s.Samples[cuts[0][1]].DistanceM-s.Samples[cuts[0][0]].DistanceM < shortPieceM {
		cuts[1][0] = cuts[0][0]
		cuts = cuts[1:]
	}
	return cuts
}

// measure fills a piece from its samples, each weighted by the step that follows it.
func measure(s *geo.Survey, from, to int) piece {
	a, b := &s.Samples[from], &s.Samples[to]
	p := piece{FromM: a.DistanceM, ToM: b.DistanceM, First: from, Last: to, Mix: int(a.Ground), FromS: a.DriveS}
	p.DriveH = (b.DriveS - a.DriveS) / 3600
	if !(p.DriveH >= 0) {
		p.DriveH = p.LengthM() / 1000 / 20
	}
	var band [16]float64
	var km, walk, town mean
	for i := from; i < to; i++ {
		q := &s.Samples[i]
		w := s.Samples[i+1].DistanceM - q.DistanceM
		band[gradeBand(q.Grade)] += w
		km.add(driveKm(q), w)
		walk.add(q.WalkMin, w)
		town.add(q.HelpM[geo.HelpSettlement]/1000, w)
		p.steep = append(p.steep, q.Grade)
		p.side = append(p.side, q.Side)
	}
	for i := range gradeBands {
		if band[i] > band[p.Band] {
			p.Band = i
		}
	}
	p.TrackKm, p.WalkMin, p.TownKm = km.value(), walk.value(), town.value()
	return p
}

// mean is a weighted mean that is NaN when any part is.
type mean struct{ sum, weight float64 }

func (m *mean) add(v, w float64) { m.sum += v * w; m.weight += w }
func (m *mean) value() float64   { return m.sum / m.weight }

// withFords puts a piece without length at every ford of the survey and at every place that may be one, behind
// the first piece that holds it.
func withFords(s *geo.Survey, ps []piece) []piece {
	var wet []geo.Mark
	for _, m := range s.Marks {
		if m.Kind == geo.MarkFord || m.Kind == geo.MarkWater && m.Chance > 0 {
			wet = append(wet, m)
		}
	}
	slices.SortStableFunc(wet, func(a, b geo.Mark) int { return cmp.Compare(a.DistanceM, b.DistanceM) })
	out := make([]piece, 0, len(ps)+len(wet))
	for _, p := range ps {
		out = append(out, p)
		for len(wet) > 0 && wet[0].DistanceM <= p.ToM {
			if m := wet[0]; m.DistanceM >= p.FromM {
				out = append(out, p.crossing(m))
			}
			wet = wet[1:]
		}
	}
	return out
}

// crossing is the crossing at a mark in the piece.
func (p piece) crossing(m geo.Mark) piece {
	p.FromM, p.ToM, p.Ford, p.Chance, p.DriveH = m.DistanceM, m.DistanceM, true, 1, 0
	p.steep, p.side = nil, nil
	if m.Kind == geo.MarkWater {
		p.Perhaps, p.Chance, p.Rests = true, math.Min(1, m.Chance), m.Rests
	}
	return p
}

// share is the part of the piece that lies on the stretch from a to b of the route. A crossing belongs
// to the stretch that it ends or lies in (a < at <= b, and the first stretch takes one at its very start).
func (p *piece) share(a, b float64, first bool) float64 {
	if p.LengthM() <= 0 {
		if (p.FromM > a || first && p.FromM >= a) && p.FromM <= b {
			return 1
		}
		return 0
	}
	o := math.Min(b, p.ToM) - math.Max(a, p.FromM)
	return math.Max(0, o) / p.LengthM()
}
