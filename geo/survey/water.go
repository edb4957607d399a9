package survey

import (
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"lastroad/geo"
	"lastroad/geo/osm"
)

// Where a way meets a watercourse and nothing says how, one may stand before a ford. Such crossings are found by
// geometry: the drawn way against the drawn watercourse, not the route, whose own scatter would cross every stream
// that runs beside the road.

const (
	// sameFordM: a tagged ford this near along the route is the crossing, mapped beside it, metres. Judgement:
	// twice the reach within which its node counts as on the line.
	sameFordM = 60.0
	// sameBridgeM is the same for a bridge or culvert, whose ends are drawn with more care. Judgement.
	sameBridgeM = 30.0
	// oneCrossingM: crossings closer together along the route are one, metres.
	oneCrossingM = 30.0
)

// waters is the watercourses near the route as steps by cell.
type waters struct {
	at map[waterCell][]waterStep
}

type waterCell struct{ x, y int32 }

type waterStep struct {
	a, b orb.Point
	line int32 // index into region.Waterways
}

// waterCellDeg is the side of a cell, some 200 m.
const waterCellDeg = 0.002

// waterCells calls f for the cells of the box of a step; cells are numbered once round the earth.
func waterCells(a, b orb.Point, f func(waterCell)) {
	const round = 360 / waterCellDeg
	lon := a[0] + geo.LonDiff(a[0], b[0])
	x0, x1 := math.Floor(min(a[0], lon)/waterCellDeg), math.Floor(max(a[0], lon)/waterCellDeg)
	y0, y1 := math.Floor(min(a[1], b[1])/waterCellDeg), math.Floor(max(a[1], b[1])/waterCellDeg)
	for x := x0; x <= x1; x++ {
		for y := y0; y <= y1; y++ {
			f(waterCell{int32(x - round*math.Floor(x/round)), int32(y)})
		}
	}
}

// bridged reports whether a watercourse runs below or above ways that cross it.
func bridged(l *osm.Line) bool {
	layer := l.Tags.Get("layer")
	return l.Tags.Yes("tunnel") || l.Tags.Yes("covered") || l.Tags.Yes("bridge") || layer != "" && layer != "0"
}

// watersAlong gathers the watercourses in the cells that some lines touch.
func (w *work) watersAlong(lines [][2]orb.Point) waters {
	ws := waters{at: map[waterCell][]waterStep{}}
	for _, l := range lines {
		waterCells(l[0], l[1], func(c waterCell) { ws.at[c] = nil })
	}
	for i := range w.region.Waterways {
		l := &w.region.Waterways[i]
		if !l.Kind.Wet() {
			continue
		}
		for k := 1; k < len(l.Line); k++ {
			a, b := l.Line[k-1], l.Line[k]
			waterCells(a, b, func(c waterCell) {
				if list, ok := ws.at[c]; ok {
					ws.at[c] = append(list, waterStep{a, b, int32(i)})
				}
			})
		}
	}
	return ws
}

// crossings calls found for every place where a step of a way or of the route meets a watercourse.
func (ws *waters) crossings(a, b orb.Point, found func(line int32, at orb.Point)) {
	var done []waterStep
	waterCells(a, b, func(c waterCell) {
		for _, s := range ws.at[c] {
			if slices.Contains(done, s) {
				continue
			}
			done = append(done, s)
			if t, ok := meet(a, b, s.a, s.b); ok {
				found(s.line, orb.Point{geo.WrapLon(a[0] + t*geo.LonDiff(a[0], b[0])), a[1] + t*(b[1]-a[1])})
			}
		}
	})
}

// meet gives the share of the step from a to b at which it meets the step from p to q, ends included; steps that
// lie on one line do not meet.
func meet(a, b, p, q orb.Point) (t float64, ok bool) {
	bx, by := geo.LonDiff(a[0], b[0]), b[1]-a[1]
	px, py := geo.LonDiff(a[0], p[0]), p[1]-a[1]
	dx, dy := geo.LonDiff(p[0], q[0]), q[1]-p[1]
	det := bx*dy - by*dx
	if det == 0 {
		return 0, false
	}
	t = (px*dy - py*dx) / det
	u := (px*by - py*bx) / det
	return t, t >= 0 && t <= 1 && u >= 0 && u <= 1
}

// water finds the crossings of watercourses that no tag explains, as marks of kind MarkWater in order.
func (w *work) water() []geo.Mark {
	if w.region == nil || len(w.region.Waterways) == 0 {
		return nil
	}
	type step struct {
		way    int32 // -1: the route itself, off any way
		sample int
	}
	var lines [][2]orb.Point
	var steps []step
	seen := map[int32]bool{}
	for i := range w.found {
		switch f := w.found[i].Way; {
		case f >= 0 && !seen[f]:
			seen[f] = true
			r := &w.region.Ways[f]
			if r.Tags.Yes("bridge") || r.Tags.Yes("tunnel") || r.Tags.Yes("ford") || r.Tags.Yes("ice_road") {
				continue
			}
			for k := 1; k < len(r.Line); k++ {
				lines, steps = append(lines, [2]orb.Point{r.Line[k-1], r.Line[k]}), append(steps, step{f, -1})
			}
		case f < 0 && i+1 < len(w.found) && w.found[i+1].Way < 0:
			a, b := &w.s.Samples[i], &w.s.Samples[i+1]
			lines = append(lines, [2]orb.Point{{a.Lon, a.Lat}, {b.Lon, b.Lat}})
			steps = append(steps, step{-1, i})
		}
	}
	ws := w.watersAlong(lines)
	var out, safe []geo.Mark
	for i, l := range lines {
		st := steps[i]
		ws.crossings(l[0], l[1], func(line int32, at orb.Point) {
			if st.way < 0 {
				m := w.s.Samples[st.sample].DistanceM + geo.Distance(l[0], at)
				w.crossing(&out, &safe, -1, line, at, m)
				return
			}
			for _, p := range w.passings(at, onLineM) {
				for k := max(0, p.sample-1); k <= min(len(w.found)-1, p.sample+2); k++ {
					if w.found[k].Way == st.way {
						w.crossing(&out, &safe, st.way, line, at, p.m)
						break
					}
				}
			}
		})
	}
	for _, m := range w.s.Marks {
		if m.Kind == geo.MarkBridge || m.Kind == geo.MarkTunnel {
			safe = append(safe, m)
		}
	}
	slices.SortStableFunc(out, byPlace)
	kept := out[:0]
	for _, m := range out {
		near := func(list []geo.Mark, kind geo.MarkKind, within float64) bool {
			return slices.ContainsFunc(list, func(o geo.Mark) bool {
				return (kind == geo.NumMarks || o.Kind == kind) && math.Abs(o.DistanceM-m.DistanceM) <= within
			})
		}
		switch {
		case m.Chance <= 0, near(w.s.Marks, geo.MarkFord, sameFordM), near(safe, geo.NumMarks, sameBridgeM):
		case len(kept) > 0 && m.DistanceM-kept[len(kept)-1].DistanceM < oneCrossingM:
			if m.Chance > kept[len(kept)-1].Chance {
				kept[len(kept)-1] = m
			}
		default:
			kept = append(kept, m)
		}
	}
	return kept
}

// crossing files one place where the route meets a watercourse: to safe when the watercourse is in a culvert there.
func (w *work) crossing(out, safe *[]geo.Mark, way, line int32, at orb.Point, m float64) {
	l := &w.region.Waterways[line]
	mark := geo.Mark{Kind: geo.MarkWater, DistanceM: m, At: at, Name: l.Tags.Get("name"), OSM: l.ID}
	if bridged(l) {
		*safe = append(*safe, mark)
		return
	}
	how := "off any way"
	if way >= 0 {
		g := w.s.Grounds[w.s.Samples[w.sampleAt(m)].Ground]
		if w.kept[way] && g.Known && g.Likeliest() == geo.Sealed {
			return // a sealed road that ordinary help drives goes over its streams
		}
		how = "without bridge, culvert or ford tag"
	}
	on, ok := w.tables.Ground.Crossing(l.Kind, way >= 0, way >= 0 && w.kept[way])
	if !ok {
		return
	}
	mark.Chance, mark.Rests[0] = on.Central, w.premise(on)
	if wet, ok := w.tables.Ground.Wet(l.Kind, l.Intermittent); ok {
		mark.Chance *= wet.Central
		mark.Rests[1] = w.premise(wet)
	}
	mark.Detail = fmt.Sprintf("waterway=%s, %s", l.Kind, how)
	if l.Intermittent {
		mark.Detail += ", dry at times"
	}
	*out = append(*out, mark)
}

// premise is the number of a figure in the survey, counted from 1.
func (w *work) premise(p geo.Premise) uint16 {
	k := slices.Index(w.s.Premises, p)
	if k < 0 {
		k = len(w.s.Premises)
		w.s.Premises = append(w.s.Premises, p)
	}
	return uint16(k + 1)
}

// sampleAt is the sample whose step holds a distance along the route.
func (w *work) sampleAt(m float64) int {
	k, found := slices.BinarySearchFunc(w.s.Samples, m, func(s geo.Sample, m float64) int {
		switch {
		case s.DistanceM < m:
			return -1
		case s.DistanceM > m:
			return 1
		}
		return 0
	})
	if !found {
		k--
	}
	return min(max(0, k), len(w.s.Samples)-1)
}

// wet is the mixture of a stretch with a crossing in it. It holds the central chance; a judgement doubts the chance at
// the crossing itself, which brings many times what the ground of the one sample beside it does.
func wet(mix geo.GroundMix, m geo.Mark) geo.GroundMix {
	if m.Kind == geo.MarkFord {
		return geo.Pure(geo.Ford, m.Detail)
	}
	for g := range mix.P {
		mix.P[g] *= 1 - m.Chance
	}
	mix.P[geo.Ford] += m.Chance
	mix.Reason += fmt.Sprintf("; may be a ford (%.0f %%): %s", 100*m.Chance, m.Detail)
	return mix
}
