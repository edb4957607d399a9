// Package facts sums a survey up leg by leg: how long, how steep, how far from help, on what ground.
// It measures nothing itself; every figure is a plain summary of samples that others measured, and
// says over how much of the leg it is known.
package facts

import (
	"math"
	"sort"

	"lastroad/geo"
)

// AscentThresholdM is the rise that must be exceeded before it counts as climbing; smaller
// undulations are below what a 3 arc-second height grid can tell. Judgement, in line with the 5 to
// 10 m that published ascent figures commonly use; tried from 3 to 15 m.
const AscentThresholdM = 10

// Share is a ground class and the share of the length it covers, 0..1.
type Share struct {
	Ground geo.Ground
	Share  float64
}

// Facts are the summary of one leg. Numbers are NaN where nothing is known.
type Facts struct {
	Name         string
	FromM, ToM   float64 // along the route
	LengthM      float64
	Ground       []Share // by length, largest first; Unknown has its own row
	AscentM      float64
	DescentM     float64
	LowM, HighM  float64 // heights
	UpGrade      float64 // steepest climb that at least 50 m of the leg reach, rise over run
	DownGrade    float64 // steepest descent, as a positive number
	GradeBand    float64 // half-width of the 95 % band where UpGrade or DownGrade was read
	SideSlope    float64 // steepest side slope that at least 50 m reach
	RoadM        float64 // furthest straight metres from a maintained road
	DriveM       float64 // furthest driving metres to one
	DriveMin     float64
	WalkMin      float64 // longest walk out, minutes
	WalkEst      bool    // the walk is an estimate without a height surface
	MoveMin      float64 // driving time, minutes
	Fords, Gates int
	Crossings    []float64 // of water without a tag that says how, metres along the route; Mark.Chance tells how likely each is a ford
	KeptShare    float64   // share of the length on maintained road
	OutsideShare float64   // share that the region data do not cover
	HelpM        [geo.NumHelp]float64
	HelpAt       [geo.NumHelp]int32 // index into Survey.Help of the nearest at the leg's worst place, -1 unknown
	HelpAtMost   [geo.NumHelp]bool  // HelpM is the most it can be: a nearer place may lie beyond the data
	// HelpDrive is, for each kind of help, the longest of the quickest drives there from places of the leg; Place is
	// -1 and M and Min are NaN where none is known.
	HelpDrive      [geo.NumHelp]geo.Drive
	WorstRoadIndex int // sample with the furthest road, -1 unknown
}

// steady is how much of a leg a grade or side slope must hold to be called the leg's steepest, metres:
// two samples of 25 m. Judgement: a shorter step is within the noise of the heights.
const steady = 50

// Of sums up leg i of s. It panics when i is not a leg.
func Of(s *geo.Survey, i int) Facts {
	leg := s.Legs[i]
	return Between(s, leg.From, leg.To, leg.Name)
}

// Between sums up samples from..to, both included.
func Between(s *geo.Survey, from, to int, name string) Facts {
	a, b := s.Samples[from], s.Samples[to]
	f := Facts{Name: name, FromM: a.DistanceM, ToM: b.DistanceM, LengthM: b.DistanceM - a.DistanceM,
		LowM: math.NaN(), HighM: math.NaN(), RoadM: math.NaN(), DriveM: math.NaN(), DriveMin: math.NaN(), WalkMin: math.NaN(),
		WorstRoadIndex: -1, MoveMin: (b.DriveS - a.DriveS) / 60}
	for k := range f.HelpM {
		f.HelpM[k], f.HelpAt[k] = math.NaN(), -1
		f.HelpDrive[k] = geo.Drive{M: math.NaN(), Min: math.NaN(), Place: -1, Exit: -1}
	}
	var share [geo.NumGrounds]float64
	var up, down, side []weighted
	heights := make([]float64, 0, to-from+1)
	for j := from; j <= to; j++ {
		p := s.Samples[j]
		if !math.IsNaN(p.HeightM) {
			heights = append(heights, p.HeightM)
			f.LowM, f.HighM = least(f.LowM, p.HeightM), most(f.HighM, p.HeightM)
		}
		f.DriveM, f.DriveMin = most(f.DriveM, p.DriveM), most(f.DriveMin, p.DriveMin)
		if !math.IsNaN(p.RoadM) && !(p.RoadM <= f.RoadM) {
			f.RoadM, f.WorstRoadIndex = p.RoadM, j
		}
		if !math.IsNaN(p.WalkMin) && !(p.WalkMin <= f.WalkMin) {
			f.WalkMin, f.WalkEst = p.WalkMin, p.WalkEst
		}
		for k := range p.HelpM {
			if !math.IsNaN(p.HelpM[k]) && !(p.HelpM[k] <= f.HelpM[k]) {
				f.HelpM[k], f.HelpAt[k], f.HelpAtMost[k] = p.HelpM[k], p.HelpAt[k], p.HelpAtMost(geo.HelpKind(k))
			}
			if d, _, ok := s.HelpDrive(j, geo.HelpKind(k)); ok && !(d.Min <= f.HelpDrive[k].Min) {
				f.HelpDrive[k] = d
			}
		}
		if j == to {
			break
		}
		// A sample stands for the stretch to the next one.
		w := s.Samples[j+1].DistanceM - p.DistanceM
		if int(p.Ground) < len(s.Grounds) {
			share[s.Grounds[p.Ground].Main()] += w
		} else {
			share[geo.Unknown] += w
		}
		if p.Kept {
			f.KeptShare += w
		}
		if !p.InRegion {
			f.OutsideShare += w
		}
		if !math.IsNaN(p.Grade) {
			if p.Grade >= 0 {
				up = append(up, weighted{p.Grade, p.GradeBand, w})
			} else {
				down = append(down, weighted{-p.Grade, p.GradeBand, w})
			}
		}
		if !math.IsNaN(p.Side) {
			side = append(side, weighted{p.Side, p.SideBand, w})
		}
	}
	if f.LengthM > 0 {
		f.KeptShare /= f.LengthM
		f.OutsideShare /= f.LengthM
		for g, w := range share {
			if w > 0 {
				f.Ground = append(f.Ground, Share{geo.Ground(g), w / f.LengthM})
			}
		}
	}
	sort.SliceStable(f.Ground, func(i, j int) bool { return f.Ground[i].Share > f.Ground[j].Share })
	var upBand, downBand float64
	f.UpGrade, upBand = steepest(up, len(up)+len(down) > 0)
	f.DownGrade, downBand = steepest(down, len(up)+len(down) > 0)
	f.GradeBand = upBand
	if f.DownGrade > f.UpGrade {
		f.GradeBand = downBand
	}
	f.SideSlope, _ = steepest(side, len(side) > 0)
	f.AscentM, f.DescentM = climb(heights, AscentThresholdM)
	for _, m := range s.Marks {
		if m.DistanceM < f.FromM || m.DistanceM > f.ToM || m.DistanceM == f.FromM && from > 0 {
			continue
		}
		switch m.Kind {
		case geo.MarkFord:
			f.Fords++
		case geo.MarkGate:
			f.Gates++
		case geo.MarkWater:
			f.Crossings = append(f.Crossings, m.DistanceM)
		}
	}
	return f
}

type weighted struct{ value, band, metres float64 }

// steepest is the value that at least [steady] metres reach or exceed (the last one when there are
// fewer), with its band. With known false it is NaN, with nothing on this side of level it is 0.
func steepest(v []weighted, known bool) (value, band float64) {
	if !known {
		return math.NaN(), math.NaN()
	}
	sort.SliceStable(v, func(i, j int) bool { return v[i].value > v[j].value })
	sum := 0.0
	for _, w := range v {
		sum += w.metres
		value, band = w.value, w.band
		if sum >= steady-1e-6 {
			break
		}
	}
	return value, band
}

// climb is the sum of rises and of falls of which each exceeds the threshold; NaN without heights.
func climb(h []float64, threshold float64) (up, down float64) {
	if len(h) == 0 {
		return math.NaN(), math.NaN()
	}
	base := h[0]
	for _, v := range h[1:] {
		switch d := v - base; {
		case d >= threshold:
			up, base = up+d, v
		case d <= -threshold:
			down, base = down-d, v
		}
	}
	return up, down
}

func most(a, b float64) float64 {
	if math.IsNaN(a) || b > a {
		return b
	}
	return a
}

func least(a, b float64) float64 {
	if math.IsNaN(a) || b < a {
		return b
	}
	return a
}
